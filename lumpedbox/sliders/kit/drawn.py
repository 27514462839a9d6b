"""Numbers for a student's own questions, rounded as they are printed."""

from __future__ import annotations

from dataclasses import dataclass

from ...air import Air
from .systems import SPEED


@dataclass(frozen=True, slots=True)
class Follows:
    """A number of a question that follows from those before it.

    Attributes
    ----------
    kind : Kind
        Its unit, and the decimals that it is printed to.
    of : callable
        Takes the numbers before it as printed, returns it. [SI]
    """

    kind: object
    of: object

    def as_printed(self, value, system):
        """Return what the text says, which is all that a student knows. [SI]"""
        shown = self.kind.shown(system)
        return round(shown.number(value), shown.decimals) * shown.size

    def text(self, value, system):
        """Return a value with its unit, without zeros at the end."""
        shown = self.kind.shown(system)
        return f"{round(shown.number(value), shown.decimals):g} {shown.unit}".strip()


SPEED_OF_SOUND = Follows(SPEED, lambda given: Air().sound_speed)  # at 20 °C, printed wherever it is needed


@dataclass(frozen=True, slots=True)
class Drawn:
    """A number of a question that is drawn.

    Attributes
    ----------
    kind : Kind
        Its unit, and the decimals that it is printed to.
    choices : tuple of float
        What it may be, in the metric unit.
    """

    kind: object
    choices: tuple

    def draw(self, random):
        """Return one of the choices. [SI]"""
        return float(random.choice(self.choices)) * self.kind.metric.size

    as_printed, text = Follows.as_printed, Follows.text


@dataclass(frozen=True, slots=True)
class Name:
    """A name that is drawn.

    Attributes
    ----------
    choices : tuple of str
    """

    choices: tuple

    def draw(self, random):
        """Return one of the names."""
        return str(random.choice(self.choices))

    def as_printed(self, value, system):
        """Return the name."""
        return value

    text = as_printed
