"""Passive parts in the line, and filters before the amplifier, against elementary circuit theory."""

import dataclasses

import numpy as np
import pytest
import scipy.signal

from lumpedbox import (
    AllPass,
    Branch,
    Capacitor,
    Delay,
    Gain,
    HighPass,
    Inductor,
    InfiniteBaffle,
    Inverted,
    LevelTable,
    Loudspeaker,
    LowPass,
    Network,
    Peak,
    Resistor,
    SealedBox,
    Shelf,
    SideBySide,
    across,
    in_series,
    l_pad,
    solve,
)
from lumpedbox.parts.network import attenuation_of, pad_resistors
from lumpedbox.units import mH, uF

FREQUENCY = np.geomspace(10, 10_000, 101)
S = 2j * np.pi * FREQUENCY


@pytest.fixture
def bare(driver):
    return Loudspeaker(driver=driver, box=InfiniteBaffle())


def with_network(bare, network):
    return solve(dataclasses.replace(bare, network=network), FREQUENCY)


def with_filters(bare, *filters, frequency=FREQUENCY):
    """Return pressure with the filters over pressure without."""
    filtered = solve(dataclasses.replace(bare, filters=filters), frequency)
    return filtered.pressure / solve(bare, frequency).pressure


# Components


@pytest.mark.parametrize(
    ("part", "impedance"),
    [
        (Resistor(resistance=2.2), 2.2 + 0 * S),
        (Inductor(inductance=1 * mH), S * 1e-3),
        (Inductor(inductance=1 * mH, resistance=0.4), 0.4 + S * 1e-3),
        (Capacitor(capacitance=47 * uF), 1 / (S * 47e-6)),
        (Capacitor(capacitance=47 * uF, resistance=0.2), 0.2 + 1 / (S * 47e-6)),
    ],
)
def test_a_component_in_the_line_and_across_it(bare, part, impedance):
    """Ohm's law: in the line impedances add, across it admittances."""
    load = solve(bare, FREQUENCY).impedance
    assert with_network(bare, in_series(part)).impedance == pytest.approx(impedance + load, rel=1e-12)
    side_by_side = impedance * load / (impedance + load)
    assert with_network(bare, across(part)).impedance == pytest.approx(side_by_side, rel=1e-12)


def test_several_components_of_a_branch_stand_one_after_another(bare):
    load = solve(bare, FREQUENCY).impedance
    zobel = across(Resistor(resistance=4), Capacitor(capacitance=20 * uF))
    impedance = 4 + 1 / (S * 20e-6)
    assert with_network(bare, zobel).impedance == pytest.approx(impedance * load / (impedance + load), rel=1e-12)


@pytest.mark.parametrize(
    "network",
    [
        in_series(Resistor(resistance=0)),
        in_series(Inductor(inductance=0)),
        in_series(Capacitor(capacitance=np.inf)),
        across(Resistor(resistance=np.inf)),
        across(Inductor(inductance=np.inf)),
        across(Capacitor(capacitance=0)),
    ],
)
def test_what_is_not_fitted_changes_nothing(bare, network):
    without, fitted = solve(bare, FREQUENCY), with_network(bare, network)
    assert fitted.pressure == pytest.approx(without.pressure, rel=1e-12)
    assert fitted.impedance == pytest.approx(without.impedance, rel=1e-12)
    assert fitted.reference_level == pytest.approx(without.reference_level, abs=1e-9)


def test_a_family_of_components(bare):
    family = in_series(Inductor(inductance=np.array([0, 1, 2]) * mH))
    found = with_network(bare, family)
    assert found.shape == (3,)
    assert found.impedance[2] == pytest.approx(S * 2e-3 + found.impedance[0], rel=1e-12)


def test_networks_join_from_the_amplifier_to_the_driver(bare):
    first, second = in_series(Resistor(resistance=3)), across(Resistor(resistance=5))
    joined = first + second
    assert joined == Network(branches=(*first.branches, *second.branches))
    load = solve(bare, FREQUENCY).impedance
    assert with_network(bare, joined).impedance == pytest.approx(3 + 5 * load / (5 + load), rel=1e-12)
    assert with_network(bare, second + first).impedance == pytest.approx(5 * (3 + load) / (8 + load), rel=1e-12)


