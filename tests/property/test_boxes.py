"""Boxes at random: their boards enclose one room of the stated volume, whatever the shape, the order and the joints."""

import dataclasses
import itertools

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection

from lumpedbox.build import Board, Carcass, CutPart, Profile, Stock, on_stock
from tests.property import solids
from tests.property.solids import FINE, carcasses, hoppers, profiles, rooms, solid

FEW, MANY = 20, 600
HEALTHY = (HealthCheck.too_slow, HealthCheck.filter_too_much)


def often(count):
    return settings(max_examples=count, derandomize=True, deadline=None, suppress_health_check=HEALTHY)


def check_enclosure(box):
    """Independent solids: the boards do not overlap, fill all but the inside, and leave one room.

    The last is seen with boards a micrometre larger all round, since ones that only touch, but for rounding, leak.
    Their room is smaller by its surface, under 4 m2, times a micrometre.
    """
    panels = box.panels
    boards = list(map(solid, panels))  # by pairs: joined into one, boards that only touch lose some of their volume
    assert max((one ^ other).volume() for one, other in itertools.combinations(boards, 2)) / FINE**3 < 1e-12
    assert [board.volume() / FINE**3 for board in boards] == pytest.approx([p.volume for p in panels], abs=1e-13)
    assert sum(p.volume for p in panels) == pytest.approx(box.outside_volume - box.inside_volume, abs=1e-12)
    (room,) = rooms(panels)
    assert room == pytest.approx(box.inside_volume, abs=4 * solids.GROWN)


def check_carcass(box):
    check_enclosure(box)
    outside = CrossSection([FINE * box.profile.corners]).extrude(FINE * box.width)
    assert max((solid(panel) - outside).volume() for panel in box.panels) / FINE**3 < 1e-12


@often(FEW)
@given(carcasses())
def test_boards_enclose_one_room_of_the_stated_volume(box):
    check_carcass(box)


@pytest.mark.slow
@often(MANY)
@given(carcasses())
def test_boards_of_many_boxes_enclose_one_room_of_the_stated_volume(box):
    check_carcass(box)


@often(FEW)
@given(hoppers())
def test_boards_of_a_frustum_enclose_one_room_of_the_stated_volume(box):
    check_enclosure(box)


@often(FEW)
@given(carcasses(), st.data())
def test_a_panel_left_out_or_a_millimetre_short_leaks(box, data):
    """Short at an end that another panel covers, or that is mitred: a slot opens to the outside."""
    panels = list(box.panels)
    i = data.draw(st.integers(0, len(panels) - 1))
    assert rooms(panels[:i] + panels[i + 1 :]) == []
    place = box.sequence.index
    covered = [
        (i, at_start)
        for i, panel in enumerate(panels)
        for at_start, end in ((True, panel.start), (False, panel.end))
        if end.to and (end.joint == "mitre" or place(end.to) < place(panel.name))
    ]
    i, at_start = data.draw(st.sampled_from(covered))
    panels[i] = dataclasses.replace(panels[i], **shortened(panels[i], 1e-3, at_start))
    assert rooms(panels) == []


def shortened(panel, by, at_start):
    """Return both faces with one end moved inwards."""
    move = np.where(np.isin(np.arange(4), (0, 3) if at_start else (1, 2)), by if at_start else -by, 0.0)
    return {name: getattr(panel, name) + np.column_stack([move, 0 * move]) for name in ("outer", "inner")}


@often(FEW)
@given(carcasses(), st.data())
def test_the_order_of_the_panels_and_the_joints_move_no_litre(box, data):
    order = data.draw(st.permutations(("cheeks", *box.profile.names)))
    try:
        other = dataclasses.replace(box, order=order)
    except ValueError:
        assume(False)
    assert other.inside_volume == pytest.approx(box.inside_volume, abs=1e-15)
    assert other.board_volume == pytest.approx(box.board_volume, abs=1e-15)


@often(FEW)
@given(carcasses(), st.floats(0, 2 * np.pi), st.booleans())
def test_turned_and_mirrored_it_is_the_same_box(box, turn, mirrored):
    P, names = box.profile.corners, box.profile.names
    if mirrored:
        P, names = (P * [-1, 1])[::-1], (*names[-2::-1], names[-1])
    rotation = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    moved = Profile(points=(P @ rotation + [0.1, -0.2]).tolist(), names=names)
    box = dataclasses.replace(box, order=box.sequence)
    other = dataclasses.replace(box, profile=moved)
    assert other.inside_volume == pytest.approx(box.inside_volume, abs=1e-13)
    for name in box.profile.names:
        one, two = box.panel(name), other.panel(name)
        ends = (two.end, two.start) if mirrored else (two.start, two.end)
        assert (two.length, two.breadth) == pytest.approx((one.length, one.breadth), abs=1e-12)
        assert [end.tilt for end in ends] == pytest.approx([one.start.tilt, one.end.tilt], abs=1e-9)
        assert [end.to for end in ends] == [one.start.to, one.end.to]


