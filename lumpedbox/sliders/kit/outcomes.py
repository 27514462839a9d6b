"""What is worked out of the states of a plan, once each: their figures, and what does not fit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...plan import Figures, change, figures
from ...plan.figures import band_of_ears

HEARD = 1.0  # dB of clean bass; a smaller step is hardly heard (common practice, no source)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What comes of a set of stages.

    Attributes
    ----------
    figures : Figures
    """

    figures: Figures

    @property
    def unfit(self):
        """What does not fit, as a tuple of `Unfit`: worked out when asked for."""
        return self.figures.state.unfit

    @property
    def cost(self):
        """What it cost so far, in the plan's currency. [1]"""
        return self.figures.state.cost


class Outcomes:
    """The outcomes of one plan, by the stages done: worked out when asked for, and never twice.

    Parameters
    ----------
    plan : Plan

    Attributes
    ----------
    bands : dict
        Stages done: what `band` has worked out of them.
    """

    def __init__(self, plan):
        self.plan, self._known, self._changes, self._remarks = plan, {}, {}, {}
        self.bands = {}

    def __contains__(self, done):
        return frozenset(done) in self._known

    def __getitem__(self, done):
        key = frozenset(done)
        if key not in self._known:
            self._known[key] = Outcome(figures(self.plan.after(*key)))
        return self._known[key]

    def change(self, done, stage):
        """Return what a stage changes that comes after some others, as `lumpedbox.plan.change` tells."""
        key = frozenset(done), stage
        if key not in self._changes:
            self._changes[key] = change(self.plan.after(*done), stage)
        return self._changes[key]

    def band(self, done):
        """Return the edges of the level for four of five places of the head; None where no place is known. [dB]"""
        key = frozenset(done)
        if key not in self.bands:
            self.bands[key] = band_of_ears(self[done].figures)
        return self.bands[key]

    def remarks(self, done):
        """Return what to keep in mind about the models of a state."""
        key = frozenset(done)
        if key not in self._remarks:
            self._remarks[key] = self[done].figures.remarks
        return self._remarks[key]

    def along(self, order):
        """Return the outcomes on the way along an order, what is found first."""
        return [self[done] for done in beginnings(order)]


def beginnings(order):
    """Return what is done after none, one, two, ... of the stages of an order."""
    return [tuple(order[:count]) for count in range(len(order) + 1)]


def enough(outcomes, order):
    """Return how many stages of an order it takes until what follows adds less than can be heard; len(order) at most.

    A later stage may need this one: so all that follows is looked at, not the next stage alone.
    """
    clean = np.array([outcome.figures.clean for outcome in outcomes.along(order)])
    if not np.isfinite(clean).all():
        return len(order)
    return next(count for count in range(len(clean)) if clean[count:].max() - clean[count] < HEARD)


def first_heard(outcomes, order):
    """Return the stages of an order up to where it is heard, and what can be done for nothing right after that.

    Heard is a rise of the clean bass by 1 dB over what is found. What follows counts as long as it raises it further.
    """
    along = outcomes.along(order)
    rise = [one.figures.clean - along[0].figures.clean for one in along]
    count = next((number for number in range(1, len(along)) if rise[number] >= HEARD), len(order))
    while count < len(order) and along[count + 1].cost == along[count].cost and rise[count + 1] - rise[count] >= HEARD:
        count += 1
    return tuple(order[:count])
