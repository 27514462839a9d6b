"""Lengths, volumes and angles as they stand on paper."""

from __future__ import annotations

import math
from fractions import Fraction

from ...units import cubic_foot, inch, litre, mm

METRIC, CUSTOMARY = "metric", "US customary"
UNITS = {METRIC: "mm", CUSTOMARY: "in"}
SIXTEENTH = inch / 16
STEP_OF_FORCE = 50.0  # N
HALF_UP = 1e-6  # of a unit: what is half way but for rounding of numbers goes up


def grid_of(system):
    """Return what lengths are rounded to. [m]"""
    return mm if system == METRIC else SIXTEENTH


def sheet_sizes(length, width, system):
    """Return what there is of a sheet, without its unit: rounded down, for no more can be cut from it."""
    grid = grid_of(system)
    return " x ".join(bare(math.floor(side / grid + HALF_UP) * grid, system) for side in (length, width))


def sheet_text(length, width, system):
    """Return what there is of a sheet, with its unit."""
    return f"{sheet_sizes(length, width, system)} {UNITS[system]}"


def force_text(newtons):
    """Return what a fixing must hold: rounded up, in steps that one can say."""
    return f"{at_least(newtons):.0f} N"


def at_least(newtons):
    """Return a force rounded up to what one can say. [N]"""
    return math.ceil(newtons / STEP_OF_FORCE) * STEP_OF_FORCE


def length_text(value, system):
    """Return a length in mm, or in inches with sixteenths."""
    return f"{bare(value, system)} {UNITS[system]}"


def fine_text(value, system):
    """Return a thickness: to a tenth of a millimetre, or to a thousandth of an inch."""
    return f"{value / mm:.1f} mm" if system == METRIC else f"{value / inch:.3f} in"


def bare(value, system):
    """Return a length without its unit."""
    return f"{value / mm + HALF_UP:.0f}" if system == METRIC else inches(value)


def inches(value):
    """Return a length in inches, as a whole number and a fraction."""
    sixteenths = round(value / SIXTEENTH + HALF_UP)
    sign, (whole, rest) = "-" if sixteenths < 0 else "", divmod(abs(sixteenths), 16)
    part = str(Fraction(rest, 16)) if rest else ""
    return sign + (f"{whole} {part}".strip() if whole or not part else part)


def margin_words(margin, system):
    """Return the words of a margin, and where the middle of what it is about may lie."""
    if margin.between is None or margin.between[0] > margin.between[1]:
        return margin.words
    low, high = margin.between
    return f"{margin.words} Its middle may lie {bare(low, system)} to {length_text(high, system)} along it."


def volume_text(value, system):
    """Return a volume in litres or cubic feet."""
    return f"{value / litre:.2f} litres" if system == METRIC else f"{value / cubic_foot:.3f} cubic feet"


def angle_text(value):
    """Return an angle in degrees."""
    return f"{math.degrees(value):.1f}°"
