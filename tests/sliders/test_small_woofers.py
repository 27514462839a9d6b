"""What the page on small woofers answers, against closed forms."""

import dataclasses
import itertools

import numpy as np
import pytest

from lumpedbox import Air
from lumpedbox.sliders.kit.systems import SYSTEMS
from lumpedbox.sliders.kit.words import short_names
from lumpedbox.sliders.lessons.small_woofers import ENDS_FIRST, LEVEL_NOW, MOST, NAMES, POWER_FOR_THAT, small_woofers
from lumpedbox.tables import demo_drivers
from tests.sliders.conftest import words_in

DRIVERS = demo_drivers()
TIRED, PANEL, SMALL = "200 mm step well, tired", "165 mm panel", "130 mm step well"
NO_TRAVEL = "150 x 230 mm oval shelf"
STORES, BRIDGED, HEAD_UNIT = (
    "four channels from the stores",
    "four channels from the stores, bridged",
    "head unit of the minibus",
)
# Volts, lowest load and output resistance of each, by arithmetic from data/amplifiers.csv and data/head_units.csv:
# V = sqrt(P R), and all of it twice where two channels are bridged.
SOURCES = {STORES: (300**0.5, 2.0, 0.02), BRIDGED: (2 * 300**0.5, 4.0, 0.04), HEAD_UNIT: (9.1, 4.0, 0.0)}


@pytest.fixture
def page():
    return small_woofers()


@pytest.fixture
def by_hand(closed_form):
    """What a driver does at one frequency, by closed forms that the page does not use.

    Source: the textbook's circuit of `closed_form` (Small 1972, from memory); the level within the travel as that of a
    volume moved, p = rho (2 pi f)^2 Sd x / (sqrt2 2 pi r) (L. L. Beranek, "Acoustics", 1954, from memory).
    """

    def solve_by_hand(driver, frequency, volts, source):
        (gives, load, output), s = source, 2j * np.pi * frequency
        behind = dataclasses.replace(driver, Re=driver.Re + output)  # the amplifier's resistance stands before the coil
        moving = s * driver.Mms + driver.Rms + 1 / (s * driver.Cms)
        siemens = 1 / abs(behind.Re + s * driver.Le + driver.Bl**2 / moving)
        limits = {"amplifier": min(gives, gives / load / siemens)}
        if driver.power is not None:
            limits["coil"] = (driver.power / driver.Re) ** 0.5 / siemens
        most = volts_of_travel = None
        if driver.xmax is not None:
            limits["cone"] = driver.xmax / float(closed_form(behind, frequency, 1.0).excursion)
            volts_of_travel = driver.xmax / float(closed_form(driver, frequency, 1.0).excursion)
            pressure = Air().density * (2 * np.pi * frequency) ** 2 * driver.Sd * driver.xmax / (np.sqrt(2) * 2 * np.pi)
            most = 20 * np.log10(pressure / 20e-6)
        first, level = min(limits, key=limits.get), float(closed_form(driver, frequency, volts).level)
        room = float(closed_form(behind, frequency, limits[first]).level) - level
        return {"level": level, "most": most, "first": first, "room": room, "volts of travel": volts_of_travel}

    return solve_by_hand


STATES = [
    dict(zip(NAMES, drivers, strict=True)) | {"look": look, "voltage": volts, "amplifier": source}
    for (look, volts, source), drivers in zip(
        itertools.product((20.0, 40.0, 95.0, 300.0), (0.5, 2.83, 12.0), SOURCES),
        itertools.cycle(
            [
                (TIRED, PANEL, SMALL),
                ("250 mm bass", "75 mm roof", "165 mm panel of 2 ohm"),
                (SMALL, NO_TRAVEL, "200 mm bass"),
                (PANEL, "165 mm panel of 2 ohm", NO_TRAVEL),
                ("100 mm roof", "100 mm rear roof, stand-in", "300 mm bass"),
            ]
        ),
        strict=False,
    )
]


