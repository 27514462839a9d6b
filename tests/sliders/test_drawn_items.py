"""What is typed a line an item on the page where a box is drawn: read in many ways of writing, refused, written back.

Lengths are what they say, in mm where they say no unit; an inch is 25.4 mm (yard and pound agreement, 1959).
"""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lumpedbox.build import Brace
from lumpedbox.sliders.lessons.draw_the_box.lists import (
    bends_text,
    braces_text,
    by_panel_text,
    joints_text,
    keep_outs_text,
    places_text,
    read_bends,
    read_braces,
    read_by_panel,
    read_joints,
    read_keep_outs,
    read_order,
    read_places,
)
from lumpedbox.sliders.lessons.draw_the_box.outlines import corners_text, read_corners, read_edges
from lumpedbox.sliders.lessons.draw_the_box.tape import INCHES
from lumpedbox.units import inch, mm

ROUND = ("floor", "front", "top", "wall side", "edge 1", "edge 12")  # all round, as a profile names them
PANELS = (*ROUND, "left cheek", "right cheek")
RECTANGLE = ((500, 0), (550, 0), (550, 100), (500, 100))
TENTHS = st.integers(20, 600).map(lambda tenths: tenths / 10 * mm)


def in_mm(found):
    """Lengths of any nesting in mm, to a nanometre."""
    if isinstance(found, dict):
        return {name: in_mm(value) for name, value in found.items()}
    if isinstance(found, (list, tuple)):
        return tuple(in_mm(value) for value in found)
    return found if isinstance(found, str) or found is None else round(found / mm, 6)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", {}),
        ("front: 22", {"front": 22}),
        ("Front 22 mm\n\nthe wall side = 1.5 cm", {"front": 22, "wall side": 15}),
        ('left cheek, 3/4"|floor: 1 1/4 in', {"left cheek": 19.05, "floor": 31.75}),
        ("edge 1: 12\nedge 12 25", {"edge 1": 12, "edge 12": 25}),
    ],
)
def test_a_length_for_a_panel(text, wanted):
    assert in_mm(read_by_panel(text, PANELS)) == wanted


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("frnt: 22", "'frnt: 22': there is no 'frnt' here. Did you mean front?"),
        ("roof 22", "'roof 22': there is no 'roof' here. There are floor, front, top,"),
        ("front", "'front' cannot be read: write a panel and one length, as in front: 22."),
        ("front: 22,5", "as in front: 22; a point for decimals."),
        ("front: 22\nFront: 18", "'Front: 18': the front has a line already."),
        ("22", "'22' cannot be read: write a panel"),
        ("front: 220", "'front: 220': 220 mm is outside 2 to 60 mm."),
        ("front: 0.75", "0.75 mm is outside 2 to 60 mm. Did you mean 0.75 in?"),
        ("front: 1.8", "1.8 mm is outside 2 to 60 mm. Did you mean 1.8 in?"),
    ],
)
def test_a_slip_of_a_length_is_told(text, told):
    with pytest.raises(ValueError, match=re.escape(told)):
        read_by_panel(text, PANELS)


def test_a_place():
    assert in_mm(read_places("front, 350\nwall side 200 mm, 5 in", ROUND)) == (
        ("front", 350, None),
        ("wall side", 200, 127),
    )
    with pytest.raises(ValueError, match="how far along it and, if you like, how far across"):
        read_places("front", ROUND)


@pytest.mark.parametrize(
    "text",
    [
        "belt anchor: 500, 0 to 550, 100",
        "belt anchor: 550,100 to 500,0",
        "belt anchor: 500, 0; 550, 0; 550, 100; 500, 100",
        "belt anchor: 50 cm, 0 to 55 cm, 10 cm",
    ],
)
def test_what_to_keep_clear_of(text):
    assert in_mm(read_keep_outs(text)) == {"belt anchor": RECTANGLE}


@pytest.mark.parametrize(
    "text", ["belt anchor", "belt: 500", "belt: 500, 0", "500, 0 to 550, 100", "belt: 5, 0 to x, 1"]
)
def test_a_keep_out_that_is_none_is_refused(text):
    with pytest.raises(ValueError, match="write its name, a colon, and its corners"):
        read_keep_outs(text)


