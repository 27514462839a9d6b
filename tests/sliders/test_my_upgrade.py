"""The page on one's own upgrade: what it says, against systems built by hand, and what it does to a plan's file."""

import copy
import csv
import io
import itertools
import re
import shutil
from pathlib import Path

import numpy as np
import pypdf
import pytest

from lumpedbox import maximum_level, solve
from lumpedbox.design.level_matching import GRID, band_level, thinness
from lumpedbox.figures.cautions import CAUTIONS
from lumpedbox.plan import change, demo_plan, read_plan
from lumpedbox.plan.checks import rank
from lumpedbox.plan.figures import band_of_ears
from lumpedbox.response.hearing import THIRD_OCTAVES
from lumpedbox.response.system_limits import driven
from lumpedbox.sliders.kit.outcomes import HEARD, Outcomes, enough
from lumpedbox.sliders.kit.words import ear_time
from lumpedbox.sliders.lessons.my_upgrade import my_upgrade
from lumpedbox.sliders.lessons.my_upgrade.advice import NO_BETTER, STOPPED
from lumpedbox.sliders.lessons.my_upgrade.cards import STOP
from lumpedbox.sliders.lessons.my_upgrade.forms import HOLED, PANEL, TYPICAL
from lumpedbox.sliders.lessons.my_upgrade.saying import AT_THE_END, NOW, THEN, _cautions
from lumpedbox.sliders.lessons.my_upgrade.shapes import SHAPES
from lumpedbox.sliders.lessons.my_upgrade.taking import PLAN, SHEET, STEPS
from lumpedbox.sliders.lessons.my_upgrade.words import GIVES, minus, signed
from lumpedbox.tables.shipped import data_folder
from lumpedbox.tables.text_file import tables_of

ROOT = Path(__file__).resolve().parents[2]
# What each step costs, as it stands in data/upgrade_plan.toml, added up by hand.
COSTS = {
    "tweeters at the middle row": 44 + 6 + 8,
    "seal the step wells": 0,
    "small drivers in the step wells": 78,
    "amplifier": 0 + 28,
    "bass box": 95 + 30,
    "keep bass from the roof": 0,
}
ROOF, SEAL = "keep bass from the roof", "seal the step wells"
LONGEST = 20  # words of a headline


@pytest.fixture(scope="module")
def by_hand(load_module):
    return load_module(ROOT / "tests" / "unit" / "plan" / "test_state.py")


@pytest.fixture(scope="module")
def worked_out(tmp_path_factory):
    """The page with the example, all worked out; its states serve every other one."""
    made = my_upgrade(tmp_path_factory.mktemp("none") / "my_plan.toml")
    made.finish()
    return made


@pytest.fixture
def page(tmp_path, worked_out):
    made = my_upgrade(tmp_path / "my_plan.toml")
    made.outcomes, made.advice = worked_out.outcomes, copy.copy(worked_out.advice)
    made.finish()
    return made


@pytest.fixture
def own(tmp_path):
    """The page with a plan of one's own: a small car with a driver in each front door. Nothing is worked out."""
    page = my_upgrade(tmp_path / "my_plan.toml")
    do(page, "open", "new")
    do(page, "shape", "small car")
    fill(page, ["place", "front door left"], driver="~165 mm woofer")
    return page


def do(page, what, given=True):
    """Do what the browser asks for; what is to be worked out then waits."""
    page._asked(page.board, {what: given}, [])
    assert page.board.wrong == ""


def do_all(page, what, given=True):
    """Do what the browser asks for, and all the work that follows from it."""
    do(page, what, given)
    page.finish()


def fill(page, form, **typed):
    """Open a form, type something, and keep it."""
    do(page, "form", form)
    kind = {"kind": typed["kind"]} if "kind" in typed else {}
    if kind:
        do(page, "again", kind)
    shown = {one["key"]: one["value"] for one in page.board.form["fields"]}
    assert typed.keys() <= shown.keys()
    do(page, "fill", shown | typed)


def told(page):
    return page.board.told["text"]


def a_weighting(frequency):
    """IEC 61672-1, Annex E: the closed form of frequency weighting A, from memory. [dB]"""
    f2 = frequency**2
    high = 12194.217**2 * f2**2
    low = (f2 + 20.598997**2) * np.sqrt((f2 + 107.65265**2) * (f2 + 737.86223**2)) * (f2 + 12194.217**2)
    return 20 * np.log10(high / low) + 2.0


def measured(by_hand, done, levels):
    """Clean bass, treble against bass, minutes a day and what gives, of the minibus built by hand."""
    system = by_hand.by_hand(done, levels, by_hand.SEALED_BOX)
    loudest = maximum_level(system, GRID)
    first = np.argmin(loudest.voltage)
    level = loudest.level - 20 * np.log10(loudest.voltage / loudest.voltage[first])
    doors = driven(by_hand.by_hand(done, levels, by_hand.SEALED_DOOR), None)
    # Music alike in all third octaves peaks 12 dB over its mean, a tone 3.01: common practice, no source.
    music = solve(doors, THIRD_OCTAVES, loudest.voltage[first]).treble_level + a_weighting(np.asarray(THIRD_OCTAVES))
    weighted = 10 * np.log10(np.mean(10 ** (music / 10))) - (12 - 10 * np.log10(2))
    minutes = 480 * 2 ** (-(weighted - 85) / 3)  # NIOSH 98-126: eight hours at 85 dB(A), half of that 3 dB higher
    return band_level(GRID, level, 40, 80), thinness(doors), minutes, (loudest.who[first], loudest.gives[first])


