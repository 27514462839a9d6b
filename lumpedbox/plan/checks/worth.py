"""Which check to do next: what the plan loses as long as its question is open."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...arguments import PROGRESS, takes
from ..lattice import TIE, Lattice
from ..search import HARMLESS, PLAN, AnAim, before_of, check_count, values_of
from .questions import Question, open_questions

__all__ = ["Question", "Ranking", "Worth", "open_questions", "rank", "regret", "swing"]


def swing(clean):
    r"""Return the most that an answer changes about any one plan. [dB]

    Parameters
    ----------
    clean : array, shape (answers, plans)
        [dB]

    Notes
    -----
    .. math:: \max_{plan} (\max_k L_k - \min_k L_k)

    It does not tell whether the answer changes what one would do: `regret` does.
    """
    clean = np.asarray(clean, float)
    return float((clean.max(axis=0) - clean.min(axis=0)).max())


def regret(clean, weights):
    r"""Return what it costs on average to decide before the answer is known. [dB]

    Parameters
    ----------
    clean : array, shape (answers, plans)
        [dB]
    weights : array, shape (answers,)
        How likely each answer is; together 1.

    Notes
    -----
    .. math:: \sum_k w_k \max_{plan} L_k - \max_{plan} \sum_k w_k L_k

    It is never negative, and 0 where one plan is the best whatever the answer.

    Examples
    --------
    >>> seal_or_small_drivers = [[2.7, 0.5], [0.0, -9.2]]
    >>> print(f"{swing(seal_or_small_drivers):.1f}, {regret(seal_or_small_drivers, (0.5, 0.5)):.1f}")
    9.7, 0.0
    """
    clean, weights = np.asarray(clean, float), np.asarray(weights, float)
    return float(weights @ clean.max(axis=1) - (weights @ clean).max())


@dataclass(frozen=True, slots=True)
class Worth:
    """What the answer to one question is worth.

    Attributes
    ----------
    question : Question
    regret : float
        Of the mean of the aim over the stages. [dB]
    swing : float
        The most that the answer changes after any set of stages. [dB]
    money : float
        What would be spent in vain, at most, in the plan's currency. [1]
    fit : tuple of str
        What fits or does not, depending on the answer.
    """

    question: Question
    regret: float
    swing: float
    money: float
    fit: tuple

    @property
    def a_minute(self):
        """Regret over the minutes that the check takes. [dB]"""
        return self.regret / self.question.minutes


@takes(plan=PLAN, aim=AnAim(), progress=PROGRESS)
def rank(plan, questions=None, aim="clean bass", progress=None):
    r"""Rank open questions by the regret a minute that their check saves, and then by swing.

    Parameters
    ----------
    plan : Plan
    questions : sequence of Question, optional
        Those that are open in the plan, by default.
    aim : {"clean bass", "least thinness", "lowest f10"} or Aim
        As for `search`.
    progress : function, optional
        Called with two numbers, plans done and in all. Raise from it to end.

    Returns
    -------
    tuple of Worth
        The most worth first.

    Notes
    -----
    What is decided is an order of the stages, some of which may be left out. Its value is the mean of the aim over the
    states, as in `search`. That is linear in the values of the states. So the best order on average is exact too: it is
    the best for the weighted mean of the values.
    """
    ranking = Ranking(plan, questions, aim)
    for done, count in ranking:
        if progress is not None:
            progress(done, count)
    return ranking.found


class Ranking:
    """The ranking of `rank`, a plan at a time: it yields two numbers, plans done and in all.

    Attributes
    ----------
    found : tuple of Worth
        Once it has come to its end.
    """

    def __init__(self, plan, questions=None, aim="clean bass"):
        check_count("rank", plan)
        self._plan, self._aim, self.found = plan, AnAim().accept("rank", "aim", aim), ()
        self._questions = tuple(open_questions(plan) if questions is None else questions)

    def __iter__(self):
        plans = {id(world.plan): world.plan for question in self._questions for world in question.worlds}
        solved = {}
        for number, (key, world) in enumerate(plans.items(), start=1):
            solved[key], _ = values_of(world, self._aim.of)
            yield number, len(plans)
        found = [_worth(self._plan, question, solved) for question in self._questions]
        self.found = tuple(sorted(found, key=lambda one: (-round(one.a_minute, 9), -round(one.swing, 9))))


def _worth(plan, question, solved):
    """Return the worth of a question, of the values of each set of stages in each world."""
    before = before_of(plan)
    values = np.array([solved[id(world.plan)] for world in question.worlds])
    weights = np.array([world.weight for world in question.worlds])
    weights = weights / weights.sum()
    _, chosen = _best(before, weights @ values)
    reached = ~np.isnan(values).any(axis=0)
    return Worth(
        question=question,
        regret=regret_of_orders(before, values, weights),
        swing=swing(values[:, reached]),
        money=max(_in_vain(plan, chosen, _best(before, value)[1]) for value in values),
        fit=_fit(question),
    )


def regret_of_orders(before, values, weights):
    """Return what it costs on average to settle an order of stages before the answer is known. [dB]

    Parameters
    ----------
    before : tuple of int
        Of each stage: the set of stages that come before it.
    values : array, shape (answers, 2**n)
        What each set of stages is worth; `nan` where it is not possible. [dB]
    weights : array, shape (answers,)
        How likely each answer is; together 1.
    """
    each = [_best(before, value)[0] for value in values]
    return max(float(weights @ each) - _best(before, weights @ values)[0], 0.0)


def _best(before, values):
    """Return the best mean over the turns, and the set of stages that it ends with."""
    lattice = Lattice(before, values)
    if not lattice.count:
        return float(values[0]), 0
    totals = lattice.totals(complete=False)
    near = np.flatnonzero(totals >= totals.max() - max(HARMLESS * lattice.count, TIE))
    end = max(near, key=lambda some: (int(some).bit_count(), totals[some]))
    return float(totals.max() / lattice.count), int(end)


def _in_vain(plan, chosen, needed):
    """Return what the stages cost that one set has and another lacks."""

    def named(some):
        return {name for i, name in enumerate(plan.ranked) if some >> i & 1}

    return plan.cost_of(named(chosen)) - plan.cost_of(named(chosen & needed))


def _fit(question):
    """Return what does not fit in some worlds after all stages, and fits in others."""
    unfit = [world.plan.after(*world.plan.stages).unfit for world in question.worlds]
    told = [{(said.what, said.where): str(said) for said in found} for found in unfit]
    always = set.intersection(*map(set, told))
    return tuple(sorted({key: said for found in told for key, said in found.items() if key not in always}.values()))
