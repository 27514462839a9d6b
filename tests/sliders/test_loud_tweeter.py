"""What the page on a loud tweeter says and draws, against closed forms.

The levels by hand take Small's closed form (`textbook` in conftest.py) and the volts of a divider (Kirchhoff). Above
c / (2 pi a) the printed sensitivity stands in its place, joined by a raised cosine over the octave around: ours.
"""

import dataclasses
import re

import numpy as np
import pytest

from lumpedbox import Air, Driver
from lumpedbox.design.e_series import E24
from lumpedbox.design.level_matching import matched
from lumpedbox.parts.network import pad_resistors
from lumpedbox.parts.variants import louder
from lumpedbox.sliders.kit.pads import AS_SET, NEEDED, Resistors, size_sold, too_hot
from lumpedbox.sliders.kit.wirings import METER_OFF
from lumpedbox.sliders.kit.words import a_or_an
from lumpedbox.sliders.lessons.loud_tweeter import BOTH, OWN_ONLY, loud_tweeter
from lumpedbox.tables import demo_drivers
from lumpedbox.units import uF
from tests import two_on_a_channel as by_hand
from tests.sliders.conftest import conditions, details, drawn_near, fact_of, headline, impedance_of, text

NEW, WOOFER = "25 mm pillar tweeter", "165 mm panel"
FULL = np.sqrt(75 * 4)  # volts of the stores' amplifier, rated 75 W into 4 ohm


@pytest.fixture(scope="module")
def made():
    return loud_tweeter()


def lighter(driver, level):
    """Above resonance p = rho Bl Sd V / (2 pi Mms Re) (Small 1972, from memory): less mass by that; fs and Qms stay."""
    k = 10 ** (level / 20)
    light = {"Mms": driver.Mms / k, "Rms": driver.Rms / k, "Cms": driver.Cms * k}
    return dataclasses.replace(driver, **light, sensitivity=driver.sensitivity + level)


class ByHand:
    """The page's channel at some frequencies, by dividers and closed forms."""

    def __init__(self, page, closed_form, frequency):
        values, drivers = page.values, demo_drivers()
        self.frequency, s = frequency, 2j * np.pi * frequency
        woofer, tweeter = drivers[values["woofer"]], lighter(drivers[values["tweeter"]], values["lift"])
        z, k = impedance_of(tweeter, s), 10 ** (-values["pad"] / 20)
        loaded, series = (z, 0.0) if k == 1 else (1 / (1 / z + (1 - k) / (4 * k)), 4 * (1 - k))
        branch = 1 / (s * values["capacitor"]) + series + loaded
        self.load = 1 / (1 / impedance_of(woofer, s) + 1 / branch)
        volts = values["voltage"] * (-1 if values["polarity"] == "reversed" else 1) * loaded / branch
        pairs = (woofer, values["voltage"]), (tweeter, volts)
        self.pressures = [self._pressure(closed_form, driver, volts) for driver, volts in pairs]

    def _pressure(self, closed_form, driver, volts):
        one = closed_form(driver, self.frequency, 1.0)
        limit = Air().sound_speed / (2 * np.pi * np.sqrt(driver.Sd / np.pi))
        share = (1 - np.cos(np.pi * np.clip(np.log2(self.frequency / limit) + 0.5, 0, 1))) / 2
        printed = driver.sensitivity - 20 * np.log10(2.83)
        return one.pressure * volts * 10 ** (share * (printed - one.level) / 20)


def mean_square(pressure):
    return 10 * np.log10(np.mean(np.abs(pressure) ** 2) / 20e-6**2)


def louder_by(page, closed_form):
    """By how much the tweeter is louder, an octave on either side of 3000 Hz, half an octave off, at 25 points each."""
    above, below = (np.geomspace(low, 2 * low, 25) for low in (3000 * np.sqrt(2), 3000 / np.sqrt(8)))
    tweeter, woofer = (ByHand(page, closed_form, band).pressures[i] for band, i in ((above, 1), (below, 0)))
    return mean_square(tweeter) - mean_square(woofer)


