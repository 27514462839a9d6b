"""What the page on crossing over says and draws, against closed forms of filters and circuit theory."""

import dataclasses
import re

import numpy as np
import pytest

from lumpedbox import InfiniteBaffle, Loudspeaker, SideBySide, solve
from lumpedbox.circuit.build import flat, named_components
from lumpedbox.sliders.lessons.crossing_over import DRIVERS, FLATTENED, WAYS, ahead, crossing_over
from lumpedbox.tables import demo_drivers


@pytest.fixture
def page():
    return crossing_over()


def said(page, pattern):
    return [float(number) for number in re.search(pattern, page.sentence).groups()]


def curve(page, name, panel="level"):
    frequency, shown = page.scene.stack.values(name, panel)
    return np.asarray(frequency), np.asarray(shown)


def test_what_the_lesson_asks_to_guess(page):
    """Order 2 by Butterworth as marked cancels at the corner, reversed it is 3.01 dB up (derived in the lesson)."""
    frequency, both = curve(page, "sum")
    assert both[np.argmin(abs(frequency / 3000 - 1))] < 60
    assert "both together are more than 40 dB under the pass-band" in page.sentence
    assert said(page, r"turned it would be ([-+][\d.]+) dB")[0] == pytest.approx(3.0)
    page.controls["polarity"].value = "reversed"
    assert said(page, r"both together are ([-+][\d.]+) dB")[0] == pytest.approx(3.0)


@pytest.mark.parametrize("slope", [words for words, (_, family) in WAYS.items() if family != "Bessel"])
def test_sums_of_the_book(page, slope):
    """Odd orders of Butterworth and both of Linkwitz-Riley in their right polarity are all-pass; the angle between
    low-pass and high-pass is 90 degrees an order at every frequency (Linkwitz 1976, from memory)."""
    page.controls["slope"].value = slope
    order, family = WAYS[slope]
    angle = curve(page, "sum", "angle")[1]
    turns = (angle - 90 * order) / 360
    assert turns == pytest.approx(np.round(turns), abs=1e-9)
    page.controls["polarity"].value = "reversed" if order == 2 else "as marked"
    loud = demo_drivers()["130 mm step well"].sensitivity
    flat_sum = 20 * np.log10(np.sqrt(2)) if (order, family) in {(2, "Butterworth"), (4, "Butterworth")} else 0.0
    level = curve(page, "sum")[1] - loud
    if flat_sum:
        assert level.max() == pytest.approx(flat_sum, abs=0.02)
    else:
        assert level == pytest.approx(np.zeros(len(level)), abs=1e-9)


COIL, CAPACITOR = np.sqrt(2) * 4 / (2 * np.pi * 3000), 1 / (np.sqrt(2) * 4 * 2 * np.pi * 3000)  # H, F


def impedance_of(driver, s):
    """By the textbook: Re + s Le + Bl^2 / mechanical impedance (Small 1972, from memory)."""
    return driver.Re + s * driver.Le + driver.Bl**2 / (s * driver.Mms + driver.Rms + 1 / (s * driver.Cms))


def divided(load, line, across):
    """Share of the volts behind an impedance in the line and one across it."""
    loaded = 1 / (1 / load + 1 / across)
    return loaded / (loaded + line)


def test_real_loads_by_the_divider(page):
    """The woofer at 6000 Hz: its volts over those into 4 ohm; there it plays as loud as printed for them."""
    page.controls["load"].value = DRIVERS
    s = 2j * np.pi * 6000.0
    z = impedance_of(demo_drivers()["130 mm step well"], s)

    def share(load):
        return divided(load, s * COIL, 1 / (s * CAPACITOR))

    told = said(page, r"the woofer at 6000 Hz is ([-+][\d.]+) dB from it")[0]
    assert told == pytest.approx(20 * np.log10(abs(share(z) / share(4.0))), abs=0.051)
    assert told > 5


def test_made_up_for_the_woofer_is_a_resistance(page):
    """Re and Le with R = Re, C = Le/Re^2 across is Re at every frequency far above the resonance."""
    page.controls["load"].value = FLATTENED
    low, high = page.scene.networks(page.values)
    assert [name for name, _ in flat(next(reversed(list(named_components(low))))[1])] == [
        "second capacitor across",
        "resistor across",
    ]
    driver = demo_drivers()["130 mm step well"]
    even = type(low)(branches=low.branches[2:])
    response = solve(Loudspeaker(driver=driver, box=InfiniteBaffle(), network=even), [3000.0, 10000.0])
    assert abs(response.impedance) == pytest.approx([driver.Re] * 2, rel=0.02)
    assert "second capacitor across" in page.sentence
    assert not any(isinstance(part, SideBySide) for branch in high.branches for part in branch.components)


def test_the_drivers_are_made_equally_loud(page):
    """Above 9 kHz the tweeter stands at the woofer's printed 92.3 dB (data/drivers.csv), by the volts it is left."""
    page.controls["load"].value = DRIVERS
    frequency, tweeter = curve(page, "tweeter")
    treble = frequency > 9000
    s = 2j * np.pi * frequency[treble]
    volts = divided(impedance_of(demo_drivers()["25 mm pillar tweeter"], s), 1 / (s * CAPACITOR), s * COIL)
    assert tweeter[treble] == pytest.approx(92.3 + 20 * np.log10(abs(volts)), abs=1e-6)


def test_a_longer_way_is_an_angle(page):
    """360 f r / c; at the corner of Linkwitz-Riley filters of order 4 the sum is that of two arrows."""
    page.controls["slope"].value = "24 dB/octave, Linkwitz-Riley"
    page.controls["further"].value = 0.04
    angle = 360 * 3000 * 0.04 / 343.2
    assert said(page, r"turns the tweeter back by (\d+) degrees")[0] == pytest.approx(angle, abs=1.0)
    both, apart = said(page, r"(\d+) degrees apart; both together are")[0], angle
    assert both == pytest.approx(apart, abs=1.0)
    lost = said(page, r"both together are ([-+][\d.]+) dB")[0]
    assert lost == pytest.approx(20 * np.log10(np.cos(np.radians(angle / 2))), abs=0.1)


def test_angles_go_once_round():
    turned = np.exp(1j * np.radians([0.0, 90.0, 180.0, 270.0, -134.0, 224.0]))
    assert ahead(turned, 1.0) == pytest.approx([0.0, 90.0, 180.0, -90.0, -134.0, 224.0])


def test_what_to_buy(page):
    """Order 2 of Butterworth for 4 ohm at 3000 Hz: 0.300 mH and 9.38 uF (data/crossover_ladder.csv, scaled)."""
    assert "woofer inductor in series 0.3 mH, capacitor across 9.38 µF" in page.sentence
    assert "tweeter capacitor in series 9.38 µF, inductor across 0.3 mH" in page.sentence


def test_a_capacitor_in_the_tweeter_is_told_of(page):
    assert "its own capacitor" not in page.sentence
    drivers = demo_drivers()
    mine = dataclasses.replace(drivers["25 mm pillar tweeter"], built_in_capacitance=4.7e-6)
    page = crossing_over(drivers | {"mine": mine})
    page.put({"tweeter": "mine"})
    assert "The tweeter has its own capacitor of 4.7 µF in line, behind its network" in page.sentence
    assert "do not make up for the coil" not in page.sentence
    page.put({"load": FLATTENED})
    assert "With it, the parts across do not make up for the coil." in page.sentence
