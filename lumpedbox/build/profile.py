"""The outline of a box, outside."""

from __future__ import annotations

import warnings

import numpy as np

from ..arguments import takes
from ..errors import Refused
from ..quantity import OneOf, Part, Text, part, ruled, shown
from .workings import lines
from .workings.fields import COORDINATE, AnyNumber, DifferentNames, One, Outline, length_field, measure

SHORTEST = 5e-3  # m, of an edge
STRAIGHT = np.deg2rad(1)  # an angle so near to 180 degrees is none
GAP_TOLD, GAP_REFUSED = 15e-3, 0.02  # m; of the girth
ANGLE_MISSING = 10.0  # deg by which the inside angles may fail to add up: a protractor's error at each corner; ours
EDGE = measure("length of an edge", SHORTEST, 5.0)
ANGLE = One(unit="deg", meaning="inside angle at the corner where that edge starts", low=1.0, high=359.0)
ACROSS = measure("breadth of the panel that takes the tip's place", SHORTEST, 1.0)


@part
class Profile(Part):
    """The outside of a box seen along its width: corners counter-clockwise, and a name for each edge.

    Edge i goes from corner i to the next.

    Parameters
    ----------
    points : tuple of pair
        Corners, each x, y, counter-clockwise. [m]
    names : tuple of str
        Of the edges; each becomes a panel.
    closing_gap : float
        By how much a template failed to close, before its gap was spread over all edges. [m]

    Examples
    --------
    >>> wedge = Profile(points=((0, 0), (0.3, 0), (0.2, 0.4), (0, 0.4)), names=("floor", "front", "top", "back"))
    >>> print([round(angle) for angle in wedge.inside_angles])
    [90, 76, 104, 90]
    """

    points: tuple = ruled(Outline())
    names: tuple = ruled(DifferentNames())
    closing_gap: float = length_field("closing gap of a template", 0.0, 5.0, default=0.0)

    def _check_together(self):
        if len(self.names) != len(self.points):
            problem = f"must name each of {len(self.points)} edges, got {len(self.names)} names"
            raise Refused("Profile", "names", problem)
        P = self.corners
        for name, edge in zip(self.names, lines.lengths(P), strict=True):
            if edge < SHORTEST:
                short = f"has an edge {name!r} of {edge * 1e3:.3g} mm; the shortest is {SHORTEST * 1e3:g} mm"
                raise Refused("Profile", "points", short)
        self._check_turns(P)
        self._check_crossing(P)
        if lines.area(P) < 0:
            cure = ": did you mean points[::-1] with names[-2::-1] + names[-1:]?"
            raise Refused("Profile", "points", "must run counter-clockwise, but these run clockwise", cure)

    def _check_turns(self, P):
        angles = lines.inside_angles(P)
        for (before, after), angle in zip(self._meeting(), angles, strict=True):
            if abs(angle - np.pi) < STRAIGHT:
                problem = f"go straight on from {before!r} to {after!r}"
                raise Refused("Profile", "points", problem, ": make them one edge, with one name")
            if np.sin(angle / 2) < np.sin(STRAIGHT / 2):
                raise Refused("Profile", "points", f"turn back on themselves from {before!r} to {after!r}")

    def _check_crossing(self, P):
        e = np.roll(P, -1, axis=0) - P
        for i in range(len(P)):
            for j in range(i + 2, len(P) - (i == 0)):
                if _touch(P[i], e[i], P[j], e[j]):
                    crossing = f"must not cross, but {self.names[i]!r} meets {self.names[j]!r}"
                    raise Refused("Profile", "points", crossing)
        import shapely

        if not shapely.LinearRing(P).is_simple:  # edges that lie on each other
            raise Refused("Profile", "points", "must not run along an edge twice")

    def _meeting(self):
        """Return the names of the edges before and after each corner."""
        return [(self.names[i - 1], self.names[i]) for i in range(len(self.names))]

    @property
    def corners(self):
        """The corners as an array, shape (n, 2). [m]"""
        return np.array(self.points)

    @property
    def inside_angles(self):
        """At each corner. [deg]"""
        return tuple(float(angle) for angle in np.rad2deg(lines.inside_angles(self.corners)))

    @property
    def lengths(self):
        """Of the edges. [m]"""
        return tuple(float(edge) for edge in lines.lengths(self.corners))

    @property
    def area(self):
        """[m2]"""
        return float(lines.area(self.corners))

    @classmethod
    @takes(
        lengths=AnyNumber(EDGE, "lengths"),
        inside_angles=AnyNumber(ANGLE, "inside angles"),
        names=DifferentNames(),
    )
    def from_template(cls, lengths, inside_angles, names):
        r"""Make a profile from a cardboard template: the length of each edge and the inside angle where it starts.

        Parameters
        ----------
        lengths : sequence of float
            Of the edges, counter-clockwise. [m]
        inside_angles : sequence of float
            Angle i between edge i - 1 and edge i. [deg]
        names : sequence of str
            Of the edges.

        Returns
        -------
        Profile
            The first edge runs along x. Its `closing_gap` was spread over the edges in proportion to their length.

        Raises
        ------
        ValueError
            If the angles do not add up to (n - 2) 180 degrees within ten, or the gap is over 2 % of the girth.

        Warns
        -----
        UserWarning
            If the gap is over 15 mm.

        Notes
        -----
        Each edge starts where the one before ends. The gap g at the end is closed as a surveyor closes a traverse:
        corner i moves by

        .. math:: -g \sum_{j<i} L_j / \sum_j L_j
        """
        owner, count = "Profile.from_template", len(lengths)
        if not len(inside_angles) == len(names) == count >= 3:
            given = f"got {count} lengths, {len(inside_angles)} inside_angles and {len(names)} names"
            raise Refused(owner, "lengths", f"must be 3 or more, with as many angles and names; {given}")
        wrong = sum(inside_angles) - 180 * (count - 2)
        if abs(wrong) > ANGLE_MISSING:
            due = f"must add up to {180 * (count - 2)} degrees for {count} edges, got {sum(inside_angles):.4g}"
            raise Refused(owner, "inside_angles", due, ": measure them inside the shape, over 180 where it steps in")
        turns = np.cumsum([0.0, *(np.pi - np.deg2rad(inside_angles[1:]))])
        steps = np.array(lengths)[:, np.newaxis] * np.column_stack([np.cos(turns), np.sin(turns)])
        walked = np.concatenate([[[0.0, 0.0]], np.cumsum(steps, axis=0)])
        gap, girth = float(np.hypot(*walked[-1])), float(sum(lengths))
        told = f"fail to close by {gap * 1e3:.0f} mm"
        if gap > GAP_REFUSED * girth:
            most = f"{told}; at most {GAP_REFUSED * girth * 1e3:.0f} mm, 2 % of the girth, can be spread"
            raise Refused(owner, "lengths", most, ": measure the longest edge and the angles at its ends again")
        if gap > GAP_TOLD:
            warnings.warn(f"{owner}.lengths {told}: measure again, or expect the box to be off by that", stacklevel=2)
        share = np.concatenate([[0.0], np.cumsum(lengths)]) / girth
        points = (walked - share[:, np.newaxis] * walked[-1])[:-1]
        return cls(points=points.tolist(), names=names, closing_gap=gap)

    @takes(name=Text(), distance=COORDINATE)
    def with_edge_moved(self, name, distance):
        """Return the profile with one edge moved outwards, parallel to itself; its neighbours grow or shrink.

        Parameters
        ----------
        name : str
            Of the edge.
        distance : float
            Negative for inwards. [m]
        """
        index = self._index("with_edge_moved", "name", name)
        points = lines.moved(self.corners, index, distance)
        ran = ((np.roll(points, -1, axis=0) - points) * lines.directions(self.corners)).sum(axis=1)
        if (ran <= 0).any():
            gone = self.names[int(np.argmin(ran))]
            raise Refused("Profile.with_edge_moved", "distance", f"of {distance * 1e3:.4g} mm leaves no {gone!r}")
        return Profile(points=points.tolist(), names=self.names, closing_gap=self.closing_gap)

    @takes(before=Text(), across=ACROSS, name=Text())
    def without_tip(self, before, across, name):
        r"""Return the profile with a sharp corner cut off by a narrow panel, square to the line that halves the angle.

        Parameters
        ----------
        before : str
            The edge that ends in the corner.
        across : float
            Length of the new edge. [m]
        name : str
            Of the new edge.

        Notes
        -----
        Both new corners have inside angles of 90 + psi / 2 degrees, so both joints tilt by psi / 2.
        """
        i = (self._index("without_tip", "before", before) + 1) % len(self.names)
        P, e = self.corners, lines.directions(self.corners)
        angle = lines.inside_angles(P)[i]
        if angle > np.pi:
            raise Refused("Profile.without_tip", "before", f"must end in a corner that points out, got {shown(before)}")
        back = across / 2 / np.sin(angle / 2)
        cut = [P[i] - back * e[i - 1], P[i] + back * e[i]]
        points = [*P[:i], *cut, *P[i + 1 :]]
        return Profile(points=points, names=(*self.names[:i], name, *self.names[i:]))

    def _index(self, method, argument, name):
        return self.names.index(OneOf(self.names).accept(f"Profile.{method}", argument, name))


def _touch(p, d, q, e):
    """Tell whether two edges meet; each from a corner over a vector."""
    across = lines.cross(d, e)
    if abs(across) < 1e-12:
        return False
    s, u = lines.cross(q - p, e) / across, lines.cross(q - p, d) / across
    return -1e-9 <= s <= 1 + 1e-9 and -1e-9 <= u <= 1 + 1e-9