def minutes_of(text):
    number, unit = re.fullmatch(r"(\d+) (min|h) a day", text).groups()
    return int(number) * (60 if unit == "h" else 1), 60 if unit == "h" else 1


def test_headline_and_facts_are_those_of_systems_built_by_hand(page, by_hand):
    states = {NOW: (), THEN: (ROOF, SEAL), AT_THE_END: page.order}
    facts, clean = page.answer, {}
    assert page.answer.columns == tuple(states)
    assert len(page.answer.facts) <= 6
    for column, done in states.items():
        clean[column], thin, minutes, (who, what) = measured(by_hand, done, page.plan.after(*done).levels)
        assert facts["clean bass"][column]["it"] == pytest.approx(clean[column], abs=1e-6)
        said, step = minutes_of(f"{facts['ear time a day'][column]} a day")
        assert said <= minutes * 1.02  # rounded down; the third octaves are interpolated
        assert said > minutes * 0.98 - step
        assert str(facts["treble/bass"][column]) == minus(f"{thin:+.1f} dB")
        assert str(facts["gives first"][column]) == f"{who}: {GIVES[what]}"
        cost = sum(COSTS[name] for name in done)
        assert str(facts["money"][column]) == (f"{cost} credits" if cost else "nothing")
    headline = page.answer.headline
    assert headline["more"] == pytest.approx(clean[THEN] - clean[NOW], abs=1e-6)
    assert str(headline).startswith(f"Do this first, free: {ROOF}, then ask about sensors and {SEAL}: 12.1 dB more.")


@pytest.mark.long
def test_what_is_first_is_the_beginning_of_an_order_that_no_other_beats_by_a_decibel(page):
    clean = {frozenset(done): page.outcomes[done].figures.clean for done in subsets(page.plan)}
    best = max(mean(order, clean, len(COSTS)) for order in orders(page.plan))
    assert page.found.best[:2] == (ROOF, SEAL)
    assert best - 1 <= mean(page.found.best, clean, len(COSTS)) <= best + 1e-9


def subsets(plan):
    found = (done for size in range(7) for done in itertools.combinations(plan.stages, size))
    return [done for done in found if all(set(plan.stages[name].after) <= set(done) for name in done)]


def orders(plan):
    """Every order of some of the stages that is possible."""
    for size in range(7):
        for order in itertools.permutations(plan.stages, size):
            if all(set(plan.stages[name].after) <= set(order[:place]) for place, name in enumerate(order)):
                yield order


def mean(order, value, turns):
    along = [value[frozenset(order[:count])] for count in range(1, len(order) + 1)] or [value[frozenset()]]
    return (sum(along) + (turns - len(along)) * along[-1]) / turns


def test_cards_tell_what_each_step_costs_changes_and_warns_of(page):
    cards = page.board.cards
    assert [card["name"] for card in cards] == ["As found", *page.order]
    spent = np.cumsum([0, *(COSTS[name] for name in page.order)])
    assert [card["cost"] for card in cards] == ["0 credits", *(str(cost) for cost in spent[1:])]
    assert [card["added"] for card in cards[1:]] == [f"+{COSTS[n]}" if COSTS[n] else "free" for n in page.order]
    levels = [page.outcomes[page.order[:count]].figures.clean for count in range(7)]
    assert [card["change"] for card in cards[1:]] == [signed(by) for by in np.diff(levels)]
    assert [card["worse"] for card in cards[1:]] == [bool(by <= -HEARD) for by in np.diff(levels)]
    # 58 mm behind the right step well, and 78 mm of driver: told once, then in short, until the driver is gone
    assert "58 mm" in cards[0]["warnings"][0]
    assert cards[1]["warnings"] == ["Still: depth, step well right."]
    assert cards[3]["warnings"] == []
    # rated anew: what takes 40 W is now on an amplifier of 75 W
    (rated,) = cards[4]["warnings"]
    assert "at step well left and step well right takes 40 W" in rated
    assert cards[5]["warnings"] == ["Still: power, step well left and step well right."]
    assert all(card["ear"] for card in cards)
    assert cards[5]["turned"] == "front left and front right +10 dB; bass +12 dB"


def test_one_may_stop_where_all_that_follows_adds_less_than_can_be_heard(page):
    do_all(page, "compare", "team two")
    stops = [card["number"] for card in page.board.beside if card["stop"]]
    clean = [page.outcomes[page.plan.orders["team two"][:count]].figures.clean for count in range(7)]
    (stop,) = stops
    assert max(clean[stop:]) < clean[stop] + 1
    assert all(max(clean[count:]) >= clean[count] + 1 for count in range(stop))
    assert page.board.beside[stop]["stop"] == STOP
    assert not any(card["stop"] for card in page.board.cards)  # team one's last step is heard


def test_an_amplifier_alone_is_no_place_to_stop(page):
    """It changes nothing by itself, but the bass box needs it."""
    order = (SEAL, ROOF, "amplifier", "bass box")
    assert enough(Outcomes(page.plan), order) == 4