def treble_against_bass(page, closed_form):
    """800 to 8000 Hz against 100 to 315 Hz, at the 24 points an octave from 40 to 8000 Hz that the library takes."""
    grid = np.geomspace(40, 8000, 185)
    treble, bass = (grid[(grid >= low) & (grid <= high)] for low, high in ((800, 8000), (100, 315)))
    sums = [sum(ByHand(page, closed_form, band).pressures) for band in (treble, bass)]
    return mean_square(sums[0]) - mean_square(sums[1])


STATES = (
    {},
    {"pad": 2.0},
    {"pad": 4.0},
    {"pad": 7.0},
    {"lift": 4.0, "capacitor": 15 * uF, "voltage": 2.83},
    {"lift": 0.0, "pad": 3.0},
    {"capacitor": 4 * uF, "polarity": "reversed"},
    {"woofer": "165 mm panel of 2 ohm"},
)


@pytest.mark.parametrize("state", STATES, ids=str)
def test_how_loud_the_tweeter_is(page, closed_form, state):
    page.put(**state)
    off = louder_by(page, closed_form)
    told = fact_of(page, "against the woofer")
    assert told["off"] == pytest.approx(abs(off), abs=1e-6)
    assert told.text("metric").endswith("louder" if off > 0 else "softer")
    index = fact_of(page, "treble against bass")
    assert index["level"] == pytest.approx(treble_against_bass(page, closed_form), abs=1e-6)
    assert index.text("metric").startswith("+") == (index["level"] >= 0.05)


def by_ohm(series, across):
    """What two resistors take from 4 ohm behind them. [dB]"""
    left = 1 / (1 / across + 1 / 4)
    return 20 * np.log10((series + left) / left)


def test_the_decibels_are_those_of_the_resistors_that_are_sold(page, closed_form):
    """Resistors of E24 (IEC 60063, from memory) are not the formula's, and so they take something else."""
    apart = []
    for lift in (4.0, 6.0, 7.0, 9.0, 10.0):
        page.put(lift=lift)
        told, exact = (
            fact_of(page, NEEDED),
            next(one for one in page.answer.details if "E24" in one.words)["exact"],
        )
        taken = by_ohm(told["series"], told["across"])
        assert float(re.search(r"across: together ([\d.]+) dB$", told.text("metric"))[1]) == pytest.approx(
            taken, abs=0.051
        )
        assert page.answer.headline["taken"] == told["taken"] == pytest.approx(taken, abs=1e-9)
        apart.append(abs(taken - exact))
    assert max(apart) > 0.1, "else nothing tells them apart"


@pytest.mark.parametrize(
    ("number", "article"),
    [
        *((number, "an") for number in ("8.3 dB", "11.6 dB", "18 dB", "80 mm", "8")),
        *((number, "a") for number in ("1.8 dB", "110 Hz", "180 Hz", "0.8 dB", "4.2 dB", "12 dB")),
    ],
)
def test_the_article_is_that_of_the_spoken_number(number, article):
    assert a_or_an(number) == article


def pad_by_hand(page, closed_form):
    """The pad that leaves nothing: by halving."""
    low, high, before = 0.0, 15.0, page.values
    for _ in range(40):
        middle = (low + high) / 2
        page.values = before | {"pad": middle}
        low, high = (middle, high) if louder_by(page, closed_form) > 0 else (low, middle)
    page.values = before
    return middle


