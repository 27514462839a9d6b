"""The page on which a box is drawn: its numbers by hand, what is dragged and typed, what is kept, what is refused."""

import dataclasses
import math
import re

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lumpedbox import Air
from lumpedbox.build import Cup, acoustic_box
from lumpedbox.figures.cautions import CAUTIONS
from lumpedbox.sliders.kit.words import NO_DRIVER, UNEXPECTED
from lumpedbox.sliders.lessons.draw_the_box import draw_the_box
from lumpedbox.sliders.lessons.draw_the_box.drawing import ROOM
from lumpedbox.sliders.lessons.draw_the_box.keeping import NONE
from lumpedbox.sliders.lessons.draw_the_box.outlines import CORNERS, STEP, TEMPLATE, WEDGE
from lumpedbox.sliders.lessons.draw_the_box.telling import LACKS, TOO_LONG
from lumpedbox.tables.my_boxes import read_boxes
from lumpedbox.tables.my_parts import keep, read
from lumpedbox.units import litre, mm

# The worked box, in mm, board 18 mm, by hand in tests/unit/build/test_carcass.py: outside area 139,500 mm2, inside
# 110,317.25 mm2; width 275: 26.3658 litres inside. Driver 1.4 L with a cutout of 181 mm, port 60 mm in 3 mm of wall,
# 281.2 mm long: hole pi/4 x 181^2 x 18 = 0.4631 L, port pi/4 x 66^2 x (281.2 - 18) = 0.9005 L.
WORKED = "180, 0, floor\n400, 0, front\n360, 480, top\n0, 480, wall side\n0, 260, tread\n150, 260, riser"
NET = 26.3658 + 0.4631 - 1.4 - 0.9005
GRAVITY = 9.80665  # m/s2, CGPM 1901


@pytest.fixture(autouse=True)
def empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


@pytest.fixture(scope="module")
def made():
    return draw_the_box()


@pytest.fixture
def page(made):
    """The page at its start; it is made once."""
    board = made.board
    board.system, board.opened, board.refused, board.mistyped = "metric", [], {}, {}
    made.put(**made.start)
    return made


@pytest.fixture
def worked(page):
    page.put(shape=CORNERS, corners=WORKED, width=275 * mm, port_length=281.2 * mm)
    return page


def square_box(page, **more):
    """A box with six square corners, of which all follows by plain sums."""
    page.put(lean=0.0, depth=0.4, height=0.5, width=0.3, board=20 * mm, along=0.18, port_along=0.42, **more)
    return page


def net_by_hand(page):
    """Of a box with six square corners: inside, and the hole, less driver and port. [m3]"""
    v = page.values
    t, driver = v["board"], page.drivers[v["driver"]]
    inside = (v["depth"] - 2 * t) * (v["height"] - 2 * t) * (v["width"] - 2 * t)
    hole = math.pi / 4 * driver.cutout**2 * t
    port = math.pi / 4 * (v["port"] + 6 * mm) ** 2 * (v["port_length"] - t) if v["port"] else 0.0
    return inside + hole - driver.displacement - port


def tuning_by_hand(page, net):
    """Helmholtz's resonance, the port free inside (0.6127 radii) and flush outside (0.8217 radii; Ingard 1953). [Hz]"""
    radius = page.values["port"] / 2
    area, length = math.pi * radius**2, page.values["port_length"] + (0.6127 + 0.8217) * radius
    return Air().sound_speed / (2 * math.pi) * math.sqrt(area / (length * net))


def number(page, fact, name):
    return page.answer[fact][""][name]


def test_the_worked_box_comes_out_as_by_hand(worked):
    assert worked.message == ""
    assert number(worked, "net volume", "net") == pytest.approx(NET * litre, abs=2e-4 * litre)
    assert number(worked, "outside", "outside") == pytest.approx(139_500e-6 * 0.275, rel=1e-12)
    assert number(worked, "boards weigh", "mass") == pytest.approx(11.997 * litre * 680, abs=1e-2)
    force = 20 * GRAVITY * 11.997 * litre * 680
    assert force <= number(worked, "in a crash", "force") < force + 50
    told = {row[0]: float(row[1].split()[0]) for row in worked.board.account}
    assert told == pytest.approx(
        {"inside": 26.37, "hole in the front": 0.46, "200 mm bass": -1.40, "port": -0.90, "net": 24.53}, abs=6e-3
    )