def hands_of(page, state, by_hand):
    """By short name, what each driver does."""
    names = short_names(state[name] for name in NAMES)
    source = SOURCES[state["amplifier"]]
    found = [by_hand(DRIVERS[state[name]], state["look"], state["voltage"], source) for name in NAMES]
    return dict(zip(names, found, strict=True))


@pytest.mark.parametrize("state", STATES, ids=str)
def test_every_fact(page, by_hand, state):
    page.put(**state)
    answer, source = page.answer, SOURCES[state["amplifier"]]
    hands = hands_of(page, state, by_hand)
    assert answer.columns == tuple(hands)
    for (name, hand), driver in zip(hands.items(), (DRIVERS[state[place]] for place in NAMES), strict=True):
        assert answer[LEVEL_NOW][name]["level"] == pytest.approx(hand["level"], abs=0.001)
        if driver.xmax is None:
            assert {answer[fact][name].text("metric") for fact in (MOST, POWER_FOR_THAT, ENDS_FIRST)} == {"not known"}
            continue
        assert answer[MOST][name]["level"] == pytest.approx(hand["most"], abs=0.001)
        gives, volts = source[0], hand["volts of travel"]
        power = answer[POWER_FOR_THAT][name]
        assert power["power"] == pytest.approx(min(volts, gives) ** 2 / driver.rated_impedance, rel=1e-4)
        assert power.text("metric").startswith("more than") == (volts > gives)
        assert ("into" in power.words) == (driver.rated_impedance != DRIVERS[state["third"]].rated_impedance)
        assert answer[ENDS_FIRST][name].text("metric") == hand["first"]


@pytest.mark.parametrize("state", STATES, ids=str)
def test_the_headline(page, by_hand, state):
    page.put(**state)
    hands = hands_of(page, state, by_hand)
    first, _, third = hands.values()
    headline, gap = page.answer.headline, first["level"] - third["level"]
    assert headline["look"] == state["look"]
    assert headline["gap"] == pytest.approx(abs(gap), abs=0.001)
    text = headline.text(SYSTEMS[0])
    assert ("softer" in text, "louder" in text) == (gap > 0, gap < 0)
    ends = {"cone": "its travel ends", "coil": "the coil overheats", "amplifier": "the amplifier clips"}[third["first"]]
    if DRIVERS[state["third"]].xmax is None and third["room"] >= 0.05:
        assert "its travel is unknown" in text
    elif third["room"] >= 0.05:
        assert f"then {ends}." in text
        assert headline["room"] == pytest.approx(third["room"], abs=0.001)
    else:
        assert text.endswith(f"More power cannot help: {ends}.")
    assert len(text.split()) - len(list(hands)[-1].split()) <= 17


def test_the_states_meet_every_case(by_hand):
    """So that the checks above are of something."""
    met = set()
    for state in STATES:
        for place in NAMES:
            driver = DRIVERS[state[place]]
            hand = by_hand(driver, state["look"], state["voltage"], SOURCES[state["amplifier"]])
            met.add((driver.xmax is None, hand["first"], hand["room"] > 0))
    for ends in ("cone", "coil", "amplifier"):
        assert (False, ends, True) in met
    assert {known for known, *_ in met} == {False, True}
    assert any(not room for *_, room in met)


def test_what_it_says_at_the_start(page):
    said = page.answer.said(SYSTEMS[0])
    assert said["headline"].split(".")[0] == "At 40 Hz the 130 mm plays 7"
    assert len(said["headline"].split()) <= 20
    assert words_in(said) <= 60
    assert said["columns"] == ["200 mm", "165 mm", "130 mm"]
    assert said["cautions"] == []


def detail(page, beginning):
    """The one paragraph of the details that begins so."""
    (found,) = (said for said in page.answer.details if said.text(SYSTEMS[0]).startswith(beginning))
    return found


