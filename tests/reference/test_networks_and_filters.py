"""Passive networks and filters against scipy's analogue filters and published tables.

Sources: data/crossover_ladder.csv and data/lpad.csv (derived, apart from lumpedbox); S. H. Linkwitz, "Active crossover
networks for noncoincident drivers", JAES 24(1) (1976) 2-8 (from memory); scipy.signal, which knows no loudspeakers.
"""

import dataclasses

import numpy as np
import pytest
from scipy import signal

from lumpedbox import (
    AllPass,
    Capacitor,
    Driver,
    HighPass,
    Inductor,
    InfiniteBaffle,
    Loudspeaker,
    LowPass,
    Peak,
    Shelf,
    across,
    frequencies,
    in_series,
    l_pad,
    solve,
    voltage_for_power,
)

LOAD, CORNER = 8.0, 2500.0
# As good as a resistor: so little force on so much mass that motion adds 4e-9 ohm at 100 Hz.
RESISTOR = Driver(Re=LOAD, Bl=0.01, Mms=5.0, Cms=1e-3, Rms=1.0, Sd=0.01)
FREQUENCY = frequencies(100, 40e3, 6)


def ladder(table, family, order, arm, load=LOAD, corner=CORNER):
    """Build a row of the table, which counts from the load, as a network, which counts from the amplifier."""
    rows = table("crossover_ladder")
    chosen = (rows["family"] == family) & (rows["order"] == order) & (rows["arm"] == arm)
    assert chosen.sum() == order
    elements = zip(rows["element"][chosen], rows["value_times_R_over_f_or_1_over_Rf"][chosen], strict=True)
    in_line = "L" if arm == "LP" else "C"
    network = None
    for kind, value in elements:
        coil, capacitor = Inductor(inductance=value * load / corner), Capacitor(capacitance=value / (load * corner))
        branch = (in_series if kind == in_line else across)(coil if kind == "L" else capacitor)
        network = branch if network is None else branch + network
    return network


def voltage_at_driver(network, air):
    """Return the voltage across the driver per source volt, from what its cone does: u = (Ze + Bl^2/Zm) Zm v/Bl."""
    response = solve(Loudspeaker(driver=RESISTOR, box=InfiniteBaffle(), network=network), FREQUENCY, 1.0, air=air)
    s = 2j * np.pi * FREQUENCY
    d = RESISTOR
    mechanical = s * d.Mms + d.Rms + 1 / (s * d.Cms)
    return (d.Re + d.Bl**2 / mechanical) * mechanical * response.cone_velocity / d.Bl


def analogue(family, order, arm, corner=CORNER, frequency=FREQUENCY):
    """Return the transfer of a filter of scipy's."""
    kind = {"LP": "lowpass", "HP": "highpass"}[arm]
    if family == "Linkwitz-Riley":
        return analogue("Butterworth", order // 2, arm, corner, frequency) ** 2
    if family == "Chebyshev Q=1":
        top = {"LP": [1.0], "HP": [1.0, 0.0, 0.0]}[arm]
        return signal.freqs(top, [1.0, 1.0, 1.0], frequency / corner)[1]
    if family == "Butterworth":
        zpk = signal.butter(order, 1.0, kind, analog=True, output="zpk")
    else:
        zpk = signal.bessel(order, 1.0, kind, analog=True, output="zpk", norm="mag")
    return signal.freqs_zpk(*zpk, frequency / corner)[1]


LADDERS = [
    *(("Butterworth", n) for n in (1, 2, 3, 4)),
    *(("Linkwitz-Riley", n) for n in (2, 4)),
    *(("Bessel(-3dB at fc)", n) for n in (2, 3, 4)),
    ("Chebyshev Q=1", 2),
]


@pytest.mark.parametrize("arm", ["LP", "HP"])
@pytest.mark.parametrize(("family", "order"), LADDERS)
def test_ladder(family, order, arm, table, reference_air, agreement):
    # Values have eight decimals, of .02 at least: half a unit is 2.5e-7 of four elements, each of which acts on the
    # transfer with up to its order: 4e-6 of the transfer where it is steep.
    ours = voltage_at_driver(ladder(table, family, order, arm), reference_air)
    exact = analogue(family, order, arm)
    reached = np.max(abs(ours / exact - 1))
    agreement("passive ladders of order 1 to 4 into a resistance", "scipy.signal, table derived", reached, 4e-6)


# Quoted (derived): 8 ohm, 2500 Hz: uF and mH of first and second order.
@pytest.mark.parametrize(
    ("family", "order", "microfarad", "millihenry"),
    [("Butterworth", 1, 7.9577, 0.50930), ("Butterworth", 2, 5.6270, 0.72025), ("Linkwitz-Riley", 2, 3.9789, 1.01859)],
)
def test_table_is_read_as_meant(family, order, microfarad, millihenry, table):
    for arm in ("LP", "HP"):
        for branch in ladder(table, family, order, arm).branches:
            (component,) = branch.components
            if isinstance(component, Capacitor):
                assert component.capacitance * 1e6 == pytest.approx(microfarad, abs=6e-5)
            else:
                assert component.inductance * 1e3 == pytest.approx(millihenry, abs=6e-6)


def test_l_pad(table, reference_air, agreement):
    # All rows at once, as a family. Values have four decimals, shares of power five.
    rows = table("lpad")
    pad = l_pad(attenuation=rows["atten_dB"], impedance=rows["Z_ohm"])
    line, shunt = (branch.components[0].resistance for branch in pad.branches)
    reached = max(np.max(abs(line - rows["R_series"])), np.max(abs(shunt - rows["R_parallel"])))
    assert reached <= 5.1e-5

    driver = dataclasses.replace(RESISTOR, Re=rows["Z_ohm"])
    bare, padded = (
        solve(Loudspeaker(driver=driver, box=InfiniteBaffle(), network=n), 1000.0, air=reference_air)
        for n in (None, pad)
    )
    # what is left of the driver's motion, 4e-9 ohm, is the difference
    assert np.max(abs(padded.impedance[:, 0] / rows["check_Zin"] - 1)) <= 1e-8
    drop = (padded.level - bare.level)[:, 0]
    agreement("attenuation by an L-pad", "derived", np.max(abs(drop - rows["check_dB"])), 1e-7, "dB")

    shares = {name: loss[:, 0] / padded.input_power[:, 0] for name, loss in padded.dissipation.items()}
    for column, name in (
        ("P_series_frac", "resistor in series"),
        ("P_parallel_frac", "resistor across"),
        ("P_load_frac", "coil resistance"),
    ):
        assert np.max(abs(shares[name] - rows[column])) <= 5.1e-6


def filtered(air, *filters):
    """Return what filters do to the pressure."""
    driver = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4, air=air)
    bare, behind = (
        solve(Loudspeaker(driver=driver, box=InfiniteBaffle(), filters=f), FREQUENCY, air=air).pressure
        for f in ((), filters)
    )
    return behind / bare


