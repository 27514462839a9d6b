"""Designed networks against a table, scipy's filters and python-control; preferred values against IEC 60063.

Sources: data/crossover_ladder.csv (derived, apart from lumpedbox); S. H. Linkwitz, JAES 24(1) (1976) 2-8 (from
memory); scipy.signal and python-control, which know no loudspeakers; IEC 60063 (from memory).
"""

import dataclasses
from pathlib import Path

import control
import numpy as np
import pytest
from scipy import signal

from lumpedbox import Capacitor, Driver, Inductor, InfiniteBaffle, Loudspeaker, SealedBox, frequencies, l_pad, solve
from lumpedbox.design.e_series import SERIES, nearest, pair, rounded
from lumpedbox.design.ladders import fitted, ladder, notch, resonance_conjugate, trap, zobel
from lumpedbox.parts.small_signal import passband_level
from lumpedbox.tables import demo_drivers

ROWS = [("Butterworth", n) for n in (1, 2, 3, 4)] + [("Linkwitz-Riley", 2), ("Linkwitz-Riley", 4)]
ARMS = {"LP": "low-pass", "HP": "high-pass"}


@pytest.mark.parametrize("arm", ARMS)
@pytest.mark.parametrize(("family", "order"), [*ROWS, ("Bessel", 2), ("Bessel", 3), ("Bessel", 4)])
def test_components_are_those_of_the_table(family, order, arm, table, agreement):
    """Values have eight decimals; half a unit of the smallest, .02, is 2.5e-7 of it."""
    rows = table("crossover_ladder")
    name = "Bessel(-3dB at fc)" if family == "Bessel" else family
    chosen = (rows["family"] == name) & (rows["order"] == order) & (rows["arm"] == arm)
    assert chosen.sum() == order
    load, corner = 8.0, 2500.0
    network = ladder(arm=ARMS[arm], family=family, order=order, frequency=corner, load=load)
    elements = [branch.components[0] for branch in reversed(network.branches)]
    for element, kind, value in zip(
        elements, rows["element"][chosen], rows["value_times_R_over_f_or_1_over_Rf"][chosen], strict=True
    ):
        ours = element.inductance * corner / load if kind == "L" else element.capacitance * corner * load
        assert isinstance(element, Inductor if kind == "L" else Capacitor)
        agreement("components of textbook crossovers", "table, derived", abs(ours / value - 1), 3e-7)


@pytest.mark.parametrize("arm", ARMS.values())
def test_a_ladder_by_python_control(arm, agreement):
    """The voltage across 8 ohm behind a fourth-order ladder, as python-control works out its transfer function."""
    load, grid = 8.0, frequencies(100, 40e3, 6)
    network = ladder(arm=arm, family="Linkwitz-Riley", order=4, frequency=2500.0, load=load)
    s = control.tf("s")

    def impedance(part):
        return s * part.inductance if isinstance(part, Inductor) else 1 / (s * part.capacitance)

    # from the load towards the source: what stands across it, and the ratio of voltages so far
    across, ratio = control.tf([load], [1]), control.tf([1], [1])
    for branch in reversed(network.branches):
        z = impedance(branch.components[0])
        if branch.placed == "across":
            across = control.minreal(across * z / (across + z), verbose=False)
        else:
            ratio, across = control.minreal(ratio * across / (across + z), verbose=False), across + z
    theirs = ratio(2j * np.pi * grid)
    resistor = Driver(Re=load, Bl=0.01, Mms=5.0, Cms=1e-3, Rms=1.0, Sd=0.01)
    speaker = Loudspeaker(driver=resistor, box=InfiniteBaffle(), network=network)
    ours = solve(speaker, grid, 1.0).driver_voltage
    agreement("a fourth-order ladder into a resistance", "python-control", np.max(abs(ours / theirs - 1)), 1e-6)


def test_flattening_networks_make_a_resistance(agreement):
    """Derived: R = Re, C = Le/Re^2; and the conjugate of the resonance; exact at every frequency."""
    driver = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4)
    grid = frequencies(5, 500, 6)
    flat = solve(Loudspeaker(driver=driver, box=InfiniteBaffle(), network=resonance_conjugate(driver)), grid).impedance
    agreement("impedance flattening", "derived", np.max(abs(flat / driver.Re - 1)), 1e-9)
    coil = Driver(Re=8.0, Bl=0.01, Mms=5.0, Cms=1e-3, Rms=1.0, Sd=0.01, Le=1e-3)
    flat = solve(Loudspeaker(driver=coil, box=InfiniteBaffle(), network=zobel(coil)), grid * 100).impedance
    agreement("impedance flattening", "derived", np.max(abs(flat / 8.0 - 1)), 1e-8)


