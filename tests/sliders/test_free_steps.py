"""The lesson on the order of steps: each level of a minibus built by hand, each order tried, each move of a step."""

import itertools
import json
import re
from pathlib import Path

import numpy as np
import pytest

from lumpedbox import maximum_level
from lumpedbox.design.level_matching import GRID, band_level
from lumpedbox.plan import demo_plan, figures
from lumpedbox.response.limits import TRAVEL
from lumpedbox.sliders.lessons.free_steps import free_steps
from lumpedbox.sliders.lessons.free_steps.answering import headline as said_of
from lumpedbox.sliders.lessons.free_steps.page import (
    BEST,
    LOUDEST,
    ONE,
    ORDERS,
    OUT,
    OWN,
    PLACES,
    STEPS,
    TWO,
    WORST,
    own_order,
    places_of,
)
from tests.sliders.conftest import ask, details, drawn_near, headline, moves, put
from tests.sliders.test_my_upgrade import COSTS, mean, subsets

ROOT = Path(__file__).resolve().parents[2]
TWEETERS, SEAL, SMALL, ROOF, AMPLIFIER, BOX = (
    "tweeters at the middle row",
    "seal the step wells",
    "small drivers in the step wells",
    "keep bass from the roof",
    "amplifier",
    "bass box",
)
TEAMS = {  # as they stand in data/upgrade_plan.toml
    ONE: (TWEETERS, SEAL, SMALL, AMPLIFIER, BOX, ROOF),
    TWO: (SEAL, ROOF, AMPLIFIER, BOX, TWEETERS, SMALL),
}
FACTS = ("for nothing", "for that money", "on average", "at the end", "small drivers add")


@pytest.fixture(scope="module")
def made():
    return free_steps()


@pytest.fixture(scope="module")
def plan():
    return demo_plan()


@pytest.fixture(scope="module")
def clean(plan):
    """Clean bass of every possible set of steps, by the library's figures: those are held to systems built by hand."""
    return {frozenset(done): figures(plan.after(*done)).clean for done in subsets(plan)}


@pytest.fixture(scope="module")
def by_hand(load_module, plan):
    """Function that gives the clean bass of the minibus built part by part; only its levels are those of the plan."""
    module = load_module(ROOT / "tests" / "unit" / "plan" / "test_state.py")

    def clean_of(*done):
        loudest = maximum_level(module.by_hand(done, plan.after(*done).levels, module.SEALED_BOX), GRID)
        first = np.argmin(loudest.voltage)
        level = loudest.level - 20 * np.log10(loudest.voltage / loudest.voltage[first])
        return float(band_level(GRID, level, 40, 80))

    return clean_of


def possible(order):
    return BOX not in order or AMPLIFIER in order[: order.index(BOX)]


def told(page, name, column):
    """The number of a fact with its sign. [dB]"""
    said = page.answer[name][column]
    (number,) = said.numbers.values()
    return -number.value if said.words.startswith("−") else number.value


def own_of(page):
    return own_order(page.values)


def test_what_holds_all_of_it_back(page, load_module):
    """As found, by a system built by hand: the roof's cones."""
    module = load_module(ROOT / "tests" / "unit" / "plan" / "test_state.py")
    loudest = maximum_level(module.by_hand((), {}, module.SEALED_BOX), GRID)
    first = np.argmin(loudest.voltage)
    assert (loudest.who[first], loudest.gives[first]) == ("roof left", TRAVEL)
    assert f"As found the cone runs out of travel (roof left, at {GRID[first]:.0f} Hz). All drivers" in details(page)


