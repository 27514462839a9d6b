"""Closed polygons in a plane: their edges, their corners, and lines that run at a depth behind the edges.

An edge goes from its corner to the next, counter-clockwise, so that the inside is on its left. Corner i is the start
of edge i.
"""

from __future__ import annotations

import numpy as np


def next_of(points):
    """Return the points one further: of each corner, the end of its edge."""
    return np.concatenate([points[..., 1:, :], points[..., :1, :]], axis=-2)


def before(points):
    """Return the points one back."""
    return np.concatenate([points[..., -1:, :], points[..., :-1, :]], axis=-2)


def area(points):
    r"""Area of polygons, positive if counter-clockwise; shape (..., n, 2). [m2]

    .. math:: A = \frac12 \sum x_i y_{i+1} - x_{i+1} y_i
    """
    return cross(points, next_of(points)).sum(axis=-1) / 2


def cross(a, b):
    """Return the out-of-plane part of a vector product."""
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def lengths(points):
    """Lengths of the edges. [m]"""
    steps = next_of(points) - points
    return np.hypot(steps[..., 0], steps[..., 1])


def directions(points):
    """Unit vectors along the edges."""
    steps = next_of(points) - points
    return steps / np.hypot(steps[..., :1], steps[..., 1:])


def left_of(directions):
    """Unit vectors a quarter turn to the left: into the polygon."""
    return np.stack([-directions[..., 1], directions[..., 0]], axis=-1)


def inside_angles(points):
    """Inside angles at the corners, 0 to 2 pi. [rad]"""
    after = directions(points)
    ahead = before(after)
    turn = np.arctan2(cross(ahead, after), (ahead * after).sum(axis=-1))
    return np.pi - turn


def at_depths(points, first, second):
    r"""Points where the lines cross that run behind the two edges of a corner. Shape (n, 2). [m]

    .. math:: x = P + \frac{a\,e_i - b\,e_{i-1}}{e_{i-1} \times e_i}

    Parameters
    ----------
    points : array, shape (n, 2)
        Corners. [m]
    first, second : array, shape (n,)
        Depth a behind the edge that ends in the corner, and b behind that which starts there. [m]
    """
    e = directions(points)
    e_before = before(e)
    across = cross(e_before, e)[:, np.newaxis]
    return points + (np.asarray(first)[:, np.newaxis] * e - np.asarray(second)[:, np.newaxis] * e_before) / across


def moved(points, index, distance):
    """Return the corners after one edge moved outwards, parallel to itself. [m]"""
    depth = np.zeros(len(points))
    depth[index] = -distance
    return at_depths(points, np.roll(depth, 1), depth)
