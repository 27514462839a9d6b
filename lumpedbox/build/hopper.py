"""A box of which the sides lean: a rectangle at the bottom, another at the top."""

from __future__ import annotations

import itertools
import math
from itertools import pairwise

import numpy as np

from ..errors import Refused
from ..quantity import Holds, OneOf, part, ruled
from .board import Board
from .panel import Panel
from .workings.built import Built
from .workings.ends import Unsawable, of_planes, too_steep
from .workings.fields import Pairs, Sides, Words, length_field, measure
from .workings.planes import meeting_point, of_frustum

NAMES = ("bottom", "top", "left", "right", "front", "back")
AROUND = ("left", "front", "right", "back")  # counter-clockwise from above: x to the right, y to the back
SIDE = measure("outside length of a side", 0.03, 5.0)
SHIFT = measure("shift", -5.0, 5.0)
LEAST = 10e-3  # m of clear room


@part
class Hopper(Built):
    r"""A rectangular frustum: all four sides may lean.

    x runs from left to right, y from front to back, z up.

    Parameters
    ----------
    bottom, top : tuple of float
        Outside, along x and y. [m]
    height : float
        Outside. [m]
    shift : tuple of float
        By how much the middle of the top stands off that of the bottom. [m]
    board : Board
        Of every panel that `boards` does not name.
    boards : dict
        Other boards by panel: "bottom", "top", "left", "right", "front", "back".
    order : tuple of str
        Which panel covers the end of which; what is left out follows.

    Notes
    -----
    The air is a frustum too, with every plane a thickness further in. By the prismoid formula, which is exact for it,

    .. math:: V = \frac{h}{6} (A_{bottom} + 4 A_{middle} + A_{top})

    All joints are butts. Two sides that lean by a and b from upright meet at a saw tilt of
    :math:`\arcsin(\sin a \sin b)`.

    Examples
    --------
    >>> from lumpedbox.units import litre, mm
    >>> box = Hopper(bottom=(0.5, 0.35), top=(0.4, 0.25), height=0.3, board=Board(thickness=18 * mm))
    >>> print(f"{box.inside_volume / litre:.4f} litres")
    28.9357 litres
    """

    bottom: tuple = ruled(Sides("along x and y", SIDE))
    top: tuple = ruled(Sides("along x and y", SIDE))
    height: float = length_field("height outside", 0.03, 5.0)
    shift: tuple = ruled(Sides("along x and y", SHIFT), (0.0, 0.0))
    board: Board = ruled(Holds((Board,)))
    boards: tuple = ruled(Pairs(Holds((Board,)), "a Board"), ())
    order: tuple = ruled(Words(), NAMES[:2])

    def _check_together(self):
        for name, _ in self.boards:
            OneOf(NAMES).accept("Hopper", "boards", name)
        for i, name in enumerate(self.order):
            OneOf(NAMES).accept("Hopper", f"order[{i}]", name)
            if name in self.order[:i]:
                raise Refused("Hopper", "order", f"has {name!r} twice")
        low, high = self.thickness_of("bottom"), self.height - self.thickness_of("top")
        if high - low < LEAST:
            raise Refused("Hopper", "height", f"of {self.height * 1e3:g} mm leaves no room between its boards")
        for name, z in (("bottom", low), ("top", high)):
            if min(self._clear(z)) < LEAST:
                across = " x ".join(f"{side * 1e3:g}" for side in getattr(self, name))
                raise Refused("Hopper", name, f"of {across} mm leaves no room between its boards")
        for panel in self.panels:
            for end in (panel.start, panel.end, *panel.sides):
                if too_steep(end.tilt):
                    tilts = f"{panel.name!r} meets {end.to!r} at a saw tilt of {np.rad2deg(end.tilt):.1f} degrees"
                    names = "bottom, top, height and shift make a box that cannot be sawn"
                    raise Unsawable("Hopper", "", f"{names}: {tilts}, over 45", ": let the sides lean less")

    @property
    def panel_names(self):
        """Names of all panels."""
        return NAMES

    @property
    def sequence(self):
        """All panels, each before those whose ends it covers."""
        return (*self.order, *(name for name in NAMES if name not in self.order))

    def _planes(self):
        return of_frustum(self.bottom, self.top, self.height, self.shift)

    def _clear(self, z):
        """Return the clear length along x and y at a height. [m]"""
        normals, offsets = self._planes()

        def at(name, axis):
            n = normals[name]
            return (offsets[name] + self.thickness_of(name) - n[2] * z) / n[axis]

        return at("right", 0) - at("left", 0), at("back", 1) - at("front", 1)

    @property
    def outside_volume(self):
        """The space that it takes. [m3]"""
        middle = [(a + b) / 2 for a, b in zip(self.bottom, self.top, strict=True)]
        return _prismoid(self.height, *(a * b for a, b in (self.bottom, middle, self.top)))

    @property
    def inside_volume(self):
        """Air and everything in it. [m3]"""
        low, high = self.thickness_of("bottom"), self.height - self.thickness_of("top")
        return _prismoid(high - low, *(np.prod(self._clear(z)) for z in (low, (low + high) / 2, high)))

    @property
    def seam_length(self):
        """Of all seams, measured outside. [m]"""
        corners = itertools.product((0.5, -0.5), repeat=2)
        slant = [math.hypot(self.height, *self._lean(signs)) for signs in corners]
        return sum(slant) + 2 * sum(self.bottom) + 2 * sum(self.top)

    def _lean(self, signs):
        """Return how far a slanting edge leans along x and y. [m]"""
        axes = zip(self.bottom, self.top, self.shift, signs, strict=True)
        return [shift + sign * (top - bottom) for bottom, top, shift, sign in axes]

    @property
    def panels(self):
        """Every panel as it is sawn."""
        return tuple(self._panel(name) for name in NAMES)

    def _panel(self, name):
        normals, offsets = self._planes()
        around = _neighbours(name)
        bounds = [self._bound(name, near, offsets) for near in around]

        def face(depth):
            beside = zip(pairwise([*around, around[0]]), pairwise([*bounds, bounds[0]]), strict=True)
            return np.array(
                [
                    meeting_point([normals[name], normals[a], normals[b]], [offsets[name] + depth, p, q])
                    for (a, b), (p, q) in beside
                ]
            )

        t, n = self.thickness_of(name), normals[name]
        along, origin = _along(name), face(0.0)[0]
        axes = np.array([along, np.cross(along, n), n])
        outer, inner = (((face(depth) - origin) @ axes.T)[:, :2] for depth in (0.0, t))
        ends = [of_planes(n, normals[near], t, near) for near in around]
        named = {"outer": outer, "inner": inner, "start": ends[0], "end": ends[2], "sides": (ends[1], ends[3])}
        return Panel(name=name, board=self.board_of(name), origin=origin, axes=axes, **named)

    def _bound(self, name, near, offsets):
        """Return where a panel ends at a neighbour: at its outer plane, or at its inner plane if that covers it."""
        covered = self.sequence.index(near) < self.sequence.index(name)
        return offsets[near] + (self.thickness_of(near) if covered else 0.0)


def _prismoid(height, bottom, middle, top):
    return float(height / 6 * (bottom + 4 * middle + top))


def _neighbours(name):
    """Return the panels around one, counter-clockwise seen from outside: at its start, side, end and other side."""
    if name == "bottom":
        return ("left", "back", "right", "front")
    if name == "top":
        return ("left", "front", "right", "back")
    i = AROUND.index(name)
    return (AROUND[i - 1], "bottom", AROUND[(i + 1) % 4], "top")


def _along(name):
    """Return the direction from a panel's start to its end."""
    ways = {"left": (0, -1, 0), "front": (1, 0, 0), "right": (0, 1, 0), "back": (-1, 0, 0)}
    return np.array(ways.get(name, (1, 0, 0)), dtype=float)