def test_a_notch_is_its_resistance_at_its_frequency():
    """A series resonance: X_L = X_C there, and Q times the resistance."""
    part = notch(frequency=900.0, Q=3.0, resistance=2.0).branches[0].components
    w = 2 * np.pi * 900
    assert w * part[1].inductance == pytest.approx(6.0)
    assert 1 / (w * part[0].capacitance) == pytest.approx(6.0)
    assert part[2].resistance == 2.0


def test_a_trap_takes_what_its_resistance_takes_before_a_resistance(agreement):
    """Derived: the parallel resonance is R at its frequency, and R / (1 + j Q (x - 1/x)) beside it, x = f/f0."""
    resistor = Driver(Re=8.0, Bl=0.01, Mms=5.0, Cms=1e-3, Rms=1.0, Sd=0.01)  # moves so little that only its coil counts
    x = np.array([0.5, 0.9, 1.0, 1.3, 2.0])
    network = trap(frequency=900.0, Q=3.0, resistance=16.0)
    impedance = solve(Loudspeaker(driver=resistor, box=InfiniteBaffle(), network=network), 900.0 * x).impedance
    expected = 8.0 + 16.0 / (1 + 3j * (x - 1 / x))
    agreement("trap in the line", "derived", np.max(abs(impedance / expected - 1)), 1e-6)


@pytest.mark.parametrize("series", ["E12", "E24"])
def test_preferred_values_are_those_of_the_standard(series, table):
    rows = table("e_series")
    listed = rows["values"][list(rows["series"]).index(series)].split()
    assert [float(value) for value in listed] == list(SERIES[series])


def test_a_rounding_of_a_geometric_series_is_not_e24():
    """IEC 60063 has 2.7 3.0 3.3 3.6 3.9 4.3 4.7 and 8.2 where rounding gives 2.6 2.9 3.2 3.5 3.8 4.2 4.6 and 8.3."""
    rounding = [round(10 ** (i / 24), 1) for i in range(24)]
    differ = [listed for listed, value in zip(SERIES["E24"], rounding, strict=True) if listed != value]
    assert differ == [2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 8.2]


@pytest.mark.parametrize("series", ["E12", "E24"])
def test_rounding_picks_what_no_other_value_is_nearer_to(series):
    random = np.random.default_rng(3)
    known = np.array([v * 10.0**p for p in range(-9, 4) for v in SERIES[series]])
    for value in np.exp(random.uniform(np.log(1e-7), np.log(100), 200)):
        assert nearest(value, series) == pytest.approx(known[np.argmin(abs(np.log(known / value)))])
        two = pair(value, series)
        assert all(np.min(abs(known / part - 1)) < 1e-9 for part in two)
        assert len(two) in (1, 2)
        assert abs(np.log(sum(two) / value)) <= abs(np.log(nearest(value, series) / value)) + 1e-12


def test_rounded_networks_keep_losses_and_cost_little():
    network = ladder(arm="high-pass", family="Linkwitz-Riley", order=4, frequency=3000.0, load=4.0)
    network += l_pad(attenuation=5.0, impedance=4.0)
    # half of the widest step of E24, from 1.3 to 1.5, is 0.0716 in logarithms; of two there are many to choose from
    for pairs, allowed in ((False, 0.0716), (True, 0.012)):
        for before, after in zip(network.branches, rounded(network, "E24", pairs).branches, strict=True):
            for old, new in zip(before.components, after.components, strict=True):
                fields = [f.name for f in dataclasses.fields(old)]
                ratios = [getattr(new, f) / getattr(old, f) for f in fields if getattr(old, f)]
                assert max(abs(np.log(r)) for r in ratios) < allowed


# By how many dB r.m.s. a network fitted to the driver follows the filter better than the textbook's, over two octaves
# on either side, at least: what was measured, rounded down.
PAIRS = [
    ("25 mm pillar tweeter", "high-pass", 3500.0, "Butterworth", 3, 0.30),
    ("25 mm pillar tweeter", "high-pass", 3500.0, "Linkwitz-Riley", 4, 0.35),
    ("19 mm dash tweeter", "high-pass", 5000.0, "Butterworth", 3, 0.39),
    ("19 mm dash tweeter", "high-pass", 5000.0, "Linkwitz-Riley", 4, 0.39),
    ("75 mm roof", "high-pass", 300.0, "Linkwitz-Riley", 4, 4.1),
    ("100 mm roof", "high-pass", 250.0, "Linkwitz-Riley", 4, 2.7),
    ("100 mm roof", "low-pass", 4000.0, "Linkwitz-Riley", 4, 2.6),
    ("120 mm panel", "low-pass", 3500.0, "Linkwitz-Riley", 4, 2.7),
    ("130 mm step well", "low-pass", 3500.0, "Butterworth", 2, 3.3),
    ("130 mm step well", "low-pass", 3500.0, "Linkwitz-Riley", 4, 3.1),
    ("165 mm panel", "low-pass", 2500.0, "Butterworth", 2, 2.3),
    ("165 mm panel", "low-pass", 2500.0, "Linkwitz-Riley", 4, 2.9),
    ("200 mm panel", "low-pass", 2000.0, "Linkwitz-Riley", 4, 3.0),
]


