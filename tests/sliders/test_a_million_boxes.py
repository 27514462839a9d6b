"""A million boxes: every headline and fact by the textbook's vented box, and the maps that become finer."""

import asyncio
import dataclasses

import numpy as np
import pytest

from lumpedbox import Driver
from lumpedbox.figures.reach_map import INKS, UP_TO, ReachMap
from lumpedbox.figures.style import DARK, LIGHT, new_figure, paint
from lumpedbox.sliders.kit.offered import offered
from lumpedbox.sliders.lessons.a_million_boxes import a_million_boxes, maps
from lumpedbox.sliders.lessons.a_million_boxes.page import PAUSE
from lumpedbox.tables import demo_drivers
from lumpedbox.tables.my_parts import keep
from lumpedbox.units import litre, mH
from tests.sliders import conftest
from tests.sliders.conftest import AIR, details, drawn, headline, number, put, text, textbook

FREQUENCY = np.geomspace(12, 400, 800)
SHEET = {"fs": 32.0, "Qes": 0.42, "Qms": 5.0, "Vas": 30 * litre, "Sd": 0.0214, "Re": 3.3}
DRIVERS = {
    "usual": Driver.from_thiele_small(**SHEET, Le=0.9 * mH),
    "weak": Driver.from_thiele_small(**SHEET | {"Qes": 0.8}),
    "strong": Driver.from_thiele_small(**SHEET | {"Qes": 0.18}),
}


@pytest.fixture(scope="module")
def made():
    return a_million_boxes(DRIVERS)


def over_passband(driver, volume, tuning):
    """Level over rho Bl V Sd / (2 pi Re Mms) at 1 m, by the textbook's box of Ql = 7 (Small 1973). [dB]"""
    level = textbook(driver, FREQUENCY, 2.83, volume=volume, fb=tuning, Ql=7).level
    reference = AIR.density * driver.Bl * 2.83 * driver.Sd / (2 * np.pi * driver.Re * driver.Mms)
    return level - 20 * np.log10(reference / 20e-6)


def by_hand(driver, volume, tuning):
    """f3 [Hz], peak and droop [dB], each by its definition.

    f3 is the highest rise through 3.01 dB down below 100 Hz, or the first above if it is softer there. Peak and droop
    are those of bass: up to 250 Hz. Droop: how far the level lies under a first-order high-pass, and under what is
    louder beyond.
    """
    level = over_passband(driver, volume, tuning)
    over = level + 10 * np.log10(2)
    rises = np.flatnonzero((over[:-1] < 0) & (over[1:] >= 0))
    below = FREQUENCY[rises] < 100
    at = rises[below][-1] if np.interp(100, FREQUENCY, over) >= 0 else rises[~below][0]
    f3 = np.interp(0, over[[at, at + 1]], FREQUENCY[[at, at + 1]])
    bass = level[FREQUENCY <= 250]
    droop = 0.0
    for place in np.flatnonzero(FREQUENCY[: len(bass)] > f3)[::3]:
        beyond = min(0.0, bass[place:].max())
        droop = max(droop, beyond - 10 * np.log10(1 + f3**2 / FREQUENCY[place] ** 2) - bass[place])
    return f3, max(0.0, bass.max()), droop


def best_by_hand(driver, volume, most):
    """The lowest f3 of a volume over whole and half hertz of tuning, of boxes that are even; with its tuning. [Hz]"""
    found = []
    for tuning in np.arange(20, 80.25, 0.5):
        f3, peak, droop = by_hand(driver, volume, tuning)
        if peak <= most and droop <= 0.5:
            found.append((f3, tuning))
    return min(found, default=None)


STATES = (
    {"driver": "usual", "volume": 20 * litre, "fb": 40.0, "most": 2.0},
    {"driver": "usual", "volume": 40 * litre, "fb": 45.0, "most": 2.0},
    {"driver": "weak", "volume": 15 * litre, "fb": 30.0, "most": 6.0},
    {"driver": "strong", "volume": 40 * litre, "fb": 36.0, "most": 1.0},
)


