"""The page on what a cabin does: every number against the resonances added one by one, or the textbook's closed box."""

import numpy as np
import pytest

from lumpedbox.response.dips import first_dip
from lumpedbox.sliders.lessons.cabin_gain import cabin_gain
from lumpedbox.sliders.lessons.cabin_gain.page import CLOSED, DRIVEN, OPEN
from lumpedbox.tables import demo_cabins, demo_drivers
from tests.sliders.conftest import (
    AIR,
    ask,
    conditions,
    details,
    drawn,
    headline,
    heard_in_the_cabin,
    moves,
    put,
    textbook,
)

LEAKS = {"sixteen-seat minibus": 12.0, "small hatchback": 15.0}
HATCHBACK = {"cabin": "small hatchback"}


@pytest.fixture(scope="module")
def made():
    return cabin_gain()


def volume_of(driver):
    """Of the closed box with Qtc = 0.71: Vas / ((Qtc/Qts)^2 - 1) (Small 1972, from memory)."""
    return driver.Vas / (0.5 / driver.Qts**2 - 1)


def at_ear(page, frequency, **places):
    driver = demo_drivers()[page.values["driver"]]
    values = page.values | places
    return heard_in_the_cabin(values, driver, frequency, volume_of(driver), LEAKS[values["cabin"]])


def distance(values):
    return np.sqrt(sum((values[f"box_{axis}"] - values[f"ear_{axis}"]) ** 2 for axis in "xyz"))


def in_the_open(page, frequency, **places):
    driver = demo_drivers()[page.values["driver"]]
    level = textbook(driver, np.array([frequency]), 10.0, volume=volume_of(driver)).level[0]
    return level - 20 * np.log10(distance(page.values | places))


def said_level(said):
    return said["level"] if said.words.startswith("{") else -said["level"]


@pytest.mark.parametrize("places", [{}, HATCHBACK], ids=["minibus", "hatchback"])
def test_what_the_cabin_adds_by_each_depth(page, places):
    """Volume and length: |G|^2 = (1 + (fc/f)^4) f^2 / (f^2 + leak^2), derived; fc by the equations of the lesson."""
    put(page, **places)
    r, cabin = distance(page.values), demo_cabins()[page.values["cabin"]]
    corners = {
        "length": AIR.sound_speed / (2 * cabin.length),
        "volume": AIR.sound_speed
        / (2 * np.pi)
        * np.sqrt(2 * np.pi * r / (1.5 * cabin.length * cabin.width * cabin.height)),
    }
    for f in (20.0, 40.0, 80.0):
        told = page.answer[f"added at {f:.0f} Hz"]
        assert said_level(told["resonances"]) == pytest.approx(at_ear(page, f) - in_the_open(page, f), abs=0.03)
        for name, corner in corners.items():
            by_law = 10 * np.log10((1 + (corner / f) ** 4) / (1 + (cabin.leak / f) ** 2))
            assert said_level(told[name]) == pytest.approx(by_law, abs=0.02)


def test_the_level_in_the_open_is_the_textbooks(page):
    frequency, level = drawn(page, "open")
    assert level[12] == pytest.approx(in_the_open(page, frequency[12]), abs=0.01)


def test_the_corner_is_worked_out_for_the_box_in_it(page):
    put(page, **HATCHBACK)
    corner = {"box_x": 2.2, "box_y": 1.25, "box_z": 0.1}
    here = at_ear(page, 40.0) - in_the_open(page, 40.0)
    louder = at_ear(page, 40.0, **corner) - at_ear(page, 40.0)  # not what the cabin adds: the open air falls, too
    assert page.answer.headline["here"] == pytest.approx(here, abs=0.03)
    assert page.answer.headline["corner"] == pytest.approx(louder, abs=0.03)
    said = f"At 40 Hz the cabin adds {here:.1f} dB; in the corner the box plays {louder:.1f} dB louder."
    assert headline(page) == said
    (offer,) = page.board.plan["offers"]
    assert offer == {"text": "Box to the corner", "places": corner}
    put(page, **offer["places"])
    assert "Box to the corner" not in [offer["text"] for offer in page.board.plan["offers"]]


def test_in_the_corner_the_headline_names_no_other_place(page):
    put(page, **HATCHBACK, box_x=2.2, box_y=1.25, box_z=0.1, damping=0.03, ear_x=0.9, ear_y=0.5)
    here = at_ear(page, 40.0) - in_the_open(page, 40.0)
    assert headline(page) == f"At 40 Hz the cabin adds {here:.1f} dB."