def test_tuning_and_litres_of_a_square_box_are_those_of_the_formula(page):
    square_box(page)
    net = net_by_hand(page)
    assert number(page, "net volume", "net") == pytest.approx(net, rel=1e-12)
    assert number(page, "tuned to", "fb") == pytest.approx(tuning_by_hand(page, net), rel=1e-3)
    page.put(port=0.0)
    assert "tuned to" not in [fact.name for fact in page.answer.facts]
    assert number(page, "net volume", "net") == pytest.approx(net_by_hand(page), rel=1e-12)


def test_the_tightest_place_of_a_square_box_is_the_one_by_hand(page):
    square_box(page, port_length=0.31)
    # behind the mouth: 400 - 310 - 20 = 70, of which a diameter of 60 is needed; beside the driver's basket, which is
    # a millimetre narrower than its hole: 150 - 20 - (181 - 1)/2 = 40
    told = page.answer["tightest place"][""]
    assert told.text("metric") == "port, mouth: 10 mm to spare"
    assert told["spare"] == pytest.approx(10 * mm, abs=1e-9)
    rows = {row[0]: row[1:3] for row in page.board.fits}
    assert rows["200 mm bass, across"] == ["40 mm", "0 mm"]
    page.put(port_length=0.33)
    assert page.answer.headline.text("metric").endswith("net, but the mouth of the port is 10 mm too near to a wall.")


def test_the_headline_says_how_far_from_wanted_it_is(page):
    square_box(page, port=0.0)
    net = net_by_hand(page)
    page.put(wanted=net)
    assert "as wanted, and all fits inside: cut it." in page.answer.headline.text("metric")
    page.put(wanted=net + 5 * litre)
    assert page.answer.headline["by"] == pytest.approx(5 * litre, rel=1e-9)
    assert "less than wanted" in page.answer.headline.text("metric")
    page.put(wanted=net - 2 * litre)
    assert "2 litres more than wanted" in page.answer.headline.text("metric")


@pytest.mark.parametrize("gives", ["width", "front", "top", "back", "floor"])
def test_the_dimension_that_gives_is_solved(page, gives):
    square_box(page, wanted=30 * litre, tuning=35.0, gives=gives)
    before = dict(page.values)
    page._do("solve", True)
    assert page.message == ""
    assert net_by_hand(page) == pytest.approx(30 * litre, rel=1e-9)
    assert tuning_by_hand(page, 30 * litre) == pytest.approx(35.0, rel=1e-3)
    unlike = {name for name, value in page.values.items() if value != before[name] and abs(value - before[name]) > 1e-9}
    dimension = {"width": "width", "front": "depth", "back": "depth"}.get(gives, "height")
    assert unlike == {dimension, "port_length"}


def test_a_box_without_a_port_is_solved_too(page):
    square_box(page, wanted=30 * litre, gives="width", port=0.0)
    page._do("solve", True)
    assert net_by_hand(page) == pytest.approx(30 * litre, rel=1e-9)


def test_what_cannot_be_solved_is_said_and_nothing_changes(page):
    square_box(page, wanted=300 * litre, gives="width", port=0.07, tuning=120.0)
    before, drawn = dict(page.values), page.drawn
    page._do("solve", True)
    assert page.board.note.startswith("The box has a port that is too small")
    assert (page.values, page.drawn, page.message) == (before, drawn, "")


def test_a_port_that_no_box_has_room_for_is_told_with_its_cure(page):
    """30 mm from cheek to cheek at 15 Hz: with the box the slot grows, and with the slot the box."""
    page.put(depth=0.43, height=0.4, port_kind="slot of boards", slot_wall="floor", wanted=24 * litre, tuning=15.0)
    before = page.drawn
    page._do("solve", True)
    assert page.board.note == TOO_LONG
    assert page.drawn == before


def test_a_corner_is_dragged_to_where_the_hand_is(page):
    page._do("drag", ["corner 2", 0.3004, 0.5002, 1])
    assert page.board.drag == {"number": 1}
    assert page.looked.box.profile.points[2] == pytest.approx((0.300, 0.500), abs=1e-9)
    page._do("nudge", ["corner 2", 1, 0, False])
    assert page.looked.box.profile.points[2] == pytest.approx((0.301, 0.500), abs=1e-9)
    page._do("nudge", ["corner 2", 0, -1, True])
    assert page.looked.box.profile.points[2] == pytest.approx((0.301, 0.490), abs=1e-9)