def test_money_and_curves_are_those_of_the_states(page):
    (mine, other), clean = page.board.money["lines"], page.board.cards
    assert [point["cost"] for point in mine["points"]] == list(np.cumsum([0, *(COSTS[n] for n in page.order)]))
    assert [f"{point['clean']:.1f}" for point in mine["points"]] == [card["clean"].split()[0] for card in clean]
    assert (other["name"], other["points"][-1]["cost"]) == ("team two", 289)
    frequency, levels = (np.array(page.board.curves[name]) for name in ("frequency", "levels"))
    at = np.argmin(np.abs(frequency - 1000))
    expected = page.outcomes[()].figures.curve[at]
    assert levels.shape == (7, len(frequency))
    assert levels[0, at] == pytest.approx(expected, abs=0.051)


def test_worth_of_the_steps_adds_up(page):
    worth = page.board.worth
    total = page.outcomes[tuple(COSTS)].figures.clean - page.outcomes[()].figures.clean
    assert sum(step["share"] for step in worth) == pytest.approx(total, abs=0.04)
    assert sum(step["here"] for step in worth) == pytest.approx(total, abs=0.04)
    assert all(step["low"] - 0.01 <= step["here"] <= step["high"] + 0.01 for step in worth)


def test_a_stage_moves_and_moves_back(page):
    before, file = page.order, (data_folder() / "upgrade_plan.toml").read_bytes()
    do(page, "move", [SEAL, -1])
    assert page.order[:2] == (SEAL, "tweeters at the middle row")
    assert (told(page), page.board.told["undo"]) == (f"{SEAL} is now the first.", True)
    do(page, "place", [SEAL, 3])
    assert told(page) == f"{SEAL} is now number 4, after amplifier."
    assert page.remembered.state == {"order": list(page.order)}
    do(page, "undo")
    do(page, "undo")
    assert page.order == before
    assert page.remembered.state == {}
    do(page, "undo")
    assert (told(page), page.board.told["refused"]) == ("There is nothing to undo.", True)
    assert (data_folder() / "upgrade_plan.toml").read_bytes() == file


@pytest.mark.parametrize(
    ("what", "given", "said"),
    [
        ("move", ["amplifier", 1], "amplifier stays: bass box can only come after amplifier."),
        ("place", ["bass box", 0], "bass box stays: it can only come after amplifier."),
        ("leave_out", "amplifier", "amplifier stays: bass box can only come after amplifier."),
    ],
)
def test_a_move_that_cannot_be_is_refused_with_its_reason(page, what, given, said):
    before = page.order
    do(page, what, given)
    assert (told(page), page.board.told["refused"], page.order) == (said, True, before)


def test_a_step_is_left_out_and_taken_in_again(page):
    do_all(page, "leave_out", "tweeters at the middle row")
    assert page.board.left_out == ["tweeters at the middle row"]
    assert page.board.cards[-1]["cost"] == str(289 - 58)
    do(page, "take_in", "tweeters at the middle row")
    assert (page.order[-1], page.board.left_out) == ("tweeters at the middle row", [])


def test_what_the_tab_remembers_comes_back(page, tmp_path):
    do(page, "move", [SEAL, -1])
    other = my_upgrade(tmp_path / "my_plan.toml")
    other.remembered._told(None, {"kept": page.remembered.state}, [])
    assert other.order == page.order
    other.remembered._told(None, {"kept": {"order": ["gone", SEAL, "bass box"]}}, [])
    assert other.order == page.order  # there is something newer


def test_the_search_overwrites_nothing(page):
    mine = page.order
    do_all(page, "find", ["clean bass", ""])
    assert page.order == mine
    assert tuple(page.board.search["order"]) == page.found.best
    assert "105.5 dB" in page.board.search["text"]
    assert "Left out: small drivers in the step wells" in page.board.search["text"]
    do(page, "keep_mine")
    assert (page.order, page.board.search) == (mine, {})
    do_all(page, "find", ["clean bass", ""])
    do(page, "use")
    assert page.order == page.found.best
    do_all(page, "find", ["clean bass", ""])
    assert page.board.search["text"].startswith("Yours is the best.")
    do(page, "undo")
    assert page.order == mine


def test_a_search_is_stopped_half_way(page):
    mine = page.order
    page._asked(page.board, {"find": ["lowest f10", ""]}, [])
    page._one_more()
    page._one_more()
    page._publish()
    assert 0 < page.board.search["done"] < page.board.search["all"]
    do(page, "cancel")
    assert (page.board.search, page.order) == ({"text": STOPPED}, mine)


def test_a_search_keeps_within_the_money(page):
    do_all(page, "find", ["clean bass", "100"])
    order = page.board.search["order"]
    assert sum(COSTS[name] for name in order) <= 100
    assert "bass box" not in order
    do_all(page, "find", ["clean bass", "a lot"])
    assert told(page) == "Money: write a number, such as 150, got 'a lot'"
    do_all(page, "find", ["clean bass", "-5"])
    assert told(page) == "Money: it cannot be less than nothing, got -5"


@pytest.mark.long
def test_nothing_is_advised_where_nothing_helps(own):
    fill(own, ["step", ""], kind="put", where="front door left|front door right", driver="~100 mm full range", cost="9")
    own.finish()
    assert str(own.answer.headline) == "None of these steps gives you more clean bass: keep your money."
    do_all(own, "find", ["clean bass", ""])
    assert own.board.search == {"text": NO_BETTER}


def test_cautions_stand_where_they_apply(page, own):
    own.finish()
    assert CAUTIONS["Box"] not in " ".join(map(str, own.answer.cautions))
    cautions = " ".join(map(str, page.answer.cautions))
    assert all(CAUTIONS[what] in cautions for what in ("Doors", "Battery", "Box"))
    assert "An amplifier for 12 V must not meet 24" in cautions
    assert "It hardly counts bass" in cautions
    assert "Hearing does not grow back" in cautions