@pytest.mark.long
def test_headline_and_facts_are_those_of_systems_built_by_hand(page, by_hand):
    """Money is added up by hand: 58, 0, 78, 28, 125 and 0 credits. Free steps are done as soon as their turn comes."""
    after = {ONE: (0, 2), TWO: (2, 3)}  # steps done for nothing, and for 100 credits
    means, ends = {}, {}
    for name, order in TEAMS.items():
        way = [by_hand(*order[:count]) for count in range(7)]
        means[name], ends[name] = np.mean(way[1:]), way[-1]
        at = order.index(SMALL)
        exact = (*(way[count] for count in after[name]), means[name], ends[name], way[at + 1] - way[at])
        assert [told(page, fact, name) for fact in FACTS] == pytest.approx(exact, abs=1e-6)
    assert page.answer.headline["more"] == pytest.approx(means[TWO] - means[ONE], abs=1e-6)
    assert ends[ONE] == pytest.approx(ends[TWO], abs=1e-9)
    assert headline(page) == "Team two averages 8.2 dB more clean bass than team one, for the same money and end."
    assert page.answer.columns == (ONE, TWO)


def test_facts_are_those_of_the_sets_of_steps(page, clean):
    for name, order in TEAMS.items():
        assert told(page, "on average", name) == pytest.approx(mean(order, clean, 6), abs=1e-9)
    put(page, look=290.0)
    for name in TEAMS:
        assert told(page, "for that money", name) == told(page, "at the end", name) == clean[frozenset(COSTS)]


@pytest.mark.long
def test_the_orders_that_are_offered_are_the_best_and_worst_of_all(page, clean):
    """All 360 orders of six steps, and all those of fewer, one by one."""
    every = [order for order in itertools.permutations(COSTS) if possible(order)]
    assert len(every) == 360
    means = {order: mean(order, clean, 6) for order in every}
    put(page, one=BEST, two=WORST)
    assert told(page, "on average", BEST) == pytest.approx(max(means.values()), abs=1e-9)
    assert told(page, "on average", WORST) == pytest.approx(min(means.values()), abs=1e-9)
    assert page.answer.headline["more"] == pytest.approx(max(means.values()) - min(means.values()), abs=1e-9)
    assert "Of 360 orders of all steps the best averages 106 dB, the worst 94.2 dB." in details(page)
    loudest = max(clean, key=clean.get)
    ways = [order for order in itertools.permutations(loudest) if possible(order)]
    put(page, one=LOUDEST)
    assert told(page, "at the end", LOUDEST) == pytest.approx(clean[loudest], abs=1e-9)
    assert told(page, "on average", LOUDEST) == pytest.approx(min(mean(way, clean, 6) for way in ways), abs=1e-9)
    assert str(page.answer["small drivers add"][LOUDEST]) == "left out"


@pytest.mark.parametrize(
    ("one", "two", "said"),
    [
        (TWO, ONE, "Team two averages 8.2 dB more clean bass than team one, for the same money and end."),
        (LOUDEST, TWO, "Team two averages 3.5 dB more clean bass than the loudest end, but ends 1.3 dB softer."),
        (ONE, LOUDEST, "The loudest end averages 4.7 dB more clean bass than team one, and ends 1.3 dB louder."),
        (TWO, TWO, "Both orders are the same: choose another one to compare."),
        (OWN, ONE, "Both orders are the same: choose another one to compare."),
    ],
)
def test_headlines(page, clean, one, two, said):
    put(page, one=one, two=two)
    assert headline(page) == said
    if numbers := page.answer.headline.numbers:
        orders = page.scene.orders(page.values)
        means, ends = zip(*((mean(order, clean, 6), clean[frozenset(order)]) for order in orders), strict=True)
        assert numbers["more"].value == pytest.approx(abs(means[0] - means[1]), abs=1e-9)
        assert ("end" not in numbers) or numbers["end"].value == pytest.approx(abs(ends[0] - ends[1]), abs=1e-9)


def test_two_orders_may_average_alike(page):
    """As found, amplifier and tweeters each change the clean bass by a few hundredths of a decibel."""
    ways = page.scene.ways
    first, second = (TWEETERS, AMPLIFIER, BOX, ROOF, SEAL, SMALL), (AMPLIFIER, TWEETERS, BOX, ROOF, SEAL, SMALL)
    assert abs(ways[first].mean - ways[second].mean) < 0.05
    said = str(said_of((ONE, TWO), (ways[first], ways[second])))
    assert said == "Team one and team two average the same clean bass, for the same money and end."


