"""What the page on a loud tweeter says and draws, against closed forms."""

import dataclasses
import re

import numpy as np
import pytest

from lumpedbox import Driver, solve
from lumpedbox.design.level_matching import matched, thinness
from lumpedbox.parts.network import pad_resistors
from lumpedbox.parts.variants import louder
from lumpedbox.sliders.lessons.loud_tweeter import BOTH, OWN_ONLY, loud_tweeter
from lumpedbox.tables import demo_drivers


@pytest.fixture(scope="module")
def made():
    return loud_tweeter()


@pytest.fixture
def page(made):
    """The page as it opens; it is made once."""
    made.reset()
    return made


def said(page, pattern):
    return [float(number) for number in re.search(pattern, page.sentence).groups()]


def drawn(page, curve, panel, *near):
    return np.array([np.interp(f, *page.scene.stack.values(curve, panel)) for f in near])


def impedance_of(driver, s):
    return driver.Re + s * driver.Le + driver.Bl**2 / (s * driver.Mms + driver.Rms + 1 / (s * driver.Cms))


@pytest.mark.parametrize("pad", [0.0, 7.0])
def test_the_load_of_the_channel(page, pad):
    """Two impedances in parallel, each by its textbook formula (Small 1972, from memory)."""
    page.controls["pad"].value, page.controls["lift"].value = pad, 0.0
    frequency, shown = page.scene.stack.values("sum", "impedance")
    s, k = 2j * np.pi * frequency, 10 ** (-pad / 20)
    tweeter = impedance_of(demo_drivers()["25 mm pillar tweeter"], s)
    if pad:
        tweeter = 4 * (1 - k) + 1 / (1 / tweeter + (1 - k) / (4 * k))
    branches = 1 / impedance_of(demo_drivers()["165 mm panel"], s) + 1 / (tweeter + 1 / (s * 10e-6))
    assert shown == pytest.approx(abs(1 / branches), rel=1e-9)
    least, at = said(page, r"lowest impedance is ([\d.]+) ohm, at (\d+) Hz")
    assert least == pytest.approx(abs(1 / branches).min(), abs=0.0051)
    assert at == pytest.approx(frequency[abs(branches).argmax()], abs=0.51)


def test_the_load_is_held_against_the_amplifier(page):
    """Its lowest load in data/amplifiers.csv: 2 ohm rated, so 0.8 of that (IEC 60268-5, from memory). A woofer of 2 ohm
    goes below 2, and not below 1.6."""
    assert page.scene.stack.values("limit", "impedance")[1] == pytest.approx(1.6)
    page.controls["woofer"].value = "165 mm panel of 2 ohm"
    assert 1.6 < said(page, r"lowest impedance is ([\d.]+) ohm")[0] < 2.0
    assert "the amplifier stands that: it is made for loads rated 2 ohm or more, which may fall to 1.6" in page.sentence


def test_the_levels_add_with_their_phases(page):
    """Reversed and as marked: the squares of the two sums are twice the squares of the two alone."""
    power = {}
    for polarity in ("as marked", "reversed"):
        page.controls["polarity"].value = polarity
        power[polarity] = 10 ** (page.scene.stack.values("sum", "level")[1] / 10)
    alone = sum(10 ** (page.scene.stack.values(name, "level")[1] / 10) for name in ("woofer", "tweeter"))
    assert power["as marked"] + power["reversed"] == pytest.approx(2 * alone, rel=1e-9)


def test_the_sentence_is_computed_anew(page):
    """Its numbers are those of the system that the page hands out, solved at other points than drawn."""
    page.controls["pad"].value, page.controls["capacitor"].value, page.controls["angle"].value = 2.0, 15e-6, 20.0
    system = page.scene.parts(page.values)

    def mean(index, low, high):
        level = solve(system, np.geomspace(low, high, 2000)).responses[index].treble_level
        return 10 * np.log10(np.mean(10 ** (level / 10)))

    gap = mean(1, 4242.64, 8485.28) - mean(0, 1060.66, 2121.32)
    assert said(page, r"the tweeter stands ([\d.]+) dB above")[0] == pytest.approx(gap, abs=0.06)
    now, before = said(page, r"stand ([-+][\d.]+) dB against 100 to 315 Hz; ([-+][\d.]+) dB without a pad")
    without = page.scene.parts(page.values | {"pad": 0.0})
    assert now == pytest.approx(thinness(system), abs=0.051)
    assert before == pytest.approx(thinness(without), abs=0.051)
    corner = 1 / (2 * np.pi * 15e-6 * 4)
    assert f"3 dB down at {corner:.0f} Hz" in page.sentence


