"""What the page on alignments says and draws, against the reference tables and closed forms."""

import dataclasses
import re

import numpy as np
import pytest
from scipy import signal

from lumpedbox import Air
from lumpedbox.sliders.lessons.alignments.page import (
    ASKED,
    BY_HAND,
    CLOSED,
    LEAKS,
    PLAIN,
    PLANE,
    RADIATOR,
    VENTED,
    alignments,
    shape_of_closed,
)
from lumpedbox.tables import demo_drivers
from lumpedbox.units import litre

FS, VAS, QMS = 30.0, 60 * litre, 10.0  # of the driver that the page begins with
B4_Q = 1 / np.sqrt(4 + 2 * np.sqrt(2))
SEVEN = "Ql = 7 (Small 1973)"


@pytest.fixture(scope="module")
def made():
    return alignments()


@pytest.fixture
def page(made):
    """The page as it opens; it is made once."""
    made.reset()
    return made


def put(page, **places):
    for name, place in places.items():
        page.controls[name].value = place
    assert page.message == ""
    return page


def said(page, pattern):
    return [float(number) for number in re.search(pattern, page.sentence).groups()]


def drawn(page, panel="level"):
    frequency, shown = page.scene.stack.values("box", panel)
    return np.asarray(frequency), np.asarray(shown)


def points(line):
    left, up = line.get_data()
    return np.sort_complex(np.asarray(left) + 1j * np.asarray(up))


def function(page, Q, alpha, h, Ql=np.inf):
    """Thiele's and Small's function of fourth order (1961, 1973, from memory): level over the pass-band."""
    r = np.sqrt(h)
    S = 1j * drawn(page)[0] / (FS * r)
    a1, a2, a3 = r / Ql + 1 / (r * Q), (alpha + 1 + h**2) / h + 1 / (Ql * Q), r / Q + 1 / (r * Ql)
    return 20 * np.log10(abs(S**4 / (S**4 + a1 * S**3 + a2 * S**2 + a3 * S + 1)))


@pytest.mark.parametrize(("leaks", "Ql"), [("none", np.inf), (SEVEN, 7.0)])
@pytest.mark.parametrize("Q", [0.2, 0.26, 0.33, 0.4, 0.47, 0.6, 0.67])
def test_what_belongs_to_a_driver(page, table_of_alignments, Q, leaks, Ql):
    """In the sentence to the figures that it prints; in the curve to what the sentence's own promise, 0.02 dB."""
    put(page, Qts=Q, leaks=leaks)
    known = table_of_alignments(Q, Ql)
    name = re.search(r"\): (\w+), ", page.sentence)[1]
    B4 = B4_Q if Ql == np.inf else 0.404814  # derived: 1 / (2.613126 - 1/7)
    assert name == ("QB3" if Q < B4 else "C4")
    litres, alpha, fb, h = said(page, r"([\d.]+) litres.*?\(Vas over ([\d.]+)\) tuned to ([\d.]+) Hz \(([\d.]+) times")
    assert litres == pytest.approx(60 / known.alpha, abs=0.06)
    assert (alpha, fb, h) == (
        pytest.approx(known.alpha, abs=0.0051),
        pytest.approx(FS * known.h, abs=0.051),
        pytest.approx(known.h, abs=0.00051),
    )
    f3, over = said(page, r"left at ([\d.]+) Hz, ([\d.]+) times fs")
    assert f3 == pytest.approx(FS * known.f3, abs=0.051)
    assert over == pytest.approx(known.f3, abs=0.00051)
    (line, _), _ = page.scene.stack.values("f3", "level")
    assert line == pytest.approx(FS * known.f3, rel=1e-4)
    assert drawn(page)[1] == pytest.approx(function(page, Q, known.alpha, known.h, Ql), abs=0.02)
    assert abs(page.values["alpha"] - known.alpha) <= 0.0251 or known.alpha > 9
    assert abs(page.values["h"] - known.h) <= 0.0051


