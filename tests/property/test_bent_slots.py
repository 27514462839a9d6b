"""Bent slots at random: the boards on the cut list are the wood that an independent solid modeller finds."""

import numpy as np
import pytest
import shapely
from manifold3d import CrossSection, JoinType

from lumpedbox import Port
from lumpedbox.build import Board, Carcass, Inside, PortRun, Profile, cut_list, net_account
from tests.property.solids import FINE

BOARD = 0.018
FINEST = 1e-5  # m that the cut list is rounded to here


def drawn(chance):
    """Return a box that leans a little, and a slot in its front: free or on the floor, with one or two bends."""
    lean = chance.uniform(-0.15, 0.15)
    points = ((0, 0), (1.2, 0), (1.2 - lean, 1.2), (0, 1.2))
    profile = Profile(points=points, names=("floor", "front", "top", "back"))
    box = Carcass(profile=profile, width=0.4, board=Board(thickness=BOARD))
    high, wall = chance.uniform(0.02, 0.05), chance.uniform(0.006, 0.02)
    # To the right is up. From the floor a board leaves by 45 degrees at least, for a saw tilts no farther.
    on_the_floor = chance.random() < 0.5
    first = -chance.uniform(0.25, 0.5) if on_the_floor else chance.choice([-1, 1]) * chance.uniform(0.1, 0.5)
    turns = [np.pi * first, *([np.pi * chance.uniform(-0.3, 0.5)] if chance.random() < 0.5 else [])]
    after = [0.35, 0.55][: len(turns)]
    cheeks = ((), ("left cheek",), ("left cheek", "right cheek"))[chance.integers(3)]
    run = PortRun(
        port=Port(length=after[-1] + 0.2, width=0.364 if len(cheeks) == 2 else 0.15, height=high),
        panel="front",
        along=(BOARD + high / 2) * np.hypot(1, lean / 1.2) if on_the_floor else 0.6,
        wall=wall,
        shares=(*(["floor"] if on_the_floor else []), *cheeks),
        bends=tuple(zip(after, turns, strict=True)),
    )
    return box, run


def channel_of(box, run):
    """Return the middle of a slot as a line from the outer face, worked anew, and its air in the box."""
    (x0, y0), (x1, y1) = box.profile.points[1:3]
    way = np.array([x1 - x0, y1 - y0]) / np.hypot(x1 - x0, y1 - y0)
    at = np.array([x0, y0]) + run.along * way
    heading = np.pi if "floor" in run.shares else np.arctan2(way[1], way[0]) + np.pi / 2
    line, done = [at], 0.0
    for after, turn in (*run.bends, (run.port.length, 0.0)):
        at = at + (after - done) * np.array([np.cos(heading), np.sin(heading)])
        line, done = [*line, at], after
        last, heading = heading, heading + turn
    back = line[0] - 0.2 * (line[1] - line[0])  # from well before the panel
    air = shapely.LineString([back, *line[1:]]).buffer(run.port.height / 2, cap_style="flat", join_style="mitre")
    return line, last, air.intersection(shapely.Polygon(box.inside))


def wood_of(box, run):
    """Return the area of its own boards by manifold3d: the air grown by a board, within the box, short of the mouth."""

    def section(points):
        return CrossSection([FINE * np.asarray(points)])

    line, heading, air = channel_of(box, run)
    inside = section(box.inside)
    channel = section(air.exterior.coords[:-1] if air.exterior.is_ccw else air.exterior.coords[::-1][:-1])
    far = np.array([np.cos(heading), np.sin(heading)])
    side = np.array([-far[1], far[0]])
    beyond = [line[-1] + a * far + b * side for a, b in ((0, -0.1), (0.1, -0.1), (0.1, 0.1), (0, 0.1))]
    grown = channel.offset(FINE * run.wall, JoinType.Miter, 10.0)
    return ((grown ^ inside) - channel - section(beyond)).area() / FINE**2, air.area


def volume_of(part):
    """Return the volume of a board from the numbers of the cut list alone."""
    x, y = part.outline.T
    if not part.is_rectangle:
        return part.count * part.thickness * (x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    # A face that is the shorter one at an end is shorter there by t tan(tilt): on average by half of it.
    lost = sum(part.thickness * np.tan(end.tilt) / 2 for end in (part.start, part.end))
    return part.count * part.thickness * part.breadth * (part.length - lost)


@pytest.mark.parametrize("number", range(60))
def test_the_boards_are_the_wood_that_a_solid_modeller_finds(number):
    box, run = drawn(np.random.default_rng(number))
    inside = Inside(ports=run)
    parts = [part for part in cut_list(box, FINEST, inside) if " of port 1" in part.name]
    shelves = sum(volume_of(part) for part in parts if "shelf" in part.name)
    sides = sum(volume_of(part) for part in parts if "side" in part.name)
    wood, air = wood_of(box, run)
    open_ends = 2 - sum(name.endswith("cheek") for name in run.shares)
    across = run.port.width + open_ends * run.wall
    rounded = 6 * FINEST * run.wall * across
    assert shelves == pytest.approx(wood * across, abs=rounded)
    assert sides == pytest.approx(open_ends * air * run.wall, abs=6 * FINEST * run.wall)
    assert -net_account(box, inside).lines[-1].volume == pytest.approx((wood + air) * across, rel=1e-6)