@pytest.mark.parametrize("state", [{}, {"pad": 2.0}, {"pad": 4.0}, {"pad": 7.0}, {"voltage": 2.83}], ids=str)
def test_what_the_headline_says_to_do(page, closed_form, state):
    """The pad that matches, in the resistors of E24 that lie nearest to the formula's. What these take is Ohm's law."""
    page.put(**state)
    off, needed = louder_by(page, closed_form), pad_by_hand(page, closed_form)
    pad = fact_of(page, NEEDED)
    assert pad["taken"] == pytest.approx(by_ohm(1.5, 6.2), abs=1e-9)
    (exact,) = (paragraph for paragraph in page.answer.details if "E24" in paragraph.words)
    assert (exact["exact"], exact["taken"]) == pytest.approx((needed, by_ohm(1.5, 6.2)), abs=1e-6)
    left = 10 ** (-needed / 20)
    assert (pad["series"], pad["across"]) == (1.5, 6.2)
    assert (pad["series"], pad["across"]) == pytest.approx((4 * (1 - left), 4 * left / (1 - left)), rel=0.05)
    buy = "1.5 ohm, 15 W in series; 6.2 ohm, 10 W across."
    if not page.values["pad"]:
        assert headline(page) == f"Put a 4.2 dB pad before it: {buy}"
    elif abs(off) <= 0.25:
        assert headline(page) == f"That pad is right: {buy.replace('6.2', '6.8')}", "those of 4 dB, which are set"
    else:
        how = f"Still {off:.1f} dB too loud" if off > 0 else f"Now {-off:.1f} dB too soft"
        assert headline(page) == f"{how}. Take 4.2 dB: {buy}"


@pytest.mark.parametrize(("capacitor", "volts"), [(10 * uF, 2.83), (10 * uF, FULL), (25 * uF, 12.0)])
def test_the_resistors_stand_what_they_meet(page, capacitor, volts):
    """The watts follow by Ohm's law from the amplifier's full volts, wherever the page stands; half of a steady tone's,
    which is common practice without a source."""
    page.put(capacitor=capacitor, voltage=volts)
    bought = fact_of(page, NEEDED)
    s = 2j * np.pi * np.geomspace(100, 10000, 4000)
    loaded = 1 / (1 / impedance_of(lighter(demo_drivers()[NEW], 8.0), s) + 1 / bought["across"])
    current = FULL / abs(1 / (s * capacitor) + bought["series"] + loaded)
    watts = np.max(current**2 * bought["series"]), np.max((current * abs(loaded)) ** 2 / bought["across"])
    exact = next(one for one in page.answer.details if "rounded up to sizes" in one.words)
    assert (exact["series0"], exact["across0"]) == pytest.approx((watts[0] / 2, watts[1] / 2), rel=0.02)
    assert (bought["watts"], bought["other"]) == tuple(
        min(size for size in (1, 2, 5, 10, 15, 20, 25, 50, 100) if size >= half)
        for half in (exact["series0"], exact["across0"])
    )
    assert (page.answer.headline["watts"], page.answer.headline["other"]) == (bought["watts"], bought["other"])
    assert ("Mount resistors away from insulation" in details(page)) == (max(watts) / 2 > 5)
    (hot,) = [one for one in page.answer.cautions if "overheats these resistors" in one.words]
    assert (hot["series"], hot["across"]) == pytest.approx(watts, rel=0.02)


@pytest.mark.parametrize(("watts", "size"), [(0.3, 1), (2, 2), (2.01, 5), (14.9, 15), (99, 100), (101, 200)])
def test_a_resistor_is_sold_in_some_sizes_only(watts, size):
    """Common practice, no source."""
    assert size_sold(watts) == size


@pytest.mark.parametrize("pad", [2.0, 4.0, 9.0])
def test_the_resistors_of_the_pad_that_is_set(page, pad):
    """R_s = Z (1 - k) and R_p = Z k / (1 - k) before 4 ohm, the nearest of E24 (IEC 60063, from memory); their watts by
    Ohm's law at the amplifier's full volts, half of a steady tone's (common practice, no source)."""
    page.put(pad=pad, lift=4.0)
    told, k = fact_of(page, AS_SET), 10 ** (-pad / 20)
    for name, exact in (("series", 4 * (1 - k)), ("across", 4 * k / (1 - k))):
        assert told[name] == pytest.approx(exact, rel=0.06)
        digits = f"{told[name]:.1e}"[:3]
        assert float(digits) in E24
    assert told["taken"] == pytest.approx(by_ohm(told["series"], told["across"]), abs=1e-9)
    s = 2j * np.pi * np.geomspace(100, 10000, 4000)
    loaded = 1 / (1 / impedance_of(lighter(demo_drivers()[NEW], 4.0), s) + 1 / told["across"])
    current = FULL / abs(1 / (s * 10e-6) + told["series"] + loaded)
    halves = np.max(current**2 * told["series"]) / 2, np.max((current * abs(loaded)) ** 2 / told["across"]) / 2
    exact = next(one for one in page.answer.details if "rounded up to sizes" in one.words)
    assert (exact["series1"], exact["across1"]) == pytest.approx(halves, rel=0.02)
    assert (told["watts"], told["other"]) == tuple(map(size_sold, (exact["series1"], exact["across1"])))
    assert fact_of(page, NEEDED)["taken"] < 1, "the sheet is off by 4 dB, and the tweeter louder by 0.8 dB"