def test_the_power_to_match_matches(page, closed_form):
    """Played with that power, the third driver is as loud as the first was, and moves as far as is said."""
    found = detail(page, "To play as loud as the 200 mm now, the 130 mm needs")
    volts = np.sqrt(found["power"] * 4.0)
    matched = closed_form(DRIVERS[SMALL], 40.0, volts)
    assert matched.level == pytest.approx(closed_form(DRIVERS[TIRED], 40.0, 2.83).level, abs=0.001)
    assert found["travel"] == pytest.approx(matched.excursion, rel=1e-4)
    assert found["xmax"] == DRIVERS[SMALL].xmax
    page.put(first=SMALL, third=TIRED)  # which is the louder one
    assert not any("To play as loud" in said.words for said in page.answer.details)


@pytest.mark.parametrize(("first", "third", "look"), [(TIRED, SMALL, 40.0), (SMALL, "200 mm bass", 120.0)])
def test_the_shares_add_up(page, closed_form, first, third, look):
    """L. S. Shapley (1953, from memory): shares sum to the difference, and so do those in the cone (G. Owen 1977)."""

    def total(said):
        signs = {
            part.split(" takes ")[0].split(" gives ")[0].split()[-1]: "gives" in part for part in said.words.split(",")
        }
        return sum(said[name] * (1 if gives else -1) for name, gives in signs.items())

    page.put(first=first, third=third, look=look)
    gap = closed_form(DRIVERS[third], look, 2.83).level - closed_form(DRIVERS[first], look, 2.83).level
    shared, cone = detail(page, "Where the difference comes from"), detail(page, "Within the cone's share")
    assert total(shared) == pytest.approx(gap, abs=0.2)  # each share below 0.05 dB is left out
    assert total(cone) == pytest.approx(shared["cone"] * (1 if "cone gives" in shared.words else -1), abs=0.1)


def test_of_the_cone_area_alone_the_share_is_all(closed_form):
    """Of one cause alone the share is the whole difference."""
    driver = DRIVERS[TIRED]
    page = small_woofers({"one": driver, "other": dataclasses.replace(driver, Sd=driver.Sd / 2)})
    page.put(first="one", second="one", third="other")
    shared = detail(page, "Where the difference comes from")
    assert shared.words == "Where the difference comes from: the cone takes {cone}."
    assert shared["cone"] == pytest.approx(20 * np.log10(2), abs=1e-6)


def test_what_no_amplifier_changes(page):
    """Volumes moved by the data sheets, and 20 log of their ratio, at whatever frequency and power."""
    for look, volts in ((40.0, 2.83), (200.0, 12.0)):
        page.put(look=look, voltage=volts)
        air, gap = detail(page, "Within its travel the 130 mm moves"), detail(page, "So at the end of its travel")
        assert (air["few"], air["many"]) == pytest.approx((88e-4 * 3.5e-3, 214e-4 * 3e-3))
        assert gap["gap"] == pytest.approx(20 * np.log10(214 * 3 / (88 * 3.5)))
        assert "softer" in gap.words
    page.put(first="165 mm panel", third="165 mm panel of 2 ohm")
    assert "equals the first" in detail(page, "So at the end of its travel").words


def test_where_the_cone_leaves_its_travel(page, closed_form):
    assert detail(page, "Cone of the 130 mm within its travel").text(SYSTEMS[0]).endswith(": always.")
    page.put(voltage=12.0)
    said = detail(page, "Cone of the 130 mm within its travel").numbers["within"].numbers["over"]
    grid = page.scene.grid
    over = grid[closed_form(DRIVERS[SMALL], grid, 12.0).excursion > DRIVERS[SMALL].xmax]
    assert said["to0"] == pytest.approx(over.max())


def test_what_is_not_known_of_one_does_not_silence_the_others(page):
    page.put(second=NO_TRAVEL, third="130 mm rear panel")
    assert page.message == ""
    assert page.answer[ENDS_FIRST]["200 mm"].text(SYSTEMS[0]) == "cone"
    assert page.answer[MOST]["150 x 230 mm"].text(SYSTEMS[0]) == "not known"
    assert "More power may help: its travel is unknown" in page.answer.headline.text(SYSTEMS[0])
    assert "not known" in detail(page, "Cone of the 130 mm within its travel").text(SYSTEMS[0])
    assert detail(page, "The sheet of the 130 mm gives no r.m.s. power")
    assert np.isnan(page.scene.stack.values("third", "reach")[1]).all()


