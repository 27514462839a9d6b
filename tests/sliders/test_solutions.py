"""What a teacher reads for a student is what that student's sheet asks, marks right and says about mistakes."""

import functools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumpedbox.sliders.exercises import LESSONS, sheet_of, solutions
from lumpedbox.sliders.kit.result_code import NO_SECRET
from lumpedbox.sliders.kit.systems import SYSTEMS

NAMES = st.text(alphabet=st.characters(categories=("Lu", "Ll", "Zs")), max_size=20)


@functools.cache
def both(lesson):
    """A student's sheet and its teacher's solutions."""
    return sheet_of(lesson), solutions(lesson)


@settings(max_examples=60, deadline=None)
@given(lesson=st.sampled_from(LESSONS), name=NAMES, system=st.sampled_from(SYSTEMS))
def test_worked_solutions_are_marked_right(lesson, name, system):
    sheet, teacher = both(lesson)
    sheet.name.value, sheet.units.value = name, system
    teacher.name.value = f" {name.upper()} " if name.upper().lower() == name.lower() else name
    for row, shown in zip(sheet.rows, teacher.rows, strict=True):
        question, steps, answer, slips = teacher.of(shown, system)
        assert question in row.question.value.replace("&amp;", "&").replace("&lt;", "<")
        assert steps
        assert row.exercise.mark(row.given, answer) == (True, "Right.")
        for typed, slip, hint in slips:
            assert row.exercise.mark(row.given, typed) == (False, f"Not yet. It looks as if {slip}. {hint}")


@pytest.mark.parametrize("lesson", LESSONS)
def test_a_teacher_sees_each_exercise_worked(lesson):
    teacher = solutions(lesson)
    teacher.name.value = "<Ada>"
    for system in SYSTEMS:
        teacher.units.value = system
        for row in teacher.rows:
            _, steps, answer, slips = teacher.of(row, system)
            for text in (*steps, f"Answer: {answer}", *(slip for _, slip, _ in slips)):
                assert text.replace("<", "&lt;") in teacher.worked.value


def test_a_teacher_checks_a_code_beside_the_name():
    sheet, teacher = sheet_of("decibels"), solutions("decibels")
    sheet.name.value = teacher.name.value = "Ada"
    sheet.rows[0].typed.value = sheet.rows[0].exercise.solution(sheet.rows[0].given, SYSTEMS[0])
    teacher.code.value = sheet.code.lower()
    assert teacher.said.value.startswith("1 of 4 right. 1. right at the first try")
    teacher.name.value = "Eve"
    assert teacher.said.value == "This code was not made under the name Eve."
    teacher.code.value = "<b>"
    assert "&lt;" in teacher.said.value
    teacher.code.value = ""
    assert teacher.said.value == ""
    assert NO_SECRET in teacher.widget.children[-1].value.replace("&#x27;", "'")