def test_the_dip_lies_below_what_is_on_both_sides(page):
    told = page.answer["first dip"]["resonances"]
    frequency, added = drawn(page, "modes", "added")
    place = np.argmin(abs(frequency - told["frequency"]))
    assert frequency[place] == pytest.approx(told["frequency"], rel=1e-9)
    sides = max(added[:place]), max(added[place:][frequency[place:] < 144])
    assert told["depth"] == pytest.approx(min(sides) - added[place], abs=1e-6)
    assert told["depth"] > 6
    deep = at_ear(page, told["frequency"]) - in_the_open(page, told["frequency"])
    assert added[place] == pytest.approx(deep, abs=0.03)


def test_the_head_moves_as_little_as_loses_the_dip(page):
    """Every shorter move, at steps of 5 cm in four ways, leaves more than 3 dB of it: resonances one by one."""
    put(page, **HATCHBACK, box_x=2.2)
    dip, way = page.answer["first dip"]["resonances"], page.answer.headline
    assert "back to lose it" in headline(page)
    f, moved = dip["frequency"], round(way["distance"] / 0.05)
    before = at_ear(page, f)

    def gain(axis, steps):
        return at_ear(page, f, **{axis: page.values[axis] + 0.05 * steps}) - before

    assert gain("ear_x", moved) >= dip["depth"] - 3
    shorter = [gain(axis, sign * n) for n in range(1, moved) for axis in ("ear_x", "ear_y") for sign in (1, -1)]
    assert max(shorter) < dip["depth"] - 3
    offers = {offer["text"]: offer["places"] for offer in page.board.plan["offers"]}
    put(page, **offers["Head out of the dip"])
    assert page.values["ear_x"] == pytest.approx(1.15 + 0.05 * moved)


def test_where_no_move_helps_the_page_says_so(page):
    assert headline(page) == "A dip at 78 Hz: no move of the head up to 60 cm loses it; move the box."
    dip = page.answer["first dip"]["resonances"]
    f, before = dip["frequency"], at_ear(page, dip["frequency"])
    for axis, steps in (("ear_x", 12), ("ear_x", -12), ("ear_y", 12), ("ear_y", -8)):
        assert at_ear(page, f, **{axis: page.values[axis] + 0.05 * steps}) - before < dip["depth"] - 3


def test_the_band_holds_four_of_five_places_around_the_head(page):
    """64 ears that fill the cube, each a point, resonances one by one; a tenth is left out above and below."""
    driver, along = demo_drivers()["200 mm bass"], 0.15 * ((np.arange(4) + 0.5) / 4 - 0.5)
    levels = []
    for x, y, z in np.array(np.meshgrid(along, along, along)).reshape(3, -1).T:
        ear = {name: page.values[name] + d for name, d in zip(("ear_x", "ear_y", "ear_z"), (x, y, z), strict=True)}
        levels.append(
            heard_in_the_cabin(page.values | ear, driver, 80.0, volume_of(driver), 12.0, ear_width=0.0, highest=70.0)
        )
    spread = np.diff(np.quantile(levels, [0.1, 0.9]))[0]
    assert page.answer["around the head"]["resonances"]["spread"] == pytest.approx(spread, abs=0.15)


