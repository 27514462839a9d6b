"""Quantities as people write them: factors of NIST SP 811 (from memory), and slips that must not pass in silence."""

import pytest

from lumpedbox.tables.quantity_text import number_in


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("58hz", "Hz", 58.0),
        ("58 HZ", "Hz", 58.0),
        ("0.3 mh", "H", 0.3e-3),
        ("4 ohms", "ohm", 4.0),
        ("15 dm3", "m3", 0.015),
        ("1200 mm2", "m2", 1.2e-3),
        ("137 sq. cm", "m2", 0.0137),
        ("0.5 cu. ft.", "m3", 0.5 * 0.3048**3),
        ("6½ in", "m", 6.5 * 0.0254),
        ("6 1/2”", "m", 6.5 * 0.0254),
        ("¾ in", "m", 0.75 * 0.0254),
        ("50 W RMS", "W", 50.0),
        ("4.7 mfd", "F", 4.7e-6),
        ("4.7 µF", "F", 4.7e-6),
        ("= 55 Hz", "Hz", 55.0),
        ("80 ccm", "m3", 80e-6),
    ],
)
def test_what_people_write(text, unit, value):
    assert number_in(text, unit, 1.0) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        ("13.4 gr", "kg", "'gr' means grains: write g for grams"),
        ("4.7 mF", "F", "'mF' means thousands of microfarads: write uF"),
        ("1,500 L", "m3", "leave out a comma for thousands; for decimals, write a point"),
        ("15,5 L", "m3", "write a point for the comma"),
        ("±4 mm", "m", "write the number one way, without ±"),
        ("1e999 Hz", "Hz", "^'1e999 Hz' is too large a number"),
        ("9" * 400 + "/1 Hz", "Hz", "is too long for a number with its unit"),
        ("5 10**10**10", "Hz", "'10\\*\\*10\\*\\*10' is not a known unit"),
        ("5 Hz^9^9^9", "Hz", "is not a known unit"),
        ("5 (9)**(9)**(9) Hz", "Hz", "is not a known unit"),
    ],
)
def test_slips_that_would_pass(text, unit, said):
    with pytest.raises(ValueError, match=said):
        number_in(text, unit, 1.0)
