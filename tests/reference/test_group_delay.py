"""Group delay: published filters, and a derivative taken by mpmath of a transfer function written here.

Source: data/group_delay.csv, derived numerically from the filter functions, apart from lumpedbox. mpmath's `diff`
differentiates with 40 digits; the transfer functions below are algebra of their own, not lumpedbox's circuit.
"""

import mpmath as mp
import numpy as np
import pytest

from lumpedbox import (
    Cabin,
    Delay,
    Driver,
    HighPass,
    InfiniteBaffle,
    Loudspeaker,
    LowPass,
    SealedBox,
    VentedBox,
    frequencies,
    solve,
)

F0 = 30.0
SQRT2 = np.sqrt(2)


def loudspeakers(systems, air):
    """Return every filter of the table that a box makes, some in two ways, with w0 at F0."""

    def sealed(Q, *filters):
        ls = systems.sealed(Q, 2.0, air, F0)
        return Loudspeaker(driver=ls.driver, box=ls.box, filters=filters)

    def vented(*coefficients):
        QT, h, alpha = systems.vented_parameters(*coefficients)
        return systems.vented(QT, h, alpha, np.inf, air, fs=F0 / np.sqrt(h))

    return {
        "HP2 Q=0.5000": [sealed(0.5)],
        "HP2 Q=0.5774": [sealed(1 / np.sqrt(3))],
        "HP2 Q=0.7071": [sealed(1 / SQRT2)],
        "HP2 Q=1.0000": [sealed(1.0)],
        "HP2 Q=1.2000": [sealed(1.2)],
        "HP3 Butterworth": [sealed(1.0, HighPass(frequency=F0, order=1))],
        "HP4 Butterworth": [vented(*systems.c4(1.0))],
        # two Butterworth filters of second order in a row: s^4 + 2 sqrt2 s^3 + 4 s^2 + 2 sqrt2 s + 1
        "HP4 LR4": [vented(2 * SQRT2, 4.0, 2 * SQRT2), sealed(1 / SQRT2, HighPass(frequency=F0, order=2))],
        # s^4 + 10 s^3 + 45 s^2 + 105 s + 105 backwards, with w0 at the geometric mean of its poles
        "HP4 Bessel(reversed, w0=geometric)": [vented(105**0.25, 45 / np.sqrt(105), 10 / 105**0.25)],
        "HP4 C4 k=0.6": [vented(*systems.c4(0.6))],
        "HP4 C4 k=0.4": [vented(*systems.c4(0.4))],
        "HP4 QB3 B=1.0": [vented(*systems.qb3(1.0))],
        "HP4 QB3 B=2.0": [vented(*systems.qb3(2.0))],
    }


def test_table(table, systems, reference_air, agreement):
    # Tolerance: half a unit of the sixth decimal. The place of the maximum has five, which moves the maximum by less
    # than 1e-9. At 0 Hz we take x = 1e-4, where the delay is up to 1e-7 from that at 0.
    rows, built = table("group_delay"), loudspeakers(systems, reference_air)
    assert set(built) == set(rows["filter"])
    for index, name in enumerate(rows["filter"]):
        x = [1e-4, 0.5, 1.0, 2.0, 5.0, rows["x_at_max"][index]]
        columns = ["tau_w0_DC", "tau_w0_0.5", "tau_w0_1", "tau_w0_2", "tau_w0_5", "tau_w0_max"]
        quoted = np.array([rows[c][index] for c in columns])
        for loudspeaker in built[name]:
            # each frequency by itself, since far below the others' level a delay is withheld
            ours = [solve(loudspeaker, F0 * v, air=reference_air).group_delay[0] * 2 * np.pi * F0 for v in x]
            reached = np.max(abs(np.array(ours) - quoted))
            agreement(
                "group delay of 2nd to 4th order alignments, times w0", "filter functions, derived", reached, 7e-7
            )


def test_the_maximum_is_one(table, systems, reference_air):
    # two rows have theirs at 0 Hz (the table then names its lowest x, .05), and QB3's is a local one
    rows, built = table("group_delay"), loudspeakers(systems, reference_air)
    for name, place, largest in zip(rows["filter"], rows["x_at_max"], rows["tau_w0_max"], strict=True):
        if place > 0.051:
            near = solve(built[name][0], F0 * np.linspace(0.9 * place, 1.1 * place, 101), air=reference_air)
            assert np.max(near.group_delay) * 2 * np.pi * F0 == pytest.approx(largest, abs=1e-6)


def test_milliseconds(systems, reference_air):
    # Quoted (derived): 30 Hz: B2 7.503 ms, B4 19.605 ms at 30 Hz and 20.740 ms at most.
    built = loudspeakers(systems, reference_air)
    b2 = solve(built["HP2 Q=0.7071"][0], 30.0, air=reference_air).group_delay[0]
    b4 = solve(built["HP4 Butterworth"][0], np.linspace(20, 30, 2001), air=reference_air).group_delay
    assert np.max(abs(np.array([b2, b4[-1], b4.max()]) * 1e3 - [7.503, 19.605, 20.740])) <= 6e-4