@pytest.mark.parametrize(
    "text",
    ["front, top: mitre", "front top miter", "the front and top = mitre", "Front / Top: Mitre", "front to top mitre"],
)
def test_a_joint(text):
    assert read_joints(text, ROUND) == {("front", "top"): "mitre"}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("front, top", "write two panels and butt or mitre"),
        ("front, top: 45", "write two panels and butt or mitre"),
        ("front, wall side: butt", "these two do not meet. The front meets the floor and the top."),
        ("front, front: butt", "these two do not meet."),
        ("front, top: mitre\ntop, front: butt", "this corner has a line already."),
        ("front, tpo: mitre", "Did you mean top?"),
    ],
)
def test_a_slip_of_a_joint_is_told(text, told):
    with pytest.raises(ValueError, match=re.escape(told)):
        read_joints(text, ROUND)


def test_an_order():
    assert read_order("front, cheeks > Floor", ROUND) == ("front", "cheeks", "floor")
    assert read_order("", ROUND) == ()
    for text, told in (("front, front", "has the front twice"), ("cheek", "Did you mean cheeks")):
        with pytest.raises(ValueError, match=told):
            read_order(text, ROUND)


@pytest.mark.parametrize(
    ("text", "turn"),
    [
        ("150, 90 left", 90),
        ("after 150 mm by 45° to the right", -45),
        ("15 cm: 30 degrees right", -30),
    ],
)
def test_a_bend(text, turn):
    ((after, turned),) = read_bends(text)
    assert (after, math.degrees(turned)) == pytest.approx((150 * mm, turn), abs=1e-9)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("150", "write how far along its middle"),
        ("150, 90 up", "how many degrees to the left or right"),
        ("150, -90 left", "write 90 left, without the minus"),
        ("150, 90", "add left or right, as one goes into the box"),
        ("150, 135 left", "one bend turns by 90 degrees at most"),
    ],
)
def test_a_slip_of_a_bend_is_told(text, told):
    with pytest.raises(ValueError, match=told):
        read_bends(text)


@pytest.mark.parametrize(
    ("text", "volume"),  # in cm3, by hand
    [
        ("300 x 60 x 18", 324),
        ("300x60", 324),  # of the board of the box, here 18 mm
        ("2 of 300 x 60 x 18", 648),
        ("2 x 300 x 60 x 18", 648),
        ("3 pieces 300 × 60 × 10", 540),
        ("300 x 60 x 18, window 100 x 40", 324 - 72),
        ("300 x 60 x 18, 2 windows 50 x 40; glued to front and top", 324 - 72),
        ("30 cm x 60 mm x 18 mm", 324),
        ("10 in x 2 in x 1/2 in", 10 * 2 * 0.5 * 2.54**3),
    ],
)
def test_braces(text, volume):
    (brace,) = read_braces(text, 18 * mm, PANELS)
    assert brace.volume * 1e6 == pytest.approx(volume, rel=1e-9)
    assert brace.panels == (("front", "top") if "glued" in text else ())


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("300", "write length x breadth x thickness"),
        ("300 x 60 x 18 x 4 x 5", "write length x breadth x thickness"),
        ("300 x 60 x 18, shiny", "'shiny' cannot be read. Write window 100 x 40, or glued to front and back."),
        ("300 x 60 x 180", "180 mm is outside 2 to 100 mm."),
        ("300 x 60 x 18, glued to frunt", "Did you mean front?"),
        ("300 x 60 x 18, window 300 x 60", "must lie within it, got one of 300 x 60 mm in a brace of 300 x 60 mm"),
        ("300 x 60 x 18, 2 windows 250 x 50", "leaves nothing of the brace"),
    ],
)
def test_a_slip_of_a_brace_is_told(text, told):
    with pytest.raises(ValueError, match=re.escape(told)):
        read_braces(text, 18 * mm, PANELS)


@given(
    st.dictionaries(st.sampled_from(PANELS), TENTHS),
    st.lists(st.tuples(st.sampled_from(ROUND), TENTHS, TENTHS | st.none())),
)
def test_lengths_and_places_are_written_so_that_they_are_read(lengths, places):
    assert in_mm(read_by_panel(by_panel_text(lengths), PANELS)) == in_mm(lengths)
    assert in_mm(read_places(places_text(places), ROUND)) == in_mm(places)


