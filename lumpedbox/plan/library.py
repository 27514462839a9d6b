"""The parts that a plan may name: one's own, the shipped ones, or numbers written in their place."""

from __future__ import annotations

import copy
import dataclasses
from pathlib import Path

from ..errors import Incomplete
from ..tables import demo_amplifiers, demo_cabins, demo_drivers, demo_head_units
from ..tables.channels import NOTHING, part_named
from ..tables.entries import known_of, part_of
from ..tables.my_parts import read_what_is_right

WRITE = "write a name in quotes"
NUMBERS = {
    "driver": ', or its numbers, as in { size = "165 mm", kind = "woofer" }',
    "amplifier or head unit": ', or its numbers, as in { power = "75 W", rated_impedance = "4 ohm" }',
}


class Library:
    """What a plan may name.

    Parameters
    ----------
    path : path-like
        Of `my_parts.toml`; what is wrong with other parts in it is no concern of the plan.
    """

    def __init__(self, path):
        self.path = Path(path)
        kept, _ = read_what_is_right(self.path)
        own = kept.parts
        self.drivers = demo_drivers() | {name: sheet.driver for name, sheet in own["driver"].items()}
        self.sources = demo_head_units() | demo_amplifiers() | own["head_unit"] | own["amplifier"]
        self.cabins = demo_cabins() | own["cabin"]
        self.unfinished = kept.unfinished

    def driver(self, typed):
        """Return the driver of a name, or of the numbers of a table."""
        if isinstance(typed, dict):
            return _made("driver", typed.get("name", "driver of the plan"), _without_name(typed)).driver
        return self._named("driver", typed, self.drivers, ("driver",))

    def source(self, typed):
        """Return the amplifier or head unit of a name, or of the numbers of a table; None of "nothing"."""
        if typed == NOTHING:
            return None
        if isinstance(typed, dict):
            kind = "amplifier" if typed.keys() & {"power", "rated_impedance", "output_resistance"} else "head_unit"
            return _made(kind, typed.get("name", "amplifier of the plan"), _without_name(typed))
        kinds = ("head_unit", "amplifier")
        return self._named("amplifier or head unit", typed, self.sources, kinds)

    def cabin(self, typed):
        """Return the cabin of a name, with its resonances."""
        found = self._named("cabin", typed, self.cabins, ("cabin",))
        return dataclasses.replace(found, law="modes", table=None)

    def made_cabin(self, known):
        """Return the cabin of its sizes, with its resonances."""
        try:
            return part_of("cabin", "cabin of the plan", known | {"law": "modes"})
        except Incomplete as error:
            raise ValueError(f"too little is written: {error}; or write use = and the name of a cabin") from None

    def with_parts(self, items):
        """Return a library in which the parts of a plan may be named too, before others of the same name."""
        wider = copy.copy(self)
        drivers = {name: item.driver for name, item in items.items() if item.driver is not None}
        sources = {name: item.amplifier for name, item in items.items() if item.amplifier is not None}
        wider.drivers, wider.sources = self.drivers | drivers, self.sources | sources
        return wider

    def _named(self, kind, name, known, kinds):
        if not isinstance(name, str):
            raise ValueError(WRITE + NUMBERS.get(kind, ""))
        lacking = {name: error for (kind, name), error in self.unfinished.items() if kind in kinds}
        return part_named(kind, " ".join(name.split()), known, lacking)


def _without_name(typed):
    return {key: value for key, value in typed.items() if key != "name"}


def _made(kind, name, typed):
    """Make a part from what a table says of it."""
    if not isinstance(name, str):
        raise ValueError("name: write it in quotes")
    try:
        return part_of(kind, name, known_of(kind, typed))
    except Incomplete as error:
        raise ValueError(f"too little is written: {error}") from None