@pytest.mark.parametrize("shape", [WEDGE, STEP, CORNERS])
def test_every_handle_leads_where_it_says(page, shape):
    page.put(shape=shape, **({"port": 0.0} if shape == STEP else {}))
    for handle in page.board.view["handles"]:
        if not handle["name"].startswith("corner"):
            continue
        x, y = handle["x"] + 5 * mm, handle["y"] + 5 * mm
        page._do("drag", [handle["name"], x, y, 1])
        assert page.message == "", handle
        moved = next(one for one in page.board.view["handles"] if one["name"] == handle["name"])
        for axis, wanted, moves in zip(("x", "y"), (x, y), handle["moves"], strict=True):
            if moves:
                assert moved[axis] == pytest.approx(round(wanted, 3), abs=1e-9), handle


def test_driver_and_port_are_dragged_along_their_panel(page):
    square_box(page)
    page._do("drag", ["driver", 0.5, 0.21, 1])
    page._do("drag", ["port", 0.3, 0.4, 2])
    assert (page.values["along"], page.values["port_along"]) == pytest.approx((0.21, 0.40), abs=1e-9)


def test_a_drag_to_where_no_box_can_be_built_stays_and_says_why(page):
    before = dict(page.values)
    page._do("drag", ["corner 2", -0.3, 0.48, 1])
    assert page.values == before
    assert page.message.startswith("It goes no further. The front meets the back")
    page._do("drag", ["corner 1", 0.42, 0.0, 2])
    assert page.message == ""


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"lean": 55.0}, "lean it less, or make the box deeper or lower."),
        ({"shape": STEP, "step_back": 0.5}, "The step takes all of the box"),
        ({"shape": CORNERS, "corners": "0, 0, a\n0, 300, b\n300, 300, c\n300, 0, d"}, "run counter-clockwise"),
        ({"shape": CORNERS, "corners": "0, 0, a\n400, 0, b\n0, 120, c"}, "cut the tip off with a narrow panel"),
        ({"shape": CORNERS, "corners": "0, 0, a\n400, 0, a\n400, 300, c\n0, 300, d"}, "'a' is there twice"),
        ({"shape": TEMPLATE, "template": "400, 90, a\n300, 90, b\n400, 90, c\n200, 90, d"}, "fail to close by"),
        ({"width": 0.06, "board": 40 * mm}, "The width of 60 mm leaves no room between boards"),
        ({"second_layer": 40 * mm, "along": 0.2, "port_length": 0.04}, "shorter than its hole through"),
    ],
)
def test_what_cannot_be_built_is_refused_in_words_and_the_last_box_stays(page, values, told):
    drawn, answer = page.drawn, page.answer
    page.put(**values)
    assert told in page.message
    assert not re.search(r"Profile\.|Carcass\.|UserWarning|Traceback|points\[", page.message)
    assert (page.drawn, page.answer) == (drawn, answer)
    page._do("back", True)
    assert page.message == ""
    assert page.drawn == drawn


def test_lines_that_cannot_be_read_are_told_where_they_stand(page):
    page.put(shape=CORNERS)
    page._do("typed", ["corners", "0, 0, floor\nfoo"])
    assert "'foo' cannot be read: write a line for each corner" in page.board.refused["corners"]
    assert page.board.mistyped["corners"] == "0, 0, floor\nfoo"
    page._do("typed", ["corners", "0, 0, floor\n16 in, 0, front\n14 in, 480, top\n0, 48 cm, back"])
    assert page.board.refused == {}
    assert page.looked.box.profile.points[1] == pytest.approx((16 * 25.4 * mm, 0.0))


def test_a_template_that_hardly_closes_is_told(page):
    page.put(shape=TEMPLATE, template="400, 90, floor\n500, 90, front\n400, 90, top\n484, 90, back")
    assert page.message == ""
    assert any("by 16 mm" in detail.text("metric") for detail in page.answer.details)


def test_the_side_view_fills_its_outline(worked):
    view = worked.board.view
    boards = [shapely.Polygon(board["points"]) for board in view["boards"]]
    outline = shapely.Polygon(view["outline"])
    assert outline.area == pytest.approx(139_500e-6, rel=1e-9)
    assert shapely.unary_union(boards).area == pytest.approx(139_500e-6 - 110_317.25e-6, rel=1e-6)
    assert [edge["text"] for edge in view["edges"]][:2] == ["floor 220 mm", "front 482 mm"]


def test_a_terminal_in_a_cheek_is_not_missed_in_silence(page):
    page.put(cup=1e-4, cup_in="right cheek")
    assert page.board.view["note"] == "The terminal in the right cheek is not seen from here."
    page.put(cup_in="top")
    assert page.board.view["note"] == ""


