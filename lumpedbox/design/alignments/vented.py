"""What a vented box of any size and tuning does to a driver's response."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from ...arguments import Single, takes
from ...quantity import Quantity

TOTAL_Q = Quantity(unit="", meaning="total Q of the driver", low=0.05, high=5.0)
LEAKAGE_Q = Quantity(unit="", meaning="Q of the box by its leaks", low=1.0, high=np.inf)
RATIO = Quantity(unit="", meaning="Vas over the volume of the box", low=1e-3, high=1e3)
TUNING = Quantity(unit="", meaning="tuning over the driver's resonance", low=0.01, high=100.0)
COEFFICIENT = Quantity(unit="", meaning="coefficient of the denominator", low=-1e6, high=1e6)
RIPPLE = Quantity(unit="dB", meaning="highest peak over the pass-band", low=0.0, high=12.0)


@dataclass(frozen=True, slots=True)
class VentedAlignment:
    """A vented box, described by the fourth-order shape of its response.

    Attributes
    ----------
    name : str
        "B4", "QB3", "C4", "SC4" or "BL4"; "" for any other.
    Qts : float
        Total Q of the driver that it suits. [1]
    h : float
        Tuning over the driver's resonance, fb/fs. [1]
    alpha : float
        Vas over the volume of the box. [1]
    Ql : float
        Leakage Q that it assumes. [1]
    f3_over_fs : float
        Where the response is 3 dB down (half power), over fs. [1]
    ripple_db : float
        Highest peak over the pass-band. [dB]
    coefficients : tuple of float
        a1, a2, a3 of :math:`S^4 + a_1 S^3 + a_2 S^2 + a_3 S + 1`. S is s over the root of ws wb. By default they
        follow from the box. [1]
    """

    name: str
    Qts: float
    h: float
    alpha: float
    Ql: float
    f3_over_fs: float = field(init=False)
    ripple_db: float = field(init=False)
    coefficients: tuple = None

    def __post_init__(self):
        if self.coefficients is None:
            object.__setattr__(self, "coefficients", _denominator(self.Qts, self.h, self.alpha, self.Ql))
        object.__setattr__(self, "f3_over_fs", float(np.sqrt(self.h) * _half_power(self.coefficients)))
        object.__setattr__(self, "ripple_db", _peak(self.coefficients))

    @property
    def poles(self):
        """Where the denominator is zero, over ws, as complex numbers. [1]"""
        return np.sqrt(self.h) * np.roots([1.0, *self.coefficients, 1.0])


@takes(a1=COEFFICIENT, a2=COEFFICIENT, a3=COEFFICIENT)
def power_coefficients(a1, a2, a3):
    r"""Return A1, A2, A3 of :math:`1/|G|^2 = 1 + A_1 y + A_2 y^2 + A_3 y^3 + y^4`. There y is 1/Omega squared. [1]

    .. math:: A_1 = a_1^2 - 2 a_2, \quad A_2 = a_2^2 + 2 - 2 a_1 a_3, \quad A_3 = a_3^2 - 2 a_2

    Parameters
    ----------
    a1, a2, a3 : float
        Of the denominator. [1]
    """
    return a1**2 - 2 * a2, a2**2 + 2 - 2 * a1 * a3, a3**2 - 2 * a2


def _denominator(Qts, h, alpha, Ql):
    r"""Return a1, a2, a3 of any vented box (Small 1973, from memory; derived anew). [1]

    .. math:: a_1 = \frac{\sqrt h}{Q_L} + \frac{1}{\sqrt h Q_T}, \quad a_2 = \frac{\alpha + 1 + h^2}{h} +
              \frac{1}{Q_L Q_T}, \quad a_3 = \frac{\sqrt h}{Q_T} + \frac{1}{\sqrt h Q_L}
    """
    r = np.sqrt(h)
    a = r / Ql + 1 / (r * Qts), (alpha + 1 + h**2) / h + 1 / (Ql * Qts), r / Qts + 1 / (r * Ql)
    return tuple(map(float, a))


def _half_power(coefficients):
    """Return the highest frequency where the response is 3 dB down (half power), over the root of fs fb."""
    A1, A2, A3 = power_coefficients(*coefficients)
    return min(_positive(np.roots([1.0, A3, A2, A1, -1.0]))) ** -0.5


def _peak(coefficients):
    """Return the highest level over the pass-band. [dB]"""
    A1, A2, A3 = power_coefficients(*coefficients)
    least = min([1.0, *(np.polyval([1.0, A3, A2, A1, 1.0], y) for y in _positive(np.roots([4.0, 3 * A3, 2 * A2, A1])))])
    return float(-10 * np.log10(least)) + 0.0


def _positive(roots):
    """Return the roots that are positive numbers."""
    return [float(root.real) for root in roots if abs(root.imag) < 1e-9 * abs(root) and root.real > 0]


@takes(Qts=Single(TOTAL_Q), alpha=Single(RATIO), Ql=Single(LEAKAGE_Q), ripple=Single(RIPPLE))
def tuned(Qts, alpha, Ql=np.inf, *, ripple=0.0):
    r"""Return the tuning that reaches lowest for a box of any volume, with no peak above the allowed one.

    Parameters
    ----------
    Qts : float
        Total Q of the driver. [1]
    alpha : float
        Vas over the volume of the box. [1]
    Ql : float
        Leakage Q at the tuning. [1]
    ripple : float
        Highest peak over the pass-band: 0 for the flattest response, 1 or 2 for an extended one. If every tuning
        peaks higher, you get the tuning with the lowest peak. [dB]

    Returns
    -------
    VentedAlignment
        Its `name` is empty. A strong motor in a box too small for it is flattest with the port all but closed. You
        then get the lowest tuning that is tried, a fifth of fs.
    """
    from scipy.optimize import minimize_scalar

    def judged(logarithm):
        box = VentedAlignment("", Qts, float(np.exp(logarithm)), alpha, Ql)
        over = max(box.ripple_db - max(ripple, FLAT), 0.0)
        return (over > 0, over if over > 0 else box.f3_over_fs)

    grid = np.log(np.geomspace(0.2, 5.0, 400))
    found = [judged(x) for x in grid]
    best = min(range(len(grid)), key=found.__getitem__)
    around = grid[max(best - 1, 0)], grid[min(best + 1, len(grid) - 1)]
    kind = found[best][0]
    refined = minimize_scalar(
        lambda x: judged(x)[1] if judged(x)[0] == kind else OUT_OF_REACH, bounds=around, method="bounded"
    )
    x = min((grid[best], refined.x), key=judged)
    return VentedAlignment("", Qts, float(np.exp(x)), alpha, Ql)


FLAT = 0.01  # dB; a peak that nobody can measure
OUT_OF_REACH = 1e3  # of fs, or dB: more than any tuning has


@takes(Qts=Single(TOTAL_Q), h=Single(TUNING), alpha=Single(RATIO), Ql=Single(LEAKAGE_Q))
def of_box(Qts, h, alpha, Ql=np.inf):
    """Return a vented box of any size and tuning in the terms of an alignment.

    Parameters
    ----------
    Qts : float
        Total Q of the driver. [1]
    h : float
        Tuning over the driver's resonance. [1]
    alpha : float
        Vas over the volume of the box. [1]
    Ql : float
        Leakage Q at the tuning. [1]

    Returns
    -------
    VentedAlignment
    """
    return VentedAlignment("", Qts, h, alpha, Ql)