@often(FEW)
@given(profiles(), st.floats(0.006, 0.025))
def test_at_one_thickness_the_inside_is_what_a_library_makes_of_it(profile, thickness):
    """shapely's buffer, inwards, with sharp corners."""
    import shapely

    box = solids.made(Carcass, profile=profile, width=0.3, board=Board(thickness=thickness))
    library = shapely.Polygon(profile.points).buffer(-thickness, join_style="mitre", mitre_limit=100)
    assert shapely.Polygon(box.inside).symmetric_difference(library).area < 1e-12


@often(FEW)
@given(carcasses(), st.data(), st.floats(1e-4, 0.03))
def test_a_panel_moved_out_gives_more_litres(box, data, distance):
    name = data.draw(st.sampled_from(box.profile.names))
    try:
        larger = dataclasses.replace(box, profile=box.profile.with_edge_moved(name, distance))
    except ValueError:
        assume(False)
    assert larger.inside_volume > box.inside_volume


@often(FEW)
@given(profiles())
def test_a_template_of_any_profile_closes(profile):
    found = Profile.from_template(profile.lengths, profile.inside_angles, profile.names)
    assert found.area == pytest.approx(profile.area, rel=1e-9)
    assert found.inside_angles == pytest.approx(profile.inside_angles, abs=1e-6)


LENGTHS = st.floats(0.05, 0.6)
SIZES = st.lists(st.tuples(LENGTHS, LENGTHS), min_size=1, max_size=14)


@often(FEW)
@given(SIZES, st.floats(0, 6e-3), st.floats(0, 20e-3))
def test_parts_kerf_and_offcuts_are_the_sheets_and_every_cut_runs_from_edge_to_edge(sizes, kerf, trim):
    stock = Stock(length=1.25, width=0.8, thickness=0.018, kerf=kerf, trim=trim)
    parts = [blank(f"part {i}", *size) for i, size in enumerate(sizes)]
    sheets = on_stock(parts, stock)
    assert sorted(placed.part.name for sheet in sheets for placed in sheet.placed) == sorted(p.name for p in parts)
    for sheet in sheets:
        pieces = [placed.at for placed in sheet.placed] + list(sheet.offcuts) + list(sheet.cuts)
        usable = (stock.length - 2 * trim) * (stock.width - 2 * trim)
        assert sum(piece.area for piece in pieces) == pytest.approx(usable, abs=1e-9)
        for placed in sheet.placed:
            sides = (placed.part.length, placed.part.breadth)
            assert placed.at[2:] == (sides[::-1] if placed.turned else sides)
        whole = (trim, trim, stock.length - trim, stock.width - trim)
        separate(whole, list(sheet.cuts), [placed.at for placed in sheet.placed], kerf)


def blank(name, length, breadth):
    outline = np.array([[0, 0], [length, 0], [length, breadth], [0, breadth]])
    return CutPart(name=name, board=Board(thickness=0.018), length=length, breadth=breadth, outline=outline)


def separate(piece, cuts, parts, kerf):
    """Saw a piece up as told, each cut from edge to edge of the piece in hand; every part ends alone at its size."""
    x0, y0, x1, y1 = piece
    inside = [part for part in parts if x0 - 1e-9 <= part.x < x1 and y0 - 1e-9 <= part.y < y1]
    for i, cut in enumerate(cuts):
        within = x0 - 1e-9 <= cut.x and cut.x + cut.length <= x1 + 1e-9
        if not (within and y0 - 1e-9 <= cut.y and cut.y + cut.width <= y1 + 1e-9):
            continue
        upright = cut.y - y0 < 1e-9 and y1 - cut.y - cut.width < 1e-9 and cut.length <= kerf + 1e-9
        level = cut.x - x0 < 1e-9 and x1 - cut.x - cut.length < 1e-9 and cut.width <= kerf + 1e-9
        assert upright or level, "the first cut of a piece does not run from edge to edge"
        rest = cuts[i + 1 :]
        if upright:
            separate((x0, y0, cut.x, y1), rest, parts, kerf)
            return separate((cut.x + cut.length, y0, x1, y1), rest, parts, kerf)
        separate((x0, y0, x1, cut.y), rest, parts, kerf)
        return separate((x0, cut.y + cut.width, x1, y1), rest, parts, kerf)
    assert len(inside) <= 1, "two parts are never cut apart"
    for part in inside:
        assert (part.x, part.y) == pytest.approx((x0, y0), abs=1e-9)
        assert (part.length, part.width) == pytest.approx((x1 - x0, y1 - y0), abs=1e-8)
