"""A sheet of exercises marks itself; test_every_draw.py goes through all of what it may ask."""

import re

import numpy as np
import pytest

from lumpedbox.sliders.kit.drawn import Drawn
from lumpedbox.sliders.kit.exercises import TRIES, Exercise, Misconception, generator
from lumpedbox.sliders.kit.sheet import Sheet
from lumpedbox.sliders.kit.systems import SYSTEMS, VOLUME
from lumpedbox.sliders.lessons.closed_box import closed_box_sheet
from lumpedbox.sliders.lessons.how_loud import how_loud_sheet
from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented_sheet
from lumpedbox.sliders.lessons.vented_alignments import vented_alignment_sheet
from lumpedbox.units import litre

METRIC, CUSTOMARY = SYSTEMS
NAMES = ("Ada", "Björn", "Chi", "Dana", "Esi", "Femi", "Gül", "Hana", "Ilse", "Jun")


def toy():
    return Sheet(
        [
            Exercise(
                question="Half of {volume}?",
                numbers={"volume": Drawn(VOLUME, tuple(range(10, 40)))},
                answer=lambda given: given["volume"] / 2,
                kind=VOLUME,
                misconceptions=(
                    Misconception("it was doubled", lambda given: 2 * given["volume"], "Halve it."),
                    Misconception("nothing was done", lambda given: given["volume"], "Do something."),
                ),
            )
        ]
    ).rows[0]


@pytest.fixture
def row():
    return toy()


def attempt(row, text):
    row.typed.value = text
    row.check.click()
    return row.said.value


def test_the_same_name_gives_the_same_numbers():
    draws = {name: generator(name, 1).random() for name in NAMES}
    assert len(set(draws.values())) == len(NAMES)
    assert generator("  ada  ", 1).random() == draws["Ada"]
    assert generator("Ada", 2).random() != draws["Ada"]


def test_right_in_either_system(row):
    half = row.given["volume"] / 2
    assert attempt(row, f"{half / litre:.3f} L") == "Right."
    assert attempt(row, f"{half / 0.028316846592:.5f} ft^3") == "Right."
    comma = f"{half / litre:.2f} L".replace(".", ",")
    assert attempt(row, comma) == f"Right. {comma} is read as {half / litre:.2f} L."
    assert attempt(row, f"{half / 16.387064e-6:.1f} cubic_inch") == "Right."


def test_named_misconceptions_have_their_own_hints(row):
    volume = row.given["volume"] / litre
    assert "it was doubled. Halve it." in attempt(row, f"{2 * volume} L")
    assert "nothing was done. Do something." in attempt(row, f"{volume} L")


def test_the_answer_is_not_shown_before_three_tries(row):
    answer = row.exercise.solution(row.given, METRIC)
    for tries in range(1, TRIES + 1):  # each another answer: the same again is no try
        assert row.show.disabled
        row.tell()
        assert answer not in row.said.value
        said = attempt(row, f"{900 + tries} L")
        assert answer not in said
        assert row.tries == tries
    assert not row.show.disabled
    row.show.click()
    assert answer in row.said.value


def test_the_enter_key_checks_once(row):
    """With the enter key, or on leaving the field, a browser sends the value; a press on Check may follow it."""
    row.typed.value = "901 L"
    assert row.said.value.startswith("Not yet. 2 more tries")
    row.check.click()
    assert row.tries == 1
    assert row.said.value.startswith("Not yet. 2 more tries")
    row.typed.value = "902 L"
    assert row.tries == 2
    row.typed.value = f"{row.given['volume'] / 2 / litre} L"
    assert row.said.value == "Right."


def test_an_emptied_field_is_no_answer(row):
    row.typed.value = "901 L"
    row.typed.value = ""
    assert row.said.value.startswith("Not yet. 2 more tries")
    row.check.click()
    assert row.said.value == "Type your answer first."
    assert row.tries == 1


def test_what_is_typed_goes_by_the_units_that_are_read():
    """Another system rounds what is printed anew: the question and its answer change a hair, the draw does not."""
    row = sealed_or_vented_sheet().rows[0]
    for system, fs, Vas, volume in ((METRIC, 36, 24, 12), (CUSTOMARY, 36, 0.848, 0.424)):
        row.begin("Ada", system)
        assert numbers(row, r"fs = ([\d.]+) Hz and Vas = ([\d.]+) .* box of ([\d.]+) ") == [fs, Vas, volume]
        assert row.exercise.answer(row.given) == pytest.approx(fs * (1 + Vas / volume) ** 0.5, rel=1e-12)
        assert row.tries == 0


