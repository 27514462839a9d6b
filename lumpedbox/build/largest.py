"""The most litres that fit a space."""

from __future__ import annotations

import dataclasses
import itertools
from typing import NamedTuple

import numpy as np

from ..arguments import Single, takes
from ..errors import Refused
from ..quantity import Holds
from .account import INSIDE, net_account
from .carcass import LEFT, RIGHT, Carcass
from .fit import CARCASS
from .profile import Profile
from .space import Space, straight_in
from .workings import lines
from .workings.room import NUDGE, side_crossed

SPACE = Single(Holds((Space,)))
FIRST, ROUGH, LAST = 0.32, 0.01, 5e-6  # m: steps of the search from every start, then of the best
MOST, HALVINGS = 10.0, 24  # of a step that another panel gives way, and how finely
STARTS, FINALISTS = 6, 2
CHANCES = 200  # random directions tried at each step
SMALL, NARROW, PLACES = (1.0, 0.6, 0.3), (0.9, 0.4), 8  # starts: of the box, of the width, and places each way


class Largest(NamedTuple):
    """The largest box that was found.

    Attributes
    ----------
    box : Carcass
    net : float
        [m3]
    held : dict
        What holds each panel, and the width; "the other panels" where moving it alone gains nothing.
    """

    box: Carcass
    net: float
    held: dict


@takes(box=CARCASS, inside=INSIDE, space=SPACE)
def largest(box, inside, space):
    """Find the most litres that fit a space: every panel moved parallel to itself, and the width. [m3]

    Parameters
    ----------
    box : Carcass
        Its angles, boards, order and joints stay; it need not fit yet.
    inside : Inside
    space : Space
        Its gaps, keep-outs and opening are kept.

    Returns
    -------
    Largest

    Raises
    ------
    ValueError
        If no box of this shape was found that fits.

    Notes
    -----
    A pattern search from several starts. It moves each panel, pairs of panels and random mixtures, then one panel out
    and another in by as little as it takes. Steps halve where nothing is gained. Another box may be larger still where
    the space has several hollows. What drivers and ports need inside is left to `fit`.
    """
    search = _Search(box, space)
    rough = [search.climb(at, FIRST, ROUGH) for at in search.starts() if search.box_of(at) is not None]
    if not rough:
        raise Refused(
            "largest", "space", "leaves no room for a box of this shape", ": use a shape nearer to the space's"
        )
    rough.sort(key=search.litres, reverse=True)
    best = max((search.climb(at, ROUGH, LAST) for at in rough[:FINALISTS]), key=search.litres)
    made = search.box_of(best)
    return Largest(made, net_account(made, inside).sum, search.held(best))


