"""The denominators of the named fourth-order shapes."""

from __future__ import annotations

import numpy as np

from ...arguments import Single, takes
from ...quantity import Quantity

PARAMETER = {
    "QB3": Quantity(unit="", meaning="B: square root of the third-order coefficient", low=1e-6, high=100.0),
    "C4": Quantity(unit="", meaning="k: width of the poles' ellipse, below 1", low=0.01, high=1.0),
    "SC4": Quantity(unit="", meaning="k: width of the poles' ellipse, above 1", low=1.0, high=10.0),
}
ELLIPSE = Quantity(unit="", meaning="k: width of the poles' ellipse", low=0.01, high=10.0)
B4 = (np.sqrt(4 + 2 * np.sqrt(2)), 2 + np.sqrt(2), np.sqrt(4 + 2 * np.sqrt(2)))
ALIKE = 1e-3  # relative; a response closer than this to the Q of a named shape takes its name


@takes(B=Single(PARAMETER["QB3"]))
def quasi_butterworth(B):
    r"""Return a1, a2, a3 of QB3: of the middle terms of its power response only :math:`B^2` is left. [1]

    .. math:: A_1 = a_1^2 - 2 a_2 = 0, \quad A_2 = a_2^2 + 2 - 2 a_1 a_3 = 0, \quad A_3 = a_3^2 - 2 a_2 = B^2

    Parameters
    ----------
    B : float
        Above 0; at 0 it would be B4. [1]
    """
    from scipy.optimize import brentq

    def excess(a2):
        return (a2**2 + 2) ** 2 / (8 * a2) - 2 * a2 - B**2

    a2 = brentq(excess, B4[1] - 1e-9, B4[1] + 2 * B**2 + 10, xtol=1e-14, rtol=1e-14)
    a1 = np.sqrt(2 * a2)
    return float(a1), float(a2), float((a2**2 + 2) / (2 * a1))


@takes(k=Single(ELLIPSE))
def chebyshev(k):
    r"""Return a1, a2, a3 of C4 (k < 1) or SC4 (k > 1): B4's poles, real parts times k, then s to 1/s. [1]

    .. math:: D = \frac{k^4 + 6 k^2 + 1}{8}, \quad a_3 = \frac{k \sqrt{4 + 2\sqrt 2}}{D^{1/4}}, \quad
              a_2 = \frac{1 + k^2 (1 + \sqrt 2)}{\sqrt D}, \quad
              a_1 = \frac{a_3}{\sqrt D} \left(1 - \frac{1 - k^2}{2 \sqrt 2}\right)

    Parameters
    ----------
    k : float
        1 is B4. [1]
    """
    D = (k**4 + 6 * k**2 + 1) / 8
    a3 = k * B4[0] / D**0.25
    a2 = (1 + k**2 * (1 + np.sqrt(2))) / np.sqrt(D)
    return float(a3 / np.sqrt(D) * (1 - (1 - k**2) / (2 * np.sqrt(2)))), float(a2), float(a3)


def reversed_bessel():
    """Return a1, a2, a3 of BL4: the fourth-order Bessel polynomial with s to 1/s. [1]"""
    highest_first = np.array([105.0, 105.0, 45.0, 10.0, 1.0])  # of 1/s
    scale = 105.0 ** (1 / 4)
    a1, a2, a3 = highest_first[1:4] / highest_first[0] * scale ** np.array([1, 2, 3])
    return float(a1), float(a2), float(a3)


@takes(k=Single(PARAMETER["C4"]))
def ripple_of_chebyshev(k):
    r"""Return the ripple of C4 in closed form. [dB]

    .. math:: 10 \log_{10}\left(1 + \frac{K^4}{64 + 128 K + 80 K^2 + 16 K^3}\right), \quad K = 1/k^2 - 1

    Parameters
    ----------
    k : float
        Below 1. [1]
    """
    K = 1 / k**2 - 1
    return float(10 * np.log10(1 + K**4 / (64 + 128 * K + 80 * K**2 + 16 * K**3)))