def cautions(page):
    return [said.text(SYSTEMS[0]) for said in page.answer.cautions]


def test_a_load_that_is_too_low(page):
    page.put(third="165 mm panel of 2 ohm", amplifier=HEAD_UNIT)
    assert cautions(page) == ["This amplifier is made for no less than 4 ohm; the 165 mm panel of 2 ohm has 2 ohm."]
    page.put(amplifier=STORES)
    assert cautions(page) == []


def test_more_power_than_the_amplifier_gives_or_the_coil_stands(page, closed_form):
    page.put(voltage=12.0, amplifier=HEAD_UNIT)
    assert "This amplifier clips at the power set: it gives 9.1 V at most." in cautions(page)
    assert not any("overheats" in said for said in cautions(page))  # 36 W, of which none has less than 40
    page.put(voltage=20.0, third="75 mm roof", look=40.0)  # 400 / 3.4 W in the coil of 15
    assert "A steady tone of this power overheats the coil of the 75 mm." in cautions(page)


def test_ears_are_to_be_protected_where_a_tone_passes_115_dB(page, closed_form):
    page.put(voltage=20.0, third="300 mm bass", cabin="small hatchback")
    levels = [page.scene.stack.values(name, "level") for name in NAMES]
    loud = levels[0][0][np.max([values for _, values in levels], axis=0) >= 115.0]
    (said,) = (said for said in page.answer.cautions if "protect your ears" in said.words)
    assert said["limit"] == 115.0
    assert f" below {loud[-1]:.0f} Hz:" in said.text(SYSTEMS[0])  # the cabin lifts the lowest tones only
    assert len(loud) < len(levels[0][0])
    page.put(voltage=2.0)
    assert cautions(page) == []


def test_the_curves_and_the_columns_bear_the_same_names(page):
    page.put(first="200 mm panel", second="200 mm bass")
    named = [entry["text"] for entry in page.board.legend][:3]
    assert named == ["200 mm panel", "200 mm bass", "130 mm"] == list(page.answer.columns)
    page.put(second="200 mm panel")
    assert page.answer.columns == ("200 mm", "130 mm")


@pytest.mark.parametrize(
    ("names", "short"),
    [
        (("200 mm step well, tired", "165 mm panel", "130 mm step well"), ["200 mm", "165 mm", "130 mm"]),
        (("150 x 230 mm oval shelf", "130 mm step well"), ["150 x 230 mm", "130 mm"]),
        (("6x9 in back shelf", "6x9 in front shelf"), ["6x9 in back", "6x9 in front"]),
        (("200 mm bass", "200 mm bass, misprinted Q"), ["200 mm bass", "200 mm bass, misprinted"]),
        (("mine", "mine"), ["mine", "mine"]),
        (("my own old one", "my own new one"), ["my own old", "my own new"]),
        (("one, a", "one a"), ["one, a", "one a"]),
    ],
)
def test_short_names(names, short):
    assert short_names(names) == short


def test_the_third_compared_with_itself(page):
    page.put(third=TIRED)
    assert page.answer.headline.text(SYSTEMS[0]).startswith("At 40 Hz the 200 mm equals the first.")
    assert not any("Where the difference comes from" in said.words for said in page.answer.details)


def test_it_says_what_it_holds_for(page):
    page.put(third="165 mm rear panel, stand-in", cabin="small hatchback")
    told = page.answer.conditions.text(SYSTEMS[0])
    assert all(words in told for words in (TIRED, "165 mm rear panel, stand-in", "small hatchback", "2.8 V", STORES))
    assert detail(page, "A stand-in is drawn with a band")
    lifted = detail(page, "Going by its volume, the cabin lifts")
    # Source: c / (2 L) (common practice, no source), with the 2.3 m of data/cabins.csv
    assert lifted["length"] == pytest.approx(Air().sound_speed / (2 * 2.3))


