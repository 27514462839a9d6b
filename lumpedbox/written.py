"""Quantities as people write them: "0.65 ft^3", "38 L", "12 in"."""

from __future__ import annotations

import functools
import re

from .units import cm2, hertz, litre, metre, mH, mm, ohm, watt

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
    "m3": "metre**3",
    "m2": "metre**2",
    "": "dimensionless",
}

# Units of our own tables with their size in SI, so that a page need not wait for pint to load. A test holds them to it.
COMMON = {
    ("Hz", "Hz"): hertz,
    ("L", "m3"): litre,
    ("cm^2", "m2"): cm2,
    ("ohm", "ohm"): ohm,
    ("mH", "H"): mH,
    ("mm", "m"): mm,
    ("m", "m"): metre,
    ("W", "W"): watt,
    ("L", "litres"): 1.0,
}


@functools.cache
def registry():
    """Return the registry of units; made when first needed, since pint takes a while to load."""
    import pint

    return pint.UnitRegistry()


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
    import pint

    try:
        given = registry().Quantity(1.0, registry().parse_units(_in_words(unit)))
        return float(given.to(_in_words(si_unit)).magnitude)
    except pint.DimensionalityError:
        raise ValueError(f"{unit!r} cannot be turned into {si_unit or 'a plain number'}") from None
    except (pint.PintError, ValueError, TypeError, AssertionError, AttributeError, ZeroDivisionError):
        raise ValueError(f"{unit!r} is not a unit that is known") from None


def number_in(text, unit, size):
    """Read a number with its unit, in SI units.

    Parameters
    ----------
    text : str
        Such as "38 L".
    unit : str
        A unit of what is asked for; "dB" and plain numbers may stand without one.
    size : float
        That unit in SI.

    Raises
    ------
    ValueError
        In words for the one who typed it.
    """
    text = text.strip().replace("−", "-")
    if re.match(r"[-+]?\d+,\d", text):
        raise ValueError(f"{text!r} is not a number: write a point for the comma.")
    match = re.fullmatch(r"([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*(.*)", text)
    if not match:
        raise ValueError(f"{text!r} is not a number.")
    number, written = float(match[1]), match[2]
    if unit == "dB":
        if written.lower() not in ("", "db"):
            raise ValueError(f"The answer is in dB, not in {written}.")
        return number
    if unit and not written:
        raise ValueError(f"Write the unit too, as in {number:g} {unit}.")
    try:
        return number * factor(written, unit) * size
    except ValueError as error:
        raise ValueError(f"{error}.") from None


def _in_words(unit):
    return WRITTEN.get(unit, unit)
