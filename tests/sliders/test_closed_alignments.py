"""What the page on the alignments of closed boxes answers and draws, against reference tables and closed forms.

Closed box: R. H. Small, JAES 20 (1972), G = s^2 / (s^2 + s wc / Qtc + wc^2), from memory. The roots are numpy's, the
steps scipy's; neither knows a box.
"""

import dataclasses
import re

import numpy as np
import pytest
from scipy import signal

from lumpedbox import Air
from lumpedbox.sliders.kit import facts
from lumpedbox.sliders.kit.answer import ONLY
from lumpedbox.sliders.kit.shapes import DELAYED, PEAK, PLAIN, TENTH, own_q, plain_driver
from lumpedbox.sliders.lessons.closed_alignments import (
    AMONG,
    FAMILY,
    PLANE,
    QUESTION,
    RESONANCE,
    closed_alignments,
    peak_in_words,
)
from lumpedbox.sliders.lessons.vented_alignments import vented_alignments
from lumpedbox.tables import demo_drivers
from lumpedbox.units import litre
from tests.sliders.conftest import details, drawn, number, points, put, words_in

FS, QTS, QMS, VAS = 30.0, 0.4, 10.0, 60 * litre  # of the driver that the page begins with
CONSTANT = 2.0187e-6  # highest efficiency constant of a closed box: Small 1972, 2.0e-6; to more figures derived


@pytest.fixture(scope="module")
def made():
    return closed_alignments()


def volume_of(Qtc, Qts=QTS):
    return VAS / ((Qtc / Qts) ** 2 - 1)


def level_of(Qtc, fc, frequency):
    s = 1j * frequency / fc
    return 20 * np.log10(abs(s**2 / (s**2 + s / Qtc + 1)))


def delay_of(poles, frequency):
    """Group delay of poles alone; zeros at the origin add none. [s]"""
    w = 2j * np.pi * frequency[:, np.newaxis]
    return np.sum(-poles.real / abs(w - poles) ** 2, axis=1)


def roots_of(Qtc, fc):
    """The poles. [rad/s]"""
    wc = 2 * np.pi * fc
    return np.roots([1, wc / Qtc, wc**2]).astype(complex)


@pytest.mark.parametrize("Qtc", [0.5, 0.55, 0.577350, 0.6, 0.65, 0.707107, 0.8, 1.0, 1.1, 1.2])
def test_headline_and_facts_are_the_table_s(page, reference_rows, Qtc):
    """Source: tests/reference/data/closed_box.csv (Small 1972, derived); delay and decay by numpy's roots."""
    put(page, volume=volume_of(Qtc))
    row = next(row for row in reference_rows("closed_box") if abs(float(row["Qtc"]) - Qtc) < 1e-6)
    fc, f3, peak = FS * Qtc / QTS, FS * Qtc / QTS * float(row["f3_over_fc"]), float(row["peak_dB"])
    headline = page.answer.headline
    assert (headline["volume"], headline["Q"]) == (pytest.approx(volume_of(Qtc)), pytest.approx(Qtc, rel=1e-5))
    assert headline.numbers["reach"]["f3"] == pytest.approx(f3, rel=1e-4)
    assert page.answer[facts.REACH][ONLY]["f3"] == pytest.approx(f3, rel=1e-4)
    assert number(page, RESONANCE) == pytest.approx({"fc": fc, "fs": FS}, rel=1e-5)
    words = "no peak" if peak < 0.05 else "a slight peak" if peak < 1 else f"a {peak:.1f} dB peak"
    pattern = r"In ([\d.]+) litres Qtc is ([\d.]+): (.+), bass down to (\d+) Hz\."
    litres, Q, told, hertz = re.fullmatch(pattern, headline.text("metric")).groups()
    assert float(litres) == pytest.approx(1e3 * volume_of(Qtc), rel=0.006)
    assert (float(Q), float(hertz)) == (pytest.approx(Qtc, abs=0.0051), pytest.approx(f3, abs=0.51))
    assert told == words
    if peak < 0.05:
        assert page.answer[PEAK][ONLY].text("metric") == "none"
    else:
        told = number(page, PEAK)
        assert told["peak"] == pytest.approx(peak, abs=0.01)
        assert told["at"] == pytest.approx(fc * float(row["fpeak_over_fc"]), rel=0.03)  # the grid: 24 an octave
    frequency, level = drawn(page)
    poles = roots_of(Qtc, fc)
    delay = np.where(level_of(Qtc, fc, frequency) > -20, delay_of(poles, frequency), 0)
    told = number(page, DELAYED)
    assert told["delay"] == pytest.approx(delay.max(), rel=1e-3)
    assert told["at"] == pytest.approx(frequency[np.argmax(delay)], rel=0.03)
    assert number(page, TENTH) == pytest.approx(np.log(10) / min(-poles.real), rel=1e-3)
    assert level == pytest.approx(level_of(Qtc, fc, frequency), abs=1e-3)
    assert drawn(page, panel="delay")[1] == pytest.approx(1e3 * delay_of(poles, frequency), rel=1e-3)
    assert points(page.scene.plane["poles"]) == pytest.approx(np.sort_complex(poles / (2 * np.pi * FS)), abs=1e-3)