@pytest.mark.parametrize(("arm", "kind"), [("LP", LowPass), ("HP", HighPass)])
@pytest.mark.parametrize(
    ("family", "order"),
    [
        *((family, n) for family in ("Butterworth", "Bessel") for n in (1, 2, 3, 4)),
        *(("Linkwitz-Riley", n) for n in (2, 4)),
    ],
)
def test_filter(family, order, arm, kind, reference_air, agreement):
    ours = filtered(reference_air, kind(frequency=CORNER, order=order, family=family))
    reached = np.max(abs(ours / analogue(family, order, arm) - 1))
    agreement("filters before the amplifier", "scipy.signal", reached, 1e-9)


def test_families_of_corners(reference_air, agreement):
    corners = np.array([80.0, 300.0, 5000.0])
    ours = filtered(reference_air, HighPass(frequency=corners, order=4, family="Linkwitz-Riley"))
    exact = np.array([analogue("Linkwitz-Riley", 4, "HP", corner) for corner in corners])
    agreement("filters before the amplifier", "scipy.signal", np.max(abs(ours / exact - 1)), 1e-9)


# Sums of a low-pass and a high-pass of the same corner: size of the sum with the same polarity and with the high-pass
# inverted, at the corner in dB (-300: a null), and how far the arms are down. Quoted (derived).
SUMS = [
    ("Butterworth", 1, -3.0103, 0.0, 0.0),
    ("Butterworth", 2, -3.0103, -300.0, 3.0103),
    ("Butterworth", 3, -3.0103, 0.0, 0.0),
    ("Butterworth", 4, -3.0103, 3.0103, -300.0),
    ("Linkwitz-Riley", 2, -6.0206, -300.0, 0.0),
    ("Linkwitz-Riley", 4, -6.0206, 0.0, -300.0),
]


@pytest.mark.parametrize(("family", "order", "arm", "same", "inverted"), SUMS)
def test_sums_at_the_corner(family, order, arm, same, inverted, reference_air):
    index = np.argmin(abs(FREQUENCY - 1000))
    corner = FREQUENCY[index]
    low, high = (
        filtered(reference_air, kind(frequency=corner, order=order, family=family))[index]
        for kind in (LowPass, HighPass)
    )
    assert max(abs(20 * np.log10(abs(x)) - arm) for x in (low, high)) <= 5.1e-5
    for total, quoted in ((low + high, same), (low - high, inverted)):
        if quoted == -300.0:
            assert abs(total) < 1e-9
        else:
            assert abs(20 * np.log10(abs(total)) - quoted) <= 5.1e-5