def test_a_network_is_joined_with_a_network():
    with pytest.raises((TypeError, AttributeError)):
        in_series(Resistor(resistance=3)) + Resistor(resistance=5)


@pytest.mark.parametrize(("given", "meant"), [(47.0, "uF"), (0.5, "uF")])
def test_a_large_capacitor_is_a_slip(given, meant):
    with pytest.raises(ValueError, match=rf"^Capacitor\.capacitance must be between 0 and 0\.1 F .*\* {meant}\?$"):
        Capacitor(capacitance=given)


def test_a_short_across_the_line_is_refused():
    for part in (Resistor(resistance=0), Inductor(inductance=0), Capacitor(capacitance=np.inf)):
        with pytest.raises(ValueError, match=r"^Branch\.components would short the line"):
            across(part)
    assert across(Inductor(inductance=0, resistance=0.1)).branches


def test_a_branch_needs_components_and_a_place():
    with pytest.raises(ValueError, match=r"^Branch\.components is empty: name at least one"):
        in_series()
    with pytest.raises(ValueError, match=r"^Branch\.placed must be one of in series, across, got 'accross': did you"):
        Branch(components=(Resistor(resistance=1),), placed="accross")
    with pytest.raises(
        TypeError, match=r"^Branch\.components must be Resistor or Inductor or Capacitor or SideBySide, got float 4\.0"
    ):
        across(4.0)


def test_a_single_component_counts_as_one_of_several():
    lone = Branch(components=Resistor(resistance=1), placed="in series")
    assert lone.components == (Resistor(resistance=1),)


# side by side


def test_two_side_by_side_are_one_of_their_sum(bare):
    """Derived: conductances add, and so do capacitances."""
    two = in_series(
        SideBySide(components=(Resistor(resistance=3.0), Resistor(resistance=6.0))),
        SideBySide(components=(Capacitor(capacitance=30e-6), Capacitor(capacitance=70e-6))),
    )
    one = in_series(Resistor(resistance=2.0), Capacitor(capacitance=100e-6))
    grid = [30.0, 300.0, 3000.0]
    halves, whole = (solve(dataclasses.replace(bare, network=network), grid) for network in (two, one))
    np.testing.assert_allclose(halves.pressure, whole.pressure, rtol=1e-12)
    assert halves.reference_level == pytest.approx(whole.reference_level)
    currents = halves.component_currents
    np.testing.assert_allclose(currents["resistor side by side in series"] / whole.current, 2 / 3, rtol=1e-12)


def test_what_stands_side_by_side_must_be_several_and_no_short():
    with pytest.raises(ValueError, match=r"^SideBySide\.components needs two or more, got 1"):
        SideBySide(components=(Resistor(resistance=3.0),))
    with pytest.raises(ValueError, match=r"^Branch\.components would short the line"):
        across(SideBySide(components=(Resistor(resistance=3.0), Inductor(inductance=0.0))))


def test_a_built_in_capacitor_is_one_before_the_driver(bare):
    carried = dataclasses.replace(bare.driver, built_in_capacitance=40e-6)
    inside = solve(dataclasses.replace(bare, driver=carried), [30.0, 300.0, 3000.0])
    outside = in_series(Capacitor(capacitance=40e-6))
    before = solve(dataclasses.replace(bare, network=outside), [30.0, 300.0, 3000.0])
    np.testing.assert_allclose(inside.pressure, before.pressure, rtol=1e-12)
    np.testing.assert_allclose(inside.impedance, before.impedance, rtol=1e-12)
    np.testing.assert_allclose(inside.driver_voltage, before.driver_voltage, rtol=1e-12)


# L-pad