@pytest.mark.parametrize(("capacitor", "volts"), [(10e-6, 2.83), (25e-6, 12.0)])
def test_the_pad_that_is_said_cures_it(page, capacitor, volts):
    """The printed values are those of the formula to half a step of E24; the watts of the resistors follow by hand."""
    page.controls["capacitor"].value, page.controls["voltage"].value = capacitor, volts
    attenuation, series, series_watts, across, across_watts = said(
        page,
        r"A pad of ([\d.]+) dB .*buy ([\d.]+) ohm in series \(([\d.]+) W or more\) and ([\d.]+) ohm across the tweeter "
        r"\(([\d.]+) W or more\)",
    )
    left = 10 ** (-attenuation / 20)
    assert series == pytest.approx(4 * (1 - left), rel=0.06)
    assert across == pytest.approx(4 * left / (1 - left), rel=0.07)
    s = 2j * np.pi * np.geomspace(100, 10000, 4000)
    tweeter = impedance_of(louder(demo_drivers()["25 mm pillar tweeter"], 8.0), s)
    loaded = 1 / (1 / tweeter + 1 / across)
    current = volts / abs(1 / (s * capacitor) + series + loaded)
    # a quarter of a steady tone's power, twice as a margin: common practice, no source
    assert series_watts == pytest.approx(0.5 * np.max(current**2 * series), rel=0.05)
    assert across_watts == pytest.approx(0.5 * np.max((current * abs(loaded)) ** 2 / across), rel=0.05)
    match = page.scene.cure(page.values)
    again = matched(match.system, adjusted="tweeter", against="woofer", crossover=3000.0)
    assert again.gain == pytest.approx(0.0, abs=1e-6)
    assert pad_resistors(match.pad)[0] == pytest.approx(4 * (1 - left), rel=0.02)


def test_a_pad_takes_more_at_the_resonance_than_its_decibels(page):
    """What the lesson asks to guess: 4 dB take about 10 at 1000 Hz. Divider by hand: the pad's resistor across the
    tweeter bridges the peak of its impedance, and the capacitor works again."""
    before = drawn(page, "tweeter", "level", 1000.0, 8000.0)
    page.controls["pad"].value = 4.0
    taken = before - drawn(page, "tweeter", "level", 1000.0, 8000.0)
    driver = louder(demo_drivers()["25 mm pillar tweeter"], 8.0)
    s, k = 2j * np.pi * np.array([1000.0, 8000.0]), 10 ** (-4 / 20)
    z = impedance_of(driver, s)
    loaded = 1 / (1 / z + (1 - k) / (4 * k))
    capacitor = 1 / (s * 10e-6)
    exact = 20 * np.log10(abs(z / (z + capacitor)) / abs(loaded / (loaded + 4 * (1 - k) + capacitor)))
    assert taken == pytest.approx(exact, abs=0.05)
    assert taken[0] == pytest.approx(10.5, abs=0.5)
    assert taken[1] < 5


def test_the_axis_holds_the_loudest_that_the_lesson_asks_for(page):
    page.controls["voltage"].value = 20.0
    low, high = page.scene.stack.axes["level"].get_ylim()
    assert low < page.scene.stack.values("sum", "level")[1].max() < high


def test_one_that_is_not_too_loud_needs_no_pad(page):
    page.controls["lift"].value = 0.0
    assert "none is needed" in page.sentence
    assert "buy" not in page.sentence


@pytest.mark.parametrize("level", [0.0, 5.0])
def test_louder(level):
    """Above resonance p = rho Bl Sd V / (2 pi Mms Re) (Small 1972, from memory); fs and Qms stay."""
    driver = demo_drivers()["25 mm pillar tweeter"]
    changed = louder(driver, level)
    assert changed.fs == pytest.approx(driver.fs)
    assert changed.Qms == pytest.approx(driver.Qms)
    assert 20 * np.log10(driver.Mms / changed.Mms) == pytest.approx(level)
    assert changed.sensitivity == pytest.approx(driver.sensitivity + level)