@pytest.mark.parametrize(
    ("family", "order", "sign"),
    [
        ("Butterworth", 1, 1),
        ("Butterworth", 3, 1),
        ("Butterworth", 3, -1),
        ("Linkwitz-Riley", 2, -1),
        ("Linkwitz-Riley", 4, 1),
    ],
)
def test_all_pass_sums(family, order, sign, reference_air, agreement):
    low, high = (
        filtered(reference_air, kind(frequency=CORNER, order=order, family=family)) for kind in (LowPass, HighPass)
    )
    reached = np.max(abs(abs(low + sign * high) - 1))
    agreement("sum of all-pass crossovers at any frequency", "Linkwitz 1976, derived", reached, 1e-9)


# Phase of the high-pass over the low-pass, the same at every frequency, in degrees. Quoted (derived).
PHASES = [
    ("Butterworth", 1, 90),
    ("Butterworth", 2, 180),
    ("Butterworth", 3, -90),
    ("Butterworth", 4, 0),
    ("Linkwitz-Riley", 2, 180),
    ("Linkwitz-Riley", 4, 0),
]


@pytest.mark.parametrize(("family", "order", "phase"), PHASES)
def test_arms_keep_their_phase(family, order, phase, reference_air, agreement):
    low, high = (
        filtered(reference_air, kind(frequency=CORNER, order=order, family=family)) for kind in (LowPass, HighPass)
    )
    turned = high / low / abs(high / low) * np.exp(-1j * np.radians(phase))
    reached = np.max(abs(turned - 1))
    agreement("phase between the arms of a crossover", "Linkwitz 1976, derived", reached, 1e-9)


def analogue_of(top, bottom, corner):
    return signal.freqs(top, bottom, FREQUENCY / corner)[1]


@pytest.mark.parametrize("level", [6.0, -9.0])
def test_shelf_peak_and_all_pass(level, reference_air, agreement):
    """R. Bristow-Johnson's analogue prototypes (W3C note 2021, from memory), run by scipy.signal.freqs."""
    A, Q = 10 ** (level / 40), 0.9
    low = np.array([1, np.sqrt(A) / Q, A]) * A, np.array([A, np.sqrt(A) / Q, 1])
    high = np.array([A, np.sqrt(A) / Q, 1]) * A, np.array([1, np.sqrt(A) / Q, A])
    cases = [
        (Shelf(frequency=CORNER, level=level, Q=Q), low),
        (Shelf(frequency=CORNER, level=level, side="above", Q=Q), high),
        (Peak(frequency=CORNER, level=level, Q=Q), ([1, A / Q, 1], [1, 1 / (A * Q), 1])),
        (AllPass(frequency=CORNER), ([-1, 1], [1, 1])),
        (AllPass(frequency=CORNER, order=2, Q=Q), ([1, -1 / Q, 1], [1, 1 / Q, 1])),
    ]
    for part, (top, bottom) in cases:
        reached = np.max(abs(filtered(reference_air, part) / analogue_of(top, bottom, CORNER) - 1))
        agreement("filters before the amplifier", "scipy.signal", reached, 1e-9)


def test_zobel_and_resonance_conjugate(reference_air):
    # Derived: R = Re with C = Le/Re^2 makes Re + jw Le exactly Re; R = Re (1 + Qes/Qms), C = 1/(2 pi fs Qes Re),
    # L = Qes Re/(2 pi fs) does it for the resonance. Both across the driver make it Re at all frequencies.
    driver = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4, air=reference_air)
    ws, Re = 2 * np.pi * driver.fs, driver.Re
    conjugate = across(
        Capacitor(capacitance=1 / (ws * driver.Qes * Re)),
        Inductor(inductance=driver.Qes * Re / ws, resistance=Re * (1 + driver.Qes / driver.Qms)),
    )
    f = frequencies(5, 500, 6)
    flat = solve(Loudspeaker(driver=driver, box=InfiniteBaffle(), network=conjugate), f, air=reference_air).impedance
    assert np.max(abs(flat / Re - 1)) <= 1e-9
    coil = dataclasses.replace(RESISTOR, Le=1e-3)
    zobel = across(Capacitor(capacitance=1e-3 / LOAD**2, resistance=LOAD))
    flat = solve(Loudspeaker(driver=coil, box=InfiniteBaffle(), network=zobel), FREQUENCY, air=reference_air).impedance
    # RESISTOR moves a little: 4e-9 ohm
    assert np.max(abs(flat / LOAD - 1)) <= 1e-8


def test_volts_for_watts():
    # P = V^2/R, and the impedance it is reckoned into
    assert voltage_for_power(dataclasses.replace(RESISTOR, rated_impedance=4.0), 25.0) == pytest.approx(10.0)
    assert voltage_for_power(RESISTOR, 50.0) == pytest.approx(20.0)
