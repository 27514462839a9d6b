"""The page on which one hears two loudspeakers: what it says against closed forms, what it plays, its blind test."""

import io
import itertools
import re

import numpy as np
import pytest
from scipy.io import wavfile

from lumpedbox.parts.small_signal import passband_level
from lumpedbox.response.sound import equal_loudness
from lumpedbox.sliders.lessons.hear_the_difference import hear_the_difference
from lumpedbox.sliders.lessons.hear_the_difference.listening import RATE, SECONDS, verdict
from lumpedbox.sliders.lessons.hear_the_difference.page import NO_FILE
from lumpedbox.tables import demo_cabins, demo_drivers
from lumpedbox.units import litre
from tests.sliders.conftest import details, drawn, headline, put

DRIVERS = demo_drivers()
ALIKE = {"driver_A": "200 mm bass", "driver_B": "200 mm bass", "volume_A": 20 * litre, "volume_B": 20 * litre}
ALIKE |= {"box_A": "sealed", "box_B": "sealed"}
COUNT = int(RATE * SECONDS)


@pytest.fixture(scope="module")
def made():
    return hear_the_difference(draw=lambda: next(ORDER))


ORDER = itertools.cycle((0.2, 0.7, 0.9, 0.4))  # A, B, B, A and so on


def told(page, name, column="B"):
    return page.answer[name][column].text("metric")


def signed(page, name):
    """The decibels of a fact: more is up."""
    found = re.search(r"([\d.]+) dB (more|less)|(up|down) by ([\d.]+) dB", text := told(page, name))
    if not found:
        return {"as much": 0.0, "not at all": 0.0}[text]
    more, which, way, by = found.groups()
    return float(more or by) * (1 if (which or way) in ("more", "up") else -1)


def sent(page):
    """What the player is sent from now on: (what, samples)."""
    heard = []

    def send(content, buffers):
        rate, samples = wavfile.read(io.BytesIO(buffers[0]))
        assert rate == RATE
        heard.append((content["sound"], samples))

    page.listening.board.send = send
    return heard


def asks(page, buffers=(), **message):
    page.listening.board._handle_custom_msg(message, list(buffers))
    return page.listening.board.note


def power_heard(level, f):
    """Of noise with equal power in every octave, weighted by ISO 226 at 60 phon, as an integral. [1]"""
    return np.trapezoid(10 ** ((level - equal_loudness(f)) / 10), np.log(f))


def test_the_start_against_the_closed_form_and_an_integral(page, closed_form):
    """A by the textbook's closed box (Small 1972); what B is turned by an integral over the octaves."""
    f, a = drawn(page, "A")
    _, b = drawn(page, "B")
    _, left = drawn(page, "heard", "heard")
    exact = closed_form(DRIVERS["130 mm step well"], f[0], 2.83, volume=10 * litre, Ql=7).level
    assert a[0] == pytest.approx(exact, abs=0.03)
    turned = 10 * np.log10(power_heard(a, f) / power_heard(b, f))
    assert signed(page, "turned") == pytest.approx(turned, abs=0.1)
    assert left == pytest.approx(b - a + turned, abs=0.05)
    for name, at in (("against A at 40 Hz", 40), ("against A at 8000 Hz", 8000)):
        assert signed(page, name) == pytest.approx(np.interp(at, f, b - a) + turned, abs=0.1)
    most = int(np.argmax(np.abs(left)))
    assert told(page, "differs most at").startswith(f"{f[most]:.0f} Hz: {abs(left[most]):.1f} dB")
    assert headline(page) == f"Equally loud, B has {told(page, 'against A at 40 Hz')} at 40 Hz and as much at 8000 Hz."


def test_bass_reaches_down_to_where_the_curve_is_three_decibels_down(page):
    """Under the pass-band by formula (Small 1972); in whole Hz, and the curve is read between its points."""
    for of in "AB":
        f, level = drawn(page, of)
        reference = passband_level(DRIVERS[page.values[f"driver_{of}"]], 2.83)
        f3 = np.interp(reference - 3, level[f < 110], f[f < 110])
        assert float(told(page, "bass reaches down to", of).split()[0]) == pytest.approx(f3, abs=0.7)


def test_two_alike_differ_by_nothing(page):
    put(page, **ALIKE)
    assert headline(page) == "Equally loud, the two differ by less than 1 dB: few would hear that."
    assert (signed(page, "turned"), signed(page, "against A at 40 Hz")) == (0, 0)
    put(page, equal="volume setting")
    assert headline(page) == "At one volume setting, the two differ by less than 1 dB: few would hear that."


def test_at_one_volume_setting_the_difference_of_levels_stays(page):
    turned = signed(page, "turned")
    put(page, equal="volume setting")
    assert headline(page) == (
        f"At one volume setting A sounds louder by {turned} dB: the louder one seems better, whatever it is."
    )
    assert told(page, "turned") == "not at all"
    _, left = drawn(page, "heard", "heard")
    assert left == pytest.approx(drawn(page, "B")[1] - drawn(page, "A")[1], abs=1e-9)


def test_a_pad_takes_treble_and_a_cabin_gives_bass(page):
    """The pad's decibels at the tweeter alone bound what is lost of both; below its step a cabin lifts by 40 lg f."""
    put(page, **ALIKE, tweeter_A="no pad", tweeter_B="9 dB pad", equal="volume setting")
    assert -9 < signed(page, "against A at 8000 Hz") < -1
    put(page, tweeter_A="none", tweeter_B="none", cabin_B="small hatchback")
    assert signed(page, "against A at 40 Hz") > 3
    assert told(page, "against A at 8000 Hz") == "as much"


