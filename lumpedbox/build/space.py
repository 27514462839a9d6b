"""The space that a box goes into, and the way in."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..arguments import takes
from ..errors import Refused
from ..quantity import Part, Text, part, ruled
from .workings.fields import Outline, Pairs, Sides, Words, length_field, measure

GAP = measure("gap to leave", 0.0, 1.0)
OPENING = measure("side of the opening", 0.02, 5.0)
WIDTH, WAY_IN = measure("width across", 0.0, 10.0), Sides("width and height of the opening", OPENING)
TURNS = np.deg2rad(np.arange(0.0, 180.0, 0.25))


@part
class Space(Part):
    """The room for a box, in the plane of its profile and with the same axes, and across.

    Parameters
    ----------
    points : tuple of pair
        Corners of the room, each x, y, counter-clockwise. [m]
    width : float
        Across. [m]
    opening : tuple of float, optional
        Width and height of the rectangle that the box must pass. [m]
    gaps : dict
        What stays free, by panel of the box or by keep-out: carpet, a grille, how far a seat sinks. [m]
    keep_outs : dict
        Corners of what the box must stay clear of, by name: belts, anchors, a seat at the end of its travel. [m]
    names : tuple of str
        Of the room's sides, if one likes to read them.
    """

    points: tuple = ruled(Outline())
    width: float = length_field("width across", 0.02, 10.0)
    opening: tuple = ruled(Sides("width and height of the opening", OPENING, optional=True), None)
    gaps: tuple = ruled(Pairs(GAP, "a gap in m"), ())
    keep_outs: tuple = ruled(Pairs(Outline(), "corners of a keep-out"), ())
    names: tuple = ruled(Words(), ())

    def _check_together(self):
        import shapely

        if not shapely.Polygon(self.points).is_valid:
            raise Refused("Space", "points", "must not cross each other")
        for name, corners in self.keep_outs:
            if not shapely.Polygon(corners).is_valid:
                raise Refused("Space", f"keep_outs[{name!r}]", "must not cross itself")
        if self.names and len(self.names) != len(self.points):
            problem = f"must name each of {len(self.points)} sides, got {len(self.names)} names"
            raise Refused("Space", "names", problem)

    @takes(name=Text())
    def gap(self, name):
        """Return the gap to leave at a panel or a keep-out. [m]

        Parameters
        ----------
        name : str
        """
        return dict(self.gaps).get(name, 0.0)

    @property
    def side_names(self):
        """Of every side, told or not."""
        return self.names or tuple(f"side {i + 1} of the space" for i in range(len(self.points)))


class Passage(NamedTuple):
    """The best way that was found through an opening, pushed straight in.

    Attributes
    ----------
    spare : float
        To spare in the tighter direction; negative if it does not go. [m]
    push : float or None
        Direction of the push in the plane of the profile, from x; None for along the width. [rad]
    turn : float
        By which what goes in is turned in the plane of the opening. [rad]
    """

    spare: float
    push: float | None
    turn: float


@takes(points=Outline(), width=WIDTH, opening=WAY_IN)
def straight_in(points, width, opening):
    r"""Return the best way through a rectangle for a profile with a width, pushed straight. [m]

    Parameters
    ----------
    points : array, shape (n, 2)
        Of the profile. [m]
    width : float
        [m]
    opening : tuple of float
        [m]

    Returns
    -------
    Passage

    Notes
    -----
    Pushed along the width, the profile must fit the opening at some turn. Pushed along a direction of the profile's
    plane, a rectangle must: the width by the extent across that direction, of which the least is best. Enough, but not
    needed: a box may go in by turning on the way.
    """
    across = np.stack([np.cos(TURNS), np.sin(TURNS)])
    extents = np.ptp(np.asarray(points) @ across, axis=0)
    upright = np.roll(extents, len(TURNS) // 2)  # at the turn less a quarter: up to its sign, across
    ways = []
    for w, h, quarter in (*opening, 0.0), (*opening[::-1], np.pi / 2):
        spare = np.minimum(w - extents, h - upright)
        best = int(np.argmax(spare))
        ways.append(Passage(float(spare[best]), None, float(quarter - TURNS[best])))
    narrow = int(np.argmin(extents))
    flat = TURNS[: len(TURNS) // 2 + 1]
    p, q = width, extents[narrow]
    for w, h in (opening,):
        across_w, across_h = p * np.cos(flat) + q * np.sin(flat), p * np.sin(flat) + q * np.cos(flat)
        spare = np.minimum(w - across_w, h - across_h)
        best = int(np.argmax(spare))
        ways.append(Passage(float(spare[best]), float(TURNS[narrow] + np.pi / 2), float(flat[best])))
    return max(ways, key=lambda way: way.spare)