def test_a_tweeter_too_loud_by_ear_leads_to_its_pad(page):
    """4 dB typed as the pad are 4 ohm times 1 - 0.631, and 4 ohm times 0.631 over 0.369: 1.5 and 6.8 of E24."""
    assert "Too loud by ear, by 4 dB say? Set the pad to 4 dB" in details(page)
    page.put(pad=4.0, lift=0.0)
    assert text(page, AS_SET) == "1.5 ohm, 15 W in series; 6.8 ohm, 10 W across: together 4.1 dB"
    assert text(page, NEEDED) == "none needed"
    page.put(pad=0.0)
    assert AS_SET not in [fact.name for fact in page.answer.facts]


def test_the_page_starts_with_the_caution_about_what_it_tells_to_buy_alone(page):
    assert page.text("voltage") == "25 W (10 V into 4 ohm)"
    (hot,) = page.answer.cautions
    assert hot.words.startswith("A steady tone at full power, as in a test, overheats these resistors")


@pytest.mark.parametrize(("steady", "over"), [((9.9, 4.9), False), ((10.1, 4.9), True), ((9.9, 5.1), True)])
def test_resistors_that_stand_a_steady_tone_are_not_warned_of(steady, over):
    """Sold in 10 W and 5 W, for 6 W and 3 W of music; a steady tone that brings less overheats neither."""
    pair = Resistors(series=2.0, across=6.8, watts=6.0, other=3.0, taken=4.0, steady=steady)
    assert bool([*too_hot(pair)]) is over


def test_the_cure_leaves_nothing_to_match(page):
    match = page.scene.cure(page.values)
    again = matched(match.system, adjusted="tweeter", against="woofer", crossover=3000.0)
    assert again.gain == pytest.approx(0.0, abs=1e-6)
    series, across = pad_resistors(match.pad)
    assert across == pytest.approx(series * 4 / (4 - series) * (4 - series) ** 2 / series**2, rel=1e-9)  # 4 ohm stay 4


def test_the_cure_does_not_depend_on_the_way_there(page):
    """What is remembered of the last move is what a new page says."""
    for state in ({"pad": 3.0}, {"voltage": 5.0}, {"capacitor": 20 * uF}, {"polarity": "reversed"}, {"angle": 30.0}):
        page.put(**state)
    fresh = loud_tweeter()
    fresh.put(**page.values)
    assert fresh.answer == page.answer


@pytest.mark.parametrize("state", [{}, {"pad": 4.0}, {"lift": 2.0, "capacitor": 25 * uF}], ids=str)
def test_what_the_capacitor_takes(page, state):
    """The volts across the tweeter with it and without, by the divider; the textbook has a resistance of 4 ohm."""
    page.put(**state)
    values, told = page.values, fact_of(page, "capacitor")
    corner = 1 / (2 * np.pi * 4 * values["capacitor"])

    def taken(frequency):
        s, k = 2j * np.pi * frequency, 10 ** (-values["pad"] / 20)
        z = impedance_of(lighter(demo_drivers()[NEW], values["lift"]), s)
        inner = z if k == 1 else 4 * (1 - k) + 1 / (1 / z + (1 - k) / (4 * k))
        return 20 * np.log10(abs(1 + 1 / (s * values["capacitor"]) / inner))

    def book(frequency):
        return 10 * np.log10(1 + (corner / frequency) ** 2)

    exact = taken(told["at"])
    assert told["takes"] == pytest.approx(abs(exact), abs=1e-6)
    (into,) = (paragraph for paragraph in page.answer.details if "plain resistor" in paragraph.words)
    assert into["book"] == pytest.approx(book(told["at"]), abs=1e-6)
    assert told.text("metric").startswith("takes" if exact >= 0 else "adds")
    grid = np.geomspace(corner / 8, corner * 8, 4000)
    assert into["book"] - exact == pytest.approx(np.max(book(grid) - taken(grid)), abs=0.02)
    (words,) = (paragraph for paragraph in page.answer.details if "By the textbook" in paragraph.words)
    assert words["corner"] == pytest.approx(corner)
    assert words["slope"] == pytest.approx(abs(taken(corner / 2) - taken(corner)), abs=0.01)
    assert words["fs"] == pytest.approx(demo_drivers()[NEW].fs)


