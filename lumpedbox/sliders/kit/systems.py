"""Metric and US customary units, where people read and type."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...units import cm2, cm3, cubic_foot, cubic_inch, foot, gram, inch, litre, mm, mm_per_newton, ms, square_inch, uF

SYSTEMS = ("metric", "US customary")
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
POWER = same("W", decimals=1)
ANGLE = same("degrees", decimals=0)