@pytest.mark.parametrize("leaks", ["none", SEVEN])
def test_humps(page, reference_rows, leaks):
    """Source: tests/reference/data (Thiele 1961, Small 1973, derived); where the drawn points, 24 an octave, miss the
    top of the hump, they miss less than 0.01 dB."""
    for row in reference_rows("vented_alignments_ql7" if leaks == SEVEN else "vented_alignments_lossless"):
        if row["type"] == "C4" and float(row["ripple_dB"]) > 0.06:
            put(page, Qts=float(row["QT"]), leaks=leaks)
            (hump,) = said(page, r"the hump is ([\d.]+) dB high")
            assert hump == pytest.approx(float(row["ripple_dB"]), abs=0.061)
        elif row["type"] == "QB3" and float(row["QT"]) > 0.2:
            assert "there is no hump" in put(page, Qts=float(row["QT"]), leaks=leaks).sentence


def test_b4_is_butterworths_filter(page):
    """Level, delay, poles and zeros of scipy.signal's Butterworth high-pass of fourth order (scipy knows no box)."""
    put(page, Qts=B4_Q)
    assert ": B4, Butterworth of fourth order." in page.sentence
    zeros, poles, gain = signal.butter(4, 1.0, "highpass", analog=True, output="zpk")
    frequency, level = drawn(page)
    _, exact = signal.freqs_zpk(zeros, poles, gain, frequency / FS)
    assert level == pytest.approx(20 * np.log10(abs(exact)), abs=1e-4)
    w = 2j * np.pi * frequency[:, np.newaxis]
    delay = np.sum(-(poles * 2 * np.pi * FS).real / abs(w - poles * 2 * np.pi * FS) ** 2, axis=1)
    assert drawn(page, "delay")[1] == pytest.approx(1e3 * delay, rel=1e-5)
    longest, at = said(page, r"longest at (\d+) Hz, ([\d.]+) ms")[::-1]
    assert longest == pytest.approx(1e3 * delay.max(), abs=0.051)
    assert at == pytest.approx(frequency[np.argmax(delay)], abs=0.51)
    assert points(page.scene.plane["poles"]) == pytest.approx(np.sort_complex(poles), abs=1e-5)
    assert [len(points(line)) for line in page.scene.plane["zeros"]] == [1, 1, 1, 1, 0, 0], "four at the origin"
    # Q of the pairs: 1 / (2 cos 22.5) and 1 / (2 cos 67.5 degrees)
    pairs = said(page, r"in pairs: 30\.0 Hz with a Q of ([\d.]+) and 30\.0 Hz with a Q of ([\d.]+)\. Zeros: four")
    assert sorted(pairs) == pytest.approx([0.5412, 1.3066], abs=0.0051)
    assert "falls by 24 dB an octave" in page.sentence


def test_the_poles_at_the_start_stay(page):
    start = points(page.scene.plane["poles"])
    put(page, Qts=0.7)
    assert np.array_equal(points(page.scene.plane["start"]), start)
    assert not np.allclose(points(page.scene.plane["poles"]), start)
    assert page.scene.plane["start"] not in page.scene.moving
    page.reset()
    assert points(page.scene.plane["poles"]) == pytest.approx(start)


@pytest.mark.parametrize("Qtc", [0.5, 0.577350, 0.6, 0.707107, 0.8, 1.0, 1.1, 1.2])
def test_closed(page, reference_rows, Qtc):
    """Source: tests/reference/data/closed_box.csv (Small 1972, derived); poles by its function, G."""
    put(page, kind=CLOSED, alpha=(Qtc / 0.4) ** 2 - 1)
    assert page.values["by"] == BY_HAND
    fc = FS * Qtc / 0.4
    row = next(row for row in reference_rows("closed_box") if abs(float(row["Qtc"]) - Qtc) < 1e-6)
    shown, Q = said(page, r"to fc = ([\d.]+) Hz and Qts to Qtc = ([\d.]+) before leakage")
    assert shown == pytest.approx(fc, abs=0.051)
    assert Q == pytest.approx(Qtc, abs=0.00051)
    (f3,) = said(page, r"left at ([\d.]+) Hz")
    assert f3 == pytest.approx(fc * float(row["f3_over_fc"]), abs=0.051)
    peak = float(row["peak_dB"])
    assert ("there is no hump" in page.sentence) == (peak < 0.05)
    assert peak < 0.05 or said(page, r"hump is ([\d.]+) dB")[0] == pytest.approx(peak, abs=0.061)
    ratio = Qtc / 0.4
    exact = ratio * np.roots([1, 1 / Qtc, 1])
    assert points(page.scene.plane["poles"]) == pytest.approx(np.sort_complex(exact), abs=1e-3 if Qtc == 0.5 else 1e-6)
    assert "Zeros: two at the origin; far below everything the level falls by 12 dB an octave" in page.sentence
    assert "has no tuning and no radiator: their sliders wait" in page.sentence


