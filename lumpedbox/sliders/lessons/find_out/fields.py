"""What may be typed or chosen on a check, and how it is read."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ....plan.checks import Reading, read, read_several
from ....tables.quantity_text import with_point
from ....units import cm2, litre, mm
from ...kit.systems import SYSTEMS

NOT_CHOSEN = "choose one"
RANGE = re.compile(r"\s*(?:\bto\b|-|–|—|\.\.)\s*")
ONE, SEVERAL, FROM_TO, PLACE, WORDS = "one", "several", "from, to", "place", "words"
TRANSPORT = "Is it in another unit?"


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One thing that a check asks for.

    Attributes
    ----------
    key : str
    label : str
        Without the unit.
    reading : Reading, optional
        What a number must be; without it, words.
    units : tuple of str
        Of a bare number: metric, and US customary where that differs.
    takes : {"one", "several", "from, to", "place", "words"}
    options : tuple of str
        To choose from, in place of typing.
    row : str
        What the fields of one row have in common.
    instead : (str, str, Reading), optional
        Key and option of another field, and what is read where that is chosen, in its own unit.
    """

    key: str
    label: str
    reading: Reading | None = None
    units: tuple = ()
    takes: str = ONE
    options: tuple = ()
    row: str = ""
    instead: tuple = ()

    def unit(self, system):
        """Return the unit of a bare number in a system."""
        return self.units[-1 if system == SYSTEMS[1] else 0] if self.units else ""

    def spec(self, system):
        """Return what the browser needs to draw it."""
        unit = self.unit(system)
        return {
            "key": self.key,
            "label": f"{self.label} [{unit}]" if unit else self.label,
            "options": [NOT_CHOSEN, *self.options] if self.options else [],
            "row": self.row,
        }

    def value(self, text, system, typed):
        """Read what is typed or chosen, where some other things are typed on that check. [SI]

        Raises
        ------
        ValueError
            In words for the person who typed it.
        """
        if self.options:
            if text not in self.options:
                raise ValueError(f"Choose one of: {'; '.join(self.options)}.")
            return text
        if self.reading is None:
            return " ".join(text.split())
        if self.instead and typed.get(self.instead[0]) == self.instead[1]:
            return read(self.instead[2], text)
        unit = self.unit(system)
        if self.takes == SEVERAL:
            return read_several(self.reading, text, unit)
        if self.takes == PLACE:
            return self._place(text, unit)
        return self._from_to(text, unit) if self.takes == FROM_TO else read(self.reading, text, unit)

    def _from_to(self, text, unit):
        """Read one value or a range, such as "15 to 30 L"; a bare value is a range of its own."""
        parts = [with_point(part) for part in RANGE.split(text.strip()) if part]
        if len(parts) > 2:
            raise ValueError("Write one number, or two with to between them: 15 to 30 L.")
        last = re.search(r"[^\W\d_].*$", parts[-1]) if parts else None
        values = [read(self.reading, part, last[0].strip() if last else unit) for part in parts]
        if values != sorted(values):
            raise ValueError("This range falls: write the smaller number first.")
        return values[0], values[-1]

    def _place(self, text, unit):
        """Read three lengths: from the front, from the left, from the floor."""
        found = read_several(self.reading, text, unit)
        if len(found) != 3:
            raise ValueError(
                "Write three lengths: from the front, from the left, from the floor, as in 2.6, 0.5, 1.15."
            )
        return tuple(found)


LIVE = "There are volts on these wires. Take the leads off, and unplug the pair at the amplifier."
OHMS = Reading(
    unit="ohm",
    high=100.0,
    minus=LIVE,
    beyond="No loudspeaker has that much: is the meter on its k range, or a contact dirty?",
    overload="",
)
LEADS = Reading(unit="ohm", high=3.0, minus=LIVE, beyond="Leads read less: are they touching, and clean?")
AC = Reading(
    unit="V",
    high=60.0,
    minus="AC volts are never negative: is the meter on DC?",
    beyond="No vehicle's amplifier of a few hundred watts gives that: is it in mV?",
)
BY_PHONE = Reading(unit="dB", high=140.0, minus="Levels below 0 dB are counted from full scale: choose dB of sound.")
DC = Reading(
    unit="V",
    high=60.0,
    minus="The leads are swapped: red goes to +.",
    beyond="That is a high-voltage system, or mV: stop, and leave it to a qualified person.",
)
DROP = Reading(
    unit="V",
    high=2.0,
    minus="The leads are swapped: red goes to the battery.",
    beyond="A feed that loses 2 V is faulty, or this is no drop: read from + to +, not from + to ground.",
)
MILLIVOLTS = Reading(unit="mV", size=1e-3, high=0.1, minus="The leads are swapped.", beyond="Is the fuse blown?")
DEPTH = Reading(unit="mm", size=mm, low=5 * mm, high=0.6, beyond=TRANSPORT, minus="A depth is never negative.")
SAG = Reading(unit="mm", size=mm, high=0.2, beyond=TRANSPORT, minus="Write by how much it comes down.")
SIDE = Reading(unit="mm", size=mm, low=20 * mm, high=3.0, beyond=TRANSPORT)
BOARD = Reading(unit="mm", size=mm, high=50 * mm, beyond=TRANSPORT)
VOLUME = Reading(unit="L", size=litre, low=0.1 * litre, high=1.0, beyond=TRANSPORT)
LENGTH = Reading(unit="m", low=0.0, high=15.0, beyond="Is it in cm or mm?")
CABIN = Reading(unit="m", low=0.5, high=15.0, beyond="Is it in cm or mm?")
HOLE = Reading(unit="cm²", size=cm2, high=1.0, beyond=TRANSPORT)
CURRENT = Reading(
    unit="A",
    high=20.0,
    minus="The clamp is round the wire the other way.",
    beyond="No sleeping vehicle takes that much: is it in mA?",
)
CHARGE = Reading(unit="Ah", size=1.0, low=1.0, high=1000.0, beyond="Is that mAh?")
MINUTES = Reading(unit="minute", size=1.0, high=1e4, beyond="Write minutes.")
