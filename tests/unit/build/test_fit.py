"""What fits, by hand; the largest box against dense searches; and the way in, tried by moving a solid."""

import dataclasses

import numpy as np
import pytest
from manifold3d import CrossSection, Manifold

from lumpedbox import Port
from lumpedbox.build import Board, Carcass, Cup, Hopper, Inside, PortRun, Profile, Space, fit, largest, straight_in
from lumpedbox.build.workings.placing import place_port
from lumpedbox.units import litre, mm
from tests.unit.build.test_account import INSIDE, RUN, SEAT
from tests.unit.build.test_carcass import BOARD, STEPPED


def margins(box=STEPPED, inside=INSIDE, space=None):
    return {margin.name: margin for margin in fit(box, inside, space)}


def test_room_behind_beside_and_before_the_mouth_is_as_worked_by_hand():
    """In mm. The front starts at (400, 0) and runs along (-0.083045, 0.996546); into the box is (-0.996546, -0.083045).

    Driver at 150: its axis starts at (387.543, 149.482). The riser's inner plane is 0.99341 x + 0.11462 y = 196.809,
    so it runs (384.99 + 17.13 - 196.81) / (0.99 + 0.00952) = 205.4. The inner face of the front leaves the floor at
    (18 + 18 x 0.083045) / 0.996546 = 19.56 along it: 150 - 19.56 - 90 = 40.4, with a basket of 180.
    Port at 395: its axis meets x = 18 after (382 - 32.803) / 0.996546 = 350.41; 281.22 are port, and 69.2 are left.
    """
    found = margins()
    assert found["200 mm bass: depth"].there == pytest.approx(205.4 * mm, abs=0.05 * mm)
    assert "riser" in found["200 mm bass: depth"].words
    assert found["200 mm bass: along the panel"].there == pytest.approx(40.4 * mm, abs=0.05 * mm)
    assert "To the floor" in found["200 mm bass: along the panel"].words
    assert found["port: mouth"].there == pytest.approx(69.2 * mm, abs=0.05 * mm)
    assert found["port: mouth"].needed == pytest.approx(60 * mm)
    assert "wall side" in found["port: mouth"].words
    # Across: 275 / 2 - 18 - 90.
    assert found["200 mm bass: across"].there == pytest.approx(29.5 * mm)
    assert all(margin.fits for margin in found.values())


def test_the_range_along_the_panel_is_where_it_fits():
    """Up to 110 mm along the front the basket meets the floor; beyond 375 the top."""
    assert margins()["200 mm bass: along the panel"].between == pytest.approx((109.6 * mm, 375.1 * mm), abs=0.1 * mm)
    for along, fits in ((109 * mm, False), (111 * mm, True), (374 * mm, True), (376 * mm, False)):
        moved = Inside(drivers=dataclasses.replace(SEAT, along=along))
        assert margins(inside=moved)["200 mm bass: along the panel"].fits == fits


def test_a_driver_that_runs_into_a_cheek_is_told_of_it():
    near = Inside(drivers=dataclasses.replace(SEAT, across=100 * mm))
    found = margins(inside=near)["200 mm bass: across"]
    assert found.there == pytest.approx((100 - 18 - 90) * mm)
    assert found.words == "It runs into the left cheek: move it across, or make the box wider."


def test_a_deep_driver_meets_the_sloped_back():
    deep = dataclasses.replace(SEAT, driver=dataclasses.replace(SEAT.driver, depth=190 * mm))
    found = margins(inside=Inside(drivers=deep))
    assert not found["200 mm bass: depth"].fits
    # The riser leans by 1.82 degrees against the axis: over half the magnet of 100 mm, 1.6 mm less than in the middle.
    assert found["200 mm bass: behind the magnet"].there == pytest.approx((205.42 - 190 - 1.59) * mm, abs=0.1 * mm)


def test_two_bodies_pass_each_other_across_or_in_the_profile():
    near = dataclasses.replace(RUN, along=200 * mm)
    assert not margins(inside=Inside(drivers=SEAT, ports=near))["200 mm bass and port"].fits
    wide = dataclasses.replace(STEPPED, width=500 * mm)
    beside = Inside(
        drivers=dataclasses.replace(SEAT, across=130 * mm), ports=dataclasses.replace(near, across=400 * mm)
    )
    # Side by side across, 270 mm, and 50 along: their axes are hypot(270, 50) apart, less 90 and 33.
    assert margins(wide, beside)["200 mm bass and port"].there == pytest.approx((np.hypot(270, 50) - 123) * mm)


