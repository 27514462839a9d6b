"""What the page on how loud a box plays says and draws, against closed forms and solved again.

The closed form is that of Small 1973 (`textbook` in conftest.py): it knows no circuit, no limits and no filters.
"""

import dataclasses
import itertools
import re

import numpy as np
import pytest

from lumpedbox import Amplifier, HeadUnit, HighPass, frequencies, maximum_level, solve
from lumpedbox.parts.amplifier import with_bridged
from lumpedbox.parts.spread import USUAL, USUAL_BUILD
from lumpedbox.sliders.kit.scene import DRAWN, WHILE_MOVING
from lumpedbox.sliders.lessons.how_loud import GRID, TOLD, headline, how_loud
from lumpedbox.tables import demo_amplifiers, demo_drivers, demo_head_units, demo_noise
from tests.sliders.conftest import drawn, fact_of, text

STORES, BRIDGED, HEAD_UNIT = (
    "four channels from the stores",
    "four channels from the stores, bridged",
    "head unit of the minibus",
)
GIVES = ("cone", "coil", "amplifier", "port")  # in the order of `allowed`
STATES = (
    {},
    {"kind": "sealed"},
    {"volume": 0.02, "fb": 40.0},
    {"fb": 25.0},
    {"driver": "300 mm bass", "amplifier": BRIDGED, "port_area": 0.015},
    {"amplifier": HEAD_UNIT, "kind": "sealed", "volume": 0.01},
    {"amplifier": BRIDGED, "kind": "sealed", "volume": 0.06},
)


@pytest.fixture(scope="module")
def made():
    return how_loud()


@pytest.fixture
def allowed(closed_form):
    """The volts that each limit of a page allows, in the order of `GIVES`, and what one volt does."""

    def volts(page, frequency):
        values, source = page.values, amplifier_of(page)
        driver = page_driver(page)
        behind = dataclasses.replace(driver, Re=driver.Re + getattr(source, "output_resistance", 0.0))
        box = {"volume": values["volume"], "Ql": 7} | ({"fb": values["fb"]} if values["kind"] == "vented" else {})
        one = closed_form(behind, np.atleast_1d(frequency), 1.0, **box)
        current = abs(one.current)
        port = 17 / (one.port_flow / values["port_area"]) if "fb" in box else np.full_like(current, np.inf)
        amplifier = np.minimum(source.voltage, source.voltage / source.minimum_load / current)
        heat = np.sqrt(driver.power / driver.Re) / current
        return np.array([driver.xmax / one.excursion, heat, amplifier, port]), one

    return volts


def amplifier_of(page):
    return with_bridged(demo_amplifiers() | demo_head_units())[page.values["amplifier"]]


def page_driver(page):
    return demo_drivers()[page.values["driver"]]


def details(page):
    return [paragraph.text("metric") for paragraph in page.answer.details]


def behind_amplifier(page):
    """The loudspeaker of the page behind the output resistance of its amplifier."""
    resistance = getattr(amplifier_of(page), "output_resistance", 0.0)
    return dataclasses.replace(page.scene.parts(page.values), source_resistance=resistance)


def test_what_the_lesson_asks_to_guess(page):
    """At 20 Hz the travel, at 33 Hz the port, at 100 Hz the amplifier."""
    frequency, loudest = drawn(page, "loudest")
    for near, curve in ((20.0, "travel"), (33.0, "port"), (100.0, "amplifier")):
        at = int(np.argmin(abs(frequency - near)))
        assert loudest[at] == pytest.approx(drawn(page, curve)[1][at], abs=1e-9)