@pytest.mark.parametrize("pad", [0.0, 7.0])
def test_the_load_of_the_channel(page, closed_form, pad):
    """Two impedances in parallel, each by its textbook formula (Small 1972, from memory)."""
    page.put(pad=pad, lift=0.0)
    frequency, shown = page.scene.stack.values("sum", "impedance")
    load = abs(ByHand(page, closed_form, np.asarray(frequency)).load)
    assert shown == pytest.approx(load, rel=1e-9)
    assert fact_of(page, "lowest load")["least"] == pytest.approx(load.min())
    (words,) = (paragraph for paragraph in page.answer.details if "load is lowest" in paragraph.words)
    assert words["at"] == pytest.approx(frequency[load.argmin()])


def other_cautions(page):
    """The cautions but for that about the resistors to buy."""
    return [said for said in page.answer.cautions if "overheats these resistors" not in said.words]


def test_the_load_is_held_against_the_amplifier(page):
    """Its lowest load in data/amplifiers.csv: 2 ohm rated, so 0.8 of that (IEC 60268-5, from memory). A woofer of 2 ohm
    goes below 2, and not below 1.6; one with half of its coil does."""
    assert page.scene.stack.values("limit", "impedance")[1] == pytest.approx(1.6)
    page.put(woofer="165 mm panel of 2 ohm", voltage=2.83)
    assert 1.6 < fact_of(page, "lowest load")["least"] < 2.0
    assert "loads rated 2 ohm or more, and such a load may fall to 1.6 ohm" in details(page)
    assert other_cautions(page) == []
    low = dataclasses.replace(demo_drivers()[WOOFER], Re=1.4, Le=0.0)
    page = loud_tweeter({"low": low, NEW: demo_drivers()[NEW]})
    page.put(voltage=2.83)
    (caution,) = other_cautions(page)
    assert caution["least"] < caution["lowest"] == pytest.approx(1.6)


def test_the_caution_stands_where_it_is_loud(page):
    page.put(voltage=FULL)
    *_, caution = page.answer.cautions
    frequency, level = page.scene.stack.values("sum", "level")
    assert f"from {frequency[np.argmax(level >= 115)]:.0f} Hz" in caution.text("metric")
    assert caution.text("metric") == (
        "It reaches 115 dB from 8913 Hz to 10000 Hz: protect your ears, at any frequency."
    )
    page.put(voltage=2.83)
    assert other_cautions(page) == []


def test_coils_that_may_burn_are_a_caution(page):
    """By hand: far above its corner the capacitor and the coil's inductance leave a tweeter of 40 W some V^2/Re."""
    page.put(pad=0.0, capacitor=30e-6, voltage=20.0)
    said = [caution.text("metric") for caution in page.answer.cautions]
    assert any("may burn the tweeter's coil" in text and "is made for 40 W" in text for text in said)
    assert any("may burn the woofer's coil" in text and "is made for 50 W" in text for text in said)
    (tweeter,) = (caution for caution in page.answer.cautions if "tweeter" in caution.words)
    assert 40 < tweeter["most"] < 20.0**2 / 3.3
    page.put(pad=15.0)  # takes all but a few of its watts
    assert not any("tweeter" in caution.words for caution in page.answer.cautions)