@pytest.mark.long
@pytest.mark.parametrize(("battery", "said"), [
    (None, "Is the system 12 V? An amplifier for 12 V must not meet 24."),
    (12.6, "The battery reads 12.6 V: a 12 V system."),
    (27.6, "The battery reads 27.6 V: every amplifier must be made for 24 V."),
    (48.0, "The battery reads 48 V: that is no 12 V system: ask the maker first."),
])  # fmt: skip
def test_what_the_battery_reads_answers_which_amplifier_may_meet_it(tmp_path, battery, said):
    read = "" if battery is None else f'battery = "{battery} V"\n'
    text = demo_plan().text.replace('voltage = "2.83 V"', f'{read}voltage = "2.83 V"')
    (tmp_path / "my_plan.toml").write_text(text, encoding="utf-8")
    plan = read_plan(tmp_path / "my_plan.toml")
    assert said in change(plan.after(), "amplifier").check
    told = {str(one) for one in _cautions(Outcomes(plan), tuple(plan.stages), ())}
    assert any(one.startswith(f"{said} ") for one in told)
    if battery is not None:
        assert not any("12 V?" in one for one in (*told, *change(plan.after(), "amplifier").check))


def test_another_kind_of_step_chooses_its_own_place_unless_one_was_chosen(copied):
    """Sealing begins at the step wells, which leak; a box at the wheel arch, which has room for one."""
    do(copied, "form", ["step", ""])
    shown = {one["key"]: one["value"] for one in copied.board.form["fields"]}
    assert shown["where"] == "step well left|step well right"
    do(copied, "again", shown | {"kind": "put"})
    shown = {one["key"]: one["value"] for one in copied.board.form["fields"]}
    do(copied, "again", shown | {"kind": "box", "name": "mine"})
    shown = {one["key"]: one["value"] for one in copied.board.form["fields"]}
    assert (shown["where"], shown["driver"], shown["name"]) == ("wheel arch", "~250 mm bass", "mine")
    do(copied, "again", shown | {"kind": "seal", "where": "roof left"})
    shown = {one["key"]: one["value"] for one in copied.board.form["fields"]}
    assert (shown["where"], shown["name"]) == ("roof left", "mine")


def test_from_nothing_to_a_first_step(tmp_path):
    page = my_upgrade(tmp_path / "my_plan.toml")
    do(page, "open", "new")
    assert str(page.answer) == "Nothing known yet. Pick the shape of your vehicle: that is enough to begin."
    assert [shape["name"] for shape in page.board.shapes] == [*SHAPES, ""]
    do_all(page, "shape", "small car")
    assert str(page.answer.headline) == "Nothing plays yet: choose a place, and say what is in it."
    fill(page, ["place", "front door left"], driver="~165 mm woofer")
    assert told(page) == "front door left and front door right: kept."
    page.finish()
    assert str(page.answer.headline).endswith(
        "of clean bass as found; first gives front door left: travel. Add a step."
    )
    do_all(page, "usual")
    assert str(page.answer.headline).startswith("Do this first, for 25 credits: ask about sensors and seal the doors: ")
    kept = read_plan(tmp_path / "my_plan.toml")
    assert set(kept.stages) == {"seal the doors", "amplifier", "bass box"}
    assert page.answer.headline["more"] == pytest.approx(
        page.outcomes[("seal the doors",)].figures.clean - page.outcomes[()].figures.clean
    )


@pytest.mark.parametrize("shape", SHAPES)
def test_every_shape_can_be_begun_with_and_holds_its_places(page, shape):
    do(page, "open", "new")
    do(page, "shape", shape)
    plan, sizes = page.plan, SHAPES[shape]
    assert (plan.cabin.length, plan.cabin.width, plan.cabin.height) == (sizes.length, sizes.width, sizes.height)
    inside = sizes.length, sizes.width, sizes.height
    for place in plan.openings.values():
        assert all(0 < way < size for way, size in zip(place["place"], inside, strict=True))
    assert len(page.board.vehicle["places"]) == len(plan.openings)


def test_another_shape_by_three_lengths(page):
    do(page, "open", "new")
    fill(page, ["sizes", ""], length="3,1", width="1.5 m", height="")
    assert page.board.form["said"].startswith("Height: ")
    do(page, "fill", {"length": "3,1", "width": "59 in", "height": "1.2"})
    assert page.plan.cabin.length == 3.1
    assert page.plan.cabin.width == pytest.approx(59 * 0.0254, abs=0.005)


def test_every_usual_driver_can_be_put_in(own):
    for size, kind in TYPICAL:
        fill(own, ["place", "dash left"], driver=f"~{size} {kind}", both="no")
        assert own.plan.have["dash left"].name.startswith(f"{size} {kind}")
        assert own.board.form == {}
    assert {place["name"]: place["size"] for place in own.board.vehicle["places"]}["dash left"] == 300


def test_the_other_side_is_only_changed_where_it_is_alike(own):
    fill(own, ["place", "front door right"], driver="~130 mm woofer", both="no")
    do(own, "form", ["place", "front door left"])
    assert {one["key"]: one["value"] for one in own.board.form["fields"]}["both"] == "no"
    fill(own, ["place", "front door left"], depth="60")
    assert own.plan.openings["front door left"]["depth"] == pytest.approx(0.060)
    assert "depth" not in own.plan.openings["front door right"]