def test_a_bent_port_ends_where_its_centre_line_does():
    """250 mm in, then a quarter turn down for 100 mm more: the mouth looks at the floor, or runs into the riser."""
    port = Port(length=200 * mm, diameter=50 * mm)
    box = Carcass(profile=Profile(points=SQUARE, names=NAMES), width=0.3, board=BOARD)
    straight = {"port": port, "panel": "front", "along": 0.3, "wall": 2 * mm}
    run = PortRun(**straight, bends=((120 * mm, np.pi / 2),))
    found = margins(box, Inside(ports=run))
    # In a square of 400: the front at x = 400, its middle line at y = 300; bent left, seen walking in, is down.
    assert found["port: mouth"].there == pytest.approx((300 - 80 - 18) * mm)
    assert "floor" in found["port: mouth"].words
    assert found["port: walls"].there == pytest.approx((382 - 300 - 27) * mm)


def test_a_slot_lies_on_the_wall_that_it_shares():
    """40 mm high on a floor of 18, with a shelf of 12 over it, in a square of 400: up to 70, so 312 to the top's 382.

    250 mm long from the front's outer face: 132 mm are left before the back at 18.
    """
    slot = Port(length=250 * mm, width=264 * mm, height=40 * mm)
    shares = ("floor", "left cheek", "right cheek")
    run = PortRun(port=slot, panel="front", along=38 * mm, wall=12 * mm, shares=shares)
    box = Carcass(profile=Profile(points=SQUARE, names=NAMES), width=0.3, board=BOARD)
    found = margins(box, Inside(ports=run))
    assert found["port: mouth"].there == pytest.approx(132 * mm)
    assert found["port: walls"].there == pytest.approx(132 * mm)
    assert "back" in found["port: walls"].words
    assert "port: across" not in found
    high = place_port(run, box)[0].outline[:, 1]
    assert (high.min(), high.max()) == pytest.approx((18 * mm, 70 * mm))


def test_a_mouth_outside_the_box_is_told():
    long = dataclasses.replace(RUN, port=Port(length=400 * mm, diameter=60 * mm))
    mouth = margins(inside=Inside(ports=long))["port: mouth"]
    assert not mouth.fits
    assert "outside the box" in mouth.words


SQUARE, NAMES = ((0, 0), (0.4, 0), (0.4, 0.4), (0, 0.4)), ("floor", "front", "top", "back")
ROOM = Space(
    points=((-0.02, -0.01), (0.46, -0.01), (0.46, 0.6), (-0.02, 0.6), (-0.02, 0.25), (0.14, 0.24)),
    width=0.3,
    opening=(0.5, 0.6),
    gaps={"front": 0.03, "top": 0.01},
    keep_outs={"belt anchor": ((0.0, 0.52), (0.1, 0.52), (0.1, 0.58), (0.0, 0.58))},
    names=("sill", "seat base", "seat", "wall", "arch", "arch side"),
)


def test_the_space_is_told_panel_by_panel():
    found = margins(space=ROOM, inside=dataclasses.replace(INSIDE, others=Cup(volume=0, panel="top")))
    assert found["floor: gap"].there == pytest.approx(10 * mm, abs=0.01 * mm)
    assert found["top: gap"].there == pytest.approx(120 * mm, abs=0.01 * mm)
    assert found["belt anchor: clear"].there == pytest.approx(40 * mm)
    assert found["across: gaps"].there == pytest.approx(25 * mm)
    # The front meets the seat base with its foot first: 60 mm level, 59.8 square to it.
    assert found["front: gap"].there == pytest.approx(60 * mm * np.cos(np.arctan(40 / 480)), abs=0.01 * mm)
    assert "seat base" in found["front: gap"].words
    # 1.5 x 6 mm and 10 mm for the grille.
    assert found["200 mm bass: in front"].needed == pytest.approx(19 * mm)
    assert not found["200 mm bass: out again"].fits
    assert "must come out first" in found["200 mm bass: out again"].words
    assert found["terminal: in front"].there == pytest.approx(120 * mm)


