"""What a reading means, as data: in words, how sure it is, what to doubt, and what of a plan it fills in."""

from __future__ import annotations

from dataclasses import dataclass

from ...kit.answer import Said
from ...kit.systems import Kind, Shown, same

PRACTICE = "common practice, no source"
DAYS = same("days", decimals=1)
AMPERES = same("A", decimals=3)
PART = same("%", 0.01, 0)
OHMS = same("ohm", decimals=2)
SMALL_VOLTS = same("V", decimals=2, told=2)
LENGTH = Kind(Shown("m", 1.0, 2, 2), Shown("feet", 0.3048, 2, 2))
MEASURED = "measured"  # as a filter of a plan begins that says what a source does


@dataclass(frozen=True, slots=True)
class Fill:
    """What a reading fills in.

    Attributes
    ----------
    table : str
        Of a plan: "opening", "channel", "cabin" or "plan". Of one's own parts: "driver" or "head_unit".
    values : dict
        Key: what stands there, as text or as a list of texts.
    """

    table: str
    values: dict


@dataclass(frozen=True, slots=True)
class Meaning:
    """What the readings of a check mean.

    Attributes
    ----------
    told : tuple of Said
        The first is the answer.
    sure : Said or None
        How sure that is.
    doubts : tuple of Said
        What cannot be true, or may mean something else.
    fills : tuple of Fill
    stop : Said or None
        Why to stop, whatever else is to be measured.
    """

    told: tuple[Said, ...] = ()
    sure: Said | None = None
    doubts: tuple[Said, ...] = ()
    fills: tuple[Fill, ...] = ()
    stop: Said | None = None

    @property
    def answers(self):
        """Whether the check is done."""
        return bool(self.told)


NOTHING = Meaning()
