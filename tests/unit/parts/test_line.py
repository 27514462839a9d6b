"""A converter and an amplifier's input between a source and the amplifier."""

import numpy as np
import pytest

from lumpedbox import HeadUnit, LevelTable
from lumpedbox.parts.line import Converter, Feed, LineInput

FLAT = LevelTable(points=((50, 12), (315, 12)))
UNIT, NO_LINES = HeadUnit(voltage=9.1, line_voltage=2), HeadUnit(voltage=9)


def test_a_knob_from_a_fifth_of_a_volt_to_four_reaches_26_db():
    """20 log 20, by hand."""
    assert LineInput(lowest=0.2, highest=4).range_db == pytest.approx(26.0206, abs=1e-4)
    with pytest.raises(ValueError, match=r"^LineInput\.lowest must be less than highest, got 4 and 0\.2 V"):
        LineInput(lowest=4, highest=0.2)


def test_a_divider_of_equal_resistances_halves():
    """The rule of the voltage divider."""
    converter = Converter(ratio=0.5, output_resistance=1000)
    assert converter.passes(1000) == pytest.approx(0.25)
    assert converter.passes([1000, 3000]) == pytest.approx([0.25, 0.375])
    feed = Feed(source=UNIT, output="loudspeaker", reading=FLAT, converter=converter, input=LineInput(resistance=1000))
    assert feed.passes == pytest.approx(0.25), "nothing is lost before a converter that does not load"
    assert feed.load == np.inf


def test_inputs_side_by_side_load_more():
    """Two inputs of 2000 ohm are 1000 ohm; before them 1000 ohm leave half."""
    feed = Feed(
        source=UNIT, output="line", reading=FLAT, source_resistance=1000, input=LineInput(resistance=2000), inputs=2
    )
    assert feed.load == pytest.approx(1000)
    assert feed.passes == pytest.approx(0.5)


def test_an_output_clips_where_its_head_unit_says():
    assert Feed(source=UNIT, output="line", reading=FLAT).clips_at == 2
    assert Feed(source=UNIT, output="loudspeaker", reading=FLAT).clips_at == pytest.approx(9.1)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (
            lambda: Feed(source=HeadUnit(voltage=9), output="line", reading=FLAT),
            r"Feed\.source\.line_voltage is missing",
        ),
        (lambda: Feed(source=UNIT, output="lines", reading=FLAT), r"Feed\.output must be .* did you mean 'line'"),
        (lambda: Feed(source=9.1, output="line", reading=FLAT), r"Feed\.source must be"),
        (lambda: Feed(source=UNIT, output="line", reading=12), r"Feed\.reading must be"),
        (lambda: Feed(source=UNIT, output="line", reading=FLAT, inputs=0), r"Feed\.inputs must be"),
        (lambda: Converter(ratio=-20), r"Converter\.ratio must be between"),
        (lambda: Converter(ratio=0.1, input_resistance=0), r"Converter\.input_resistance must be between 1 and"),
        (lambda: LineInput(resistance=20e9), r"LineInput\.resistance must be between"),
    ],
)
def test_what_cannot_be_is_refused_by_name(make, said):
    with pytest.raises((ValueError, TypeError), match=said):
        make()
