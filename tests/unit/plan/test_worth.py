"""Which check to do next, against trying every order by hand."""

import itertools

import numpy as np
import pytest

from lumpedbox.plan import demo_plan, figures, search
from lumpedbox.plan.checks import Question, open_questions, rank, regret, swing
from lumpedbox.plan.checks.questions import World
from lumpedbox.plan.checks.worth import regret_of_orders
from lumpedbox.plan.library import Library
from lumpedbox.plan.reading import plan_of

TEXT = """
[opening.left]
volume = "30 L"
[opening.boot]
space = "34 litres"
[channel.front]
source = "head unit of the minibus"
feeds = ["left"]
[channel.bass]
source = "four channels from the stores"
feeds = ["boot"]
[have]
left = "200 mm step well, tired"
[stage.cover]
cost = 10
set = { left.hole = "60 cm2" }  # a grille over what may be a hole, or may be closed
[stage.small]
cost = 78
put = { left = "130 mm step well" }
[stage.box]
cost = 95
put = { boot = "200 mm bass" }
box = { boot = { volume = "20 L" } }
"""


@pytest.fixture(scope="module")
def plan(library):
    return plan_of(TEXT, "plan.toml", library)


def test_swing_alone_misranks():
    """Sealing gains 2.7 or 0 dB, small drivers 0.5 or -9.2: sealing is right whatever the answer."""
    clean = [[2.7, 0.5], [0.0, -9.2]]
    assert swing(clean) == pytest.approx(9.7)
    assert regret(clean, (0.5, 0.5)) == 0.0


def test_regret_by_hand():
    """Settled early: 4 half of the time, 2 on average. Knowing: 4 or 3, so 3.5 on average."""
    assert regret([[4.0, 1.0], [0.0, 3.0]], (0.5, 0.5)) == pytest.approx(1.5)
    assert regret([[4.0, 1.0], [0.0, 3.0]], (1.0, 0.0)) == pytest.approx(0.0)


def orders_of(before):
    """Yield every order of some of the stages that may be done, the rest left out."""
    count = len(before)
    for size in range(count + 1):
        for order in itertools.permutations(range(count), size):
            done = 0
            for stage in order:
                if before[stage] & done != before[stage]:
                    break
                done |= 1 << stage
            else:
                yield order


def mean_of(order, values, count):
    sets = np.cumsum([0, *(1 << stage for stage in order)])
    turns = [values[sets[min(n, len(order))]] for n in range(1, count + 1)]
    return np.mean(turns)


@pytest.mark.parametrize("seed", range(12))
def test_regret_of_orders_is_that_of_trying_them_all(seed):
    draw = np.random.default_rng(seed)
    before = (0, 0, int(draw.integers(0, 2)), 0b10)
    values = draw.normal(0, 5, (3, 16))
    weights = draw.dirichlet(np.ones(3))
    means = np.array([[mean_of(order, value, 4) for order in orders_of(before)] for value in values])
    found = regret_of_orders(before, values, weights)
    assert found == pytest.approx(regret(means, weights), abs=1e-9)
    assert found >= 0
    assert regret_of_orders(before, values[[1, 1, 1]], weights) == pytest.approx(0.0, abs=1e-9)


def test_a_question_of_a_plan_against_figures_of_its_states(plan):
    """The leak behind the old woofer: each set of stages with and without it, and every order by hand."""
    (leak,) = (one for one in open_questions(plan) if one.check == 10)
    (found,) = rank(plan, [leak])
    names = plan.ranked
    sets = [[names[i] for i in range(3) if some >> i & 1] for some in range(8)]
    clean = np.array([[figures(world.plan.after(*done)).clean for done in sets] for world in leak.worlds])
    means = np.array([[mean_of(order, values, 3) for order in orders_of((0, 0, 0))] for values in clean])
    assert found.regret > 0.05
    assert found.regret == pytest.approx(regret(means, (0.5, 0.5)), abs=1e-9)
    assert found.swing == pytest.approx(swing(clean), abs=1e-9)
    assert found.a_minute == pytest.approx(found.regret / 10)
    ends = {world.words: search(world.plan, thrift=0) for world in leak.worlds}
    assert means.max(axis=1) == pytest.approx([ends["closed"].value, ends["a hole"].value])


def test_money_and_fit_stand_apart(plan):
    found = {one.question.check: one for one in rank(plan)}
    assert found[8].regret == pytest.approx(0.0, abs=1e-9)
    assert [said.partition(":")[0] for said in found[8].fit] == ["litres"]
    assert "31 litres" in found[8].fit[0]  # 34 litres less 10 %
    assert all(one.money == 0 for one in found.values())
    (leak,) = (one for one in open_questions(plan) if one.check == 10)
    closed, hole = (
        World(world.words, weight, world.plan) for world, weight in zip(leak.worlds, (0.1, 0.9), strict=True)
    )
    (likely,) = rank(plan, [Question(10, "a hole is likely", (closed, hole))])
    assert likely.money == 10  # the cover, where there was none
    assert {one.question.check for one in rank(plan)} <= {2, 4, 5, 7, 8, 10}


def test_the_most_regret_a_minute_comes_first(plan):
    (leak,) = (one for one in open_questions(plan) if one.check == 10)
    quick = Question(10, "the same, quickly", leak.worlds, minutes=1.0)
    same = Question(10, "answered already", (World("as it is", 1.0, plan),))
    ranked = rank(plan, [same, leak, quick])
    assert [one.question.words for one in ranked] == ["the same, quickly", "leak: left", "answered already"]
    assert (ranked[-1].regret, ranked[-1].swing) == (0.0, 0.0)


def test_what_is_open_in_the_demonstration():
    """Its wiring and its filters are written, its depths too; 58 mm for 56 mm is closer than the error."""
    plan = demo_plan()
    asked = [one.words for one in open_questions(plan)]
    assert "depth: step well right" in asked
    assert not any(words.startswith(("depth: step well left", "series or parallel")) for words in asked)
    assert {one.check for one in open_questions(plan, answered={2, 9})}.isdisjoint({2, 9})


def test_wiring_that_is_not_known_is_asked_and_told_by_both_ways(plan):
    text = TEXT.replace('feeds = ["left"]', 'feeds = ["left", "right"]').replace(
        "[opening.boot]", '[opening.right]\nbaffle = "infinite"\n[opening.boot]'
    )
    both = plan_of(text, "plan.toml", Library(plan.my_parts))
    (wiring,) = (one for one in open_questions(both) if one.check == 1)
    assert [world.plan.channels["front"]["wiring"] for world in wiring.worlds] == ["parallel", "series"]
    known = plan_of(text.replace("[channel.bass]", 'wiring = "series"\n[channel.bass]'), "p", Library(plan.my_parts))
    assert not [one for one in open_questions(known) if one.check == 1]


def test_a_ranking_can_be_ended(plan):
    class EnoughError(Exception):
        pass

    def stop(done, count):
        raise EnoughError

    with pytest.raises(EnoughError):
        rank(plan, progress=stop)


def test_questions_without_answers_are_refused(plan):
    with pytest.raises(ValueError, match=r"Question\.worlds"):
        Question(1, "nothing", ())
    with pytest.raises(ValueError, match=r"Question\.worlds"):
        Question(1, "hurry", (World("as it is", 1.0, plan),), minutes=0)
    with pytest.raises(TypeError, match=r"rank\.plan"):
        rank("plan")
