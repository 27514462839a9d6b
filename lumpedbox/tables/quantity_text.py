"""Quantities as people write them: "0.65 ft^3", "38 L", "12 in"."""

from __future__ import annotations

import contextlib
import functools
import math
import re

from ..arguments import Single, takes
from ..quantity import Quantity, Text, shown
from ..units import cm2, gram, hertz, litre, metre, mH, mm, mm_per_newton, ohm, uF, watt

# What is written over a number here, in words that pint knows.
WRITTEN = {
    "litres": "litre",
    "cubic feet": "foot**3",
    "cm²": "cm**2",
    "square inches": "inch**2",
    "inches": "inch",
    "feet/s": "foot/second",
    "volts": "volt",
    "N/A": "newton/ampere",
    "N s/m": "newton*second/metre",
    "Ns/m": "newton*second/metre",
    "Tm": "tesla*metre",
    "m3": "metre**3",
    "m2": "metre**2",
    "": "dimensionless",
    '"': "inch",
    "''": "inch",
    "”": "inch",
    "″": "inch",
    "'": "foot",
    "cu ft": "foot**3",
    "cuft": "foot**3",
    "cu in": "inch**3",
    "sq in": "inch**2",
    "ft3": "foot**3",
    "ft2": "foot**2",
    "in3": "inch**3",
    "in2": "inch**2",
    "cm2": "cm**2",
    "cm3": "cm**3",
    "ccm": "cm**3",
    "mm2": "mm**2",
    "dm3": "dm**3",
    "sq cm": "cm**2",
    "w": "watt",
    "v": "volt",
    "mfd": "microfarad",
    "uf": "microfarad",
    "uh": "microhenry",
    "hz": "hertz",
    "khz": "kilohertz",
    "mh": "millihenry",
    "ohms": "ohm",
}
# Units that pint knows, and that nobody means here.
MISTAKEN = {"gr": "'gr' means grains: write g for grams", "mF": "'mF' means thousands of microfarads: write uF"}
VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4"}
EFFECTIVE = re.compile(r"(w|watts?|v|volts?)\s*r\.?m\.?s\.?", re.IGNORECASE)
POWERS = re.compile(r"\d\d|[\d)]\s*(?:\^|\*\*)")  # no unit has these, and working them out may take for ever
LONGEST = 60  # letters of a number with its unit
RANGE = re.compile(r"(?:[-–—]|to\b|\.\.+)\s*\.?\d")  # behind a number
SIZE = Quantity(unit="", meaning="size of the unit in SI", low=1e-15, high=1e15)
NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
THOUSANDS = re.compile(r"[-+−]?[1-9]\d{0,2}(,\d{3})+(?!\d)")  # a comma for thousands, or else for decimals
SPACED = re.compile(r"\A\s*[-+−]?[1-9]\d{0,2}(\s\d{3})+(?![\d/]|\s\d)")  # spaces for thousands; no fraction follows
AXES = re.compile(r"(?P<first>\S.*?)\s*(?:[xX×*]|\bby\b)\s*(?P<second>[\d.½¼¾].*)")  # of an oval
FRACTION = r"(?P<sign>[-+])?(?:(?P<whole>\d+)[ -])?(?P<over>\d+)/(?P<under>[1-9]\d*)"  # 17 3/4, as carpenters write
FEET_AND_INCHES = re.compile(
    rf"(?P<feet>\d+)\s*(?!ft[23]\Z)(?:ft\.?|feet|foot|'|′|’)[\s,-]*(?:{FRACTION}|(?P<number>{NUMBER}))\s*(?:in\.?|inch(?:es)?|\"|''|″|”)?"
)

# Units of our own tables and plan with their size, so that a page need not wait for pint. A test holds them to it.
COMMON = {
    ("Hz", "Hz"): hertz,
    ("L", "m3"): litre,
    ("cm^2", "m2"): cm2,
    ("ohm", "ohm"): ohm,
    ("mH", "H"): mH,
    ("g", "kg"): gram,
    ("mm/N", "m/N"): mm_per_newton,
    ("mm", "m"): mm,
    ("m", "m"): metre,
    ("W", "W"): watt,
    ("L", "litres"): 1.0,
    ("cm2", "cm²"): 1.0,
    ("uF", "F"): uF,
    ("uF", "µF"): 1.0,
}


