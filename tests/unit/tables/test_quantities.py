"""Quantities with their units in every spelling, and what must not be read in silence.

Factors: an inch is 25.4 mm (international yard and pound agreement, 1959, from memory); prefixes of the SI.
"""

import pytest

from lumpedbox.tables.quantity_text import factor, number_in, size_in, with_point, with_unit

INCH = 25.4e-3


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("58 KHZ", "Hz", 58e3),
        ("4 OHM", "ohm", 4.0),
        ("4 Ohm", "ohm", 4.0),
        ("3 cu.ft.", "m3", 3 * (12 * INCH) ** 3),
        ("3 cu ft", "m3", 3 * (12 * INCH) ** 3),
        ("2 ft3", "m3", 2 * (12 * INCH) ** 3),
        ("2ft3", "litres", 2000 * (12 * INCH) ** 3),
        ("2 cuft", "m3", 2 * (12 * INCH) ** 3),
        ("2 ft2", "m2", 2 * (12 * INCH) ** 2),
        ("2 ft 3", "m", 27 * INCH),
        ("31 Cu. In.", "m3", 31 * INCH**3),
        ("21 sq. in.", "m2", 21 * INCH**2),
        ("6.5 in.", "m", 6.5 * INCH),
        ("6 ½ in", "m", 6.5 * INCH),
        ("½″", "m", 0.5 * INCH),
        ("6¼''", "m", 6.25 * INCH),
        ("6-1/2 in", "m", 6.5 * INCH),
        ("15 ft 1 in", "m", 181 * INCH),
        ("15'1\"", "m", 181 * INCH),
        ("15' 1 1/2\"", "m", 181.5 * INCH),
        ("15′ 1.5″", "mm", 1000 * 181.5 * INCH),
        ("5 ft. 11 in.", "m", 71 * INCH),
        ("5 feet, 11 inches", "m", 71 * INCH),
        ("165 MM", "m", 0.165),
        ("13.4 G", "kg", 13.4e-3),
        ("50 w", "W", 50.0),
        ("50W r.m.s.", "W", 50.0),
        ("50 watts RMS", "W", 50.0),
        ("9.1 V rms", "V", 9.1),
        ("9.1 v", "V", 9.1),
        ("4.7 UF", "F", 4.7e-6),
        ("300 uh", "H", 300e-6),
    ],
)
def test_in_any_spelling(text, unit, value):
    assert number_in(text, unit, 1.0) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("58", "58 mm"),
        ("6 1/2", "6 1/2 mm"),
        ("6½", "6½ mm"),
        ("6x9", "6x9 mm"),
        ("−3", "−3 mm"),
        ("1e3", "1e3 mm"),
        ("58 cm", "58 cm"),
        ("6x9 in", "6x9 in"),
        ('6" x 9', '6" x 9'),
        ("5,8", "5,8"),
        ("", ""),
        ("5 to 8", "5 to 8"),
        ("<b>", "<b>"),
        ("4" * 5000, "4" * 5000 + " mm"),
    ],
)
def test_only_a_number_that_stands_alone_takes_a_unit(text, shown):
    assert with_unit(text, "mm") == shown
    assert with_unit(text, "") == text


def test_an_axis_without_a_unit_has_that_of_the_other():
    for text in ("6 x 9 in", '6" by 9"', '6"×9', "9 in x 6 in", "6X9″", "9*6 in"):
        assert size_in(text, "mm", 1e-3) == pytest.approx((6 * INCH, 9 * INCH), rel=1e-9)
    assert size_in("15 cm x 230 mm", "mm", 1e-3) == pytest.approx((0.15, 0.23), rel=1e-9)
    assert size_in("165 mm", "mm", 1e-3) == pytest.approx(0.165)


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        ("1,500 L", "m3", r"for thousands; for decimals, write a point\. Is it 1500, or 1\.500\?$"),
        ("1,234,500 L", "m3", r"Is it 1234500, or 1\.234\?$"),
        ("0,535 L", "m3", r"^'0,535 L' is not a number: write a point for the comma\.$"),
        ("+/-4 mm", "m", "write the number one way, without ±; for a travel, say beside it how it is counted"),
        ("58 Hz ± 10 %", "Hz", r"^'58 Hz ± 10 %': write one number, without ±\.$"),
        ("4 mm ±", "m", "write one number, without ±"),
        ("55-60 Hz", "Hz", r"^'55-60 Hz' is a range: write one number\.$"),
        ("55 – 60 Hz", "Hz", "is a range: write one number"),
        ("55 to 60 Hz", "Hz", "is a range: write one number"),
        ("1/2 - 3/4 in", "m", "is a range: write one number"),
        ("4 mm rms", "m", "'mm rms' is not a known unit"),
        ("165 MM", "Hz", "'MM' cannot be converted to Hz"),
        ("", "m", "'' is not a number"),
    ],
)
def test_what_is_refused(text, unit, said):
    with pytest.raises(ValueError, match=said):
        number_in(text, unit, 1.0)


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("0,5", "0.5"),
        ("0,500 L", "0.500 L"),  # no thousands begin with 0
        ("−12,5 dB", "−12.5 dB"),
        (",5", ".5"),
        ("1500,5", "1500.5"),  # nobody writes 1500,500 for thousands either
        ("1,5e3 Hz", "1.5e3 Hz"),
        ("1,500", "1,500"),
        ("12,345,678", "12,345,678"),
        ("1,5,5", "1,5,5"),
        ("1.234,5", "1.234,5"),
        ("1,2.5", "1,2.5"),
        ("4, or 5", "4, or 5"),
        ("1 000", "1000"),
        ("1\u202f000 Hz", "1000 Hz"),  # a thin space, as SI writes it
        ("12\u2009345\u2009678,5 mm", "12345678.5 mm"),
        (" −1 000.5", "−1000.5"),
        ("17 3/4 in", "17 3/4 in"),
        ("17 300/400 in", "17 300/400 in"),
        ("1 0000", "1 0000"),
        ("1 000 00", "1 000 00"),
        ("0 500", "0 500"),
        ("1000 500", "1000 500"),
        ("160 to 200", "160 to 200"),
    ],
)
def test_a_comma_becomes_a_point_where_it_can_only_stand_for_decimals(text, read):
    assert with_point(text) == read


def test_a_space_for_thousands_is_named_where_it_is_not_taken():
    """SI brochure 5.4.4 (from memory): digits in groups of three by a thin space."""
    with pytest.raises(ValueError, match=r"^'1 000 Hz' is not a number: leave out a space for thousands"):
        number_in("1 000 Hz", "Hz", 1.0)


def test_a_minus_is_no_range():
    assert number_in("-6 1/2 in", "m", 1.0) == pytest.approx(-0.1651)
    assert number_in("-3 dB", "dB", 1.0) == -3
    assert number_in("1e-3 m", "m", 1.0) == 1e-3


@pytest.mark.parametrize(("unit", "si"), [("gr", "kg"), ("mF", "F")])
def test_a_heading_is_not_mistaken_either(unit, si):
    with pytest.raises(ValueError, match=f"^'{unit}' means "):
        factor(unit, si)
