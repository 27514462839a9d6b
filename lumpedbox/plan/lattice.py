"""All sets of stages, as numbers whose bits are the stages: the best order of all, exactly.

What a state is worth depends on the set of stages done, not on their order. So the best way to a set is the best way to
one that lacks a single stage of it, and then that stage: R. Bellman, "Dynamic programming" (1957), from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

TIE = 1e-9  # dB, between the sums of two orders that are equally good


@dataclass(frozen=True, slots=True, eq=False)
class Lattice:
    """Sets of stages that can be reached, from nothing done to all.

    Attributes
    ----------
    before : tuple of int
        Of each stage: the set of stages that come before it.
    value : array, shape (2**n,)
        What each set is worth, larger is better; `nan` where it is not allowed.
    rising : bool
        Whether no stage may make it worse.
    """

    before: tuple
    value: np.ndarray
    rising: bool = False

    @property
    def count(self):
        """How many stages there are."""
        return len(self.before)

    def steps(self):
        """Yield (sets, stage, sets with it), level by level: arrays of all sets of a size that a stage may follow."""
        sets = np.arange(2**self.count)
        sizes = np.array([int(s).bit_count() for s in sets])
        allowed = ~np.isnan(self.value)
        for size in range(self.count):
            here = sets[(sizes == size) & allowed]
            for stage, before in enumerate(self.before):
                some = here[((here >> stage) & 1 == 0) & (here & before == before)]
                then = some | (1 << stage)
                fits = allowed[then]
                if self.rising:
                    fits = fits & (self.value[then] >= self.value[some] - TIE)
                yield some[fits], stage, then[fits]

    def sums(self, sign=1.0):
        """Return the best sum of values on the way to each set, the start not counted; -inf where there is no way."""
        best = np.full(2**self.count, -np.inf)
        best[0] = 0.0
        for some, _, then in self.steps():
            np.maximum.at(best, then, best[some] + sign * self.value[then])
        return best

    def ways(self):
        """Return in how many orders each set is reached."""
        ways = np.zeros(2**self.count)
        ways[0] = 1
        for some, _, then in self.steps():
            ways[then] += ways[some]
        return ways

    def ways_on(self):
        """Return in how many orders all stages can be done from each set on."""
        ways = np.zeros(2**self.count)
        ways[-1] = 1
        for some, _, then in reversed(list(self.steps())):
            ways[some] += ways[then]
        return ways

    def totals(self, complete, sign=1.0):
        """Return the sum of values over as many turns as there are stages, for each set that one may end with.

        Where stages are left out, the last state stays for their turns.
        """
        sizes = np.array([int(s).bit_count() for s in range(2**self.count)])
        with np.errstate(invalid="ignore"):
            total = self.sums(sign) + (self.count - sizes) * sign * np.nan_to_num(self.value)
        if complete:
            total[:-1] = -np.inf
        return total

    def order(self, end, sums, sign=1.0):
        """Return one order, as numbers of stages, whose sum on the way to a set is the best."""
        found, here = [], int(end)
        while here:
            for stage in range(self.count - 1, -1, -1):
                earlier = here & ~(1 << stage)
                if earlier != here and self._leads(earlier, stage) and self._is_best(sums, earlier, here, sign):
                    found.append(stage)
                    here = earlier
                    break
        return tuple(reversed(found))

    def _leads(self, earlier, stage):
        """Whether a stage may follow a set."""
        then = earlier | (1 << stage)
        fits = earlier & self.before[stage] == self.before[stage] and not np.isnan(self.value[[earlier, then]]).any()
        return fits and (not self.rising or self.value[then] >= self.value[earlier] - TIE)

    def _is_best(self, sums, earlier, here, sign):
        return sums[earlier] + sign * self.value[here] >= sums[here] - TIE

    def ties(self, ends, sums):
        """Return how many orders are as good as the best, that end with one of some sets."""
        ways = np.zeros(2**self.count)
        ways[0] = 1
        for some, _, then in self.steps():
            tight = sums[some] + self.value[then] >= sums[then] - TIE
            ways[then[tight]] += ways[some[tight]]
        return int(sum(ways[end] for end in ends))

    def latest(self, end, costs, least):
        """Return the order to a set that spends latest, of those whose sum of values is at least some number.

        Spending latest means the least sum of what is spent so far, over all turns. For each set we keep every way to
        it that no other beats in both sums, and that can still reach the number.

        Parameters
        ----------
        end : int
        costs : array, shape (2**n,)
            What each set costs.
        least : float
        """
        to_go = self._to_go(end)
        ways = {0: [(0.0, 0.0, ())]}  # set: (spent, value, order), by rising spending
        for some, stage, then in self.steps():
            for here, there in zip(some.tolist(), then.tolist(), strict=True):
                if there & ~end or here not in ways:
                    continue
                enough = least - to_go[there] - TIE
                reached = [
                    (spent + costs[there], value + self.value[there], (*order, stage))
                    for spent, value, order in ways[here]
                    if value + self.value[there] >= enough
                ]
                if reached:
                    ways[there] = _unbeaten(ways.get(there, []) + reached)
        return ways[end][0][2]

    def _to_go(self, end):
        """Return the best sum of values from each set on to another, -inf where there is no way."""
        to_go = np.full(2**self.count, -np.inf)
        to_go[end] = 0.0
        for some, _, then in reversed(list(self.steps())):
            np.maximum.at(to_go, some, to_go[then] + self.value[then])
        return to_go


def _unbeaten(ways):
    """Return the ways that no other beats in both sums, by rising spending."""
    found, highest = [], -np.inf
    for way in sorted(ways, key=lambda way: (way[0], -way[1])):
        if way[1] > highest + TIE:
            found.append(way)
            highest = way[1]
    return found
