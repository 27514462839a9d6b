"""Readings as people write them down: with a comma, without a unit, or as the OL of a meter."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import inf, isinf

from ...tables.quantity_text import number_in, with_point, with_unit

OVERLOAD = re.compile(r"[0o]\.?\s?l\.?|over(load)?|open|1\s?[._]|inf(inity|inite)?|∞", re.IGNORECASE)
SEVERAL = re.compile(r"\s*;\s*|\s+and\s+|\s*\n\s*")  # between readings; so does a comma with a blank behind it
ANOTHER_UNIT, METER = re.compile(r"\d\s*[^\W\d_]"), ("ohm", "V", "mV", "A")
RANGE = " Is the meter on the range that this asks for?"
TOO_MANY = 40  # readings in one field


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a field of a check takes.

    Attributes
    ----------
    unit : str
        As it is read, such as "ohm" or "mm".
    size : float
        That unit in SI.
    low, high : float
        What can be true. [SI]
    minus : str
        What a minus sign means.
    beyond : str
        What a reading above the range means; it is told with the value.
    overload : str
        What to do where the meter shows OL; empty where OL is an answer, infinity.
    """

    unit: str
    size: float = 1.0
    low: float = 0.0
    high: float = inf
    minus: str = "This cannot be negative."
    beyond: str = "That is more than can be true here."
    overload: str = "OL is no answer here: choose the next higher range, and read again."


def read(reading, text, unit=""):
    """Return what was read; infinity where the meter shows OL and that is an answer. [SI]

    Parameters
    ----------
    reading : Reading
    text : str
        As typed.
    unit : str
        What a bare number is in.

    Raises
    ------
    ValueError
        In words for the person who typed it: not a number, another unit, negative, or beyond what can be true.

    Examples
    --------
    >>> ohms = Reading(unit="ohm", high=100, overload="")
    >>> read(ohms, "3,4"), read(ohms, "O.L"), read(ohms, "0.0034 kohm")
    (3.4, inf, 3.4)
    """
    text = " ".join(text.replace("Ω", "ohm").split())
    if OVERLOAD.fullmatch(text):
        if reading.overload:
            raise ValueError(reading.overload)
        return inf
    try:
        number = number_in(with_unit(with_point(text), unit or reading.unit), reading.unit, reading.size)
    except ValueError as error:
        raise ValueError(f"{error}{RANGE if ANOTHER_UNIT.search(text) and reading.unit in METER else ''}") from None
    if number < 0:
        raise ValueError(f"{text} is negative. {reading.minus}")
    if not reading.low <= number <= reading.high:
        bounds = f"between {reading.low / reading.size:g} and {reading.high / reading.size:g} {reading.unit}"
        if isinf(reading.high):
            bounds = f"at least {reading.low / reading.size:g} {reading.unit}"
        raise ValueError(f"{text} is not {bounds}. {reading.beyond if number > reading.high else _small(reading)}")
    return number


def _small(reading):
    return f"Is it in another unit than {reading.unit}?"


def read_several(reading, text, unit=""):
    """Return several readings of one field, in their order; a comma with a blank behind it stands between two. [SI]

    Parameters
    ----------
    reading : Reading
    text, unit : str
        As for `read`.

    Raises
    ------
    ValueError
        As for `read`, for the first that cannot be true.

    Examples
    --------
    >>> read_several(Reading(unit="V"), "2.0, 2.8; 3,9 V")
    [2.0, 2.8, 3.9]
    """
    parts = [part for part in re.split(rf"{SEVERAL.pattern}|\s*,\s+", text.strip()) if part]
    if len(parts) == 1 and len(bare := parts[0].split()) > 1 and all(re.fullmatch(r"[\d.,]+", one) for one in bare):
        parts = bare  # numbers with blanks between them
    if len(parts) > TOO_MANY:
        raise ValueError(f"Write at most {TOO_MANY} readings.")
    last = re.search(r"[^\W\d_]+\d?$|[\"']$", parts[-1]) if parts else None
    return [read(reading, part, last[0] if last else unit) for part in parts]
