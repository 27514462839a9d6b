"""What the page on decibels answers, against the tables of the standard."""

import numpy as np
import pytest
from scipy.signal import freqs_zpk

from lumpedbox.sliders.kit.answer import ONLY
from lumpedbox.sliders.kit.systems import SYSTEMS
from lumpedbox.sliders.lessons.decibels import ADDED, ITSELF, A, C, decibels
from tests.sliders.conftest import words_in

METRIC = SYSTEMS[0]
# Source: IEC 61672-1, table of the weightings at nominal third octaves, printed to 0.1 dB (from memory).
# Frequency [Hz]: A, C [dB]
TABLE = {20: (-50.5, -6.2), 40: (-34.6, -2.0), 80: (-22.5, -0.5), 100: (-19.1, -0.3), 1000: (0, 0), 2000: (1.2, -0.2)}
POLES = (20.6, 107.7, 737.9, 12194.0)  # Hz, of the same standard


@pytest.fixture
def page():
    return decibels()


def weighted(frequency, letter):
    """Both weightings as the filters that a meter is built of, 0 dB at 1 kHz, by scipy's own response of poles."""
    low, middle1, middle2, high = -2 * np.pi * np.array(POLES)
    poles = [low, low, high, high] + ([middle1, middle2] if letter == "A" else [])
    zeros = [0.0] * (4 if letter == "A" else 2)
    _, response = freqs_zpk(zeros, poles, 1.0, worN=2 * np.pi * np.array([frequency, 1000.0]))
    return 20 * np.log10(abs(response[0] / response[1]))


@pytest.mark.parametrize("frequency", TABLE)
@pytest.mark.parametrize(("level", "times"), [(90.0, 1.0), (63.0, 20.0), (100.0, 100.0)])
def test_every_number(page, frequency, level, times):
    page.put(look=float(frequency), level=level, times=times)
    answer, raised = page.answer, level + 10 * np.log10(times)
    reads = {letter: answer[fact][ONLY]["level"] for letter, fact in (("A", A), ("C", C))}
    assert answer[ITSELF][ONLY]["level"] == pytest.approx(raised)
    for letter, printed in zip("AC", TABLE[frequency], strict=True):
        assert reads[letter] - raised == pytest.approx(printed, abs=0.15)  # of nominal, not exact, third octaves
        assert reads[letter] - raised == pytest.approx(weighted(frequency, letter), abs=0.01)
    headline = answer.headline
    assert headline["reads"] == reads["A"]
    text = headline.text(METRIC)
    if frequency == 1000:
        assert text.endswith("just what presses on the ear.")
    else:
        assert headline["gap"] == pytest.approx(abs(weighted(frequency, "A")), abs=0.01)
        assert f"{'less' if frequency < 1000 else 'more'} than what presses on the ear" in text
    assert len(text.split()) <= 20


@pytest.mark.parametrize(
    ("times", "more", "pressure"), [(2, 3.01, 1.414), (4, 6.02, 2), (10, 10, 3.162), (100, 20, 10)]
)
def test_the_four_numbers_worth_knowing(page, times, more, pressure):
    """Ten times the logarithm of the ratio of powers, and its square root (ISO 80000-8, from memory)."""
    assert page.answer[ADDED][ONLY].text(METRIC) == "nothing yet"
    page.put(times=float(times))
    added = page.answer[ADDED][ONLY]
    assert added["more"] == pytest.approx(more, abs=0.005)
    assert added["pressure"] == pytest.approx(pressure, abs=0.001)


def test_what_it_says_at_the_start(page):
    said = page.answer.said(METRIC)
    assert said["headline"] == "A meter set to A reads 55.5 dB: 34.5 dB less than what presses on the ear."
    assert words_in(said) <= 60
    assert page.answer.conditions.text(METRIC) == "A steady tone of 40 Hz, 90 dB."
    assert page.board.systems == []  # nothing here has other units in the US


def test_the_curves_cross_the_tone_where_the_facts_say(page):
    page.put(look=125.0, times=4.0)
    for curve, fact in (("unweighted", ITSELF), ("C", C), ("A", A)):
        drawn = np.interp(np.log(125.0), np.log(page.scene.grid), page.scene.stack.values(curve, "reading")[1])
        assert drawn == pytest.approx(page.answer[fact][ONLY]["level"], abs=0.02)
    assert page.scene.stack.values("look", "reading")[0][0] == 125.0


def test_ears_are_to_be_protected_from_115_dB_up(page):
    page.put(level=100.0, times=31.0)
    assert page.answer.cautions == ()
    page.put(times=32.0, look=50.0)
    assert [said.text(METRIC) for said in page.answer.cautions] == [
        "It reaches 115 dB: protect your ears, at any frequency."
    ]