@pytest.mark.parametrize("state", [STATES[0], *(pytest.param(each, marks=pytest.mark.long) for each in STATES[1:])])
def test_the_facts_by_the_textbook(page, state):
    put(page, **state)
    driver, values = DRIVERS[state["driver"]], page.values
    f3, peak, droop = by_hand(driver, values["volume"], values["fb"])
    assert number(page, "bass reaches down to") == pytest.approx(f3, rel=0.002)
    told = number(page, "peak, droop")
    assert told["peak"] == pytest.approx(peak, abs=0.02)
    assert told["droop"] == pytest.approx(droop, abs=0.05)
    best = best_by_hand(driver, values["volume"], values["most"])
    assert number(page, "lowest in this volume")["f3"] == pytest.approx(best[0], rel=0.005)
    # f3 is flat around its lowest: the tuning is the best one, or one that reaches as low
    tuning = number(page, "lowest in this volume")["fb"]
    assert by_hand(driver, values["volume"], tuning)[0] == pytest.approx(best[0], rel=0.005)


def test_the_curves_by_the_textbook(page):
    put(page, driver="usual", volume=30 * litre)
    found = [by_hand(DRIVERS["usual"], 30 * litre, tuning) for tuning in (24.0, 36.0, 60.0)]
    for panel, curve, column, within in (("f3", "box", 0, 0.2), ("peak", "box", 1, 0.02), ("peak", "droop", 2, 0.05)):
        shown = np.interp((24.0, 36.0, 60.0), *drawn(page, curve, panel))
        assert shown == pytest.approx([each[column] for each in found], abs=within)


def test_the_headline_names_what_is_wrong_with_the_box(page):
    """The numbers are those of the facts, which have tests of their own; the kind is by the textbook."""
    driver = DRIVERS["usual"]
    put(page, driver="usual", volume=40 * litre, fb=45.0, most=2.0)
    assert by_hand(driver, 40 * litre, 45.0)[1] > 2.0
    told = page.answer.headline
    assert told["peak"] == pytest.approx(by_hand(driver, 40 * litre, 45.0)[1], abs=0.02)
    assert headline(page).startswith("Tune 40 litres to ")
    assert told["best"] == pytest.approx(best_by_hand(driver, 40 * litre, 2.0)[0], rel=0.005)
    put(page, fb=told["fb"])
    assert headline(page).endswith("as low as it gets.")
    droops = next(fb for fb in (20.0, 22.0, 24.0) if by_hand(driver, 60 * litre, fb)[2] > 0.7)
    put(page, volume=60 * litre, fb=droops)
    assert " droop." in headline(page)
    put(page, volume=15 * litre, fb=20.0)
    f3, peak, droop = by_hand(driver, 15 * litre, 20.0)
    assert (peak < 2.0, droop < 0.5) == (True, True)
    assert f3 > 1.02 * best_by_hand(driver, 15 * litre, 2.0)[0]
    assert " instead: bass down to " in headline(page)


@pytest.mark.long
def test_no_even_box_at_all(page):
    """A weak motor peaks in any box of this volume."""
    put(page, driver="weak", volume=60 * litre, most=0.5)
    assert best_by_hand(DRIVERS["weak"], 60 * litre, 0.5) is None
    assert headline(page) == "No tuning of 60 litres is even enough: allow more peak, or seal the box."
    assert text(page, "lowest in this volume") == "none is even"
    assert np.isnan(page.scene.map.best.get_ydata()).all()


@pytest.mark.long
def test_where_no_peak_that_one_may_allow_will_do():
    feeble = Driver.from_thiele_small(**SHEET | {"Qes": 2.5})
    page = a_million_boxes({"feeble": feeble})
    put(page, volume=5 * litre, most=2.0)
    assert best_by_hand(feeble, 5 * litre, page.controls["most"].high) is None
    assert headline(page) == "No tuning of 5 litres is even enough, whatever peak you allow here."


@pytest.mark.long
def test_the_map_by_the_textbook(page):
    """To 2 % but beside the cliff, where f3 jumps: there the sampled level may miss a droop of just 3 dB."""
    for name, each in ((name, page.scene.maps.of(name)) for name in DRIVERS):
        rows, columns = range(1, len(each.volume), 4), range(1, len(each.tuning), 3)
        off = [
            each.f3[row, column] / by_hand(DRIVERS[name], each.volume[row], each.tuning[column])[0] - 1
            for row in rows
            for column in columns
        ]
        assert np.median(np.abs(off)) < 0.005
        assert np.mean(np.abs(off) < 0.025) > 0.95


