"""Wire and fuse after each stage of an upgrade, and what batteries and the alternator give: worked by hand."""

import pytest

from lumpedbox.plan import read_plan
from lumpedbox.plan.feeding import rated_load, supplied
from lumpedbox.sliders.kit.answer import ONLY
from lumpedbox.sliders.lessons.wire_and_fuse import wire_and_fuse
from lumpedbox.sliders.lessons.wire_and_fuse.options import ALONE, OTHER, SECOND, UPGRADE
from lumpedbox.sliders.lessons.wire_and_fuse.upgrade import BY_HAND
from lumpedbox.units import mm2
from tests.sliders.conftest import details, headline, number, put

pytestmark = pytest.mark.long  # pages are made, and plans read

FOURTH, FIFTH = "after stage 4, amplifier", "after stage 5, bass box"


@pytest.fixture(scope="module")
def made():
    return wire_and_fuse()


def later(page):
    return str(page.answer["later stages"][ONLY])


# --- the example: four channels of 75 W into 4 ohm, of which two play after stage 4, and three after stage 5


def test_the_plan_is_read_once_it_is_looked_at(page):
    assert page.controls["stage_done"].options == (BY_HAND,)
    put(page, step=UPGRADE)
    assert page.controls["stage_done"].options[:3] == (BY_HAND, FOURTH, FIFTH)
    (spec,) = [one for one in page.board.controls if one["name"] == "stage_done"]
    assert "invented" in spec["note"]


def test_a_fuse_right_for_one_stage_is_rated_anew_for_the_next(page):
    """By hand at 0.65 and 13.8 V: 150 W draw 16.72 A, 20.9 over 0.8: 25 A. 225 W draw 25.08, 31.4: 40 A."""
    put(page, stage_done=FOURTH)
    assert page.values["power"] == pytest.approx(150)
    assert number(page, "fuse") == 25
    assert later(page) == "another fuse from stage 5 on"
    assert "Stage 4, amplifier: draws 16.7 A; its fuse 25 A: wire and fuse hold." in details(page)
    assert "Stage 5, bass box: draws 25.1 A; its fuse 40 A: another fuse." in details(page)
    put(page, stage_done=FIFTH)
    assert number(page, "fuse") == 40
    assert later(page) == "wire and fuse hold"


def test_a_wire_right_for_one_stage_is_too_thin_for_the_next(page):
    """30 A carry the 25 A of stage 4, not the 40 of stage 5."""
    put(page, stage_done=FOURTH, area=4 * mm2, rating=30.0)
    assert number(page, "fuse") == 25
    assert later(page) == "too thin a wire from stage 5 on"


def test_the_makers_figure_is_told_apart_from_the_wire(page):
    put(page, stage_done=FOURTH, maker=30.0)
    assert later(page) == "over the maker's figure from stage 5 on"


def test_what_is_moved_by_hand_is_no_stage_any_more(page):
    put(page, stage_done=FOURTH)
    put(page, power=400.0)
    assert (page.values["stage_done"], page.values["power"]) == (BY_HAND, 400)
    assert "later stages" not in [fact.name for fact in page.answer.facts]


def test_nothing_is_told_of_stages_where_nothing_may_be_drawn(page):
    put(page, stage_done=FOURTH, vehicle="high voltage")
    assert page.answer.facts == ()
    assert "Stage" not in details(page)


# --- one's own plan

PLAN = """
[opening.left]
[opening.right]
[opening.floor]
[channel.left]
source = "head unit of the minibus"
feeds = ["left"]
[channel.right]
source = "head unit of the minibus"
feeds = ["right"]
[channel.bass]
source = "nothing"
feeds = ["floor"]
[have]
left = "165 mm panel"
right = "165 mm panel"
floor = "250 mm bass"
[part.small]
amplifier = { power = "50 W", rated_impedance = "4 ohm", minimum_load = "2 ohm", channels = 2, name = "small" }
efficiency = "70 %"
maker_fuse = "20 A"
[part.large]
amplifier = { power = "400 W", rated_impedance = "4 ohm", minimum_load = "2 ohm", channels = 1, name = "large" }
efficiency = "80 %"
maker_fuse = "60 A"
[part.lamps]
takes = "10 W"
count = 3
[stage."two channels"]
uses = ["small"]
move = { left = "small", right = "small" }
[stage.bass]
uses = ["large"]
move = { bass = "large" }
[stage.lights]
uses = ["lamps"]
[orders]
"my order" = ["two channels", "bass", "lights"]
"""


