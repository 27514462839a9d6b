"""The list for the saw, against the table worked by hand, and what rounding does to the litres."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Port
from lumpedbox.build import (
    SCREWS_IN_INCHES,
    SCREWS_IN_MM,
    Board,
    Brace,
    Carcass,
    Hopper,
    Inside,
    Lining,
    PortRun,
    Profile,
    as_sawn,
    cut_list,
    fit,
    gluing_sequence,
    net_account,
    restated,
    shopping_list,
)
from lumpedbox.units import inch, mm
from tests.unit.build.test_account import INSIDE
from tests.unit.build.test_carcass import BOARD, STEPPED, TABLE

SIXTEENTH = inch / 16
FITTED = Inside(others=(Lining(panel="front", thickness=12 * mm), Brace(length=0.3, breadth=0.06, thickness=18 * mm)))


def by_name(box=STEPPED, round_to=mm, inside=Inside()):
    return {part.name: part for part in cut_list(box, round_to, inside)}


def test_every_part_of_the_stepped_box_is_listed_as_worked_by_hand():
    parts = by_name()
    assert parts.keys() == {"cheek", *TABLE}
    cheek = parts["cheek"]
    assert (cheek.count, cheek.length, cheek.breadth) == pytest.approx((2, 400 * mm, 480 * mm))
    assert not cheek.is_rectangle
    for name, (length, breadth, _, _, start, start_face, end, end_face) in TABLE.items():
        part = parts[name]
        assert (part.length, part.breadth) == pytest.approx((round(length) * mm, breadth * mm), abs=1e-9)
        assert np.rad2deg(part.tilts) == pytest.approx((start, end, 0, 0), abs=5.1e-3)
        assert (part.start.longer, part.end.longer) == (start_face, end_face)
        assert part.is_rectangle


def test_the_side_of_a_slot_follows_a_front_that_leans():
    """By hand, in the same box: a side 60 mm high loses 60 tan 4.76 = 5.00 mm from the floor to its shelf.

    At the middle it is 300 - 18 / cos 4.76 = 281.94 mm long, on the floor 2.50 mm more.
    """
    slot = Port(length=300 * mm, width=100 * mm, height=60 * mm)
    run = PortRun(port=slot, panel="front", along=50 * mm, across=68 * mm, wall=12 * mm, shares=("floor", "left cheek"))
    side = by_name(inside=Inside(ports=run))["side of port 1"]
    assert (side.length, side.breadth) == pytest.approx((284 * mm, 60 * mm))
    assert side.outline / mm == pytest.approx(np.array([[0, 0], [284, 0], [284, 60], [5, 60]]))
    assert not side.is_rectangle


@pytest.mark.parametrize("grid", [mm, SIXTEENTH])
def test_a_slot_stays_on_its_wall_when_the_boards_are_rounded(grid):
    """A front that leans otherwise by a hair carries the slot with it: nothing runs into anything."""
    points = ((0.12, 0), (0.43, 0), (0.43 - 0.4 * np.tan(np.deg2rad(8)), 0.4), (0, 0.4), (0, 0.14), (0.12, 0.14))
    names = ("floor", "front", "top", "wall side", "tread", "riser")
    box = Carcass(profile=Profile(points=points, names=names), width=0.268, board=Board(thickness=17.4 * mm))
    slot, high = Port(length=200 * mm, width=100 * mm, height=25 * mm), 17.4 * mm
    middle = (high + slot.height / 2) / np.cos(np.deg2rad(8))
    run = PortRun(port=slot, panel="front", along=middle, across=67.4 * mm, wall=high, shares=("floor", "left cheek"))
    sawn = restated(box, Inside(ports=run), grid)
    walls = next(margin for margin in fit(sawn.box, sawn.inside) if margin.name == "port: walls")
    assert walls.there == pytest.approx(88 * mm, abs=3 * mm)  # to the riser: 410 - 137.4 - 200 + what the floor gains


@pytest.mark.parametrize("grid", [mm, SIXTEENTH])
def test_every_length_is_on_the_grid(grid):
    for part in cut_list(STEPPED, grid, FITTED):
        for length in (part.length, part.breadth, *part.outline.ravel()):
            assert length / grid == pytest.approx(round(length / grid), abs=1e-6)


def test_outside_on_sixteenths_holds_0_13_percent_less():
    """All corners and the outside width, 274.64 mm, on the grid."""
    box = dataclasses.replace(as_sawn(STEPPED, SIXTEENTH), width=round(275 * mm / SIXTEENTH) * SIXTEENTH)
    assert box.inside_volume / STEPPED.inside_volume - 1 == pytest.approx(-0.0013, abs=5e-5)


def test_rounding_restates_litres_and_tuning_from_what_is_sawn():
    """The panels between the cheeks are sawn 9 7/16 in wide for 239 mm, so the box is wider: 0.32 % more inside."""
    found = restated(STEPPED, INSIDE, SIXTEENTH)
    assert found.box.clear_width == pytest.approx((9 + 7 / 16) * inch)
    assert found.box.inside_volume / STEPPED.inside_volume - 1 == pytest.approx(0.0032, abs=5e-5)
    assert found.inside.ports[0].port.length == pytest.approx((11 + 1 / 16) * inch)
    assert found.net == net_account(found.box, found.inside).sum
    assert found.drawn_net == net_account(STEPPED, INSIDE).sum
    assert found.tuning < found.drawn_tuning
    assert restated(STEPPED, INSIDE).net == pytest.approx(found.drawn_net, rel=1e-4)  # but for the port


def test_parts_of_the_rounded_box_fill_its_boards():
    """At a hundredth of a millimetre the list gives the volume of all boards again, each as a prismoid by hand."""
    volume = 0.0
    for part in cut_list(STEPPED, 1e-5):
        if part.name == "cheek":
            x, y = part.outline.T
            volume += 2 * part.thickness * (x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
            continue
        # A face that is the longer one at an end is longer there by t tan(tilt): on average by half of it.
        ends = [part.thickness * np.tan(end.tilt) for end in (part.start, part.end)]
        longest, both = part.length, {"outside": 0.0, "inside": 0.0}
        for end, reach in zip((part.start, part.end), ends, strict=True):
            for face in both:
                both[face] -= 0.0 if end.longer in (face, "square") else reach
        volume += part.thickness * part.breadth * (longest + sum(both.values()) / 2)
    assert volume == pytest.approx(STEPPED.board_volume, rel=1e-4)


def test_the_box_is_closed_after_what_goes_in():
    sequence = gluing_sequence(STEPPED, FITTED)
    assert sequence[0] == "left cheek"
    assert sequence[-3:] == ("second layer on front", "brace", "right cheek")
    covering = dataclasses.replace(STEPPED, order=("front", "cheeks"))
    assert gluing_sequence(covering)[-2:] == ("right cheek", "front")
    turns = [part.glued for part in cut_list(STEPPED, mm, FITTED)]
    assert turns == sorted(turns)


def test_a_second_layer_fits_between_the_boards_around_it():
    """12 mm on the front: 444 / cos(4.76 deg) = 445.54 long, and 12 tan(4.76 deg) = 1.00 more from point to point."""
    layer = by_name(inside=FITTED)["second layer on front"]
    assert layer.length == pytest.approx(447 * mm)
    assert layer.breadth == pytest.approx(239 * mm)
    assert np.rad2deg(layer.tilts[:2]) == pytest.approx([4.76, 4.76], abs=5e-3)
    assert layer.thickness == 12 * mm


def test_the_shelf_of_a_slot_is_cut_too():
    """From cheek to cheek on the floor: one shelf of 12 mm, 239 wide, at 85.24 degrees to the front.

    The front leans in over the floor, so the face in the slot, which is the lower one, is the longer. By hand: at the
    middle of the slot 300 - 18 / cos 4.76 = 281.94 mm are left, and 15 mm higher 15 tan 4.76 = 1.25 mm less.
    """
    slot = Port(length=300 * mm, width=239 * mm, height=30 * mm)
    run = PortRun(port=slot, panel="front", along=35 * mm, wall=12 * mm, shares=("floor", "left cheek", "right cheek"))
    parts = by_name(inside=Inside(ports=run))
    shelf = parts["shelf of port 1"]
    assert (shelf.length, shelf.breadth, shelf.thickness) == pytest.approx((281 * mm, 239 * mm, 12 * mm))
    assert np.rad2deg(shelf.start.tilt) == pytest.approx(4.76, abs=5e-3)
    assert (shelf.start.longer, shelf.start.to) == ("outside", "front")
    assert len(parts) == 8
    free = by_name(inside=Inside(ports=dataclasses.replace(run, shares=())))
    assert (free["shelf of port 1"].count, free["side of port 1"].count) == (2, 2)
    assert free["shelf of port 1"].breadth == pytest.approx(263 * mm)


def test_cheeks_of_different_board_are_two_lines():
    parts = by_name(dataclasses.replace(STEPPED, boards={"left cheek": Board(thickness=12 * mm)}))
    assert {"left cheek", "right cheek"} <= parts.keys()
    assert parts["left cheek"].thickness == 12 * mm


def test_panels_of_a_frustum_have_four_tilts():
    box = Hopper(bottom=(0.5, 0.35), top=(0.4, 0.25), height=0.3, board=BOARD)
    front = by_name(box)["front"]
    assert np.rad2deg(front.tilts) == pytest.approx((1.55, 1.55, 9.46, 9.46), abs=5e-3)
    assert not front.is_rectangle
    # The slanting edge: 50 mm in along each axis over 300 mm of height.
    assert box.seam_length == pytest.approx(2 * (0.85 + 0.65) + 4 * np.sqrt(0.3**2 + 2 * 0.05**2))


def test_the_shopping_list_says_what_it_assumes():
    """Seams: six corners of 239 mm, and twice round the inside."""
    around = np.hypot(*np.diff(np.vstack([STEPPED.inside, STEPPED.inside[:1]]), axis=0).T).sum()
    bought = {line.item: line for line in shopping_list(STEPPED, INSIDE)}
    assert bought["sealant"].amount == pytest.approx(6 * 239 * mm + 2 * around)
    assert bought["screws"].amount == np.ceil(bought["sealant"].amount / 0.15)
    assert bought["length of a screw"].amount == pytest.approx(45 * mm)
    assert all(line.assumed for line in bought.values())
    assert bought["screws"].assumed == "one every 0.15 m of seam; common practice, no source"
    assert bought["wood glue"].assumed == "0.2 kg/m2 on every joint; common practice, no source"


# What shops sell: common practice, no source.
SOLD_IN_MM = {16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120}
SOLD_IN_EIGHTHS_OF_AN_INCH = {5, 6, 7, 8, 10, 12, 14, 16, 18, 20, 24, 28, 32, 36, 40}


@pytest.mark.parametrize(
    ("screws", "unit", "sold"),
    [(SCREWS_IN_MM, mm, SOLD_IN_MM), (SCREWS_IN_INCHES, inch / 8, SOLD_IN_EIGHTHS_OF_AN_INCH)],
)
def test_every_screw_is_one_that_is_sold_and_stays_in_the_wood(screws, unit, sold):
    """Through any board of 7 mm and more: it goes into the edge behind by 1 to 1.5 boards, and its length is sold."""
    for thickness in np.arange(7, 59.99, 0.1) * mm:
        box = Hopper(bottom=(0.9,) * 2, top=(0.9,) * 2, height=0.9, board=Board(thickness=float(thickness)))
        (screw,) = [line for line in shopping_list(box, screws=screws) if line.item == "length of a screw"]
        assert round(screw.amount / unit) in sold
        assert screw.amount / unit == pytest.approx(round(screw.amount / unit))
        assert 2 * thickness - 1e-9 <= screw.amount <= 2.5 * thickness + 1e-9


def test_a_front_of_another_board_has_its_own_screw():
    boards = {"front": Board(thickness=30 * mm)}
    bought = shopping_list(dataclasses.replace(STEPPED, boards=boards))
    lengths = {line.each: line.amount for line in bought if line.item == "length of a screw"}
    assert lengths == pytest.approx({18 * mm: 45 * mm, 30 * mm: 70 * mm})


def test_board_that_is_too_thin_for_a_screw_gets_battens():
    bought = shopping_list(Hopper(bottom=(0.3,) * 2, top=(0.3,) * 2, height=0.3, board=Board(thickness=5 * mm)))
    lines = {line.item: line for line in bought}
    assert not {"screws", "length of a screw"} & lines.keys()
    assert lines["battens"].amount == pytest.approx(12 * 300 * mm)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: shopping_list(STEPPED, screws=[16, 20]),
            r"shopping_list\.screws\[0\] must be between .* did you mean",
        ),
        (lambda: cut_list(STEPPED, 1), r"cut_list\.round_to must be between .* did you mean 1 \* mm"),
        (lambda: cut_list("box"), r"cut_list\.box must be Carcass or Hopper"),
        (lambda: cut_list(Hopper(bottom=(0.5,) * 2, top=(0.5,) * 2, height=0.3, board=BOARD), mm, FITTED), "frustum"),
    ],
)
def test_a_wrong_list_is_refused_by_name(call, words):
    with pytest.raises((ValueError, TypeError), match=words):
        call()