class _Search:
    """Boxes by how far each panel is moved out, and by their width."""

    def __init__(self, box, space):
        import shapely

        self.box, self.space, self.P = box, space, box.profile.corners
        names, self.count = box.profile.names, len(self.P)
        unit = [lines.moved(self.P, i, 1.0) - self.P for i in range(self.count)]
        self.moves = np.stack(unit)  # corners move in proportion to the distances
        self.gaps = np.array([space.gap(name) for name in names])
        thickness = np.array([box.thickness_of(name) for name in names])
        self.inner = lines.at_depths(self.P, np.roll(thickness, 1), thickness)
        self.e = lines.directions(self.P)
        self.least = 2 * thickness
        self.walls = box.thickness_of(LEFT) + box.thickness_of(RIGHT)
        self.widest = space.width - space.gap(LEFT) - space.gap(RIGHT)
        self.room = shapely.Polygon(space.points).buffer(1e-9, join_style="mitre")
        self.obstacles = [(name, shapely.Polygon(corners), space.gap(name) - 1e-9) for name, corners in space.keep_outs]
        shapely.prepare(self.room)
        self.chance = np.random.default_rng(1)

    def corners(self, moved, gaps=0.0):
        """Return outer corners, shape (..., n, 2), for distances of shape (..., n). [m]"""
        return self.P + np.einsum("...i,inx->...nx", moved + gaps, self.moves)

    def litres(self, at):
        """Volume inside. [m3]"""
        inner = self.inner + np.einsum("...i,inx->...nx", at[..., :-1], self.moves)
        return lines.area(inner) * (at[..., -1] - self.walls)

    def fits(self, at):
        """Tell which of some boxes fit, shape (m, n + 1) to (m,)."""
        import shapely

        P = self.corners(at[:, :-1])
        runs = ((lines.next_of(P) - P) * self.e).sum(axis=-1)
        good = (runs > self.least).all(axis=1) & (at[:, -1] <= self.widest + 1e-12) & (at[:, -1] > self.walls + 0.01)
        grown = self.corners(at[:, :-1], self.gaps)
        shapes = shapely.polygons(grown)
        good &= shapely.covers(self.room, shapes)
        good[good] &= self._clear(shapely.polygons(P[good]))
        if self.space.opening is not None:
            for i in np.flatnonzero(good):
                good[i] = straight_in(P[i], at[i, -1], self.space.opening).spare >= 0
        return good

    def _clear(self, shapes):
        """Tell which of some outlines keep their gaps to all keep-outs."""
        import shapely

        clear = np.ones(len(shapes), dtype=bool)
        for _, obstacle, gap in self.obstacles:
            clear &= ~shapely.intersects(obstacle, shapes) & (shapely.distance(obstacle, shapes) >= gap)
        return clear

    def box_of(self, at):
        """Return the box, or None where it cannot be built."""
        try:
            profile = Profile(points=self.corners(at[:-1]).tolist(), names=self.box.profile.names)
            return dataclasses.replace(self.box, profile=profile, width=float(at[-1]))
        except Refused:
            return None

    def starts(self):
        """Return small copies of the box, here and there in the space, and the box itself."""
        import shapely

        middle, inwards = self.P.mean(axis=0), lines.left_of(self.e)
        x0, y0, x1, y1 = self.room.bounds
        grid = itertools.product(np.linspace(x0, x1, PLACES), np.linspace(y0, y1, PLACES))
        places = [np.array(place) for place in grid if self.room.covers(shapely.Point(place))]
        small = [place + s * (self.P - middle) for place in (middle, *places) for s in SMALL]
        copies, widths = [self.P, *small * len(NARROW)], np.repeat(NARROW, len(small)) * self.widest
        width = [min(self.box.width, self.widest), *widths]
        moved = [-((copy - self.P) * inwards).sum(axis=1) for copy in copies]
        at = np.column_stack([np.array(moved), width])
        good = at[self.fits(at)]
        return sorted(good, key=self.litres, reverse=True)[:STARTS]

    def climb(self, at, step, last):
        """Move to ever larger boxes until the last step gains nothing."""
        while step > last:
            better = self._better(at, at + step * self._directions())
            if better is None:
                better = self._better(at, self._trades(at, step))
            at, step = (at, step / 2) if better is None else (better, step)
        return at

    def _better(self, at, tried):
        """Return the best of some boxes that fit, if it gains and can be built."""
        gain = np.where(self.fits(tried), self.litres(tried) - self.litres(at), -np.inf)
        for i in np.argsort(-gain)[:5]:
            if gain[i] > 1e-12 and self.box_of(tried[i]) is not None:
                return tried[i]
        return None

    def _trades(self, at, step):
        """Return boxes with one panel moved out, and another in by just as much as it takes to fit."""
        i, j = np.nonzero(~np.eye(self.count + 1, dtype=bool))
        each = np.eye(self.count + 1)
        out, low, high = at + step * each[i], np.zeros(len(i)), np.full(len(i), MOST * step)
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            good = self.fits(out - middle[:, np.newaxis] * each[j])
            low, high = np.where(good, low, middle), np.where(good, middle, high)
        return out - high[:, np.newaxis] * each[j]

    def _directions(self):
        each = np.eye(self.count + 1)
        i, j = np.triu_indices(self.count + 1, 1)
        pairs = [each[i] - each[j], each[j] - each[i], each[i] + each[j]]
        random = self.chance.normal(size=(CHANCES, self.count + 1))
        return np.concatenate([each, -each, *pairs, random / np.abs(random).max(axis=1, keepdims=True)])

    def held(self, at):
        """Return what holds each panel and the width."""
        told = {name: self._holder(at, i) for i, name in enumerate(self.box.profile.names)}
        return told | {"width": "the width of the space" if at[-1] > self.widest - NUDGE else self._way_in(at)}

    def _way_in(self, at):
        return "the opening" if self.space.opening is not None else "the other panels"

    def _holder(self, at, index):
        import shapely

        on = at.copy()
        on[index] += NUDGE
        if self.fits(on[np.newaxis])[0]:
            return "the other panels"
        P, grown = self.corners(on[:-1]), shapely.Polygon(self.corners(on[:-1], self.gaps))
        for name, obstacle, gap in self.obstacles:
            if obstacle.distance(shapely.Polygon(P)) <= gap:
                return name
        if not self.room.covers(grown):
            return side_crossed(grown, self.room, self.space)
        return self._way_in(at)
