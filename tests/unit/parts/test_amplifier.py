"""Amplifiers and head units."""

import numpy as np
import pytest

from lumpedbox import Amplifier, HeadUnit
from lumpedbox.parts.amplifier import can_drive, lowest_load, with_bridged

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


def test_the_power_of_a_head_unit():
    """Ohm's law: 8 V into 4 and 8 ohm are 2 and 1 A."""
    assert HeadUnit(voltage=8).power_into([4, 8]) == pytest.approx([16, 8])


def test_the_lowest_load_is_a_fifth_below_the_rated_one():
    """IEC 60268-5 (from memory): the impedance may fall to 80 % of the rated one."""
    assert lowest_load(Amplifier(power=75, rated_impedance=4, minimum_load=2)) == pytest.approx(1.6)
    assert lowest_load(HeadUnit(voltage=9.1)) == pytest.approx(3.2)


def test_a_load_a_little_below_the_lowest_counts_as_at_it():
    """By 3 percent (ours); an array goes one by one."""
    unit = HeadUnit(voltage=9.1)
    assert can_drive(unit, [3.3, 3.2, 3.11, 3.09]).tolist() == [True, True, True, False]
    with pytest.raises(ValueError, match=r"can_drive\.load must be between 0\.1 and 1000 ohm"):
        can_drive(unit, -3.0)


def test_only_what_has_pairs_of_channels_is_offered_bridged():
    four = Amplifier(power=75, rated_impedance=4, minimum_load=2, channels=4, name="stores")
    one, head = Amplifier(power=1, rated_impedance=4, minimum_load=4), HeadUnit(voltage=9.1)
    named = with_bridged({"stores": four, "one": one, "head": head})
    assert list(named) == ["stores", "stores, bridged", "one", "head"]
    assert named["stores, bridged"].voltage == pytest.approx(2 * four.voltage)
    assert named["stores, bridged"].name == "stores, bridged"
