"""What the page on crossing over answers, against filters of scipy and the textbook's driver."""

import dataclasses

import numpy as np
import pytest
from scipy import signal

from lumpedbox import Air, InfiniteBaffle, Loudspeaker, SideBySide, solve
from lumpedbox.circuit.build import flat, named_components
from lumpedbox.sliders.kit.pads import SIZES
from lumpedbox.sliders.lessons.crossing_over import (
    APART,
    AT_CORNER,
    BOOK,
    BOTH,
    DRIVERS,
    FLATTENED,
    PARTS,
    RESISTANCES,
    TURNED,
    TWEETER,
    WAYS,
    WITHIN,
    WOOFER,
    ahead,
    crossing_over,
    spread,
)
from lumpedbox.tables import demo_drivers
from tests.sliders.conftest import details, impedance_of

LOUD = 92.3  # dB, printed for the 130 mm step well (data/drivers.csv)
WELL, PILLAR = demo_drivers()["130 mm step well"], demo_drivers()["25 mm pillar tweeter"]


@pytest.fixture
def page():
    return crossing_over()


def curve(page, name, panel="level"):
    frequency, shown = page.scene.stack.values(name, panel)
    return np.asarray(frequency), np.asarray(shown)


def signed(said):
    """The decibels that "2.0 dB down" and the like tell."""
    words = said.text("metric")
    if words.startswith("over"):
        return -np.inf
    return float(words.split()[0]) * (-1 if words.endswith("down") else 1)


def filters(values, frequency):
    """Low-pass and high-pass of a slope, by scipy; Linkwitz and Riley's are Butterworth's of half the order, twice
    (Linkwitz 1976, from memory). The tweeter's way is an angle, its wires a sign."""
    order, family = WAYS[values["slope"]]
    twice = family == "Linkwitz-Riley"
    made = []
    for kind in ("low", "high"):
        corner = 2 * np.pi * values["corner"]
        if family == "Bessel":
            b, a = signal.bessel(order, corner, kind, analog=True, norm="mag")
        else:
            b, a = signal.butter(order // 2 if twice else order, corner, kind, analog=True)
        made.append(signal.freqs(b, a, 2 * np.pi * frequency)[1] ** (2 if twice else 1))
    way = np.exp(-2j * np.pi * frequency * values["further"] / Air().sound_speed)
    return made[0], made[1] * way * (-1 if values["polarity"] == "reversed" else 1)


def decibels(pressure):
    return 20 * np.log10(np.maximum(abs(pressure), 1e-9))


PLACES = [
    {"polarity": wires, "further": further, "corner": corner}
    for wires, further, corner in (("as marked", 0.0, 3000.0), ("reversed", 0.0, 2000.0), ("as marked", 0.05, 4000.0))
]


@pytest.mark.parametrize("slope", WAYS)
@pytest.mark.parametrize("places", PLACES)
def test_facts_and_headline_behind_resistors(page, slope, places):
    page.put(slope=slope, **places)
    corner = page.values["corner"]
    low, high = (one[0] for one in filters(page.values, np.array([corner])))
    told = page.answer[AT_CORNER]
    for column, exact in ((WOOFER, low), (TWEETER, high), (BOTH, low + high)):
        assert at_least_forty_down(signed(told[column])) == pytest.approx(
            at_least_forty_down(decibels(exact)), abs=0.051
        )
    turned = at_least_forty_down(decibels(low - high))
    assert at_least_forty_down(signed(page.answer[TURNED][BOTH])) == pytest.approx(turned, abs=0.051)
    apart = abs(np.degrees(np.angle(high / low)))
    assert page.answer[APART][BOTH]["angle"] == pytest.approx(apart, abs=1e-6)

    around = np.geomspace(corner / 2, corner * 2, 97)
    low, high = filters(page.values, around)
    both, other = decibels(low + high), decibels(low - high)
    words = page.answer[WITHIN][BOTH].text("metric")
    first, last = (words, words) if " to " not in words else words.split(" to ")
    first = f"{first} {words.split()[-1]}" if "down" not in first and "up" not in first else first
    ends = sorted(signed_text(end) for end in (first, last))
    assert ends == pytest.approx(sorted(map(at_least_forty_down, (both.min(), both.max()))), abs=0.051)

    rms = [np.sqrt(np.mean(np.maximum(level, -40) ** 2)) for level in (both, other)]
    said = page.answer.headline.text("metric")
    assert said.endswith("swap the tweeter's wires.") == (rms[1] < rms[0] - 0.5)
    worst = both[np.argmax(abs(both))]
    at_corner = decibels(sum(one[0] for one in filters(page.values, np.array([corner]))))
    shown, where = (worst, around[np.argmax(abs(both))]) if abs(worst) > abs(at_corner) + 3 else (at_corner, corner)
    assert page.answer.headline["frequency"] == pytest.approx(where, rel=0.005)
    assert ("the two cancel" in said) == (shown < -10)
    assert ("add up evenly" in said) == (abs(shown) <= 0.5)
    assert ("too loud" in said) == (shown > 0.5)
    if shown > -40:
        assert page.answer.headline["by"] == pytest.approx(abs(shown), abs=1e-6)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0.0, 0.0, "0 dB"),
        (-0.03, 0.02, "0 dB"),
        (-8.31, 0.0, "0 dB to 8.3 dB down"),
        (-8.31, -0.01, "0 dB to 8.3 dB down"),
        (0.01, 2.0, "0 dB to 2 dB up"),
        (-8.3, 4.1, "4.1 dB up to 8.3 dB down"),
        (-50.0, -2.8, "2.8 dB to over 40 dB down"),
    ],
)
def test_a_spread_that_begins_or_ends_even_says_so(low, high, words):
    assert spread(low, high).text("metric") == words


