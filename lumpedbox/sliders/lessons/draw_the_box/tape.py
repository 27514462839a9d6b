"""In what a list of lengths is written where a number has no unit: mm, or inches if its first line says so."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from ....tables.quantity_text import number_in
from ....units import inch, mm
from ...kit.controls import BARE
from ...kit.systems import SYSTEMS

NEAR = 1e-9  # m
ON_MARK = 1e-5  # of an inch
FINEST = 64  # marks of an inch


class Tape(NamedTuple):
    """A unit in which bare numbers are read and written.

    Attributes
    ----------
    unit : str
    size : float
        [m]
    others : tuple of str
        What else a bare number may be meant in.
    """

    unit: str
    size: float
    others: tuple

    def length(self, text, line):
        """Return a length of a line. [m]"""
        try:
            return float(number_in(text, "", self.size) if BARE.fullmatch(text) else number_in(text, "mm", mm))
        except ValueError as error:
            raise ValueError(f"{line!r}: {error}") from None

    def within(self, text, line, low, high):
        """Return a length of a line; refuse one that is out of reach, with the unit that would bring it in. [m]"""
        length = self.length(text, line)
        if low - NEAR <= length <= high + NEAR:
            return length
        other = [f"{text} {unit}" for unit in self.others if BARE.fullmatch(text)]
        likely = [each for each in other if low <= self.length(each, line) <= high]
        meant = f" Did you mean {likely[0]}?" if likely else ""
        ends = f"{self.bare(low)} to {self.bare(high)} {self.unit}"
        raise ValueError(f"{line!r}: {self.bare(length)} {self.unit} is outside {ends}.{meant}")

    def bare(self, length):
        """Return a length without its unit: to a ten-thousandth, or in inches as a fraction if it is on a mark. [m]"""
        marks = length / self.size * FINEST
        if self.size == mm or abs(marks - round(marks)) > ON_MARK * FINEST:
            return number_text(length / self.size)
        whole, rest = divmod(abs(round(marks)), FINEST)
        parts = [str(whole)] * bool(whole or not rest) + [str(Fraction(rest, FINEST))] * bool(rest)
        return "-" * (round(marks) < 0) + " ".join(parts)

    def either(self, in_mm, in_inches):
        """Return what goes with this unit."""
        return in_mm if self.size == mm else in_inches

    def headed(self, text):
        """Return a text that says in what it is written."""
        return text if self.size == mm or not text else f"[{self.unit}]\n{text}"


MM = Tape("mm", mm, ("in", "cm", "m"))
INCHES = Tape("inches", inch, ("mm", "cm"))
TAPES = dict(zip(SYSTEMS, (MM, INCHES), strict=True))
HEAD = re.compile(r"\s*\[inches\]\s*(?:[\n|]|$)")


def tape_of(text):
    """Return in what a text is written, and the text without the line that says so."""
    head = HEAD.match(text)
    return (INCHES, text[head.end() :]) if head else (MM, text)


def number_text(number):
    """Return a number to a ten-thousandth."""
    return f"{round(number, 4) + 0.0:.10g}"