def wanted_level(arm, family, order, frequency, grid):
    """Level of a filter by scipy. [dB]"""
    kind, twice = {"low-pass": "lowpass", "high-pass": "highpass"}[arm], family == "Linkwitz-Riley"
    b, a = signal.butter(order // 2 if twice else order, 2 * np.pi * frequency, kind, analog=True)
    return 20 * np.log10(abs(signal.freqs(b, a, 2 * np.pi * grid)[1])) * (2 if twice else 1)


@pytest.mark.parametrize(("name", "arm", "frequency", "family", "order", "better"), PAIRS)
def test_a_network_fitted_to_the_driver_beats_the_textbooks(name, arm, frequency, family, order, better):
    speaker = Loudspeaker(driver=demo_drivers()[name], box=InfiniteBaffle())
    found = fitted(speaker, arm=arm, family=family, order=order, frequency=frequency)
    grid = frequencies(frequency / 4, frequency * 4, per_octave=12)
    wanted = passband_level(speaker.driver, 2.83) + wanted_level(arm, family, order, frequency, grid)
    errors = []
    for network in (found.network, found.textbook):
        level = solve(dataclasses.replace(speaker, network=network), grid).level
        errors.append(np.sqrt(np.mean((level - wanted) ** 2)))
    assert [found.error, found.textbook_error] == pytest.approx(errors, abs=1e-6)
    assert errors[1] - errors[0] >= better


def test_a_fit_is_never_worse():
    for name in ("25 mm pillar tweeter", "165 mm panel", "75 mm roof"):
        speaker = Loudspeaker(driver=demo_drivers()[name], box=InfiniteBaffle())
        for arm in ARMS.values():
            found = fitted(speaker, arm=arm, family="Butterworth", order=1, frequency=1500.0)
            assert found.error <= found.textbook_error


def test_energy_in_a_lossy_network(agreement):
    """What the source gives is what the resistances take: power balance, to rounding."""
    network = ladder(arm="high-pass", family="Butterworth", order=3, frequency=3000.0, load=4.0)
    lossy = [
        dataclasses.replace(b, components=(dataclasses.replace(b.components[0], resistance=0.3),))
        for b in network.branches
    ]
    network = dataclasses.replace(network, branches=tuple(lossy)) + l_pad(attenuation=4.0, impedance=4.0)
    speaker = Loudspeaker(driver=demo_drivers()["25 mm pillar tweeter"], box=InfiniteBaffle(), network=network)
    response = solve(speaker, frequencies(100, 20e3, 6))
    off = np.max(abs(sum(response.dissipation.values()) / response.input_power - 1))
    agreement("power balance of a lossy network", "conservation of energy", off, 1e-9)


# Whole networks, every kind of them, before drivers in boxes.
WHOLE = {
    "tweeter, fourth order, pad, flattened": ("25 mm pillar tweeter", "high-pass", 3500.0, 4),
    "woofer, third order, pad, flattened": ("165 mm panel", "low-pass", 2500.0, 3),
    "first order": ("100 mm roof", "high-pass", 250.0, 1),
}


@pytest.mark.spice
@pytest.mark.parametrize("name", WHOLE)
def test_whole_networks_by_ngspice(name, ngspice, tmp_path, load_module, agreement):
    """1e-6 dB, phase included, as for every other circuit."""
    spice = load_module(Path(__file__).parent / "test_spice.py")
    which, arm, frequency, order = WHOLE[name]
    driver = demo_drivers()[which]
    network = ladder(arm=arm, family="Butterworth", order=order, frequency=frequency, load=4.0)
    if order > 1:
        network += l_pad(attenuation=3.0, impedance=4.0) + zobel(driver, loss=0.1)
        network += resonance_conjugate(driver, loss=0.4) + notch(frequency=frequency, Q=2.0, resistance=9.0, loss=0.3)
    speaker = Loudspeaker(driver=driver, box=SealedBox(volume=0.01, Ql=10), network=network, source_resistance=0.1)
    printed = spice.run(ngspice, speaker, tmp_path)
    response = solve(speaker, spice.FREQUENCY, spice.VOLTAGE, spice.DISTANCE, spice.AIR)
    agreement(
        "whole networks before drivers",
        "ngspice",
        spice.decibels(response.pressure, printed["v(pressure)"]),
        1e-6,
        "dB",
    )