@pytest.mark.parametrize("state", STATES, ids=str)
def test_what_gives_first_is_what_the_closed_form_gives(page, allowed, state):
    """The lowest of the volts that travel, heat, amplifier and port allow, each by the closed form."""
    page.put(**state)
    volts, _ = allowed(page, GRID)
    names = [GIVES[i] for i in np.argmin(volts, axis=0)]
    runs = [(name, max(i for i, _ in run)) for name, run in itertools.groupby(enumerate(names), key=lambda it: it[1])]
    last, edges = runs[-1][0], [GRID[place] for _, place in runs[:-1]]
    shown = [f"{edge:.0f} Hz" for edge in edges]
    told = [f"{name} {'to' if i else 'below'} {shown[i]}" for i, (name, _) in enumerate(runs[:-1])]
    at, one = allowed(page, 40.0)
    headline, who = page.answer.headline, GIVES[int(np.argmin(at))]
    assert headline["level"] == pytest.approx(float(one.level[0] + 20 * np.log10(at.min())), abs=1e-6)
    level = f"{headline['level']:.3g} dB"
    if not edges:
        assert headline.text("metric") == f"{level} at 40 Hz; the {who} gives first at every frequency."
        return
    assert ("gives first" in {fact.name for fact in page.answer.facts}) == (len(edges) > TOLD)
    if len(edges) > TOLD:
        assert text(page, "gives first") == ", ".join([*told, f"{last} above"])
    words = headline.text("metric")
    assert len(words.split()) <= 20
    if len(runs) <= 3:
        every = [f"the {name} {'to' if i else 'gives first below'} {shown[i]}" for i, (name, _) in enumerate(runs[:-1])]
        assert words == f"{level} at 40 Hz; {', '.join(every)}, the {last} above."
    else:
        assert re.search(rf"\b{who} gives first", words), "what gives first at 40 Hz"
        assert re.search(rf"below {shown[0]}", words), "and the lowest of all"


@pytest.mark.parametrize("state", STATES, ids=str)
def test_the_power_and_the_next_limit(page, allowed, state):
    """Volts and levels of the four limits at 40 Hz by the closed form; the watts are the volts' into the rated ohms."""
    page.put(**state)
    volts, _ = allowed(page, 40.0)
    first, lowest = int(np.argmin(volts)), float(volts.min())
    power = fact_of(page, "power at 40 Hz")
    assert power["volts"] == pytest.approx(lowest, rel=1e-9)
    assert power["watts"] == pytest.approx(lowest**2 / page_driver(page).rated_impedance, rel=1e-9)
    volts[first] = np.inf
    after = fact_of(page, "next limit at 40 Hz")
    assert after["more"] == pytest.approx(20 * np.log10(volts.min() / lowest), abs=1e-6)
    assert text(page, "next limit at 40 Hz").startswith(f"{GIVES[int(np.argmin(volts))]}, ")


@pytest.mark.parametrize("state", STATES, ids=str)
def test_the_level_at_which_the_cone_gives(page, allowed, state):
    """One volt's level by the closed form, and the volts at which the cone has moved its linear travel."""
    page.put(**state)
    volts, one = allowed(page, 40.0)
    cone = float(one.level[0] + 20 * np.log10(volts[0, 0]))
    assert fact_of(page, "cone gives at 40 Hz")["level"] == pytest.approx(cone, abs=1e-6)


@pytest.mark.parametrize("state", [{}, {"kind": "sealed"}, {"amplifier": BRIDGED, "fb": 40.0}], ids=str)
def test_the_high_pass_keeps_the_travel(page, closed_form, state):
    """A Butterworth of order n takes 10 lg(1 + (fc/f)^2n): the corner is the highest of those that each frequency asks
    for, with the excursion of the closed form."""
    page.put(**state)
    frequency, values = np.geomspace(15, 200, 20_000), page.values
    box = {"volume": values["volume"], "Ql": 7} | ({"fb": values["fb"]} if values["kind"] == "vented" else {})
    driver, voltage = page_driver(page), amplifier_of(page).voltage
    over = closed_form(driver, frequency, voltage, **box).excursion / driver.xmax
    needed = {n: np.max(frequency[over > 1] * (over[over > 1] ** 2 - 1) ** (1 / (2 * n))) for n in (2, 4)}
    told = fact_of(page, "high-pass for full power")
    assert told["corner"] == pytest.approx(needed[2], rel=5e-3)
    assert told.text("metric") == f"{needed[2]:.0f} Hz, 12 dB/octave"
    for paragraph, order in zip(page.answer.details, (2, 4), strict=False):
        assert paragraph["corner"] == pytest.approx(needed[order], rel=5e-3)
        assert f"({6 * order} dB/octave)" in paragraph.text("metric")


