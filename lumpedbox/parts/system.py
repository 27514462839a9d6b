"""Several loudspeakers that are heard together, and how they share the channels of an amplifier."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..arguments import DISTANCE, takes
from ..errors import Refused
from ..quantity import Holds, OneOf, Part, Position, Text, missing, once, part, quantity, rule, ruled
from .amplifier import SOURCE
from .filters import Filter
from .loudspeaker import LOUDSPEAKER, Loudspeaker
from .room import apart, check_inside

WIRINGS = ("parallel", "series")
NEAREST = 0.01  # m from the ear to a cone


@rule
class Wired:
    """Loudspeakers, and groups of them as inner tuples."""

    one = Holds((Loudspeaker,))

    def accept(self, owner, name, value):
        if not isinstance(value, (list, tuple)):
            return (self.one.accept(owner, name, value),)
        return tuple(self._member(owner, f"{name}[{i}]", member) for i, member in enumerate(value))

    def _member(self, owner, name, member):
        if not isinstance(member, (list, tuple)):
            return self.one.accept(owner, name, member)
        if not member:
            raise Refused(owner, name, "is an empty group: it would open the circuit, or drive nothing")
        return tuple(self.one.accept(owner, f"{name}[{i}]", speaker) for i, speaker in enumerate(member))


@part
class Channel(Part):
    """One channel of an amplifier, and what is connected to it.

    Parameters
    ----------
    loudspeakers : tuple of Loudspeaker, or of tuples of Loudspeaker
        Each has its own network after the common wire. On a shared channel the filters are the channel's. An inner
        tuple is a group, wired the other way: ``((a, b), (c, d))`` is two series pairs in parallel.
    wiring : {"parallel", "series"}
        How the loudspeakers and groups share the channel.
    filters : tuple of HighPass, LowPass, Shelf, Peak, AllPass, Gain, Inverted or Delay
        What is done to the signal ahead of the amplifier.
    source_resistance : float or array
        Output resistance of the amplifier and of the common cable, both wires. [ohm]
    amplifier : Amplifier or HeadUnit, optional
        What drives it: its load is compared with the lowest allowed, and `maximum_level` counts its limits.
    name : str
        What to call it.

    Examples
    --------
    >>> from lumpedbox import Channel, InfiniteBaffle, Loudspeaker, System, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> one = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> two = System(channels=(Channel(loudspeakers=(one, one), wiring="series"),))
    >>> ratio = abs(solve(two, 80).channel_impedances[0] / solve(one, 80).impedance)
    >>> print(f"{ratio[0]:.2f} times the load")
    2.00 times the load
    """

    loudspeakers: tuple = ruled(Wired())
    wiring: str = ruled(OneOf(WIRINGS), "parallel")
    filters: tuple = ruled(Holds(Filter, several=True), ())
    source_resistance: float = quantity("ohm", "resistance of amplifier output and cable", 0.0, 1e3, default=0.0)
    amplifier: Part = ruled(Holds(SOURCE.types, optional=True), None)
    name: str = ruled(Text(), "")

    def _check_together(self):
        if not self.loudspeakers:
            raise ValueError("Channel.loudspeakers is empty: name at least one Loudspeaker")
        if len(self.each) > 1 and any(speaker.filters for speaker in self.each):
            raise ValueError(
                "Channel.loudspeakers on one channel cannot have filters of their own: give them as Channel.filters, "
                "or give each loudspeaker its own channel"
            )

    @property
    def groups(self):
        """The loudspeakers as a tuple of groups, each a tuple; one outside a group is a group of its own."""
        return tuple(member if isinstance(member, tuple) else (member,) for member in self.loudspeakers)

    @property
    def wiring_in_groups(self):
        """How the loudspeakers of a group are wired: the other way."""
        return next(wiring for wiring in WIRINGS if wiring != self.wiring)

    @once
    def each(self):
        """All loudspeakers, group by group."""
        return tuple(speaker for group in self.groups for speaker in group)

    @takes(loudspeakers=Holds((Loudspeaker,), several=True))
    def with_each(self, loudspeakers):
        """Return the channel with other loudspeakers, wired the same way.

        Parameters
        ----------
        loudspeakers : tuple of Loudspeaker
            In the order of `each`.
        """
        if len(loudspeakers) != len(self.each):
            raise ValueError(f"Channel.with_each.loudspeakers must be {len(self.each)}, got {len(loudspeakers)}")
        left = iter(loudspeakers)
        wired = (tuple(next(left) for _ in m) if isinstance(m, tuple) else next(left) for m in self.loudspeakers)
        return dataclasses.replace(self, loudspeakers=tuple(wired))


@part
class System(Part):
    """Loudspeakers that are heard together.

    Parameters
    ----------
    channels : tuple of Channel or Loudspeaker
        A loudspeaker stands for a channel of its own.
    ear : tuple of float, optional
        Where the listener is: x, y, z. With it, and a `position` of each loudspeaker, distances follow. [m]
    name : str
        What to call it.

    Examples
    --------
    >>> from lumpedbox import InfiniteBaffle, Loudspeaker, System, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> one = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> louder = solve(System(channels=(one, one)), 80).level - solve(one, 80).level
    >>> print(f"{louder[0]:.2f} dB")
    6.02 dB
    """

    channels: tuple = ruled(Holds((Channel, Loudspeaker), several=True))
    ear: tuple = ruled(Position(), None)
    name: str = ruled(Text(), "")

    def _check_together(self):
        if not self.channels:
            raise ValueError("System.channels is empty: name at least one Channel or Loudspeaker")
        self._check_cabins()
        absent = [speaker.name or "one of them" for speaker in self.loudspeakers if speaker.position is None]
        if self.ear is not None and absent:
            raise ValueError(f"System.ear is given, but Loudspeaker.position is missing ({', '.join(absent)})")
        self._check_distances()
        if self.by_places and self.ear is not None:
            check_inside(self.loudspeakers[0].cabin, "System.ear", self.ear)

    def _check_distances(self):
        if self.ear is None:
            return
        for number, speaker in enumerate(self.loudspeakers, start=1):
            if np.any(self.distance_to(speaker, NEAREST) < NEAREST):
                raise ValueError(
                    f"System.ear is at the cone of {speaker.name or f'loudspeaker {number}'} ({speaker.position} m): "
                    f"keep at least {NEAREST:g} m away"
                )

    def _check_cabins(self):
        first, *others = self.loudspeakers
        for number, speaker in enumerate(others, start=2):
            if self.ear is None and _ear(speaker.cabin) != _ear(first.cabin):
                who = f"{first.name or 'loudspeaker 1'} and {speaker.name or f'loudspeaker {number}'}"
                raise ValueError(
                    f"System.ear is missing, and Cabin.ear is not the same for {who}: {_ear(first.cabin)} and "
                    f"{_ear(speaker.cabin)} m"
                )
            if speaker.cabin is not first.cabin and _unnamed(speaker.cabin) != _unnamed(first.cabin):
                raise ValueError(
                    "System.channels must be in one cabin, or all outside: "
                    f"{first.name or 'loudspeaker 1'} is {_place(first.cabin)}, "
                    f"{speaker.name or f'loudspeaker {number}'} is {_place(speaker.cabin)}"
                )

    @once
    def wired(self):
        """The channels, each lone loudspeaker in a channel of its own."""
        return tuple(c if isinstance(c, Channel) else Channel(loudspeakers=(c,)) for c in self.channels)

    @once
    def loudspeakers(self):
        """All loudspeakers, channel by channel."""
        return tuple(speaker for channel in self.wired for speaker in channel.each)

    @takes(loudspeakers=Holds((Loudspeaker,), several=True))
    def with_each(self, loudspeakers):
        """Return the system with other loudspeakers, wired the same way.

        Parameters
        ----------
        loudspeakers : tuple of Loudspeaker
            In the order of `loudspeakers`.
        """
        if len(loudspeakers) != len(self.loudspeakers):
            count = len(self.loudspeakers)
            raise ValueError(f"System.with_each.loudspeakers must be {count}, got {len(loudspeakers)}")
        left = iter(loudspeakers)
        channels = (channel.with_each(tuple(next(left) for _ in channel.each)) for channel in self.wired)
        return dataclasses.replace(self, channels=tuple(channels))

    @property
    def names(self):
        """A name for each loudspeaker, no two alike: its own, or its number, or both where several share a name."""
        return _apart([speaker.name for speaker in self.loudspeakers], "loudspeaker")

    @property
    def channel_names(self):
        """A name for each channel, no two alike; a loudspeaker with a channel to itself stands for it."""
        own = [channel.name or (channel.each[0].name if len(channel.each) == 1 else "") for channel in self.wired]
        return _apart(own, "channel")

    @property
    def by_places(self):
        """Whether it is in a cabin where places matter: one by its resonances."""
        return self.loudspeakers[0].by_places

    @property
    def listener(self):
        """Where the ear is: `ear`; else that of a cabin by its resonances, which has to be known; else None. [m]"""
        return self.loudspeakers[0].cabin.listener if self.ear is None and self.by_places else self.ear

    @takes(loudspeaker=LOUDSPEAKER, otherwise=DISTANCE)
    def distance_to(self, loudspeaker, otherwise):
        r"""Distance of a loudspeaker from the ear, or `otherwise` where that is not known. [m]

        .. math:: r = \sqrt{(x - x_0)^2 + (y - y_0)^2 + (z - z_0)^2}
        """
        if self.listener is None:
            return otherwise
        if loudspeaker.position is None:
            raise missing("distance_to.loudspeaker.position", "where its cone is", "give Loudspeaker.position")
        return apart(loudspeaker.position, self.listener)


SYSTEM = Holds((System,))
CHANNEL = Holds((Channel,))
HEARD = Holds((Loudspeaker, System))


def _apart(names, kind):
    """Return names that tell several things of a kind apart."""
    numbered = [name or f"{kind} {number}" for number, name in enumerate(names, start=1)]
    return tuple(
        f"{name} ({numbered[:place].count(name) + 1})" if numbered.count(name) > 1 else name
        for place, name in enumerate(numbered)
    )


def _unnamed(cabin):
    return cabin and dataclasses.replace(cabin, name="", ear=None, places=())


def _ear(cabin):
    return cabin and cabin.ear


def _place(cabin):
    return "outside" if cabin is None else f"in {cabin.name or cabin}"
