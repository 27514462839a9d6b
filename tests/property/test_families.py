"""A family is the loop over its members, bit for bit, whatever its shape and whoever lacks what."""

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from lumpedbox import (
    Air,
    Cabin,
    Capacitor,
    Delay,
    Door,
    Driver,
    Gain,
    HighPass,
    Inductor,
    InfiniteBaffle,
    Loudspeaker,
    LowPass,
    Port,
    Resistor,
    SealedBox,
    VentedBox,
    across,
    frequencies,
    in_series,
    solve,
)
from lumpedbox.circuit import solver
from lumpedbox.circuit.build import circuit
from lumpedbox.circuit.elements import Element
from lumpedbox.circuit.places import addresses

CURVES = ("pressure", "level", "phase", "group_delay", "cone_velocity", "excursion", "impedance", "current")
MORE = ("input_power", "radiated_power")


class Mixture:
    """Draws quantities for a family of a shape: one for all, or one along some of its axes."""

    def __init__(self, seed, shape):
        self.random, self.shape = np.random.default_rng(seed), shape

    def _some_shape(self):
        kept = tuple(n if self.random.random() < 0.7 else 1 for n in self.shape)
        return kept[self.random.integers(0, len(kept) + 1) :] if kept else ()

    def number(self, low, high):
        found = np.exp(self.random.uniform(np.log(low), np.log(high), self._some_shape()))
        return found if found.ndim else float(found)

    def perhaps(self, low, high, absent):
        """Return numbers of which about half are absent."""
        found = np.asarray(self.number(low, high))
        gone = self.random.random(found.shape) < 0.5
        found = np.where(gone, absent, found)
        return found if found.ndim else float(found)

    def chance(self):
        return self.random.random() < 0.5


def mixed_driver(mixture):
    return Driver.from_thiele_small(
        fs=mixture.number(20, 60),
        Qes=mixture.number(0.3, 1),
        Qms=mixture.number(2, 10),
        Vas=mixture.number(0.005, 0.05),
        Sd=mixture.number(0.01, 0.05),
        Re=mixture.number(2, 8),
        Le=mixture.perhaps(1e-4, 2e-3, 0.0),
        L2=mixture.perhaps(1e-4, 2e-3, 0.0),
        R2=mixture.perhaps(1, 20, np.inf),
        semi_inductance=mixture.perhaps(1e-3, 0.1, 0.0),
        semi_exponent=mixture.number(0.4, 0.8),
        xmax=0.005,
    )


def mixed_box(mixture):
    losses = {"Ql": mixture.perhaps(3, 30, np.inf), "Qa": mixture.perhaps(3, 30, np.inf)}
    volume, filling = mixture.number(0.01, 0.1), mixture.number(1, 1.4)
    kind = mixture.random.integers(5)
    if kind == 0:
        return InfiniteBaffle()
    if kind == 4:
        hole = {"hole_area": mixture.number(1e-4, 0.1), "hole_Q": mixture.perhaps(1, 10, np.inf)}
        return Door(volume=volume, **hole, path=mixture.number(0.1, 1))
    if kind == 1:
        return SealedBox(volume=volume, filling=filling, **losses)
    losses["Qp"] = mixture.perhaps(3, 30, np.inf)
    if kind == 2:
        port = Port(length=mixture.number(0.05, 0.3), diameter=mixture.number(0.05, 0.1))
        return VentedBox(volume=volume, port=port, filling=filling, **losses)
    return VentedBox(volume=volume, fb=mixture.number(20, 60), port_area=0.005, filling=filling, **losses)


def mixed_network(mixture):
    """Return parts of which some members have none: 0 in the line or inf across it stand for "not fitted"."""
    return (
        in_series(
            Inductor(inductance=mixture.perhaps(1e-4, 5e-3, 0.0), resistance=mixture.perhaps(0.1, 1, 0.0)),
            Capacitor(capacitance=mixture.perhaps(1e-5, 1e-3, np.inf)),
        )
        + across(Inductor(inductance=mixture.perhaps(1e-3, 1e-2, np.inf), resistance=mixture.number(0.1, 1)))
        + across(Capacitor(capacitance=mixture.perhaps(1e-5, 1e-4, 0.0), resistance=mixture.perhaps(0.1, 1, 0.0)))
        + across(Resistor(resistance=mixture.perhaps(5, 50, np.inf)))
        + in_series(Resistor(resistance=mixture.perhaps(0.1, 3, 0.0)))
    )