def test_what_the_high_pass_does_to_the_bass(page):
    """The loudspeaker is solved again behind a filter with the corner that is told."""
    speaker, grid = page.scene.parts(page.values), frequencies(15, 400, 96)
    without = solve(speaker, grid, np.sqrt(75 * 4))
    assert without.excursion.max() > 1.5 * speaker.driver.xmax
    for told, order in zip(page.answer.details, (2, 4), strict=False):
        behind = HighPass(frequency=told["corner"], order=order, family="Butterworth")
        response = solve(dataclasses.replace(speaker, filters=(behind,)), grid, np.sqrt(75 * 4))
        assert response.excursion.max() == pytest.approx(speaker.driver.xmax, rel=1e-3)
        assert (told["f3"], told["f3_without"]) == pytest.approx((float(response.f3), float(without.f3)), rel=1e-4)
        assert told["lowest"] == told["f3_without"], "the delay is told with the frequencies that it belongs to"
        above = grid >= float(without.f3)
        longest = [np.nanmax(entry.group_delay[above]) for entry in (response, without)]
        assert [told["delay"], told["delay_without"]] == pytest.approx(longest, rel=0.03)


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ({"amplifier": HEAD_UNIT, "kind": "sealed", "volume": 0.01}, "none needed"),
        ({"driver": "unknown travel"}, "not known: its data sheet gives no linear travel"),
        ({"driver": "hardly any travel"}, "none up to 200 Hz is enough"),
    ],
)
def test_where_no_high_pass_is_told(closed_form, state, words):
    """By the closed form: within the travel without one, and beyond it even at 200 Hz behind 24 dB an octave."""
    bass = demo_drivers()["200 mm bass"]
    others = {
        "unknown travel": dataclasses.replace(bass, xmax=None),
        "hardly any travel": dataclasses.replace(bass, xmax=2e-5),
    }
    page = how_loud(demo_drivers() | others)
    page.put(**state)
    assert text(page, "high-pass for full power") == words
    assert not any("high-pass" in paragraph for paragraph in details(page))
    unknown = any(paragraph.startswith("Not known, so no limit here: travel") for paragraph in details(page))
    assert unknown == ("not known" in words)
    frequency = np.geomspace(15, 400, 2000)
    if words == "none needed":
        assert closed_form(bass, frequency, 9.1, volume=0.01, Ql=7).excursion.max() < bass.xmax
    if "enough" in words:
        travel = closed_form(bass, frequency, np.sqrt(300), volume=0.03, fb=33, Ql=7).excursion
        assert np.max(travel / np.sqrt(1 + (200 / frequency) ** 8)) > 2e-5


def test_with_the_volts_that_are_drawn_it_plays_the_level_that_is_drawn(page):
    frequency, volts = drawn(page, "loudest", "volts")
    _, level = drawn(page, "loudest")
    speaker = behind_amplifier(page)
    played = [solve(speaker, f, v).level[0] for f, v in zip(frequency, volts, strict=True)]
    assert level == pytest.approx(played, abs=1e-9)


def edges_of(page, members, places):
    """The 10th and the 90th percentile of so many loudspeakers of one type, each solved alone."""
    speaker = page.scene.parts(page.values)
    varied = dataclasses.replace(
        speaker,
        driver=dataclasses.replace(speaker.driver, spread=USUAL),
        box=dataclasses.replace(speaker.box, spread=USUAL_BUILD),
    ).members(members)
    each = [maximum_level(varied.member(i), GRID[places], amplifier=amplifier_of(page)).level for i in range(members)]
    return np.percentile(each, [10, 90], axis=0)


def band(page, places):
    outline = page.scene.stack.bands["loudest", "level"].get_xy()[:-1, 1]
    return np.array([outline[: len(GRID)][places], outline[len(GRID) :][::-1][places]])


def test_the_band_is_what_each_of_the_drawn_loudspeakers_plays_at_most(page):
    page.put(volume=0.02)
    places = slice(0, None, 25)
    assert band(page, places) == pytest.approx(edges_of(page, DRAWN, places), abs=1e-9)
    assert np.all(np.diff(band(page, places), axis=0) > 0)
    assert any(words.startswith("The bands hold four of five") for words in details(page))


