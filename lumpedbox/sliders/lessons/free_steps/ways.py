"""Orders of the steps of a plan, and what one has on the way along each."""

from __future__ import annotations

import functools
import itertools

import numpy as np

from ....plan import demo_plan, search, shares
from ....plan.together import BASS
from ...kit.outcomes import Outcomes

ALIKE = 1e-9  # of money, and in dB
OUT = "left out"


class Way:
    """What one has along an order of steps, one value as found and one after each step.

    Parameters
    ----------
    order : tuple of str
        The steps that are done.
    outcomes : Outcomes
        Of their plan.

    Attributes
    ----------
    cost : array
        Money spent. [1]
    clean : array
        Highest clean level from 40 to 80 Hz at the ear. [dB re 20 uPa]
    fixed : array
        Mean level there at the plan's volts, with the levels that the clean bass asks for. [dB re 20 uPa]
    """

    def __init__(self, order, outcomes):
        self.order, self._turns, self.along = tuple(order), len(outcomes.plan.stages), outcomes.along(order)
        self.cost = np.array([one.cost for one in self.along])
        self.clean = np.array([one.figures.clean for one in self.along])
        self.fixed = np.array([one.figures.mean(BASS) for one in self.along])

    @property
    def mean(self):
        """Mean of the clean bass after each step; what is left out counts as turns at which nothing changes. [dB]"""
        idle = self._turns - len(self.order)
        return float((self.clean[1:].sum() + idle * self.clean[-1]) / self._turns)

    def after(self, money):
        """How many steps are done once some money is spent: free ones at once."""
        return np.searchsorted(self.cost, np.asarray(money) + ALIKE, side="right") - 1

    @property
    def worth(self):
        """Step: by how much it changes the clean bass where it stands. [dB]"""
        return dict(zip(self.order, np.diff(self.clean).tolist(), strict=True))


class Ways:
    """The orders of a plan that one may choose; each state is worked out once, when an order first leads through it.

    Parameters
    ----------
    plan : Plan
    """

    def __init__(self, plan):
        self.plan, self._outcomes, self._ways = plan, Outcomes(plan), {}

    def __getitem__(self, order):
        if order not in self._ways:
            self._ways[order] = Way(order, self._outcomes)
        return self._ways[order]

    def __deepcopy__(self, memo):
        """Return itself: a picture that is copied for paper shares what is worked out, and changes none of it."""
        return self

    def change(self, stage, *before):
        """By how much a stage changes the clean bass after some others. [dB]"""
        after, without = (self._outcomes[done].figures.clean for done in ((*before, stage), before))
        return after - without

    @functools.cached_property
    def searched(self):
        """Best and worst order of all steps, and how many orders there are, as a `Search`."""
        return search(self.plan, thrift=0.0, complete=True)

    @functools.cached_property
    def shares(self):
        """Step: its fair share over all orders. [dB]"""
        return shares(self.plan)

    @functools.cached_property
    def loudest_end(self):
        """The order with the lowest mean of those that end loudest, all steps done or some left out."""
        sizes = range(len(self.plan.stages) + 1)
        possible = itertools.chain.from_iterable(map(self._possible, sizes))
        end = max(possible, key=lambda done: self._outcomes[done].figures.clean)
        orders = (order for order in itertools.permutations(end) if self.can_be(order))
        return min(orders, key=lambda order: self[order].mean)

    def _possible(self, size):
        return filter(self._whole, itertools.combinations(self.plan.stages, size))

    def _whole(self, done):
        return all(other in done for name in done for other in self.plan.stages[name].after)

    def can_be(self, order):
        """Whether each step comes after those that it needs."""
        return all(set(self.plan.stages[name].after) <= set(order[:n]) for n, name in enumerate(order))


@functools.cache
def demo_ways():
    """Return the orders of the invented plan: the same for every page."""
    return Ways(demo_plan())


def moved(plan, order, step, place):
    """Return an order with a step moved to a place, or left out; what it needs, or what needs it, goes along.

    Parameters
    ----------
    plan : Plan
    order : tuple of str
    step : str
    place : int or None
        From 0; None leaves it out.
    """
    rest = [name for name in order if name != step]
    if place is None:
        return tuple(name for name in rest if step not in plan.stages[name].after)
    rest.insert(place, step)
    needed = [name for name in plan.stages[step].after if name not in rest[:place]]
    for name in needed:  # comes right before it
        rest = [other for other in rest if other != name]
        rest.insert(rest.index(step), name)
    for name in [other for other in rest[: rest.index(step)] if step in plan.stages[other].after]:
        rest.remove(name)
        rest.insert(rest.index(step) + 1, name)
    return tuple(rest)