def mixed_loudspeaker(mixture):
    cabin = Cabin(
        length=mixture.number(2, 5), width=1.5, height=1.2, leak=mixture.perhaps(5, 30, 0.0), flex=mixture.number(1, 2)
    )
    filters = (
        HighPass(frequency=mixture.number(15, 40), order=4),
        LowPass(frequency=mixture.number(100, 400)),
        Gain(level=mixture.number(1, 6)),
        Delay(time=mixture.perhaps(1e-4, 1e-2, 0.0)),
    )
    return Loudspeaker(
        driver=mixed_driver(mixture),
        box=mixed_box(mixture),
        network=mixed_network(mixture) if mixture.chance() else None,
        filters=filters if mixture.chance() else (),
        cabin=cabin if mixture.chance() else None,
        solid_angle=mixture.number(3, 6),
        source_resistance=mixture.perhaps(0.05, 1, 0.0),
    )


def in_polynomials(response):
    """Say whether a response is solved in polynomials."""
    with np.errstate(all="ignore"):
        return solver.in_polynomials(response.circuit) is not None


def demand(whole, own, exact, who):
    """Demand the same numbers, bit for bit if both were solved in one way, else to 1e-9 of the largest."""
    if not exact:
        largest = np.max(np.abs(np.nan_to_num(own, posinf=0.0, neginf=0.0)))
        assert np.allclose(whole, own, rtol=0, atol=1e-9 * largest, equal_nan=True), who
    else:
        assert np.array_equal(whole, own, equal_nan=True), who


def same(family, member, index, names):
    """Demand that one member of a family's response equals the member's own, bit for bit on the same way.

    A coil with K s^n in other members keeps the whole family from being solved in polynomials.
    """
    exact = in_polynomials(family) == in_polynomials(member)
    for name in names:
        demand(getattr(family, name)[index], getattr(member, name), exact, f"{name} of member {index}")


def within(index, shape):
    """Return where a position of a larger family lies in one of `shape` that spreads over it."""
    return tuple(i if n > 1 else 0 for i, n in zip(index[len(index) - len(shape) :], shape, strict=True))


SHAPES = st.sampled_from([(), (1,), (2,), (7,), (3, 4), (2, 1, 3), (1, 1)])
POINTS = st.sampled_from([1, 2, 3, 5, 8, 33])


@settings(max_examples=60)
@given(st.integers(0, 10**6), SHAPES, POINTS)
@example(1, (3, 4), 1)
@example(2, (2, 1, 3), 33)
def test_a_family_is_the_loop_over_its_members(seed, shape, points):
    mixture = Mixture(seed, shape)
    loudspeaker, air = mixed_loudspeaker(mixture), Air(temperature=mixture.number(270, 310))
    conditions = {"voltage": mixture.number(1, 10), "distance": mixture.number(0.5, 4)}
    frequency = np.geomspace(8, 900, points)
    whole = solve(loudspeaker, frequency, air=air, **conditions)
    vented = isinstance(loudspeaker.box, VentedBox)
    names = CURVES + MORE + (("port_flow", "port_velocity") if vented else ())
    for index in np.ndindex(whole.shape):
        own = {name: np.broadcast_to(value, whole.shape)[index] for name, value in conditions.items()}
        around = Air(temperature=float(np.broadcast_to(air.temperature, whole.shape)[index]))
        member = loudspeaker.member(within(index, loudspeaker.shape))
        same(whole, solve(member, frequency, air=around, **own), index, names)