def test_what_is_behind_a_place_is_kept(own):
    fill(own, ["place", "front door left"], behind=PANEL)
    assert own.plan.openings["front door left"].keys() == {"place", "baffle"}
    fill(own, ["place", "front door left"], behind=HOLED, volume="25", hole="120")
    for side in ("left", "right"):
        known = own.plan.openings[f"front door {side}"]
        assert (known["volume"], known["hole"]) == (pytest.approx(0.025), pytest.approx(0.012))


def test_a_new_place_gets_its_twin_across(own):
    fill(own, ["place", ""], name="rear shelf left", driver="~100 mm full range", behind=PANEL, place="1.9, 0.3, 0.7")
    assert own.plan.openings["rear shelf right"]["place"] == pytest.approx((1.9, 1.35 - 0.3, 0.7))
    assert own.plan.channels["rear shelf right"]["feeds"] == ("rear shelf right",)


@pytest.mark.parametrize(
    ("form", "typed", "said"),
    [
        (["place", "dash left"], {"depth": "58 Herz"}, "Depth: '58 Herz': 'Herz' is not a known unit"),
        (["place", "dash left"], {"place": "1, 2"}, "Where: write three lengths in metres, such as 0.6, 0.1, 0.35"),
        (["place", "dash left"], {"place": "9, 0.2, 0.5"}, "Where, in metres: 9, 0.2, 0.5 m: 9 m from"),
        (["place", "dash left"], {"hole_place": "9, 1, 1"}, "Leak at, in metres: 9, 1, 1 m: 9 m from the front"),
        (["place", "dash left"], {"behind": HOLED, "volume": ""}, "Litres behind: how many, from a tape measure?"),
        (["place", ""], {"name": " "}, "Name: how do you call it?"),
        (["step", ""], {"kind": "filter", "filter": "high pass"}, "Filter: 'high pass': write it as in high-pass"),
        (["step", ""], {"kind": "box", "volume": "3 kg", "cost": "0"}, "Litres inside: '3 kg': 'kg' cannot be"),
        (["step", ""], {"kind": "put", "cost": "-60"}, "Costs: write 0 or more, got -60"),
        (["step", ""], {"kind": "box", "volume": ""}, "Litres inside: how many does the box hold?"),
        (["step", ""], {"kind": "put", "cost": ""}, "Costs: how much is it? Write 0 if you have it already."),
        (["step", ""], {"kind": "put", "cost": "much"}, "Costs: write a number, such as 95, got 'much'"),
        (["channel", ""], {"name": "new", "feeds": "roof"}, "It feeds: 'roof': no opening of that name"),
    ],
)
def test_a_slip_is_told_in_the_form_and_nothing_is_kept(own, form, typed, said):
    before = own.path.read_bytes()
    fill(own, form, **typed)
    assert said in own.board.form["said"]
    assert not any(word in own.board.form["said"] for word in ("my_plan.toml", "[", "{"))  # of the file, not the form
    assert own.path.read_bytes() == before


NONSENSE = ("", "0", "-1", "1e400", "nan", "'''", '"]\n[x', "💥", "58 mm; 3", "a" * 300, "\x00", "{}", "1,2,3,4")


@pytest.fixture
def copied(tmp_path):
    """The page with the example as one's own plan."""
    made = my_upgrade(tmp_path / "my_plan.toml")
    do(made, "open", "copy")
    return made


@pytest.mark.parametrize(("step", "typed", "key", "wanted"), [
    ("tweeters at the middle row", {"line middle row left|middle row right": "10 uF in series; 3 dB pad"}, "line",
     {key: ["10 uF in series", "3 dB pad"] for key in ("middle row left", "middle row right")}),
    ("small drivers in the step wells", {"put step well left|step well right": "=165 mm panel"}, "put",
     dict.fromkeys(("step well left", "step well right"), "165 mm panel")),
    ("seal the step wells", {"set hole step well left|step well right": "5"}, "set",
     {key: {"hole": "5 cm2"} for key in ("step well left", "step well right")}),
    ("bass box", {"box volume wheel arch": "35", "box tuning wheel arch": "32"}, "box",
     {"wheel arch": {"volume": "35 litres", "Ql": 7, "tuning": "32 Hz"}}),
    ("bass box", {"filter bass": ""}, "filter",
     {key: ["high-pass 80 Hz, 12 dB/octave"] for key in ("front left", "front right")}),
    ("amplifier", {"move front left|front right|bass": "nothing"}, "move",
     dict.fromkeys(("front left", "front right", "bass"), "nothing")),
])  # fmt: skip
def test_a_step_is_changed_in_all_that_it_does_and_nothing_else_of_the_file_is(copied, step, typed, key, wanted):
    before = tables_of(copied.plan.text, "")
    fill(copied, ["step", step], **typed)
    after = tables_of(copied.path.read_text("utf-8"), "")
    assert after["stage"][step].pop(key) == wanted
    before["stage"][step].pop(key)
    before.get("orders", {}).pop("my order", None), after.get("orders", {}).pop("my order", None)
    assert after == before
    assert all(remark in copied.path.read_text("utf-8") for remark in ("# a heater duct", "# from the stores"))