def test_the_lowest_of_a_map_is_the_lowest_of_its_even_boxes(page):
    put(page, driver="usual", most=2.0)
    each = page.scene.maps.of("usual")
    found = [
        (each.f3[at], at) for at in np.ndindex(each.f3.shape) if each.peak[at] <= 2.0 and each.droop[at] <= maps.DROOP
    ]
    f3, (row, column) = min(found)
    told = number(page, "lowest on the map")
    assert (told["f3"], told["volume"], told["fb"]) == (f3, each.volume[row], each.tuning[column])


@pytest.mark.long
def test_the_lowest_driver_of_a_volume_by_the_textbook(page):
    for volume in (15 * litre, 40 * litre):
        put(page, volume=volume, most=3.0)
        lowest = {name: best_by_hand(driver, volume, 3.0) for name, driver in DRIVERS.items()}
        able = {name: best[0] for name, best in lowest.items() if best}
        assert text(page, "its lowest driver") == min(able, key=able.get)
        assert [name for name in DRIVERS if f"{name}: bass down to" in details(page)] == [
            n for n in DRIVERS if n in able
        ]


def test_maps_become_fine_the_chosen_one_first(monkeypatch):
    monkeypatch.setattr(maps, "ALL", 3 * len(maps.TUNINGS) * 20)
    page = a_million_boxes(DRIVERS)
    scene, order = page.scene, []
    put(page, driver="weak")
    coarse = scene.maps.of("weak")
    assert text(page, "boxes") == f"{3 * coarse.f3.size} of {3 * 20 * len(maps.TUNINGS):,}"

    async def moved_in_between():
        task = asyncio.get_running_loop().create_task(page.refine())
        while not task.done():
            order.extend(name for name in DRIVERS if name in scene.maps.fine and name not in order)
            page.put(fb=30.0 + len(order))  # a hand that does not wait
            assert page.message == ""
            await asyncio.sleep(3 * PAUSE)
        order.extend(name for name in DRIVERS if name not in order)
        await task

    asyncio.run(moved_in_between())
    assert order[0] == "weak"
    assert scene.maps.fine == set(DRIVERS)
    assert text(page, "boxes") == f"{3 * 20 * len(maps.TUNINGS):,}"
    fine = scene.maps.of("weak")
    assert fine.f3.shape == (20, len(maps.TUNINGS))
    f3, peak, _ = by_hand(DRIVERS["weak"], fine.volume[7], fine.tuning[33])
    assert fine.f3[7, 33] == pytest.approx(f3, rel=0.02)
    assert fine.peak[7, 33] == pytest.approx(peak, abs=0.1)  # between two frequencies, a tenth of an octave apart
    page.reset()
    assert page.start_answer is not None


def test_where_no_kernel_runs_nothing_begins(page):
    page.rest()
    assert page._refining is None
    assert page.scene.maps.fine == set()


def test_there_are_a_million(page):
    done, boxes = page.scene.maps.boxes
    assert done < 20_000
    assert 1_000_000 <= boxes < 1_100_000


@pytest.mark.long
def test_at_a_glance_for_every_driver_of_the_demonstration():
    """Nothing is left out for want of room, at most 60 words: all six facts, in US units unless the name is long."""
    page = a_million_boxes()
    for name in page.scene.drivers:
        for system in ("metric", "US customary") if len(name.split()) < 5 else ("metric",):
            page.board.system = system
            put(page, driver=name)
            for fb in (30.0, 45.0, page.scene.best[1] if page.scene.best else 60.0):
                put(page, fb=fb)
                assert len(headline(page).split()) <= 20
                shown = [line["name"] for line in page.board.answer["facts"]]
                assert shown == [fact.name for fact in page.answer.facts], name
    assert set(page.scene.drivers) < set(demo_drivers())
    assert set(page.scene.drivers) <= set(offered().drivers)


@pytest.mark.parametrize("wrong", [{"volume": -1}, {"volume": "x"}, {"most": "9"}, {"fb": "2"}])
def test_what_is_out_of_reach_is_said(page, wrong):
    (name, value) = next(iter(wrong.items()))
    control = page.controls[name]
    if value == "x":
        with pytest.raises(ValueError, match="x"):
            control.typed(value, page.values, "metric")
    else:
        taken, refusal = control.typed(str(value), page.values, "metric")
        assert control.low <= taken <= control.high
        assert "is outside" in refusal