@functools.cache
def registry():
    """Return the registry of units; made when first needed, since pint takes a while to load."""
    import pint

    return pint.UnitRegistry()


@takes(unit=Text(), si_unit=Text())
def factor(unit, si_unit):
    """Return what a number in `unit` is multiplied by to be in `si_unit`.

    Parameters
    ----------
    unit, si_unit : str
        As written, such as "ft^3" and "m3".

    Raises
    ------
    ValueError
        If the unit is not known, or measures something else.
    """
    if unit == si_unit or (unit, si_unit) in COMMON:
        return COMMON.get((unit, si_unit), 1.0)
    if unit in MISTAKEN:
        raise ValueError(MISTAKEN[unit])
    if len(unit) > LONGEST or POWERS.search(unit):
        raise ValueError(f"{unit[:LONGEST]!r} is not a known unit")
    import pint

    if si_unit == "Hz" and re.search(r"rad|deg|turn|rev|rpm|grad|cycle", unit):
        raise ValueError(f"{unit!r} is a rotation speed, not a frequency: convert it to turns per second and write Hz")
    try:
        wanted = registry().parse_units(_in_words(si_unit))
    except Exception:  # pint stumbles in many ways over what is not a unit
        raise ValueError(f"{si_unit!r} is not a known unit") from None
    try:
        given = registry().Quantity(1.0, registry().parse_units(_in_words(unit)))
        return float(given.to(wanted).magnitude)
    except Exception as error:
        if unit != unit.lower():
            with contextlib.suppress(ValueError):
                return factor(unit.lower(), si_unit)
        if isinstance(error, pint.DimensionalityError):
            raise ValueError(f"{unit!r} cannot be converted to {si_unit or 'a plain number'}") from None
        raise ValueError(f"{unit!r} is not a known unit") from None


@takes(text=Text(), unit=Text(), size=Single(SIZE))
def number_in(text, unit, size):
    """Read a number with its unit, in SI units.

    Parameters
    ----------
    text : str
        Such as "38 L" or "17 3/4 in".
    unit : str
        A unit of what is asked for; "dB" and plain numbers may stand without one.
    size : float
        That unit in SI.

    Raises
    ------
    ValueError
        In words for the person who typed it.
    """
    text = _tidy(text)
    if len(text) > LONGEST:
        raise ValueError(f"{text[:LONGEST]!r}... is too long for a number with its unit.")
    text = _in_inches(text)
    _refuse_slips(text)
    match = _number_and_unit(text)
    if not match:
        raise ValueError(f"{shown(text)} is not a number.")
    number, written = _number(match), (match["unit"] or "").strip()
    if RANGE.match(written):
        raise ValueError(f"{text!r} is a range: write one number.")
    if not math.isfinite(number):
        raise ValueError(f"{shown(text)} is too large a number.")
    if unit == "dB":
        if written.lower() not in ("", "db", "db(a)", "dba"):
            raise ValueError(f"Write it in dB, not in {written}.")
        return number
    if unit and not written and number:
        raise ValueError(f"Write the unit too, as in {number:g} {unit}.")
    try:
        return number * factor(written or unit, unit) * size
    except ValueError as error:
        raise ValueError(f"{error}.") from None


@takes(text=Text(), unit=Text(), size=Single(SIZE))
def size_in(text, unit, size):
    """Read a nominal size: a number with its unit, or the two axes of an oval such as "6x9 in", in SI units.

    Parameters
    ----------
    text, unit, size
        As for `number_in`. An axis without a unit has that of the other.

    Returns
    -------
    float, or pair of float in rising order

    Raises
    ------
    ValueError
        In words for the person who typed it.
    """
    axes = axes_of(text)
    if len(axes) == 1:
        return number_in(text, unit, size)
    written = next((one for axis in reversed(axes) if (one := _unit_behind(axis))), "")
    if not written:
        raise ValueError(f"Write the unit too, as in {' x '.join(axes)} {unit}.")
    whole = (axis if _unit_behind(axis) else f"{axis} {written}" for axis in axes)
    return tuple(sorted(number_in(axis, unit, size) for axis in whole))


