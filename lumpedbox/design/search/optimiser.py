"""The lowest value of a function of one or two variables, by lattices that narrow around the best of a grid.

It does not know what the function is about. The function takes points of shape (n, d), and how finely to look at them.
It returns a merit for each, shape (n,), and a dict of arrays of the same shape, which the search only hands on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

INFEASIBLE = 1e6  # more than any value to make low
FAR_OUT = 2 * INFEASIBLE  # a limit exceeded this much is exceeded one step away too
CLOSE = 0.02  # of the best merit: what is worse by more at a coarse look is no better at a finer look
OUT = (1 + CLOSE) * INFEASIBLE  # a limit exceeded this much at a coarse look is exceeded at a finer look too
ROUNDS = 10  # most rounds of a stage
REPEATS, GAIN = 3, 1e-3  # most repeats of the last stage, and the gain, as a share, that asks for one
ON_THE_EDGE = 0.99  # of a lattice's half width: a point farther from its middle lies on its edge


def penalised(value, excess, rounding):
    """Return a merit: the value if no limit is exceeded, else how far the worst is exceeded, times `INFEASIBLE`.

    Parameters
    ----------
    value : array
        What to make low, in any unit.
    excess : array
        The worst limit's value over what is allowed. [1]
    rounding : float
        The largest excess that counts as none. [1]

    Returns
    -------
    array
        In the unit of the value.
    """
    return np.where(excess <= rounding, value, INFEASIBLE * excess)


def lattice(axes):
    """Return every combination of the values of some axes, shape (n, d), in the unit of each.

    Parameters
    ----------
    axes : sequence of array
    """
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, len(axes))


def valleys(points, merit, side):
    """Return the points of a grid that are no worse than their neighbours, the best first.

    Parameters
    ----------
    points : array, shape (side**d, d)
    merit : array, shape (side**d,)
    side : int

    Returns
    -------
    array, shape (n, d)
        In the units of the points. Points far out of the limits are dropped, unless all are.
    """
    grid = merit.reshape((side,) * points.shape[1])
    around = np.pad(grid, 1, constant_values=np.inf)  # only this wraps round when it is rolled
    for axis in range(grid.ndim):
        around = np.min([np.roll(around, shift, axis) for shift in (-1, 0, 1)], axis=0)
    lowest = np.flatnonzero(grid == around[(slice(1, -1),) * grid.ndim])
    ordered = lowest[np.argsort(merit[lowest], kind="stable")]
    return points[ordered[merit[ordered] <= max(FAR_OUT, merit[ordered[0]])]]


class Stage(NamedTuple):
    """How a search narrows: a lattice around each point, smaller from round to round.

    Attributes
    ----------
    starts : int
        How many of the best points to start from.
    fineness : object
        How finely the function looks.
    counts : tuple of int
        Points of the lattice along each axis: many, since only few may fit between two limits.
    size : float
        Half the width of the first lattice, over the spans of the problem. [1]
    narrowing : int
        How much smaller the lattices become in the end.
    shrink : int
        How much smaller each becomes unless the best point lies on its edge.
    enough : float
        The stage ends once a merit is below this.
    """

    starts: int
    fineness: object
    counts: tuple
    size: float
    narrowing: int
    shrink: int = 2
    enough: float = -np.inf


class Optimum(NamedTuple):
    """The best point that was found.

    Attributes
    ----------
    point : array, shape (d,)
    values : dict
        What the function says about it, as numbers.
    merit : float
        In the unit of the function.
    """

    point: np.ndarray
    values: dict
    merit: float

    @property
    def feasible(self):
        """Whether every limit is kept, as yes or no; if not, this point exceeds them least."""
        return self.merit < INFEASIBLE


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """A function, whose lowest value within bounds is wanted.

    Attributes
    ----------
    function : callable
        Of points and fineness; it returns merits and a dict of arrays.
    bounds : array, shape (d, 2)
    spans : array, shape (d,)
        The unit for the sizes of the lattices.
    """

    function: object
    bounds: np.ndarray
    spans: np.ndarray

    def refined(self, points, stages):
        """Return the best point near some, by one stage after another, as an `Optimum`.

        Parameters
        ----------
        points : array, shape (n, d)
            The best first.
        stages : sequence of Stage
        """
        for stage in stages:
            starts = self._apart(points, stage.size)[: stage.starts]
            points, values, merit = self._narrowed(starts, stage)
            points = points[merit <= merit[0] + CLOSE * abs(merit[0])]
            if merit[0] > OUT:
                break
        return Optimum(points[0], {name: float(value[0]) for name, value in values.items()}, float(merit[0]))

    def _apart(self, points, size):
        """Return the points that lie in no lattice of this size around a better one: both would lead to the same."""
        kept = points[:1]
        for point in points[1:]:
            if np.all(np.max(np.abs(kept - point) / self.spans, axis=1) > size):
                kept = np.vstack([kept, point])
        return kept

    def _narrowed(self, points, stage):
        """Return where a stage leads from each point, the best first: points, values and merits."""
        axes = [span * np.linspace(-1, 1, count) for span, count in zip(self.spans, stage.counts, strict=False)]
        offsets, sizes = lattice(axes), np.full(len(points), stage.size)
        for _ in range(ROUNDS):
            before = points
            points, values, merit = self.best_around(before, sizes, offsets, stage.fineness)
            moved = np.max(np.abs(points - before) / self.spans, axis=1)
            sizes = np.where(moved > ON_THE_EDGE * sizes, sizes, sizes / stage.shrink)
            narrow = sizes.max() < stage.size / stage.narrowing
            if narrow or merit.min() < stage.enough or merit.min() > FAR_OUT:
                break
        order = np.argsort(merit, kind="stable")
        return points[order], {name: value[order] for name, value in values.items()}, merit[order]

    def best_around(self, points, sizes, offsets, fineness):
        """Return the best point of a lattice around each point.

        Parameters
        ----------
        points : array, shape (n, d)
        sizes : float or array, shape (n,)
            Factor on the offsets. [1]
        offsets : array, shape (m, d)
            The lattice.
        fineness : object

        Returns
        -------
        points : array, shape (n, d)
        values : dict
            What the function says about them.
        merit : array, shape (n,)
        """
        around = points[:, np.newaxis] + np.reshape(sizes, (-1, 1, 1)) * offsets
        around = np.clip(around, *np.transpose(self.bounds))
        merit, values = self.function(around.reshape(-1, len(self.bounds)), fineness)
        merit = merit.reshape(around.shape[:2])
        best = np.arange(len(points)), np.argmin(merit, axis=1)
        return around[best], {name: value.reshape(merit.shape)[best] for name, value in values.items()}, merit[best]

    def settled(self, found, stage):
        """Repeat a stage until it leads no further, since along an edge it may stop too soon; return the optimum.

        Parameters
        ----------
        found : Optimum
        stage : Stage
        """
        if len(self.bounds) == 1 or found.merit >= OUT:  # on a line there is no edge to follow
            return found
        look = stage._replace(narrowing=1)  # its first lattice only
        for _ in range(REPEATS):
            nearer = self.refined(found.point[np.newaxis], (look,))
            if found.merit - nearer.merit < GAIN * found.merit:
                break
            found = self.refined(nearer.point[np.newaxis], (stage,))
        return min(found, nearer, key=lambda one: one.merit)