def test_a_wall_that_touches_the_front_and_a_seat_that_sinks_leave_less_room_before_a_driver():
    """The room's end moved to the front of a square box, and then a seat 50 mm off it that sinks by 35 mm."""
    box = Carcass(profile=Profile(points=SQUARE, names=NAMES), width=0.3, board=BOARD)
    inside = Inside(drivers=dataclasses.replace(SEAT, along=0.2))
    tight = Space(points=SQUARE, width=0.3)
    assert margins(box, inside, tight)["200 mm bass: in front"].there == pytest.approx(0, abs=0.001 * mm)
    seat = {"seat": ((0.45, 0), (0.6, 0), (0.6, 0.4), (0.45, 0.4))}
    room = Space(points=((0, 0), (1, 0), (1, 1), (0, 1)), width=0.3, keep_outs=seat, gaps={"seat": 35 * mm})
    found = margins(box, inside, room)["200 mm bass: in front"]
    assert found.there == pytest.approx(15 * mm, abs=0.001 * mm)
    assert not found.fits
    beside = dataclasses.replace(inside, drivers=dataclasses.replace(SEAT, along=3.0))
    lost = margins(box, beside, room)
    assert lost["200 mm bass: off its panel"].words == "Its middle lies beyond the end of the front."
    assert not any(lost[f"200 mm bass: {name}"].fits for name in ("depth", "off its panel", "in front"))
    high = margins(box, dataclasses.replace(inside, drivers=dataclasses.replace(SEAT, along=0.35)))
    assert high["200 mm bass: along the panel"].words == "It runs into the top: move it along the front."
    assert not high["200 mm bass: walls"].fits


def test_a_box_too_large_for_its_space_is_told_where():
    found = margins(space=dataclasses.replace(ROOM, width=0.27, points=[(x * 0.85, y) for x, y in ROOM.points]))
    # The seat base is at 0.85 x 460 = 391 now, the front's foot at 400.
    assert found["front: gap"].there == pytest.approx(-9 * mm, abs=0.001 * mm)
    assert found["front: gap"].words == "Too near to seat base: move the front in."
    assert found["across: gaps"].there == pytest.approx(-5 * mm)
    with pytest.raises(ValueError, match=r"Space\.gaps must be one of left cheek, right cheek, floor"):
        fit(STEPPED, INSIDE, dataclasses.replace(ROOM, gaps={"lid": 0.01}))


def test_what_lacks_less_than_a_saw_can_cut_fits():
    """A gap between the cheeks and the room, a hair too small and clearly too small."""
    usual = margins(space=ROOM)["across: gaps"]
    tight = ROOM.width - (usual.there - usual.needed)
    for lacking, fits in ((0.04 * mm, True), (0.06 * mm, False)):
        across = margins(space=dataclasses.replace(ROOM, width=tight - lacking))["across: gaps"]
        assert across.needed - across.there == pytest.approx(lacking, abs=1e-9)
        assert across.fits == fits


def test_a_panel_that_would_shrink_to_nothing_on_its_way_has_room_beyond_it():
    """A roof of 40 mm under 45 degree slopes is gone 20 mm higher; the ceiling is 300 mm above that."""
    points = ((0, 0), (0.4, 0), (0.22, 0.18), (0.18, 0.18))
    box = Carcass(profile=Profile(points=points, names=("floor", "front", "roof", "back")), width=0.2, board=thin)
    room = Space(points=((-1, -0.1), (1, -0.1), (1, 0.5), (-1, 0.5)), width=0.3, gaps={"roof": 0.03})
    found = margins(box, Inside(), room)
    assert found["roof: gap"].there == pytest.approx(320 * mm, abs=0.01 * mm)
    assert found["roof: gap"].fits
    assert "side 3" in found["roof: gap"].words
    low = dataclasses.replace(room, points=[(x, min(y, 0.2)) for x, y in room.points])
    assert margins(box, Inside(), low)["roof: gap"].there == pytest.approx(20 * mm, abs=0.01 * mm)


thin = Board(thickness=6 * mm)


def square(**changed):
    return Carcass(profile=Profile(points=SQUARE, names=NAMES), width=0.2, board=Board(thickness=18 * mm), **changed)