def test_the_levels_add_with_their_phases(page):
    """Reversed and as marked: the squares of the two sums are twice the squares of the two alone."""
    power = {}
    for polarity in ("as marked", "reversed"):
        page.put(polarity=polarity)
        power[polarity] = 10 ** (page.scene.stack.values("sum", "level")[1] / 10)
    alone = sum(10 ** (page.scene.stack.values(name, "level")[1] / 10) for name in ("woofer", "tweeter"))
    assert power["as marked"] + power["reversed"] == pytest.approx(2 * alone, rel=1e-9)


def test_the_levels_are_those_by_hand(page, closed_form):
    page.put(pad=2.0, capacitor=15 * uF)
    frequency = np.asarray(page.scene.stack.values("sum", "level")[0])
    hand = ByHand(page, closed_form, frequency).pressures
    for curve, pressure in (("woofer", hand[0]), ("tweeter", hand[1]), ("sum", sum(hand))):
        level = 20 * np.log10(abs(pressure) / 20e-6)
        assert page.scene.stack.values(curve, "level")[1] == pytest.approx(level, abs=1e-6)


def test_a_pad_takes_more_at_the_resonance_than_its_decibels(page):
    """What the lesson asks to guess: 4 dB take about 10 at 1000 Hz. Divider by hand: the pad's resistor across the
    tweeter bridges the peak of its impedance, and the capacitor works again."""
    before = drawn_near(page, "tweeter", "level", 1000.0, 8000.0)
    page.put(pad=4.0)
    taken = before - drawn_near(page, "tweeter", "level", 1000.0, 8000.0)
    s, k = 2j * np.pi * np.array([1000.0, 8000.0]), 10 ** (-4 / 20)
    z = impedance_of(lighter(demo_drivers()[NEW], 8.0), s)
    loaded = 1 / (1 / z + (1 - k) / (4 * k))
    capacitor = 1 / (s * 10e-6)
    exact = 20 * np.log10(abs(z / (z + capacitor)) / abs(loaded / (loaded + 4 * (1 - k) + capacitor)))
    assert taken == pytest.approx(exact, abs=0.05)
    assert taken[0] == pytest.approx(10.5, abs=0.5)
    assert taken[1] < 5


def test_the_axis_holds_the_loudest_that_the_lesson_asks_for(page):
    page.put(voltage=20.0, lift=10.0)
    _, high = page.scene.stack.axes["level"].get_ylim()
    highest = page.scene.stack.values("sum", "level")[1].max()
    assert highest < high
    page.reset()
    assert page.scene.stack.axes["level"].get_ylim() == (60.0, 120.0)


@pytest.mark.parametrize("pad", [0.0, 3.0])
def test_one_that_is_not_too_loud_needs_no_pad(page, closed_form, pad):
    page.put(lift=0.0, pad=0.0)
    softer = -louder_by(page, closed_form)
    page.put(pad=pad)
    do = "Leave the pad out: without one" if pad else "No pad needed:"
    assert headline(page) == f"{do} the tweeter is {softer:.1f} dB softer than the woofer."
    assert text(page, NEEDED) == "none needed"
    assert "E24" not in details(page)


@pytest.mark.parametrize("level", [0.0, 5.0])
def test_louder(level):
    driver = demo_drivers()[NEW]
    changed, by_hand = louder(driver, level), lighter(driver, level)
    assert changed.fs == pytest.approx(driver.fs)
    assert changed.Qms == pytest.approx(driver.Qms)
    assert (changed.Mms, changed.Cms, changed.Rms) == pytest.approx((by_hand.Mms, by_hand.Cms, by_hand.Rms))
    assert changed.sensitivity == pytest.approx(driver.sensitivity + level)


def test_what_is_offered(page):
    """Tweeters by their resonance; nothing without a printed sensitivity."""
    drivers = demo_drivers()
    tweeters, woofers = (page.controls[name].options for name in ("tweeter", "woofer"))
    assert all(drivers[name].fs > 1000 for name in tweeters)
    assert all(drivers[name].fs < 400 for name in woofers)
    assert all(drivers[name].sensitivity is not None for name in (*tweeters, *woofers))
    assert "200 mm step well, tired" not in woofers
    assert isinstance(drivers["200 mm step well, tired"], Driver)