def test_two_that_add_up_evenly_say_one_number(page):
    """Butterworth of first order: 1/(1 + s) + s/(1 + s) = 1 at every frequency."""
    page.put(slope="6 dB/octave, Butterworth")
    assert page.answer[WITHIN][BOTH].text("metric") == "0 dB"


def at_least_forty_down(level):
    return max(level, -40.0)


def signed_text(words):
    number = float(words.removeprefix("over ").split()[0])
    return -number if words.endswith("down") else number


def test_what_the_lesson_asks_to_guess(page):
    """Order 2 by Butterworth as marked cancels at the corner, turned it is 3.01 dB up (derived in the lesson)."""
    frequency, both = curve(page, "sum")
    assert both[np.argmin(abs(frequency / 3000 - 1))] < 60
    assert page.answer.headline.text("metric") == "At 3000 Hz the two cancel: swap the tweeter's wires."
    assert page.answer[AT_CORNER][BOTH].text("metric") == "over 40 dB down"
    assert page.answer[TURNED][BOTH]["by"] == pytest.approx(20 * np.log10(np.sqrt(2)), abs=1e-9)
    page.put(polarity="reversed")
    assert page.answer.headline.text("metric") == "They add up, but 3.0 dB too loud at 3000 Hz."


@pytest.mark.parametrize("slope", [words for words, (_, family) in WAYS.items() if family != "Bessel"])
def test_sums_of_the_book(page, slope):
    """Odd orders of Butterworth and both of Linkwitz-Riley in their right polarity are all-pass; the angle between
    low-pass and high-pass is 90 degrees an order at every frequency (Linkwitz 1976, from memory)."""
    page.put(slope=slope)
    order, family = WAYS[slope]
    angle = curve(page, "sum", "angle")[1]
    turns = (angle - 90 * order) / 360
    assert turns == pytest.approx(np.round(turns), abs=1e-9)
    page.put(polarity="reversed" if order == 2 else "as marked")
    flat_sum = 20 * np.log10(np.sqrt(2)) if (order, family) in {(2, "Butterworth"), (4, "Butterworth")} else 0.0
    level = curve(page, "sum")[1] - LOUD
    if flat_sum:
        assert level.max() == pytest.approx(flat_sum, abs=0.02)
    else:
        assert level == pytest.approx(np.zeros(len(level)), abs=1e-9)
        assert page.answer.headline.text("metric") == "They add up evenly at 3000 Hz."
    assert "swap the" not in page.answer.headline.text("metric")


