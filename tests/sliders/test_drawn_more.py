"""What is folded away on the page where a box is drawn: counted by hand, drawn, kept, read back, put on paper."""

import dataclasses
import math

import numpy as np
import pytest
import shapely
from matplotlib.text import Text

from lumpedbox.build import from_table
from lumpedbox.build.drawn import as_table
from lumpedbox.figures.garage.sheet import sheets
from lumpedbox.sliders.kit.words import NO_DRIVER
from lumpedbox.sliders.lessons.draw_the_box import more
from lumpedbox.sliders.lessons.draw_the_box.drawing import ROOM
from lumpedbox.sliders.lessons.draw_the_box.outlines import CORNERS
from lumpedbox.sliders.lessons.draw_the_box.ports import BOTH, SLOT
from lumpedbox.sliders.lessons.take_it_to_the_garage import take_it_to_the_garage
from lumpedbox.tables.my_boxes import keep_box, read_boxes
from lumpedbox.units import inch, litre, mm
from tests.sliders import test_draw_the_box as drawing
from tests.sliders.test_draw_the_box import square_box

empty_folder, made, page = drawing.empty_folder, drawing.made, drawing.page

# A box with six square corners, 400 deep, 500 high, 300 wide, of 20 mm: inside 360 x 460 x 260 = 43.056 litres.
INSIDE = 43.056
EVERYTHING = {
    "port_kind": SLOT,
    "slot_wall": "top",
    "bends": "120, 50 left",
    "braces": "2 of 200 x 60 x 18, window 100 x 40, glued to front and back",
    "cup": 0.15 * litre,
    "cup_in": "back",
    "second_layer": 12 * mm,
    "layers": "floor: 9",
    "boards": "back: 15\nleft cheek: 25",
    "joints": "floor, front: mitre",
    "order": "as typed",
    "order_typed": "back, cheeks, floor, front",
    "density": 740.0,
    "trim": 8 * mm,
    "across": 150 * mm,
    "magnet": 110 * mm,
    "basket": 175 * mm,
    "breathing": 25 * mm,
    "view": "above",
    "room": ROOM,
    "room_corners": "-20, -5, a\n700, -5, b\n700, 600, c\n-20, 600, d",
    "own_gaps": "front: 25\nbelt anchor: 10",
    "keep_outs": "belt anchor: 500, 0 to 550, 100",
}


def account(page):
    """Litres by line, as they stand on the page."""
    return {row[0]: float(row[1].split()[0]) for row in page.board.account}


def fits(page):
    return {row[0]: row[1:] for row in page.board.fits}


def cuts(page):
    page.board.opened = ["sheets"]
    return {row[0]: row[1:] for row in page.board.cuts}


def body(page, kind):
    found = next(one for one in page.board.view["bodies"] if one["kind"] == kind)
    return shapely.Polygon(found["points"])


def bare_box(page, **more):
    """The square box with nothing in it but what is told."""
    return square_box(page, driver=NO_DRIVER, port=0.0, **more)


def test_a_slot_along_the_floor_lies_against_it(page):
    """30 mm high over 20 mm of floor: its middle at 35. With its board it is 50 x 260, and runs 230 mm inside."""
    square_box(page, driver=NO_DRIVER, port_kind=SLOT, slot_wall="floor", slot_height=30 * mm, port_length=250 * mm)
    (run,) = page.drawn.inside.ports
    assert (run.along, run.port.width) == pytest.approx((35 * mm, 260 * mm), abs=1e-12)
    assert account(page) == pytest.approx({"inside": INSIDE, "port": -2.99, "net": INSIDE - 2.99}, abs=6e-3)
    assert body(page, "port").bounds == pytest.approx((0.150, 0.020, 0.380, 0.070), abs=1e-9)
    assert cuts(page)["1 x shelf of port 1"][:3] == ["20.0 mm", "230 mm", "260 mm"]
    assert "port" not in [handle["name"] for handle in page.board.view["handles"]]  # it follows its wall
    page.put(slot_board=12 * mm, slot_beside="left cheek", slot_width=80 * mm)
    # one side of its own too: (30 + 12) x (80 + 12) x 230
    assert account(page)["port"] == pytest.approx(-0.8887, abs=6e-3)
    assert {name: row[1:3] for name, row in cuts(page).items() if "port" in name} == {
        "1 x shelf of port 1": ["230 mm", "92 mm"],
        "1 x side of port 1": ["230 mm", "30 mm"],
    }
    # from the left cheek at 20 to 112: 280 - 112 are left to the right one
    assert fits(page)["port, across"][0] == "168 mm"


