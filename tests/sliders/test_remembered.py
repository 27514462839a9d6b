"""What a tab remembers is taken up again, whole, and never crashes a page; the browser's side is in tests/browser."""

import json

import numpy as np
import pytest

from lumpedbox.sliders.exercises import LESSONS, sheet_of
from lumpedbox.sliders.kit.predict import Question
from lumpedbox.sliders.kit.remembered import CLOSED, DAMAGED
from lumpedbox.sliders.kit.result_code import meaning
from lumpedbox.sliders.kit.systems import SYSTEMS
from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented
from lumpedbox.units import litre
from tests.sliders.conftest import ask

METRIC, CUSTOMARY = SYSTEMS
LOUDER = Question("Which is louder?", ("this", "that"), right="that", why="It is larger.", look="Look there.")
WRONG = ("701 L", "702 L", "703 L", "704 L")


def loaded_again(made, state):
    """A new page or sheet, once the browser has given it what it kept of another: as JSON, and nothing else."""
    made.remembered._handle_custom_msg({"kept": json.loads(json.dumps(state))}, [])
    return made


def answer(row, text=None):
    row.typed.value = row.exercise.solution(row.given, row.system) if text is None else text


def seen(sheet):
    """All that a student sees of a sheet."""
    rows = [(row.question.value, row.typed.value, row.said.value, row.show.disabled, row.tries) for row in sheet.rows]
    parts = [*(row.not_own for row in sheet.rows), sheet.shared, sheet.afresh]
    shown = [part.layout.display for part in parts]
    return rows, shown, sheet.name.value, sheet.units.value, sheet.done.value, sheet.handed_in.value, sheet.code


@pytest.mark.parametrize("lesson", LESSONS)
@pytest.mark.parametrize("units", SYSTEMS)
def test_a_sheet_loaded_again_shows_what_it_showed(lesson, units):
    sheet = sheet_of(lesson)
    sheet.units.value = units
    answer(sheet.rows[1])
    sheet.name.value = "Adda"
    answer(sheet.rows[0], "7 furlongs")
    sheet.name.value = "Ada"
    answer(sheet.rows[0])
    for wrong in ("1e9", "2e9", "3e9"):
        answer(sheet.rows[3], f"{wrong} {sheet.rows[3].exercise.kind.metric.unit}")
    sheet.rows[3].show.click()
    again = loaded_again(sheet_of(lesson), sheet.remembered.state)
    assert seen(again) == seen(sheet)
    assert again.remembered.state == sheet.remembered.state
    told = meaning(again.code, "Ada", {lesson: len(again.rows)})[1]
    assert "1. right at the first try; 2. not begun; 3. not begun; 4. looked up after 3 wrong tries" in told


def test_tries_are_counted_on_over_every_reload_and_change_of_name():
    sheet = sheet_of("closed_box")
    sheet.name.value = "Ada"
    for count, wrong in enumerate(WRONG, start=1):
        answer(sheet.rows[3], wrong)
        sheet = loaded_again(sheet_of("closed_box"), sheet.remembered.state)
        sheet.name.value = "Bo"
        assert (sheet.rows[3].tries, sheet.rows[3].typed.value) == (0, "")
        assert "Answers under another name are kept" in sheet.handed_in.value
        sheet.name.value = " ada "
        assert sheet.rows[3].tries == count
        assert sheet.rows[3].show.disabled is (count < 3)
    answer(sheet.rows[3])
    told = meaning(sheet.code, "Ada", {"closed_box": 4})[1]
    assert "4. right after 4 wrong tries" in told