def test_what_is_offered(page):
    """Tweeters by their resonance; nothing without a printed sensitivity."""
    drivers = demo_drivers()
    tweeters, woofers = (page.controls[name].widget.options for name in ("tweeter", "woofer"))
    assert all(drivers[name].fs > 1000 for name in tweeters)
    assert all(drivers[name].fs < 400 for name in woofers)
    assert all(drivers[name].sensitivity is not None for name in (*tweeters, *woofers))
    assert "200 mm step well, tired" not in woofers
    assert isinstance(drivers["200 mm step well, tired"], Driver)


def test_a_capacitor_that_is_built_in_is_not_counted_twice():
    """By the divider of all capacitors in series; two make C1 C2 / (C1 + C2) together (Kirchhoff)."""
    drivers = demo_drivers()
    mine = dataclasses.replace(drivers["25 mm pillar tweeter"], built_in_capacitance=4.7e-6)
    page = loud_tweeter(drivers | {"mine": mine})
    page.put({"tweeter": "mine", "capacitor": 10e-6})
    frequency, shown = page.scene.stack.values("sum", "impedance")
    s = 2j * np.pi * frequency
    woofer = impedance_of(drivers["165 mm panel"], s)

    def load(capacitance):
        return abs(1 / (1 / woofer + 1 / (impedance_of(mine, s) + 1 / (s * capacitance))))

    assert shown == pytest.approx(load(4.7e-6), rel=1e-9)
    assert "its own capacitor of 4.7 µF, so the series capacitor is left out" in page.sentence
    assert "The pad stands before it" not in page.sentence
    page.put({"pad": 6.0})
    assert "The pad stands before it: it takes less than its decibels low down" in page.sentence
    page.put({"pad": 0.0})
    assert f"3 dB down at {1 / (2 * np.pi * 4 * 4.7e-6):.0f} Hz" in page.sentence
    page.controls["beside_own"].value = BOTH
    assert page.scene.stack.values("sum", "impedance")[1] == pytest.approx(load(47 / 14.7 * 1e-6), rel=1e-9)
    assert "own capacitor of 4.7 µF and the 10.0 µF in series make 3.2 µF" in page.sentence


@pytest.mark.parametrize("beside", [OWN_ONLY, BOTH])
def test_a_pad_for_a_tweeter_with_a_capacitor_built_in(beside):
    """The two resistors that are said, in place before the tweeter, leave nothing to match."""
    drivers = demo_drivers()
    mine = dataclasses.replace(louder(drivers["25 mm pillar tweeter"], 8.0), built_in_capacitance=10e-6)
    page = loud_tweeter(drivers | {"mine": mine})
    page.put({"tweeter": "mine", "beside_own": beside, "capacitor": 30e-6})
    taken, series = said(page, r"A pad of ([\d.]+) dB cures it: buy ([\d.]+) ohm in series")
    assert series == pytest.approx(4 * (1 - 10 ** (-taken / 20)), rel=0.06)
    page.controls["pad"].value = taken
    assert said(page, r"the tweeter stands ([\d.]+) dB")[0] == pytest.approx(0.0, abs=0.11)


def test_without_a_built_in_capacitor_nothing_is_asked_about_one(page):
    assert "beside_own" not in page.controls


def test_only_the_new_tweeter_of_the_demonstration_is_louder_than_its_sheet(monkeypatch):
    """Its printed level stands in data/drivers.csv; one's own of the same sheet starts at that, not 8 dB above."""
    drivers = demo_drivers()
    page = loud_tweeter(drivers | {"mine": drivers["25 mm pillar tweeter"]})
    assert "(of 98.9 dB at 2.83 volts, 8.0 dB louder than its sheet)" in page.conditions
    drawn = []
    update = page.picture.update
    monkeypatch.setattr(page.picture, "update", lambda: (drawn.append(1), update()))
    page.controls["tweeter"].value = "mine"
    assert page.values["lift"] == 0.0
    assert "(of 90.9 dB at 2.83 volts) in" in page.conditions
    assert "none is needed" in page.sentence
    page.controls["lift"].value = 3.0
    assert "(of 93.9 dB at 2.83 volts, 3.0 dB louder than its sheet)" in page.conditions
    page.controls["tweeter"].value = "25 mm pillar tweeter"
    assert page.values["lift"] == 8.0
    assert len(drawn) == 3
    page.controls["tweeter"].value = "mine"
    page.reset()
    assert (page.values["tweeter"], page.values["lift"]) == ("25 mm pillar tweeter", 8.0)
