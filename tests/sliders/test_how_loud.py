"""What the page on how loud a box plays says and draws, solved again and against closed forms."""

import dataclasses
import re

import numpy as np
import pytest

from lumpedbox import Amplifier, HeadUnit, HighPass, frequencies, maximum_level, solve
from lumpedbox.parts.amplifier import with_bridged
from lumpedbox.parts.spread import USUAL, USUAL_BUILD
from lumpedbox.sliders.kit.scene import DRAWN
from lumpedbox.sliders.lessons.how_loud import how_loud
from lumpedbox.tables import demo_amplifiers, demo_head_units, demo_noise


@pytest.fixture(scope="module")
def made():
    return how_loud()


@pytest.fixture
def page(made):
    """The page as it opens; it is made once."""
    made.reset()
    return made


def drawn(page, curve, panel="level"):
    frequency, shown = page.scene.stack.values(curve, panel)
    return np.asarray(frequency), np.asarray(shown)


def said(page, pattern):
    return [float(number) for number in re.search(pattern, page.sentence).groups()]


def behind_amplifier(page):
    """The loudspeaker of the page behind the output resistance of its amplifier."""
    amplifier = with_bridged(demo_amplifiers())[page.values["amplifier"]]
    return dataclasses.replace(page.scene.parts(page.values), source_resistance=amplifier.output_resistance)


def test_what_the_lesson_asks_to_guess(page):
    """At 20 Hz the travel, at 33 Hz the port, at 100 Hz the amplifier."""
    frequency, loudest = drawn(page, "loudest")
    for near, curve in ((20.0, "travel"), (33.0, "port"), (100.0, "amplifier")):
        at = int(np.argmin(abs(frequency - near)))
        assert loudest[at] == pytest.approx(drawn(page, curve)[1][at], abs=1e-9)
    told = "below 27 Hz the cone runs out of travel, up to 37 Hz the port gets noisy, above that the amplifier clips"
    assert told in page.sentence


def test_with_the_volts_that_are_drawn_it_plays_the_level_that_is_drawn(page):
    frequency, volts = drawn(page, "loudest", "volts")
    _, level = drawn(page, "loudest")
    speaker = behind_amplifier(page)
    played = [solve(speaker, f, v).level[0] for f, v in zip(frequency, volts, strict=True)]
    assert level == pytest.approx(played, abs=1e-9)


def test_the_band_is_what_each_of_the_drawn_loudspeakers_plays_at_most(page):
    page.controls["volume"].value = 0.02
    speaker, frequency = page.scene.parts(page.values), drawn(page, "loudest")[0]
    varied = dataclasses.replace(
        speaker,
        driver=dataclasses.replace(speaker.driver, spread=USUAL),
        box=dataclasses.replace(speaker.box, spread=USUAL_BUILD),
    ).members(DRAWN)
    places = slice(0, None, 25)
    amplifier = demo_amplifiers()[page.values["amplifier"]]
    each = [maximum_level(varied.member(i), frequency[places], amplifier=amplifier).level for i in range(DRAWN)]
    outline = page.scene.stack.bands["loudest", "level"].get_xy()[:-1, 1]
    low, high = outline[: len(frequency)], outline[len(frequency) :][::-1]
    assert [low[places], high[places]] == pytest.approx(np.percentile(each, [10, 90], axis=0), abs=1e-9)
    assert np.all(high > low)
    assert "Bands: four of five at each frequency" in page.sentence


def test_where_the_vehicle_leaves_no_half_power_none_is_told(page):
    assert "half power then at" in page.sentence
    page.controls["kind"].value, page.controls["cabin"].value = "sealed", "small hatchback"
    assert page.message == ""
    assert "is a high-pass: 12 dB an octave at" in page.sentence
    assert "half power" not in page.sentence
    assert "nan" not in page.sentence


def test_the_sentence_is_computed_anew(page):
    page.controls["volume"].value, page.controls["fb"].value = 0.02, 40.0
    level, volts = said(page, r"At 40 Hz the loudest steady tone is ([\d.]+) dB, with ([\d.]+) volts")
    speaker = behind_amplifier(page)
    at = solve(speaker, 40.0, volts)
    assert at.level[0] == pytest.approx(level, abs=0.06)
    assert at.port_velocity[0] <= 17.05
    assert volts <= np.sqrt(75 * 4) + 0.005