def test_a_name_typed_after_the_first_answers_loses_nothing_and_counts_nothing_that_is_not_one_s_own():
    sheet = sheet_of("closed_box")
    answer(sheet.rows[0])
    answer(sheet.rows[1], "1 Hz")
    before = [(row.question.value, row.typed.value, row.said.value, row.tries) for row in sheet.rows]
    sheet.name.value = "Ada"
    after = [(row.question.value, row.typed.value, row.said.value, row.tries) for row in sheet.rows]
    assert after[:2] == before[:2]
    assert after[2][0] != before[2][0], "what is not begun has numbers of her own"
    assert [row.not_own.layout.display for row in sheet.rows] == [None, None, "none", "none"]
    assert sheet.code == ""
    answer(sheet.rows[2])
    told = meaning(sheet.code, "Ada", {"closed_box": 4})[1]
    assert told.startswith("1 of 4 right. 1. not begun; 2. not begun; 3. right at the first try")
    sheet.rows[0].ask_anew()
    assert sheet.rows[0].question.value != before[0][0]
    assert (sheet.rows[0].typed.value, sheet.rows[0].not_own.layout.display) == ("", "none")
    answer(sheet.rows[0])
    assert "1. right at the first try" in meaning(sheet.code, "Ada", {"closed_box": 4})[1]
    sheet.name.value = ""
    assert [(row.typed.value, row.tries) for row in sheet.rows[:2]] == [one[1::2] for one in before[:2]]


def test_capitals_and_blanks_in_a_name_begin_nothing_anew():
    sheet = sheet_of("closed_box")
    sheet.name.value = "ada"
    answer(sheet.rows[0], "1")
    asked = sheet.rows[0].question.value
    sheet.name.value = "  Ada"
    assert (sheet.rows[0].tries, sheet.rows[0].question.value) == (1, asked)


def test_starting_afresh_forgets_all_and_is_taken_back_until_something_new_is_done():
    sheet = sheet_of("closed_box")
    at_first = seen(sheet)
    sheet.name.value = "Ada"
    answer(sheet.rows[0], "1")
    done, state = seen(sheet), sheet.remembered.state
    sheet.afresh.click()
    assert sheet.remembered.state == {}
    assert sheet.afresh.description == "Bring the answers back"
    assert seen(sheet)[0] == at_first[0]
    sheet.afresh.click()
    assert (seen(sheet), sheet.remembered.state) == (done, state)
    sheet.afresh.click()
    sheet.name.value = "Bo"
    assert sheet.afresh.description == "Start afresh", "the next student's press must not bring Ada's answers"
    sheet.name.value = "Ada"
    assert sheet.rows[0].tries == 0


DAMAGES = {
    "not JSON": None,
    "a number": 7,
    "a list": ["name"],
    "no name": {"units": METRIC, "records": {}},
    "other units": {"name": "Ada", "units": "cubits", "records": {}},
    "records of no name": {"name": "Ada", "units": METRIC, "records": []},
}


def damaged_record(**changes):
    question = sheet_of("closed_box").rows[0].exercise.question
    record = {"typed": "1", "told": False, "attempt": {"wrong": 1, "right": False, "shown": False} | changes}
    return {"name": "Ada", "units": METRIC, "records": {question: {"ada": record}}}


@pytest.mark.parametrize(
    "state",
    [
        *DAMAGES.values(),
        damaged_record(wrong=-1),
        damaged_record(wrong="many"),
        damaged_record(shown=True),
        damaged_record(lucky=True),
    ],
)
def test_a_damaged_store_is_told_and_the_sheet_works(state):
    sheet = loaded_again(sheet_of("closed_box"), state)
    assert sheet.remembered.said == DAMAGED
    assert seen(sheet) == seen(sheet_of("closed_box"))
    sheet.name.value = "Ada"
    answer(sheet.rows[0])
    assert sheet.code


def test_an_exercise_of_another_version_begins_anew_and_the_others_stay():
    sheet = sheet_of("closed_box")
    answer(sheet.rows[0], "1")
    answer(sheet.rows[1], "1 Hz")
    state = json.loads(json.dumps(sheet.remembered.state))
    question = sheet.rows[0].exercise.question
    state["records"][f"{question} Once more?"] = state["records"].pop(question)
    again = loaded_again(sheet_of("closed_box"), state)
    assert [row.tries for row in again.rows] == [0, 1, 0, 0]
    assert again.remembered.said == ""