def test_a_capacitor_that_is_built_in_is_not_counted_twice():
    """By the divider of all capacitors in series; two make C1 C2 / (C1 + C2) together (Kirchhoff)."""
    drivers = demo_drivers()
    mine = dataclasses.replace(drivers[NEW], built_in_capacitance=4.7e-6)
    page = loud_tweeter(drivers | {"mine": mine})
    assert page.board.hidden == ["beside_own"], "without a built-in capacitor nothing is asked about one"
    page.put(tweeter="mine", capacitor=10e-6)
    assert page.board.hidden == ["capacitor"], "the slider of a capacitor that is left out"
    frequency, shown = page.scene.stack.values("sum", "impedance")
    s = 2j * np.pi * frequency
    woofer = impedance_of(drivers[WOOFER], s)

    def load(capacitance):
        return abs(1 / (1 / woofer + 1 / (impedance_of(mine, s) + 1 / (s * capacitance))))

    assert shown == pytest.approx(load(4.7e-6), rel=1e-9)
    assert text(page, "capacitor") == "4.7 µF in all"
    assert "its own capacitor of 4.7 µF, so the series capacitor is left out" in details(page)
    assert "The pad comes before" not in details(page)
    page.put(pad=6.0)
    assert "The pad comes before the tweeter's own capacitor. Low down it takes less than its decibels" in details(page)
    page.put(pad=0.0)
    assert f"3 dB down at {1 / (2 * np.pi * 4 * 4.7e-6):.0f} Hz by the textbook" in details(page)
    page.put(beside_own=BOTH)
    assert page.board.hidden == []
    assert page.scene.stack.values("sum", "impedance")[1] == pytest.approx(load(47 / 14.7 * 1e-6), rel=1e-9)
    assert text(page, "capacitor") == "3.2 µF in all"
    assert "own 4.7 µF and the 10 µF in series make 3.2 µF" in details(page)


@pytest.mark.parametrize("beside", [OWN_ONLY, BOTH])
def test_a_pad_for_a_tweeter_with_a_capacitor_built_in(beside):
    """The two resistors that are said, in place before the tweeter, leave nothing to match."""
    drivers = demo_drivers()
    mine = dataclasses.replace(louder(drivers[NEW], 8.0), built_in_capacitance=10e-6)
    page = loud_tweeter(drivers | {"mine": mine})
    page.put(tweeter="mine", beside_own=beside, capacitor=30e-6)
    taken, series = page.answer.headline["taken"], page.answer.headline["series"]
    assert series == pytest.approx(4 * (1 - 10 ** (-taken / 20)), rel=0.06)
    exact = next(one for one in page.answer.details if "E24" in one.words)["exact"]
    page.put(pad=exact)
    assert text(page, "against the woofer") == "as loud"
    assert headline(page).startswith("That pad is right: ")


def test_only_the_new_tweeter_of_the_demonstration_is_louder_than_its_sheet(monkeypatch):
    """Its printed level stands in data/drivers.csv; one's own of the same sheet starts at that, not 8 dB above."""
    drivers = demo_drivers()
    page = loud_tweeter(drivers | {"mine": drivers[NEW]})
    assert "(98.9 dB at 2.83 V)" in page.answer.conditions.text("metric")
    pictures = []
    draw = page.picture.draw
    monkeypatch.setattr(page.picture, "draw", lambda: (pictures.append(1), draw())[1])
    page.put(tweeter="mine")
    assert page.values["lift"] == page.board.places["lift"] == 0.0
    assert "(90.9 dB at 2.83 V)" in page.answer.conditions.text("metric")
    assert headline(page).startswith("No pad needed")
    page.put(lift=3.0)
    assert "(93.9 dB at 2.83 V)" in page.answer.conditions.text("metric")
    page.put(tweeter=NEW)
    assert page.values["lift"] == 8.0
    assert len(pictures) == 3
    page.put(tweeter="mine", lift=3.0)
    assert page.values["lift"] == 3.0, "what is told of both is taken as told"
    page.put(tweeter=NEW, lift=3.0)
    assert page.values["lift"] == 3.0
    page.put(tweeter="mine")
    page.reset()
    assert (page.values["tweeter"], page.values["lift"]) == (NEW, 8.0)