@pytest.mark.parametrize(("cabin", "lowest"), [("sixteen-seat minibus", 22), ("small hatchback", 16)])
def test_what_is_heard_above_the_noise_is_what_the_vehicle_makes_of_it(page, cabin, lowest):
    """Noise inside counts against the level inside: 22 Hz in the minibus, where half space would make 24."""
    assert "can be heard" not in page.sentence
    assert "Choose a vehicle to see what is heard above the noise in it." in page.sentence
    assert "noise" not in page.conditions
    assert np.all(np.isnan(drawn(page, "noise")[1]))
    page.controls["cabin"].value = cabin
    (heard,) = said(page, r"In a noise like the minibus's at 80 km/h \(invented\) the lowest tone .* heard is (\d+) Hz")
    assert heard == lowest
    assert "noise at 80 km/h (invented)" in page.conditions
    speaker, amplifier = page.scene.parts(page.values), demo_amplifiers()[page.values["amplifier"]]
    assert speaker.cabin.name == cabin
    noise = np.array(demo_noise()["80 km/h"].points).T
    above = [
        maximum_level(speaker, [f], amplifier=amplifier).level[0] - np.interp(np.log(f), np.log(noise[0]), noise[1])
        for f in (lowest - 1, lowest + 1)
    ]
    assert above[0] < 0 < above[1] or lowest == 16


def test_a_sealed_box_has_no_port_and_a_bridged_amplifier_twice_the_volts(page):
    page.controls["kind"].value = "sealed"
    assert "port" not in page.sentence
    assert np.all(np.isnan(drawn(page, "port")[1]))
    frequency, before = drawn(page, "amplifier")
    at_75 = int(np.argmin(abs(frequency - 75)))  # near the resonance in the box no current limits
    one = solve(behind_amplifier(page), frequency[at_75]).level[0]
    page.controls["amplifier"].value = "four channels from the stores, bridged"
    _, after = drawn(page, "amplifier")
    # twice the volts, behind twice the output resistance
    softer = one - solve(behind_amplifier(page), frequency[at_75]).level[0]
    assert after[at_75] - before[at_75] == pytest.approx(20 * np.log10(2) - softer, abs=1e-6)
    assert "protect your ears" not in page.sentence


def test_the_caution_stands_where_it_is_loud(page):
    page.controls["kind"].value = "vented"
    page.controls["driver"].value = "300 mm bass"
    page.controls["cabin"].value = "small hatchback"
    page.controls["amplifier"].value = "four channels from the stores, bridged"
    frequency, loudest = drawn(page, "loudest")
    (start,) = said(page, r"From (\d+) Hz it passes 115 dB: protect your ears, at any frequency")
    assert start == pytest.approx(frequency[np.argmax(loudest >= 115)], abs=0.51)


def test_what_is_offered(page):
    named = with_bridged(demo_amplifiers() | demo_head_units())
    assert list(page.controls["amplifier"].widget.options) == list(named)
    assert [type(part) for part in named.values()] == [Amplifier, Amplifier, HeadUnit]
    assert with_bridged({"odd": Amplifier(power=1, rated_impedance=4, minimum_load=4)}).keys() == {"odd"}


def test_the_high_pass_that_it_names_keeps_the_travel(page):
    """Solved with the corner that is printed: the cone then moves its 8 mm, to the rounding of a hertz."""
    speaker = page.scene.parts(page.values)
    grid = frequencies(15, 400, 96)
    without = solve(speaker, grid, np.sqrt(75 * 4))
    assert without.excursion.max() > 1.5 * speaker.driver.xmax
    for order, slope in ((2, 12), (4, 24)):
        corner, f3, plain, lowest, delay, plain_delay = said(
            page,
            rf"{slope} dB an octave at (\d+) Hz \(half power then at (\d+) in place of (\d+) Hz, the longest group "
            r"delay from (\d+) Hz up (\d+) in place of (\d+) ms\)",
        )
        assert lowest == plain, "the delay is told with the frequencies that it belongs to"
        played = dataclasses.replace(speaker, filters=(HighPass(frequency=corner, order=order, family="Butterworth"),))
        response = solve(played, grid, np.sqrt(75 * 4))
        assert response.excursion.max() == pytest.approx(speaker.driver.xmax, rel=0.05)
        assert (float(response.f3), float(without.f3)) == pytest.approx((f3, plain), abs=0.8)
        above = grid >= float(without.f3)
        longest = [1e3 * np.nanmax(entry.group_delay[above]) for entry in (response, without)]
        assert longest == pytest.approx([delay, plain_delay], abs=1.1)


def test_no_high_pass_is_asked_for_where_the_travel_suffices(page):
    page.controls["amplifier"].value = "head unit of the minibus"
    page.controls["kind"].value, page.controls["volume"].value = "sealed", 0.01
    assert "high-pass" not in page.sentence
