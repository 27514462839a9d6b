"""The optimiser of the search, on plain functions: it knows no loudspeaker.

Sources: D. M. Himmelblau, "Applied Nonlinear Programming", 1972, the function of four minima (from memory; the test
checks that its slope vanishes there); the mean of two numbers is no less than the root of their product, for the best
point on a limit; H. H. Rosenbrock, Computer Journal 3 (1960), the bent valley (from memory).
"""

import numpy as np
import pytest

from lumpedbox.design.search.candidates import LAST, STAGES
from lumpedbox.design.search.optimiser import INFEASIBLE, Problem, Stage, lattice, penalised, valleys

SIDE = 41


def himmelblau(x, y):
    return (x**2 + y - 11) ** 2 + (x + y**2 - 7) ** 2


MINIMA = np.array([[3.0, 2.0], [-2.805118, 3.131312], [-3.779310, -3.283186], [3.584428, -1.848126]])


def problem(function, bounds, limit=None, seen=None):
    """Return a problem of the coordinates of a point, and its grid with merits."""

    def judged(points, fineness):
        if seen is not None:
            seen.append(fineness)
        value = function(*points.T)
        excess = np.zeros_like(value) if limit is None else limit(*points.T)
        return penalised(value, excess, 1.0), {"value": value}

    bounds = np.array(bounds, dtype=float)
    points = lattice([np.linspace(*ends, SIDE) for ends in bounds])
    return Problem(judged, bounds, np.ptp(bounds, axis=1)), points, judged(points, STAGES[0].fineness)[0]


def found(function, bounds, limit=None):
    task, points, merit = problem(function, bounds, limit)
    return task.settled(task.refined(valleys(points, merit, SIDE), STAGES), LAST)


def test_every_valley_of_a_function_is_a_start():
    step = 1e-5
    for x, y in MINIMA:
        slope = himmelblau(x + step, y) - himmelblau(x - step, y), himmelblau(x, y + step) - himmelblau(x, y - step)
        assert np.abs(slope) / (2 * step) == pytest.approx([0, 0], abs=1e-3)
    task, points, merit = problem(himmelblau, [[-5, 5], [-5, 5]])
    starts = valleys(points, merit, SIDE)
    reached = [task.refined(start[np.newaxis], STAGES) for start in starts]
    assert [one.merit for one in reached] == pytest.approx([0] * 4, abs=1e-4)
    for minimum in MINIMA:
        assert min(np.hypot(*(one.point - minimum)) for one in reached) < 2e-3


def test_the_best_valley_is_chosen():
    """On a slope the minimum at the lowest x is the lowest, a little beside where it was."""
    best = found(lambda x, y: himmelblau(x, y) + 0.5 * x, [[-5, 5], [-5, 5]])
    assert best.point == pytest.approx(MINIMA[2], abs=0.02)
    assert best.values["value"] == best.merit
    assert best.feasible


def test_on_a_limit_the_best_point_lies_where_mean_and_root_are_equal():
    """To the hundredth that the search promises: along a slanting limit the lattices move in small steps only."""
    best = found(lambda x, y: x + y, [[0.1, 5], [0.1, 5]], lambda x, y: 1 / (x * y))
    assert best.feasible
    assert np.prod(best.point) == pytest.approx(1, abs=1e-3)
    assert 2 <= best.merit < 2 * 1.01


def test_on_an_edge_and_on_a_line():
    assert found(lambda x, y: x + y, [[1, 2], [3, 5]]).point == pytest.approx([1, 3])
    best = found(lambda x: (x - 0.3) ** 2, [[-1, 1]])
    assert best.point == pytest.approx([0.3], abs=1e-3)


def test_where_no_point_keeps_the_limit_the_one_that_passes_it_least_is_found():
    best = found(lambda x, y: x + y, [[0, 1], [0, 1]], lambda x, y: 2 + (x - 0.4) ** 2 + (y - 0.7) ** 2)
    assert not best.feasible
    assert best.point == pytest.approx([0.4, 0.7], abs=0.06)
    assert best.merit / INFEASIBLE == pytest.approx(2, abs=0.01)