@pytest.mark.long
@pytest.mark.parametrize("music", ["noise", "bass line"])
def test_the_sound_is_turned_as_the_page_says_and_never_starts_by_itself(page, music):
    put(page, music=music)
    heard = sent(page)
    assert heard == [], "nothing is made before it is asked for"
    assert asks(page, make=True).startswith("Ready: 4 s of A, then 4 s of B")
    ((what, samples),) = heard
    assert (what, len(samples)) == ("pair", 2 * COUNT)
    assert np.abs(samples).max() <= 10 ** (-3 / 20) + 1e-6
    gains = page.listening.pair.gains
    assert gains[1] - gains[0] == pytest.approx(signed(page, "turned"), abs=0.2)


@pytest.mark.long
def test_a_move_makes_the_sound_stale_and_ends_a_test(page):
    sent(page)
    asks(page, make=True)
    asks(page, test=True)
    assert page.listening.board.asks["number"] == 1
    put(page, volume_B=50 * litre)
    assert page.listening.board.stale
    assert page.listening.board.asks["told"] == "The loudspeakers have changed: the test has ended."
    assert asks(page, test=True) == "Make the sound first: the test plays the same pair."
    asks(page, make=True)
    assert not page.listening.board.stale


@pytest.mark.parametrize(("wrong", "share"), [pytest.param(0, 1024, marks=pytest.mark.long), (1, 93)])
def test_ten_trials_in_an_order_that_is_drawn(page, wrong, share):
    """One in 1024 by 2^10; eleven in 1024, 93, by Pascal's triangle."""
    heard = sent(page)
    asks(page, make=True)
    pair = heard[-1][1]
    asks(page, test=True)
    for trial in range(10):
        what, samples = heard[-1]
        first = "A" if np.array_equal(samples[:COUNT], pair[:COUNT]) else "B"
        halves = (pair[:COUNT], pair[COUNT:]) if first == "A" else (pair[COUNT:], pair[:COUNT])
        assert (what, page.listening.board.asks["number"]) == ("test", trial + 1)
        assert np.array_equal(samples, np.concatenate(halves))
        asks(page, guess=first if trial >= wrong else "AB"["BA".index(first)])
    told = page.listening.board.asks["told"]
    assert told.startswith(f"{10 - wrong} of 10 right.")
    assert f"one in {share} guesses as well or better. That is hardly luck" in told
    assert [what for what, _ in heard] == ["pair", *["test"] * 10, "pair"]
    asks(page, guess="A")
    assert page.listening.board.asks["told"] == told, "no eleventh guess counts"


def test_what_may_be_luck_is_called_so():
    """56 of 1024 guess eight or more right, one in 18; 638 five or more; all but one one or more."""
    assert "about one in 18 guesses as well or better. That may be luck" in verdict(8, 10)
    assert "about one in 2 guesses" in verdict(5, 10)
    assert "nearly everyone guesses as well or better. That may be luck" in verdict(1, 10)


@pytest.mark.long
def test_music_of_ones_own(page):
    sent(page)
    put(page, music="my own file")
    assert page.listening.board.own
    assert asks(page, make=True) == NO_FILE
    assert "No file is chosen yet: the numbers hold for noise." in details(page)
    tone = np.sin(2 * np.pi * 1000 * np.arange(COUNT) / RATE).astype("<f4")
    assert asks(page, [tone.tobytes()], own="song.wav") == "song.wav is taken. Make the sound."
    f, a = drawn(page, "A")
    alone = np.interp(1000, f, a) - np.interp(1000, f, drawn(page, "B")[1])
    assert signed(page, "turned") == pytest.approx(alone, abs=0.1), "of one tone, what differs there"
    assert asks(page, make=True).startswith("Ready")
    assert asks(page, [tone[: RATE * 2].tobytes()], own="short.wav") == (
        "short.wav: 4 s are needed, 2.0 s follow from there."
    )
    assert asks(page, [np.zeros(COUNT, "<f4").tobytes()], own="hush.wav") == "hush.wav is silent there."


def test_where_it_plays_and_of_what_are_told_in_the_conditions(page):
    put(page, cabin_A="small hatchback")
    said = page.answer.conditions.text("metric")
    assert "130 mm step well and 200 mm bass" in said
    assert "A: small hatchback, B: open air" in said


@pytest.mark.long
def test_bounds_of_the_headline(page):
    """Twenty words, whatever is set."""
    rng = np.random.default_rng(5)
    options = {name: control.options for name, control in page.controls.items() if hasattr(control, "options")}
    for _ in range(40):
        chosen = {name: rng.choice(these) for name, these in options.items() if name != "music"}
        values = page.values | chosen | {f"volume_{of}": rng.uniform(5, 80) * litre for of in "AB"}
        curves = page.scene.curves(values)
        assert np.isfinite(curves["heard"]["heard"]).all()
        assert len(page.scene.answer(values).headline.text("metric").split()) <= 20


def test_what_is_offered(page):
    cabins = [name for name in page.controls["cabin_A"].options if name in demo_cabins()]
    assert cabins == list(demo_cabins())
    assert "25 mm pillar tweeter" not in page.controls["driver_A"].options
