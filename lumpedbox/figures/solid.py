"""A box as a solid, seen from any side with its near cheek off: which face each pixel shows, by a depth buffer."""

from __future__ import annotations

import itertools
from typing import NamedTuple

import numpy as np

from ..build.carcass import LEFT, RIGHT
from ..build.workings.linings import fitted_layers
from ..build.workings.placing import place_driver, place_port

SIDES = 20  # of a round body
NOTHING = -1
KINDS = ("board", "driver", "port")
LIGHT = np.array([0.35, 0.8, 0.48])  # where the light comes from: from the right, above and the viewer
DARKEST = 0.45  # light on a face that is turned away from it
SPARE = 0.04  # of the picture left free all round


class Face(NamedTuple):
    """A flat face that turns its outside to the viewer.

    Attributes
    ----------
    part : int
        Which of the names it belongs to.
    outline : int
        Faces with the same number have no line between them.
    corners : array, shape (n, 3)
        Convex, in pixels from the upper left; the third is the depth towards the viewer, in pixels too.
    light : float
        How much light falls on it: 0 to 1.
    """

    part: int
    outline: int
    corners: np.ndarray
    light: float


class Solid(NamedTuple):
    """What each pixel shows.

    Attributes
    ----------
    names, kinds : tuple of str
        Of the parts; a kind is "board", "driver" or "port".
    part : array of int, shape (height, width)
        Index of the part; -1 for none.
    line : array of bool, shape (height, width)
        Where one face ends and another, or nothing, begins.
    light : array, shape (height, width)
        0 to 1.
    left_off : str
        The cheek that is left off.
    origin, way, across, up : array, shape (3,)
        Where the middle of the picture lies in space, the way towards the viewer, and one pixel to the right and up.
        [m]
    """

    names: tuple
    kinds: tuple
    part: np.ndarray
    line: np.ndarray
    light: np.ndarray
    left_off: str
    origin: np.ndarray
    way: np.ndarray
    across: np.ndarray
    up: np.ndarray


def solid(box, inside, turn, tip, size):
    """Look at a box from afar.

    Parameters
    ----------
    box : Carcass
        Its profile is seen upright where both angles are 0.
    inside : Inside
        Drivers and ports are drawn as the bodies that `fit` takes them for.
    turn : float
        Of the viewer to the right, round the upright. [rad]
    tip : float
        Of the viewer upwards. [rad]
    size : tuple of int
        Width and height. [pixels]

    Returns
    -------
    Solid
    """
    across, up, way = directions(turn, tip)
    left_off = LEFT if way[2] < 0 else RIGHT
    bodies = list(_bodies(box, inside, left_off))
    names, kinds, _ = zip(*bodies, strict=True)
    corners = np.concatenate([np.concatenate(faces) for *_, faces in bodies])
    every = np.stack([across, up, way])
    seen = corners @ every.T
    low, high = seen.min(axis=0), seen.max(axis=0)
    scale = (1 - 2 * SPARE) * min(size[0] / (high[0] - low[0]), size[1] / (high[1] - low[1]))  # pixels a metre
    middle = (low + high) / 2
    faces = _faces(bodies, every, middle, scale, size)
    part, outline, light = _painted(faces, size)
    origin = middle @ every
    return Solid(names, kinds, part, _lines(outline), light, left_off, origin, way, across / scale, up / scale)


def directions(turn, tip):
    """Return the directions to the right, up, and towards a viewer who has turned and tipped. [rad]"""
    c, s = np.cos(turn), np.sin(turn)
    ct, st = np.cos(tip), np.sin(tip)
    return np.array([c, 0.0, -s]), np.array([-s * st, ct, -c * st]), np.array([s * ct, st, c * ct])


def _bodies(box, inside, left_off):
    """Yield name, kind and faces of each part: arrays of corners, counter-clockwise from outside."""
    for panel in (*box.panels, *fitted_layers(box, inside.layers)):
        if panel.name != left_off:
            yield panel.name, "board", _prism(*panel.corners)
    lined = box.with_layers(inside.layers)
    for seat in inside.drivers:
        placed = place_driver(seat, box, lined.thickness_of(seat.panel))
        yield placed.name, "driver", _turned(placed, placed.outline)
    for run in inside.ports:
        placed, line, _ = place_port(run, lined)
        if len(line) == 2 and run.round and np.hypot(*(line[1] - line[0])) > 1e-6:
            yield "port", "port", _turned(placed, placed.outline)
        elif not run.round and np.ptp(placed.outline, axis=0).max() > 1e-6:
            yield "port", "port", _prism(*(np.insert(placed.outline, 2, z, axis=1) for z in placed.across))


def _prism(outer, inner):
    """Return the faces of a board between its outer and its inner face."""
    faces, n = [*_convex(outer), *_convex(inner[::-1])], len(outer)
    faces += [np.array([outer[i], inner[i], inner[(i + 1) % n], outer[(i + 1) % n]]) for i in range(n)]
    if _volume(faces) < 0:
        faces = [face[::-1] for face in faces]
    return faces


def _volume(faces):
    """Return the volume that faces enclose: negative where they run clockwise, seen from outside."""
    return sum(
        _dot(face[0], _cross(face[i], face[i + 1]))
        for face in (face.tolist() for face in faces)
        for i in range(1, len(face) - 1)
    )