def parallel(*impedances):
    return 1 / sum(1 / impedance for impedance in impedances)


def shares(frequency, corner, evened=False):
    """Volts of woofer and tweeter over the amplifier's, behind Butterworth networks of order 2 for 4 ohm, or for Re
    with R = Re and C = Le/Re^2 across: dividers by hand."""
    s, found = 2j * np.pi * frequency, []
    for driver, is_low in ((WELL, True), (PILLAR, False)):
        rated = driver.Re if evened else 4.0
        coil, capacitor = s * np.sqrt(2) * rated / (2 * np.pi * corner), 0.0
        capacitor = np.sqrt(2) * rated * 2 * np.pi * corner / s
        load = impedance_of(driver, s)
        if evened:
            load = parallel(load, driver.Re + driver.Re**2 / (s * driver.Le))
        line, across = (coil, capacitor) if is_low else (capacitor, coil)
        behind = parallel(load, across)
        found.append(behind / (behind + line))
    return found


@pytest.mark.parametrize(("load", "evened"), [(DRIVERS, False), (FLATTENED, True)])
@pytest.mark.parametrize("wires", ["as marked", "reversed"])
def test_real_drivers_at_the_corner(page, closed_form, load, evened, wires):
    """At 8000 Hz both play as printed by the volts that are left to them, with the phase of the textbook's driver."""
    page.put(load=load, corner=8000.0, polarity=wires)
    sign = -1 if wires == "reversed" else 1
    volts = shares(8000.0, 8000.0, evened)
    phases = [closed_form(driver, 8000.0, 1.0).pressure for driver in (WELL, PILLAR)]
    woofer, tweeter = (abs(v) * np.exp(1j * np.angle(v * p)) for v, p in zip(volts, phases, strict=True))
    tweeter = sign * tweeter
    told = page.answer[AT_CORNER]
    for column, exact in ((WOOFER, woofer), (TWEETER, tweeter), (BOTH, woofer + tweeter)):
        assert signed(told[column]) == pytest.approx(decibels(exact), abs=0.06)
    assert signed(page.answer[TURNED][BOTH]) == pytest.approx(decibels(woofer - tweeter), abs=0.06)
    apart = abs(np.degrees(np.angle(tweeter / woofer)))
    assert page.answer[APART][BOTH]["angle"] == pytest.approx(apart, abs=0.2)


def test_how_far_drivers_are_from_the_book(page, closed_form):
    """The woofer at 6000 Hz by its volts over those into 4 ohm. The tweeter at 1500 Hz plays what the textbook's driver
    plays for its volts, made as loud as the woofer by the printed sensitivities, over Butterworth's 1/sqrt(17)."""
    assert BOOK not in [fact.name for fact in page.answer.facts]
    page.put(load=DRIVERS)
    told = page.answer[BOOK]
    woofer = decibels(shares(6000.0, 3000.0)[0]) - decibels(1 / np.sqrt(1 + 2**4))
    assert told[WOOFER].text("metric") == f"{woofer:.1f} dB up at 6000 Hz"
    assert woofer > 5
    volts = 2.83 * abs(shares(1500.0, 3000.0)[1])
    level = closed_form(PILLAR, 1500.0, volts).level + LOUD - PILLAR.sensitivity
    off = level - (LOUD + decibels(1 / np.sqrt(1 + 2**4)))
    assert told[TWEETER].text("metric") == f"{abs(off):.1f} dB {'up' if off > 0 else 'down'} at 1500 Hz"