@pytest.mark.parametrize(
    ("Q", "told"),
    [
        # Source: R. H. Small, JAES 20 (1972), from memory: Bessel 1/sqrt(3), Butterworth 1/sqrt(2)
        (0.45, "softer than Bessel"),
        (3**-0.5, "Bessel"),
        (0.585, "nearly Bessel"),
        (0.65, "between Bessel and Butterworth"),
        (2**-0.5, "Butterworth"),
        (0.715, "nearly Butterworth"),
        (0.9, "Chebyshev, with a hump"),
    ],
)
def test_names_of_closed_boxes(Q, told):
    assert shape_of_closed(Q) == told


def test_the_closed_box_that_is_asked_for_is_butterworths(page):
    """Qtc = 1/sqrt(2): alpha = 1 / (2 Qts^2) - 1, f3 = fc = fs Qtc/Qts; a Q above that no box makes lower."""
    put(page, kind=CLOSED)
    assert said(page, r"Vas over ([\d.]+)\)") == [pytest.approx(1 / (2 * 0.16) - 1, abs=0.0051)]
    assert ": Butterworth." in page.sentence
    assert said(page, r"left at ([\d.]+) Hz") == [pytest.approx(FS / 0.4 / np.sqrt(2), abs=0.051)]
    put(page, Qts=0.8)
    assert "No closed box makes Butterworth's 0.707 of a Qts of 0.800: a box only raises it" in page.sentence


def test_by_hand(page, table_of_alignments):
    """A tuning moved by hand leaves the alignment; what it would be is said beside it."""
    known = table_of_alignments(0.4)
    put(page, alpha=2.4)
    assert page.values["by"] == BY_HAND
    put(page, h=0.6)
    assert drawn(page)[1] == pytest.approx(function(page, 0.4, 2.4, 0.6), abs=0.005)
    asked = said(page, r"C4, which belongs to this Qts, asks for ([\d.]+) litres.*?tuned to ([\d.]+) Hz")
    assert asked == pytest.approx([60 / known.alpha, FS * known.h], abs=0.06)
    off = said(page, r"this box is (\d+) % smaller and tuned (\d+) % lower")
    assert off == pytest.approx([100 * (1 - known.alpha / 2.4), 100 * (1 - 0.6 / known.h)], abs=0.51)
    put(page, alpha=0.6, h=1.3)
    off = said(page, r"this box is (\d+) % larger and tuned (\d+) % higher")
    assert off == pytest.approx([100 * (known.alpha / 0.6 - 1), 100 * (1.3 / known.h - 1)], abs=0.51)
    put(page, alpha=1.2, h=1.3)
    assert re.search(r"this box is tuned \d+ % higher", page.sentence), "its volume is as asked"
    put(page, alpha=1.2, h=0.96)
    assert ": as good as C4, Chebyshev" in page.sentence
    put(page, by=ASKED, Qts=0.3)
    assert page.values["alpha"] == pytest.approx(table_of_alignments(0.3).alpha, abs=0.0251)


def test_the_tuning_of_a_closed_box_says_that_it_waits(page):
    before = put(page, kind=CLOSED).picture.pixels()
    put(page, h=2.0, delta=9.0)
    assert page.values["by"] == ASKED
    assert np.array_equal(page.picture.pixels(), before)


