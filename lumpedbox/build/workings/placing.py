"""Where drivers and ports lie in the plane of the profile: silhouettes, rays, distances."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ...parts.displacement import MOTOR, depth
from .sizes import cutout_of
from .slots import Slot, axis_of

GRID = 1e-9  # m: boards that touch but for rounding are one silhouette
BASKET = 1e-3  # m by which a basket is narrower than its hole, where it is not given (ours)


class Placing(NamedTuple):
    """A body in the plane of the profile, and across.

    Attributes
    ----------
    name : str
    panel : str
    middle : array, shape (2,)
        On the outer face of the panel. [m]
    into : array, shape (2,)
        Direction into the box.
    along : array, shape (2,)
        Direction along the panel.
    outline : array, shape (n, 2)
        Silhouette inside the board. [m]
    across : tuple of float
        Both sides, from the outside of the left cheek. [m]
    centre : tuple of float
        Along the panel, and across. [m]
    radius : float
        Of a circle round it at the panel. [m]
    """

    name: str
    panel: str
    middle: np.ndarray
    into: np.ndarray
    along: np.ndarray
    outline: np.ndarray
    across: tuple
    centre: tuple
    radius: float


def basket_of(seat):
    """Diameter of a driver behind the panel. [m]"""
    return cutout_of(seat.driver) - BASKET if seat.basket is None else seat.basket


def magnet_of(seat):
    """Diameter of the magnet: as given, else two thirds of the cone's (common practice, no source). [m]"""
    return MOTOR * 2 * np.sqrt(seat.driver.Sd / np.pi) if seat.magnet is None else seat.magnet


def place_driver(seat, box, thickness):
    """Return the driver's `Placing`: from the inner face it narrows to the magnet at its depth, at most."""
    panel = box.panel(seat.panel)
    along, into = panel.axes[0][:2], panel.axes[2][:2]
    middle = panel.origin[:2] + seat.along * along
    wide, narrow, deep = basket_of(seat) / 2, min(magnet_of(seat), basket_of(seat)) / 2, float(depth(seat.driver))
    corners = [(thickness, -wide), (max(deep, thickness), -narrow), (max(deep, thickness), narrow), (thickness, wide)]
    outline = np.array([middle + s * into + a * along for s, a in corners])
    z = box.width / 2 if seat.across is None else seat.across
    name = seat.driver.name or "driver"
    return Placing(name, seat.panel, middle, into, along, outline, (z - wide, z + wide), (seat.along, z), wide)


def place_port(run, box):
    """Return the port's `Placing`, its centre line inside, and the direction of its mouth; the box has its layers."""
    panel = box.panel(run.panel)
    along, into, inwards = panel.axes[0][:2], axis_of(run, box), panel.axes[2][:2]
    middle, line, way = panel.origin[:2] + run.along * along, [], into
    at, done = middle, 0.0
    for after, turn in (*run.bends, (run.port.length, 0.0)):
        at = at + (after - done) * way
        line.append(at)
        way = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]) @ way
        done = after
    line = np.array([middle + panel.thickness / (into @ inwards) * into, *line])
    body = _tube(run, line) if run.round else _of_boards(run, box)
    outline = np.repeat(line[:1], 3, axis=0) if body.is_empty else np.array(body.exterior.coords)[:-1]
    high, wide = run.outer_sides
    z = (box.width / 2 if run.across is None else run.across) + _off_the_cheek(run)
    across = (float(z - wide / 2), float(z + wide / 2))
    round_it = high / 2 if run.round else np.hypot(high, wide) / 2
    placing = Placing("port", run.panel, middle, into, along, outline, across, (run.along, z), round_it)
    return placing, line, way


def _tube(run, line):
    """Return the silhouette of a round port."""
    import shapely

    return shapely.LineString(line).buffer(run.outer_sides[0] / 2, cap_style="flat", join_style="mitre")


def _of_boards(run, box):
    """Return the silhouette of a slot: its air and its own boards."""
    import shapely

    slot = Slot(run, box)
    strips = [each for each in (*slot.air, *slot.shelves) if each.high > 0 and min(each.lengths) > 0]
    return shapely.union_all([shapely.Polygon(slot.corners(each)) for each in strips], grid_size=GRID)


def _off_the_cheek(run):
    """Return by how much the middle of a slot with its own walls lies off the middle of its opening, across. [m]"""
    return run.wall / 2 * (("left cheek" in run.shares) - ("right cheek" in run.shares))


def middle_of(panel):
    """Return the middle of the outer face of a panel, in the plane of the profile. [m]"""
    return panel.origin[:2] + panel.outer[:, 0].mean() * panel.axes[0][:2]


def against(box, name, wall, high):
    """Return where along its panel the middle of a slot lies that runs along a wall beside it. [m]

    Its middle is half its height off the inner face of that wall.
    """
    panel, beside = box.panel(name), box.panel(wall)
    inwards = beside.axes[2]
    off = (panel.origin - beside.origin) @ inwards - beside.thickness
    return float((high / 2 - off) / (panel.axes[0] @ inwards))


def distance_ahead(start, way, edges):
    """Return how far a ray runs until it meets one of some edges, and which; inf and None if it meets none. [m]"""
    found = (np.inf, None)
    for name, a, b in edges:
        d = b - a
        across = way[0] * d[1] - way[1] * d[0]
        if abs(across) < 1e-15:
            continue
        r = a - start
        s, u = (r[0] * d[1] - r[1] * d[0]) / across, (r[0] * way[1] - r[1] * way[0]) / across
        if s > 1e-9 and -1e-12 <= u <= 1 + 1e-12 and s < found[0]:
            found = (float(s), name)
    return found


def edges_of(points, names):
    """Return the edges of a polygon as (name, start, end)."""
    P = np.asarray(points)
    return list(zip(names, P, np.roll(P, -1, axis=0), strict=True))