def test_a_slot_in_a_leaning_front_runs_into_no_wall(page):
    """It is cut off at the inner face, however its panel leans."""
    page.put(port_kind=SLOT, slot_wall="top", port_length=200 * mm)
    assert fits(page)["port, walls"][-1] is True
    front = next(one for one in page.board.view["boards"] if one["name"] == "front")
    assert body(page, "port").intersection(shapely.Polygon(front["points"])).area < 1e-9
    assert body(page, "port").distance(shapely.Polygon(front["points"])) < 1e-9


def test_the_slot_of_a_box_that_is_solved_stays_as_wide_as_it(page):
    square_box(page, driver=NO_DRIVER, port_kind=SLOT, slot_wall="floor", slot_height=20 * mm, gives="width")
    page.put(wanted=40 * litre, tuning=30.0)
    page._do("solve", True)
    assert page.answer["net volume"][""]["net"] == pytest.approx(40 * litre, rel=1e-9)
    assert page.answer["tuned to"][""]["fb"] == pytest.approx(30.0, rel=1e-9)
    (run,) = page.drawn.inside.ports
    assert run.port.width == pytest.approx(page.values["width"] - 40 * mm, abs=1e-9)


def test_a_bent_port_ends_where_its_middle_leads(page):
    """From the front at x = 400 in; after 150 mm it bends to its left, which is down; 200 mm are left of 350."""
    square_box(page, bends="150, 90 left", port_length=350 * mm)
    port = body(page, "port")
    assert port.area == pytest.approx(66e-3 * (350 - 20) * 1e-3, rel=1e-9)  # mitred: as long as its middle
    assert port.distance(shapely.Point(0.250, 0.220)) < 1e-9
    assert port.bounds[1] == pytest.approx(0.220, abs=1e-9)
    page.put(bends="150, 90 right", port_along=100 * mm)
    assert body(page, "port").bounds[3] == pytest.approx(0.300, abs=1e-9)
    page.put(bends="400, 90 left")
    assert page.message == "The port bends after 400 mm, but is only 350 mm long: make it longer, or bend it earlier."


def test_the_boards_of_a_bent_slot_are_listed_and_laid_out(page):
    """Along the floor and up the back, 30 mm high: its middle at y = 35 bends at x = 35, 365 mm in, and ends at 185.

    By hand: over the floor from x = 380 to 50, and up the back from y = 50 to 185. 270 cm2 times 260 mm with its air.
    """
    slot = {"port_kind": SLOT, "slot_wall": "floor", "slot_height": 30 * mm, "port_length": 515 * mm}
    square_box(page, driver=NO_DRIVER, bends="365, 90 right", **slot)
    listed = {name: row for name, row in cuts(page).items() if "port" in name}
    assert {name: row[:3] for name, row in listed.items()} == {
        "1 x right shelf 1 of port 1": ["20.0 mm", "330 mm", "260 mm"],
        "1 x right shelf 2 of port 1": ["20.0 mm", "135 mm", "260 mm"],
    }
    assert "45.0" in listed["1 x right shelf 1 of port 1"][4]
    placed = [part["name"] for sheet in page.board.sheets["sheets"] for part in sheet["parts"]]
    assert {"right shelf 1 of port 1", "right shelf 2 of port 1"} <= set(placed)
    area = 30 * (345 + 150) + 20 * ((330 + 310) / 2 + (135 + 115) / 2)
    assert account(page)["port"] == pytest.approx(-area * 260e-6, abs=6e-3)
    page.put(bends="365, 20 right")
    assert page.message.startswith("What is inside has a slot in 'front' whose left shelf 2 would tilt the saw by 70.0")


def test_boards_that_are_no_rectangles_are_told(page):
    """In the corner of floor and back both sides of the slot are cut aslant; its shelves are mitred rectangles."""
    slot = {"port_kind": SLOT, "slot_wall": "floor", "slot_height": 30 * mm, "port_length": 515 * mm}
    square_box(page, driver=NO_DRIVER, bends="365, 90 right", slot_beside="left cheek", slot_width=200 * mm, **slot)
    page.board.opened = ["sheets"]
    told = "No rectangle: side 1 of port 1, side 2 of port 1. The sheet as PDF has the corners."
    assert page.board.work[0] == told
    page.put(slot_beside=BOTH)
    assert page.board.work[0] != told


