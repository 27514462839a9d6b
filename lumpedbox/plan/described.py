"""A plan as it is described: what is there, what may be bought, and what each stage would change."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, field
from graphlib import TopologicalSorter
from pathlib import Path

from ..build.feed import Feed
from ..parts.amplifier import Amplifier, HeadUnit
from ..parts.cabin import Cabin
from ..parts.driver import Driver
from ..quantity import OneOf
from ..remembered import read_only
from ..tables.feeds import fed
from .state import state_of

LEVELS = (0.0, 12.0)  # dB that an amplifier's channel may be turned up by


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """What may be bought.

    Attributes
    ----------
    cost : float
        Of all `count` together, in the plan's currency.
    driver, amplifier : Driver, Amplifier or HeadUnit, optional
    capacitor : float, optional
        [F]
    pad : float, optional
        [dB]
    power, voltage : float, optional
        What each of its resistors or capacitors is rated for. [W], [V]
    efficiency, maker_fuse : float, optional
        Of an amplifier: power out over power in at full power, and the largest fuse that its maker allows. [1], [A]
    takes : float, optional
        What each takes from the battery that is no amplifier, such as a converter or lights. [W]
    """

    name: str
    cost: float = 0.0
    count: int = 1
    driver: Driver | None = None
    amplifier: Amplifier | HeadUnit | None = None
    capacitor: float | None = None
    pad: float | None = None
    power: float | None = None
    voltage: float | None = None
    efficiency: float | None = None
    maker_fuse: float | None = None
    takes: float | None = None
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """What one stage does.

    Attributes
    ----------
    uses, after : tuple of str
        Names of parts, and of the stages that come before it.
    put, set, box, line : dict
        By opening: its driver (None takes it out), what else is known of it, its box, what is fitted in the line.
    filter, move, wiring : dict
        By channel: filters that are added, what drives it, and how it is wired from then on.
    feed : Feed, optional
        Wire and fuse, from the battery to all that draws on it.
    cost : float
        Beside that of its parts.
    """

    name: str
    uses: tuple = ()
    after: tuple = ()
    put: Mapping = field(default_factory=dict)
    set: Mapping = field(default_factory=dict)
    box: Mapping = field(default_factory=dict)
    line: Mapping = field(default_factory=dict)
    filter: Mapping = field(default_factory=dict)
    move: Mapping = field(default_factory=dict)
    wiring: Mapping = field(default_factory=dict)
    feed: Feed | None = None
    cost: float = 0.0
    remark: str = ""

    @property
    def places(self):
        """The openings that it changes."""
        return {*self.put, *self.set, *self.box, *self.line}

    @property
    def replaced(self):
        """What it puts in the place of something: the state must not depend on the order of two that do the same."""
        keys = {("set", name, key) for name, values in self.set.items() for key in values}
        keys |= {(kind, name, "") for kind in ("put", "line", "move", "wiring") for name in getattr(self, kind)}
        keys |= {("feed", "from the battery", "")} if self.feed is not None else set()
        return keys | {("set", name, "box") for name in self.box}


@dataclass(frozen=True, kw_only=True, eq=False)
class Plan:
    """An upgrade in stages: what `read_plan` returns. Nothing changes it.

    Attributes
    ----------
    name, currency : str
    voltage : float
        r.m.s., at every channel, for the levels of the table. [V]
    battery, feed_drop : float, optional
        What a meter read at the battery, and from there to the amplifier under load. [V]
    cabin : Cabin, optional
        With its resonances, and the ear in it; without one all is in half space, at 1 m.
    openings, channels : Mapping
        Name: {key: value}, in SI units.
    have : Mapping
        Opening: driver.
    items, stages : Mapping
        Name: Item, name: Stage.
    orders : Mapping
        Name: tuple of the names of stages, as proposed.
    levels : tuple of float
        By how much the channel of an amplifier may be turned up against the head unit: lowest, highest. [dB]
    path, my_parts : Path, optional
        Where it is kept, and one's own parts.
    text : str
        What stood there.
    """

    name: str = ""
    currency: str = "credits"
    voltage: float = 2.83
    battery: float | None = None
    feed_drop: float | None = None
    cabin: Cabin | None = None
    openings: Mapping = field(default_factory=dict)
    channels: Mapping = field(default_factory=dict)
    have: Mapping = field(default_factory=dict)
    items: Mapping = field(default_factory=dict)
    stages: Mapping = field(default_factory=dict)
    orders: Mapping = field(default_factory=dict)
    levels: tuple = LEVELS
    path: Path | None = None
    my_parts: Path | None = None
    text: str = field(default="", repr=False)

    def __post_init__(self):
        for name in ("openings", "channels", "have", "items", "stages", "orders"):  # its states are kept
            object.__setattr__(self, name, read_only(getattr(self, name)))

    def after(self, *stages):
        """Return the state once some stages are done, whatever their order.

        Parameters
        ----------
        stages : str
            Their names; none for what is found.

        Returns
        -------
        State

        Raises
        ------
        ValueError, TypeError
            If there is no such stage.
        """
        known = OneOf(tuple(self.stages))
        return state_of(self, frozenset(known.accept("Plan.after", "stages", name) for name in stages))

    @functools.cached_property
    def ranked(self):
        """The names of all stages, each behind those that it comes after."""
        return tuple(TopologicalSorter({name: stage.after for name, stage in self.stages.items()}).static_order())

    @functools.cached_property
    def all_placed(self):
        """Whether it is known where each opening is that a channel feeds."""
        fed_ = [name for channel in self.channels.values() for name in fed(channel["feeds"])]
        return bool(fed_) and all("place" in self.openings[name] for name in fed_)

    @functools.cached_property
    def heard_in(self):
        """The cabin that is counted: none where the ear or a place is not known."""
        known = self.cabin is not None and self.cabin.ear is not None and self.all_placed
        return self.cabin if known else None

    @property
    def ear(self):
        """Where the listener is, if that is known. [m]"""
        return self.cabin.ear if self.cabin is not None and self.all_placed else None

    def cost_of(self, done):
        """What some stages cost together, in the plan's currency; a part that several use is bought once. [1]

        Parameters
        ----------
        done : set of str
        """
        bought = {name for stage in done for name in self.stages[stage].uses}
        # in the order of the file, so that a set costs the same to the last digit
        own = sum(stage.cost for name, stage in self.stages.items() if name in done)
        return own + sum(item.cost for name, item in self.items.items() if name in bought)

    @functools.cached_property
    def touching(self):
        """Name of each channel: the stages that change it, or what it feeds, as a set of names."""
        return {name: frozenset(self._touching(name, fed(said["feeds"]))) for name, said in self.channels.items()}

    def _touching(self, channel, places):
        for name, stage in self.stages.items():
            if stage.places & set(places) or channel in {*stage.filter, *stage.move, *stage.wiring}:
                yield name


def needed_by(stages):
    """Return name: all stages that come before it, of a dict of stages; raises graphlib.CycleError in a circle."""
    found = {}
    for name in TopologicalSorter({name: stage.after for name, stage in stages.items()}).static_order():
        before = stages[name].after
        found[name] = frozenset(before).union(*(found[other] for other in before))
    return found