def test_lines_are_steps_at_the_money_that_each_costs(page, clean):
    for name, order in (("one", TEAMS[ONE]), ("two", TEAMS[TWO])):
        for money in (0.0, 27.0, 28.0, 57.0, 58.0, 135.0, 136.0, 163.0, 164.0, 210.0, 288.0, 289.0):
            spent = np.cumsum([0, *(COSTS[step] for step in order)])
            done = frozenset(order[: np.flatnonzero(spent <= money)[-1]])
            assert drawn_near(page, name, "clean", money)[0] == pytest.approx(clean[done], abs=1e-6), (name, money)
            fixed = figures(page.scene.ways.plan.after(*done)).bands[40.0, 80.0]
            assert drawn_near(page, name, "fixed", money)[0] == pytest.approx(fixed, abs=1e-6)
    assert drawn_near(page, "found", "clean", 100.0)[0] == pytest.approx(clean[frozenset()], abs=1e-9)
    dots = page.scene.dots["one"].get_data()
    assert list(dots[0]) == list(np.cumsum([COSTS[step] for step in TEAMS[ONE]]))
    assert list(dots[1]) == [clean[frozenset(TEAMS[ONE][:count])] for count in range(1, 7)]


def test_what_takes_other_orders_follows_once_the_first_answer_stands():
    opened = free_steps()
    fair, of_all = opened.scene.worth.bars["third"], "Of 360 orders of all steps"
    assert np.isnan(fair.get_xdata()).all()
    assert of_all not in details(opened)
    drawn, headline_then = opened.board.picture, headline(opened)
    opened.rest()
    assert np.isfinite(fair.get_xdata()).all()
    assert of_all in details(opened)
    assert opened.board.picture != drawn
    assert headline(opened) == headline_then
    opened.board.moved = {"number": 1, "places": {"look": 120.0}}
    assert np.isfinite(fair.get_xdata()).all()  # and stays, also while the hand moves
    assert of_all in details(opened)


def test_where_one_started_is_drawn_also_after_what_was_kept_came_back():
    """A page moved before it had rested, whose kept states then come back from the browser."""
    before = free_steps()
    ask(before, keep=True)
    opened = free_steps()
    opened.board.moved = {"number": 1, "places": {"look": 200.0}}
    opened._recall(before.remembered.state)
    ask(opened, rest=True)
    assert opened.start_answer is not None
    start = opened.scene.stack.values("one at the start", "clean")[1]
    assert np.isfinite(start).all()


@pytest.mark.long
def test_bars_are_what_each_step_changes_and_its_mean_over_all_orders(page, clean):
    every = [order for order in itertools.permutations(COSTS) if possible(order)]
    bars, labels = page.scene.worth.bars, [step for step, _ in STEPS.values()]
    for pen, order in (("first", TEAMS[ONE]), ("second", TEAMS[TWO])):
        exact = [_worth(order, step, clean) for step in labels]
        assert bars[pen].get_xdata()[1::3] == pytest.approx(exact, abs=1e-9)
    fair = [np.mean([_worth(order, step, clean) for order in every]) for step in labels]
    assert bars["third"].get_xdata() == pytest.approx(fair, abs=1e-9)
    assert sum(fair) == pytest.approx(clean[frozenset(COSTS)] - clean[frozenset()], abs=1e-9)
    low, high = page.scene.worth.axes.get_xlim()
    assert low < min(_worth(order, step, clean) for order in every for step in labels)
    assert high > max(_worth(order, step, clean) for order in every for step in labels)
    put(page, one=LOUDEST)
    assert np.isnan(bars["first"].get_xdata()[1::3]).sum() == 2


def _worth(order, step, clean):
    at = order.index(step)
    return clean[frozenset(order[: at + 1])] - clean[frozenset(order[:at])]


def test_the_same_drivers_bring_a_decibel_or_cost_nine(page, clean):
    leaky = clean[frozenset([SMALL])] - clean[frozenset()]
    sealed = clean[frozenset([SEAL, SMALL])] - clean[frozenset([SEAL])]
    said = next(one for one in page.answer.details if "The same small drivers" in one.words)
    assert said.text("metric").startswith("The same small drivers: +1.0 dB where the wells leak, −9.0 dB once")
    assert (said.numbers["leaky"]["by"], -said.numbers["sealed"]["by"]) == pytest.approx((leaky, sealed), abs=1e-9)


