"""What the page on a bass box and panels says and draws, against closed forms."""

import re

import numpy as np
import pytest

from lumpedbox import Air, InfiniteBaffle, Loudspeaker, SealedBox, solve
from lumpedbox.design.meeting import unevenness
from lumpedbox.sliders.kit.predict import Question
from lumpedbox.sliders.lessons.bass_meets_panels.page import bass_meets_panels
from lumpedbox.tables import demo_cabins, demo_drivers
from lumpedbox.units import foot, litre


@pytest.fixture
def page():
    return bass_meets_panels()


def said(page, pattern):
    return [float(number) for number in re.search(pattern, page.sentence).groups()]


def drawn(page, curve, panel, *near):
    return np.array([np.interp(f, *page.scene.stack.values(curve, panel)) for f in near])


def button(page):
    return next(
        helper for helper in widgets(page.widget) if getattr(helper, "description", "") == "Search, and go there"
    )


def widgets(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from widgets(child)


def test_what_the_lesson_asks_to_guess(page):
    """About 86 dB each give about 77 dB at 80 Hz, where two in step would give 92; 4 ms or other wires cure it."""
    bass, panels, both = (drawn(page, curve, "level", 80.0)[0] for curve in ("bass", "panels", "sum"))
    assert bass == pytest.approx(86, abs=0.7)
    assert panels == pytest.approx(86, abs=0.7)
    assert both == pytest.approx(77, abs=1.0)
    page.controls["delay"].value = 4e-3
    assert drawn(page, "sum", "level", 80.0) > 91
    page.reset()
    page.controls["polarity"].value = "reversed"
    assert drawn(page, "sum", "level", 80.0) > 91


def test_twelve_decibels_an_octave_need_no_reversal_here(page):
    """What the lesson asks to look for, against the book (Linkwitz 1976, from memory)."""
    page.controls["slope"].value = "12 dB/octave, Linkwitz-Riley"
    assert drawn(page, "sum", "cancelled", 80.0) < 1
    page.controls["polarity"].value = "reversed"
    assert drawn(page, "sum", "cancelled", 80.0) > 10


@pytest.mark.parametrize("slope", ["12 dB/octave, Butterworth", "24 dB/octave, Linkwitz-Riley"])
def test_arrows(page, slope):
    """As marked and reversed: the squares of the two sums are twice the squares of the two alone; and what is lost is
    against the sum of their lengths."""
    page.controls["slope"].value, page.controls["cabin"].value = slope, "half space"
    alone = [10 ** (page.scene.stack.values(name, "level")[1] / 20) for name in ("bass", "panels")]
    power = []
    for polarity in ("as marked", "reversed"):
        page.controls["polarity"].value = polarity
        level = page.scene.stack.values("sum", "level")[1]
        lost = page.scene.stack.values("sum", "cancelled")[1]
        assert lost == pytest.approx(20 * np.log10(sum(alone)) - level, abs=1e-9)
        power.append(10 ** (level / 10))
    assert sum(power) == pytest.approx(2 * (alone[0] ** 2 + alone[1] ** 2), rel=1e-9)


def test_a_positive_delay_is_the_panels(page):
    """It turns the panels against the bass as a nearer bass box does: 0.4 ms are 0.4 ms times c of way, as loud."""
    page.controls["cabin"].value, page.controls["delay"].value = "half space", 0.4e-3
    level, lost = 20 * np.log10(2.7), page.scene.stack.values("sum", "cancelled")[1].copy()
    page.controls["delay"].value = 0.0
    nearer = 2.7 - 0.4e-3 * Air().sound_speed
    page.controls["bass_way"].value = nearer
    page.controls["level"].value = 10.0 + 20 * np.log10(nearer) - level
    assert page.scene.stack.values("sum", "cancelled")[1] == pytest.approx(lost, abs=1e-9)


def test_where_they_meet(page):
    """Both play alike there, each solved on its own in half space and filtered by hand; and the line stands there."""
    page.controls["cabin"].value, page.controls["level"].value = "half space", 13.0
    meet, either, both, lost = said(
        page, r"meet at (\d+) Hz, where either plays ([\d.]+) dB and both together ([\d.]+) dB: ([\d.]+) dB less"
    )
    (line, _), _ = page.scene.stack.values("meet", "level")
    assert line == pytest.approx(meet, abs=0.51)
    drivers, x = demo_drivers(), 1j * line / 80
    low = abs(1 / (x**2 + np.sqrt(2) * x + 1) ** 2)
    bass = Loudspeaker(driver=drivers["250 mm bass"], box=SealedBox(volume=30 * litre, Ql=7))
    panel = Loudspeaker(driver=drivers["130 mm step well"], box=InfiniteBaffle())
    levels = (
        solve(bass, line).level[0] + 20 * np.log10(low / 2.7) + 13,
        solve(panel, line).level[0] + 20 * np.log10(2 * low * abs(x) ** 4 / 1.3),
    )
    assert levels == pytest.approx((either, either), abs=0.06)
    assert both == pytest.approx(either + 6.02 - lost, abs=0.11)
    turned = said(page, r"turned they would play ([\d.]+) dB there")[0]
    page.controls["polarity"].value = "reversed"
    assert said(page, r"both together ([\d.]+) dB")[0] == pytest.approx(turned, abs=0.051)


def test_one_that_is_louder_throughout(page):
    page.controls["level"].value, page.controls["panels_way"].value = -10.0, 0.5
    page.controls["bass_way"].value, page.controls["cabin"].value = 4.0, "half space"
    page.controls["panels"].value = "300 mm bass"
    page.controls["slope"].value, page.controls["corner"].value = "12 dB/octave, Butterworth", 40.0
    bass, panels = (page.scene.stack.values(name, "level")[1] for name in ("bass", "panels"))
    assert np.all(bass < panels) == ("They do not meet" in page.sentence)
    assert "They do not meet" in page.sentence
    assert page.message == ""


@pytest.mark.parametrize(("delay", "words"), [(2e-3, "late"), (6e-3, "early"), (-2e-3, "late")])
def test_the_ways(page, delay, words):
    """343.2 m/s in air of 20 degrees (Air, tested against its own sources): 1.9 m are 5.5 ms."""
    page.controls["bass_way"].value, page.controls["delay"].value = 3.2, delay
    late = 1.9 / Air().sound_speed
    further, more, left = said(page, rf"is ([\d.]+) m longer: ([\d.]+) ms more; .* is ([\d.]+) ms {words}")
    assert further == pytest.approx(1.9)
    assert more == pytest.approx(1000 * late, abs=0.051)
    assert left == pytest.approx(1000 * abs(late - delay), abs=0.051)
    page.use("US customary")
    assert f"is {1.9 / foot:.2f} feet longer" in page.sentence


def test_the_way_from_the_panels_may_be_longer(page):
    page.controls["bass_way"].value, page.controls["panels_way"].value = 1.0, 2.0
    (more,) = said(page, r"The way from the panels is 1\.00 m longer: ([\d.]+) ms more\.")
    assert more == pytest.approx(1000 / Air().sound_speed, abs=0.051)
    page.controls["panels_way"].value, page.controls["delay"].value = 1.0, 1e-3
    assert "Both ways are equally long; with the delay that is set the bass box is 1.0 ms early." in page.sentence


@pytest.mark.parametrize(
    ("slope", "times"),
    [
        # Group delay at the corner, times 2 pi fc: derived from the polynomials of the high-pass filters, to 1e-6; the
        # low-pass filters have the same phase but for a constant.
        ("12 dB/octave, Butterworth", np.sqrt(2)),
        ("24 dB/octave, Butterworth", 3.695518),
        ("24 dB/octave, Linkwitz-Riley", 2 * np.sqrt(2)),
    ],
)
def test_what_the_filters_delay(page, slope, times):
    page.controls["slope"].value, page.controls["corner"].value, page.controls["delay"].value = slope, 50.0, 3e-3
    added = said(page, r"At 50 Hz the filters add ([\d.]+) ms of group delay to the bass box and ([\d.]+) ms to")
    assert added == pytest.approx([1000 * times / (2 * np.pi * 50)] * 2, abs=0.051)
    assert "below 300 Hz no threshold of audibility is known to us" in page.sentence


def test_the_straight_line(page):
    """By numpy's own fit, of the system that the page hands out."""
    frequency = np.geomspace(40, 200, 57)  # at least 24 in an octave, as judged
    level = 20 * np.log10(np.abs(solve(page.scene.parts(page.values), frequency).pressure))
    line = np.polyval(np.polyfit(np.log2(frequency), level, 1), np.log2(frequency))
    exact = np.sqrt(np.mean((level - line) ** 2))
    assert said(page, r"together stray ([\d.]+) dB r\.m\.s\.")[0] == pytest.approx(exact, abs=0.0051)
    assert unevenness(page.scene.parts(page.values)) == pytest.approx(exact, abs=1e-9)
    with pytest.raises(ValueError, match=r"unevenness\.band\[1\] must be between"):
        unevenness(page.scene.parts(page.values), band=(40.0, 2e4))


@pytest.mark.parametrize("change", [{}, {"bass_way": 1.5, "level": 14.0}, {"cabin": "half space"}])
def test_the_search_goes_to_what_it_says(page, change):
    """Where it goes, the page strays as little as was promised; and a little aside it strays more."""
    for name, value in change.items():
        page.controls[name].value = value
    before = said(page, r"together stray ([\d.]+) dB")[0]
    assert "search" not in page.sentence
    button(page).click()
    assert page.message == ""
    now, best = said(page, r"stray ([\d.]+) dB r\.m\.s\. .* the best that the search found, .* strays ([\d.]+) dB")
    assert now == best < before
    assert page.scene.search(page.values).error == pytest.approx(unevenness(page.scene.parts(page.values)), abs=1e-9)
    assert f"{page.controls['slope'].value.replace(',', '')} at {page.values['corner']:.0f} Hz" in page.sentence
    assert ("the bass box reversed" in page.sentence) == (page.values["polarity"] == "reversed")
    found = page.values
    for name, step in (("delay", 0.4e-3), ("corner", 15.0)):
        for sign in (1, -1):
            page.controls[name].value = found[name] + sign * step
            assert said(page, r"together stray ([\d.]+) dB")[0] >= best
        page.controls[name].value = found[name]
    page.controls["volume"].value = 50 * litre
    assert "search" not in page.sentence, "of other parts nothing has been found yet"


def test_a_page_that_sleeps_searches_nothing(page):
    page.ask(Question("?", ("this", "that"), right="this", why="", look=""))
    before = page.values
    button(page).click()
    assert page.values == before


def test_the_model_ends_at_the_first_of_its_limits(page):
    """A sixth of a wavelength in a cube of 30 litres, or where the resonances of a minibus crowd (Schroeder 1962, from
    memory): 2000 sqrt(0.15 s / 14.4 m3)."""
    (shown, _), _ = page.scene.stack.values("validity", "level")
    assert shown == pytest.approx(Air().sound_speed / 6 / np.cbrt(30 * litre), rel=1e-6)
    page.controls["volume"].value = 10 * litre
    (shown, _), _ = page.scene.stack.values("validity", "level")
    limit = 2000 * np.sqrt(0.15 / 14.4)
    assert shown == pytest.approx(limit, rel=1e-6)
    frequency, lost = page.scene.stack.values("sum", "cancelled")
    assert np.array_equal(np.isfinite(lost), frequency < limit)


def test_what_is_further_than_the_cabin_is_long(page):
    """The small hatchback is sqrt(2.3^2 + 1.35^2 + 1.15^2) m from corner to corner."""
    page.controls["cabin"].value = "small hatchback"
    assert "corner to corner" not in page.sentence
    page.controls["bass_way"].value = 3.0
    cabin = demo_cabins()["small hatchback"]
    across = np.sqrt(cabin.length**2 + cabin.width**2 + cabin.height**2)
    assert f"This cabin is {across:.2f} m from corner to corner" in page.sentence


def test_what_is_offered(page):
    """Drivers by their resonance, and no stand-in."""
    drivers = demo_drivers()
    deep, panels = (page.controls[name].widget.options for name in ("bass", "panels"))
    assert all(drivers[name].fs < 60 for name in deep)
    assert all(drivers[name].fs < 400 for name in panels)
    assert "100 mm rear roof, stand-in" in drivers
    assert all(drivers[name].spread is None for name in (*deep, *panels))
