"""What there is once some stages are done: the system, what it cost, and what does not fit."""

from __future__ import annotations

import dataclasses
import functools
from dataclasses import dataclass

import numpy as np

from ..parts.filters import Gain
from ..parts.system import System
from ..quantity import Holds
from ..remembered import frozen, read_only
from .fit import rated_components, unfit
from .gaps import gaps
from .lines import line_after, opening_after
from .together import BASS, Together

KEPT = 64  # states with what is worked out of them, some 100 kB each: all sets of six stages


@dataclass(frozen=True, eq=False)
class State:
    """What there is once some stages are done; their order does not matter. Nothing changes it: others get it too.

    Attributes
    ----------
    plan : Plan
    done : frozenset of str
        Names of the stages.

    Examples
    --------
    >>> from lumpedbox.plan import demo_plan
    >>> state = demo_plan().after("seal the step wells", "amplifier")
    >>> state.cost, [channel.amplifier.channels for channel in state.system.channels]
    (28.0, [4, 4, 4, 4])
    """

    plan: object
    done: frozenset

    @property
    def cost(self):
        """What it cost so far, in the plan's currency. [1]"""
        return self.plan.cost_of(self.done)

    @functools.cached_property
    def lines(self):
        """Every channel of the plan as it is now, as a tuple of `Line`."""
        plan = self.plan
        return tuple(line_after(plan, name, self.done & plan.touching[name]) for name in plan.channels)

    @functools.cached_property
    def playing(self):
        """The channels that play, as a tuple of `Line`."""
        return tuple(line for line in self.lines if line.plays)

    @functools.cached_property
    def openings(self):
        """Name: what is known of each opening now, in SI units."""
        steps = [self.plan.stages[name] for name in self.plan.ranked if name in self.done]
        return read_only({place: opening_after(self.plan, place, steps) for place in self.plan.openings})

    @functools.cached_property
    def drivers(self):
        """Opening: driver in it, fed or not."""
        found = dict(self.plan.have)
        for name in self.plan.ranked:
            found |= self.plan.stages[name].put if name in self.done else {}
        return read_only({place: driver for place, driver in found.items() if driver is not None})

    @functools.cached_property
    def together(self):
        """Its channels, solved."""
        return Together(self.playing, self.plan.ear, self.plan.heard_in)

    @functools.cached_property
    def gains(self):
        """By what factor each channel is turned up. [1], shape (channels,)"""
        return frozen(self.together.best_gains(self.plan.levels, BASS))

    @property
    def levels(self):
        """Name of each channel that plays: by how much it is turned up against the head unit. [dB]"""
        turned = 20 * np.log10(self.gains)
        return {line.name: float(level) for line, level in zip(self.playing, turned, strict=True)}

    @functools.cached_property
    def system(self):
        """All channels that play, turned up as `levels` says; None if nothing plays."""
        if not self.playing:
            return None
        channels = (_turned_up(line.channel, self.levels[line.name]) for line in self.playing)
        return System(channels=tuple(channels), ear=self.plan.ear, name=self.plan.name)

    @functools.cached_property
    def feed(self):
        """Wire and fuse as the last of its stages that tells of them has settled them, a `Feed`; None if none does."""
        told = [self.plan.stages[name].feed for name in self.plan.ranked if name in self.done]
        return next((feed for feed in reversed(told) if feed is not None), None)

    @functools.cached_property
    def rated(self):
        """What the resistors and capacitors meet whose ratings are written, as `rated_components` yields it."""
        return tuple(rated_components(self))

    @functools.cached_property
    def unfit(self):
        """What does not fit, as a tuple of sentences; each is an `Unfit`, which says what and where as data."""
        return unfit(self)

    @functools.cached_property
    def open(self):
        """What is not known, and what is taken in its place, as a tuple of sentences."""
        return tuple(gaps(self))


@functools.lru_cache(maxsize=KEPT)
def state_of(plan, done):
    """Return the state of a plan once a frozenset of stages is done: the same one, as long as it is among the last."""
    return State(plan, done)


STATE = Holds((State,))


def _turned_up(channel, level):
    if not level:
        return channel
    return dataclasses.replace(channel, filters=(*channel.filters, Gain(level=level)))