@settings(max_examples=20)
@given(st.integers(0, 10**6), st.sampled_from([(3,), (2, 3)]))
def test_cutoffs_powers_and_openings_of_a_family_too(seed, shape):
    loudspeaker = mixed_loudspeaker(Mixture(seed, shape))
    whole = solve(loudspeaker, frequencies(5, 900, per_octave=12))
    for index in np.ndindex(whole.shape):
        own = solve(loudspeaker.member(index), whole.frequency)
        exact = in_polynomials(whole) == in_polynomials(own)
        demand(whole.f3[index], own.f3, exact, "f3")
        demand(whole.cutoff(10)[index], own.cutoff(10), exact, "cutoff")
        powers, opened = own.dissipation, {aperture.name: aperture.flow for aperture in own.apertures}
        absent = np.zeros(len(whole.frequency))
        for name, power in whole.dissipation.items():
            demand(power[index], powers.get(name, absent), exact, name)
        for aperture in whole.apertures:
            demand(aperture.flow[index], opened.get(aperture.name, absent), exact, aperture.name)


@pytest.mark.parametrize("points", [1, 97, 4000, 4001])
@pytest.mark.parametrize("more", [-1, 0, 1])
def test_families_that_cross_the_edge_of_a_slice(points, more):
    members = max(2, 2 * (solver.POINTS // points) + more)
    mixture = Mixture(points + more, (members,))
    loudspeaker = Loudspeaker(
        driver=mixed_driver(mixture),
        box=VentedBox(
            volume=np.linspace(0.01, 0.1, members), fb=30, port_area=0.005, Ql=mixture.perhaps(3, 30, np.inf)
        ),
        network=mixed_network(mixture),
    )
    frequency = np.geomspace(8, 900, points)
    whole = solve(loudspeaker, frequency)
    edge = solver.POINTS // points
    for index in sorted({0, 1, edge - 1, edge, edge + 1, 2 * edge - 1, members - 1}):
        if 0 <= index < members:
            same(whole, solve(loudspeaker.member(index), frequency), index, CURVES)


@pytest.mark.parametrize("points", [solver.POINTS - 1, solver.POINTS, solver.POINTS + 1, 2 * solver.POINTS + 3])
def test_frequencies_that_cross_the_edge_of_a_slice(points):
    loudspeaker = mixed_loudspeaker(Mixture(5, (3,)))
    frequency = np.geomspace(8, 900, points)
    whole = solve(loudspeaker, frequency)
    same(whole, solve(loudspeaker.member(2), frequency), 2, CURVES)
    for few in (slice(0, 5), slice(solver.POINTS - 3, solver.POINTS + 3), slice(-4, None)):
        part = solve(loudspeaker, frequency[few])
        for name in ("pressure", "impedance", "cone_velocity", "current"):
            assert np.array_equal(getattr(part, name), getattr(whole, name)[..., few]), name


@pytest.mark.parametrize("points", [1, 7, 64, 10**6])
def test_the_size_of_a_slice_changes_nothing(monkeypatch, points):
    loudspeaker = mixed_loudspeaker(Mixture(7, (4, 5)))
    frequency = np.geomspace(8, 900, 21)
    whole = solve(loudspeaker, frequency)
    monkeypatch.setattr(solver, "POINTS", points)
    again = solve(loudspeaker, frequency)
    for name in CURVES:
        assert np.array_equal(getattr(again, name), getattr(whole, name), equal_nan=True), name


@settings(max_examples=20)
@given(st.integers(0, 10**6))
def test_an_axis_of_length_one_or_another_order_of_axes_changes_nothing(seed):
    random = np.random.default_rng(seed)
    volume, fb = random.uniform(0.01, 0.1, 4), random.uniform(20, 60, 3)
    driver = mixed_driver(Mixture(seed, ()))

    def pressure(volume, fb):
        return solve(Loudspeaker(driver=driver, box=VentedBox(volume=volume, fb=fb, Ql=7)), [20, 40, 80]).pressure

    grid = pressure(volume[:, np.newaxis], fb)
    assert np.array_equal(grid, pressure(volume, fb[:, np.newaxis]).transpose(1, 0, 2))
    assert np.array_equal(grid, pressure(volume[:, np.newaxis, np.newaxis], fb)[:, 0])
    spread = pressure(np.repeat(volume, 3), np.tile(fb, 4)).reshape(4, 3, 3)
    assert np.array_equal(grid, spread)


def test_a_member_that_lacks_what_others_have_is_as_if_nobody_had_it():
    """The family's circuit has the element, the member's own has not."""
    driver = mixed_driver(Mixture(11, ()))
    frequency = np.geomspace(8, 900, 41)
    plain = {"volume": 0.04, "fb": 30.0, "port_area": 0.005}
    for name in ("Ql", "Qa", "Qp"):
        family = Loudspeaker(driver=driver, box=VentedBox(**plain, **{name: [np.inf, 7.0]}))
        bare = Loudspeaker(driver=driver, box=VentedBox(**plain))
        same(solve(family, frequency), solve(bare, frequency), 0, CURVES)
        assert not np.array_equal(solve(family, frequency).pressure[1], solve(bare, frequency).pressure)


def awkward(random, low, high, members):
    """Draw numbers, first those whose second power is not, to the last digit, what they are times themselves."""
    drawn = random.uniform(low, high, 50_000).tolist()
    odd = [x for x in drawn if x**2 != x * x or (2 * np.pi * x) ** 2 != (2 * np.pi * x) * (2 * np.pi * x)]
    return np.array((odd + drawn)[:members])


def test_element_values_of_a_family_are_those_of_its_members_made_one_by_one():
    """A power of a plain number and one of an array may differ in the last digit, in one of a thousand."""
    members = 150
    random = np.random.default_rng(12)
    ranges = {"fs": (20, 60), "Qes": (0.3, 1), "Qms": (2, 10), "Vas": (0.005, 0.05), "Sd": (0.01, 0.05), "Re": (2, 8)}
    sheets = {name: awkward(random, low, high, members) for name, (low, high) in ranges.items()}
    volume, fb, level = (awkward(random, low, high, members) for low, high in ((0.01, 0.1), (20, 60), (-6, 6)))

    def values(pick):
        driver = Driver.from_thiele_small(**{name: pick(value) for name, value in sheets.items()})
        box = VentedBox(volume=pick(volume), fb=pick(fb), Ql=7, Qa=20, Qp=30)
        filters = (Gain(level=pick(level)), HighPass(frequency=pick(fb), order=4))
        built = circuit(Loudspeaker(driver=driver, box=box, filters=filters), 1.0, 1.0, Air())
        found = []
        for part in (*(node for _, node in addresses(built.terminals) if isinstance(node, Element)), *built.before):
            part.mapped(lambda value: found.append(value) or value)
        return found

    whole = values(lambda array: array)
    for index in range(members):
        own = values(lambda array, index=index: float(array[index]))
        assert [np.broadcast_to(value, members)[index] for value in whole] == own, index


def test_the_usual_exponent_of_a_semi_inductance_among_others():
    """numpy takes a short cut for the square root, which an array of exponents does not have."""
    driver = {"Re": 3.4, "Bl": 9.4, "Mms": 0.053, "Cms": 0.39e-3, "Rms": 2.3, "Sd": 0.033, "semi_inductance": 0.05}
    frequency = np.geomspace(8, 900, 500)
    exponents = np.array([0.5, 1.0, 0.0, 0.6])
    family = Loudspeaker(driver=Driver(**driver, semi_exponent=exponents), box=InfiniteBaffle())
    whole = solve(family, frequency)
    for index in range(len(exponents)):
        same(whole, solve(family.member(index), frequency), index, CURVES)
        assert np.array_equal(
            whole.dissipation["eddy-current impedance"][index],
            solve(family.member(index), frequency).dissipation["eddy-current impedance"],
        )


def test_a_family_of_ten_thousand_is_not_a_special_case():
    members = 10_000
    box = VentedBox(volume=np.linspace(0.01, 0.1, members), fb=np.linspace(60, 20, members), Ql=7, port_area=0.005)
    loudspeaker = Loudspeaker(driver=mixed_driver(Mixture(3, ())), box=box)
    whole = solve(loudspeaker, [20.0, 50.0, 120.0])
    assert whole.level.shape == (members, 3)
    for index in (0, 2666, 2667, 5333, members - 1):
        same(whole, solve(loudspeaker.member(index), [20.0, 50.0, 120.0]), index, CURVES)
    assert math.prod(whole.shape) == members
