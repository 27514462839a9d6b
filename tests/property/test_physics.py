"""Laws that any loudspeaker obeys, tried on random ones: energy, limits, symmetry, scaling. No source but physics."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumpedbox import (
    Air,
    Branch,
    Cabin,
    Capacitor,
    Delay,
    Door,
    Driver,
    Gain,
    HighPass,
    Inductor,
    InfiniteBaffle,
    Inverted,
    Loudspeaker,
    LowPass,
    Network,
    Resistor,
    SealedBox,
    VentedBox,
    solve,
)

FREQUENCY = np.geomspace(5, 2000, 15)


def between(low, high):
    """Return numbers evenly spread on a logarithmic scale."""
    return st.floats(np.log(low), np.log(high)).map(lambda x: float(np.exp(x)))


def perhaps(numbers, otherwise):
    return st.one_of(st.just(otherwise), numbers)


LOSS = perhaps(between(1, 100), np.inf)


@st.composite
def drivers(draw):
    """Return a driver of less than 2.5 % efficiency, so that none is warned about."""
    fs, Sd = draw(between(20, 80)), draw(between(30e-4, 350e-4))
    Re, Mms = draw(between(1.5, 12)), Sd * draw(between(1, 4))
    w = 2 * np.pi * fs
    inductive = {
        "Le": perhaps(between(5e-5, 3e-3), 0.0),
        "L2": perhaps(between(5e-5, 3e-3), 0.0),
        "R2": perhaps(between(0.3, 30), np.inf),
        "semi_inductance": perhaps(between(1e-3, 0.3), 0.0),
        "semi_exponent": st.floats(0.3, 0.9),
    }
    return Driver(
        Re=Re,
        Bl=np.sqrt(w * Mms * Re / draw(between(0.4, 1.5))),
        Mms=Mms,
        Cms=1 / (w**2 * Mms),
        Rms=w * Mms / draw(between(1.5, 12)),
        Sd=Sd,
        **{name: draw(values) for name, values in inductive.items()},
    )


SEALED = st.builds(SealedBox, volume=between(1e-3, 0.3), Ql=LOSS, Qa=LOSS, filling=st.floats(1, 1.4))
VENTED = st.builds(
    VentedBox, volume=between(1e-3, 0.3), fb=between(15, 80), Ql=LOSS, Qa=LOSS, Qp=LOSS, filling=st.floats(1, 1.4)
)
DOORS = st.builds(
    Door,
    volume=between(1e-3, 0.3),
    hole_area=perhaps(between(1e-6, 1), 0.0),
    hole_depth=st.floats(0, 0.05),
    hole_Q=perhaps(between(0.5, 20), np.inf),
    path=st.floats(0, 1),
    opens_to=st.sampled_from(["cabin", "outside"]),
)
BOXES = st.one_of(SEALED, VENTED, st.just(InfiniteBaffle()))

RESISTANCE = between(0.2, 50)
COMPONENTS = st.one_of(
    st.builds(Resistor, resistance=RESISTANCE),
    st.builds(Inductor, inductance=between(5e-5, 1e-2), resistance=perhaps(between(0.05, 2), 0.0)),
    st.builds(Capacitor, capacitance=between(1e-6, 1e-3), resistance=perhaps(between(0.05, 2), 0.0)),
)
BRANCHES = st.builds(
    Branch,
    components=st.lists(COMPONENTS, min_size=1, max_size=2).map(tuple),
    placed=st.sampled_from(["in series", "across"]),
)
NETWORKS = perhaps(st.builds(Network, branches=st.lists(BRANCHES, max_size=3).map(tuple)), None)
FILTERS = st.lists(
    st.one_of(
        st.builds(HighPass, frequency=between(10, 100), order=st.sampled_from([1, 2, 4])),
        st.builds(
            LowPass, frequency=between(50, 2000), order=st.sampled_from([2, 4]), family=st.just("Linkwitz-Riley")
        ),
        st.builds(Gain, level=st.floats(-20, 10)),
        st.builds(Delay, time=st.floats(0, 0.01)),
        st.just(Inverted()),
    ),
    max_size=2,
).map(tuple)
CABINS = perhaps(
    st.builds(
        Cabin,
        length=st.floats(1.5, 6),
        width=st.floats(1, 2),
        height=st.floats(1, 2),
        leak=perhaps(st.floats(1, 30), 0.0),
        law=st.sampled_from(["volume", "length"]),
    ),
    None,
)
LOUDSPEAKERS = st.builds(
    Loudspeaker,
    driver=drivers(),
    box=BOXES | DOORS,
    network=NETWORKS,
    filters=FILTERS,
    cabin=CABINS,
    source_resistance=perhaps(between(0.02, 5), 0.0),
)


@given(LOUDSPEAKERS)
def test_the_power_that_goes_in_is_turned_into_heat_to_the_last(loudspeaker):
    response = solve(loudspeaker, FREQUENCY)
    assert sum(response.dissipation.values()) == pytest.approx(response.input_power, rel=1e-9, abs=1e-300)


@given(LOUDSPEAKERS)
def test_nothing_gives_power_back(loudspeaker):
    response = solve(loudspeaker, FREQUENCY)
    assert np.all(response.impedance.real > 0)
    assert all(np.all(power >= 0) for power in response.dissipation.values())


@given(LOUDSPEAKERS)
def test_the_current_is_what_the_impedance_lets_through(loudspeaker):
    bare = dataclasses.replace(loudspeaker, filters=())
    response = solve(bare, FREQUENCY, voltage=5.0)
    expected = 5.0 / (response.impedance + loudspeaker.source_resistance)
    assert response.current == pytest.approx(expected, rel=1e-9)


@given(LOUDSPEAKERS)
def test_outward_flows_sum_to_what_is_heard_without_a_cabin(loudspeaker):
    if isinstance(loudspeaker.box, Door):  # all of them heard over one path
        at_the_cone = dataclasses.replace(loudspeaker.box, path=0.0, opens_to="cabin")
        loudspeaker = dataclasses.replace(loudspeaker, box=at_the_cone)
    response = solve(dataclasses.replace(loudspeaker, cabin=None), FREQUENCY)
    flow = sum(aperture.flow for aperture in response.apertures)
    pressure = 2j * np.pi * FREQUENCY * Air().density * flow / (2 * np.pi)
    largest = max(abs(aperture.flow).max() for aperture in response.apertures)
    cancelled = 2 * np.pi * FREQUENCY * Air().density * largest / (2 * np.pi) * 1e-12
    assert np.all(abs(response.pressure - pressure) <= 1e-9 * abs(pressure) + cancelled)


@given(LOUDSPEAKERS)
def test_group_delay_is_minus_the_slope_of_the_phase(loudspeaker):
    """Against a central difference of the phase with a step of 1e-5."""
    step = 1e-5
    response = solve(loudspeaker, FREQUENCY)
    above, below = (solve(loudspeaker, FREQUENCY * (1 + sign * step)).pressure for sign in (1, -1))
    slope = -np.angle(above / below) / (2 * step * 2 * np.pi * FREQUENCY)
    heard = np.isfinite(response.group_delay)
    scale = 1 / (2 * np.pi * FREQUENCY)
    assert heard.any()
    assert np.all(abs(response.group_delay - slope)[heard] <= (1e-5 * scale + 1e-5 * abs(slope))[heard])


@settings(max_examples=3)
@given(drivers(), st.integers(0, 10**6))
def test_a_lossless_vented_box_is_solved_exactly_at_its_tuning(driver, seed):
    """There the cone stands still and the port does all: p = -rho Bl V/(2 pi r Ze Sd Map) (derived)."""
    random = np.random.default_rng(seed)
    fb, volume = random.uniform(15, 90, 300), random.uniform(0.005, 0.2, 300)
    response = solve(Loudspeaker(driver=driver, box=VentedBox(volume=volume, fb=fb)), fb)
    own = (np.arange(300), np.arange(300))
    s, air = 2j * np.pi * fb, Air()
    eddy = 0 if driver.L2 == 0 else s * driver.L2 / (1 + s * driver.L2 / driver.R2)
    Ze = driver.Re + s * driver.Le + eddy + driver.semi_inductance * s**driver.semi_exponent
    Map = air.stiffness / (volume * (2 * np.pi * fb) ** 2)
    expected = -air.density * driver.Bl * 2.83 / (2 * np.pi * Ze * driver.Sd * Map)
    assert response.pressure[own] == pytest.approx(expected, rel=1e-9)
    assert np.all(np.isfinite(response.group_delay[own]))
    assert np.all(response.excursion[own] <= 1e-9 * response.excursion.max(axis=1))
    assert response.impedance[own] == pytest.approx(Ze, rel=1e-9)


@given(drivers())
def test_a_large_sealed_box_is_an_infinite_baffle(driver):
    """The difference vanishes with the stiffness of the air: it halves when the volume doubles."""
    # a tenth of the area and so a hundredth of the Vas, that 10 m3 may count as large
    small = dataclasses.replace(driver, Sd=driver.Sd / 10)
    boxes = SealedBox(volume=[5.0, 10.0])
    baffle = solve(Loudspeaker(driver=small, box=InfiniteBaffle()), FREQUENCY).pressure
    off = abs(solve(Loudspeaker(driver=small, box=boxes), FREQUENCY).pressure / baffle - 1)
    alpha = small.Vas / 10
    assert np.all(off[1] <= 2 * alpha * small.Qms)
    assert off[0] == pytest.approx(2 * off[1], rel=5 * alpha + 1e-3, abs=1e-12)


@given(drivers(), st.sampled_from(["Ql", "Qa", "Qp"]), st.booleans())
def test_losses_that_vanish_are_no_losses(driver, loss, vented):
    box = VentedBox(volume=0.05, fb=35) if vented or loss == "Qp" else SealedBox(volume=0.03)
    nearly = dataclasses.replace(box, **{loss: 1e13})
    plain, lossy = (solve(Loudspeaker(driver=driver, box=b), FREQUENCY) for b in (box, nearly))
    assert lossy.pressure == pytest.approx(plain.pressure, rel=1e-9)
    assert lossy.impedance == pytest.approx(plain.impedance, rel=1e-9)


@given(LOUDSPEAKERS)
def test_a_reversed_polarity_turns_the_phase_by_180_degrees_and_nothing_else(loudspeaker):
    plain = solve(loudspeaker, FREQUENCY)
    reversed_ = solve(dataclasses.replace(loudspeaker, filters=(*loudspeaker.filters, Inverted())), FREQUENCY)
    turned = (reversed_.phase - plain.phase) % 360
    assert turned == pytest.approx(np.full(len(FREQUENCY), 180.0), abs=1e-9)
    assert reversed_.level == pytest.approx(plain.level, abs=1e-9)
    assert reversed_.group_delay == pytest.approx(plain.group_delay, rel=1e-9, abs=1e-15, nan_ok=True)
    assert np.array_equal(reversed_.impedance, plain.impedance)


@given(LOUDSPEAKERS, between(1e-3, 1e3))
def test_everything_is_proportional_to_the_voltage(loudspeaker, voltage):
    one, other = solve(loudspeaker, FREQUENCY, voltage=1.0), solve(loudspeaker, FREQUENCY, voltage=voltage)
    for name in ("pressure", "cone_velocity", "current", "excursion"):
        assert getattr(other, name) == pytest.approx(getattr(one, name) * voltage, rel=1e-12)
    apparent = np.max(voltage**2 * np.abs(one.current))  # V A: a power beside it is a small difference
    assert other.input_power == pytest.approx(one.input_power * voltage**2, rel=1e-12, abs=1e-12 * apparent)
    assert np.array_equal(other.impedance, one.impedance)
    assert other.reference_level - one.reference_level == pytest.approx(20 * np.log10(voltage), abs=1e-9)


@given(LOUDSPEAKERS, st.integers(-3, 5))
def test_pressure_falls_with_distance(loudspeaker, octaves):
    """As 1 / r, where the hole of a door is no further away than the cone."""
    bare = dataclasses.replace(loudspeaker, cabin=None)
    if isinstance(bare.box, Door):
        bare = dataclasses.replace(bare, box=dataclasses.replace(bare.box, path=0.0))
    near, far = (solve(bare, FREQUENCY, distance=r) for r in (1.0, 2.0**octaves))
    assert far.pressure == pytest.approx(near.pressure / 2.0**octaves, rel=1e-12)
    assert np.array_equal(far.cone_velocity, near.cone_velocity)


@given(drivers(), BOXES, between(0.1, 10))
def test_a_coil_of_other_wire_changes_the_impedance_alone(driver, box, k):
    """Impedances times k and the force factor times sqrt(k): the same motion at sqrt(k) times the voltage."""
    rewound = dataclasses.replace(
        driver,
        Bl=driver.Bl * np.sqrt(k),
        **{name: getattr(driver, name) * k for name in ("Re", "Le", "L2", "R2", "semi_inductance")},
    )
    one = solve(Loudspeaker(driver=driver, box=box), FREQUENCY)
    other = solve(Loudspeaker(driver=rewound, box=box), FREQUENCY, voltage=2.83 * np.sqrt(k))
    assert other.impedance == pytest.approx(k * one.impedance, rel=1e-9)
    assert other.pressure == pytest.approx(one.pressure, rel=1e-9)
    assert other.group_delay == pytest.approx(one.group_delay, rel=1e-9, abs=1e-12, nan_ok=True)


@given(drivers(), BOXES, between(0.4, 1))
def test_a_cone_of_other_area_in_a_box_as_stiff_to_it(driver, box, k):
    """Area times k, volume times k squared: the same motion and impedance, the pressure times k."""
    narrow = dataclasses.replace(driver, Sd=driver.Sd * k)
    small = box if isinstance(box, InfiniteBaffle) else dataclasses.replace(box, volume=box.volume * k**2)
    one, other = (solve(Loudspeaker(driver=d, box=b), FREQUENCY) for d, b in ((driver, box), (narrow, small)))
    assert other.impedance == pytest.approx(one.impedance, rel=1e-9)
    assert other.cone_velocity == pytest.approx(one.cone_velocity, rel=1e-9)
    assert other.pressure == pytest.approx(k * one.pressure, rel=1e-9)


@given(drivers(), BOXES, between(0.5, 2))
def test_all_frequencies_may_be_shifted_together(driver, box, k):
    """Stiffnesses times k^2, resistances and Bl^2 times k, inductances over k: Z(k f) as Z(f) was."""
    shifted = dataclasses.replace(
        driver,
        Cms=driver.Cms / k**2,
        Rms=driver.Rms * k,
        Bl=driver.Bl * np.sqrt(k),
        Le=driver.Le / k,
        L2=driver.L2 / k,
        semi_inductance=driver.semi_inductance / k**driver.semi_exponent,
    )
    stiff = box
    if not isinstance(box, InfiniteBaffle):
        tuned = {"fb": box.fb * k} if isinstance(box, VentedBox) else {}
        stiff = dataclasses.replace(box, volume=box.volume / k**2, **tuned)
    one = solve(Loudspeaker(driver=driver, box=box), FREQUENCY)
    other = solve(Loudspeaker(driver=shifted, box=stiff), k * FREQUENCY)
    assert other.impedance == pytest.approx(one.impedance, rel=1e-9)
    assert other.phase == pytest.approx(one.phase, abs=1e-6)
    assert k * other.group_delay == pytest.approx(one.group_delay, rel=1e-8, abs=1e-12, nan_ok=True)


@given(st.lists(BRANCHES, min_size=1, max_size=3), between(1, 20))
def test_a_ladder_between_equal_resistances_may_be_turned_round(branches, resistance):
    """Reciprocity. The driver is held so heavy that it is a resistance to the ladder."""
    heavy = Driver(Re=resistance, Bl=0.01, Mms=5, Cms=0.1, Rms=0.1, Sd=0.01)
    bare = Loudspeaker(driver=heavy, box=InfiniteBaffle(), source_resistance=resistance)
    frequency = FREQUENCY[3:]
    there, back = (
        solve(dataclasses.replace(bare, network=Network(branches=tuple(order))), frequency).pressure
        for order in (branches, branches[::-1])
    )
    assert back == pytest.approx(there, rel=1e-5)


@given(drivers(), between(0.005, 0.1), between(20, 60), st.floats(1, 1.4))
def test_filling_is_as_good_as_a_larger_box(driver, volume, fb, filling):
    losses = {"Ql": 7, "Qa": 20}
    for box, more in ((SealedBox, {}), (VentedBox, {"fb": fb, "Qp": 30})):
        filled = box(volume=volume, filling=filling, **losses, **more)
        large = box(volume=volume * filling, **losses, **more)
        one, other = (solve(Loudspeaker(driver=driver, box=b), FREQUENCY).pressure for b in (filled, large))
        assert other == pytest.approx(one, rel=1e-9)


@st.composite
def cabins_with_places(draw):
    """Return a cabin by its resonances without a leak, a source and an ear in it, at least 0.4 m apart."""
    sizes = np.array([draw(st.floats(1.8, 6.0)), draw(st.floats(1.1, 2.2)), draw(st.floats(1.0, 2.0))])
    cabin = Cabin(
        length=sizes[0],
        width=sizes[1],
        height=sizes[2],
        law="modes",
        leak=0,
        ear_box=0,
        flex=draw(st.floats(1, 2)),
        reverberation_time=draw(st.floats(0.05, 0.5)),
    )
    source, ear = (sizes * [draw(st.floats(0, 1)) for _ in range(3)] for _ in range(2))
    ear[0] = source[0] + (0.45 if source[0] < sizes[0] / 2 else -0.45)
    return cabin, source, ear


@settings(max_examples=30, deadline=None)
@given(cabins_with_places())
def test_a_cabin_by_its_resonances_is_reciprocal_and_mirrored(case):
    cabin, source, ear = case
    f = np.array([5.0, 25.0, 60.0, 140.0])
    found = cabin.transfer(f, source=source, ear=ear)
    assert cabin.transfer(f, source=ear, ear=source) == pytest.approx(found, rel=1e-9)
    sizes = np.array([cabin.length, cabin.width, cabin.height])
    assert cabin.transfer(f, source=sizes - source, ear=sizes - ear) == pytest.approx(found, rel=1e-6, abs=1e-3)
    turned = dataclasses.replace(cabin, length=cabin.width, width=cabin.length)
    swap = [1, 0, 2]
    assert turned.transfer(f, source=source[swap], ear=ear[swap]) == pytest.approx(found, rel=1e-6, abs=1e-3)
    assert np.all(np.isfinite(found))


@settings(max_examples=15, deadline=None)
@given(cabins_with_places())
def test_a_cabin_far_below_its_resonances_has_one_pressure(case):
    """p = rho c^2 U / (flex V s) (adiabatic compression), to 1 % at 2 Hz."""
    cabin, source, ear = case
    uniform = Air().stiffness / (cabin.flex * cabin.air_volume * 2j * np.pi * 2.0)
    assert cabin.transfer(2.0, source=source, ear=ear)[0] == pytest.approx(uniform, rel=0.02)