def test_what_misleads_at_fixed_volts(page, plan, clean):
    """Team one's filter looks like a loss. On team two's way nothing does: there the one that differs most is told."""
    for team, step in ((ONE, ROOF), (TWO, ROOF)):
        order = TEAMS[team]
        done = order[: order.index(step)]
        fixed = figures(plan.after(*done, step)).bands[40.0, 80.0] - figures(plan.after(*done)).bands[40.0, 80.0]
        pattern = rf"What misleads in {team}: (.*?)\. At fixed volts it looks like (\S+) dB; clean it is (\S+) dB"
        said = re.search(pattern, details(page))
        assert said, team
        assert said[1] == step
        numbers = [float(text.replace("−", "-")) for text in said.groups()[1:]]
        assert numbers == pytest.approx([fixed, _worth(order, step, clean)], abs=0.05)


def test_a_moved_step_makes_room(page):
    put(page, one=OWN)
    assert own_of(page) == TEAMS[ONE]
    put(page, step_roof="1st")
    assert own_of(page) == (ROOF, TWEETERS, SEAL, SMALL, AMPLIFIER, BOX)
    put(page, step_roof="6th")
    assert own_of(page) == TEAMS[ONE]
    put(page, step_bass="1st")  # needs the amplifier, which goes along
    assert own_of(page) == (AMPLIFIER, BOX, TWEETERS, SEAL, SMALL, ROOF)
    put(page, step_amplifier="6th")  # the box goes along
    assert own_of(page)[-2:] == (AMPLIFIER, BOX)
    put(page, step_amplifier=OUT)
    assert own_of(page) == (TWEETERS, SEAL, SMALL, ROOF)
    put(page, step_bass="2nd")
    assert own_of(page) == (TWEETERS, AMPLIFIER, BOX, SEAL, SMALL, ROOF)


@pytest.mark.long
def test_any_moves_leave_a_possible_order_and_an_answer(page, clean):
    rng = np.random.default_rng(5)
    put(page, one=OWN)
    for _ in range(60):
        name, place = rng.choice(list(STEPS)), rng.choice([*PLACES, OUT])
        moves(page, {str(name): str(place)})
        order = own_of(page)
        assert page.message == ""
        assert possible(order)
        assert page.board.places | places_of(order) == page.board.places, "the controls show the order"
        assert len(set(order)) == len(order)
        assert told(page, "on average", OWN) == pytest.approx(mean(order, clean, 6), abs=1e-9)
        assert told(page, "at the end", OWN) == clean[frozenset(order)]
        assert len(headline(page).split()) <= 20
    put(page, **dict.fromkeys(STEPS, OUT))
    assert own_of(page) == ()
    assert told(page, "on average", OWN) == pytest.approx(clean[frozenset()], abs=1e-9)
    assert "Your own way: nothing at all." in details(page)


def test_a_link_with_a_whole_order_is_taken_as_it_is(page):
    order = (SEAL, ROOF, TWEETERS, AMPLIFIER, SMALL, BOX)
    page.board._handle_custom_msg(
        {"link": "&".join(f"{name}={place}" for name, place in ({"one": OWN} | places_of(order)).items())}, []
    )
    assert own_of(page) == order
    assert page.board.note == ""


@pytest.mark.long
def test_headlines_are_short(page):
    for one, two in itertools.product(ORDERS, repeat=2):
        put(page, one=one, two=two)
        assert len(headline(page).split()) <= 20


def test_no_level_leaves_its_panel(page, clean, plan):
    low, high = (float(edge) for edge in page.scene.stack.axes["clean"].get_ylim())
    fixed = [figures(plan.after(*done)).bands[40.0, 80.0] for done in clean]
    assert low < min(*clean.values(), *fixed)
    assert high > max(*clean.values(), *fixed)