def test_a_hand_that_moves_gets_the_same_answer_and_a_band_of_fewer(page):
    """The band of a few lies near that of many, so that nothing jumps when the hand rests."""
    page.values = page.values | {"volume": 0.02}
    page.move()
    places, moving = slice(0, None, 25), page.answer
    few = band(page, places)
    assert few == pytest.approx(edges_of(page, WHILE_MOVING, places), abs=1e-9)
    page.rest()
    assert page.answer == moving
    assert band(page, places) == pytest.approx(edges_of(page, DRAWN, places), abs=1e-9)
    assert abs(band(page, places) - few).max() < 0.5


@pytest.mark.parametrize(("cabin", "lowest"), [("sixteen-seat minibus", "22 Hz"), ("small hatchback", "16 Hz")])
def test_what_is_heard_above_the_noise_is_what_the_vehicle_makes_of_it(page, allowed, cabin, lowest):
    """Noise inside counts against the level inside: 22 Hz in the minibus, where half space would make 24. The volts are
    those of the closed form, and the noise is read off its table."""
    assert "lowest tone above the noise" not in [fact.name for fact in page.answer.facts]
    assert "Choose a vehicle to see which tones are heard above the noise in it." in details(page)
    assert "noise" not in page.answer.conditions.text("metric")
    assert np.all(np.isnan(drawn(page, "noise")[1]))
    page.put(cabin=cabin)
    assert text(page, "lowest tone above the noise") == lowest
    assert "noise as in the minibus at 80 km/h (invented)" in page.answer.conditions.text("metric")
    heard, noise = fact_of(page, "lowest tone above the noise")["heard"], np.array(demo_noise()["80 km/h"].points).T
    for frequency, above in ((heard / 1.01, False), (heard * 1.01, True)):
        volts, _ = allowed(page, frequency)
        level = solve(behind_amplifier(page), frequency, float(volts.min())).level[0]
        assert (level > np.interp(np.log(frequency), np.log(noise[0]), noise[1])) == above


def test_what_is_heard_from_the_start_is_told_as_below_it_and_what_is_covered_as_none(page):
    page.put(cabin="small hatchback", driver="300 mm bass")
    assert drawn(page, "loudest")[1][0] > drawn(page, "noise")[1][0]
    assert text(page, "lowest tone above the noise") == "below 15 Hz"
    page.scene._noise, kept = ((10.0, 150.0), (400.0, 150.0)), page.scene._noise
    try:
        page.put(cabin="small hatchback")
        assert text(page, "lowest tone above the noise") == "none"
    finally:
        page.scene._noise = kept


def test_where_the_vehicle_leaves_no_f3_none_is_told(page):
    assert "3 dB down at" in details(page)[0]
    page.put(kind="sealed", cabin="small hatchback")
    assert page.message == ""
    assert details(page)[0].startswith("To use full power, set a high-pass at")
    assert "3 dB down" not in " ".join(details(page))
    assert "nan" not in str(page.answer) + " ".join(details(page))


def test_a_sealed_box_has_no_port_and_a_bridged_amplifier_twice_the_volts(page):
    assert set(page.board.hidden) == {"place"}
    page.put(kind="sealed")
    assert set(page.board.hidden) == {"fb", "port_area", "place"}
    assert "port" not in page.answer.headline.text("metric") + " ".join(details(page)).replace("typical", "")
    assert np.all(np.isnan(drawn(page, "port")[1]))
    frequency, before = drawn(page, "amplifier")
    at_75 = int(np.argmin(abs(frequency - 75)))  # near the resonance in the box no current limits
    one = solve(behind_amplifier(page), frequency[at_75]).level[0]
    page.put(amplifier=BRIDGED)
    _, after = drawn(page, "amplifier")
    # twice the volts, behind twice the output resistance
    softer = one - solve(behind_amplifier(page), frequency[at_75]).level[0]
    assert after[at_75] - before[at_75] == pytest.approx(20 * np.log10(2) - softer, abs=1e-6)
    (said,) = page.answer.cautions  # 34.6 V over 3.3 ohm, for a coil of 150 W
    assert said.words.startswith("All of the amplifier's power may burn the coil")
    assert 150 < said["most"] < 4 * 75 * 4 / 3.3