@pytest.mark.parametrize("attenuation", [1, 3, 6, 12, 20])
@pytest.mark.parametrize("impedance", [4, 8])
def test_an_l_pad_lowers_by_what_was_asked_and_keeps_the_impedance(attenuation, impedance):
    """Into a resistance (derived): Rs + Rp || Z = Z, and the load has 10^(-A/20) of the voltage."""
    series, shunt = (
        branch.components[0].resistance for branch in l_pad(attenuation=attenuation, impedance=impedance).branches
    )
    loaded = shunt * impedance / (shunt + impedance)
    assert series + loaded == pytest.approx(impedance, rel=1e-12)
    assert 20 * np.log10(loaded / (series + loaded)) == pytest.approx(-attenuation, abs=1e-12)


def test_an_l_pad_puts_the_series_resistor_first():
    assert [branch.placed for branch in l_pad(attenuation=6, impedance=8).branches] == ["in series", "across"]


def test_a_family_of_pads(bare):
    family = l_pad(attenuation=[3, 6, 12], impedance=4)
    assert with_network(bare, family).shape == (3,)


@pytest.mark.parametrize("value", [0, -6, 81])
def test_an_l_pad_refuses_to_amplify(value):
    with pytest.raises(
        ValueError, match=r"^l_pad\.attenuation must be between 0\.001 and 80 dB \(attenuation, positive\)"
    ):
        l_pad(attenuation=value, impedance=8)


# Filters


@pytest.mark.parametrize("order", [1, 2, 4])
@pytest.mark.parametrize(("kind", "btype"), [(HighPass, "high"), (LowPass, "low")])
def test_butterworth_filters(bare, order, kind, btype):
    """scipy.signal.butter, an independent design of the same filter."""
    b, a = scipy.signal.butter(order, 2 * np.pi * 80, btype=btype, analog=True)
    expected = scipy.signal.freqs(b, a, 2 * np.pi * FREQUENCY)[1]
    assert with_filters(bare, kind(frequency=80, order=order)) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("order", [2, 4])
