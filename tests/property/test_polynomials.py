"""A driver in its box, solved in polynomials, agrees with itself solved in numbers; all else stays in numbers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumpedbox import (
    Air,
    Cabin,
    Capacitor,
    Channel,
    Delay,
    Door,
    Driver,
    HighPass,
    Inductor,
    InfiniteBaffle,
    Loudspeaker,
    PassiveRadiator,
    PassiveRadiatorBox,
    SealedBox,
    VentedBox,
    across,
    in_series,
)
from lumpedbox.circuit import solver
from lumpedbox.circuit.build import circuit, shared_circuit
from lumpedbox.circuit.solver import Solution, compute

FB = 40.0
MEMBERS = 3


def number(low, high):
    """One number, or one for each member."""
    one = st.floats(np.log(low), np.log(high)).map(lambda x: float(np.exp(x)))
    return one | st.lists(one, min_size=MEMBERS, max_size=MEMBERS).map(np.array)


@st.composite
def drivers(draw):
    """Tuned as the box is, or not; without any loss of its suspension, nearly, or not."""
    fs, Qms = draw(st.just(FB) | number(15, 80)), draw(number(1, 10) | st.just(1000.0))
    coil = draw(st.sampled_from([{}, {"Le": 5e-4}, {"Le": 5e-4, "L2": 1e-3, "R2": 3.0}]))
    return Driver.from_thiele_small(
        fs=fs, Qes=draw(number(0.05, 2)), Qms=Qms, Vas=draw(number(0.01, 0.1)), Sd=0.02, Re=draw(number(2, 8)), **coil
    )


@st.composite
def boxes(draw):
    """Every box without a hole; lossless, or as leaky and absorbing as they are."""
    losses = {name: draw(st.just(np.inf) | number(3, 100)) for name in ("Ql", "Qa")}
    kind, volume = draw(st.integers(0, 3)), draw(number(0.005, 0.2))
    if kind == 0:
        return InfiniteBaffle()
    if kind == 1:
        return SealedBox(volume=volume, **losses)
    if kind == 2:
        return VentedBox(volume=volume, fb=FB, port_area=0.005, Qp=draw(st.just(np.inf) | number(3, 100)), **losses)
    loss = draw(st.just(0.0) | number(0.001, 5))
    radiator = PassiveRadiator(Mms=draw(number(0.02, 0.5)), Cms=draw(number(1e-4, 2e-3)), Rms=loss, Sd=0.02)
    return PassiveRadiatorBox(volume=volume, radiator=radiator, **losses)


LOUDSPEAKERS = st.builds(
    Loudspeaker,
    driver=drivers(),
    box=boxes(),
    cabin=st.none() | st.just(Cabin(length=3.0, width=1.5, height=1.2, leak=10.0)),
    filters=st.sampled_from([(), (HighPass(frequency=20.0, order=4), Delay(time=0.002))]),
    source_resistance=st.just(0.0) | number(0.05, 2),
)


def built(loudspeaker):
    return circuit(loudspeaker, 2.83, 1.0, Air())


def in_polynomials(made):
    with np.errstate(all="ignore"):
        return solver.in_polynomials(made) is not None


def in_both_ways(made, s):
    """Return every curve as it is solved, and as it is solved in numbers."""
    wanted = {"pressure": Solution.pressure, "delay": Solution.delay, "impedance": Solution.impedance}
    wanted |= {place: made.flow(place) for place in ("cone", "port", "passive radiator", "leak") if made.has(place)}
    found = compute(made, s, wanted)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(solver, "in_polynomials", lambda made: None)
        return found, compute(made, s, wanted)


@settings(max_examples=20)
@given(LOUDSPEAKERS, st.sampled_from([0.0, 2.0, 60.0]))
def test_a_driver_in_its_box_is_as_solved_in_numbers(loudspeaker, damping):
    """Also on the resonances of box and driver, beside them, and off the imaginary axis, as for a step."""
    near = np.array([-1e-2, -1e-4, -1e-6, 0.0, 1e-6, 1e-4, 1e-2])
    fs = np.atleast_1d(loudspeaker.driver.fs)[0]
    s = damping + 2j * np.pi * np.sort(np.concatenate([np.geomspace(3, 20_000, 60), FB * (1 + near), fs * (1 + near)]))
    made = built(loudspeaker)
    assert in_polynomials(made)
    polynomials, numbers = in_both_ways(made, s)
    for name, expected in numbers.items():
        error, largest = np.abs(polynomials[name] - expected), np.abs(expected).max(axis=-1, keepdims=True)
        assert np.all(error <= 1e-9 * np.abs(expected) + 1e-10 * largest), name


def test_what_has_no_polynomial_or_too_many_resonances_stays_numbers():
    """Equal traps without loss: each multiplies the rounding of a polynomial near its resonance."""
    driver = Driver(Re=3.4, Bl=9.4, Mms=0.053, Cms=0.39e-3, Rms=2.3, Sd=0.033)
    eddies = Driver(Re=3.4, Bl=9.4, Mms=0.053, Cms=0.39e-3, Rms=2.3, Sd=0.033, semi_inductance=0.02)
    box = SealedBox(volume=0.03)
    trap = in_series(Inductor(inductance=2e-3)) + across(Capacitor(capacitance=1e-4))
    plain = Loudspeaker(driver=driver, box=box)
    for speaker in (
        Loudspeaker(driver=eddies, box=box),
        Loudspeaker(driver=driver, box=Door(volume=0.03, hole_area=1e-3, hole_Q=3.0, path=0.3)),
        Loudspeaker(driver=driver, box=box, network=trap + trap + trap),
    ):
        assert not in_polynomials(built(speaker))
    alike = Channel(loudspeakers=(plain, plain), wiring="series")
    assert not in_polynomials(shared_circuit(alike, 0, 2.83, 1.0, Air()))
    assert in_polynomials(built(plain))
