"""The best order of the stages of a plan: exact, over all orders that are possible."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arguments import FLAG, PROGRESS, Single, takes
from ..quantity import Holds, OneOf, Part, Quantity, part, quantity, ruled
from .described import Plan, needed_by
from .figures import reach
from .lattice import TIE, Lattice
from .state import state_of
from .together import BASS, THINNEST, PlayedBand

PLAN = Holds((Plan,))
BUDGET = Quantity(unit="", meaning="money that may be spent, in the plan's currency", low=0.0, high=1e12)
THRIFT = Quantity(unit="dB", meaning="what may be given up to spend later", low=0.0, high=60.0)
MOST_STAGES = 14  # 16,384 sets
HARMLESS = 0.1  # dB of the mean: with thrift, stages that take less from it are not left out (ours: nobody hears it)


@part
class Aim(Part):
    r"""What an order of stages is judged by: a weighted sum.

    Parameters
    ----------
    clean : float
        Weight of the highest clean level in `band`. [1]
    thinness : float
        Weight of treble against bass, counted from -6 dB up, against it. [1]
    reach : float
        Decibels that an octave more of depth is worth. [dB]
    band : (float, float)
        [Hz]
    level : float
        Mean level from 100 to 315 Hz at which the depth counts. [dB re 20 uPa]

    Notes
    -----
    .. math:: w_c L_{clean} - w_t \max(T, -6) - w_r \log_2 \frac{f_{10}}{40\,\mathrm{Hz}}

    Examples
    --------
    >>> from lumpedbox.plan import Aim
    >>> print(Aim(thinness=0.5))
    highest clean level from 40 to 80 Hz - 0.5 x treble against bass
    """

    clean: float = quantity("", "weight of the clean level", 0.0, 100.0, default=1.0)
    thinness: float = quantity("", "weight of treble against bass", 0.0, 100.0, default=0.0)
    reach: float = quantity("dB", "what an octave more of depth is worth", 0.0, 100.0, default=0.0)
    band: tuple = ruled(PlayedBand(), BASS)
    level: float = quantity("dB re 20 uPa", "level at which the depth counts", 0.0, 160.0, default=90.0)

    def _check_together(self):
        if not (self.clean or self.thinness or self.reach):
            raise ValueError("Aim needs a weight above 0: clean, thinness or reach")

    def __str__(self):
        low, high = self.band
        told = (
            (self.clean, "", f"highest clean level from {low:g} to {high:g} Hz"),
            (self.thinness, "- ", "treble against bass"),
            (self.reach, "- ", f"octaves of f10 over 40 Hz at {self.level:g} dB"),
        )
        return " ".join(f"{sign}{'' if w == 1 else f'{w:g} x '}{what}" for w, sign, what in told if w)

    def of(self, state):
        """What a `state` is worth; `NOTHING` where nothing plays or no limit is known. [dB]"""
        if not state.playing or not np.isfinite(state.together.least).any():
            return NOTHING
        worth = 0.0
        if self.clean:
            worth += self.clean * float(state.together.clean(state.gains, self.band))
        if self.thinness:
            worth -= self.thinness * max(float(state.together.thinness(state.gains)), THINNEST)
        if self.reach:
            worth -= self.reach * float(np.log2(reach(state, self.level) / BASS[0]))
        return worth


NOTHING = -1e4  # dB, of what does not play: less than any weights make of what plays
AIMS = {
    "clean bass": Aim(),
    "least thinness": Aim(clean=0.0, thinness=1.0),
    "lowest f10": Aim(clean=0.0, reach=1.0),
}


class AnAim:
    """An `Aim`, or the name of a usual one."""

    def accept(self, owner, name, value):
        if isinstance(value, str):
            return AIMS[OneOf(tuple(AIMS)).accept(owner, name, value)]
        return Holds((Aim,)).single(owner, name, value)


@dataclass(frozen=True, slots=True)
class Search:
    """What a search found.

    Attributes
    ----------
    aim : Aim
    best : tuple of str
        Stages in the order to do them; empty if no order is possible.
    value : float
        Mean of the aim over the states after each stage. Where stages are left out, the last state counts for their
        turns. None if no order is possible, or nothing plays at some turn. [dB]
    start : float
        The aim as found; None if nothing plays. [dB]
    worst : tuple of str
        The worst order of all stages; empty if not all can be done.
    worst_value : float
        None without one, or if nothing plays at some turn. [dB]
    orders : int
        How many orders of all stages are possible.
    ties : int
        How many orders are as good as the very best one.
    left_out : tuple of str
        Stages that the best order leaves out.
    levels : tuple of dict
        For each stage of the best order, channel: by how much it is turned up; only what is not 0. [dB]
    """

    aim: Aim
    best: tuple
    value: float | None
    start: float
    worst: tuple
    worst_value: float | None
    orders: int
    ties: int
    left_out: tuple
    levels: tuple

    @property
    def next(self):
        """The stage to do next; empty if none helps."""
        return self.best[0] if self.best else ""

    def __str__(self):
        if not self.best and self.orders and self.start is None:
            return "Nothing plays after any of these stages."
        if not self.best:
            return "No order of these stages is possible, or none is better than what is there."
        found = "nothing plays" if self.start is None else f"{self.start:.1f}"
        said = [f"Best order, mean of {self.aim}: {_told(self.value)} (as found {found})."]
        for number, (name, levels) in enumerate(zip(self.best, self.levels, strict=True), start=1):
            set_to = ", ".join(f"{channel} {level:+.0f} dB" for channel, level in levels.items())
            said.append(f"{number}. {name}{f' (set {set_to})' if set_to else ''}")
        if self.left_out:
            said.append(f"Left out: {', '.join(self.left_out)}.")
        if self.ties > 1:
            said.append(f"{self.ties} orders are equally good.")
        if self.worst:
            said.append(f"Worst of {self.orders} orders of all stages: {_told(self.worst_value)}.")
        return "\n".join(said)


@takes(
    plan=PLAN,
    aim=AnAim(),
    budget=Single(BUDGET),
    thrift=Single(THRIFT),
    complete=FLAG,
    rising=FLAG,
    progress=PROGRESS,
)
def search(plan, aim="clean bass", budget=None, thrift=1.0, complete=False, *, rising=False, progress=None):
    r"""Find the best order of the stages of a plan, exactly.

    Parameters
    ----------
    plan : Plan
    aim : {"clean bass", "least thinness", "lowest f10"} or Aim
        What an order is judged by.
    budget : float, optional
        What may be spent in all, in the plan's currency. [1]
    thrift : float
        Of the orders within so much of the best mean, take the one that spends latest; 0 for the best. [dB]
    complete : bool
        Whether all stages must be done; else those that make it worse are left out.
    rising : bool
        Whether no stage may be worse than the one before.
    progress : function, optional
        Called with two numbers, sets done and in all. Raise from it to end the search: nothing is changed.

    Returns
    -------
    Search

    Raises
    ------
    ValueError
        If there are more than 14 stages.

    Notes
    -----
    An order is possible where each stage comes after those that it says. Its value is the mean

    .. math:: \frac{1}{n} \sum_{k=1}^{n} v(S_k)

    over the states after its stages, the start not counted. Stages left out at the end count as turns at which
    nothing changes. What does not fit is told by `State.unfit`, and excludes nothing.

    Examples
    --------
    >>> from lumpedbox.plan import demo_plan, search
    >>> search(demo_plan()).best[:2]
    ('keep bass from the roof', 'seal the step wells')
    """
    steps = Searching(plan, AIMS.get(aim, aim), budget, thrift, complete, rising)  # no default is looked up by its rule
    for done, all_sets in steps:
        if progress is not None:
            progress(done, all_sets)
    return steps.found


class Searching:
    """A search that is done step by step, so that something else can be done meanwhile: what `search` runs through.

    Iterate over it: each step solves one set of stages and gives two numbers, sets done and in all.

    Attributes
    ----------
    found : Search
        None until it is through.
    """

    def __init__(self, plan, aim, budget=None, thrift=1.0, complete=False, rising=False):
        check_count("search", plan)
        self.plan, self.aim, self.budget = plan, aim, budget
        self.thrift, self.complete, self.rising = thrift, complete, rising
        self.found = None

    def __iter__(self):
        values, costs = yield from values_by_step(self.plan, self.aim.of)
        self.found = self._result(values, costs)

    def _result(self, values, costs):
        """Return what is found, of what every set is worth and costs."""
        stages, aim, thrift = self.plan.ranked, self.aim, self.thrift
        if self.budget is not None:
            values = np.where(costs <= self.budget + TIE, values, np.nan)
        lattice = Lattice(before_of(self.plan), values, self.rising)
        sums, totals = lattice.sums(), lattice.totals(self.complete)
        count, orders = max(len(stages), 1), int(lattice.ways()[-1])
        start = None if values[0] <= NOTHING else float(values[0])
        if not np.isfinite(totals.max()) or np.nanmax(values) <= NOTHING:
            return Search(aim, (), None, start, (), None, orders, orders, stages, ())
        end = _fullest(totals, max(min(HARMLESS, thrift) * count, TIE))
        stays = (len(stages) - end.bit_count()) * values[end]
        least = totals.max() - thrift * count - stays
        order = lattice.latest(end, costs, least) if thrift else lattice.order(end, sums)
        best, worst = _named(stages, order), _worst(lattice)
        return Search(
            aim=aim,
            best=best,
            value=_mean(values, order, count),
            start=start,
            worst=_named(stages, worst),
            worst_value=_mean(values, worst, count) if worst else None,
            orders=orders,
            ties=lattice.ties(np.flatnonzero(totals >= totals.max() - TIE), sums),
            left_out=tuple(name for name in stages if name not in best),
            levels=tuple(_levels(self.plan, best[: n + 1]) for n in range(len(best))),
        )


def check_count(owner, plan):
    """Refuse a plan of more stages than all sets of them can be solved for."""
    if len(plan.stages) > MOST_STAGES:
        raise ValueError(f"{owner}.plan must have at most {MOST_STAGES} stages, got {len(plan.stages)}: join some")


def values_of(plan, worth):
    """Return what every possible set of stages is worth, `nan` for others, and what it costs: arrays of 2**n.

    Parameters
    ----------
    plan : Plan
    worth : function
        Of a state.
    """
    steps = values_by_step(plan, worth)
    while True:
        try:
            next(steps)
        except StopIteration as end:
            return end.value


def values_by_step(plan, worth):
    """Work out the same set by set: a generator of two numbers, sets done and in all, that returns both arrays."""
    stages, before = plan.ranked, before_of(plan)
    values, costs = np.full(2 ** len(stages), np.nan), np.zeros(2 ** len(stages))
    possible = [s for s in range(len(values)) if all(s & b == b for i, b in enumerate(before) if s >> i & 1)]
    for number, chosen in enumerate(possible, start=1):
        state = state_of(plan, frozenset(_named(stages, _members(chosen))))
        values[chosen], costs[chosen] = worth(state), state.cost
        yield number, len(possible)
    return values, costs


def before_of(plan):
    """Return the stages that come before each, as sets of bits."""
    number, before = {name: i for i, name in enumerate(plan.ranked)}, needed_by(plan.stages)
    return tuple(sum(1 << number[other] for other in before[name]) for name in plan.ranked)


def _members(chosen):
    return [i for i in range(int(chosen).bit_length()) if chosen >> i & 1]


def _named(stages, order):
    return tuple(stages[i] for i in order)


def _mean(values, order, count):
    """Return the mean of the values after each stage; the last state counts for the turns of what is left out.

    None if nothing plays after one of them.
    """
    sets = np.cumsum([0, *(1 << i for i in order)])
    after = values[sets[1:]] if order else values[:1]
    return None if after.min() <= NOTHING else float((np.sum(after) + (count - len(after)) * after[-1]) / count)


def _fullest(totals, given_up):
    """Return the set of the most stages whose total is the best but for so much; of several the best."""
    near = np.flatnonzero(totals >= totals.max() - given_up).tolist()
    return max(near, key=lambda chosen: (chosen.bit_count(), totals[chosen]))


def _worst(lattice):
    """Return the worst order of all stages; none if not all can be done."""
    sums = lattice.sums(-1.0)
    return lattice.order(len(sums) - 1, sums, -1.0) if np.isfinite(sums[-1]) else ()


def _told(mean):
    return "nothing plays at some turns" if mean is None else f"{mean:.1f} dB"


def _levels(plan, done):
    return {name: level for name, level in plan.after(*done).levels.items() if level}
