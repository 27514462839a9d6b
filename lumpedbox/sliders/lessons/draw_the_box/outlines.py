"""The shapes that a box can start from, by the controls that say them; and what of them a hand can drag."""

from __future__ import annotations

import math
import re
import warnings

import numpy as np

from ....build import Profile
from ....tables.quantity_text import NUMBER
from .lists import LENGTH, items_of
from .tape import MM, number_text

WEDGE, STEP, CORNERS, TEMPLATE = "wedge", "step", "corners", "cardboard template"
SHAPES = (WEDGE, STEP, CORNERS, TEMPLATE)
OF_A_WEDGE = ("floor", "front", "top", "back")
OF_A_STEP = ("floor", "front", "top", "wall side", "tread", "riser")
SHALLOWEST = 10e-3  # m, of a box at its top
SHARP, TIP = 45.0, 40e-3  # degrees inside, below which no saw tilts to a butt; m across a tip that is cut off (ours)
SMALLEST = 1e-3  # m: a corner is not dragged below the floor
LINE = re.compile(rf"\s*({LENGTH})\s*[,;]\s*({LENGTH})\s*°?\s*[,;:]?\s*(.*?)\s*")
AS_A_CORNER = "write a line for each corner: x, y and the name of the edge that starts there, as in {}, 0, front"
AS_AN_EDGE = "write a line for each edge: its length, the inside angle where it starts, its name, as in {}, 85, front"


def shape_of(values):
    """Return the profile that the controls say, and what to mind about it."""
    kind = values["shape"]
    with warnings.catch_warnings(record=True) as heard:
        warnings.simplefilter("always")
        profile = _MADE[kind](values)
    return profile, [str(warning.message) for warning in heard if issubclass(warning.category, UserWarning)]


def _leaning(values):
    """Return depth, height, and how deep the box is at its top. [m]"""
    depth, height = values["depth"], values["height"]
    top = depth - height * math.tan(math.radians(values["lean"]))
    if top < SHALLOWEST:
        raise ValueError("The front meets the back below the top: lean it less, or make the box deeper or lower.")
    return depth, height, top


def _wedge(values):
    depth, height, front = _leaning(values)
    return Profile(points=((0.0, 0.0), (depth, 0.0), (front, height), (0.0, height)), names=OF_A_WEDGE)


def _step(values):
    depth, height, front = _leaning(values)
    back, up = values["step_back"], values["step_up"]
    if back >= depth or up >= height:
        raise ValueError("The step takes all of the box: make it smaller, or the box larger.")
    points = ((back, 0.0), (depth, 0.0), (front, height), (0.0, height), (0.0, up), (back, up))
    return Profile(points=points, names=OF_A_STEP)


def _typed(values):
    points, names = read_corners(values["corners"])
    return Profile(points=points, names=names)


def _template(values):
    return Profile.from_template(*read_edges(values["template"]))


_MADE = {WEDGE: _wedge, STEP: _step, CORNERS: _typed, TEMPLATE: _template}


def read_corners(text):
    """Return the corners of a text [m], and the names of the edges that start there."""
    tape, lines = _lines(text, AS_A_CORNER)
    points = [tuple(tape.length(part, line) for part in (x, y)) for line, x, y, _ in lines]
    return points, [name for *_, name in lines]


def read_edges(text):
    """Return lengths [m], inside angles [deg] and names of the edges of a text."""
    tape, lines = _lines(text, AS_AN_EDGE)
    lengths = [tape.length(length, line) for line, length, _, _ in lines]
    angles = [_angle(angle, line) for line, _, angle, _ in lines]
    return lengths, angles, [name for *_, name in lines]


def _lines(text, how):
    (tape, items), found = items_of(text), []
    how = how.format(tape.either("480", "19"))
    for number, line in enumerate(items, start=1):
        match = LINE.fullmatch(line)
        if not match:
            raise ValueError(f"{line.strip()!r} cannot be read: {how}.")
        found.append((line.strip(), match[1], match[2], match[3] or f"edge {number}"))
    if len(found) < 3:
        raise ValueError(f"A shape has three corners at least: {how}.")
    return tape, found


