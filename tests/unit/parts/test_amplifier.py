"""Amplifiers and head units."""

import numpy as np
import pytest

from lumpedbox import Amplifier, HeadUnit

FOUR = {"power": 75.0, "rated_impedance": 4.0, "minimum_load": 2.0, "output_resistance": 0.02, "channels": 4}


def test_voltage():
    """300 volts squared: 75 W into 4 ohm."""
    assert Amplifier(**FOUR).voltage == pytest.approx(np.sqrt(300))


def test_bridged_is_twice_of_everything_at_half_the_channels():
    """Two channels in series: twice the voltage, output resistance and minimum load (common practice, no source)."""
    single, bridged = Amplifier(**FOUR), Amplifier(**FOUR).bridged()
    assert bridged.voltage == pytest.approx(2 * single.voltage)
    assert (bridged.minimum_load, bridged.output_resistance, bridged.channels) == (4.0, 0.04, 2)
    current = [a.voltage / a.rated_impedance for a in (single, bridged)]
    assert current[0] == pytest.approx(current[1])


def test_families():
    assert Amplifier(**FOUR | {"power": np.array([50.0, 100.0])}).voltage == pytest.approx([np.sqrt(200), 20])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"channels": 3}, None),
        ({"channels": 0}, r"Amplifier\.channels must be one of 1, 2"),
        ({"channels": 2.5}, r"Amplifier\.channels must be a whole number"),
        ({"power": -1}, r"Amplifier\.power must be between"),
    ],
)
def test_refusals(change, said):
    if said is None:
        with pytest.raises(ValueError, match="needs an even number of channels, got 3"):
            Amplifier(**FOUR | change).bridged()
        return
    with pytest.raises((ValueError, TypeError), match=said):
        Amplifier(**FOUR | change)


def test_a_head_unit_may_have_no_line_outputs():
    assert HeadUnit(voltage=9.1).line_voltage is None