def test_braces_and_a_terminal_are_counted_drawn_and_weighed(page):
    """2 x 18 x (300 x 60 - 100 x 40) mm3 = 0.504 litres, and 0.15; wood is outside less inside, and the braces."""
    bare_box(page, braces="2 of 300 x 60 x 18, window 100 x 40", cup=0.15 * litre, cup_in="back")
    assert account(page) == pytest.approx(
        {"inside": INSIDE, "brace": -0.504, "terminal cup": -0.15, "net": INSIDE - 0.654}, abs=6e-3
    )
    wood = 400 * 500 * 300 * 1e-6 - INSIDE + 0.504
    assert page.answer["boards weigh"][""]["mass"] == pytest.approx(wood * 1e-3 * 680, rel=1e-9)
    assert page.board.view["note"] == "Counted, but not drawn, for no place is told: 2 braces."
    assert body(page, "cup").area == pytest.approx((0.15e-3) ** (2 / 3), rel=1e-9)
    assert body(page, "cup").centroid.y == pytest.approx(0.25, abs=1e-9)
    assert cuts(page)["2 x brace"] == ["18.0 mm", "300 mm", "60 mm", "square", "square"]
    page.put(density=850.0)
    assert page.answer["boards weigh"][""]["mass"] == pytest.approx(wood * 1e-3 * 850, rel=1e-9)


def test_a_brace_raises_the_panels_that_it_is_glued_to(page):
    """The back is 460 x 260 free: hinged pi/2 (1/a2 + 1/b2) sqrt(D/m'') with D = E t3/12(1 - 0.3^2), E 3 GPa.

    A plate on hinges: A. W. Leissa, "Vibration of plates", NASA SP-160 (1969), from memory. A brace across its longer
    side leaves fields of 230 x 260.
    """
    page.board.opened = ["rings"]
    bare_box(page, braces="260 x 60 x 18, glued to back")
    rows = {row[0]: [float(row[at].split()[0]) for at in (1, 2)] for row in page.board.rings}
    assert "board of 3 GPa (common practice, no source)" in page.board.ringing
    root = math.sqrt(3e9 * 0.020**3 / (12 * (1 - 0.3**2)) / (680 * 0.020))

    def hinged(a, b):
        return math.pi / 2 * (1 / a**2 + 1 / b**2) * root

    assert rows["back"] == pytest.approx([hinged(0.46, 0.26), hinged(0.23, 0.26)], abs=0.5)
    assert rows["front"] == pytest.approx([hinged(0.46, 0.26)] * 2, abs=0.5)
    page.board.opened = []
    assert page.board.rings == []


def test_single_boards_and_second_layers_take_their_room(page):
    bare_box(page, boards="front: 25\nleft cheek: 12")
    assert account(page)["inside"] == pytest.approx(355 * 460 * 268 * 1e-6, abs=6e-3)
    assert {round(sheet.thickness / mm) for sheet in page.drawn.stock} == {12, 20, 25}
    bare_box(page, boards="", layers="back: 10")
    assert account(page)["second layer"] == pytest.approx(-10 * 460 * 260 * 1e-6, abs=6e-3)
    page.put(driver="200 mm bass", second_layer=8 * mm, layers="front: 10")
    assert page.message == "The front has two second layers: leave out one, or give their thickness together."


def test_joints_and_order_are_those_that_are_typed(page):
    bare_box(page, joints="front, top: mitre")
    assert cuts(page)["1 x front"][-1] == "45.0° outside (top)"
    page.put(joints="", order="as typed", order_typed="front, cheeks")
    assert cuts(page)["1 x front"][2] == "300 mm"  # over both cheeks
    page.put(order_typed="cheeks")
    assert cuts(page)["1 x front"][2] == "260 mm"


def test_gaps_and_what_to_keep_clear_of(page):
    """The room's floor 5 under the box, its seat 60 before it; a belt from x = 450 on: 50 from the front."""
    room = "-30, -5, floor\n460, -5, seat\n460, 540, shelf\n-30, 540, wall"
    bare_box(page, room=ROOM, room_corners=room, gap=5 * mm, own_gaps="front: 25\nbelt: 60")
    assert (
        page.message
        == "'belt: 60': there is no 'belt' here. There are floor, front, top, back, left cheek, right cheek."
    )
    page.put(keep_outs="belt: 450, 0 to 500, 100")
    rows = fits(page)
    assert rows["front, gap"][:2] == ["60 mm", "25 mm"]
    assert rows["floor, gap"][:2] == ["5 mm", "5 mm"]
    assert rows["belt, clear"][:2] == ["50 mm", "60 mm"]
    assert page.answer.headline.text("metric").endswith("but the box is 10 mm too near to the belt.")
    assert page.board.view["keepOuts"][0]["name"] == "belt"


