"""Metric and US customary units, where people read and type."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...figures.garage.lengths import SIXTEENTH, inches
from ...units import (
    cm,
    cm2,
    cm3,
    cubic_foot,
    cubic_inch,
    foot,
    gram,
    inch,
    litre,
    mm,
    mm_per_newton,
    ms,
    square_inch,
    uF,
)

SYSTEMS = ("metric", "US customary")
FINER = 3  # in how many ways a number that was typed shows its decimals: as the unit has them, one more, two more
OF_ONE = {"litres": "litre", "cubic feet": "cubic foot", "feet": "foot", "inches": "inch", "degrees": "degree"}


@dataclass(frozen=True, slots=True)
class Shown:
    """A unit as it is shown: its name, its size in SI, and how many decimals a reading and a word about it have."""

    unit: str
    size: float
    decimals: int
    told: int | None = None  # at most; if None, as many as a reading has, or as make two digits

    def number(self, value):
        """Return an SI value as a number in this unit."""
        return value / self.size

    def text(self, value):
        """Return an SI value as a reading with its unit."""
        return self._with_unit(f"{self.number(value):.{self.decimals}f}")

    def reading(self, value):
        """Return an SI value as a field shows it, without its unit: what was typed more finely is not cut off."""
        number = self.number(value)
        decimals = range(self.decimals, self.decimals + FINER)
        exact = (some for some in decimals if math.isclose(round(number, some), number, rel_tol=1e-9))
        return f"{number:.{next(exact, self.decimals)}f}"

    def stops(self, low, high, start, step):
        """Return where a slider stops, in whole steps from its start. [SI]"""
        begin, lowest, highest = map(self.number, (start, low, high))
        step = _rounded_step(self.number(step))
        first, last = math.ceil((lowest - begin) / step - 1e-9), math.floor((highest - begin) / step + 1e-9)
        return [start + number * step * self.size for number in range(first, last + 1)]

    def in_words(self, value):
        """Return an SI value as one says it: in three digits at most, and none that say nothing."""
        number = self.number(value)
        if number == 0 or not math.isfinite(number):
            return self._with_unit(f"{abs(number):g}")
        whole, first = f"{number:.0f}", math.floor(math.log10(abs(number)))
        if math.isclose(number, float(whole), rel_tol=1e-9):
            return f"1 {OF_ONE[self.unit]}" if whole == "1" and self.unit in OF_ONE else self._with_unit(whole)
        most = max(self.decimals, 1 - first) if self.told is None else self.told
        rounded = f"{number:.{max(0, min(2 - first, most))}f}"
        return self._with_unit(rounded.removeprefix("-") if float(rounded) == 0 else rounded)

    def _with_unit(self, number):
        return f"{number} {self.unit}" if self.unit else number


def _rounded_step(step):
    """Round to 1, 2 or 5 times a power of ten, so that the arrow keys move in round numbers."""
    power = 10 ** math.floor(math.log10(step))
    return min((1, 2, 5, 10), key=lambda digit: abs(math.log(digit * power / step))) * power


class Sixteenths(Shown):
    """Inches as a tape measure has them, where a length is one of its marks; else with decimals."""

    __slots__ = ()

    def reading(self, value):
        """Return an SI value as a field shows it, without its unit."""
        on_mark = abs(value - round(value / SIXTEENTH) * SIXTEENTH) < 0.5 * self.size / 10**self.decimals
        return inches(value) if on_mark else Shown.reading(self, value)

    def stops(self, low, high, start, step):
        """Return where a slider stops: on every mark, every second, every fourth and so on. [SI]"""
        step = max(2.0 ** round(math.log2(self.number(step))), 1 / 16)
        first, last = math.ceil(self.number(low) / step - 1e-9), math.floor(self.number(high) / step + 1e-9)
        return [number * step * self.size for number in range(first, last + 1)]

    def in_words(self, value):
        """Return an SI value as one says it; what is less than half a mark has decimals."""
        return Shown.in_words(self, value) if 0 < abs(value) < SIXTEENTH / 2 else self.on_tape(value)

    def on_tape(self, value):
        """Return an SI value by the nearest mark, with its unit."""
        unit = self.unit if abs(value) > 16.5 * SIXTEENTH else OF_ONE.get(self.unit, self.unit)
        return f"{inches(value)} {unit}".strip()


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity, as shown in either system."""

    metric: Shown
    customary: Shown

    def shown(self, system):
        """Return the unit used in a system."""
        return self.metric if system == SYSTEMS[0] else self.customary

    def __call__(self, value):
        """Return an SI value of this kind."""
        return Number(self, float(value))


@dataclass(frozen=True, slots=True)
class Number:
    """A value of some kind, to be said in the reader's units.

    Attributes
    ----------
    kind : Kind
    value : float
        [SI]
    """

    kind: Kind
    value: float

    def text(self, system):
        """Return it with its unit, as one says it."""
        return self.kind.shown(system).in_words(self.value)


def same(unit, size=1.0, decimals=1, told=None):
    """Return a kind that reads alike in both systems."""
    shown = Shown(unit, size, decimals, told)
    return Kind(shown, shown)


VOLUME = Kind(Shown("litres", litre, 1), Shown("cubic feet", cubic_foot, 3))
AIR_MOVED = Kind(Shown("cm³", cm3, 0), Shown("cubic inches", cubic_inch, 1))
AREA = Kind(Shown("cm²", cm2, 1), Shown("square inches", square_inch, 2))
TRAVEL = Kind(Shown("mm", mm, 1), Shown("inches", inch, 3))
WOOD = Kind(Shown("mm", mm, 0), Sixteenths("inches", inch, 2))  # what is measured with a tape, and sawn
LENGTH = Kind(Shown("mm", mm, 0), Shown("inches", inch, 2))
WAY = Kind(Shown("m", 1.0, 2), Shown("feet", foot, 2))
SPEED = Kind(Shown("m/s", 1.0, 1, 0), Shown("feet/s", foot, 0))
DRAUGHT = Kind(Shown("m/s", 1.0, 2), Shown("feet/s", foot, 2))  # of air that is felt rather than heard
FREQUENCY = same("Hz", decimals=1, told=0)
DELAY = same("ms", ms, 1, told=1)
VOLTAGE = same("V", decimals=2, told=1)
LEVEL = same("dB", decimals=1, told=1)
PLAIN = same("", decimals=1)
FACTOR = same("times", decimals=2)
RESISTANCE = same("ohm", decimals=1)
CAPACITANCE = same("µF", uF, 1)
FORCE_FACTOR = same("N/A", decimals=1)
MASS = same("g", gram, 1)
COMPLIANCE = same("mm/N", mm_per_newton, 3)
QUALITY = same("", decimals=2)
TOTAL_Q = same("", decimals=3)
SHIFT = Kind(Shown("cm", cm, 0), Shown("inches", inch, 0))
POWER = same("W", decimals=1)
ANGLE = same("degrees", decimals=0)