@pytest.mark.parametrize(("kind", "btype"), [(HighPass, "high"), (LowPass, "low")])
def test_linkwitz_riley_filters_are_two_butterworth_filters_of_half_the_order(bare, order, kind, btype):
    """S. H. Linkwitz, JAES 24(1) 1976 2-8 (from memory); scipy.signal.butter."""
    b, a = scipy.signal.butter(order // 2, 2 * np.pi * 80, btype=btype, analog=True)
    half = scipy.signal.freqs(b, a, 2 * np.pi * FREQUENCY)[1]
    assert with_filters(bare, kind(frequency=80, order=order, family="Linkwitz-Riley")) == pytest.approx(
        half**2, rel=1e-9
    )


def test_levels_at_the_corner(bare):
    at = {"frequency": np.array([80.0])}
    for order in (1, 2, 4):
        found = 20 * np.log10(abs(with_filters(bare, HighPass(frequency=80, order=order), **at)))
        assert found == pytest.approx([-3.0103], abs=1e-4)
    for order in (2, 4):
        steep = LowPass(frequency=80, order=order, family="Linkwitz-Riley")
        assert 20 * np.log10(abs(with_filters(bare, steep, **at))) == pytest.approx([-6.0206], abs=1e-4)


def test_linkwitz_riley_pairs_sum_flat(bare):
    """Order 4 in phase, order 2 with one arm reversed (Linkwitz 1976, from memory)."""
    pair = [with_filters(bare, k(frequency=200, order=4, family="Linkwitz-Riley")) for k in (HighPass, LowPass)]
    assert abs(sum(pair)) == pytest.approx(np.ones(len(FREQUENCY)), rel=1e-9)
    high, low = (with_filters(bare, k(frequency=200, family="Linkwitz-Riley")) for k in (HighPass, LowPass))
    assert abs(low - high) == pytest.approx(np.ones(len(FREQUENCY)), rel=1e-9)


def test_linkwitz_riley_filters_have_even_orders():
    with pytest.raises(ValueError, match=r"^HighPass\.order must be even for a Linkwitz-Riley filter .*, got 1$"):
        HighPass(frequency=80, order=1, family="Linkwitz-Riley")
    with pytest.raises(ValueError, match=r"^LowPass\.order must be one of 1, 2, 3, 4 \(order of the filter\), got 5$"):
        LowPass(frequency=80, order=5)
    with pytest.raises(ValueError, match=r"^HighPass\.family must be one of .* did you mean 'Butterworth'\?$"):
        HighPass(frequency=80, family="butterworth")


def test_a_shelf_and_a_peak_reach_their_level_and_leave_the_rest(bare):
    far = {"frequency": np.array([1e-2, 300.0, 1e6])}

    def levels(part):
        return 20 * np.log10(abs(with_filters(bare, part, **far)))

    assert levels(Shelf(frequency=300, level=6)) == pytest.approx([6, 3, 0], abs=1e-6)
    assert levels(Shelf(frequency=300, level=-8, side="above")) == pytest.approx([0, -4, -8], abs=1e-6)
    assert levels(Peak(frequency=300, level=5, Q=2)) == pytest.approx([0, 5, 0], abs=1e-6)


def test_a_measured_change_of_level_has_minimum_phase(bare):
    """A fine table of a Butterworth high-pass, which is minimum phase, brings back its phase and delay (scipy)."""
    points = np.geomspace(0.05, 1e5, 2000)
    b, a = scipy.signal.butter(2, 2 * np.pi * 80, btype="high", analog=True)
    level = 20 * np.log10(abs(scipy.signal.freqs(b, a, 2 * np.pi * points)[1]))
    table = LevelTable(points=tuple(zip(np.maximum(points, 0), np.maximum(level, -119), strict=True)))
    f = {"frequency": np.array([40.0, 80.0, 300.0, 2000.0])}
    exact = with_filters(bare, HighPass(frequency=80), **f)
    # the table ends at -119 dB, at 0.085 Hz: of the phase at 40 Hz, 2 (2 / pi) 0.085 / 40 = 0.0027 are missing
    assert with_filters(bare, table, **f) == pytest.approx(exact, rel=3e-3)
    delays = [
        solve(dataclasses.replace(bare, filters=(part,)), f["frequency"]).group_delay
        for part in (table, HighPass(frequency=80))
    ]
    assert delays[0] == pytest.approx(delays[1], rel=5e-3, abs=1e-6)


def test_a_table_of_one_level_is_a_gain(bare):
    table = LevelTable(points=((20, -6), (2000, -6)))
    assert with_filters(bare, table) == pytest.approx(with_filters(bare, Gain(level=-6)), rel=1e-12)
    with pytest.raises(ValueError, match=r"LevelTable\.points must be in rising frequency"):
        LevelTable(points=((200, 0), (20, 0)))


def test_an_all_pass_turns_only_the_phase(bare):
    at = {"frequency": np.array([20.0, 300.0, 5000.0])}
    first = with_filters(bare, AllPass(frequency=300), **at)
    second = with_filters(bare, AllPass(frequency=300, order=2, Q=2), **at)
    assert abs(first) == pytest.approx(np.ones(3), rel=1e-12)
    assert abs(second) == pytest.approx(np.ones(3), rel=1e-12)
    assert np.degrees(np.angle(first[1])) == pytest.approx(-90)
    assert abs(np.degrees(np.angle(second[1]))) == pytest.approx(180)


def test_gain_polarity_and_delay(bare):
    assert with_filters(bare, Gain(level=-6)) == pytest.approx(np.full(len(S), 10**-0.3), rel=1e-12)
    assert with_filters(bare, Inverted()) == pytest.approx(-np.ones(len(S)), rel=1e-12)
    assert with_filters(bare, Delay(time=2e-3)) == pytest.approx(np.exp(-S * 2e-3), rel=1e-9)


def test_a_delay_adds_to_the_group_delay_and_a_gain_to_the_reference_level(bare):
    plain = solve(bare, FREQUENCY)
    late = solve(dataclasses.replace(bare, filters=(Delay(time=3e-3),)), FREQUENCY)
    loud = solve(dataclasses.replace(bare, filters=(Gain(level=4),)), FREQUENCY)
    assert late.group_delay - plain.group_delay == pytest.approx(np.full(len(S), 3e-3), abs=1e-12)
    assert loud.reference_level - plain.reference_level == pytest.approx(4)
    assert loud.f3 == pytest.approx(plain.f3, rel=1e-9)


def test_filters_multiply(bare):
    both = with_filters(bare, HighPass(frequency=30), Gain(level=3))
    assert both == pytest.approx(with_filters(bare, HighPass(frequency=30)) * 10 ** (3 / 20), rel=1e-12)


def test_a_single_filter_counts_as_one_of_several(bare):
    assert dataclasses.replace(bare, filters=Inverted()).filters == (Inverted(),)
    with pytest.raises(
        TypeError, match=r"^Loudspeaker\.filters must be HighPass or LowPass or .*, got str 'high-pass'"
    ):
        dataclasses.replace(bare, filters="high-pass")


def test_a_family_of_filters(bare):
    found = with_filters(bare, HighPass(frequency=[20, 40, 80]))
    assert found.shape == (3, len(FREQUENCY))
    assert np.array_equal(found[1], with_filters(bare, HighPass(frequency=40)))


# Loudspeaker


def test_a_loudspeaker_needs_a_driver_and_a_box(driver):
    with pytest.raises(TypeError, match="missing 1 required keyword-only argument: 'box'"):
        Loudspeaker(driver=driver)
    with pytest.raises(
        TypeError, match=r"^Loudspeaker\.box must be SealedBox or VentedBox or PassiveRadiatorBox or InfiniteBaffle"
    ):
        Loudspeaker(driver=driver, box=driver)
    with pytest.raises(TypeError, match=r"^Loudspeaker\.driver must be Driver, got NoneType None$"):
        Loudspeaker(driver=None, box=InfiniteBaffle())


def test_the_resistance_of_amplifier_and_cable_stands_before_the_terminals(bare):
    """The impedance is that at the terminals; the voltage divides (Ohm's law)."""
    behind = solve(dataclasses.replace(bare, source_resistance=1.7), FREQUENCY)
    plain = solve(bare, FREQUENCY)
    assert behind.impedance == pytest.approx(plain.impedance, rel=1e-12)
    share = plain.impedance / (plain.impedance + 1.7)
    assert behind.pressure == pytest.approx(plain.pressure * share, rel=1e-12)


def test_solid_angle(bare):
    quarter = solve(dataclasses.replace(bare, solid_angle=np.pi), FREQUENCY)
    assert quarter.level - solve(bare, FREQUENCY).level == pytest.approx(np.full(len(S), 6.0206), abs=1e-4)


@pytest.mark.parametrize("value", [(0, 0), [1, 2, 3, 4], "abcd", 3.0, np.zeros((2, 3)), {"x": 1}])
def test_a_position_is_three_coordinates(driver, value):
    with pytest.raises(TypeError, match=r"^Loudspeaker\.position must be three coordinates \(x, y, z\) in m, got "):
        Loudspeaker(driver=driver, box=SealedBox(volume=0.03), position=value)


def test_a_position_is_kept_as_plain_numbers(driver):
    placed = Loudspeaker(driver=driver, box=SealedBox(volume=0.03), position=np.array([1, 2, 3]))
    assert placed.position == (1.0, 2.0, 3.0)
    assert all(type(coordinate) is float for coordinate in placed.position)


@pytest.mark.parametrize(
    "component",
    [
        Capacitor(capacitance=0),
        Inductor(inductance=np.inf),
        Resistor(resistance=np.inf),
        Capacitor(capacitance=[1e-5, 0]),
        SideBySide(components=(Resistor(resistance=np.inf), Capacitor(capacitance=0))),
        SideBySide(components=(Resistor(resistance=[np.inf, 5]), Capacitor(capacitance=[0, 1e-5]))),
    ],
)
def test_an_open_line_is_refused_and_across_it_the_same_is_harmless(bare, component):
    with pytest.raises(ValueError, match=r"^Branch\.components would open the line, so that nothing plays: "):
        in_series(component)
    beside = with_network(bare, across(component))
    assert np.all(np.isfinite(beside.level))
    assert np.all(np.isfinite(beside.reference_level))


def test_a_leg_that_is_not_fitted_leaves_the_other(bare):
    """An open leg of a trap is no leg: what stays is the resistor."""
    alone = with_network(bare, in_series(Resistor(resistance=5)))
    for leg in (Capacitor(capacitance=0), Inductor(inductance=np.inf), Resistor(resistance=np.inf)):
        trap = with_network(bare, in_series(SideBySide(components=(Resistor(resistance=5), leg))))
        assert trap.pressure == pytest.approx(alone.pressure, rel=1e-12)
        assert trap.reference_level == pytest.approx(alone.reference_level, abs=1e-9)


@pytest.mark.parametrize(
    ("leg", "other"),
    [
        (Resistor(resistance=[0, 5]), Inductor(inductance=1e-3)),
        (Inductor(inductance=[0, 1e-3]), Resistor(resistance=5)),
        (Capacitor(capacitance=[np.inf, 1e-5]), Inductor(inductance=1e-3, resistance=0.3)),
    ],
)
def test_a_leg_that_shorts_a_trap_in_one_member_only(bare, leg, other):
    """Shorted, the trap is a plain wire; the other member is what it is alone."""
    family = with_network(bare, in_series(SideBySide(components=(leg, other))))
    fitted = with_network(bare, in_series(SideBySide(components=(leg.member(1), other))))
    assert family.impedance[0] == pytest.approx(solve(bare, FREQUENCY).impedance, rel=1e-12)
    assert family.pressure[1] == pytest.approx(fitted.pressure, rel=1e-12)
    assert all(np.all(np.isfinite(current)) for current in family.component_currents.values())


def test_two_shorts_side_by_side_are_refused():
    with pytest.raises(ValueError, match=r"^SideBySide\.components may hold one short circuit, got 2: "):
        SideBySide(components=(Resistor(resistance=0), Inductor(inductance=[1e-3, 0])))


def test_members_that_short_the_line_in_turn_only_do_not_short_it(bare):
    """Two resistors one after another, of which never both are 0."""
    branch = across(Resistor(resistance=[0, 4]), Resistor(resistance=[4, 0]))
    found = with_network(bare, branch)
    assert found.impedance[0] == pytest.approx(found.impedance[1], rel=1e-12)


def test_a_pad_says_its_resistors_and_what_it_takes():
    """Against the circuit: with a resistance as load the level falls by so much; E24 values fall beside it."""
    pad = l_pad(attenuation=6, impedance=8)
    assert pad_resistors(pad) == pytest.approx((3.9905, 8.0381), abs=5e-5)
    assert attenuation_of(pad, 8) == pytest.approx(6.0, abs=1e-12)
    rounded = in_series(Resistor(resistance=3.9)) + across(Resistor(resistance=8.2))
    left = 1 / (1 / 8.2 + 1 / 8)  # by hand
    assert attenuation_of(rounded, 8) == pytest.approx(20 * np.log10((3.9 + left) / left), abs=1e-12)


@pytest.mark.parametrize(
    "network",
    [
        across(Resistor(resistance=8)) + in_series(Resistor(resistance=4)),
        in_series(Resistor(resistance=4)),
        in_series(Resistor(resistance=4)) + across(Resistor(resistance=8), Resistor(resistance=1)),
        in_series(Capacitor(capacitance=1e-5)) + across(Resistor(resistance=8)),
    ],
)
def test_what_is_no_pad_is_told_so(network):
    with pytest.raises(ValueError, match=r"^pad_resistors\.pad must be one resistor in series and one across"):
        pad_resistors(network)
