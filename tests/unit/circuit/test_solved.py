"""What is small is solved once: asked again, or of a family in slices, a circuit answers bit for bit alike."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import solve
from lumpedbox.circuit import solver
from lumpedbox.circuit.solver import Solution, Solved, compute


@pytest.fixture
def solved_once(monkeypatch):
    """The list of all solutions that are made."""
    made = []

    class Counted(Solution):
        def __init__(self, circuit, s, network):
            made.append(s)
            super().__init__(circuit, s, network)

    monkeypatch.setattr(solver, "Solution", Counted)
    return made


@pytest.mark.parametrize(("count", "solutions"), [(solver.KEPT, 1), (solver.KEPT + 1, 2)])
def test_only_what_is_small_is_kept(vented, solved_once, count, solutions):
    f = np.geomspace(10, 1000, count)
    response = solve(vented, f)
    current = response.current
    assert len(solved_once) == solutions
    assert np.array_equal(current, compute(response.circuit, 2j * np.pi * f, {"i": Solution.current})["i"])


def test_each_response_answers_for_its_own_circuit(vented):
    """Curves asked for later, of two that differ, and in turn."""
    f = np.geomspace(10, 1000, 50)
    other = dataclasses.replace(vented, source_resistance=1.0)
    one, two = solve(vented, f), solve(other, f)
    for response in (one, two, one):
        s = 2j * np.pi * f
        for wanted in (Solution.current, response.circuit.drop("coil"), Solution.input_power):
            fresh = Solved(response.circuit, s).compute({"it": wanted})["it"]
            assert np.array_equal(response.solved.one(wanted), fresh)
        assert sum(response.dissipation.values()) == pytest.approx(response.input_power, rel=1e-9)
    assert np.max(np.abs(one.current / two.current)) > 1.05


def test_what_was_handed_out_cannot_change_what_is_asked_for_next(vented):
    response = solve(vented, [20.0, 40.0, 80.0])
    with pytest.raises(ValueError, match="read-only"):
        response.current[0] = 0.0
    assert np.all(response.current != 0)