def test_where_a_driver_sits_across_and_what_of_it_is_known(page):
    """Its basket is a millimetre less than its hole of 181 mm: at 100 mm its edge is at 10, 10 inside the cheek."""
    square_box(page, across=100 * mm)
    assert fits(page)["200 mm bass, across"][0] == "-10 mm"
    page.put(across=150 * mm, basket=170 * mm, breathing=40 * mm)
    rows = fits(page)
    assert rows["200 mm bass, across"][0] == "45 mm"
    assert rows["200 mm bass, behind the magnet"][1] == "40 mm"


def test_more_drivers_and_ports_alike(page):
    square_box(page)
    one = account(page)
    page.put(more_drivers="back, 250", more_ports="top, 200, 80")
    two = account(page)
    assert len(page.drawn.inside.drivers) == len(page.drawn.inside.ports) == 2
    assert two["net"] - one["net"] == pytest.approx(one["net"] - INSIDE, abs=0.02)


@pytest.mark.parametrize("name", ["boards", "braces", "keep_outs", "bends", "joints", "more_ports"])
def test_what_cannot_be_read_is_said_at_its_field_and_stays_as_typed(page, name):
    drawn = page.drawn
    page._do("typed", [name, "what is this"])
    assert "'what is this'" in page.board.refused[name]
    assert page.board.mistyped[name] == "what is this"
    assert (page.drawn, page.message) == (drawn, "")


def test_what_fits_another_shape_is_told_at_a_change_of_shape(page):
    page.put(shape="step", port=0.0, boards="riser: 22")
    assert page.message == ""
    page.put(shape="wedge")
    assert "there is no 'riser' here" in page.message
    page._do("back", True)
    assert (page.message, page.values["shape"]) == ("", "step")


def test_everything_is_kept_and_read_back(page):
    square_box(page, **EVERYTHING)
    assert page.message == ""
    drawn = page.drawn
    assert from_table(as_table(drawn)) == drawn
    keep_box("all of it", drawn)
    page.put(**page.start)
    assert page.open_drawn(read_boxes()[0]["all of it"]) == ""
    assert page.drawn == drawn


def test_a_link_tells_everything(page):
    square_box(page, **EVERYTHING)
    assert page.message == ""
    drawn, link = page.drawn, {name: page.values[name] for name in page.values if page.values[name] != page.start[name]}
    page.put(**page.start)
    page.put(**{name: page.controls[name].read(str(value)) for name, value in link.items()})
    assert page.drawn == drawn


@pytest.mark.long
def test_everything_is_on_the_sheet_for_the_garage(page):
    square_box(page, **EVERYTHING)
    assert page.message == ""
    drawn = page.drawn
    given = {"stock": drawn.stock, "space": drawn.space, "paper": "A4", "system": "metric", "title": "All"}
    pages = sheets(drawn.box, drawn.inside, **given)
    said = " ".join(" ".join(one.get_text() for one in each.figure.findobj(Text)) for each in pages)
    said = " ".join(said.split())
    for told in (
        "Port in the front: 30 x 255 mm slot, wall 20.0 mm",
        "It bends by 30.0° to the left after 120 mm",
        "second layer on floor",
        "terminal cup",
        "Terminal in the back: cut its hole as its maker says.",
        "Brace of 200 mm: glue it to front and back.",
        "belt anchor: clear",
        "front: gap",
        "Seen from above.",
        "right end",
    ):
        assert told in said, told
    mass = page.answer["boards weigh"][""]["mass"]
    assert (
        f"The boards weigh {mass:.1f} kg. In a crash a fixing must hold {math.ceil(20 * 9.80665 * mass / 50) * 50} N"
        in said
    )


