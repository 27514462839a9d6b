"""Boards of a bent slot, worked by hand: on the cut list, in the account, and on what they weigh."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Port
from lumpedbox.build import (
    Board,
    Carcass,
    Hopper,
    Inside,
    Lining,
    PortRun,
    Profile,
    Stock,
    cut_list,
    fit,
    forces,
    gluing_sequence,
    net_account,
    on_stock,
    shopping_list,
)
from lumpedbox.units import litre, mm

CHEEKS = ("left cheek", "right cheek")
BOX = Carcass(
    profile=Profile(points=((0, 0), (0.4, 0), (0.4, 0.4), (0, 0.4)), names=("floor", "front", "top", "back")),
    width=0.3,
    board=Board(thickness=18 * mm, density=680.0),
)
# In by the front along the floor, and up along the back: the middle bends 20 mm off it, at x = 38, y = 38.
SLOT = PortRun(
    port=Port(length=512 * mm, width=264 * mm, height=40 * mm),
    panel="front",
    along=38 * mm,
    wall=12 * mm,
    shares=("floor", *CHEEKS),
    bends=((362 * mm, -np.pi / 2),),
)
SHORT = dataclasses.replace(SLOT, bends=((200 * mm, -np.pi / 2),), port=dataclasses.replace(SLOT.port, length=0.35))
STOCK = tuple(Stock(length=1.22, width=0.61, thickness=thickness * mm) for thickness in (12, 18))


WITH_SLOT = Inside(ports=SLOT)


def boards(run, box=BOX, *others):
    parts = cut_list(box, mm, Inside(ports=run, others=others))
    return {part.name.removesuffix(" of port 1"): part for part in parts if " of port 1" in part.name}


def test_a_slot_that_bends_up_the_back_has_two_mitred_shelves():
    """Over the floor from x = 382 to the inner corner at 58; up the back from y = 58 to the mouth at 38 + 150."""
    found = boards(SLOT)
    assert found.keys() == {"right shelf 1", "right shelf 2"}
    first, second = found["right shelf 1"], found["right shelf 2"]
    assert (first.length, first.breadth, first.thickness) == pytest.approx((324 * mm, 264 * mm, 12 * mm))
    assert (second.length, second.breadth) == pytest.approx((130 * mm, 264 * mm))
    assert np.rad2deg(first.tilts) == pytest.approx([0, 45, 0, 0])
    assert np.rad2deg(second.tilts) == pytest.approx([45, 0, 0, 0])
    assert (first.end.longer, first.end.joint, first.end.to) == ("outside", "mitre", "right shelf 2")
    assert (second.start.longer, second.start.to) == ("outside", "right shelf 1")
    assert first.start.to == "front"


def test_a_slot_that_leaves_its_wall_gets_a_board_on_that_side_too():
    """Up from the floor at x = 200 - 20 and 200 + 20: the farther board stands on the floor, 20 + 150 mm high."""
    found = boards(SHORT)
    assert found.keys() == {"right shelf 1", "right shelf 2", "left shelf 2"}
    far = found["left shelf 2"]
    assert far.length == pytest.approx(170 * mm)
    assert far.tilts == (0, 0, 0, 0)
    assert (far.start.joint, far.start.to) == ("butt", "floor")


def test_a_slot_off_the_cheeks_gets_its_sides_leg_by_leg():
    """Each 40 mm high, cut at 45 degrees at the bend: on the wall 362 + 20 - 18, and 20 + 150, from point to point."""
    narrow = Port(length=512 * mm, width=100 * mm, height=40 * mm)
    run = dataclasses.replace(SLOT, shares=("floor", "left cheek"), across=68 * mm, port=narrow)
    found = boards(run)
    assert found.keys() == {"right shelf 1", "right shelf 2", "side 1", "side 2"}
    assert [found[f"side {leg}"].length for leg in (1, 2)] == pytest.approx([364 * mm, 170 * mm])
    assert found["side 1"].outline / mm == pytest.approx(np.array([[0, 0], [364, 0], [324, 40], [0, 40]]))
    assert found["side 2"].outline / mm == pytest.approx(np.array([[0, 0], [170, 0], [170, 40], [40, 40]]))
    assert found["right shelf 1"].breadth == pytest.approx(112 * mm)
    free = boards(dataclasses.replace(run, shares=(), along=0.2, bends=((0.2, 0.5),)))
    assert free["side 1"].count == 2
    assert {"left shelf 1", "right shelf 1", "left shelf 2", "right shelf 2"} < free.keys()


def test_the_account_takes_air_and_boards_of_each_leg():
    """40 mm of air over 344 + 150, and 12 mm of board over (324 + 312)/2 + (130 + 118)/2, from cheek to cheek."""
    account = net_account(BOX, Inside(ports=SLOT))
    area = 40 * (344 + 150) + 12 * (318 + 124)
    assert -account.lines[-1].volume / litre == pytest.approx(area * 264e-6)
    # Off its wall: 40 over 182 + 150; 12 over (162 + 150)/2, (130 + 118)/2 and 170. See the test above.
    area = 40 * (182 + 150) + 12 * (156 + 124 + 170)
    assert -net_account(BOX, Inside(ports=SHORT)).lines[-1].volume / litre == pytest.approx(area * 264e-6)


def test_its_boards_are_weighed():
    more = forces(BOX, inside=Inside(ports=SLOT)).mass - forces(BOX).mass
    assert more == pytest.approx(680 * 12 * (318 + 124) * 264e-9)


def test_its_boards_are_glued_in_and_lie_on_a_sheet():
    inside = Inside(ports=SLOT)
    sequence = gluing_sequence(BOX, inside)
    assert sequence.index("right shelf 2 of port 1") < sequence.index("right cheek")
    names = [placed.part.name for sheet in on_stock(cut_list(BOX, mm, inside), STOCK) for placed in sheet.placed]
    assert {"right shelf 1 of port 1", "right shelf 2 of port 1"} <= set(names)


def test_it_lies_against_the_back_and_runs_into_nothing():
    """Its mouth at y = 188 and the top's inner face at 382: it touches floor, front and back, as it should."""
    found = {margin.name: margin for margin in fit(BOX, Inside(ports=SLOT))}
    assert found["port: walls"].there == pytest.approx((382 - 188) * mm)
    assert found["port: mouth"].there == pytest.approx((382 - 188) * mm)