@pytest.fixture
def own(place):
    (place.parent / "my_plan.toml").write_text(PLAN, encoding="utf-8")
    page = wire_and_fuse()
    put(page, step=UPGRADE, area=50 * mm2, rating=180.0, branch_area=25 * mm2, branch_rating=100.0)
    return page


def test_a_second_amplifier_comes_with_its_own_figures(own):
    """By hand at 13.8 V: 100 W at 0.7 draw 10.35 A, 12.9: 15 A. 400 W at 0.8 draw 36.23, 45.3: 50 A. Together 60 A.

    46.58 A over 0.8 are 58.2.
    """
    first, both = "after stage 1, two channels", "after stage 2, bass"
    put(own, stage_done=first)
    assert (own.values["more"], own.values["maker"]) == (ALONE, 20)
    assert own.values["efficiency"] == pytest.approx(0.7)
    assert number(own, "fuse") == 15
    put(own, stage_done=both)
    assert (own.values["more"], own.values["branch_power"], own.values["branch_maker"]) == (SECOND, 400, 60)
    assert number(own, "fuse") == {"fuse0": 60, "fuse1": 15, "fuse2": 50}


SWAPPED = PLAN.replace('efficiency = "80 %"\nmaker_fuse = "60 A"\n', "")
SWAPPED = SWAPPED.replace(
    'move = { bass = "large" }',
    'after = ["two channels"]\nmove = { left = "large", right = "head unit of the minibus" }',
)
SWAPPED = SWAPPED.replace('[stage.lights]\nuses = ["lamps"]\n', "").replace(', "lights"]', "]")


def swapped(place, text):
    (place.parent / "my_plan.toml").write_text(text, encoding="utf-8")
    page = wire_and_fuse()
    put(page, step=UPGRADE, area=50 * mm2, rating=180.0)
    return page


def test_what_one_amplifiers_sheet_says_is_not_said_of_the_next(place):
    """The small one's 20 A and 70 % are not the large one's, of which the plan tells nothing.

    By hand: 400 W at the 65 % that the page starts with draw 44.6 A, 55.7 over 0.8: 60 A.
    """
    page = swapped(place, SWAPPED)
    put(page, stage_done="after stage 1, two channels")
    assert "Stage 2, bass: draws 44.6 A; its fuse 60 A: another fuse." in details(page)
    put(page, stage_done="after stage 2, bass")
    assert (page.values["maker"], page.values["efficiency"]) == (0, 0.65)
    assert number(page, "fuse") == 60
    assert "Its maker's largest fuse is not known" in " ".join(piece["note"] for piece in page.board.feed)


def test_a_fuse_is_not_said_to_hold_for_another_amplifier_of_unknown_figure(place):
    """100 W at 30 % draw 24.2 A, so 40 A; 40 W at 65 % need less, but nobody knows what its maker allows."""
    page = swapped(place, SWAPPED.replace("400 W", "40 W").replace("70 %", "30 %").replace("20 A", "60 A"))
    put(page, stage_done="after stage 1, two channels")
    assert later(page) == "another amplifier, whose maker's fuse is not known from stage 2 on"