def test_a_tweeter_that_is_moved_in_the_browser_starts_as_its_sheet_says():
    drivers = demo_drivers()
    page = loud_tweeter(drivers | {"mine": drivers[NEW]})
    page.board.moved = {"number": 1, "places": {"tweeter": "mine"}}
    assert page.values["lift"] == page.board.places["lift"] == 0.0


def test_woofer_and_tweeter_are_kept_from_page_to_page(place):
    """Kept on one page, taken up on another that opens."""
    page = loud_tweeter()
    page.put(woofer="165 mm panel of 2 ohm", voltage=5.0)
    page.keeping.keep.click()
    assert 'woofer = "165 mm panel of 2 ohm"' in place.read_text(encoding="utf-8")
    assert f'tweeter = "{NEW}"' in place.read_text(encoding="utf-8")
    other = loud_tweeter()
    other.keeping.take.click()
    assert (other.values["woofer"], other.values["tweeter"], other.values["voltage"]) == (
        "165 mm panel of 2 ohm",
        NEW,
        5.0,
    )


def test_in_series_it_takes_the_bass_and_no_pad_cures_that(page):
    """By the divider of woofer, capacitor and tweeter (Kirchhoff), with and without a pad behind the capacitor."""
    drivers, loud = demo_drivers(), lighter(demo_drivers()[NEW], 8.0)
    for pad in (0.0, 6.0):
        page.put(wiring="series", pad=pad)
        s, k = 2j * np.pi * 50.0, 10 ** (-pad / 20)
        z = impedance_of(loud, s)
        behind = z if k == 1 else 4 * (1 - k) + 1 / (1 / z + (1 - k) / (4 * k))
        woofer = impedance_of(drivers[WOOFER], s)
        taken = 20 * np.log10(abs((woofer + 1 / (s * 10e-6) + behind) / woofer))
        do = "rewire in parallel before you choose a pad."
        assert headline(page) == f"In series the tweeter takes {taken:.1f} dB of the bass at 50 Hz: {do}"
        assert text(page, "resistors") == "rewire in parallel first"
        assert "A pad behind it brings no bass back" in details(page)
        assert ", in series, in large panels" in conditions(page)
    page.put(pad=0.0)
    frequency, shown = page.scene.stack.values("sum", "impedance")
    s = 2j * np.pi * np.asarray(frequency)
    load = abs(impedance_of(drivers[WOOFER], s) + 1 / (s * 10e-6) + impedance_of(loud, s))
    assert shown == pytest.approx(load, rel=1e-9)
    assert fact_of(page, "lowest load")["least"] == pytest.approx(load.min())
    two = {"woofer": drivers[WOOFER], "other": loud, "wiring": "series", "capacitor": 10e-6}
    assert fact_of(page, "against the woofer")["off"] == pytest.approx(abs(by_hand.off(**two)), abs=1e-4)
    assert fact_of(page, "treble against bass")["level"] == pytest.approx(by_hand.tilt(**two), abs=0.1)


def test_a_wiring_that_is_not_known_is_found_out_and_not_taken_for_parallel_in_silence(page):
    """The coil of 3.4 ohm in parallel; in series the capacitor lets no direct current through (Kirchhoff)."""
    pad = text(page, NEEDED)
    before = page.scene.stack.values("sum", "level")[1]
    page.put(wiring="not known yet")
    assert headline(page) == "Find out first: unplug the tweeter. If the woofer falls silent too, they are in series."
    assert text(page, "meter reads") == "3.4 ohm in parallel, OL in series"
    assert text(page, "one unplugged") == "in parallel the other plays on; in series both are silent"
    assert ", taken as in parallel, in large panels" in conditions(page)
    assert page.scene.stack.values("sum", "level")[1] == pytest.approx(before)
    assert pad not in str(page.answer), "no resistor before the wiring is known"
    assert page.answer.cautions[0].text("metric") == METER_OFF
    page.put(wiring="parallel")
    assert METER_OFF not in [said.text("metric") for said in page.answer.cautions]