@pytest.mark.parametrize(
    ("leaks", "QT", "alpha"),
    # Quoted (derived, as in tests/reference/test_vented_alignments.py): B4 with a leak, h = 1; six decimals
    [("Ql = 15", 0.392702, 1.244450), ("Ql = 10", 0.397911, 1.162901), (SEVEN, 0.404814, 1.061318)],
)
def test_what_loss_does(page, leaks, QT, alpha):
    put(page, leaks=leaks, Qts=QT)
    assert f"(Vas over {alpha:.2f}) tuned to 30.0 Hz (1.000 times fs): B4, " in page.sentence
    assert drawn(page)[1] == pytest.approx(-10 * np.log10(1 + (FS / drawn(page)[0]) ** 8), abs=2e-4)
    put(page, by=BY_HAND, leaks="none")
    tight = drawn(page)[1]
    put(page, leaks=leaks)
    assert drawn(page)[1] == pytest.approx(function(page, QT, page.values["alpha"], 1.0, LEAKS[leaks]), abs=1e-3)
    assert np.min(drawn(page)[1] - tight) < -0.2


def test_of_a_closed_box_that_leaks(page, closed_form):
    put(page, kind=CLOSED, alpha=2.0, leaks="Ql = 5")
    driver = page.scene.parts(page.values).driver
    exact = closed_form(driver, drawn(page)[0], 2.83, volume=VAS / 2, Ql=5.0)
    midband = Air().density * driver.Bl * driver.Sd * 2.83 / (2 * np.pi * driver.Re * driver.Mms)
    assert drawn(page)[1] == pytest.approx(exact.level - 20 * np.log10(midband / 20e-6), abs=1e-6)


@pytest.mark.parametrize("delta", [1.0, 3.0, 10.0])
def test_a_passive_radiator_with_the_values_of_b4(page, delta):
    """f3 is the tuning whatever delta; the notch, two zeros, at fp = fb / sqrt(1 + delta) (Small 1974, derived)."""
    put(page, kind=RADIATOR, Qts=B4_Q, delta=delta)
    assert ": B4, Butterworth of fourth order, with a passive radiator for the port." in page.sentence
    assert "left at 30.0 Hz, 1.000 times fs" in page.sentence
    notch = 1 / np.sqrt(1 + delta)
    pair = [point for point in points(page.scene.plane["zeros"][0]) if point]
    assert pair == pytest.approx([-1j * notch, 1j * notch], abs=1e-6)
    assert said(page, r"two at the origin, and a pair at ([\d.]+) Hz") == [pytest.approx(FS * notch, abs=0.051)]
    assert "falls by 12 dB an octave" in page.sentence
    assert "waits for a passive radiator" not in page.sentence


@pytest.mark.parametrize(("kind", "best"), [(CLOSED, 2.0187e-6), (VENTED, 3.930e-6)])
def test_efficiency(page, table_of_alignments, kind, best):
    """The best are Small's (1972: 2.0e-6; 1973: 3.9e-6, from memory; derived to four figures for c = 345 m/s). This
    driver's own constant: 4 pi^2 / c^3 times Qts/Qes (0.96 of it) times alpha / (Qts (f3/fs)^3)."""
    put(page, kind=kind, **({"alpha": 7.0} if kind == CLOSED else {"Qts": 0.5}))
    Q, f3 = page.values["Qts"], page.scene.f3 / FS
    box, alpha = ("sealed", 7.0) if kind == CLOSED else ("vented", table_of_alignments(0.5).alpha)
    own = 4 * np.pi**2 / 345.0**3 * (1 - Q / QMS) * alpha / (Q * f3**3)
    (short,) = said(page, rf"named shapes \({box}, without losses\) would make ([\d.]+) dB more level of a watt")
    assert short == pytest.approx(10 * np.log10(best / own), abs=0.055)


def test_a_q_that_no_alignment_has(page):
    """Derived from the closed form: with a leakage Q of 3 C4 ends where alpha is 0, at a Qts of about 0.70."""
    put(page, leaks="Ql = 3", Qts=1.0)
    assert "no alignment has that Qts. C4 needs a Qts between 0.439 and 0.703 at Ql = 3, got 1.000." in page.sentence
    assert "fewer leaks, a driver of lower Qts, or a closed box" in page.sentence
    before = page.picture.pixels()
    put(page, alpha=3.0)
    assert np.any(page.picture.pixels() != before), "then the sliders hold"


