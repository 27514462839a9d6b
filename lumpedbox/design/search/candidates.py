"""The boxes of one kind to try first, and where they lead."""

from __future__ import annotations

import numpy as np

from .boxes import COARSE, FINE, ROUGH, Boxes
from .brief import VENTED
from .goal import SLOW, Goal, with_port
from .limits import F3, VOLUME, loosenable
from .optimiser import Stage, lattice, valleys

PIECE = 1250  # boxes solved at once: the curves of more do not fit into the processor's cache
LAST = Stage(starts=2, fineness=FINE, counts=(9, 17), size=1 / 240, narrowing=8, shrink=8)
STAGES = (
    Stage(starts=6, fineness=COARSE, counts=(7, 7), size=1 / 30, narrowing=8, shrink=4),
    Stage(starts=2, fineness=COARSE, counts=(7, 11), size=1 / 120, narrowing=4, shrink=4),
    LAST,
)
ON_A_LINE = (  # of closed boxes: fewer rounds of more points, since each round costs more than its points
    Stage(starts=6, fineness=COARSE, counts=(33,), size=1 / 30, narrowing=1, shrink=8),
    Stage(starts=2, fineness=FINE, counts=(33,), size=1 / 240, narrowing=8, shrink=8),
)
FEW = 2  # points to start from when only a way out is wanted
MORE_VOLUME, WIDER = 6.0, 1600  # times the litres available: the largest box tried, and how many are tried
BETWEEN = np.linspace(-1, 1, 9)  # tunings around one, over the step from one to the next
SHRINKING = (1.0, 1 / 4, 1 / 16)  # of that step: lattices that find the best tuning of a volume


class Candidates:
    """The boxes to try first.

    Parameters
    ----------
    boxes : Boxes
    count : int
        How many vented boxes; of sealed ones, the square root of it.
    rough : bool
        Whether what they achieve and lead to is found roughly, in a fraction of the time.

    Attributes
    ----------
    points : array, shape (n, 1) or (n, 2)
    values : dict
        What each achieves, by name: array of shape (n,), in SI units.
    side : int
        How many volumes, and as many tunings.
    """

    def __init__(self, boxes, count, rough=False):
        self.boxes, self.side, self.rough = boxes, round(count**0.5), rough
        self._fineness = ROUGH if rough else COARSE
        self.points = lattice([np.linspace(*ends, self.side) for ends in boxes.bounds])
        pieces = [
            boxes.values(piece, self._fineness) for piece in np.array_split(self.points, -(-len(self.points) // PIECE))
        ]
        self.values = {name: np.concatenate([piece[name] for piece in pieces]) for name in pieces[0]}
        self._least = {}

    @property
    def loosenable(self):
        """The limits that may give, as a tuple of `Limit`."""
        return loosenable(self.values, self.boxes.brief)

    def best(self, aim):
        """Return the box that is best at something, as an `Optimum`.

        Parameters
        ----------
        aim : str
            Which value to make as low as possible.
        """
        goal = Goal.of(aim)
        if self.rough:
            return self._refined(goal, FEW, 1)
        problem = self.boxes.problem(goal)
        found = problem.settled(self._refined(goal), LAST)
        if found.feasible:
            return found
        for limit in self.loosenable:  # boxes that keep them may be a sliver that only one of these ways leads to
            near = self.least(limit)
            near = near._replace(merit=float(goal.merit(near.values, self.boxes.brief)))
            if near.feasible:
                return problem.settled(near, LAST)
        return found

    def least(self, limit):
        """Return the box that needs least of a limit to give while it keeps the others, as an `Optimum`.

        Parameters
        ----------
        limit : Limit
        """
        if limit not in self._least:
            candidates = self._with_larger_boxes() if limit is VOLUME else self
            self._least[limit] = candidates._refined(way_out(limit), FEW)
        return self._least[limit]

    def _refined(self, goal, starts=None, stages=None):
        """Return where the best candidates lead, all of them or so many, by all stages or so many."""
        points = valleys(self.points, goal.merit(self.values, self.boxes.brief), self.side)[:starts]
        first, *others = (STAGES if self.boxes.kind == VENTED else ON_A_LINE)[:stages]
        first = first._replace(size=max(first.size, 1 / (self.side - 1)))  # at least the step between candidates
        return self.boxes.problem(goal).refined(points, (first, *others))

    def _with_larger_boxes(self):
        boxes = self.boxes
        larger = Boxes.within(boxes.driver, boxes.kind, boxes.brief, boxes.air, MORE_VOLUME)
        return Candidates(larger, min(self.side**2, WIDER))

    def of_each_volume(self):
        """Return what the box of lowest f3 achieves at every net volume, with the smallest port that is slow enough.

        Returns
        -------
        dict
            Name: array of shape (side,), in SI units.
        """
        goal = Goal(F3.value, (VOLUME,), SLOW)
        merit = goal.merit(self.values, self.boxes.brief).reshape(self.side, -1)
        index = np.argmin(merit, axis=1) + np.arange(self.side) * merit.shape[1]
        points, values = self.points[index], {name: value[index] for name, value in self.values.items()}
        step = 1 / (self.side - 1)
        offsets = np.array([[0.0, share * step] for share in BETWEEN])
        for size in SHRINKING[: 1 if self.rough else None] if self.boxes.kind == VENTED else ():
            points, values, _ = self.boxes.problem(goal).best_around(points, size, offsets, self._fineness)
        return with_port(values, SLOW)


def way_out(limit):
    """Return the goal of finding how far a `limit` must give, as a `Goal`."""
    return Goal.of(limit.least, (limit, *limit.relaxed_with))