def test_gaps_stand_at_their_edges(page):
    square_box(page, room=ROOM, room_corners="-30, -10, floor\n460, -10, seat\n460, 540, shelf\n-30, 540, wall")
    gaps = {edge["text"].split()[0]: edge["gap"] for edge in page.board.view["edges"]}
    assert gaps == {"floor": "10 mm free", "front": "60 mm free", "top": "40 mm free", "back": "30 mm free"}
    page.put(gap=15 * mm)
    tight = [edge["text"].split()[0] for edge in page.board.view["edges"] if edge["tight"]]
    assert tight == ["floor"]


def test_the_largest_box_fills_its_room(page):
    room = "-30, -10, floor\n460, -10, seat\n460, 540, shelf\n-30, 540, wall"
    square_box(page, room=ROOM, room_corners=room, room_width=0.5, gap=0.0, port=0.0)
    page._do("largest", True)
    assert page.message == ""
    assert page.looked.box.outside_volume == pytest.approx(0.49 * 0.55 * 0.5, rel=1e-3)
    assert "held by" in page.board.note


def test_cautions_stand_where_their_numbers_do(page):
    def told():
        return [caution.text("metric") for caution in page.answer.cautions]

    assert CAUTIONS["Box"] in told()
    assert CAUTIONS["Airbags"] not in told()
    page.put(room=ROOM)
    assert CAUTIONS["Airbags"] in told()
    assert page.board.tools == CAUTIONS["Tools"]  # beside the cut list
    assert any("Nothing here says that a fixing holds it." in detail.text("metric") for detail in page.answer.details)


def test_a_drawing_is_kept_and_opened_again(page):
    page.put(shape=STEP, depth=0.45, step_back=0.1, room=ROOM, second_layer=12 * mm, kerf=2 * mm)
    page.keeping.name.value = "under the bench"
    page.keeping.keep.click()
    assert "Kept the drawing under the bench" in page.keeping.said.value
    assert read_boxes()[0]["under the bench"] == page.drawn
    made = acoustic_box(page.drawn.box, page.drawn.inside)
    box = read().parts["box"]["under the bench"]
    assert (box.volume, box.fb) == pytest.approx((made.volume, float(made.tuning())), rel=1e-9)
    drawn = page.drawn
    page.put(**page.start)
    assert page.drawn != drawn
    page.keeping.drawings.value = "under the bench"
    assert page.drawn == drawn
    assert page.values["shape"] == STEP
    assert page.keeping.drawings.value == NONE


def test_a_kept_drawing_is_not_replaced_unasked(page):
    page.keeping.name.value = "one"
    page.keeping.keep.click()
    first = page.drawn
    page.put(width=0.3)
    page.keeping.keep.click()
    assert "replace it?" in page.keeping.said.value
    assert read_boxes()[0]["one"] == first
    page.keeping.replacing.replace.click()
    assert read_boxes()[0]["one"] == page.drawn
    page.keeping.replacing.back.click()
    assert read_boxes()[0]["one"] == first


def test_a_box_that_cannot_be_built_is_neither_kept_nor_printed(page):
    page.put(lean=55.0)
    page.keeping.name.value = "no box"
    page.keeping.keep.click()
    assert "There is no such box" in page.keeping.said.value
    assert read_boxes() == ({}, {})
    page._do("take", ["sheet as PDF", ""])
    assert "There is no such box" in page.board.note


def test_a_box_of_another_page_is_built(page):
    keep("box", "found", {"volume": "28 litres", "tuning": "36 Hz", "port_area": "33 cm²"})
    page.keeping.attach(page)
    square_box(page)
    page.keeping.boxes.value = "found"
    page._do("solve", True)
    made = acoustic_box(page.drawn.box, page.drawn.inside)
    assert (made.volume, float(made.tuning())) == pytest.approx((28 * litre, 36.0), rel=1e-9)
    assert made.port.area == pytest.approx(33e-4, rel=1e-9)


def test_what_a_drawing_has_and_the_page_does_not_is_said(page):
    """Two terminals, and a port that is not like the first: the page has one place for each."""
    inside = page.drawn.inside
    port = dataclasses.replace(inside.ports[0], wall=5 * mm, along=0.1)
    inside = dataclasses.replace(
        inside, ports=(*inside.ports, port), others=(Cup(volume=1e-4), Cup(volume=2e-4, panel="back"))
    )
    said = page.open_drawn(dataclasses.replace(page.drawn, inside=inside))
    assert said == "Not shown here: ports unlike the first, where more than one terminal sits."
    assert page.values["cup"] == pytest.approx(3e-4, rel=1e-12)


