"""Boxes at random, and their boards as solids by manifold3d, an independent solid modeller."""

import numpy as np
from hypothesis import assume
from hypothesis import strategies as st
from manifold3d import CrossSection, JoinType, Manifold, OpType

from lumpedbox.build import Board, Carcass, Hopper, Profile

NAMES = ("alpha", "beta", "gamma", "delta", "epsilon", "zeta", "eta", "theta")
THICKNESS = st.floats(0.006, 0.03)


@st.composite
def profiles(draw, corners=(3, 8)):
    """Corners around a middle, at any distance from it: with steps inwards too."""
    count = draw(st.integers(*corners))
    parts = np.array(draw(st.lists(st.floats(0.6, 1.4), min_size=count, max_size=count)))
    around = 2 * np.pi * (np.cumsum(parts) / parts.sum() + draw(st.floats(0, 1)))
    far = np.array(draw(st.lists(st.floats(0.15, 0.5), min_size=count, max_size=count)))
    points = far[:, np.newaxis] * np.column_stack([np.cos(around), np.sin(around)])
    return made(Profile, points=points.round(4).tolist(), names=NAMES[:count])


@st.composite
def carcasses(draw):
    """Any board for any panel, the cheeks anywhere in the order, some joints told."""
    profile = draw(profiles())
    boards = {
        name: Board(thickness=draw(THICKNESS))
        for name in draw(st.sets(st.sampled_from((*profile.names, "left cheek", "right cheek"))))
    }
    order = draw(st.permutations(("cheeks", *profile.names)))[: draw(st.integers(0, len(profile.names) + 1))]
    width, board = draw(st.floats(0.08, 0.6)), Board(thickness=draw(THICKNESS))
    named = {"boards": boards, "order": order, "joints": draw(joints(profile))}
    return made(Carcass, profile=profile, width=width, board=board, **named)


@st.composite
def joints(draw, profile):
    """Mitres where a saw can tilt to them, butts elsewhere, at some corners; both are usual between 90 and 135."""
    found = {}
    for i, angle in enumerate(profile.inside_angles):
        psi = min(angle, 360 - angle)
        can = [joint for joint, low, high in (("butt", 45, 135), ("mitre", 90, 180)) if low <= psi <= high]
        if can and draw(st.booleans()):
            found[profile.names[i - 1], profile.names[i]] = draw(st.sampled_from(can))
    return found


@st.composite
def hoppers(draw):
    """Frustums that lean any way."""
    side = st.floats(0.15, 0.6)
    bottom, top = (draw(side), draw(side)), (draw(side), draw(side))
    shift = (draw(st.floats(-0.1, 0.1)), draw(st.floats(-0.1, 0.1)))
    names = ("bottom", "top", "left", "right", "front", "back")
    boards = {name: Board(thickness=draw(THICKNESS)) for name in draw(st.sets(st.sampled_from(names)))}
    order = draw(st.permutations(names))[: draw(st.integers(0, 6))]
    named = {"bottom": bottom, "top": top, "shift": shift, "boards": boards, "order": order}
    return made(Hopper, height=draw(st.floats(0.15, 0.6)), board=Board(thickness=draw(THICKNESS)), **named)


def made(kind, **fields):
    """Make a part, or give this case up if it is refused."""
    try:
        return kind(**fields)
    except ValueError:
        assume(False)


GROWN = 1e-6  # m: boards that only touch, but for rounding, then overlap
FINE = 1e6  # the modeller keeps outlines on a grid of its own: in micrometres that is fine enough


def solid(panel, grown=0.0):
    """Return a board as a solid: the hull of its corners, or its outline in its thickness; larger all round if told."""
    if panel.name.endswith("cheek"):
        outline = CrossSection([FINE * panel.outer]).offset(FINE * grown, JoinType.Miter)
        straight = outline.extrude(FINE * (panel.thickness + 2 * grown)).translate([0, 0, -FINE * grown])
        z, inwards = panel.origin[2], panel.axes[2, 2]
        return straight.translate([0, 0, FINE * (z if inwards > 0 else z - panel.thickness)])
    corners = panel.corners.reshape(-1, 3)
    if grown:
        local = (corners - corners.mean(axis=0)) @ panel.axes.T
        corners = corners + (grown * np.sign(local)) @ panel.axes
    return Manifold.hull_points(FINE * corners)


def together(solids):
    return Manifold.batch_boolean(list(solids), OpType.Add)


def rooms(panels):
    """Return the volumes of air that the boards enclose; none where it leaks. [m3]

    The surface of the boards glued together falls apart into an outer one and one for each room, inside out.
    """
    volumes = [piece.volume() / FINE**3 for piece in together(solid(panel, GROWN) for panel in panels).decompose()]
    return [-volume for volume in volumes if volume < -1e-9]