@pytest.mark.parametrize("Qtc", [0.48, 0.7, 0.8, 1.4])
def test_the_step_is_scipy_s(page, Qtc):
    """A time constant after it began: the steps of the page are rounded off over some tenths of a millisecond."""
    put(page, volume=volume_of(Qtc))
    wc = 2 * np.pi * FS * Qtc / QTS
    time, step = (np.asarray(values) for values in page.scene.steps["box"].get_data())
    _, exact = signal.step(([1, 0, 0], [1, wc / Qtc, wc**2]), T=time * 1e-3)
    assert step[time > 1.5] == pytest.approx(exact[time > 1.5], abs=0.01)
    assert len(time) > 100
    assert time[-1] == pytest.approx(50, abs=0.5)
    assert page.scene.figure.axes[-1].get_xlim() == (0, 50)


@pytest.mark.parametrize("Qts", [0.25, 0.4, 0.6])
def test_the_family_is_that_of_the_driver(page, Qts):
    """Each member by its own closed form; all their poles lie in one line, the driver's: -ws / 2 Qts."""
    put(page, Qts=Qts)
    assert {name: Q for name, Q in FAMILY.items() if Q > Qts}.keys() == page.scene.family.keys()
    for name, Qtc in FAMILY.items():
        shown, crosses = drawn(page, name), points(page.scene.crosses[name])
        if Qtc < Qts:
            assert len(shown[0]) == len(crosses) == len(page.scene.steps[name].get_xdata()) == 0
            continue
        fc = FS * Qtc / Qts
        assert shown[1] == pytest.approx(level_of(Qtc, fc, shown[0]), abs=1e-3)
        assert crosses == pytest.approx(np.sort_complex(roots_of(Qtc, fc) / (2 * np.pi * FS)), abs=1e-6)
        assert crosses.real == pytest.approx([-1 / (2 * Qts)] * 2)
        time, step = (np.asarray(values) for values in page.scene.steps[name].get_data())
        _, exact = signal.step(([1, 0, 0], [1, 2 * np.pi * fc / Qtc, (2 * np.pi * fc) ** 2]), T=time * 1e-3)
        assert step[time > 1.5] == pytest.approx(exact[time > 1.5], abs=0.015)
    assert "Qtc 0.5" in {entry["text"] for entry in page.board.legend} or Qts > 0.5


@pytest.mark.parametrize("Qtc", [0.45, 0.6, 0.9, 1.3, 1.8])
def test_volume_and_qtc_go_along_with_each_other(page, Qtc):
    """Qtc = Qts sqrt(1 + Vas / V), either way."""
    put(page, Qtc=Qtc)
    assert page.values["volume"] == pytest.approx(np.clip(volume_of(Qtc), 3 * litre, 150 * litre))
    assert page.values["Qtc"] == pytest.approx(QTS * np.sqrt(1 + VAS / page.values["volume"]))
    put(page, volume=33 * litre)
    assert page.values["Qtc"] == pytest.approx(QTS * np.sqrt(1 + 60 / 33))
    put(page, Qts=0.5)
    assert page.values["volume"] == 33 * litre
    assert page.values["Qtc"] == pytest.approx(0.5 * np.sqrt(1 + 60 / 33))