def test_made_up_for_the_woofer_is_a_resistance(page):
    """Re and Le with R = Re, C = Le/Re^2 across is Re at every frequency far above the resonance."""
    page.put(load=FLATTENED)
    low, high = page.scene.networks(page.values)
    assert [name for name, _ in flat(next(reversed(list(named_components(low))))[1])] == [
        "second capacitor across",
        "resistor across",
    ]
    even = type(low)(branches=low.branches[2:])
    response = solve(Loudspeaker(driver=WELL, box=InfiniteBaffle(), network=even), [3000.0, 10000.0])
    assert abs(response.impedance) == pytest.approx([WELL.Re] * 2, rel=0.02)
    told = page.answer[PARTS][WOOFER].text("metric")
    assert f"{1e6 * WELL.Le / WELL.Re**2:.1f} µF and {WELL.Re:.1f} ohm, " in told
    assert not any(isinstance(part, SideBySide) for branch in high.branches for part in branch.components)


def test_the_drivers_are_made_equally_loud(page):
    """Above 9 kHz the tweeter stands at the woofer's printed 92.3 dB (data/drivers.csv), by the volts it is left."""
    page.put(load=DRIVERS)
    frequency, tweeter = curve(page, "tweeter")
    treble = frequency > 9000
    assert tweeter[treble] == pytest.approx(LOUD + decibels(shares(frequency[treble], 3000.0)[1]), abs=1e-6)
    told = next(said for said in page.answer.details if "made as loud" in said.words)
    assert told["loud"] == LOUD


@pytest.mark.parametrize(("further", "who"), [(0.04, "tweeter"), (-0.04, "woofer")])
def test_a_longer_way_is_an_angle(page, further, who):
    """360 f r / c; at the corner of Linkwitz-Riley filters of order 4 the sum is that of two arrows."""
    page.put(slope="24 dB/octave, Linkwitz-Riley", further=further)
    angle = 360 * 3000 * 0.04 / Air().sound_speed
    told = next(said for said in page.answer.details if "longer way" in said.words)
    assert told["angle"] == pytest.approx(angle)
    assert f"delays the {who} by 126 degrees at 3000 Hz" in told.text("metric")
    assert page.answer[APART][BOTH]["angle"] == pytest.approx(angle)
    lost = 20 * np.log10(np.cos(np.radians(angle / 2)))
    assert signed(page.answer[AT_CORNER][BOTH]) == pytest.approx(lost, abs=0.051)


def test_angles_go_once_round():
    turned = np.exp(1j * np.radians([0.0, 90.0, 180.0, 270.0, -134.0, 224.0]))
    assert ahead(turned, 1.0) == pytest.approx([0.0, 90.0, 180.0, -90.0, -134.0, 224.0])


LADDERS = [slope for slope, (_, family) in WAYS.items() if family != "Bessel"]


@pytest.mark.parametrize("slope", LADDERS)
@pytest.mark.parametrize("corner", [3000.0, 5000.0])
def test_the_parts_are_those_of_the_table(page, reference_rows, slope, corner):
    """tests/reference/data/crossover_ladder.csv (Linkwitz 1976, from memory; derived), for 4 ohm: from the load on."""
    page.put(slope=slope, corner=corner, load=RESISTANCES)
    order, family = WAYS[slope]
    for column, arm in ((WOOFER, "LP"), (TWEETER, "HP")):
        rows = [
            row
            for row in reference_rows("crossover_ladder")
            if row["arm"] == arm and int(row["order"]) == order and row["family"] == family
        ]
        assert len(rows) == order
        expected = []
        rows.sort(key=lambda row: -int(row["position_from_load"]))
        for row in rows:
            times = float(row["value_times_R_over_f_or_1_over_Rf"])
            is_coil = row["element"] == "L"
            expected.append((times * 4 / corner if is_coil else times / (4 * corner), "mH" if is_coil else "µF"))
        told = page.answer[PARTS][column]
        assert [number.value for number in told.numbers.values()] == pytest.approx([v for v, _ in expected], rel=1e-6)
        pieces = told.text("metric").split(", ")
        for piece, (_, unit), row in zip(pieces, expected, rows, strict=True):
            assert unit in piece
            assert piece.endswith("across") == ((row["element"] == "C") == (arm == "LP"))