def test_a_branchs_fuse_that_is_over_another_amplifiers_figure_does_not_hold(place):
    """With lamps on the feed. By hand: 100 W at 30 % draw 24.2 A, so 40 A (30.2); 40 W at 80 % 3.6 A, its maker 10."""
    text = SWAPPED.replace("400 W", "40 W").replace("70 %", "30 %").replace('"20 A"', '"60 A"')
    text = text.replace("[part.lamps]", 'efficiency = "80 %"\nmaker_fuse = "10 A"\n[part.lamps]')
    text = text.replace('uses = ["small"]', 'uses = ["small", "lamps"]')
    page = swapped(place, text)
    put(page, stage_done="after stage 1, two channels")
    assert number(page, "fuse")["fuse1"] == 40
    assert later(page) == "another fuse from stage 2 on"


def test_a_stage_with_more_than_two_things_is_not_drawn(own):
    spec = own.controls["stage_done"]
    assert "after stage 3, lights" not in spec.options
    assert "Stage 3, lights: more on the feed than this page draws." in spec.left_out
    put(own, stage_done="after stage 2, bass")
    assert later(own) == "a feed of its own for what is new from stage 3 on"


def test_what_is_no_amplifier_takes_its_watts(place):
    """Three lamps of 10 W take 30 W: 2.17 A at 13.8 V, 2.7 over 0.8, so 3 A."""
    order = '"my order" = ["two channels", "lights"]'
    text = PLAN.replace('"my order" = ["two channels", "bass", "lights"]', order)
    (place.parent / "my_plan.toml").write_text(text, encoding="utf-8")
    page = wire_and_fuse()
    put(page, stage_done="after stage 2, lights", branch_rating=20.0)
    assert (page.values["more"], page.values["branch_power"]) == (OTHER, 30)
    assert number(page, "fuse")["fuse2"] == 3


def test_a_plan_that_cannot_be_read_is_told(place):
    (place.parent / "my_plan.toml").write_text("[part.one]\nefficiency = 65", encoding="utf-8")
    page = wire_and_fuse()
    put(page, step=UPGRADE)
    assert "Your plan cannot be read" in page.controls["stage_done"].left_out
    assert page.controls["stage_done"].options == (BY_HAND,)


def test_a_low_load_takes_more_than_the_sheet_says(place):
    """Two of 4 ohm in parallel are 2 ohm: twice the 50 W of the sheet; in series 8 ohm, and the sheet's 50 W stand."""
    path = place.parent / "my_plan.toml"
    for wiring, watts in (("parallel", 100), ("series", 50)):
        both = f'[channel.left]\nwiring = "{wiring}"\nsource = "small"\nfeeds = ["left", "right"]'
        text = PLAN.split("[channel.left]")[0] + both + '\n[channel.bass]\nsource = "nothing"\nfeeds = ["floor"]\n'
        text += "[have]" + PLAN.split("[have]")[1].split("[stage.bass]")[0].split("[stage.")[0]
        path.write_text(text, encoding="utf-8")
        (one,) = supplied(read_plan(path).after())
        assert one.power == pytest.approx(watts, rel=0.02)


def test_groups_are_wired_the_other_way(pages):
    """((4, 4) in series) beside 4 ohm in parallel: 1 / (1/8 + 1/4) = 2.667 ohm."""

    class Speaker:
        class driver:
            nominal_resistance = 4.0

    assert rated_load(((Speaker, Speaker), Speaker), "parallel") == pytest.approx(8 / 3)
    assert rated_load(((Speaker, Speaker), Speaker), "series") == pytest.approx(6)


# --- batteries

GIVEN = {
    **{"capacity": "80", "usable_share": "50", "current": "10"},
    **{"output_at_idle": "55", "vehicle_draws": "40"},
    **{"largest": "60", "size": "25 mm2", "rating": "110"},
}


@pytest.fixture
def batteries(page):
    (fold,) = [helper for helper in page.helpers if hasattr(helper, "chemistry")]
    fill(fold, dict.fromkeys(fold.fields, ""))
    fold.chemistry.value, fold.fuses.value = "lead-acid", "none"
    return fold


def fill(fold, given):
    for name, text in given.items():
        fold.fields[name].value = text