def test_the_largest_box_of_square_corners_under_a_slope():
    """A room of 0.8 by 0.6 m under a straight slope: a dense search along the slope."""
    room = Space(points=((0, 0), (0.8, 0), (0, 0.6)), width=0.3)
    x = np.linspace(0.05, 0.75, 200_001)
    best = ((x - 0.036) * (0.6 * (1 - x / 0.8) - 0.036)).max() * (0.3 - 0.036)
    found = largest(square(), Inside(), room)
    assert found.net == pytest.approx(best, rel=1e-4)
    assert found.net <= best * (1 + 1e-6)
    assert found.held["width"] == "the width of the space"
    assert {found.held["front"], found.held["top"]} == {"side 2 of the space"}
    assert all(margin.fits for margin in fit(found.box, Inside(), room))


@pytest.mark.long
def test_the_largest_box_that_passes_an_opening():
    """A cube of 1 m as the room, an opening of 0.5 by 0.4 m: 1 m long, and filling the opening, whichever way."""
    room = Space(points=((0, 0), (1, 0), (1, 1), (0, 1)), width=1.0, opening=(0.5, 0.4))
    found = largest(square(), Inside(), room)
    assert found.net == pytest.approx((1 - 0.036) * (0.5 - 0.036) * (0.4 - 0.036), rel=2e-3)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(4))
def test_the_largest_wedge_is_as_large_as_a_dense_random_search_finds(seed):
    """300,000 random wedges in a random room with a keep-out; the search is no smaller than the best of them."""
    import shapely

    chance = np.random.default_rng(seed)
    room = shapely.Polygon(
        [(0, 0), (0.7, 0), (0.7, 0.2 + 0.3 * chance.random()), (0.5 * chance.random(), 0.5), (0, 0.5)]
    )
    keep = np.array([[0, 0.4], [0.1, 0.4], [0.1, 0.5], [0, 0.5]])
    space = Space(points=list(room.exterior.coords)[:-1], width=0.4, keep_outs={"anchor": keep.tolist()})
    wedge = Profile(points=((0.1, 0), (0.4, 0), (0.3, 0.3), (0.1, 0.3)), names=NAMES)
    found = largest(Carcass(profile=wedge, width=0.3, board=BOARD), Inside(), space)
    low, high = np.array([0, 0.2, 0, 0.1]), np.array([0.4, 0.9, 0.2, 0.5])
    left, foot, floor, top = (low + (high - low) * chance.random((300_000, 4))).T
    slope = lambda y: foot - (y - floor) / 3  # noqa: E731
    P = np.stack(
        [np.stack(xy, axis=-1) for xy in ((left, floor), (foot, floor), (slope(top), top), (left, top))], axis=1
    )
    good = (slope(top) > left + 0.05) & (top > floor + 0.05)
    shapes = shapely.polygons(P[good])
    fits = shapely.covers(room, shapes) & ~shapely.intersects(shapely.Polygon(keep), shapes)
    across = 18 * mm / np.cos(np.arctan(1 / 3))
    inner = P[good][fits]
    high, wide = np.ptp(inner[:, :, 1], axis=1) - 0.036, (inner[:, 1, 0] + inner[:, 2, 0]) / 2 - inner[:, 0, 0]
    best = (high * (wide - 18 * mm - across)).max() * (0.4 - 0.036)
    assert found.net >= best * (1 - 1e-4)
    assert all(margin.fits for margin in fit(found.box, Inside(), space))