def _dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a, b):
    """Return the cross product of two plain vectors: numpy takes far longer for three numbers."""
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _normal(corners):
    """Return a vector square to a flat face, by its first three corners."""
    a, b, c = corners[:3].tolist()
    return _cross(_from(a, b), _from(b, c))


def _from(a, b):
    return b[0] - a[0], b[1] - a[1], b[2] - a[2]


def _convex(corners):
    """Return a flat polygon as convex ones: itself, or triangles cut off its ears one after another."""
    plain, at = corners.tolist(), list(range(len(corners)))
    normals = [_normal(corners[[0, i, i + 1]]) for i in at[1:-1]]
    normal = [sum(axis) for axis in zip(*normals, strict=True)]

    def turn(i, j, k):
        return _dot(_cross(_from(plain[i], plain[j]), _from(plain[j], plain[k])), normal)

    def is_ear(i, j, k):
        others = (m for m in at if m not in (i, j, k))
        return turn(i, j, k) > 0 and not any(min(turn(i, j, m), turn(j, k, m), turn(k, i, m)) >= 0 for m in others)

    def neighbours(place):
        return at[place - 1], at[place], at[(place + 1) % len(at)]

    if all(turn(*neighbours(place)) > 0 for place in range(len(at))):
        return [corners]
    ears = []
    while len(at) > 3:
        place = next((place for place in range(len(at)) if is_ear(*neighbours(place))), 0)
        ears.append(corners[list(neighbours(place))])
        del at[place]
    return [*ears, corners[at]]


def _turned(placed, outline):
    """Return the faces of a round body from its silhouette: half of it turned round the axis of the driver or port."""
    from_panel = (outline - placed.middle) @ placed.into
    aside = np.abs((outline - placed.middle) @ placed.along)
    depths = sorted({round(float(depth), 9) for depth in from_panel})
    rings = []
    angle = 2 * np.pi * np.arange(SIDES) / SIDES
    for depth in depths:
        radius = float(aside[np.abs(from_panel - depth) < 1e-8].max())
        flat = placed.middle + depth * placed.into + radius * np.outer(np.cos(angle), placed.along)
        rings.append(np.column_stack([flat, placed.centre[1] + radius * np.sin(angle)]))
    faces = [rings[0], rings[-1][::-1]]
    for one, other in itertools.pairwise(rings):
        faces += [np.array([one[i], other[i], other[(i + 1) % SIDES], one[(i + 1) % SIDES]]) for i in range(SIDES)]
    return faces if _volume(faces) > 0 else [face[::-1] for face in faces]


def _faces(bodies, every, middle, scale, size):
    """Return the faces that turn their outside to the viewer, in pixels."""
    found, planes = [], {}
    for index, (_, kind, faces) in enumerate(bodies):
        for corners in faces:
            normal = _normal(corners)
            length = np.sqrt(_dot(normal, normal))
            if length < 1e-14 or _dot(every[2], normal) <= 1e-9 * length:
                continue
            seen = (corners @ every.T - middle) * scale
            pixels = np.column_stack([size[0] / 2 + seen[:, 0], size[1] / 2 - seen[:, 1], seen[:, 2]])
            towards = every @ normal / length
            flat = (*np.round(towards, 3).tolist(), round(float(towards @ seen[0]))) if kind == "board" else ()
            plane = (index, *flat)
            light = DARKEST + (1 - DARKEST) * max(float(towards @ LIGHT), 0.0)
            found.append(Face(index, planes.setdefault(plane, len(planes)), pixels, light))
    return found


def _painted(faces, size):
    """Return part, outline and light of what is nearest at each pixel."""
    width, height = size
    depth, which = np.full((height, width), -np.inf), np.full((height, width), NOTHING)
    for number, face in enumerate(faces):
        x, y, z = face.corners.T.tolist()
        left, right = max(int(min(x)), 0), min(int(max(x)) + 1, width)
        top, bottom = max(int(min(y)), 0), min(int(max(y)) + 1, height)
        if left >= right or top >= bottom:
            continue
        at_x, at_y = np.arange(left, right) + 0.5, (np.arange(top, bottom) + 0.5)[:, np.newaxis]
        normal, here = _normal(face.corners), np.s_[top:bottom, left:right]
        plane = z[0] - (normal[0] * (at_x - x[0]) + normal[1] * (at_y - y[0])) / normal[2]
        nearer = _within(x, y, at_x, at_y) & (plane > depth[here])
        np.copyto(depth[here], plane, where=nearer)
        which[here][nearer] = number
    of_face = np.array([*((face.part, face.outline, face.light) for face in faces), (NOTHING, NOTHING, 0.0)])
    part, outline, light = of_face[which].transpose(2, 0, 1)
    return part.astype(int), outline.astype(int), light


def _within(x, y, at_x, at_y):
    """Tell which points lie in a convex polygon that runs clockwise on paper, where y runs down."""
    within = np.ones((len(at_y), len(at_x)), dtype=bool)
    for i in range(len(x)):
        dx, dy = x[i] - x[i - 1], y[i] - y[i - 1]
        within &= dx * (at_y - y[i - 1]) <= dy * (at_x - x[i - 1])
    return within


def _lines(outline):
    """Tell where a pixel shows another face than the one to its right or below."""
    lines = np.zeros(outline.shape, dtype=bool)
    lines[:, :-1] |= outline[:, :-1] != outline[:, 1:]
    lines[:-1] |= outline[:-1] != outline[1:]
    return lines