def test_a_box_only_raises_q(page):
    """A Qtc below that of the largest box on offer is not to be had: the page goes as far as it can."""
    put(page, Qts=0.7)
    put(page, Qtc=0.6)
    assert page.values["volume"] == 150 * litre
    assert page.values["Qtc"] == pytest.approx(0.7 * np.sqrt(1 + 60 / 150))
    page.reset()
    assert page.values == page.start
    assert page.board.answer["facts"][0]["values"][0]["was"] == ""


@pytest.mark.parametrize(
    ("Qtc", "told"),
    [
        (0.45, "below Qtc 0.50"),
        (0.5, "is Qtc 0.50"),
        (0.6, "between Qtc 0.50 and 0.71"),
        (2**-0.5, "is Qtc 0.71"),
        (0.8, "between Qtc 0.71 and 1"),
        (1.2, "between Qtc 1 and 1.40"),
        (1.6, "above Qtc 1.40"),
    ],
)
def test_where_in_the_family_it_lies(page, Qtc, told):
    """In the picture too: above fc its curve lies between those of the two members that are named."""
    put(page, volume=volume_of(Qtc))
    assert page.answer[AMONG][ONLY].text("metric") == told
    if "between" in told:
        low, high = (name for name, Q in FAMILY.items() if f"{Q:.3g}" in told.replace("0.71", "0.707"))
        at = [drawn(page, name)[1][0] for name in (high, "box", low)]  # 10 Hz
        assert at == sorted(at)


@pytest.mark.parametrize(
    ("Q", "told"),
    [
        # Source: R. H. Small, JAES 20 (1972), from memory: Bessel 1/sqrt(3), Butterworth 1/sqrt(2)
        (0.45, "softer than Bessel."),
        (3**-0.5, "as good as Bessel."),
        (0.585, "as good as Bessel."),
        (0.65, "between Bessel and Butterworth."),
        (2**-0.5, "as good as Butterworth."),
        (0.715, "as good as Butterworth."),
        (0.9, "Chebyshev (it peaks before it falls)."),
    ],
)
def test_names_of_closed_boxes(page, Q, told):
    put(page, volume=volume_of(Q))
    assert f"The shape is {told} Bessel has a Qtc of 0.58, Butterworth 0.71." in details(page)


def test_what_the_details_say(page):
    volumes = [f"{Q:.2g} in {1e3 * volume_of(Q):.3g} litres" for Q in (0.5, 2**-0.5, 1.0, 1.4)]
    assert f"reaches Qtc {', '.join(volumes).replace('5.33', '5.3')}." in details(page)
    assert "Poles in pairs: 60 Hz with a Q of 0.80." in details(page)
    assert "Zeros: two at the origin. Far below, the level falls by 12 dB an octave." in details(page)
    put(page, Qts=0.45)
    assert f"only up and down: they stay {FS / (2 * 0.45):.0f} Hz to the left" in details(page)
    put(page, Qts=QTS, volume=150 * litre)  # sqrt(1.4) times fs, Qtc 0.473: two real poles
    slow, fast = sorted(-roots_of(QTS * np.sqrt(1.4), FS * np.sqrt(1.4)).real / (2 * np.pi))
    assert f"which do not swing: {slow:.0f} Hz, {fast:.0f} Hz." in details(page)
    assert "Both poles lie on the real axis. So the cone creeps back without swinging." in details(page)
    assert number(page, TENTH) > 1.3 * np.log(10) * QTS / (np.pi * FS), "the slower pole holds it up"


@pytest.mark.parametrize("volume", [5.0, 7.5, 20.0, 60.0])
def test_efficiency(page, reference_rows, volume):
    """k = eta0 / (f3^3 V), eta0 = 4 pi^2 fs^3 Vas / (c^3 Qes) with c = 345 m/s as Small's; f3 by the quadratic."""
    put(page, volume=volume * litre)
    Qtc = QTS * np.sqrt(1 + 60 / volume)
    b = 1 / Qtc**2 - 2
    f3 = FS * Qtc / QTS * np.sqrt((b + np.sqrt(b**2 + 4)) / 2)
    own = 4 * np.pi**2 / 345.0**3 * FS**3 * VAS * (1 / QTS - 1 / QMS) / (f3**3 * volume * litre)
    short = next(said["short"] for said in page.answer.details if "short" in said.numbers)
    assert short == pytest.approx(abs(10 * np.log10(CONSTANT / own)), abs=0.055)


