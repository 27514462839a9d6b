"""A box of flat panels between two equal sides: an outline with a width."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..errors import Refused
from ..quantity import Holds, OneOf, part, ruled
from .board import Board
from .panel import Panel
from .profile import Profile
from .workings import lines
from .workings.built import Built
from .workings.ends import Unsawable, reaching, too_steep
from .workings.fields import JointPairs, Pairs, Words, length_field
from .workings.section import (
    BUTT,
    MITRE,
    in_each_others_way,
    joints_of,
    section,
    tilt_of,
    tilts,
    too_short,
    usual_joint,
)

CHEEKS, LEFT, RIGHT = "cheeks", "left cheek", "right cheek"
NARROWEST = 10e-3  # m between the cheeks
THIN = 2  # thicknesses: a shorter panel is geometry, but no joinery (ours)


@part
class Carcass(Built):
    r"""A box: a profile with a width, of boards.

    Space has x and y of the profile, and z across: 0 at the outside of the left cheek.

    Parameters
    ----------
    profile : Profile
        Outside.
    width : float
        Outside, over both cheeks. [m]
    board : Board
        Of every panel that `boards` does not name.
    boards : dict
        Other boards by panel; the sides are "left cheek" and "right cheek".
    order : tuple of str
        Which panel covers the end of which: an earlier one runs over a later one. "cheeks" stands for both sides.
        What is left out follows, the cheeks first, then the panels as in the profile.
    joints : dict
        "butt" or "mitre" by pair of neighbours. Without it: butt up to an inside angle of 120 degrees, mitre above.
    view : {"side", "plan"}
        Whether the profile is seen from the side or from above.

    Notes
    -----
    Each inner plane lies a thickness behind its outer plane. The air is the inner profile times the clear width:

    .. math:: V = A_{in} (w - t_{left} - t_{right})

    At a corner that points out, the earlier panel runs to the outer plane of the later. At one that points in, it runs
    to its inner plane.

    Examples
    --------
    >>> from lumpedbox.units import litre, mm
    >>> wedge = Profile(points=((0, 0), (0.3, 0), (0.2, 0.4), (0, 0.4)), names=("floor", "front", "top", "back"))
    >>> box = Carcass(profile=wedge, width=0.4, board=Board(thickness=18 * mm))
    >>> print(f"{box.outside_volume / litre:.2f} litres outside, {box.inside_volume / litre:.2f} inside")
    40.00 litres outside, 28.28 inside
    """

    profile: Profile = ruled(Holds((Profile,)))
    width: float = length_field("width outside", 0.03, 5.0)
    board: Board = ruled(Holds((Board,)))
    boards: tuple = ruled(Pairs(Holds((Board,)), "a Board"), ())
    order: tuple = ruled(Words(), (CHEEKS,))
    joints: tuple = ruled(JointPairs(OneOf((BUTT, MITRE)), "butt or mitre"), ())
    view: str = ruled(OneOf(("side", "plan")), "side")

    def _check_together(self):
        for name, _ in self.boards:
            OneOf(self.panel_names).accept("Carcass", "boards", name)
        for i, name in enumerate(self.order):
            OneOf((CHEEKS, *self.profile.names)).accept("Carcass", f"order[{i}]", name)
            if name in self.order[:i]:
                raise Refused("Carcass", "order", f"has {name!r} twice")
        self._check_joints()
        if self.clear_width < NARROWEST:
            left, right = (self._board(name).thickness * 1e3 for name in (LEFT, RIGHT))
            room = f"of {self.width * 1e3:g} mm leaves no room between boards of {left:g} and {right:g} mm"
            raise Refused("Carcass", "width", room)
        self._check_tilts()
        self._check_room()

    def _check_joints(self):
        meeting, pairs = self._meeting(), [pair for pair, _ in self.joints]
        for pair in pairs:
            if pair not in meeting and pair[::-1] not in meeting:
                known = ", ".join(f"({a!r}, {b!r})" for a, b in meeting)
                raise Refused("Carcass", "joints", f"must name two neighbours, one of {known}; got {pair}")
            if pair[::-1] in pairs:
                raise Refused("Carcass", "joints", f"name {pair} and {pair[::-1]}, which are one", ": leave one out")

    def _check_tilts(self):
        P, joints = self.profile.corners, self._joints_by_corner()
        thickness = [self._board(name).thickness for name in self.profile.names]
        found = zip(self._meeting(), lines.inside_angles(P), joints, tilts(P, thickness, joints), strict=True)
        for (before, after), angle, joint, tilt in found:
            if too_steep(tilt):
                meet = f"{before!r} meets {after!r} at {np.rad2deg(angle):.1f} degrees inside"
                saw = f"a {joint} there tilts the saw by {np.rad2deg(tilt):.1f} degrees, over 45"
                where = "joints" if self._named_joint(before, after) else "profile"
                raise Unsawable("Carcass", where, f"cannot be sawn: {meet}; {saw}", _cure(before, angle, joint))

    def _check_room(self):
        found, names = self._section(), self.profile.names
        short = too_short(found, self.profile.points)
        if short is not None:
            problem = f"leaves {names[short]!r} too short for its joints: its neighbours meet inside the box"
            cure = ": make it longer, its board thinner, or put a batten there instead"
            raise Refused("Carcass", "profile", problem, cure)
        pair = in_each_others_way(found, self.profile.points)
        if pair is not None:
            one, other = names[pair[0]], names[pair[1]]
            neck = f"has a neck narrower than its two boards between {one!r} and {other!r}"
            problem = neck if one != other else f"is narrower than the board of {one!r}"
            raise Refused("Carcass", "profile", problem, ": make it wider there, or its boards thinner")

    def _meeting(self):
        names = self.profile.names
        return [(names[i - 1], names[i]) for i in range(len(names))]

    def _named_joint(self, before, after):
        named = dict(self.joints)
        return named.get((before, after), named.get((after, before)))

    def _joints_by_corner(self):
        return joints_of(self.profile.points, tuple(self._named_joint(*pair) for pair in self._meeting()))

    @property
    def panel_names(self):
        """Names of all panels: the cheeks, then the profile's."""
        return (LEFT, RIGHT, *self.profile.names)

    @property
    def sequence(self):
        """All of the profile's names and "cheeks", each before those whose ends it covers."""
        named = self.order if CHEEKS in self.order else (*self.order, CHEEKS)
        return (*named, *(name for name in self.profile.names if name not in named))

    @property
    def clear_width(self):
        """Between the cheeks. [m]"""
        return self.width - self._board(LEFT).thickness - self._board(RIGHT).thickness

    @property
    def outside_volume(self):
        r"""The space that it takes. [m3]

        .. math:: V = A_{out} w
        """
        return self.profile.area * self.width

    @property
    def inside_volume(self):
        r"""Air and everything in it. [m3]

        .. math:: V = A_{in} (w - t_{left} - t_{right})
        """
        return float(lines.area(self.inside)) * self.clear_width

    @property
    def inside(self):
        """Corners of the profile of the air, shape (n, 2). [m]"""
        return self._section().inner

    @property
    def seam_length(self):
        r"""Of all seams on the inside. [m]

        .. math:: l = n\,w_{clear} + 2 \sum l_i
        """
        around = float(lines.lengths(self.inside).sum())
        return len(self.profile.names) * self.clear_width + 2 * around

    def _section(self):
        ranks, names = {name: rank for rank, name in enumerate(self.sequence)}, self.profile.names
        thickness = tuple(self._board(name).thickness for name in names)
        in_order = tuple(ranks[name] for name in names)
        return section(self.profile.points, thickness, in_order, self._joints_by_corner(), ranks[CHEEKS])

    @property
    def panels(self):
        """Every panel as it is sawn: the two cheeks, then those of the profile."""
        found = self._section()
        return (*self._cheeks(found.cheek), *self._walls(found))

    def _cheeks(self, outline):
        ends = {"outer": outline, "inner": outline}
        into = {LEFT: (0.0, 1.0), RIGHT: (self.width, -1.0)}
        return tuple(
            Panel(
                name=name,
                board=self._board(name),
                origin=np.array([0.0, 0.0, z]),
                axes=np.array([[1.0, 0, 0], [0, 1, 0], [0, 0, inwards]]),
                **ends,
            )
            for name, (z, inwards) in into.items()
        )

    def _walls(self, found):
        P, names, joints, sequence = self.profile.corners, self.profile.names, self._joints_by_corner(), self.sequence
        e, cheeks, left, clear = (
            lines.directions(P),
            sequence.index(CHEEKS),
            self._board(LEFT).thickness,
            self.clear_width,
        )
        inwards = lines.left_of(e)
        for i, name in enumerate(names):
            covered, board, last = sequence.index(name) > cheeks, self._board(name), (i + 1) % len(P)
            breadth = clear if covered else self.width
            outer, inner = ((faces[i] - P[i]) @ e[i] for faces in (found.outer_faces, found.inner_faces))
            yield Panel(
                name=name,
                board=board,
                outer=_rectangle(*outer, breadth),
                inner=_rectangle(*inner, breadth),
                start=reaching(outer[0] - inner[0], board.thickness, joints[i], names[i - 1]),
                end=reaching(inner[1] - outer[1], board.thickness, joints[last], names[last]),
                origin=np.array([*P[i], left if covered else 0.0]),
                axes=np.array([[*e[i], 0.0], [0, 0, 1], [*inwards[i], 0]]),
            )

    def _with_boards(self, boards):
        return _Lined(**{spec.name: getattr(self, spec.name) for spec in dataclasses.fields(self)} | {"boards": boards})

    @property
    def remarks(self):
        """What to mind when building it, as sentences."""
        said, names = [], self.profile.names
        for i, (name, edge) in enumerate(zip(names, self.profile.lengths, strict=True)):
            thick = max(self._board(near).thickness for near in (names[i - 1], name, names[(i + 1) % len(names)]))
            if edge < THIN * thick:
                told = f"The {name} is {edge * 1e3:.0f} mm long, less than two boards of {thick * 1e3:g} mm"
                said.append(f"{told}: use a batten there.")
        if self.profile.closing_gap > 0.0005:
            told = f"The template failed to close by {self.profile.closing_gap * 1e3:.0f} mm"
            said.append(f"{told}: try the cheek in cardboard before you saw.")
        return tuple(said)


@part
class _Lined(Carcass):
    """A carcass with its second layers in its boards: they are fitted between these, so no joint is sawn through."""

    def _check_tilts(self):
        pass


def _rectangle(start, end, breadth):
    return np.array([[start, 0.0], [end, 0.0], [end, breadth], [start, breadth]])


def _cure(before, angle, joint):
    """Say what to do about a joint that no saw can tilt to."""
    psi = min(angle, 2 * np.pi - angle)
    usual = usual_joint(angle)
    if joint == usual == MITRE:
        return ": a mitre wants boards of like thickness; use such, or leave the bend out"
    if not too_steep(tilt_of(angle, usual)):
        return f": a {usual} tilts {np.rad2deg(tilt_of(angle, usual)):.1f} degrees"
    narrow = f"both joints there then tilt {np.rad2deg(psi / 2):.1f} degrees"
    how = f" (Profile.without_tip({before!r}, across=40 * mm, name=...))" if angle < np.pi else ""
    return f": cut the tip off with a narrow panel{how}; {narrow}"
