"""Channels among one's own parts: made from the drivers and amplifiers that they name."""

from __future__ import annotations

from dataclasses import dataclass

from ..arguments import takes
from ..errors import Incomplete
from ..parts.amplifier import Amplifier, HeadUnit
from ..parts.box import InfiniteBaffle
from ..parts.loudspeaker import Loudspeaker
from ..parts.network import Capacitor, in_series
from ..parts.system import Channel
from .demo import demo_amplifiers, demo_drivers, demo_head_units
from .entries import ENTRIES, NAME, check_line, near
from .feeds import NOT_KNOWN
from .kept import KEPT

NOTHING = "nothing"  # drives it


@dataclass(frozen=True, slots=True)
class KeptChannel:
    """What a channel feeds, as far as it is known.

    Attributes
    ----------
    name : str
    loudspeakers : tuple of Loudspeaker, or of tuples of Loudspeaker
        As of a `Channel`. Their boxes are not kept: each is in a large panel.
    wiring : {"parallel", "series", "not known yet"}
    source : Amplifier, HeadUnit or None
        What drives it; None where that is not told.
    """

    name: str
    loudspeakers: tuple
    wiring: str
    source: Amplifier | HeadUnit | None

    def wired(self):
        """Return the `Channel`.

        Raises
        ------
        ValueError
            If it is not known how it is wired.
        """
        if self.wiring == NOT_KNOWN:
            raise ValueError(f"KeptChannel.wiring is {NOT_KNOWN} ({self.name}): find out, and write series or parallel")
        return Channel(loudspeakers=self.loudspeakers, wiring=self.wiring, amplifier=self.source, name=self.name)


@takes(name=NAME, known=ENTRIES, kept=KEPT)
def channel_of(name, known, kept):
    """Make a channel from what is known of it.

    Parameters
    ----------
    name : str
    known : dict
        Key: value, as `known_of` returns them. [SI]
    kept : Kept
        One's own drivers, amplifiers and head units; those of the demonstration are looked up after them.

    Returns
    -------
    KeptChannel

    Raises
    ------
    Incomplete
        If that is not enough yet: it says what to add.
    ValueError
        If nothing complete is kept under a name: the message names the key, the value and the likely slip.
    """
    check_line(known)
    if "feeds" not in known:
        raise Incomplete("add feeds: the names of its drivers", [("feeds",)])
    grouped = any(isinstance(member, tuple) for member in known["feeds"])
    if "wiring" not in known and len(known["feeds"]) > 1 and not grouped:
        raise Incomplete(f"add wiring: series, parallel, or {NOT_KNOWN}", [("wiring",)])
    if grouped and known.get("wiring") == NOT_KNOWN:
        raise ValueError(f"wiring = {NOT_KNOWN!r}: groups tell how it is wired; write one list of names until you know")
    drivers = demo_drivers() | {own: sheet.driver for own, sheet in kept.parts["driver"].items()}
    lacking, line = _lacking(kept, ("driver",)), known.get("line", {})

    def speaker(driver):
        network = in_series(Capacitor(capacitance=line[driver])) if driver in line else None
        found = _found("feeds", "driver", driver, drivers, lacking)
        return Loudspeaker(driver=found, box=InfiniteBaffle(), network=network, name=driver)

    speakers = tuple(tuple(map(speaker, one)) if isinstance(one, tuple) else speaker(one) for one in known["feeds"])
    wiring = known.get("wiring", "parallel")  # of one driver, or of groups: their inner lists are in series
    return KeptChannel(name, speakers, wiring, _source(known.get("source", NOTHING), kept))


def _source(name, kept):
    if name == NOTHING:
        return None
    sources = demo_head_units() | demo_amplifiers() | kept.parts["head_unit"] | kept.parts["amplifier"]
    return _found("source", "amplifier or head unit", name, sources, _lacking(kept, ("head_unit", "amplifier")))


def _lacking(kept, kinds):
    """Return name: what is missing, of one's own parts of some kinds that are not complete."""
    return {name: error for (kind, name), error in kept.unfinished.items() if kind in kinds}


def _found(key, kind, name, known, lacking):
    """Return the part of a name that stands at a key."""
    try:
        return part_named(kind, name, known, lacking)
    except ValueError as error:
        raise ValueError(f"{key} = {name!r}: {error}") from None


@takes(kind=NAME, name=NAME, known=ENTRIES, lacking=ENTRIES)
def part_named(kind, name, known, lacking):
    """Return the part of a name.

    Parameters
    ----------
    kind : str
        In words, for an error.
    name : str
    known : dict
        Name: part.
    lacking : dict
        Name: what is missing, of parts that are not complete.

    Raises
    ------
    ValueError
        If there is none; the message does not repeat the name.
    """
    if name in lacking:
        raise ValueError(f"that {kind} is kept, but not complete: {lacking[name]}")
    several = [one.strip() for one in name.split(",")]
    if name not in known and len(several) > 1 and all(one in known for one in several):
        raise ValueError(f"these are {len(several)}: write each name by itself")
    if name not in known:
        raise ValueError(f"no {kind} of that name is kept{near(name, (*known, *lacking))}")
    return known[name]