def test_along_a_bent_valley_a_stage_that_is_run_anew_leads_further():
    task, *_ = problem(lambda x, y: 1 + (1 - x) ** 2 + 1e4 * (y - x**2) ** 2, [[-2, 2], [-1, 3]])
    stage = LAST._replace(starts=1, narrowing=8)
    once = task.refined(np.array([[-1.0, 1.0]]), (stage,))
    settled = task.settled(once, stage)
    assert settled.merit < once.merit < 5
    assert settled.point[0] > once.point[0]


def test_every_stage_looks_as_finely_as_it_says():
    seen = []
    task, points, merit = problem(himmelblau, [[-5, 5], [-5, 5]], seen=seen)
    task.refined(valleys(points, merit, SIDE), STAGES)
    assert list(dict.fromkeys(seen)) == [STAGES[0].fineness, LAST.fineness]
    assert seen == sorted(seen)


def test_a_stage_far_out_is_the_last():
    """What is passed by far is not looked at more finely: that could change nothing."""
    seen = []
    task, points, merit = problem(himmelblau, [[-5, 5], [-5, 5]], lambda x, y: 3 + 0 * x, seen)
    best = task.refined(valleys(points, merit, SIDE), STAGES)
    assert best.merit == pytest.approx(3 * INFEASIBLE)
    assert set(seen) == {STAGES[0].fineness}


def test_a_stage_ends_once_it_is_good_enough():
    """From the edge of a bowl inwards: what is below 1 takes fewer looks than the lowest point, and is no lie."""
    stage = Stage(starts=1, fineness=0, counts=(3, 3), size=0.05, narrowing=8)
    looks = {}
    for enough in (-np.inf, 1.0):
        seen = []
        task, *_ = problem(lambda x, y: 9 * (x**2 + y**2), [[-1, 1], [-1, 1]], seen=seen)
        seen.clear()
        best = task.refined(np.array([[0.5, 0.4]]), (stage._replace(enough=enough),))
        looks[enough] = len(seen)
        assert best.merit < 1.0
        assert best.merit == pytest.approx(9 * np.sum(best.point**2))
    assert looks[1.0] < looks[-np.inf]


def test_a_slope_is_followed_as_far_as_it_leads():
    """A lattice whose best point lies on its edge keeps its size: halved at once, they would come to a third of it."""
    task, *_ = problem(lambda x: (x - 0.8) ** 2, [[-1, 1]])
    best = task.refined(np.array([[-0.8]]), (Stage(starts=1, fineness=0, counts=(3,), size=0.1, narrowing=2),))
    assert best.point == pytest.approx([0.8])


def test_a_start_that_looks_worse_may_lead_to_the_best():
    task, *_ = problem(lambda x: np.minimum((x + 0.5) ** 2, 4 * (x - 0.5) ** 2 - 0.05), [[-1, 1]])
    best = task.refined(np.array([[-0.5], [0.65]]), STAGES)
    assert best.point == pytest.approx([0.5], abs=1e-3)
    assert best.values["value"] == best.merit == pytest.approx(-0.05, abs=1e-4)


def test_starts_that_lead_to_the_same_place_are_followed_once():
    seen = []
    task, *_ = problem(lambda x: seen.append(len(x)) or (x - 0.3) ** 2 + 1, [[-1, 1]])
    apart, together = np.array([[0.2], [-0.9]]), np.array([[0.2], [0.21]])
    stage = Stage(starts=2, fineness=0, counts=(5,), size=0.1, narrowing=1)
    for starts in (apart, together):
        task.refined(starts, (stage,))
    assert seen[-1] == 5 < max(seen)


def test_a_start_that_is_clearly_worse_is_not_looked_at_more_finely():
    seen = []
    task, *_ = problem(lambda x: seen.append(len(x)) or np.minimum((x + 0.5) ** 2 + 2, (x - 0.5) ** 2 + 1), [[-1, 1]])
    first = Stage(starts=2, fineness=0, counts=(5,), size=0.05, narrowing=1)
    best = task.refined(np.array([[-0.5], [0.5]]), (first, first._replace(fineness=1)))
    assert seen[-1] == 5 < max(seen)
    assert best.merit == pytest.approx(1)
