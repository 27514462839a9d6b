"""The search over all orders, against trying every one of them."""

import dataclasses
import itertools
import re

import numpy as np
import pytest

from lumpedbox.plan import Aim, change, demo_plan, figures, search, shares, spans
from lumpedbox.plan.lattice import Lattice
from lumpedbox.plan.reading import plan_of
from lumpedbox.plan.search import AIMS, Searching


@pytest.fixture(scope="module")
def random_plans(load_module, request):
    return load_module(request.path.with_name("random_plans.py")).random_plan


def possible(plan):
    """Yield every order of all stages in which each comes after those that it says."""
    for order in itertools.permutations(plan.stages):
        place = {name: i for i, name in enumerate(order)}
        if all(place[other] < place[name] for name in order for other in plan.stages[name].after):
            yield order


def values(plan, worth):
    """Return what every set of stages on the way of a possible order is worth."""
    sets = {frozenset(order[:count]) for order in possible(plan) for count in range(len(order) + 1)}
    return {done: worth(plan.after(*done)) for done in sets}


def clean(state):
    return figures(state).clean


def mean(order, value):
    return np.mean([value[frozenset(order[:count])] for count in range(1, len(order) + 1)])


def check_against_every_order(plan):
    value, orders = values(plan, clean), list(possible(plan))
    means = [mean(order, value) for order in orders]
    exact, careful = search(plan, thrift=0, complete=True), search(plan, thrift=1.0, complete=True)
    assert exact.value == pytest.approx(max(means), abs=1e-9)
    assert mean(exact.best, value) == pytest.approx(max(means), abs=1e-9)
    assert exact.worst_value == pytest.approx(min(means), abs=1e-9)
    assert mean(exact.worst, value) == pytest.approx(min(means), abs=1e-9)
    assert (exact.orders, exact.ties) == (len(orders), sum(m > max(means) - 1e-9 for m in means))
    if exact.ties == 1:
        assert exact.best == orders[int(np.argmax(means))]
    near = [order for order, m in zip(orders, means, strict=True) if m >= max(means) - 1 - 1e-9]
    spent = {order: sum(plan.after(*order[:n]).cost for n in range(1, len(order) + 1)) for order in near}
    assert careful.best in near
    assert spent[careful.best] == min(spent.values())
    found = shares(plan)
    assert sum(found.values()) == pytest.approx(value[frozenset(plan.stages)] - value[frozenset()], abs=1e-9)
    for name, share in found.items():
        steps = [value[frozenset(o[: o.index(name) + 1])] - value[frozenset(o[: o.index(name)])] for o in orders]
        assert share == pytest.approx(np.mean(steps), abs=1e-9)
        assert spans(plan)[name] == pytest.approx((min(steps), max(steps)), abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_the_search_finds_what_trying_every_order_finds(seed, random_plans, library):
    text = random_plans(seed, stages=3 + seed % 3, cabin=seed == 1)
    check_against_every_order(plan_of(text, "plan.toml", library))


@pytest.mark.long
@pytest.mark.parametrize("seed", range(100, 130))
def test_the_search_finds_what_trying_every_order_of_up_to_seven_stages_finds(seed, random_plans, library):
    text = random_plans(seed, stages=3 + seed % 5, cabin=seed % 2 == 0)
    check_against_every_order(plan_of(text, "plan.toml", library))


# Without any physics: random values of sets. Each order of any subset is tried, so these are the definitions once more.


def random_lattice(draw, count, rising=False):
    before = []
    for stage in range(count):
        before.append(sum(1 << int(i) for i in range(stage) if draw.random() < 0.2))
    for stage in range(count):  # what comes before it comes before by way of others too
        for other in range(stage):
            if before[stage] >> other & 1:
                before[stage] |= before[other]
    return Lattice(tuple(before), np.round(draw.uniform(80, 110, 2**count), 1), rising)


def ways(lattice):
    """Yield (order, sets on the way) of every possible order of every subset of stages."""
    count = len(lattice.before)
    for size in range(count + 1):
        for order in itertools.permutations(range(count), size):
            sets = [0, *np.cumsum([1 << i for i in order]).tolist()]
            fits = all(here & lattice.before[i] == lattice.before[i] for here, i in zip(sets, order, strict=False))
            value = lattice.value[sets]
            if fits and not np.isnan(value).any() and (not lattice.rising or (np.diff(value) >= 0).all()):
                yield order, sets


@pytest.mark.parametrize("seed", range(30))
def test_every_subset_and_order_of_random_values(seed):
    draw = np.random.default_rng(seed)
    lattice = random_lattice(draw, 2 + seed % 4, rising=seed % 3 == 0)
    costs = draw.integers(0, 5, lattice.count).astype(float)
    cost = np.array([sum(costs[i] for i in range(lattice.count) if s >> i & 1) for s in range(2**lattice.count)])
    if seed % 2:
        lattice = dataclasses.replace(lattice, value=np.where(cost > costs.sum() * 0.7, np.nan, lattice.value))
    tried = list(ways(lattice))
    total = {o: sum(lattice.value[s[1:]]) + (lattice.count - len(o)) * lattice.value[s[-1]] for o, s in tried}
    totals = lattice.totals(complete=False)
    assert totals.max() == pytest.approx(max(total.values()), abs=1e-9)
    end = int(totals.argmax())
    order = lattice.order(end, lattice.sums())
    assert total[order] == pytest.approx(max(total.values()), abs=1e-9)
    least = totals.max() - 2.0 - (lattice.count - end.bit_count()) * lattice.value[end]
    careful = lattice.latest(end, cost, least)
    spent = {o: sum(cost[s[1:]]) for o, s in tried if s[-1] == end and sum(lattice.value[s[1:]]) >= least - 1e-9}
    assert spent[careful] == pytest.approx(min(spent.values()))
    whole = [o for o in total if len(o) == lattice.count]
    assert lattice.ways()[-1] == len(whole)
    assert lattice.ties([end], lattice.sums()) == sum(
        abs(total[o] - max(total.values())) < 1e-9 for o, s in tried if s[-1] == end
    )


def test_shares_of_stages_that_are_worth_something_only_together():
    # Source: U. Faigle, W. Kern, "The Shapley value for cooperative games under precedence constraints", Int. J. Game
    # Theory 21 (1992), from memory: in a game that is worth 1 once all of some players have joined, each gets the share
    # of possible orders in which it is the last of them. Three players, c after a: the orders are abc, acb, bac; of
    # b and c, c is the last in abc and bac, b in acb.
    together = np.array([float(s & 0b110 == 0b110) for s in range(8)])
    lattice = Lattice((0, 0, 0b001), together)
    share = np.zeros(3)
    for some, stage, then in lattice.steps():
        share[stage] += np.sum(lattice.ways()[some] * lattice.ways_on()[then] * (together[then] - together[some])) / 3
    assert share == pytest.approx([0, 1 / 3, 2 / 3])


def test_the_demo_does_what_is_free_first_and_leaves_out_what_harms():
    plan = demo_plan()
    found = search(plan)
    assert found.best[:2] == ("keep bass from the roof", "seal the step wells")
    assert found.next == "keep bass from the roof"
    assert found.left_out == ("small drivers in the step wells",)
    assert found.orders == 360
    exact = search(plan, thrift=0, complete=True)
    assert found.value > exact.value - 1
    assert sorted(exact.best) == sorted(plan.stages)
    for name in ("bass box", "Left out: small drivers", "Worst of 360 orders"):
        assert name in str(found)
    assert found.levels[0] == {}
    assert "bass" in found.levels[3]


@pytest.mark.parametrize(("hole", "best", "worst"), [
    ("", 102.5, 91.3),
    ('hole_Q = 10\nhole_place = ["0.85 m", "{} m", "0.60 m"]\n', 102.3, 80.9),
])  # fmt: skip
def test_how_far_the_best_order_and_the_worst_lie_apart_depends_on_the_holes(library, hole, best, worst):
    # An earlier trial of ours had 102.3 and 80.9 dB with fixed levels and one side of the middle row: its holes were
    # 0.25 m further back and 0.25 m higher than the cones, of a Q of 10. Ours are straight below, of a Q of 3.
    sides = iter(("0.10", "1.70"))
    text = re.sub(r'hole = "120 cm2"', lambda found: hole.format(next(sides)) + found[0], demo_plan().text)
    plan = dataclasses.replace(plan_of(text, "plan.toml", library), levels=(0.0, 0.0))
    found = search(plan, thrift=0, complete=True)
    assert found.value == pytest.approx(best, abs=0.2)
    assert found.worst_value == pytest.approx(worst, abs=2)


def test_a_budget_and_never_worse():
    plan = demo_plan()
    poor = search(plan, budget=100)
    assert plan.after(*poor.best).cost <= 100
    assert "bass box" in poor.left_out
    assert poor.worst == ()
    rising = search(plan, rising=True, thrift=0)
    levels = [clean(plan.after(*rising.best[:count])) for count in range(len(rising.best) + 1)]
    assert (np.diff(levels) > -1e-9).all()
    nothing = search(plan, budget=10, complete=True)
    assert nothing.best == ()
    assert "No order" in str(nothing)


def test_other_aims():
    plan = demo_plan()
    assert search(plan, "lowest f10", thrift=0).best[:2] == ("amplifier", "bass box")
    weighted = Aim(clean=1.0, thinness=0.5)
    assert "0.5 x treble against bass" in str(weighted)
    state = plan.after("seal the step wells")
    found = figures(state)
    assert weighted.of(state) == pytest.approx(found.clean - 0.5 * max(found.thinness, -6))
    assert search(plan, weighted).aim == weighted
    assert Aim(band=(80, 160)).of(state) == pytest.approx(found.bands[80, 160] + 20 * np.log10(found.drive / 2.83))
    with pytest.raises(ValueError, match=r"search\.aim must be one of clean bass"):
        search(plan, "more bass")
    with pytest.raises(ValueError, match=r"Aim\.band must rise within 40 to 8000 Hz"):
        Aim(band=(20, 40))
    with pytest.raises(ValueError, match="needs a weight"):
        Aim(clean=0)


def test_a_cancelled_search_leaves_the_plan_as_it_was():
    plan = demo_plan()
    before, file = search(plan), plan.path.read_bytes()

    class Cancelled(Exception):
        pass

    def cancel(done, total):
        assert 0 < done <= total == 48
        if done == 20:
            raise Cancelled

    with pytest.raises(Cancelled):
        search(plan, progress=cancel)
    assert search(plan) == before
    assert plan.path.read_bytes() == file


def test_the_order_of_independent_stages_in_the_file_changes_nothing(library):
    text = demo_plan().text
    head, *stages = text.partition("[orders]")[0].split("[stage.")
    turned = head + "".join(f"[stage.{stage}" for stage in stages[::-1])
    plan, other = demo_plan(), plan_of(turned, "plan.toml", library)
    assert search(other, thrift=0).value == pytest.approx(search(plan, thrift=0).value, abs=1e-12)
    assert search(other, thrift=0).best == search(plan, thrift=0).best


def test_a_plan_without_stages_or_without_sound_has_no_best_order(library):
    found = search(plan_of("", "plan.toml", library))
    assert (found.best, found.ties) == ((), 1)
    assert shares(plan_of("", "plan.toml", library)) == {}
    many = "".join(f"[stage.s{i}]\n" for i in range(15))
    with pytest.raises(ValueError, match="at most 14 stages, got 15"):
        search(plan_of(many, "plan.toml", library))


SILENT = """
[opening.door]
volume = "30 litres"
[channel.front]
feeds = ["door"]
[have]
door = "165 mm panel"
[stage.wires]
move = { front = "head unit of the minibus" }
[stage.smaller]
set = { door.volume = "20 litres" }
"""


def test_what_is_silent_at_first_has_no_number_but_an_order(library):
    plan = plan_of(SILENT, "plan.toml", library)
    found = search(plan)
    levels = [figures(plan.after(*done)).clean for done in (("wires",), ("wires", "smaller"))]
    assert found.best == ("wires", "smaller")
    assert found.value == pytest.approx(np.mean(levels))
    assert (found.start, found.worst, found.worst_value) == (None, ("smaller", "wires"), None)
    assert "as found nothing plays" in str(found)
    assert "Worst of 2 orders of all stages: nothing plays at some turns" in str(found)
    assert np.isnan(list(shares(plan).values())).all()
    assert np.isnan(list(spans(plan).values())).all()
    assert change(plan.after(), "wires").heard == ("it plays from now on",)


def test_a_plan_in_which_nothing_ever_plays_has_no_best_order(library):
    found = search(plan_of(SILENT.replace("head unit of the minibus", "nothing"), "plan.toml", library))
    assert (found.best, found.value, found.start) == ((), None, None)
    assert str(found) == "Nothing plays after any of these stages."


def test_the_arguments_of_a_search_may_stand_in_their_order():
    assert search(demo_plan(), "clean bass", None, 0, True) == search(demo_plan(), thrift=0, complete=True)


def test_a_search_step_by_step_is_the_same_search(library, random_plans):
    plan = plan_of(random_plans(3, stages=4, cabin=False), "plan.toml", library)
    steps = Searching(plan, AIMS["clean bass"])
    told = [(done, every) for done, every in steps if steps.found is None]
    assert [done for done, _ in told] == list(range(1, told[-1][1] + 1))
    assert steps.found == search(plan)