def test_a_middle_beyond_the_end_of_its_panel_is_told_as_that(page):
    """A port of 66 mm on a front of 350 mm between boards of 20: from 20 + 33 to 330 - 33 along it."""
    square_box(page)
    page.put(height=350 * mm, port_along=395 * mm)
    assert page.answer.headline.text("metric").endswith("but the port lies off its panel: move it to 53 to 297 mm.")
    row = fits(page)["port, off its panel"]
    assert row[2] == "Its middle lies beyond the end of the front. Its middle may lie 53 to 297 mm along it."
    assert "port, walls" not in fits(page)
    page.put(port_along=290 * mm, along=450 * mm)
    assert "the 200 mm bass lies off its panel" in page.answer.headline.text("metric")


def test_a_box_that_comes_out_before_its_driver_fits(page):
    """A seat 60 mm before the front: enough for its cone and grille, not for its depth."""
    room = "-30, -10, floor\n460, -10, seat\n460, 540, shelf\n-30, 540, wall"
    square_box(page, room=ROOM, room_corners=room, wanted=10 * litre)
    headline = page.answer.headline.text("metric")
    assert headline.endswith("more than wanted. All fits. The box must come out before the driver.")
    assert "out again" not in page.answer["tightest place"][""].text("metric")
    assert fits(page)["200 mm bass, out again"][-1] is True


def test_inches_are_read_off_a_tape(page):
    page.board.system = "US customary"
    page._do("typed", ["depth", "13 1/16"])
    assert page.values["depth"] == pytest.approx(13.0625 * inch, rel=1e-12)
    assert page.board.shown["depth"]["text"] == "13 1/16"
    page._do("typed", ["depth", "13.03"])
    assert page.board.shown["depth"]["text"] == "13.03"
    stops = next(spec for spec in page.board.controls if spec["name"] == "depth")["stops"]
    assert all(abs(stop / (inch / 16) - round(stop / (inch / 16))) < 1e-9 for stop in stops)


def test_of_a_sheet_no_more_is_told_than_there_is(page):
    """1220 mm are 48 in and half a sixteenth."""
    page.board.system = "US customary"
    page.board.opened = ["sheets"]
    assert page.board.sheets["sheets"][0]["text"].startswith("Sheet 1: 48 x 24 in")


def test_corners_may_have_fractions_of_inches(page):
    page.put(shape=CORNERS)
    page._do("typed", ["corners", '0, 0, floor\n15 3/4", 0, front\n14 1/4 in, 480, top\n0, 480, back'])
    assert page.board.refused == {}
    assert page.looked.box.profile.points[1][0] == pytest.approx(15.75 * inch)


def test_for_a_length_out_of_reach_nothing_is_taken(page):
    """What is sawn is sawn as it was meant: 33 may be centimetres."""
    for typed, told in (("33", "Did you mean 33 cm?"), ("-4", "Nothing is taken for it.")):
        page._do("typed", ["depth", typed])
        assert page.board.refused["depth"].startswith(f"{typed} is outside 80 to 1500 mm. Nothing is taken for it.")
        assert page.board.refused["depth"].endswith(told)
        assert page.values["depth"] == 0.4


def test_a_tip_that_no_saw_tilts_to_is_cut_off(page):
    """A tip of atan(200/400) = 26.6 degrees: butted it tilts the saw by 63.4, cut off square to its half by 13.3."""
    page.put(shape=CORNERS, corners="0, 0, floor\n400, 0, front\n0, 200, back", driver=NO_DRIVER, port=0.0)
    assert "cut the tip off with a narrow panel" in page.message
    assert page.board.tip
    page._do("tip", True)
    assert (page.message, page.board.tip) == ("", False)
    assert page.board.note == "Done: a board of 40 mm across. Drag its corners."
    tip = page.drawn.box.panel("tip of floor")
    assert [math.degrees(end.tilt) for end in (tip.start, tip.end)] == pytest.approx([13.28, 13.28], abs=0.01)
    page.put(lean=0.0, shape="wedge", joints="front, top: mitre", boards="front: 40")
    assert "over 45" in page.message  # steep, but no tip
    assert not page.board.tip


def test_the_boards_of_a_slot_are_laid_out_at_the_garage_too(page):
    """Its boards are thinner than those of the box, so they lie on a sheet of their own."""
    square_box(page, driver=NO_DRIVER, port_kind=SLOT, slot_wall="floor", slot_board=9 * mm, port_length=250 * mm)
    garage = take_it_to_the_garage(boxes={"slotted": page.drawn})
    garage.put(sheets="2440 × 1220 mm")
    assert garage.message == ""
    assert {round(sheet.stock.thickness / mm) for sheet in garage.told.sheets} == {9, 20}