@takes(text=Text())
def axes_of(text):
    """Return the two axes of an oval as written, else the whole text, as a list."""
    text = _tidy(text)
    match = AXES.fullmatch(text) if len(text) <= LONGEST else None
    return [match["first"], match["second"]] if match and _number_and_unit(match["first"]) else [text]


@takes(text=Text(), unit=Text())
def with_unit(text, unit):
    """Return a number that stands alone, or two axes, with a unit behind; anything else as it is.

    Examples
    --------
    >>> with_unit("58", "Hz"), with_unit("6x9", "in"), with_unit("0.53 ft^3", "L")
    ('58 Hz', '6x9 in', '0.53 ft^3')
    """
    found = [_number_and_unit(axis) for axis in axes_of(text)]
    alone = all(match and not match["unit"] for match in found)
    return f"{text} {unit}" if alone and unit else text


@takes(text=Text())
def with_point(text):
    """Return a number with a point for a comma that can only stand for decimals, and without spaces for thousands.

    Anything else is left as it is.

    Examples
    --------
    >>> with_point("0,5"), with_point("12,5 L"), with_point("1,500"), with_point("6 x 9 in"), with_point("1 000 Hz")
    ('0.5', '12.5 L', '1,500', '6 x 9 in', '1000 Hz')
    """
    text = SPACED.sub(lambda match: re.sub(r"\s", "", match[0]), text)
    comma = re.match(r"\s*([-+−]?\d*),(\d+)(?![\d.,])", text)
    if not comma or THOUSANDS.match(text.strip()):
        return text
    return f"{comma[1]}.{comma[2]}{text[comma.end() :]}"


def _tidy(text):
    return text.strip().replace("−", "-").removeprefix("=").strip()


def _in_inches(text):
    """Return a length in feet and inches in inches alone; anything else, as 2 ft3, as it is."""
    match = FEET_AND_INCHES.fullmatch(text)
    return f"{12 * int(match['feet']) + _number(match):.15g} in" if match else text


def _number_and_unit(text):
    """Match a number or a fraction, and what is written behind it; None if there is no number."""
    for sign, fraction in VULGAR.items():
        text = re.sub(rf"(?<=\d)\s?{sign}", f" {fraction}", text).replace(sign, fraction)
    return re.fullmatch(rf"(?:{FRACTION}|(?P<number>{NUMBER}))\s*(?P<unit>\D.*)?", text)


def _unit_behind(text):
    match = _number_and_unit(text)
    return (match["unit"] or "").strip() if match else ""


def _refuse_slips(text):
    """Refuse commas and ±, which mean one thing here and another there."""
    comma = re.match(r"([-+]?\d+),(\d+)", text)
    if comma and THOUSANDS.match(text):
        raise ValueError(
            f"{text!r} is not a number: leave out a comma for thousands; for decimals, write a point. Is it "
            f"{re.match('[-+0-9,]+', text)[0].replace(',', '')}, or {comma[1]}.{comma[2]}?"
        )
    if comma:
        raise ValueError(f"{text!r} is not a number: write a point for the comma.")
    if SPACED.match(text):
        raise ValueError(f"{text!r} is not a number: leave out a space for thousands.")
    if re.match(r"±|\+/-|\+-", text):
        raise ValueError(
            f"{text!r}: write the number one way, without ±; for a travel, say beside it how it is counted."
        )
    if re.search(r"±|\+/-", text):
        raise ValueError(f"{text!r}: write one number, without ±.")


def _number(match):
    if match["number"]:
        return float(match["number"])
    size = float(match["whole"] or 0) + float(match["over"]) / float(match["under"])
    return -size if match["sign"] == "-" else size


def _in_words(unit):
    """Return a unit in words that pint knows, whatever its capitals, and without the dots of abbreviations."""
    effective = EFFECTIVE.fullmatch(unit)
    unit = effective[1] if effective else unit
    without_dots = re.sub(r"(?<=[A-Za-z])\.\s*", " ", unit).strip().lower()
    return WRITTEN.get(unit) or WRITTEN.get(unit.lower()) or WRITTEN.get(without_dots, unit)