def test_a_step_dies_away_as_before_in_a_smaller_box(page):
    """What the lesson asks to guess: by the roots of the two boxes, and by the envelope of the drawn steps."""
    left = [min(-roots_of(Qtc, FS * Qtc / QTS).real) for Qtc in (0.8, QTS * np.sqrt(13))]
    assert left[0] == pytest.approx(left[1])
    assert QUESTION.right == "Just as long"
    before = number(page, TENTH)
    assert number(put(page, volume=5 * litre), TENTH) == pytest.approx(before) == np.log(10) / left[0]
    assert 1.4 < page.values["Qtc"] < 1.45
    time, step = page.scene.steps["box"].get_data()
    envelope = np.exp(-left[0] * np.asarray(time) * 1e-3) * 1.1
    assert np.all(abs(np.asarray(step)) < envelope + 0.01)


def test_the_lowest_f3_of_a_closed_box_is_butterworths(page):
    """What the lesson asks to look for: f3 = fs / Qts times Qtc f3/fc, least at 1/sqrt(2) (Small 1972, derived)."""
    f3 = {}
    for Qtc in np.arange(0.5, 1.3, 0.005):
        page.scene.move(page.values | {"volume": volume_of(Qtc)})
        f3[Qtc] = page.scene.f3
    assert min(f3, key=f3.get) == pytest.approx(2**-0.5, abs=0.006)


def test_where_the_delay_is_longest(page):
    """What the lesson asks to look for: with Qtc 0.5 far below fc, with 1.4 near it."""
    assert number(put(page, volume=volume_of(0.5)), DELAYED)["at"] < 0.5 * FS * 0.5 / QTS
    assert number(put(page, volume=volume_of(1.4)), DELAYED)["at"] == pytest.approx(FS * 1.4 / QTS, rel=0.1)


def check_another_motor(page):
    """A driver brings its Q; its slider stands for another motor."""
    driver = demo_drivers()["250 mm bass"]
    put(page, driver="250 mm bass")
    assert page.scene.parts(page.values).driver == driver, "itself, not rounded to the stop of the slider"
    assert page.values["Qts"] == own_q(driver) == float(driver.Qts)
    assert f"Qts {driver.Qts:.3f}" in page.answer.conditions.text("metric")
    assert "motor changed" not in page.answer.conditions.text("metric")
    put(page, Qts=0.6)
    changed = page.scene.parts(page.values).driver
    assert changed.Qts == pytest.approx(0.6)
    assert (changed.Mms, changed.Cms, changed.Rms, changed.Sd) == (driver.Mms, driver.Cms, driver.Rms, driver.Sd)
    assert "motor changed" in page.answer.conditions.text("metric")


def test_the_driver_brings_its_q_and_another_motor_another_q(page):
    check_another_motor(page)
    put(page, driver=PLAIN)
    assert page.values["Qts"] == own_q(page.scene._drivers[PLAIN])


def test_a_coil_adds_a_pole_and_bends_the_curve(page, closed_form):
    """The textbook's box with its coil; the peak without it by Small's formula."""
    put(page, driver="250 mm bass", volume=6 * litre)
    driver = demo_drivers()["250 mm bass"]
    exact = closed_form(driver, drawn(page)[0], 1.0, volume=6 * litre)
    assert drawn(page)[1] - drawn(page)[1][-1] == pytest.approx(exact.level - exact.level[-1], abs=1e-6)
    Qtc = driver.Qts * np.sqrt(1 + driver.Vas / (6 * litre))
    bare = 20 * np.log10(Qtc**2 / np.sqrt(Qtc**2 - 0.25))
    assert f"without it the peak would be {bare:.1f} dB" in details(page)
    assert number(page, PEAK)["peak"] > bare + 0.5
    assert "Single poles on the real axis" in details(page)
    assert "One pole or more lies outside the picture." in details(page)
    put(page, volume=60 * litre)
    assert driver.Qts * np.sqrt(1 + driver.Vas / (60 * litre)) < np.sqrt(0.5), "Small: no peak"
    assert "bends the curve: without it there would be no peak." in details(page)


@pytest.mark.parametrize("lesson", [closed_alignments, vented_alignments])
def test_a_coil_without_countable_poles(lesson):
    driver = dataclasses.replace(demo_drivers()["250 mm bass"], Le=0.0, semi_inductance=0.02, semi_exponent=0.6)
    page = lesson({"mine": driver})
    put(page, driver="mine")
    assert "its poles cannot be counted, and the s-plane stays empty" in details(page)
    assert len(points(page.scene.plane["poles"])) == 0
    assert TENTH not in [fact.name for fact in page.answer.facts]
    assert np.isfinite(drawn(page)[1]).all()
    assert np.isfinite(page.scene.steps["box"].get_ydata()).all()