def test_cautions(page, plan):
    said = page.board.answer["cautions"]
    minutes = figures(plan.after(*COSTS)).exposure.minutes
    assert f"{int(minutes)} min a day" in said[0]
    assert "sensors" in said[1]
    put(page, one=LOUDEST, two=LOUDEST)
    assert len(page.board.answer["cautions"]) == 1, "nothing is sealed on that way"


def test_the_axis_of_money_is_even_and_told_in_credits(page):
    axes = page.board.axes
    assert (axes["even"], axes["what"], axes["unit"], axes["low"]) == (True, "money spent", "credits", 0.0)
    assert all(drawn.get_xscale() == "linear" for drawn in page.scene.stack.axes.values())


def test_the_lesson_shows_an_order_of_each_team():
    assert {name: tuple(order) for name, order in demo_plan().orders.items()} == TEAMS


def test_each_number_of_the_text(clean, plan):
    """The lesson's text against the sets of steps, and against wells and roof each by itself."""
    cells = json.loads((ROOT / "notebooks" / "free_steps.ipynb").read_text(encoding="utf-8"))["cells"]
    text = " ".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
    text = re.sub(r"\s+", " ", text)

    def v(*done):
        return clean[frozenset(done)]

    def fixed(*done):
        return figures(plan.after(*done)).bands[40.0, 80.0]

    def wells(*done):
        """The step wells by themselves, at one volt. [dB]"""
        state = plan.after(*done)
        sides = np.array([line.name.startswith("front") for line in state.playing])
        return float(state.together.mean(sides * state.gains, (40.0, 80.0)))

    one, two, every = TEAMS[ONE], TEAMS[TWO], tuple(COSTS)
    orders = [mean(order, clean, 6) for order in itertools.permutations(every) if possible(order)]
    loudest = max(clean.values())
    worst_to_it = min(mean(w, clean, 6) for w in itertools.permutations(max(clean, key=clean.get)) if possible(w))
    found = figures(plan.after())
    exact = {
        r"at ([\d.]+) V, and": found.drive,
        r"wells could take ([\d.]+) dB more": 20 * np.log10(figures(plan.after(ROOF)).drive / found.drive),
        r"Sealing the wells alone brings ([\d.]+) dB": v(SEAL) - v(),
        r"The filter alone brings ([\d.]+) dB": v(ROOF) - v(),
        r"Both together bring ([\d.]+) dB": v(SEAL, ROOF) - v(),
        r"Where the wells leak, they bring ([\d.]+) dB": v(SMALL) - v(),
        r"Once the wells are sealed, they cost ([\d.]+) dB": v(SEAL) - v(SEAL, SMALL),
        r"small ones play ([\d.]+) dB softer": wells() - wells(SMALL),
        r"leaky wells, and ([\d.]+) dB softer": wells(SEAL) - wells(SEAL, SMALL),
        r"the same drivers cost ([\d.]+) dB": v(SEAL, ROOF) - v(SEAL, ROOF, SMALL),
        r"looks like ([\d.]+) dB, because": fixed(*one[:4]) - fixed(*one[:3]),
        r"clean bass grows by ([\d.]+) dB": v(*one[:4]) - v(*one[:3]),
        r"looks like a loss of ([\d.]+) dB": fixed(*one[:5]) - fixed(*one),
        r"it is a gain of ([\d.]+) dB": v(*one) - v(*one[:5]),
        r"end at the same ([\d.]+) dB": v(*every),
        r"their means differ by ([\d.]+) dB": max(orders) - min(orders),
        r"end louder, at ([\d.]+) dB": loudest,
        r"averages ([\d.]+) dB less than team two": mean(two, clean, 6) - worst_to_it,
        r"The very best way averages ([\d.]+) dB": max(orders),
        r"the free steps first, averages ([\d.]+) dB": mean(two, clean, 6),
        r"and has ([\d.]+) dB before any money": v(*two[:2]),
        r"difference of ([\d.]+) dB is hardly": max(orders) - mean(two, clean, 6),
        r"do together: ([\d.]+) dB": v(*every) - v(),
    }
    for pattern, value in exact.items():
        said = re.search(pattern, text)
        assert said, pattern
        assert float(said[1]) == pytest.approx(value, abs=0.051), pattern