def test_the_map_is_louder_or_softer_than_the_ear(page):
    plan = page.board.plan
    rows, columns, frequency = plan["map"]["rows"], plan["map"]["columns"], plan["map"]["frequency"]
    levels = np.frombuffer(page.board.map, "<f4").reshape(len(frequency), rows, columns)
    number = int(np.argmin(np.abs(np.array(frequency) - 60)))
    driver, f = demo_drivers()["200 mm bass"], frequency[number]
    for row, column in ((0, 0), (rows - 1, columns - 1), (3, columns // 2)):
        ear = {"ear_x": (column + 0.5) * 5.0 / columns, "ear_y": (row + 0.5) * 1.8 / rows}
        there = heard_in_the_cabin(page.values | ear, driver, f, volume_of(driver), 12.0, ear_width=0.0)
        assert levels[number, row, column] == pytest.approx(there - at_ear(page, f), abs=0.25)  # 0.18: of the map


def test_what_is_told_of_resonances_and_of_truth(page):
    """c / 2L, and M. R. Schroeder's 2000 sqrt(T/V) (1962, from memory)."""
    said = details(page)
    assert (
        f"Below {AIR.sound_speed / 10:.0f} Hz the air is pressed as one. That brings back only the lowest bass." in said
    )
    assert f"From {2000 * np.sqrt(0.15 / 14.4):.0f} Hz up resonances crowd" in said
    assert "first modes within perhaps 10 to 20 % (ours, no source)" in said
    assert "The place of a dip is a warning, not a forecast." in said
    put(page, **HATCHBACK)
    assert "Below 75 Hz the air is pressed as one. This cabin brings the bass back that way." in details(page)


def test_up_to_where_volume_and_resonances_tell_the_same(page):
    said = next(text for text in page.answer.details if "up_to" in text.numbers)
    frequency, modes = drawn(page, "modes", "added")
    off = np.abs(modes - drawn(page, "volume", "added")[1]) > 3
    assert said["up_to"] == pytest.approx(frequency[np.argmax(off) - 1])
    assert str(said).startswith("By its volume")


def test_a_closed_boot_is_refused_with_the_reason(page):
    put(page, shown=DRIVEN, boot=CLOSED)
    assert headline(page).startswith("Not worked out: a closed boot is a second volume")
    assert "Seat and shelf part the boot from the ear." in str(page.answer.cautions[0])
    assert page.answer.facts == ()
    assert all(len(drawn(page, name, "added")[0]) == 0 for name in ("modes", "volume", "length"))
    assert page.board.plan["map"] is None
    assert page.board.map == b""
    put(page, boot=OPEN)
    assert page.answer.facts


def test_box_and_ear_at_one_place_are_refused_and_nothing_is_lost(page):
    before = page.board.answer
    moves(page, {"box_x": 2.6, "box_y": 0.5, "box_z": 1.1})
    assert page.message.startswith("Box and ear are at one place: 5 cm apart.")
    assert page.board.answer == before
    moves(page, {"box_x": 4.0})
    assert page.message == ""
    assert (page.values["box_y"], page.values["box_z"]) == (0.5, 1.1)


@pytest.mark.parametrize("text", ["7", "7 m", "500.5 cm", "-1"])
def test_a_place_outside_is_refused_by_name_and_stays_as_typed(page, text):
    ask(page, typed=["ear_x", text])
    assert page.board.refused["ear_x"].startswith(f"Ear from front: {text} is outside the vehicle")
    assert page.board.mistyped == {"ear_x": text}
    ask(page, typed=["ear_x", "120 cm"])
    assert page.values["ear_x"] == pytest.approx(1.2)
    assert page.board.refused == {}


def test_a_wall_pushes_what_is_in_its_way_and_lets_it_back(page):
    put(page, length=3.5)
    assert (page.values["box_x"], page.values["ear_x"]) == (3.5, 2.6)
    put(page, length=5.0)
    assert page.values["box_x"] == 4.0


def test_a_vehicle_brings_its_sizes_and_places_and_a_link_has_its_own(page):
    put(page, **HATCHBACK)
    assert [page.values[name] for name in ("length", "width", "height", "damping")] == [2.3, 1.35, 1.15, 0.08]
    assert [page.values[f"ear_{axis}"] for axis in "xyz"] == pytest.approx([1.15, 0.4, 0.9])
    ask(page, link="cabin=sixteen-seat minibus&length=4.5&ear_x=1.5")
    assert (page.values["length"], page.values["ear_x"], page.values["width"]) == (4.5, 1.5, 1.8)
    assert "4.50 m by 1.80 m by 1.60 m" in conditions(page)


@pytest.mark.parametrize("seed", range(3))
def test_the_answer_does_not_depend_on_the_way(page, seed):
    random = np.random.default_rng(seed)
    places = {
        name: float(random.uniform(page.controls[name].low, page.controls[name].high))
        for name in ("box_x", "box_y", "ear_x", "ear_z", "damping")
    }
    put(page, **HATCHBACK, **places)
    answer, plan = page.board.answer, page.board.plan
    page.reset()
    for name, value in (HATCHBACK | places).items():
        moves(page, {name: value})
    page.rest()
    if page.message == "":
        assert (page.board.answer, page.board.plan) == (answer, plan)


def test_what_ears_may_not_bear_is_said_where_it_stands(page):
    put(page, **HATCHBACK, driver="200 mm bass")
    loud = max(drawn(page, "modes")[1]) >= 115
    assert bool(page.answer.cautions) == loud
    assert "Fasten a box so that it holds in a crash." in page.board.plan["notes"][0]


def test_a_dip_is_found_by_its_sides():
    f, level = np.arange(1.0, 10.0), np.array([0, 5, 1, 3, -4, -6, 4, 0, 2.0])
    assert (first_dip(f, level).frequency, first_dip(f, level).depth) == (6.0, 10.0)
    assert first_dip(f, level, least=11) is None
    assert first_dip(f, level, least=3).frequency == 3.0