def test_the_parts_in_words(page):
    """Order 2 of Butterworth for 4 ohm at 3000 Hz: sqrt(2) R / w = 0.30 mH and 1 / (sqrt(2) R w) = 9.4 uF."""
    told = {who: page.answer[PARTS][who].text("metric") for who in (WOOFER, TWEETER)}
    assert told == {WOOFER: "0.30 mH, 9.4 µF across", TWEETER: "9.4 µF, 0.30 mH across"}


def test_a_resistor_has_the_watts_of_the_full_sine(page):
    """Evened, a driver is Re: behind 12 dB/octave of Butterworth U / sqrt(1 + (f/fc)^4) stands at the woofer.

    With 75 W into 4 ohm, the sheet of the stores' amplifier, U^2 is 300 V^2; R and C beside the coil take
    V^2 R / (R^2 + 1/(w C)^2). The tweeter's network passes what is above the corner.
    """
    page.put(load=FLATTENED)
    for who, driver, turned in ((WOOFER, WELL, 1), (TWEETER, PILLAR, -1)):
        R, C, f = driver.Re, driver.Le / driver.Re**2, np.geomspace(300, 15000, 400)
        volts2 = 300 / (1 + (f / 3000) ** (4 * turned))
        watts = np.max(volts2 * R / (R**2 + 1 / (2 * np.pi * f * C) ** 2))
        told = page.answer[PARTS][who].text("metric")
        assert told.endswith(f"{R:.1f} ohm, {next(size for size in SIZES if size >= watts)} W across")
    assert any("the full power of four channels from the stores" in str(one) for one in page.answer.details)
    page.put(load=DRIVERS)
    assert " W" not in page.answer[PARTS][WOOFER].text("metric")


def test_up_to_where_the_model_is_followed(page):
    """k a = 1 for the radius of the cone: c / (2 pi a) (Beranek 1954, from memory)."""
    assert not [said for said in page.answer.details if "follow the model" in said.words]
    page.put(load=DRIVERS)
    told = next(said for said in page.answer.details if "follow the model" in said.words)
    for name, driver in (("woofer", WELL), ("tweeter", PILLAR)):
        assert told[name] == pytest.approx(Air().sound_speed / (2 * np.pi * np.sqrt(driver.Sd / np.pi)), rel=1e-6)


def test_a_capacitor_in_the_tweeter_is_told_of(page):
    assert "its own capacitor" not in details(page)
    mine = dataclasses.replace(PILLAR, built_in_capacitance=4.7e-6)
    page = crossing_over(demo_drivers() | {"{mine}": mine})
    page.put(tweeter="{mine}")
    assert page.message == ""
    assert "The tweeter has its own capacitor of 4.7 µF in series, after its network." in details(page)
    assert "{mine}" in page.answer.conditions.text("metric")
    assert "do not make up for its coil" not in details(page)
    page.put(load=FLATTENED)
    assert "With it, the parts across the tweeter do not make up for its coil." in details(page)


def test_what_is_not_known_of_a_driver_is_told(page):
    page.put(woofer="120 mm roof, high hopes")
    said = [said.text("metric") for said in page.answer.details]
    assert any("120 mm roof, high hopes: the printed 97.1 dB are not believed" in words for words in said)
    drivers = demo_drivers()
    stand_in = dataclasses.replace(drivers["100 mm rear roof, stand-in"], sensitivity=88.0, name="mine")
    page = crossing_over(drivers | {"mine": stand_in})
    page.put(woofer="mine")
    assert page.message == ""
    said = [said.text("metric") for said in page.answer.details]
    assert "mine: all but its level is typical of its size and kind (common practice, no source)." in said
