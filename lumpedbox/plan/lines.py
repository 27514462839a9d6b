"""The channels of a plan once some stages are done: what they feed, and through what."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Mapping

from ..parts.box import Door, InfiniteBaffle, SealedBox
from ..parts.filters import Gain
from ..parts.loudspeaker import Loudspeaker
from ..parts.system import Channel
from ..remembered import read_only
from ..tables.feeds import NOT_KNOWN, fed
from .entries import INFINITE
from .wires import network_of

KEPT = 4096  # channels


@dataclasses.dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A channel of a plan once some stages are done.

    Attributes
    ----------
    channel : Channel or None
        None where nothing is connected.
    drivers : Mapping
        Opening: driver.
    openings : Mapping
        Opening: what is known of it.
    source : Amplifier, HeadUnit or None
    last : Mapping
        Opening: name of the stage that put its driver there, "" for what was found.
    wiring : str or None
        As it is written; None where nobody has written it.
    """

    name: str
    channel: Channel | None
    drivers: Mapping
    openings: Mapping
    source: object
    last: Mapping
    wiring: str | None = None

    @property
    def plays(self):
        """Whether something is connected to something that drives it."""
        return self.channel is not None and self.source is not None

    @property
    def fixed(self):
        """Whether its level is fixed by what stands among its filters."""
        return any(isinstance(one, Gain) for one in self.channel.filters)

    @property
    def kind(self):
        """What it has in common with its twin on the other side of the vehicle."""
        channel = self.channel
        speakers = tuple((speaker.driver, speaker.network) for speaker in channel.each)
        return channel.amplifier, channel.wiring, channel.filters, speakers


@functools.lru_cache(maxsize=KEPT)
def line_after(plan, name, done):
    """Return a channel of a plan once some of the stages that touch it are done."""
    steps = [plan.stages[stage] for stage in plan.ranked if stage in done]
    said = plan.channels[name]
    places = fed(said["feeds"])
    source, filters, wiring = said["source"], list(said.get("filter", ())), said.get("wiring")
    for step in steps:
        source, wiring = step.move.get(name, source), step.wiring.get(name, wiring)
        filters += step.filter.get(name, ())
    openings = {place: opening_after(plan, place, steps) for place in places}
    drivers = {place: plan.have.get(place) for place in places}
    last = dict.fromkeys(places, "")
    for step in steps:
        for place in step.put.keys() & set(places):
            drivers[place], last[place] = step.put[place], step.name
    drivers = {place: driver for place, driver in drivers.items() if driver is not None}
    speakers = {place: _speaker(plan, place, openings[place], driver) for place, driver in drivers.items()}
    channel = _channel(name, said | {"wiring": wiring}, speakers, tuple(filters), source) if speakers else None
    drivers, openings, last = map(read_only, (drivers, openings, last))
    return Line(name, channel, drivers, openings, source, last, wiring)


def opening_after(plan, place, steps):
    """Return what is known of an opening, with what stages set there; nothing changes it. [SI]"""
    known = dict(plan.openings[place])
    for step in steps:
        known |= step.set.get(place, {})
        known |= {"box": step.box[place]} if place in step.box else {}
        known |= {"line": step.line[place]} if place in step.line else {}
    return read_only(known)


def _channel(name, said, speakers, filters, source):
    """Return a channel; openings without a driver are left out."""
    groups = []
    for member in said["feeds"]:
        group = tuple(speakers[place] for place in fed([member]) if place in speakers)
        if group:
            groups.append(group if len(group) > 1 and isinstance(member, tuple) else group[0])
    return Channel(
        loudspeakers=tuple(groups),
        wiring="parallel" if said["wiring"] in (None, NOT_KNOWN) else said["wiring"],
        filters=filters,
        source_resistance=said.get("wire", 0.0),
        amplifier=source,
        name=name,
    )


def _speaker(plan, place, known, driver):
    return Loudspeaker(
        driver=driver,
        box=box_of(known, plan.all_placed),
        network=network_of(known.get("line", ()), driver),
        cabin=plan.heard_in,
        position=known.get("place") if plan.all_placed else None,
        angle=known.get("angle", 0.0),
        polarity=known.get("polarity", "as marked"),
        name=place,
    )


def box_of(known, placed):
    """Return the box that the air behind an opening makes; a large panel where nothing is known of it.

    Where a hole is counts only if all openings are `placed`. Of an unknown one see `hole_place`.
    """
    if "box" in known:
        return known["box"]
    if known.get("baffle") == INFINITE or "volume" not in known:
        return InfiniteBaffle()
    if "hole" not in known:
        return SealedBox(volume=known["volume"])
    more = {key: known[key] for key in ("hole_Q", "longest_side") if key in known}
    door = Door(volume=known["volume"], hole_area=known["hole"], **more)
    return dataclasses.replace(door, hole_position=hole_place(known, door.path)) if placed else door


def hole_place(known, path):
    """Return where the hole is: straight below the cone, or above it where that is under the floor. [m]"""
    x, y, z = known["place"]
    return known.get("hole_place", (x, y, z - path if z >= path else z + path))