def test_what_is_there_already_is_not_overwritten_by_an_older_store():
    sheet = sheet_of("closed_box")
    sheet.name.value = "Bo"
    assert loaded_again(sheet, damaged_record()).name.value == "Bo"


def test_a_closed_store_is_told():
    sheet = sheet_of("closed_box")
    sheet.remembered._handle_custom_msg({"closed": True}, [])
    assert sheet.remembered.said == CLOSED


def level(page, curve):
    return page.scene.stack.values(curve, "level")[1]


def kept_of(page):
    """What is seen of the states that are kept: names, answers and curves."""
    return page.board.kept, np.array([level(page, f"vented, kept {slot}") for slot in page.compared.names])


def test_kept_states_the_guess_and_the_units_are_there_again_and_the_page_stands_where_it_stood():
    page = sealed_or_vented().ask(LOUDER)
    ask(page, guess="this")
    page.board.system = CUSTOMARY
    for volume, driver in ((33.3, "165 mm panel"), (50, "200 mm bass")):
        page.put(volume=volume * litre, driver=driver)
        ask(page, keep=True)
    ask(page, rename=[0, "fits <the> shelf & more"])
    again = sealed_or_vented().ask(LOUDER)
    ask(again, link="volume=0.025")
    loaded_again(again, page.remembered.state)
    (states, curves), (states_again, curves_again) = kept_of(page), kept_of(again)
    assert states_again == states
    assert np.array_equal(curves, curves_again)
    assert again.board.guess == page.board.guess
    assert not again.board.asleep
    assert again.system == CUSTOMARY
    assert again.values == again.start | {"volume": 25 * litre}
    assert (again.board.note, again.message) == ("", "")
    fresh = sealed_or_vented()
    fresh.put(volume=25 * litre)
    fresh.board.system = CUSTOMARY
    assert again.board.answer == fresh.board.answer, "it answers for the last state that was kept"
    assert np.array_equal(
        again.scene.stack.values("vented", "level")[1], fresh.scene.stack.values("vented", "level")[1]
    )
    assert again.remembered.state == page.remembered.state
    ask(again, drop=0)
    assert len(again.remembered.state["kept"]) == 1


def test_a_state_whose_part_or_control_is_gone_is_told_and_the_others_come_back():
    page = sealed_or_vented()
    for volume in (30, 40, 50):
        page.put(volume=volume * litre)
        ask(page, keep=True)
    state = json.loads(json.dumps(page.remembered.state))
    kept = state["kept"]
    kept[0][1] = kept[0][1].replace("200+mm+bass", "sold")
    kept[1][1] += "&colour=red"
    again = loaded_again(sealed_or_vented(), state)
    assert [one["name"] for one in again.board.kept] == ["50.0 litres"]
    assert again.board.note == (
        "30.0 litres was kept, but is gone. Driver: sold is not offered here. "
        "40.0 litres was kept, but is gone. This page has nothing named colour."
    )
    assert again.values == again.start


@pytest.mark.parametrize("state", [None, 7, [], {"kept": 7}, {"kept": [["name"]]}, {"kept": [["name", 7]]}])
def test_a_damaged_store_is_told_and_the_page_works(state):
    page = loaded_again(sealed_or_vented(), state)
    assert page.remembered.said == DAMAGED
    assert page.board.kept == []
    ask(page, keep=True)
    assert [one["name"] for one in page.board.kept] == ["the start"]


def test_a_guess_that_is_no_option_any_more_is_asked_again():
    page = loaded_again(sealed_or_vented().ask(LOUDER), {"guess": "neither"})
    assert page.board.asleep
    assert page.remembered.said == ""


def test_show_me_at_once_is_remembered_but_not_where_a_guess_is_obligatory():
    for obligatory in (False, True):
        page = loaded_again(sealed_or_vented().ask(LOUDER, obligatory=obligatory), {"guess": ""})
        assert page.board.asleep is obligatory