def test_the_driver_brings_its_q_and_another_motor_another_q(page):
    put(page, driver="250 mm bass")
    driver = demo_drivers()["250 mm bass"]
    assert page.scene.parts(page.values).driver == driver, "itself, not rounded to the stop of the slider"
    assert f"Qts {driver.Qts:.3f}" in page.conditions
    assert "motor changed" not in page.conditions
    put(page, Qts=0.6)
    changed = page.scene.parts(page.values).driver
    assert changed.Qts == pytest.approx(0.6)
    assert (changed.Mms, changed.Cms, changed.Rms, changed.Sd) == (driver.Mms, driver.Cms, driver.Rms, driver.Sd)
    assert "motor changed" in page.conditions
    assert "alone on the real axis" in page.sentence, "the pole of its coil"
    assert "outside of the picture" in page.sentence
    put(page, driver=PLAIN)
    assert page.values["Qts"] == 0.4


def test_a_coil_without_countable_poles():
    driver = dataclasses.replace(demo_drivers()["250 mm bass"], Le=0.0, semi_inductance=0.02, semi_exponent=0.6)
    page = alignments({"mine": driver})
    put(page, driver="mine")
    assert "it has no poles that could be counted, and the s-plane stays empty" in page.sentence
    assert len(points(page.scene.plane["poles"])) == 0
    assert np.isfinite(drawn(page)[1]).all()


def test_what_the_lesson_asks_to_guess(page):
    """With a Qts of 0.6 for 0.4 the box is larger and tuned lower."""
    before = said(page, r"^([\d.]+) litres.*?tuned to ([\d.]+) Hz")
    after = said(put(page, Qts=0.6), r"^([\d.]+) litres.*?tuned to ([\d.]+) Hz")
    assert after[0] > 2 * before[0]
    assert after[1] < 0.8 * before[1]


@pytest.mark.parametrize(
    "asked",
    [
        *({"Qts": Q} for Q in (0.2, 0.3, 0.383, 0.5, 0.6, 0.8)),
        *({"leaks": SEVEN, "Qts": Q} for Q in (0.405, 0.5)),
        *({"h": h} for h in (0.8, 1.2)),
        {"alpha": 0.6},
        *({"kind": RADIATOR, "Qts": 0.383, "delta": delta} for delta in (10.0, 0.7, 0.5)),
        *({"driver": name} for name in ("250 mm bass", "250 mm bass of two coils, one fed")),
    ],
    ids=str,
)
def test_the_axes_hold_the_longest_delay_that_the_lesson_asks_for(page, asked):
    """All that its guess and its list of what to look for name; the axes stay put meanwhile."""
    before = page.scene.stack.axes["delay"].get_ylim()
    put(page, **asked)
    (longest,) = said(page, r"longest at \d+ Hz, ([\d.]+) ms")
    low, high = page.scene.stack.axes["delay"].get_ylim()
    assert (low, high) == before
    assert max(longest, np.nanmax(drawn(page, "delay")[1])) < high


def test_the_lowest_f3_of_a_closed_box_is_butterworths(page):
    """What the lesson asks to look for: f3 = fs / Qts times Qtc f3/fc, least at 1/sqrt(2) (Small 1972, derived)."""
    put(page, kind=CLOSED)
    f3 = {}
    for alpha in np.arange(0.5, 9.0, 0.05):
        page.scene.move(page.values | {"by": BY_HAND, "alpha": alpha})
        f3[0.4 * np.sqrt(1 + alpha)] = page.scene.f3
    assert min(f3, key=f3.get) == pytest.approx(2**-0.5, abs=0.006)


def test_what_is_not_drawn_is_said(page):
    assert "outside of the picture" not in page.sentence
    put(page, kind=CLOSED, Qts=0.2, alpha=0.5)
    poles = points(page.scene.plane["poles"])
    assert poles.real.min() < PLANE["left"]
    assert "outside of the picture is not drawn" in page.sentence