def test_the_axis_grows_and_comes_back(page):
    axes = page.scene.stack.axes["excursion"]
    for volts, top in ((2.83, 5.0), (12.0, 20.0), (2.83, 5.0)):
        page.put(voltage=volts)
        assert axes.get_ylim() == (0.0, top)


def test_in_customary_units(page):
    page.board.system = SYSTEMS[1]
    assert detail(page, "To play as loud").text(SYSTEMS[1]).endswith("It has 0.138 inches.")
    moved = "moves 1.9 cubic inches of air at most, the 200 mm 3.9 cubic inches."
    assert detail(page, "Within its travel").text(SYSTEMS[1]).endswith(moved)
    assert page.scene.stack.axes["excursion"].get_ylim() == (0.0, 0.2)


def test_without_a_third_the_second_is_the_one_that_is_asked_about(page, by_hand):
    """Its level against the first's, and what more power adds, by the closed forms above."""
    page.put(third="none")
    hands = [by_hand(DRIVERS[name], 40.0, 2.83, SOURCES[STORES]) for name in (TIRED, PANEL)]
    headline = page.answer.headline
    assert headline.text(SYSTEMS[0]).startswith("At 40 Hz the 165 mm plays ")
    assert headline["gap"] == pytest.approx(hands[0]["level"] - hands[1]["level"], abs=0.001)
    assert headline["room"] == pytest.approx(hands[1]["room"], abs=0.001)
    assert page.answer.columns == ("200 mm", "165 mm")
    assert [entry["text"] for entry in page.board.legend][:2] == ["200 mm", "165 mm"]
    assert "130 mm" not in str(page.board.legend)
    assert np.isnan(page.scene.stack.values("third", "level")[1]).all()
    assert page.answer.conditions.text(SYSTEMS[0]).startswith(f"{TIRED}, {PANEL}; ")
    page.put(second="165 mm panel of 2 ohm")
    assert page.text("voltage") == "4 W (2.8 V into 2 ohm)"  # 2.83 squared over 2
    page.put(third=SMALL)
    assert not np.isnan(page.scene.stack.values("third", "level")[1]).any()


def test_the_band_of_a_third_that_is_taken_away_goes_with_it(page):
    page.put(third="165 mm rear panel, stand-in")
    assert np.isfinite(page.scene.stack.bands["third", "level"].get_xy()).all()
    page.put(third="none")
    assert np.isnan(page.scene.stack.bands["third", "level"].get_xy()).all()


def test_none_is_not_kept_as_a_driver(page):
    page.put(third="none")
    assert "driver" not in page.keeping._choices()
    page.put(third=PANEL)
    assert page.keeping._choices()["driver"] == PANEL


def test_the_power_goes_as_far_as_the_strongest_amplifier(page):
    """Two channels of 75 W into 4 ohm, bridged: twice the volts, so four times the watts (Ohm's law)."""
    volts = page.controls["voltage"].high
    assert volts == pytest.approx(2 * np.sqrt(75 * 4))
    page.put(voltage=np.sqrt(250 * 4))
    assert page.text("voltage").startswith("250 W")
    page.put(voltage=volts)
    assert page.text("voltage").startswith("300 W")


def test_what_brings_the_bass_back_leads_on(page):
    """Two sources in phase double the pressure: 20 log 2 (L. L. Beranek, "Acoustics", 1954, from memory)."""
    said = detail(page, "What brings the bass back: a bigger cone, or a second driver beside the 130 mm.")
    assert said["pair"] == pytest.approx(6.0206, abs=1e-4)
    assert detail(page, "Or leave the bass to a driver in a box: the page Which box should I build?")
    page.put(third=TIRED)
    assert not any("brings the bass back" in said.words for said in page.answer.details)