def test_the_start_stays_in_the_plane_and_in_the_step(page):
    start, step = points(page.scene.plane["poles"]), np.array(page.scene.steps["box"].get_ydata())
    put(page, volume=6 * litre)
    assert np.array_equal(points(page.scene.plane["start"]), start)
    assert np.array_equal(page.scene.steps["box at the start"].get_ydata(), step)
    assert not np.allclose(points(page.scene.plane["poles"]), start)
    assert not {page.scene.plane["start"], page.scene.steps["box at the start"]} & set(page.scene.moving)


@pytest.mark.parametrize("volume", [3.0, 5.0, 20.0, 80.0, 150.0])
@pytest.mark.parametrize("Qts", [0.2, own_q(plain_driver()), 0.8, 1.2])
def test_every_state_is_said_shortly_and_drawn(page, volume, Qts):
    put(page, Qts=Qts, volume=volume * litre)
    said = page.answer.said("metric")
    assert len(said["headline"].split()) <= 20
    assert len(said["facts"]) <= 6
    assert words_in(said) <= (60 if page.values == page.start else 66)
    assert all(len(text.split()) <= 30 for text in said["details"])
    assert np.nanmax(drawn(page, panel="delay")[1]) < page.scene.stack.axes["delay"].get_ylim()[1]
    poles = points(page.scene.plane["poles"])
    lost = np.any(poles.imag > PLANE["high"]) or np.any(poles.real < PLANE["left"])
    assert ("outside the picture" in details(page)) == lost
    above = np.any(poles.imag > PLANE["high"])
    assert said["cautions"] == ["Your poles lie above the picture."] * int(above)


def test_a_peak_is_told_by_its_height(page):
    assert peak_in_words(put(page, volume=volume_of(0.6)).scene.shape).text("metric") == "no peak"
    assert peak_in_words(put(page, volume=volume_of(0.95)).scene.shape).text("metric") == "a slight peak"
    assert peak_in_words(put(page, volume=volume_of(1.4)).scene.shape).text("metric") == "a 3.5 dB peak"


def test_a_driver_so_small_that_the_family_would_need_no_box(page):
    """Qtc 1.4 of Vas 4 litres and Qts 0.2 is 4/48 litres: no box that could be built, so it is left out."""
    put(page, driver="120 mm roof, high hopes", Qts=0.2, volume=20 * litre)
    assert "Qtc 1.4" not in page.scene.family
    assert "Qtc 1.0" in page.scene.family


def test_a_bass_that_begins_above_the_picture_is_said_to_begin_above_its_end(page, closed_form):
    """By the textbook's driver and box: even at the end of the picture the level is more than 3.01 dB under that of the
    pass-band, rho Bl Sd V / (2 pi Re Mms) (Small 1972, from memory)."""
    put(page, driver="120 mm roof, high hopes", Qts=0.2, volume=114 * litre)
    driver, (end, *_) = page.scene.shape.driver, drawn(page)[0][::-1]
    passband = Air().density * driver.Bl * driver.Sd * 2.83 / (2 * np.pi * driver.Re * driver.Mms)
    levels = closed_form(driver, np.geomspace(100, end, 50), 2.83, volume=0.114).level
    assert levels.max() < 20 * np.log10(passband / 20e-6) - 10 * np.log10(2)
    assert page.answer.headline.text("metric").endswith(f"bass only above {end:.0f} Hz.")
    assert page.answer[facts.REACH][ONLY]["edge"] == end


def test_a_q_that_is_told_with_its_driver_stays(page):
    """As when a kept state is taken up again from another driver that stands at the same Q."""
    put(page, driver="165 mm panel")
    put(page, Qts=0.6)
    kept = dict(page.values)
    put(page, driver="200 mm bass")
    put(page, Qts=0.6)
    put(page, **kept)
    assert page.values == pytest.approx(kept)
    put(page, driver="200 mm bass")  # chosen alone, it brings its own
    assert page.values["Qts"] == pytest.approx(own_q(demo_drivers()["200 mm bass"]))