def test_the_map_draws_each_box_in_its_shade():
    picture = ReachMap(new_figure())
    picture.change((5 * litre, 200 * litre), "net volume [litres]", litre)
    f3 = np.array([[20.0, 25.0, 25.1, 59.0], [60.0, 61.0, np.nan, 30.0]])
    uneven = np.zeros_like(f3, bool)
    uneven[1, 3] = True
    picture.show(np.array([10.0, 20.0]) * litre, np.array([20.0, 21.0, 22.0, 23.0]), f3, uneven)
    shades = np.array([[0, 0, 1, len(UP_TO) - 1], [len(UP_TO) - 1, len(UP_TO), len(UP_TO) + 1, len(UP_TO) + 1]])
    assert np.array_equal(picture.image.get_array(), INKS[shades.T])
    assert INKS[-1][3] == 0, "nothing is drawn there"
    left, right, bottom, top = picture.image.get_extent()
    middle = np.log10(20) - np.log10(10)
    assert (left, right) == pytest.approx((1 - middle / 2, np.log10(20) + middle / 2))
    assert (bottom, top) == (19.5, 23.5)


def test_the_map_says_what_its_colours_and_marks_are(page):
    """In its upper right corner, which is blank at the start: large boxes that are tuned high peak."""
    (words,) = page.scene.map.axes.texts
    first, second = words.get_text().splitlines()
    assert first == page.scene.panels("metric")[0].label
    marks = {"■": "s", "○": "o"}
    scene_marks = {scene_mark.get_marker() for scene_mark in (page.scene.map.here, page.scene.map.best)}
    assert {marks[sign] for sign in marks if sign in second} == scene_marks
    for each in map(page.scene.maps.of, page.scene.drivers):
        corner = each.uneven(2.0)[each.volume > 50 * litre][:, each.tuning > 65]
        assert corner.size
        assert corner.all()
    paint(page.scene.figure, DARK)
    assert words.get_color() == DARK["ink"]
    paint(page.scene.figure, LIGHT)


def test_litres_or_cubic_feet(page):
    axes = page.scene.map.axes
    put(page, volume=28.316846592 * litre)
    assert axes.get_xlabel() == "net volume [litres]"
    assert page.scene.map.here.get_xdata()[0] == pytest.approx(np.log10(28.316846592))
    page.board.system = "US customary"
    assert axes.get_xlabel() == "net volume [cubic feet]"
    assert page.scene.map.here.get_xdata()[0] == pytest.approx(0.0, abs=1e-9)


def test_drivers_that_do_not_serve_are_left_out():
    """One that resonates above 100 Hz is no bass driver."""
    high = dataclasses.replace(DRIVERS["usual"], Cms=DRIVERS["usual"].Cms / 12)
    assert high.fs > 100
    page = a_million_boxes({"usual": DRIVERS["usual"], "high": high})
    assert list(page.scene.drivers) == ["usual"]


@pytest.mark.long
def test_what_is_kept_is_compared_and_changes_no_value_at_the_start(place):
    before = a_million_boxes()
    keep("driver", "200 mm bass", conftest.SHEET)
    after = a_million_boxes()
    assert after.values == before.values
    for name in ("bass reaches down to", "peak, droop", "lowest in this volume", "lowest on the map"):
        assert text(after, name) == text(before, name)
    assert set(after.scene.drivers) - set(before.scene.drivers) == {"200 mm bass (mine)"}
    assert "200 mm bass (mine): bass down to" in details(after)


def test_the_first_answer_waits_for_no_other_driver():
    page = a_million_boxes(DRIVERS)
    assert not page.scene.maps.complete
    assert text(page, "its lowest driver") == "..."
    page.rest()
    assert page.scene.maps.complete
    assert text(page, "its lowest driver") in DRIVERS
    others = text(page, "its lowest driver")
    page.board.moved = {"number": 1, "places": {"most": 2.1}}
    assert text(page, "its lowest driver") == others  # what is known already is told while the hand moves too