# What follows differentiates transfer functions written here.

DRIVER = {"Re": 3.4, "Bl": 9.4, "Mms": 0.053, "Cms": 0.39e-3, "Rms": 2.3, "Sd": 0.033}
COIL = {"Le": 0.5e-3, "L2": 1e-3, "R2": 5.0, "semi_inductance": 0.02, "semi_exponent": 0.6}
V, FB, QL, QA, QP, RG = 0.04, 32.0, 7.0, 30.0, 40.0, 0.3
CABIN = Cabin(length=2.5, width=1.4, height=1.15)


def pressure(s, kind, air):
    """Return the pressure at 1 m for 1 V in 40 digits, up to a constant."""
    d, c = DRIVER, COIL
    Ze = RG + d["Re"] + s * c["Le"] + c["semi_inductance"] * s ** mp.mpf(c["semi_exponent"])
    Ze += s * c["L2"] * c["R2"] / (s * c["L2"] + c["R2"])
    stiffness = mp.mpf(float(air.density)) * mp.mpf(float(air.sound_speed)) ** 2
    C = V / stiffness
    w0 = 2 * mp.pi * FB
    if kind == "sealed":
        w0 = mp.sqrt((1 / mp.mpf(d["Cms"]) + d["Sd"] ** 2 / C) / d["Mms"])
    inside = 1 / (w0 * C * QA) + 1 / (s * C)
    admittance = 1 / inside + w0 * C / QL
    if kind == "vented":
        M = 1 / (w0**2 * C)
        admittance += 1 / (1 / (w0 * C * QP) + s * M)
    Zm = s * d["Mms"] + d["Rms"] + 1 / (s * d["Cms"]) + (0 if kind == "baffle" else d["Sd"] ** 2 / admittance)
    v = d["Bl"] / (Ze * Zm + d["Bl"] ** 2)
    net = d["Sd"] * v * (1 if kind == "baffle" else 1 / admittance / inside)
    return s * net * filtered(s, kind, air)


def filtered(s, kind, air):
    """Second-order high-pass, fourth-order Linkwitz-Riley low-pass, delay and the cabin: vented only."""
    if kind != "vented":
        return 1
    w, wl = 2 * mp.pi * 20, 2 * mp.pi * 120
    high = s**2 / (s**2 + mp.sqrt(2) * w * s + w**2)
    low = (wl**2 / (s**2 + mp.sqrt(2) * wl * s + wl**2)) ** 2
    wc = mp.mpf(float(air.sound_speed)) * mp.sqrt(2 * mp.pi / (1.5 * mp.mpf(2.5) * 1.4 * 1.15))
    return high * low * mp.exp(-s * mp.mpf("0.002")) * (s**2 + mp.sqrt(2) * wc * s + wc**2) / (s * (s + 2 * mp.pi * 15))


def built(kind):
    box = {
        "baffle": InfiniteBaffle(),
        "sealed": SealedBox(volume=V, Ql=QL, Qa=QA),
        "vented": VentedBox(volume=V, fb=FB, Ql=QL, Qa=QA, Qp=QP),
    }[kind]
    driver = Driver(**DRIVER, **COIL)
    if kind != "vented":
        return Loudspeaker(driver=driver, box=box, source_resistance=RG)
    filters = (
        HighPass(frequency=20.0),
        LowPass(frequency=120.0, order=4, family="Linkwitz-Riley"),
        Delay(time=0.002),
    )
    return Loudspeaker(driver=driver, box=box, source_resistance=RG, filters=filters, cabin=CABIN)


@pytest.mark.parametrize("kind", ["baffle", "sealed", "vented"])
def test_against_mpmath(kind, reference_air, agreement):
    # Both are exact up to rounding; no delay here is near zero, so 1e-9 of the delay itself can be asked for.
    points = np.geomspace(8, 700, 15)
    ours = solve(built(kind), points, air=reference_air)
    with mp.workdps(40):
        exact, size = [], []
        for f in points:
            s = 2j * mp.pi * mp.mpf(float(f))
            exact.append(float(-mp.re(mp.diff(lambda s: mp.log(pressure(s, kind, reference_air)), s))))
            size.append(complex(pressure(s, kind, reference_air)))
    agreement("group delay with every loss and coil term", "mpmath", np.max(abs(ours.group_delay / exact - 1)), 1e-9)
    # and the same function in size: rho V/(2 pi r)
    scale = reference_air.density * 2.83 / (2 * np.pi)
    reached = np.max(abs(ours.pressure / (scale * np.array(size)) - 1))
    agreement("pressure with every loss and coil term", "mpmath", reached, 1e-9)


@pytest.mark.parametrize("kind", ["baffle", "sealed", "vented"])
def test_delay_does_not_depend_on_the_grid(kind, reference_air):
    f = frequencies(10, 500, 6)
    together = solve(built(kind), f, air=reference_air).group_delay
    alone = [solve(built(kind), x, air=reference_air).group_delay[0] for x in f]
    assert np.max(abs(together / alone - 1)) < 1e-12