@pytest.mark.long
def test_the_largest_wedge_is_found_on_either_side_of_an_anchor():
    """A tall room with an anchor half way up; 400,000 random wedges, above it and below. Its gap is kept to the end."""
    import shapely

    room, wall = shapely.Polygon([(-0.20, 0.25), (-0.43, 0.35), (-0.35, -0.44), (-0.11, -0.58)]), 18 * mm
    anchor = shapely.box(-0.41, -0.17, -0.34, -0.10)
    corners = {"points": room.exterior.coords[:-1], "keep_outs": {"anchor": anchor.exterior.coords[:-1]}}
    space = Space(width=0.34, gaps={"anchor": 10 * mm, "front": 20 * mm}, **corners)
    wedge = Profile(points=((-0.37, -0.25), (-0.12, -0.25), (-0.22, 0.05), (-0.37, 0.05)), names=NAMES)
    found = largest(Carcass(profile=wedge, width=0.25, board=Board(thickness=wall)), Inside(), space)
    assert all(margin.fits for margin in fit(found.box, Inside(), space))
    chance, long = np.random.default_rng(4), np.hypot(1, 3)
    low, high, left, foot = chance.uniform((-0.55, -0.55, -0.43, -0.4), (0.3, 0.35, -0.12, 0), (400_000, 4)).T
    ends = [(left, low), (foot, low), (foot - (high - low) / 3, high), (left, high)]
    outside = np.stack([np.stack(end, axis=-1) for end in ends], axis=1)
    grown = outside + np.array([[0, 0], [1, 0], [1, 0], [0, 0]]) * 20 * mm * long / 3
    good = (high > low + 0.05) & (ends[2][0] > left + 0.05)
    good[good] &= shapely.covers(room, shapely.polygons(grown[good]))
    good[good] &= shapely.distance(anchor, shapely.polygons(outside[good])) > 10 * mm
    tall, wide = high - low - 2 * wall, (foot + ends[2][0]) / 2 - left - wall - wall * long / 3
    best = (tall * wide)[good].max() * (0.34 - 2 * wall)
    assert found.net >= best


def pushed_through(points, width, opening, way, step=10 * mm):
    """Move a solid through a hole in a plate in small steps; return the most that they ever share. [m3]"""
    w, h = opening
    if way.push is None:
        solid = CrossSection([np.asarray(points)]).extrude(width).rotate([0, 0, np.rad2deg(way.turn)])
    else:
        turned = CrossSection([np.asarray(points)]).rotate(90 - np.rad2deg(way.push)).extrude(width)
        solid = turned.rotate([90, 0, 0])  # what was up, the push, is along z; the width along y
        solid = solid.rotate([0, 0, 90]).rotate([0, 0, np.rad2deg(way.turn)])
    x0, y0, z0, x1, y1, z1 = solid.bounding_box()
    solid = solid.translate([-(x0 + x1) / 2, -(y0 + y1) / 2, -z1])
    plate = Manifold.cube([4, 4, 5 * mm], True) - Manifold.cube([w, h, 1], True)
    return max((solid.translate([0, 0, z]) ^ plate).volume() for z in np.arange(-step, z1 - z0 + 2 * step, step))


def random_ways(count):
    chance = np.random.default_rng(7)
    for _ in range(count):
        around = np.sort(chance.random(6)) * 2 * np.pi
        points = chance.uniform(0.1, 0.3, 6)[:, np.newaxis] * np.column_stack([np.cos(around), np.sin(around)])
        yield points, chance.uniform(0.1, 0.5), tuple(chance.uniform(0.2, 0.6, 2))


def check_ways(count):
    gone, spared = 0, []
    for points, width, opening in random_ways(count):
        way = straight_in(points, width, opening)
        if way.spare < 0:
            continue
        gone += 1
        spared.append(way.spare)
        assert pushed_through(points, width, opening, way) < 1e-12
    assert gone > count / 5


def test_what_is_said_to_go_straight_in_is_moved_through_without_touching():
    check_ways(20)


@pytest.mark.long
def test_many_that_are_said_to_go_straight_in_are_moved_through_without_touching():
    check_ways(400)


def test_a_box_larger_than_its_opening_is_only_said_not_to_be_shown():
    found = margins(space=dataclasses.replace(ROOM, opening=(0.25, 0.3)))["through the opening"]
    assert not found.fits
    assert found.words.startswith("Not shown to go in. Try it in cardboard")


def test_a_square_box_goes_through_a_hole_of_its_size_and_not_through_a_smaller_one():
    assert straight_in(SQUARE, 0.6, (0.4, 0.4)).spare == pytest.approx(0.0, abs=1e-12)
    assert straight_in(SQUARE, 0.6, (0.399, 0.5)).spare == pytest.approx(-1 * mm)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"points": ((0, 0), (1, 1), (1, 0), (0, 1))}, r"Space\.points must not cross"),
        ({"width": 300}, r"Space\.width must be .* did you mean 300 \* mm"),
        ({"opening": (0.3,)}, r"Space\.opening must be two lengths in m"),
        ({"gaps": {"front": -1}}, r"Space\.gaps\['front'\] must be between 0 and 1 m"),
        ({"keep_outs": {"belt": ((0, 0),)}}, r"Space\.keep_outs\['belt'\] must be 3 to 40 corners"),
        ({"names": ("a",)}, r"Space\.names must name each of 6 sides, got 1 names"),
    ],
)
def test_a_wrong_space_is_refused_by_name(changed, words):
    with pytest.raises((ValueError, TypeError), match=words):
        dataclasses.replace(ROOM, **changed)