def _angle(text, line):
    if not re.fullmatch(NUMBER, text.strip()):
        raise ValueError(f"{line!r}: write the angle in degrees, without a unit.")
    return float(text)


def corners_text(points, names, tape=MM):
    """Return corners as a text. [m]"""
    return "\n".join(f"{tape.bare(x)}, {tape.bare(y)}, {name}" for (x, y), name in zip(points, names, strict=True))


def edges_text(lengths, angles, names, tape=MM):
    """Return the edges of a template as a text. [m], [deg]"""
    rows = zip(lengths, angles, names, strict=True)
    return "\n".join(f"{tape.bare(length)}, {number_text(angle)}, {name}" for length, angle, name in rows)


def values_for(values, profile):
    """Return the controls' values that say a profile: in the shape that is chosen if it is one of that, else corners.

    Parameters
    ----------
    values : dict
        What they stand at. [SI]
    profile : Profile
    """
    found = _read_back(values["shape"], profile)
    if found is None:
        return {"shape": CORNERS, "corners": corners_text(profile.points, profile.names)}
    return found


def _read_back(shape, profile):
    P, names = profile.corners, profile.names
    if shape == WEDGE and names == OF_A_WEDGE:
        P = P - P[0]
        (_, _), (depth, _), (front, height), (zero, _) = P
        flat = max(abs(P[1][1]), abs(zero), abs(P[2][1] - P[3][1])) < 1e-9
        return _sizes(depth, height, front) if flat else None
    if shape == STEP and names == OF_A_STEP:
        P = P - np.array([P[3][0], P[0][1]])
        (back, _), (depth, _), (front, height), _, (_, up), _ = P
        likely = np.array([(back, 0), (depth, 0), (front, height), (0, height), (0, up), (back, up)])
        if np.abs(likely - P).max() < 1e-9:
            return _sizes(depth, height, front) | {"step_back": float(back), "step_up": float(up)}
    return None


def _sizes(depth, height, front):
    lean = math.degrees(math.atan2(depth - front, height))
    return {"depth": float(depth), "height": float(height), "lean": float(lean)}


# Corner: whether it moves along x and along y.
HANDLES = {
    WEDGE: {1: (True, False), 2: (True, True), 3: (False, True)},
    STEP: {0: (True, False), 1: (True, False), 2: (True, True), 3: (False, True), 4: (False, True), 5: (True, True)},
    TEMPLATE: {},
}


def handles(values):
    """Return which corners can be dragged, each with whether it moves along x and along y."""
    if values["shape"] == CORNERS:
        return dict.fromkeys(range(len(read_corners(values["corners"])[0])), (True, True))
    return HANDLES[values["shape"]]


def dragged(values, index, x, y):
    """Return the values of what changes when a corner is taken elsewhere. [m]"""
    shape = values["shape"]
    if shape == CORNERS:
        return {"corners": corner_moved(values["corners"], index, x, y)}
    if shape == STEP and index in (0, 4, 5):
        return _of_the_step(x, y, *HANDLES[STEP][index])
    if index == 1:
        return {"depth": x}
    if index == 3:
        return {"height": y}
    return {"height": y, "lean": math.degrees(math.atan2(values["depth"] - x, max(y, SMALLEST)))}


def _of_the_step(x, y, along, up):
    return ({"step_back": x} if along else {}) | ({"step_up": y} if up else {})


def without_tips(values):
    """Return the values with a narrow board across every tip that is too sharp for a saw; nothing if there is none."""
    profile, _ = shape_of(values)
    for before in [profile.names[i - 1] for i, angle in enumerate(profile.inside_angles) if angle < SHARP]:
        profile = profile.without_tip(before, TIP, f"tip of {before}")
    found = {"shape": CORNERS, "corners": corners_text(profile.points, profile.names)}
    return found if len(profile.names) > len(shape_of(values)[0].names) else {}


def corner_moved(text, index, x, y):
    """Return the text of some corners with one of them elsewhere. [m]"""
    points, names = read_corners(text)
    points[index] = (x, y)
    return corners_text(points, names)