def test_a_place_to_spare_is_told_as_a_tape_reads_it(page):
    """The floor lies 5 mm over the room's, of which 5 mm are wanted: nothing to spare, not a ten-thousandth of it."""
    corners = "-20, -5, floor of the room\n700, -5, seat\n700, 520, shelf\n-20, 520, wall"
    page.put(room=ROOM, room_corners=corners, gap=5 * mm)
    told = page.answer["tightest place"][""].text("metric")
    assert told == "floor, gap: 0 mm to spare"


def test_of_every_panel_it_is_told_where_it_rings_or_why_not(worked):
    """The driver sits in one panel: nothing is told of that one, and something of each of the others."""
    worked.board.opened = ["rings"]
    rows = {name: cells for name, *cells in worked.board.rings}
    box, inside = worked.looked.box, worked.looked.inside
    assert set(rows) == set(box.panel_names)
    holed = {seat.panel for seat in inside.drivers} | {run.panel for run in inside.ports}
    assert holed
    assert all(rows[name][0].startswith("not told") for name in holed)
    assert any(" to " in alone for alone, _ in rows.values())


def test_the_folds_are_drawn_when_they_are_opened(page):
    assert (page.board.solid, page.board.sheets) == (b"", {})
    page.board.opened = ["solid", "sheets"]
    assert page.board.solid[1:4] == b"PNG"
    parts = [part for sheet in page.board.sheets["sheets"] for part in sheet["parts"]]
    assert len(parts) == sum(part.count for part in page.looked.parts) == 6
    first = page.board.solid
    page.board.look = page.board.look | {"turn": -60}
    assert page.board.solid != first


def test_a_part_larger_than_the_sheet_is_told(page):
    page.board.opened = ["sheets"]
    page.put(sheet_length=0.4, sheet_width=0.3)
    assert page.board.sheets["wrong"].startswith("The cut list has 'cheek' of")
    assert page.message == ""


def test_the_cut_list_is_that_of_the_worked_box(worked):
    worked.board.opened = ["sheets"]
    rows = {row[0]: row[2:] for row in worked.board.cuts}
    assert rows["2 x cheek"][:2] == ["400 mm", "480 mm"]
    assert rows["1 x front"] == ["483 mm", "239 mm", "4.8° outside (floor)", "4.8° inside (top)"]
    assert rows["1 x floor"] == ["204 mm", "239 mm", "6.6° inside (riser)", "4.8° outside (front)"]
    worked.board.system = "US customary"
    assert {row[0]: row[2] for row in worked.board.cuts}["2 x cheek"] == "15 3/4 in"


@pytest.mark.long
def test_a_sheet_is_taken_away(page, monkeypatch):
    sent = []
    monkeypatch.setattr(page.board, "send", lambda message, buffers: sent.append((message, buffers)))
    page._do("take", ["sheet as PDF", ""])
    ((message, (content,)),) = sent
    assert message["taken"]["type"] == "application/pdf"
    assert content.startswith(b"%PDF")


def test_every_lack_has_its_words():
    for words in LACKS.values():
        assert len(words.format(who="the 200 mm bass").split()) < 16


@pytest.mark.slow
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_any_place_of_any_control_is_drawn_or_refused_in_words(page, data):
    specs = {control.name: control for control in page.controls.values()}
    page.put(**page.start)
    for name in data.draw(st.lists(st.sampled_from(sorted(specs)), min_size=1, max_size=6, unique=True)):
        control = specs[name]
        if hasattr(control, "low"):
            value = data.draw(st.floats(control.low, control.high))
        elif control.spec(page.values, "metric").get("options"):
            value = data.draw(st.sampled_from(control.spec(page.values, "metric")["options"]))
        else:
            value = control.start
        page.put(**{name: value})
        assert UNEXPECTED not in page.message
        for action in ("solve", "back") if data.draw(st.booleans()) else ():
            page._do(action, True)
            assert UNEXPECTED not in page.message
    assert len(page.answer.headline.text("metric").split()) <= 20
    assert np.isfinite(page.looked.account.sum)


def test_without_a_driver_there_is_still_a_box(page):
    page.put(driver=NO_DRIVER, port=0.0)
    assert page.message == ""
    assert page.board.view["bodies"] == []