def typed(page, name, text):
    page._on_typed([name, text])
    assert name not in page.board.refused
    return page.board.shown[name]["text"]


def label(page, name):
    return next(spec for spec in page.board.controls if spec["name"] == name)["label"]


def test_lists_are_typed_in_inches_where_the_page_is(page):
    """What is typed stays as it is typed; in mm it is what an inch of 25.4 mm makes of it."""
    square_box(page)
    page.board.system = "US customary"
    assert label(page, "boards") == "Other boards [inches]: panel, thickness"
    assert typed(page, "boards", "front: 7/8\ntop: 22 mm") == "front: 7/8\ntop: 22 mm"
    assert page.drawn.box.thickness_of("front") == pytest.approx(22.225 * mm)
    assert page.drawn.box.thickness_of("top") == pytest.approx(22 * mm)
    assert typed(page, "braces", "12 x 2 1/2") == "12 x 2 1/2"
    assert page.drawn.inside.braces[0].length == pytest.approx(12 * inch)
    page.put(room=ROOM, room_corners="-20, -5, a\n700, -5, b\n700, 600, c\n-20, 600, d")
    assert page.board.shown["room_corners"]["text"].startswith("-0.7874, -0.1969, a\n27.5591")
    typed(page, "keep_outs", "belt: 20, 0 to 22, 4")
    typed(page, "own_gaps", "belt: 1/2")
    assert page.drawn.space.keep_outs[0][1][0] == pytest.approx((20 * inch, 0))
    assert page.drawn.space.gap("belt") == pytest.approx(inch / 2)
    page.board.system = "metric"
    assert label(page, "boards") == "Other boards [mm]: panel, thickness"
    shown = {name: page.board.shown[name]["text"] for name in ("boards", "keep_outs", "own_gaps")}
    assert shown == {
        "boards": "front: 22.225\ntop: 22",
        "keep_outs": "belt: 508, 0 to 558.8, 101.6",
        "own_gaps": "belt: 12.7",
    }
    typed(page, "braces", "300 x 60")
    assert page.drawn.inside.braces[0].length == pytest.approx(300 * mm)


def test_a_corner_that_is_dragged_in_inches_leaves_the_others_where_they_are(page):
    page.board.system = "US customary"
    page.put(shape=CORNERS)
    typed(page, "corners", "0, 0, floor\n16, 0, front\n14, 19, top\n0, 19, back")
    page._do("drag", ["corner 1", 0.4318, 0.0, 1])
    assert page.board.shown["corners"]["text"] == "0, 0, floor\n17, 0, front\n14, 19, top\n0, 19, back"


def test_a_list_that_cannot_be_read_any_more_stays_in_its_own_unit(page):
    """It names a panel that has gone with the shape: nobody could say what of it is a length."""
    page.put(shape="step", boards="tread: 22")
    page.board.system = "US customary"
    assert label(page, "boards") == "Other boards [inches]: panel, thickness"
    page.put(shape="wedge")
    assert "there is no 'tread' here" in page.message
    assert label(page, "boards") == "Other boards [mm]: panel, thickness"
    assert page.board.shown["boards"]["text"] == "tread: 22"
    typed(page, "boards", "top: 22")
    assert page.drawn.box.thickness_of("top") == pytest.approx(22 * mm)
    assert page.board.shown["boards"]["text"] == "top: 0.8661"


def test_what_few_boxes_need_is_folded_away_whatever_it_is_called(page):
    needed_by_few = {
        control.group for control in (*more.of_the_shape(), *more.inside(), *more.around(), *more.of_the_board())
    }
    assert set(page.board.folded) == needed_by_few
    assert needed_by_few < {spec["group"] for spec in page.board.controls}


def test_a_kept_drawing_that_no_saw_can_follow_opens_and_says_what_to_mend(page):
    """Its bend was drawn before such a bend was refused."""
    square_box(page, **EVERYTHING)
    (slot,) = page.drawn.inside.ports
    ((length, _),) = slot.bends
    inside = dataclasses.replace(page.drawn.inside, ports=(dataclasses.replace(slot, bends=((length, np.pi / 6),)),))
    keep_box("bent", dataclasses.replace(page.drawn, inside=inside))
    page.put(**page.start)
    assert page.open_drawn(read_boxes()[0]["bent"]) == ""
    assert page.values["bends"] == "120, 30 left"
    assert "let it leave its wall by 45 degrees or more" in page.message
    page.put(bends="120, 50 left")
    assert page.message == ""