def test_a_second_layer_on_the_back_is_the_wall_that_it_runs_along():
    """10 mm on the back: the same slot 10 mm shorter before its bend; else it would run into that layer."""
    layer = Lining(panel="back", thickness=10 * mm)
    nearer = dataclasses.replace(SLOT, bends=((352 * mm, -np.pi / 2),))
    assert boards(nearer, BOX, layer).keys() == {"right shelf 1", "right shelf 2"}
    assert "left shelf 2" in boards(nearer)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: net_account(BOX, Inside(ports=dataclasses.replace(SLOT, bends=((30 * mm, -1.5),)))),
            "has a slot in 'front' with a bend too near for its boards: put its bends farther in and apart",
        ),
        (
            lambda: cut_list(BOX, mm, Inside(ports=dataclasses.replace(SHORT, bends=((200 * mm, -0.5),)))),
            "has a slot in 'front' whose left shelf 2 would tilt the saw by 61.4 degrees, over 45, at the floor",
        ),
        (
            lambda: net_account(
                Hopper(bottom=(0.5, 0.5), top=(0.5, 0.5), height=0.5, board=BOX.board),
                Inside(ports=dataclasses.replace(SHORT, shares=())),
            ),
            "has a slot in 'front' with bends, which lie in no profile there",
        ),
    ],
)
def test_what_cannot_be_made_of_boards_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()


@pytest.mark.parametrize("turn", [-np.pi / 2, np.pi / 2])
def test_a_slot_that_curls_up_into_itself_is_refused(turn):
    """In by 200 mm, 100 aside, 100 back, and towards the first leg, whose board begins 100 - 10 - 12 mm from there."""

    def curled(last):
        bends = tuple((after * mm, turn) for after in (200, 300, 400))
        port = Port(length=(400 + last) * mm, width=264 * mm, height=20 * mm)
        return PortRun(port=port, panel="front", along=0.2, wall=12 * mm, bends=bends, shares=CHEEKS)

    assert len(boards(curled(77))) == 8
    for work in (net_account, fit):
        with pytest.raises(ValueError, match="has a slot in 'front' that runs into itself: make it shorter"):
            work(BOX, Inside(ports=curled(79)))


def test_the_seams_of_a_slot_are_screwed_glued_and_sealed():
    """Shelves of 324 and 130 mm along two cheeks, 264 mm across the front and at the mitre: 1.436 m more."""
    bare, slotted = (
        {line.item: line.amount for line in shopping_list(BOX, inside)} for inside in (Inside(), WITH_SLOT)
    )
    more = 2 * (0.324 + 0.130) + 2 * 0.264
    assert slotted["sealant"] - bare["sealant"] == pytest.approx(more)
    assert slotted["wood glue"] - bare["wood glue"] == pytest.approx(0.2 * 0.012 * more)
    assert slotted["screws"] == np.ceil((bare["sealant"] + more) / 0.15)


def test_a_slot_along_all_four_walls_runs_into_none():
    """Along the floor, up the back, and forth under the top: its middle at y = 362, 20 mm under it."""
    bends = (*SLOT.bends, (686 * mm, -np.pi / 2))
    around = dataclasses.replace(SLOT, bends=bends, port=dataclasses.replace(SLOT.port, length=0.85))
    (walls,) = (margin for margin in fit(BOX, Inside(ports=around)) if margin.name == "port: walls")
    assert walls.fits
    assert walls.words == "It runs along every wall."
    assert set(boards(around)) == {"right shelf 1", "right shelf 2", "right shelf 3"}