def said(fold):
    return " ".join(one.value for one in fold.said.values())


def test_nothing_is_told_without_the_numbers(batteries):
    assert not any(digit in said(batteries) for digit in "0123456789")


@pytest.mark.parametrize("lacking", GIVEN)
def test_each_number_is_asked_for(batteries, lacking):
    fill(batteries, GIVEN | {lacking: ""})
    batteries.fuses.value = "both ends"
    assert said(batteries).count("nothing is told without it") == 1


def test_all_numbers_by_hand(page, batteries):
    """Half of 80 Ah at 10 A are 4 hours, 240 minutes; 55 less 40 A are 15; 60 over 0.8 are 75: 80 A."""
    fill(batteries, GIVEN)
    batteries.fuses.value = "both ends"
    assert "at most 240 minutes" in said(batteries)
    assert "At idle 15 A are left. At full power the feed draws 33.4 A: the battery gives the rest." in said(batteries)
    assert "A fuse of 80 A at each end" in said(batteries)


def test_what_a_second_battery_and_a_deep_discharge_need_beside_numbers(page, batteries):
    fill(batteries, GIVEN)
    batteries.fuses.value = "both ends"
    assert not any(word in said(batteries) for word in ("blade", "ruins", "houses"))
    fill(batteries, {"usable_share": "80"})
    put(page, battery=52.0, made_for="48 V", source="a table of copper")
    assert all(word in said(batteries) for word in ("blade", "ruins", "houses"))


def test_a_rating_that_is_high_between_batteries_is_doubted(batteries):
    """134.9 A is usual for 16 mm2 (65 K in air); 25 mm2 carry 188.5, and 200 are more."""
    fill(batteries, GIVEN | {"rating": "188"})
    batteries.fuses.value = "both ends"
    assert "A rating is high for its wire" not in said(batteries)
    fill(batteries, {"rating": "200"})
    assert "A rating is high for its wire" in said(batteries)


def test_less_than_nothing_is_left_at_idle(batteries):
    fill(batteries, GIVEN | {"output_at_idle": "35 A"})
    assert "Nothing is left at idle: the battery gives 5 A." in said(batteries)


REFUSED = {
    "all of a battery": ({"usable_share": "100"}, {}, "usable_share must be given, and less than 1"),
    "lithium without its maker's current": ({}, {"chemistry": "lithium"}, "maker's current"),
    "more than its maker allows": (
        {"maker_current": "5"},
        {"chemistry": "lithium"},
        "at most the maker_current of 5 A",
    ),
    "a fuse at one end": ({}, {"fuses": "one end"}, "needs a fuse at both ends"),
    "a wire that may not carry it": ({"rating": "60"}, {}, "The cable binds"),
    "no such gauge": ({"size": "-3 AWG"}, {}, "Wire between them"),
    "nonsense": ({"capacity": "much"}, {}, "Battery, as printed"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_is_refused_of_batteries(batteries, what):
    typed, chosen, why = REFUSED[what]
    fill(batteries, GIVEN | typed)
    batteries.fuses.value = "both ends"
    for name, value in chosen.items():
        getattr(batteries, name).value = value
    assert why in said(batteries).replace("&#x27;", "'").replace("’", "'")


@pytest.mark.parametrize("vehicle", ["high voltage", "unknown"])
def test_no_number_for_a_vehicle_that_is_not_for_you(page, batteries, vehicle):
    fill(batteries, GIVEN)
    batteries.fuses.value = "both ends"
    put(page, vehicle=vehicle)
    assert not any(digit in said(batteries) for digit in "0123456789")


def test_clad_wire_between_batteries_needs_its_own_sheet(page, batteries):
    fill(batteries, GIVEN)
    batteries.fuses.value = "both ends"
    put(page, metal="clad, 10 % copper", source="a table of copper")
    assert "no copper table stands for it" in said(batteries)
    assert "at each end" not in said(batteries)
    assert headline(page).startswith("A table of copper does not hold")