def test_a_step_that_wires_anew_and_settles_the_feed_shows_both(copied):
    stage = tables_of(copied.plan.text, "")["stage"]["amplifier"]
    feed = {
        "voltage": "13.8 V",
        "area": "25 mm2",
        "length": "5 m",
        "draws": [{"power": "150 W", "efficiency": "65 %", "name": "four channels from the stores"}],
    }
    wiring = {"roof and middle left": "series", "roof and middle right": "series"}
    copied._keep([("stage", "amplifier", stage | {"feed": feed, "wiring": wiring})])
    do(copied, "form", ["step", "amplifier"])
    shown = {one["label"]: one for one in copied.board.form["fields"]}
    assert shown["Wired, roof and middle left and right"]["value"] == "series"
    assert shown["Wire from the battery"]["options"][0][0].startswith("25 mm²")
    do(copied, "fill", {one["key"]: one["value"] for one in copied.board.form["fields"]})
    kept = read_plan(copied.path).stages["amplifier"]
    assert (kept.wiring, kept.feed.cable.area) == (wiring, pytest.approx(25e-6))
    do(copied, "form", ["step", "amplifier"])
    typed = {one["key"]: one["value"] for one in copied.board.form["fields"]}
    do(copied, "fill", typed | {"feed": "nothing", "wiring roof and middle left|roof and middle right": "parallel"})
    kept = read_plan(copied.path).stages["amplifier"]
    assert (set(kept.wiring.values()), kept.feed) == ({"parallel"}, None)


def test_a_step_is_given_more_to_do(copied):
    step = "small drivers in the step wells"
    do(copied, "form", ["step", step])
    do(copied, "again", {one["key"]: one["value"] for one in copied.board.form["fields"]} | {"kind": "filter"})
    shown = {one["key"]: one["value"] for one in copied.board.form["fields"]}
    do(copied, "fill", shown | {"which": "front left|front right", "filter": "high-pass 60 Hz, 12 dB/octave"})
    assert copied.board.form == {}
    stage = read_plan(copied.path).stages[step]
    assert set(stage.filter) == {"front left", "front right"}
    assert set(stage.put) == {"step well left", "step well right"}
    fill(copied, ["step", step])  # what is kept unchanged stays as it is written
    assert read_plan(copied.path).text == copied.plan.text


@pytest.mark.long
@pytest.mark.parametrize("form", [["place", "front door left"], ["place", ""], ["channel", ""], ["step", ""]], ids=str)
def test_nonsense_is_refused_or_kept_and_never_breaks_the_page(own, form):
    do(own, "form", form)
    for number, text in enumerate(NONSENSE):
        do(own, "form", form)
        typed = {one["key"]: one["value"] for one in own.board.form["fields"]}
        free = [one["key"] for one in own.board.form["fields"] if not one["options"]]
        key = free[number % len(free)]
        do(own, "fill", typed | {"name": f"new {number}", "cost": "1"} | {key: text})
        assert read_plan(own.path).name == "my small car"


@pytest.mark.long
def test_every_kind_of_step_can_be_added_and_taken_out(own):
    file = own.path.read_text(encoding="utf-8")
    kinds = {
        "seal": {},
        "put": {"driver": "~200 mm woofer", "cost": "60", "after": ""},
        "box": {"volume": "25", "source": "four channels of 75 W", "cost": "150"},
        "filter": {},
        "move": {"cost": "120", "which": "front door left|front door right"},
        "line": {"line": "6.8 uF in series; 6 dB pad"},
    }
    for kind, typed in kinds.items():
        fill(own, ["step", ""], kind=kind, name=f"do {kind}", **typed)
        assert own.board.form == {}, own.board.form
    assert own.order == tuple(f"do {kind}" for kind in kinds)
    assert own.plan.cost_of(own.plan.stages) == 60 + 150 + 120
    fill(own, ["step", "do line"], after="do put", remark="ask first")
    assert own.plan.stages["do line"].after == ("do put",)
    for kind in reversed(kinds):
        do(own, "form", ["step", f"do {kind}"])
        do(own, "take_out", {})
    assert own.plan.stages == {}
    assert file.splitlines()[:3] == own.path.read_text(encoding="utf-8").splitlines()[:3]


def test_a_step_that_does_what_another_does_says_that_either_could_come_first(own):
    fill(own, ["step", ""], kind="seal")
    fill(own, ["step", ""], kind="seal", name="once more")
    assert "either could come first" in own.board.form["said"]


def test_a_change_of_ones_own_is_undone_to_the_last_letter(own):
    before = own.path.read_bytes()
    do(own, "usual")
    assert own.path.read_bytes() != before
    do(own, "undo")
    assert own.path.read_bytes() == before
    do(own, "usual")
    do(own, "move", ["seal the doors", 1])
    assert read_plan(own.path).orders["my order"][:2] == ("amplifier", "seal the doors")
    assert my_upgrade(own.path).order == own.order
    do(own, "undo")
    assert own.order[0] == "seal the doors"


