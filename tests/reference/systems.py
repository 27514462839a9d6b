"""Loudspeakers of a wanted alignment, and the published polynomials that they must follow.

Everything here is written from the papers (from memory; the formulae were derived anew, see each docstring) and
nothing is taken from lumpedbox but its parts. No real product is meant by any number.
"""

from pathlib import Path

import numpy as np
from scipy.optimize import brentq

from lumpedbox import Air, Driver, Loudspeaker, SealedBox, VentedBox
from tests.conftest import rows_of

FS, QMS, VAS, SD, RE = 30.0, 5.0, 0.02, 0.02, 6.0  # an invented driver, weak enough (eta0 far below 5 %)


def table(name):
    """Read data/name.csv as a dict of columns, numbers where they are numbers; '#' starts a line of remarks."""
    rows = rows_of(Path(__file__).parent / "data" / f"{name}.csv")
    return {key: column([row[key] for row in rows]) for key in rows[0]}


def column(cells):
    try:
        return np.array([float(cell) for cell in cells])
    except ValueError:
        return np.array(cells)


def air_with(density, sound_speed):
    """Return dry air of a wanted density and sound speed, by way of its temperature and pressure."""
    air = Air(humidity=0.0)
    for _ in range(30):
        temperature = air.temperature * (sound_speed / air.sound_speed) ** 2
        air = Air(temperature=temperature, pressure=air.pressure * density / air.density, humidity=0.0)
    assert abs(air.density / density - 1) + abs(air.sound_speed / sound_speed - 1) < 1e-12
    return air


def driver(Qts, air, fs=FS, **coil):
    """Return a driver of total Q `Qts` without coil inductance, unless one is given."""
    return Driver.from_thiele_small(fs=fs, Qes=Qts * QMS / (QMS - Qts), Qms=QMS, Vas=VAS, Sd=SD, Re=RE, air=air, **coil)


def sealed(Qtc, alpha, air, fc=FS):
    """Return a sealed system: Small 1972, Qtc = Qts sqrt(1 + alpha), fc = fs sqrt(1 + alpha)."""
    ratio = np.sqrt(1 + alpha)
    return Loudspeaker(driver=driver(Qtc / ratio, air, fc / ratio), box=SealedBox(volume=VAS / alpha))


def vented(QT, h, alpha, QL, air, fs=FS):
    """Return a vented system of Small's parameters: 1973, h = fb/fs, leakage losses only."""
    return Loudspeaker(driver=driver(QT, air, fs), box=VentedBox(volume=VAS / alpha, fb=h * fs, Ql=QL))


def vented_parameters(a1, a2, a3, QL=np.inf):
    """Return QT, h, alpha of the vented box with G = S^4/(S^4 + a1 S^3 + a2 S^2 + a3 S + 1).

    Derived from Small's fourth-order function: r = sqrt(h) is a root of r^4 - a1 QL r^3 + a3 QL r - 1 = 0.
    """
    h = a3 / a1
    if np.isfinite(QL):
        roots = np.roots([1, -a1 * QL, 0, a3 * QL, -1])
        h = roots[np.argmin(abs(roots - np.sqrt(h)))].real ** 2
    r = np.sqrt(h)
    QT = 1 / (r * a1 - h / QL)
    return QT, h, a2 * h - h**2 - 1 - h / (QL * QT)


def qb3(B):
    """Return a1, a2, a3 of Thiele's quasi-Butterworth: |G|^-2 = 1 + B^2 S^-6 + S^-8 (derived)."""

    def a3(a2):
        return (a2**2 + 2) / (2 * np.sqrt(2 * a2))

    a2 = brentq(lambda a2: a3(a2) ** 2 - 2 * a2 - B**2, 2 + np.sqrt(2) - 1e-9, 100, xtol=1e-14)
    return np.sqrt(2 * a2), a2, a3(a2)


def c4(k):
    """Return a1, a2, a3 of the Chebyshev alignment: Butterworth poles, real parts times k, then S -> 1/S (derived)."""
    D = (k**4 + 6 * k**2 + 1) / 8
    a3 = k * np.sqrt(4 + 2 * np.sqrt(2)) / D**0.25
    return a3 / np.sqrt(D) * (1 - (1 - k**2) / (2 * np.sqrt(2))), (1 + k**2 * (1 + np.sqrt(2))) / np.sqrt(D), a3


def half_power(*coefficients):
    """Return the highest S at which S^4/(S^4 + a1 S^3 + ... + 1) rises through half power.

    From |G|^-2 = 1 + A1 y + A2 y^2 + A3 y^3 + y^4 with y = 1/S^2 (derived).
    """
    a1, a2, a3 = coefficients
    roots = np.roots([1, a3**2 - 2 * a2, a2**2 + 2 - 2 * a1 * a3, a1**2 - 2 * a2, -1])
    return 1 / np.sqrt(min(r.real for r in roots if abs(r.imag) < 1e-9 and r.real > 0))


def fourth_order(QT, h, alpha, QL=np.inf):
    """Return a1, a2, a3 of a vented box (Small 1973, derived)."""
    r = np.sqrt(h)
    return r / QL + 1 / (r * QT), (alpha + 1 + h**2) / h + 1 / (QL * QT), r / QT + 1 / (r * QL)


def polynomial(S, *coefficients):
    """Return S^n / (S^n + a1 S^(n-1) + ... + 1), for coefficients that may be families."""
    order = len(coefficients) + 1
    inner = sum(np.asarray(a)[..., np.newaxis] * S ** (order - k) for k, a in enumerate(coefficients, 1))
    return S**order / (S**order + inner + 1)


def high_pass_coefficients(zeros, poles):
    """Return w0 and a1, a2 ... of an all-pole high-pass filter, S = s/w0, last coefficient 1."""
    assert np.allclose(zeros, 0, atol=1e-12)
    bottom = np.real(np.poly(poles))
    order = len(bottom) - 1
    w0 = bottom[-1] ** (1 / order)
    return w0, [b / w0**k for k, b in enumerate(bottom)][1:-1]


def midband(loudspeaker, voltage, air, distance=1.0):
    """Return the pass-band pressure, rho Bl Sd V / (2 pi r Re Mms) (derived from Small 1972). [Pa]"""
    d = loudspeaker.driver
    return air.density * d.Bl * d.Sd * voltage / (2 * np.pi * distance * d.Re * d.Mms)


def difference(a, b):
    """Return the largest relative difference."""
    return np.max(np.abs(np.asarray(a) / b - 1))
