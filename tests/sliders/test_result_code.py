"""What a student hands in says what was done, and every slip in typing it is noticed."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumpedbox.sliders.exercises import LESSONS, sheet_of
from lumpedbox.sliders.kit.result_code import (
    ATTEMPTS,
    LESSON,
    SYMBOLS,
    Attempt,
    Mistyped,
    code_of,
    mark,
    meaning,
    read_code,
)
from lumpedbox.sliders.kit.sheet import Sheet

LETTERS = st.text(alphabet=st.characters(categories=("Lu", "Ll", "Zs")), min_size=1, max_size=30)
ANY_NAME = LETTERS.filter(lambda name: name.strip())
DONE = st.lists(st.sampled_from(ATTEMPTS), min_size=1, max_size=9).filter(lambda done: any(a.begun for a in done))
SIZES = {lesson: len(sheet_of(lesson).rows) for lesson in LESSONS}


@given(lesson=st.sampled_from(LESSONS), name=ANY_NAME, done=DONE)
def test_a_code_says_what_was_done(lesson, name, done):
    result = read_code(code_of(lesson, name, done))
    assert result.is_of_lesson(lesson)
    assert result.is_of(name.upper().lower()) or name.upper().lower() != name.lower()
    assert result.is_of(f"  {name} ")
    assert result.attempts == tuple(done)


@settings(max_examples=30, deadline=None)
@given(lesson=st.sampled_from(LESSONS), name=ANY_NAME, done=DONE)
def test_every_single_slip_and_every_swap_is_noticed(lesson, name, done):
    """Not only of neighbours: of any two symbols."""
    code = code_of(lesson, name, done).replace("-", "")
    for place, symbol in itertools.product(range(len(code)), SYMBOLS):
        if symbol != code[place]:
            with pytest.raises(Mistyped):
                read_code(code[:place] + symbol + code[place + 1 :])
    for one, other in itertools.combinations(range(len(code)), 2):
        swapped = list(code)
        swapped[one], swapped[other] = code[other], code[one]
        if code[one] != code[other]:
            with pytest.raises(Mistyped):
                read_code("".join(swapped))


@given(name=ANY_NAME, done=DONE)
def test_one_left_out_is_noticed_or_is_about_fewer_exercises(name, done):
    """By its length, where the rest happens to add up."""
    code = code_of("decibels", name, done).replace("-", "")
    for place in range(len(code)):
        lesson, _ = meaning(code[:place] + code[place + 1 :], name, {"decibels": len(done)})
        assert lesson == ""


@given(names=st.lists(ANY_NAME.map(lambda name: " ".join(name.lower().split())), min_size=2, max_size=2, unique=True))
def test_a_code_of_another_name_is_noticed(names):
    one, other = names
    code = code_of("closed_box", one, [Attempt(right=True)] * SIZES["closed_box"])
    assert meaning(code, one, SIZES)[0] == "closed_box"
    lesson, said = meaning(code, other, SIZES)
    assert (lesson, said) == ("", f"This code was not made under the name {other}.")


def test_a_class_of_a_thousand_has_hardly_two_of_one_mark():
    marks = {mark(f"pupil {number}", 4) for number in range(1000)}
    assert len(marks) > 995
    assert len({mark(lesson, LESSON) for lesson in LESSONS}) == len(LESSONS)


def test_a_code_of_another_lesson_is_noticed():
    code = code_of("closed_box", "Ada", [Attempt(right=True)] * 4)
    assert meaning(code, "Ada", {"decibels": 4}) == ("", "This code does not belong to decibels.")
    assert meaning(code_of("sewing", "Ada", [Attempt(right=True)] * 4), "Ada", SIZES)[1].endswith("any lesson here.")
    assert "another version" in meaning(code_of("closed_box", "Ada", [Attempt(right=True)] * 7), "Ada", SIZES)[1]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "too short"),
        ("AC-DE", "too short"),
        ("OOOO-OOOO-OOO", "no code has O in it"),
        ("CDKM-2V42-221", "no code has 1 in it"),
        ("CDKM-2V42-22Ü", "no code has Ü in it"),
        ("22222222222223", "do not belong together"),
        ("22222222222222", "does not belong to any lesson"),
        ("A" * 5000, "do not belong together"),
    ],
)
def test_what_is_no_code_is_told_in_words(typed, said):
    lesson, words = meaning(typed, "Ada", SIZES)
    assert lesson == ""
    assert said in words


def test_symbols_cannot_be_taken_for_one_another():
    assert not any({one, other} <= set(SYMBOLS) for one, other in ("0O", "1I", "2Z", "5S", "8B", "1L"))
    assert len(SYMBOLS) == 29, "a prime, on which the check rests"
    assert len(ATTEMPTS) == len(set(ATTEMPTS)) <= len(SYMBOLS)


def test_a_code_is_read_however_it_is_typed():
    code = code_of("closed_box", "Björn", [Attempt(wrong=2, right=True), *[Attempt()] * 3])
    for typed in (code, code.lower(), code.replace("-", ""), code.replace("-", " "), f"  {code}\n"):
        assert read_code(typed) == read_code(code)
    assert all(len(group) <= 4 for group in code.split("-"))
    assert len(code) <= 14


def test_how_an_accent_is_stored_makes_no_difference():
    """macOS stores file names, and so what is copied from them, with the accent beside its letter."""
    assert read_code(code_of("closed_box", "Bjo\u0308rn", [Attempt(right=True)])).is_of("Björn")


def sheet_named(name, lesson="closed_box"):
    sheet = sheet_of(lesson)
    sheet.name.value = name
    return sheet


def answer(row, text=None):
    row.typed.value = row.exercise.solution(row.given, "metric") if text is None else text


def test_the_sheet_says_how_many_are_done_and_what_to_hand_in():
    sheet = sheet_named("Ada")
    assert (sheet.done.value, sheet.code, sheet.handed_in.value) == ("0 of 4 right.", "", "")
    answer(sheet.rows[0], "many")
    assert sheet.code == "", "what cannot be read is no try"
    answer(sheet.rows[0], "77")
    answer(sheet.rows[0])
    assert sheet.done.value == "1 of 4 right."
    for wrong in ("701 L", "702 L", "703 L"):
        answer(sheet.rows[3], wrong)
    sheet.rows[3].show.click()
    assert sheet.done.value == "1 of 4 right, and 1 shown."
    assert sheet.code in sheet.handed_in.value
    assert meaning(sheet.code, "ada", SIZES) == (
        "closed_box",
        "1 of 4 right. 1. right after 1 wrong try; 2. not begun; 3. not begun; 4. looked up after 3 wrong tries.",
    )
    assert "lb-marked" in sheet.done._dom_classes, "read out with the marking"


def test_what_was_right_stays_right():
    sheet = sheet_named("Ada")
    answer(sheet.rows[1])
    code = sheet.code
    answer(sheet.rows[1], "1 Hz")
    assert sheet.code == code
    assert sheet.rows[1].said.value.startswith("Not yet.")


def test_an_answer_that_was_looked_up_is_told_as_such():
    sheet = sheet_named("Ada")
    for wrong in ("701 L", "702 L", "703 L", "704 L", "705 L", "706 L", "707 L"):
        answer(sheet.rows[3], wrong)
    sheet.rows[3].show.click()
    answer(sheet.rows[3])
    told = meaning(sheet.code, "Ada", SIZES)[1]
    assert "4. right after 6 or more wrong tries, and looked up" in told
    assert sheet.done.value == "1 of 4 right."


def test_without_a_name_there_is_no_code_and_a_hint():
    sheet = sheet_of("closed_box")
    assert "Type your name first" in sheet.handed_in.value
    answer(sheet.rows[0])
    assert sheet.code == ""
    sheet.name.value = "Ada"
    assert (sheet.code, sheet.done.value) == ("", "1 of 4 right."), "everyone without a name has those numbers"
    assert "it counts only answers to numbers of your own" in sheet.handed_in.value
    assert Sheet(()).code == ""