def test_what_was_changed_meanwhile_is_not_undone(own):
    do(own, "usual")
    own.path.write_text(own.path.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    do(own, "undo")
    assert "was changed meanwhile" in told(own)
    assert own.path.read_text(encoding="utf-8").endswith("# mine\n")


def test_remarks_outlive_what_is_kept_from_the_page(own):
    text = own.path.read_text(encoding="utf-8").replace("volume =", "# measured in the rain\nvolume =", 1)
    own.path.write_text(text, encoding="utf-8")
    do(own, "open", "mine")
    fill(own, ["place", "front door left"], depth="60", both="no")
    assert "# measured in the rain" in own.path.read_text(encoding="utf-8")


def test_the_example_is_copied_and_never_changed(page):
    file = (data_folder() / "upgrade_plan.toml").read_bytes()
    do(page, "form", ["place", "roof left"])
    assert page.board.form["fields"] == []
    assert "it stays as it is" in page.board.form["note"]
    do(page, "fill", {})
    assert page.board.form["said"]
    do(page, "copy_here", {})
    assert not page.example
    assert page.board.form["title"] == "roof left"
    assert page.path.read_bytes() == file == (data_folder() / "upgrade_plan.toml").read_bytes()
    do(page, "open", "new")
    assert "You have a plan already" in told(page)


def test_a_plan_that_cannot_be_read_is_told_and_left_alone(tmp_path):
    path = tmp_path / "my_plan.toml"
    path.write_text("[opening.x]\ndepth = 58\n", encoding="utf-8")
    page = my_upgrade(path)
    assert "depth = 58" in page.board.wrong
    assert page.example
    assert path.read_text(encoding="utf-8") == "[opening.x]\ndepth = 58\n"


def test_an_empty_plan_says_what_to_do(tmp_path):
    path = tmp_path / "my_plan.toml"
    path.write_text("", encoding="utf-8")
    page = my_upgrade(path)
    page.finish()
    assert str(page.answer.headline) == "Nothing plays yet: choose a place, and say what is in it."
    assert page.board.vehicle["places"] == []
    do(page, "form", ["step", ""])
    fill(page, ["step", ""], kind="seal")
    assert page.board.form["said"].startswith("There is nothing yet to do it to")
    fill(page, ["place", ""], name="door", driver="~165 mm woofer", both="no")
    page.finish()
    assert "door: travel" in str(page.answer.headline)
    assert [place["name"] for place in page.board.vehicle["places"]] == ["door"]


@pytest.mark.long
def test_what_is_taken_away(page):
    sent = []
    page.board.send = lambda content, buffers: sent.append((content["taken"]["name"], buffers[0]))
    for kind in (STEPS, PLAN, SHEET):
        do(page, "take", kind)
    (steps, plan, sheet) = sent
    rows = list(csv.reader(io.StringIO(steps[1].decode("utf-8-sig"))))
    assert [row[0] for row in rows] == ["stage", "as found", *page.order]
    assert plan == ("my_plan.toml", demo_plan().text.encode())
    text = " ".join(" ".join(one.extract_text() for one in pypdf.PdfReader(io.BytesIO(sheet[1])).pages).split())
    assert len(pypdf.PdfReader(io.BytesIO(sheet[1])).pages) == 1
    assert "Do this first, free" in text
    assert "Invented, for the demonstration: minibus of the college" in text
    assert "289 credits so far" in text
    do(page, "take", "gold")
    assert told(page).startswith("there is no 'gold' to take away")


@pytest.mark.parametrize("name", ["team one", "team two"])
def test_headlines_are_short(page, name):
    page._set_order(page.plan.orders[name])
    page.finish()
    words = [word for word in str(page.answer.headline).replace(" dB", "dB").split() if re.search(r"\w", word)]
    assert len(words) <= LONGEST


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(0.4, "under 1 min a day"), (119.9, "119 min a day"), (359, "5 h a day"), (9999, "all day")],
)
def test_ear_time_is_rounded_down(minutes, said):
    assert ear_time(type("Exposure", (), {"minutes": minutes, "loud": False})) == said


def test_places_in_doubt_and_what_is_new_are_marked_on_the_plan(page):
    places = {place["name"]: place for place in page.board.vehicle["places"]}
    assert places["step well right"]["doubt"]
    assert not places["step well left"]["doubt"]
    do_all(page, "look", 1)
    new = {place["name"] for place in page.board.vehicle["places"] if place["new"]}
    assert new == {"middle row left", "middle row right"}
    wires = {wire["name"]: wire["said"] for wire in page.board.vehicle["wires"]}
    assert wires["roof and middle left"] == "roof and middle left: head unit of the minibus, in parallel"
    do_all(page, "look", 4)
    assert {wire["source"] for wire in page.board.vehicle["wires"] if "front" in wire["name"]} == {
        "four channels from the stores"
    }


def test_nothing_is_written_outside_ones_own_plan(own, tmp_path):
    assert {path.name for path in tmp_path.iterdir()} == {"my_plan.toml"}
    shutil.copy(own.path, tmp_path / "copy.toml")
    assert read_plan(tmp_path / "copy.toml").have.keys() == {"front door left", "front door right"}


