"""What a closed box does to a driver's response."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...arguments import Single, takes
from ...parts.driver import DRIVER
from ...parts.small_signal import TOTAL_Q
from ...quantity import Quantity
from .shapes import ALIKE

SYSTEM_Q = Quantity(unit="", meaning="Q of driver and box together", low=0.1, high=1000.0)
LOWEST = Quantity(unit="Hz", meaning="lower frequency limit", low=1.0, high=1e4, slips=("kHz",))
CLOSED = {"Bessel": 1 / np.sqrt(3), "Butterworth": 1 / np.sqrt(2)}


@dataclass(frozen=True, slots=True)
class ClosedAlignment:
    """The response of a closed box, over its resonance.

    Attributes
    ----------
    Qtc : float
        Q of driver and box together. [1]
    name : str
        "Bessel", "Butterworth", "Chebyshev" where it peaks, or "" between them.
    f3_over_fc, f6_over_fc, f10_over_fc : float
        Where the level is 3, 6 or 10 dB down, over the resonance in the box. [1]
    peak_db : float
        Highest level over the pass-band. [dB]
    peak_over_fc : float
        Frequency of that peak, over fc; `inf` without one. [1]
    excursion_peak : float
        Largest excursion, over that at very low frequencies. [1]
    delay_at_fc : float
        Group delay at the resonance, times fc. [1]
    """

    Qtc: float
    name: str
    f3_over_fc: float
    f6_over_fc: float
    f10_over_fc: float
    peak_db: float
    peak_over_fc: float
    excursion_peak: float
    delay_at_fc: float

    @property
    def poles(self):
        r"""Where the denominator is zero, over wc, as complex numbers. [1]

        .. math:: S = \frac{-1 \pm \sqrt{1 - 4 Q_{tc}^2}}{2 Q_{tc}}
        """
        root = np.emath.sqrt(1 - 4 * self.Qtc**2)
        return np.array([-1 - root, -1 + root], complex) / (2 * self.Qtc)


@takes(Qtc=Single(SYSTEM_Q))
def closed_alignment(Qtc):
    r"""Return the shape of a closed box's response from its Q.

    Parameters
    ----------
    Qtc : float
        Q of driver and box together. [1]

    Returns
    -------
    ClosedAlignment

    Notes
    -----
    With x = f/fc, :math:`|G|^2 = x^4 / (x^4 + (1/Q^2 - 2) x^2 + 1)`, so the level is A dB down where

    .. math:: \frac{1}{x^2} = \frac{-b + \sqrt{b^2 + 4 (10^{A/10} - 1)}}{2}, \quad b = 1/Q^2 - 2

    Above :math:`Q = 1/\sqrt 2` the response has a peak of :math:`Q^2 / \sqrt{Q^2 - 1/4}`.

    References
    ----------
    R. H. Small, "Closed-box loudspeaker systems", JAES 20(10) (1972) 798-808 (from memory; derived anew).

    Examples
    --------
    >>> butterworth = closed_alignment(2**-0.5)
    >>> print(butterworth.name, f"{butterworth.f3_over_fc:.3f} {butterworth.f10_over_fc:.4f}")
    Butterworth 1.000 0.5774
    """
    b = 1 / Qtc**2 - 2
    humped = b < 0
    peak = Qtc**2 / np.sqrt(Qtc**2 - 0.25) if humped else 1.0
    named = [name for name, known in CLOSED.items() if abs(Qtc / known - 1) < ALIKE]
    return ClosedAlignment(
        Qtc=Qtc,
        name=named[0] if named else "Chebyshev" if humped else "",
        **{f"f{drop}_over_fc": _down(b, drop) for drop in (3, 6, 10)},
        peak_db=float(20 * np.log10(peak)),
        peak_over_fc=float(1 / np.sqrt(1 - 1 / (2 * Qtc**2))) if humped else np.inf,
        excursion_peak=float(peak),
        delay_at_fc=float(Qtc / np.pi),
    )


def _down(b, drop):
    power = 2.0 if drop == 3 else 10 ** (drop / 10)  # f3 is half power
    return float(((-b + np.sqrt(b**2 + 4 * (power - 1))) / 2) ** -0.5)


@takes(Qts=Single(TOTAL_Q), Qtc=Single(SYSTEM_Q))
def closed_ratio(Qts, Qtc):
    r"""Return Vas over the volume of the closed box that gives a driver the Q you want. [1]

    .. math:: \alpha = (Q_{tc} / Q_{ts})^2 - 1

    Parameters
    ----------
    Qts : float
        Total Q of the driver. [1]
    Qtc : float
        Q of driver and box together, without losses and filling. [1]

    Raises
    ------
    ValueError
        If no closed box can: a box only raises Q.

    References
    ----------
    R. H. Small, "Closed-box loudspeaker systems", JAES 20(10) (1972) 798-808 (from memory; derived anew).

    Examples
    --------
    >>> print(f"{closed_ratio(0.4, 2**-0.5):.3f}")
    2.125
    """
    if Qtc <= Qts:
        raise ValueError(f"closed_ratio: Qtc = {Qtc:g} is not above the driver's Qts = {Qts:.3f}: a box only raises Q")
    return (Qtc / Qts) ** 2 - 1


@takes(driver=Single(DRIVER), Qtc=Single(SYSTEM_Q), f3=Single(LOWEST))
def closed_volume(driver, *, Qtc=None, f3=None):
    r"""Return the volume of the closed box that gives a driver the Q, or the f3, you want.

    Parameters
    ----------
    driver : Driver
        A single one.
    Qtc, f3 : float
        One of them. [1], [Hz]

    Returns
    -------
    float
        Net volume, without losses and filling. [m3]

    Raises
    ------
    ValueError
        If no closed box can: a box only raises Q and resonance.

    Notes
    -----
    .. math:: Q_{tc} = Q_{ts} \sqrt{1 + \alpha}, \quad f_c = f_s \sqrt{1 + \alpha}, \quad V = V_{as} / \alpha

    `closed_ratio` gives the ratio. As the box shrinks and Q grows to 0.71, f3 first falls; then it rises again (or it
    only rises). If two volumes have the same f3, you get the larger.
    """
    if (Qtc is None) == (f3 is None):
        raise ValueError("closed_volume needs exactly one of Qtc and f3")
    Qts, fs, Vas = float(driver.Qts), float(driver.fs), float(driver.Vas)
    return Vas / (_compliance_ratio_for(f3 / fs, Qts) if Qtc is None else closed_ratio(Qts, Qtc))


def _compliance_ratio_for(wanted, Qts):
    """Return the smallest alpha that gives the wanted f3/fs."""
    from scipy.optimize import brentq

    def excess(alpha):
        return closed_alignment(min(Qts * np.sqrt(1 + alpha), 10.0)).f3_over_fc * np.sqrt(1 + alpha) - wanted

    tried = np.geomspace(1e-3, max(1e-2, (10 / Qts) ** 2 - 1), 400)
    values = np.array([excess(alpha) for alpha in tried])
    (crossings,) = np.nonzero(np.diff(np.sign(values)))
    if not len(crossings):
        least, most = values.min() + wanted, values.max() + wanted
        raise ValueError(
            f"closed_volume: no closed box gives f3 = {wanted:.3g} fs; with this driver f3 is between {least:.3g} and "
            f"{most:.3g} fs"
        )
    return float(brentq(excess, tried[crossings[0]], tried[crossings[0] + 1], xtol=1e-14, rtol=1e-13))
