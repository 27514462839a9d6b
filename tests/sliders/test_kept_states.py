"""What lasts beyond a move: states that are kept, links, and a guess."""

import json
from urllib.parse import urlencode

import numpy as np
import pytest

from lumpedbox.sliders.kit.controls import Slider
from lumpedbox.sliders.kit.predict import Question
from lumpedbox.sliders.kit.systems import SYSTEMS
from lumpedbox.units import litre
from tests.sliders.conftest import ask

METRIC, CUSTOMARY = SYSTEMS
LOUDER = Question("Which is <louder>?", ("this", "that"), right="that", why="It is <larger>.", look="Look there.")


def test_up_to_four_states_are_kept_beside_the_present_one(boxes):
    volumes, curves = (30, 40, 50, 60), {}
    for volume in volumes:
        boxes.put(volume=volume * litre)
        ask(boxes, keep=True)
        curves[volume] = np.array(boxes.scene.stack.values("vented", "level")[1])
    boxes.put(volume=25 * litre)
    assert [state["name"] for state in boxes.board.kept] == [f"{volume:.1f} litres" for volume in volumes]
    for slot, volume in enumerate(volumes):
        assert np.array_equal(boxes.scene.stack.values(f"vented, kept {slot}", "level")[1], curves[volume])
    ask(boxes, keep=True)
    assert boxes.board.note == "4 are kept already. Drop one of them first."
    ask(boxes, drop=1)
    assert len(boxes.board.kept) == 3
    assert np.isnan(boxes.scene.stack.values("vented, kept 1", "level")[1]).all()
    ask(boxes, rename=[2, "  the wide   one "])
    assert [state["name"] for state in boxes.board.kept] == ["30.0 litres", "the wide one", "60.0 litres"]
    ask(boxes, **{"return": 2})
    assert boxes.values["volume"] == pytest.approx(50 * litre)
    assert boxes.board.kept[1]["answer"]["headline"] == boxes.board.answer["headline"]


def test_the_same_state_is_kept_once_and_names_differ(boxes):
    ask(boxes, keep=True)
    assert boxes.board.note.startswith("Kept: the start. ")
    ask(boxes, keep=True)
    assert boxes.board.note == "This one is kept already."
    boxes.put(Ql=9.0)
    ask(boxes, keep=True)
    ask(boxes, rename=[1, "the start"])
    assert [state["name"] for state in boxes.board.kept] == ["the start", "the start (2)"]


def test_a_state_is_named_by_what_tells_it_from_the_others(boxes):
    """Three tunings of one box are called by their tunings, though one of them is that of the start."""
    for fb in (30.0, 36.0, 42.0):
        boxes.put(volume=28 * litre, fb=fb)
        ask(boxes, keep=True)
    assert [state["name"] for state in boxes.board.kept] == ["28.0 litres, 30.0 Hz", "36.0 Hz", "42.0 Hz"]


def test_kept_states_follow_the_units(boxes):
    ask(boxes, keep=True)
    before = np.array(boxes.scene.stack.values("vented, kept 0", "excursion")[1])
    boxes.board.system = CUSTOMARY
    assert boxes.scene.stack.values("vented, kept 0", "excursion")[1] == pytest.approx(before / 25.4)
    assert "inches" in json.dumps(boxes.board.kept[0]["answer"])


def test_a_link_leads_to_where_the_page_stood(boxes):
    ask(boxes, link="volume=0.06&driver=165 mm panel&fb=41.5")
    assert (boxes.values["volume"], boxes.values["driver"], boxes.values["fb"]) == (0.06, "165 mm panel", 41.5)
    assert boxes.board.note == ""


def test_a_link_counts_from_the_start_however_the_page_stands_when_it_is_shown(boxes):
    start = boxes.board.places
    boxes.put(volume=0.06)
    assert boxes.board.places != start == boxes.board.start


@pytest.mark.parametrize(("trait", "told"), [("room", {"width": 900}), ("moved", {"number": 1})])
def test_what_goes_wrong_with_what_the_browser_tells_is_shown(boxes, trait, told):
    setattr(boxes.board, trait, told)
    assert "should not have happened" in boxes.board.wrong


def test_a_link_of_any_state_opens_that_state(pages, page_name):
    page = pages(page_name)
    """What a link leaves out is what equals the start, and not what would go along with a part that is chosen anew."""
    random = np.random.default_rng(7)
    for _ in range(3):
        places = {
            name: float(control.stops(page.values, METRIC)[random.integers(len(control.stops(page.values, METRIC)))])
            if isinstance(control, Slider)
            else str(random.choice(getattr(control, "options", ()) or (control.start,)))
            for name, control in page.controls.items()
        }
        page.reset()
        page.put(**places)
        values, said = dict(page.values), page.board.answer
        link = urlencode({name: value for name, value in values.items() if value != page.start[name]})
        page.reset()
        ask(page, link=link)
        assert page.values == values
        assert page.board.answer == said


@pytest.mark.parametrize(
    ("link", "said"),
    [
        ("driver=My own&volume=0.03", "Driver: My own is not offered here. 200 mm bass stands in its place."),
        ("size=3&volume=0.03", "This page has nothing named size."),
        ("fb=high&volume=0.03", "could not convert"),
        ("fb=nan&volume=0.03", "'nan' is not a number."),
    ],
)
def test_a_link_says_what_of_it_is_gone(boxes, link, said):
    boxes.ask(LOUDER)
    ask(boxes, link=link)
    assert said in boxes.board.note
    assert boxes.values["volume"] == 0.03, "the rest of it is followed"
    assert not boxes.board.asleep


def test_a_guess_is_an_offer(boxes):
    assert boxes.ask(LOUDER) is boxes
    assert boxes.board.asleep
    ask(boxes, guess="this")
    assert not boxes.board.asleep
    assert boxes.board.guess["verdict"] == "Not so: that. It is <larger>. Look there."
    assert boxes.board.guess["chosen"] == "this"
    assert boxes.board.guess["marked"] == "You guessed: this. Not so: that."


@pytest.mark.parametrize("wake", [{"guess": ""}, {"typed": ["volume", "30"]}, {"link": "volume=0.03"}])
def test_who_makes_no_guess_is_shown_the_answer_at_once(boxes, wake):
    boxes.ask(LOUDER)
    ask(boxes, **wake)
    assert not boxes.board.asleep
    assert "chosen" not in boxes.board.guess


def test_moving_a_control_wakes_too(boxes):
    boxes.ask(LOUDER)
    boxes.board.moved = {"number": 1, "places": {"volume": 0.03}}
    assert not boxes.board.asleep
    assert boxes.values["volume"] == 0.03


def test_a_teacher_can_make_the_guess_obligatory(boxes):
    boxes.ask(LOUDER, obligatory=True)
    for wake in ({"guess": ""}, {"typed": ["volume", "30"]}, {"link": "volume=0.03"}):
        ask(boxes, **wake)
        assert boxes.board.asleep
    ask(boxes, guess="that")
    assert boxes.board.guess["verdict"].startswith("Right. It is")
    assert not boxes.board.asleep
