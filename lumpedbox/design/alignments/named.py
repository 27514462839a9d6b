"""Vented boxes by the name of their response."""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np

from ...arguments import Single, takes
from ...quantity import OneOf
from .shapes import ALIKE, B4, PARAMETER, chebyshev, quasi_butterworth, reversed_bessel
from .vented import LEAKAGE_Q, TOTAL_Q, VentedAlignment

NAMES = OneOf(words=("B4", "QB3", "C4", "SC4", "BL4"))
REACH = {"QB3": (1e-6, 100.0), "C4": (1.0, 0.01), "SC4": (1.0, 10.0)}  # of the parameter, from B4 outwards
STRIDES = (5, 1)  # members at a time: first every fifth, then one by one past the last that a box can do


@takes(Qts=Single(TOTAL_Q), Ql=Single(LEAKAGE_Q))
def vented_alignment(Qts, Ql=np.inf):
    r"""Return the alignment for a driver's total Q: QB3 below the Q of B4, C4 above it.

    Parameters
    ----------
    Qts : float
        Total Q of the driver, with the resistance of cable and amplifier. [1]
    Ql : float
        Leakage Q at the tuning; none by default, 7 is typical (Small 1973, from memory). [1]

    Returns
    -------
    VentedAlignment

    Raises
    ------
    ValueError
        If no such alignment suits that Q.

    Notes
    -----
    Exact: the shape gives the coefficients of the fourth-order denominator. Q, tuning and compliance ratio follow from
    them and the leakage:

    .. math:: r^4 - a_1 Q_L r^3 + a_3 Q_L r - 1 = 0, \; h = r^2, \quad
              \frac{1}{Q_T} = r a_1 - \frac{r^2}{Q_L}, \quad \alpha = a_2 h - h^2 - 1 - \frac{h}{Q_L Q_T}

    References
    ----------
    A. N. Thiele, "Loudspeakers in vented boxes" (1961), JAES 19 (1971) 382-392, 471-483; R. H. Small, "Vented-box
    loudspeaker systems", JAES 21 (1973) (from memory; derived anew).

    Examples
    --------
    >>> flat = vented_alignment(0.3827)
    >>> print(flat.name, f"{flat.h:.3f} {flat.alpha:.3f} {flat.f3_over_fs:.3f}")
    B4 1.000 1.414 1.000
    """
    flat = _from_coefficients("B4", B4, Ql)
    found = _of_total_q("QB3" if Qts < flat.Qts else "C4", Qts, Ql)
    return replace(found, name="B4") if abs(Qts / flat.Qts - 1) < ALIKE else found


@takes(name=NAMES, Qts=Single(TOTAL_Q), Ql=Single(LEAKAGE_Q))
def named_alignment(name, parameter=None, *, Qts=None, Ql=np.inf):
    """Return a vented alignment by its name, and its parameter or the driver's Q.

    Parameters
    ----------
    name : {"B4", "QB3", "C4", "SC4", "BL4"}
        Butterworth; quasi-Butterworth of third order; Chebyshev; sub-Chebyshev; Bessel-like (each of fourth order).
    parameter : float, optional
        B of QB3, k of C4 (below 1) and SC4 (above 1); B4 and BL4 have none. [1]
    Qts : float, optional
        Instead of the parameter: total Q of the driver that it should suit. [1]
    Ql : float
        Leakage Q at the tuning. [1]

    Returns
    -------
    VentedAlignment

    Examples
    --------
    >>> f"{named_alignment('C4', 0.6).ripple_db:.3f} dB"
    '0.068 dB'
    """
    if name not in PARAMETER:
        if (parameter, Qts) != (None, None):
            raise ValueError(f"named_alignment: {name} takes neither a parameter nor a Qts")
        return _from_coefficients(name, B4 if name == "B4" else reversed_bessel(), Ql)
    if (parameter is None) == (Qts is None):
        raise ValueError(f"named_alignment: {name} needs exactly one of parameter and Qts")
    if Qts is not None:
        return _of_total_q(name, Qts, Ql)
    return _of_parameter(name, PARAMETER[name].single("named_alignment", "parameter", parameter), Ql)


def _of_parameter(name, parameter, Ql):
    return _from_coefficients(name, _coefficients(name, parameter), Ql)


def _coefficients(name, parameter):
    return (quasi_butterworth if name == "QB3" else chebyshev)(parameter)


def _total_q(name, parameter, Ql):
    """Return the Qts that a member of a family suits."""
    return _box_of(name, _coefficients(name, parameter), Ql)[0]


def _of_total_q(name, Qts, Ql):
    """Return the member of a family that suits a Q."""
    from scipy.optimize import brentq

    parameters, asked = _reached(name, Ql)
    (found,) = np.nonzero((np.minimum(asked[:-1], asked[1:]) <= Qts) & (Qts <= np.maximum(asked[:-1], asked[1:])))
    if not len(found):
        leaks = f"at Ql = {Ql:g}" if np.isfinite(Ql) else "without leaks"
        raise ValueError(f"{name} needs a Qts between {min(asked):.3f} and {max(asked):.3f} {leaks}, got {Qts:.3f}")
    near, far = parameters[found[0] : found[0] + 2]
    x = brentq(lambda x: _total_q(name, np.exp(x), Ql) - Qts, near, far, xtol=1e-14, rtol=1e-14)
    return _of_parameter(name, np.exp(x), Ql)


@functools.lru_cache(maxsize=64)
def _reached(name, Ql):
    """Return logarithms of some parameters of a family, from B4 out to the last that a box can do, and the Qts of each.

    Qts rises or falls all the way, so a few of them bracket any other.
    """
    parameters = np.log(np.geomspace(*REACH[name], 200))
    total_q = {0: _total_q(name, np.exp(parameters[0]), Ql)}
    for stride in STRIDES:
        for index in range(max(total_q) + stride, len(parameters), stride):
            try:
                total_q[index] = _total_q(name, np.exp(parameters[index]), Ql)
            except ValueError:  # from here on no box can do it
                break
    return parameters[list(total_q)], np.array(list(total_q.values()))


def _from_coefficients(name, coefficients, Ql):
    """Return the vented box with a fourth-order denominator."""
    Qts, h, alpha = _box_of(name, coefficients, Ql)
    return VentedAlignment(name, Qts, h, alpha, float(Ql), coefficients=tuple(map(float, coefficients)))


def _box_of(name, coefficients, Ql):
    """Return Qts, h and alpha that make a fourth-order denominator. [1]"""
    a1, a2, a3 = coefficients
    r = np.sqrt(a3 / a1)
    if np.isfinite(Ql):
        roots = np.roots([1.0, -a1 * Ql, 0.0, a3 * Ql, -1.0])
        real = roots[np.abs(roots.imag) < 1e-9 * np.abs(roots)].real
        r = real[np.argmin(np.abs(real - r))]
    h, Qts = r**2, 1 / (r * a1 - r**2 / Ql)
    alpha = a2 * h - h**2 - 1 - h / (Ql * Qts)
    if alpha <= 0 or Qts <= 0:
        raise ValueError(f"{name}: no box can do that with a leakage Q of {Ql:g}")
    return float(Qts), float(h), float(alpha)