def test_where_the_amplifier_runs_out_of_current(page, allowed):
    """Ohm's law: it can drive its rated volts into its lowest load, and no more amperes than that."""
    page.put(driver="300 mm bass", amplifier=BRIDGED, port_area=0.015)
    volts, one = allowed(page, GRID)
    source = amplifier_of(page)
    short = (1 / abs(one.current) < source.minimum_load) & (np.argmin(volts, axis=0) == GIVES.index("amplifier"))
    grouped = itertools.groupby(zip(GRID, short, strict=True), lambda pair: pair[1])
    runs = [[frequency for frequency, _ in run] for is_short, run in grouped if is_short]
    where = " and ".join(f"from {run[0]:.0f} Hz to {run[-1]:.0f} Hz" for run in runs)
    assert len(runs) == 2
    (words,) = (words for words in details(page) if "current" in words)
    assert words == f"The amplifier runs out of current {where}; elsewhere it clips."


def test_the_caution_stands_where_it_is_loud(page):
    page.put(driver="300 mm bass", cabin="small hatchback", amplifier=BRIDGED)
    frequency, loudest = drawn(page, "loudest")
    *_, caution = page.answer.cautions
    loud = frequency[loudest >= 115]
    assert f" from {loud[0]:.0f} Hz" in caution.text("metric")
    assert caution.text("metric").endswith(f" {loud[-1]:.0f} Hz: protect your ears, at any frequency.")


@pytest.mark.parametrize(
    ("who", "spans", "words"),
    [
        (
            "port",
            [("amplifier", 15, 24), ("port", 25, 60), ("amplifier", 62, 300)],
            "97 dB at 40 Hz; the amplifier gives first below 24 Hz, the port to 60 Hz, the amplifier above.",
        ),
        (
            "amplifier",
            [("amplifier", 15, 58), ("port", 60, 65), ("amplifier", 67, 300)],
            "97 dB at 40 Hz; the amplifier gives first below 58 Hz, the port to 65 Hz, the amplifier above.",
        ),
        (
            "port",
            [("cone", 15, 25), ("amplifier", 26, 35), ("port", 36, 60), ("amplifier", 62, 300)],
            "97 dB at 40 Hz, where the port gives first; below 25 Hz the cone.",
        ),
        (
            "cone",
            [("cone", 15, 25), ("port", 26, 35), ("cone", 36, 60), ("amplifier", 62, 300)],
            "97 dB at 40 Hz, where the cone gives first; below 25 Hz the cone too.",
        ),
        (  # two spans of the coil, 0.74 and 0.94 octaves, are more than one octave of the amplifier
            "cone",
            [("cone", 15, 50), ("coil", 51, 85), ("amplifier", 87, 174), ("coil", 178, 300)],
            "97 dB at 40 Hz; the cone gives first below 50 Hz, mostly the coil above.",
        ),
    ],
)
def test_the_headline_leaves_no_range_out_or_says_which_matter(who, spans, words):
    assert headline(97.0, who, spans).text("metric") == words
    assert len(words.split()) <= 20


def test_a_load_that_is_too_low_is_a_caution():
    """A rated 2 ohm may fall to 0.8 of that (IEC 60268-5, from memory); a coil of 1.4 ohm falls further."""
    low = dataclasses.replace(demo_drivers()["200 mm bass"], Re=1.4, Le=0.0)
    page = how_loud({"low": low})
    (caution,) = page.answer.cautions
    assert caution["least"] == pytest.approx(1.4, rel=0.05)
    assert caution["lowest"] == pytest.approx(1.6)


def test_the_moving_section_gets_the_loudspeaker_at_full_power(page, closed_form):
    """The excursion of the closed form, behind the amplifier's output resistance and at all of its volts."""
    page.put(volume=0.025)
    response, driver = page.scene.responses["loudest"], page_driver(page)
    behind = dataclasses.replace(driver, Re=driver.Re + 0.02)
    exact = closed_form(behind, GRID, np.sqrt(75 * 4), volume=0.025, fb=33, Ql=7)
    assert response.excursion == pytest.approx(exact.excursion, rel=1e-9)


def test_what_is_offered(page):
    named = with_bridged(demo_amplifiers() | demo_head_units())
    assert page.controls["amplifier"].options == tuple(named)
    assert [type(part) for part in named.values()] == [Amplifier, Amplifier, HeadUnit]
    assert with_bridged({"odd": Amplifier(power=1, rated_impedance=4, minimum_load=4)}).keys() == {"odd"}