def test_no_room_at_all_is_refused():
    with pytest.raises(ValueError, match=r"largest\.space leaves no room for a box of this shape"):
        largest(square(), Inside(), Space(points=((0, 0), (0.04, 0), (0.04, 0.04), (0, 0.04)), width=0.3))


def test_the_largest_box_holds_what_its_account_says():
    room = Space(points=((0, 0), (0.5, 0), (0.5, 0.4), (0, 0.4)), width=0.35, gaps={"top": 0.02, "right cheek": 0.01})
    found = largest(square(), INSIDE_SQUARE, room)
    assert found.net == pytest.approx(((0.5 - 0.036) * (0.38 - 0.036) * (0.34 - 0.036)) - 0.5 * litre, rel=1e-4)
    assert found.held["top"] == "side 3 of the space"


INSIDE_SQUARE = Inside(others=Cup(volume=0.5 * litre, panel="back"))


def test_a_driver_in_a_frustum_by_hand():
    """Upright sides, 500 x 350 x 300 outside, board of 18: a plain box, so plain subtraction; then the front leans.

    Bottom, top, left and right cover the front, whose outer face so starts 18 from each. On it at 232 along and 132
    across, the driver's middle is 250 from the left and 150 from the bottom. Depth: 350 - 18. Beside: the nearest of
    250 - 18 to a side and of 150 - 18 to bottom and top, less the basket's 90.
    """
    box = Hopper(bottom=(0.5, 0.35), top=(0.5, 0.35), height=0.3, board=BOARD)
    seat = dataclasses.replace(SEAT, along=0.232, across=0.132)
    run = PortRun(port=Port(length=0.2, diameter=0.05), panel="front", along=0.042, across=0.042, wall=2 * mm)
    found = margins(box, Inside(drivers=seat, ports=run))
    assert found["200 mm bass: depth"].there == pytest.approx(332 * mm)
    assert found["200 mm bass: behind the magnet"].there == pytest.approx(232 * mm)
    assert found["200 mm bass: along the panel"].there == pytest.approx(42 * mm)
    assert found["port: mouth"].there == pytest.approx(132 * mm)
    assert found["port: walls"].there == pytest.approx((60 - 18 - 27) * mm)
    assert found["200 mm bass and port"].there == pytest.approx((np.hypot(190, 90) - 90 - 27) * mm)
    # The back leans by 50 in 300, the front does not: the axis, 150 up, meets it 25 sooner, less 18 / cos of board.
    leaning = Hopper(bottom=(0.5, 0.35), top=(0.5, 0.3), height=0.3, shift=(0, -0.025), board=BOARD)
    found = margins(leaning, Inside(drivers=seat))
    lean = np.arctan(50 / 300)
    assert found["200 mm bass: depth"].there == pytest.approx((350 - 25 - 18 / np.cos(lean)) * mm)
    rim = 50 * np.tan(lean)
    assert found["200 mm bass: behind the magnet"].there == pytest.approx(
        found["200 mm bass: depth"].there - (100 + rim) * mm, abs=1e-9
    )
    # Up from the bottom, 100 off the back's foot: at 200 it leans in by 33.3; a rim of 27 comes nearer by 27 cos.
    up = PortRun(port=Port(length=0.2, diameter=0.05), panel="bottom", along=0.25, across=0.1, wall=2 * mm)
    walls = margins(leaning, Inside(ports=up))["port: walls"]
    assert walls.there == pytest.approx(((100 - 100 / 3 - 27) * np.cos(lean) - 18) * mm)
    assert "back" in walls.words
    with pytest.raises(ValueError, match=r"fit\.space is for a Carcass"):
        fit(box, Inside(), ROOM)