@pytest.mark.long
def test_another_plan_is_opened_and_compared_with_ones_own(copied, tmp_path):
    text = demo_plan().text
    other = tmp_path / "their_plan.toml"
    other.write_text(text.replace("cost = 95", "cost = 195").replace('"team one" =', '"first" ='), encoding="utf-8")
    (tmp_path / "my_parts.toml").write_text('[cabin."mine"]\nlength = "3 m"\n', encoding="utf-8")
    do(copied, "open", "mine")
    assert copied.board.about["files"] == ["their_plan.toml"]  # one's own is open, and parts are no plan
    do_all(copied, "compare", "their_plan.toml")
    assert copied.board.against["chosen"] == "their_plan.toml"
    assert copied.board.against["names"][-1] == "their_plan.toml"
    beside, own = copied.board.beside, copied.board.cards
    assert [card["name"] for card in beside[1:]] == list(read_plan(other).orders["first"])
    assert float(beside[-1]["cost"]) == sum(COSTS.values()) + 100  # their bass driver costs 100 more
    assert float(own[-1]["cost"]) == sum(COSTS.values())
    assert {card["name"]: card["clean"] for card in own}["bass box"] != "…"
    assert copied.board.money["total"] == sum(COSTS.values()) + 100
    assert [line["name"] for line in copied.board.money["lines"]] == ["your order", "their_plan.toml"]
    do(copied, "file", "their_plan.toml")
    assert (copied.plan.path, copied.board.about["files"]) == (other, ["my_plan.toml"])
    fill(copied, ["step", "bass box"], remark="theirs")
    assert "theirs" in other.read_text("utf-8")
    assert "theirs" not in (tmp_path / "my_plan.toml").read_text("utf-8")
    do(copied, "link", "plan=my_plan.toml")
    assert copied.plan.path == tmp_path / "my_plan.toml"
    do(copied, "file", "../my_plan.toml")
    assert "A plan is a file beside your parts" in told(copied)


@pytest.mark.long
def test_what_to_measure_next_is_ranked_as_the_library_ranks_it(own):
    do(own, "usual")
    do(own, "measure")
    assert own.board.measure["running"]
    own.finish()
    ranked = [one for one in rank(own.plan) if one.regret > 0 or one.swing > 0]
    assert [check for _, check in own.board.measure["rows"]] == [one.question.check for one in ranked[:3]]
    assert all(f"{one.swing:.1f} dB" in text for (text, _), one in zip(own.board.measure["rows"], ranked, strict=False))
    do(own, "measure")
    do(own, "stop_measuring")
    own.finish()
    assert own.board.measure == {"said": "Cancelled."}


def test_a_place_shares_the_channel_of_another_on_both_sides(own):
    fill(own, ["place", "dash left"], driver="~25 mm tweeter", source="with: front door left")
    plan = read_plan(own.path)
    assert plan.channels["front door left"]["feeds"] == ("front door left", "dash left")
    assert plan.channels["front door right"]["feeds"] == ("front door right", "dash right")
    assert {one["wiring"] for one in plan.channels.values()} == {"parallel"}
    fill(own, ["place", "rear side left"], driver="~130 mm woofer")
    fill(own, ["place", "rear side left"], source="with: front door left", both="no")  # its own channel goes
    plan = read_plan(own.path)
    assert set(plan.channels) == {"front door left", "front door right", "rear side right"}
    assert plan.channels["front door left"]["feeds"][-1] == "rear side left"


def test_a_step_with_a_box_suggests_to_keep_the_bass_from_the_front(own):
    do(own, "usual")
    do(own, "form", ["step", "bass box"])
    do(own, "again", {one["key"]: one["value"] for one in own.board.form["fields"]} | {"kind": "filter"})
    shown = {one["key"]: one["value"] for one in own.board.form["fields"]}
    assert (shown["which"], shown["filter"]) == ("front door left|front door right", "high-pass 80 Hz, 12 dB/octave")
    do(own, "fill", shown)
    filters = read_plan(own.path).stages["bass box"].filter
    assert set(filters) == {"front door left", "front door right", "at the back"}


def test_the_level_picture_has_the_band_of_ears_of_the_two_stages_that_are_chosen(page):
    bands = page.board.curves["bands"]
    assert [one is not None for one in bands] == [True, *[False] * 5, True]  # the first and the last
    for edges, done in ((bands[0], ()), (bands[-1], page.order)):
        assert np.array(edges) == pytest.approx(band_of_ears(page.outcomes[done].figures), abs=0.051)


def test_where_a_door_leaks_and_its_longest_side_are_said_in_its_form(own):
    assert "Where front door left and front door right leak" in " ".join(own.plan.after().open)
    fill(own, ["place", "front door left"], behind=HOLED, hole_place="0.7, 0.05, 0.1", longest_side="0.9")
    left, right = (read_plan(own.path).openings[f"front door {side}"] for side in ("left", "right"))
    width = read_plan(own.path).cabin.width
    assert left["hole_place"] == pytest.approx((0.7, 0.05, 0.1))
    assert right["hole_place"] == pytest.approx((0.7, width - 0.05, 0.1))
    assert {left["longest_side"], right["longest_side"]} == {0.9}
    assert "leak" not in " ".join(own.plan.after().open)


@pytest.mark.long
def test_what_does_not_fit_of_what_is_advised_is_looked_at_first(own):
    """Else the headline sends one to build a box that the place does not hold, and only a card far below says so."""
    fill(own, ["step", ""], kind="box", where="at the back", volume="3000", source="four channels of 75 W", cost="220")
    do_all(own, "look", 1)
    assert own.board.answer["headline"].startswith("Do this first, for 220 credits: 250 mm bass in a box at the back")
    assert "and a box of 3000 litres inside takes at least" in own.board.look[0]


def test_a_driver_that_nothing_drives_is_told_once_for_both_sides(own):
    fill(own, ["step", ""], kind="put", where="dash left|dash right", driver="~25 mm tweeter", cost="60")
    own.finish()
    (warning,) = own.board.cards[1]["warnings"]
    told = "Nothing drives the 25 mm tweeter, stand-in at dash left and dash right yet: say there what drives it."
    assert warning == f"no source: {told}"
