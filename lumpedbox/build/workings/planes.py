"""Planes in space, each by its normal into the box and how far along it the plane lies."""

from __future__ import annotations

import numpy as np


def meeting_point(normals, offsets):
    """Return the point where three planes meet: shape (3, 3) and (3,) to (3,)."""
    return np.linalg.solve(np.array(normals), np.array(offsets))


def of_frustum(bottom, top, height, shift):
    """Return the normals into the frustum and the offsets, by panel.

    Parameters
    ----------
    bottom, top : pair of float
        Along x and y. [m]
    height : float
        [m]
    shift : pair of float
        Of the middle of the top against that of the bottom. [m]
    """
    normals = {"bottom": np.array([0.0, 0.0, 1.0]), "top": np.array([0.0, 0.0, -1.0])}
    offsets = {"bottom": 0.0, "top": -height}
    for axis, names in enumerate((("left", "right"), ("front", "back"))):
        for name, sign in zip(names, (1, -1), strict=True):
            low, high = -sign * bottom[axis] / 2, shift[axis] - sign * top[axis] / 2
            normal = np.zeros(3)
            normal[axis], normal[2] = sign * height, -sign * (high - low)
            normals[name] = normal / np.linalg.norm(normal)
            offsets[name] = normals[name][axis] * low
    return normals, offsets