def test_cubic_centimetres_as_some_write_them():
    row = how_loud_sheet().rows[2]
    row.begin("Ada", METRIC)
    assert attempt(row, f"= {row.exercise.answer(row.given) / 1e-6:.1f} ccm") == "Right."


@pytest.mark.parametrize("text", ["", "many", "7", "7 Hz", "7,500 L", "7 wishes"])
def test_what_cannot_be_read_is_no_try(row, text):
    said = attempt(row, text)
    assert said
    assert not said.startswith(("Right", "Not yet"))
    assert row.tries == 0


def test_a_new_name_gives_new_numbers_and_new_tries():
    sheet = sealed_or_vented_sheet()
    sheet.name.value = "Ada"
    attempt(sheet.rows[0], "1 Hz")
    asked = sheet.rows[0].question.value
    sheet.units.value = CUSTOMARY
    assert sheet.rows[0].tries == 1
    assert "cubic feet" in sheet.rows[0].question.value
    sheet.name.value = "Björn"
    assert sheet.rows[0].tries == 0
    assert sheet.rows[0].question.value != asked


@pytest.mark.parametrize("name", NAMES)
def test_answers_on_closed_boxes(name):
    """The answers put back into a box that is solved."""
    from lumpedbox import Driver, Loudspeaker, SealedBox, solve

    def phase_lead(fs, Qes, Vas, at, **box):
        """Phase of the pressure where it should lead by 90 degrees: at fc, whatever the Q."""
        driver = Driver.from_thiele_small(fs=fs, Qes=Qes, Qms=1e3, Vas=Vas, Sd=0.02, Re=3.4)
        response = solve(Loudspeaker(driver=driver, box=SealedBox(**box)), at)
        return response.phase[0], response.level[0] - response.reference_level

    q, filled, vas, volume = named(closed_box_sheet, name)
    given, V = volume.given, volume.exercise.answer(volume.given)
    fc, Qes = 40 * np.sqrt(1 + given["Vas"] / V), 1 / (1 / given["Qts"] - 1e-3)
    phase, level = phase_lead(40, Qes, given["Vas"], fc, volume=V)
    assert phase == pytest.approx(90, abs=1e-6)
    assert level == pytest.approx(20 * np.log10(given["Qtc"]), abs=1e-6)  # at fc, |G| is Qtc (Small 1972, from memory)
    given, Qes = q.given, 1 / (1 / q.given["Qts"] - 1e-3)
    fc = 40 * np.sqrt(1 + given["Vas"] / given["volume"])
    phase, level = phase_lead(40, Qes, given["Vas"], fc, volume=given["volume"])
    assert level == pytest.approx(20 * np.log10(q.exercise.answer(given)), abs=1e-6)
    given = filled.given
    box = {"volume": given["volume"], "filling": given["filling"]}
    at_fc = phase_lead(given["fs"], 0.5, given["Vas"], filled.exercise.answer(given), **box)
    assert at_fc[0] == pytest.approx(90, abs=1e-6)
    given = vas.given
    at_fc = phase_lead(given["fs"], 0.5, vas.exercise.answer(given), given["fc"], volume=given["volume"])
    assert at_fc[0] == pytest.approx(90, abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_the_exact_volume_of_an_alignment(name, table_of_alignments):
    """By the tables (Thiele 1961, Small 1973): what the question prints to a tenth of a litre."""
    Qts, Vas, exact = numbers(
        named(vented_alignment_sheet, name)[1], r"Qts = ([\d.]+) and Vas = ([\d.]+) litres.* exactly ([\d.]+) litres"
    )
    assert exact == pytest.approx(Vas / table_of_alignments(Qts).alpha, abs=0.051)


def numbers(row, pattern):
    """The numbers that a question prints."""
    return [float(number) for number in re.search(pattern, row.question.value).groups()]


def named(make, name):
    sheet = make()
    sheet.name.value = name
    return sheet.rows