@given(
    st.lists(
        st.builds(
            Brace,
            length=TENTHS.map(lambda length: length + 0.1),
            breadth=TENTHS.map(lambda length: length + 0.1),
            thickness=TENTHS,
            windows=st.lists(st.tuples(TENTHS, TENTHS).map(lambda sides: (sides[0] / 2, sides[1] / 2)), max_size=2),
            count=st.integers(1, 9),
            panels=st.lists(st.sampled_from(PANELS), max_size=2, unique=True),
        ),
        max_size=3,
    )
)
def test_braces_are_written_so_that_they_are_read(braces):
    again = read_braces(braces_text(braces), 1.0, PANELS)
    assert [(brace.count, brace.panels) for brace in again] == [(brace.count, brace.panels) for brace in braces]
    for one, other in zip(again, braces, strict=True):
        assert in_mm((one.length, one.breadth, one.thickness, one.windows)) == in_mm(
            (other.length, other.breadth, other.thickness, other.windows)
        )


def test_the_rest_is_written_so_that_it_is_read():
    joints, bends = {("front", "top"): "mitre", ("wall side", "edge 1"): "butt"}, ((0.15, 1.25), (0.25, -0.5))
    assert read_joints(joints_text(joints), ROUND) == joints
    for (after, turn), wanted in zip(read_bends(bends_text(bends)), bends, strict=True):
        assert (after, turn) == pytest.approx(wanted, abs=1e-5)
    keep_outs = {"belt": ((0.5, 0.0), (0.55, 0.0), (0.55, 0.1)), "seat (end)": ((-0.1, 0.0), (0.0, 0.0), (0.0, 0.1))}
    assert in_mm(read_keep_outs(keep_outs_text(keep_outs))) == in_mm(keep_outs)


# A list says itself in what its bare numbers are; 1/16 inch is 1.5875 mm.
@pytest.mark.parametrize(
    ("read", "wanted"),
    [
        (lambda: read_by_panel("[inches]\nfront: 7/8\ntop: 22 mm", PANELS), {"front": 22.225, "top": 22}),
        (lambda: read_places("[inches]\nfront, 13 3/4, 5½", ROUND), (("front", 349.25, 139.7),)),
        (lambda: read_places("[inches]|front, 1 ft 3 1/2 in, 2' 1\"", ROUND), (("front", 393.7, 635.0),)),
        (
            lambda: read_keep_outs("[inches]\nbelt: 20, 0 to 22, 4"),
            {"belt": ((508, 0), (558.8, 0), (558.8, 101.6), (508, 101.6))},
        ),
        (lambda: read_corners("[inches]\n0, 0, a\n15 3/4, 0, b\n10 cm, 4, c")[0][1:], ((400.05, 0), (100, 101.6))),
        (lambda: read_edges("[inches]\n10, 60, a\n10, 60, b\n9 15/16, 60, c")[0], (254, 254, 252.4125)),
        (lambda: [after for after, _ in read_bends("[inches]\n6 1/2, 90 left")], (165.1,)),
        (
            lambda: [
                (brace.length, brace.thickness, brace.windows)
                for brace in read_braces("[inches]\n12 x 2 1/2 x 3/4, window 4 x 1 1/2", 18 * mm, PANELS)
            ],
            ((304.8, 19.05, ((101.6, 38.1),)),),
        ),
    ],
)
def test_a_list_may_be_in_inches(read, wanted):
    assert in_mm(read()) == wanted


@pytest.mark.parametrize(
    ("read", "told"),
    [
        (
            lambda: read_by_panel("[inches]\nfront: 18", PANELS),
            "18 inches is outside 0.0787 to 2.3622 inches. Did you mean",
        ),
        (lambda: read_by_panel("[inches]\nfront 3 of", PANELS), "as in front: 7/8"),
        (lambda: read_bends("[inches]\n6 to there"), "as in 6, 90 left"),
        (lambda: read_corners("[inches]\n0; b"), "as in 19, 0, front"),
    ],
)
def test_a_slip_in_inches_is_told_in_inches(read, told):
    with pytest.raises(ValueError, match=re.escape(told)):
        read()


@given(st.lists(st.integers(-6400, 6400).map(lambda marks: marks / 64 * inch), min_size=2, max_size=2))
def test_what_is_on_a_mark_of_the_tape_is_written_as_a_fraction(place):
    x, y = place
    written = corners_text([(x, y)], ["a"], INCHES)
    assert "." not in written
    again = read_corners(INCHES.headed("\n".join([written] * 3)))[0][0]
    assert again == pytest.approx((x, y), abs=1e-12)


@given(st.tuples(TENTHS, TENTHS))
def test_what_is_on_no_mark_is_written_to_some_micrometres(sides):
    (found,) = read_places(INCHES.headed(places_text([("front", *sides)], INCHES)), ROUND)
    assert found[1:] == pytest.approx(sides, abs=2e-6)
