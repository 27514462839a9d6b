"""Metric and US customary units, where people read and type."""

from __future__ import annotations

from dataclasses import dataclass

from ...units import cm2, cm3, cubic_foot, foot, gram, inch, litre, mm, mm_per_newton, ms, square_inch

SYSTEMS = ("metric", "US customary")


@dataclass(frozen=True, slots=True)
class Shown:
    """A unit as it is shown: its name, its size in SI, and how many decimals a reading has."""

    unit: str
    size: float
    decimals: int

    def number(self, value):
        """Return an SI value as a number in this unit."""
        return value / self.size

    def text(self, value):
        """Return an SI value as text with its unit."""
        number = f"{self.number(value):.{self.decimals}f}"
        return f"{number} {self.unit}" if self.unit else number


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity, as shown in either system."""

    metric: Shown
    customary: Shown

    def shown(self, system):
        """Return the unit used in a system."""
        return self.metric if system == SYSTEMS[0] else self.customary


def same(unit, size=1.0, decimals=1):
    """Return a kind that reads alike in both systems."""
    shown = Shown(unit, size, decimals)
    return Kind(shown, shown)


VOLUME = Kind(Shown("litres", litre, 1), Shown("cubic feet", cubic_foot, 3))
AIR_MOVED = Kind(Shown("cm³", cm3, 0), Shown("cubic inches", inch**3, 1))
AREA = Kind(Shown("cm²", cm2, 1), Shown("square inches", square_inch, 2))
TRAVEL = Kind(Shown("mm", mm, 1), Shown("inches", inch, 3))
LENGTH = Kind(Shown("mm", mm, 0), Shown("inches", inch, 2))
SPEED = Kind(Shown("m/s", 1.0, 1), Shown("feet/s", foot, 0))
FREQUENCY = same("Hz", decimals=1)
DELAY = same("ms", ms, 1)
VOLTAGE = same("volts", decimals=2)
LEVEL = same("dB", decimals=1)
PLAIN = same("", decimals=1)
FACTOR = same("times", decimals=2)
RESISTANCE = same("ohm", decimals=1)
FORCE_FACTOR = same("N/A", decimals=1)
MASS = same("g", gram, 1)
COMPLIANCE = same("mm/N", mm_per_newton, 3)
QUALITY = same("", decimals=2)
TOTAL_Q = same("", decimals=3)
POWER = same("W", decimals=1)
ANGLE = same("degrees", decimals=0)
