"""Alignments: what a closed or a vented box makes of a driver, by the shape of the response that comes out."""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace

import numpy as np

from ..air import AIR, Air
from ..arguments import Single, takes
from ..parts.box import PassiveRadiatorBox
from ..parts.driver import DRIVER, equivalent_volume
from ..parts.radiator import AREA, PassiveRadiator
from ..quantity import Holds, OneOf, Quantity, common_shape

TOTAL_Q = Quantity(unit="", meaning="total Q of the driver", low=0.05, high=5.0)
SYSTEM_Q = Quantity(unit="", meaning="Q of driver and box together", low=0.1, high=1000.0)
LEAKAGE_Q = Quantity(unit="", meaning="Q of the box by its leaks", low=1.0, high=np.inf)
RATIO = Quantity(unit="", meaning="Vas over the volume of the box", low=1e-3, high=1e3)
TUNING = Quantity(unit="", meaning="tuning over the driver's resonance", low=0.01, high=100.0)
LOWEST = Quantity(unit="Hz", meaning="lower frequency limit", low=1.0, high=1e4, slips=("kHz",))
COEFFICIENT = Quantity(unit="", meaning="coefficient of the denominator", low=-1e6, high=1e6)
EFFICIENCY = Quantity(unit="", meaning="reference efficiency of the driver", low=1e-9, high=0.25)
BOX = Quantity(unit="m3", meaning="volume of the box", low=1e-6, high=25.0, slips=("litre",))
BOX_KIND = OneOf(words=("sealed", "vented"))
DELTA = Quantity(unit="", meaning="Vap of the passive radiator over the volume of the box", low=0.05, high=1e4)
RIPPLE = Quantity(unit="dB", meaning="highest hump over the pass-band", low=0.0, high=12.0)
PARAMETER = {
    "QB3": Quantity(unit="", meaning="B: coefficient of the third-order term, square root", low=1e-6, high=100.0),
    "C4": Quantity(unit="", meaning="k: width of the poles' ellipse, below 1", low=0.01, high=1.0),
    "SC4": Quantity(unit="", meaning="k: width of the poles' ellipse, above 1", low=1.0, high=10.0),
}
ELLIPSE = Quantity(unit="", meaning="k: width of the poles' ellipse", low=0.01, high=10.0)
REACH = {"QB3": (1e-6, 100.0), "C4": (1.0, 0.01), "SC4": (1.0, 10.0)}  # of the parameter, from B4 outwards
NAMES = OneOf(words=("B4", "QB3", "C4", "SC4", "BL4"))
B4 = (np.sqrt(4 + 2 * np.sqrt(2)), 2 + np.sqrt(2), np.sqrt(4 + 2 * np.sqrt(2)))
CLOSED = {"Bessel": 1 / np.sqrt(3), "Butterworth": 1 / np.sqrt(2)}
ALIKE = 1e-3  # relative; nearer than that to the Q of a named shape a response goes by its name


@dataclass(frozen=True, slots=True)
class ClosedAlignment:
    """The response of a closed box, over its resonance.

    Attributes
    ----------
    Qtc : float
        Q of driver and box together. [1]
    name : str
        "Bessel", "Butterworth", "Chebyshev" where it has a hump, or "" between them.
    f3_over_fc, f6_over_fc, f10_over_fc : float
        Where the level is that far under the pass-band, over the resonance in the box. [1]
    peak_db : float
        Highest level over the pass-band. [dB]
    peak_over_fc : float
        Where that is; `inf` without a hump. [1]
    excursion_peak : float
        Largest excursion over the one at very low frequencies. [1]
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


@takes(Qtc=Single(SYSTEM_Q))
def closed_alignment(Qtc):
    r"""Return what the Q of a closed box makes of its response.

    Parameters
    ----------
    Qtc : float
        Q of driver and box together. [1]

    Returns
    -------
    ClosedAlignment

    Notes
    -----
    With x = f/fc, :math:`|G|^2 = x^4 / (x^4 + (1/Q^2 - 2) x^2 + 1)`, so that the level is A dB down where

    .. math:: \frac{1}{x^2} = \frac{-b + \sqrt{b^2 + 4 (10^{A/10} - 1)}}{2}, \quad b = 1/Q^2 - 2,

    and above :math:`Q = 1/\sqrt 2` there is a hump of :math:`Q^2 / \sqrt{Q^2 - 1/4}`.

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


@takes(driver=Single(DRIVER), Qtc=Single(SYSTEM_Q), f3=Single(LOWEST))
def closed_volume(driver, *, Qtc=None, f3=None):
    r"""Return the volume of the closed box that gives a driver a wanted Q, or a wanted f3.

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
        If no closed box does: the box only raises Q and resonance.

    Notes
    -----
    .. math:: Q_{tc} = Q_{ts} \sqrt{1 + \alpha}, \quad f_c = f_s \sqrt{1 + \alpha}, \quad V = V_{as} / \alpha

    As the box shrinks, f3 first falls while Q grows to 0.71, and rises again (or only rises): of two volumes with
    one f3 the larger is given.
    """
    if (Qtc is None) == (f3 is None):
        raise ValueError("closed_volume needs exactly one of Qtc and f3")
    Qts, fs, Vas = float(driver.Qts), float(driver.fs), float(driver.Vas)
    if Qtc is not None:
        if Qtc <= Qts:
            raise ValueError(
                f"closed_volume: Qtc = {Qtc:g} is not above the driver's Qts = {Qts:.3f}: a box only raises it"
            )
        return Vas / ((Qtc / Qts) ** 2 - 1)
    return Vas / _compliance_ratio_for(f3 / fs, Qts)


def _compliance_ratio_for(wanted, Qts):
    """Return the smallest alpha at which f3/fs is as wanted."""
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


@dataclass(frozen=True, slots=True)
class VentedAlignment:
    """A vented box whose response is one of the named fourth-order shapes.

    Attributes
    ----------
    name : str
        "B4", "QB3", "C4", "SC4" or "BL4".
    Qts : float
        Total Q of the driver that it asks for. [1]
    h : float
        Tuning over the driver's resonance, fb/fs. [1]
    alpha : float
        Vas over the volume of the box. [1]
    Ql : float
        Leakage Q that it was reckoned with. [1]
    f3_over_fs : float
        Where the power is half of the pass-band's, over fs. [1]
    ripple_db : float
        Highest hump over the pass-band. [dB]
    coefficients : tuple of float
        a1, a2, a3 of :math:`S^4 + a_1 S^3 + a_2 S^2 + a_3 S + 1`, with S = s over the root of ws wb. [1]
    """

    name: str
    Qts: float
    h: float
    alpha: float
    Ql: float
    f3_over_fs: float
    ripple_db: float
    coefficients: tuple

    @property
    def poles(self):
        """Where the denominator is zero, over ws, as complex numbers. [1]"""
        return np.sqrt(self.h) * np.roots([1.0, *self.coefficients, 1.0])


@takes(Qts=Single(TOTAL_Q), Ql=Single(LEAKAGE_Q))
def vented_alignment(Qts, Ql=np.inf):
    r"""Return the alignment that belongs to a driver's total Q: QB3 below that of B4, C4 above.

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
        If no such alignment asks for that Q.

    Notes
    -----
    Exact: the coefficients of the fourth-order denominator are those of the shape, and Q, tuning and compliance ratio
    follow from them with the leakage,

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
    """Return a vented alignment by its name, and by its parameter or the Q of the driver.

    Parameters
    ----------
    name : {"B4", "QB3", "C4", "SC4", "BL4"}
        Butterworth; quasi-Butterworth of third order; Chebyshev; sub-Chebyshev; Bessel-like (each of fourth order).
    parameter : float, optional
        B of QB3, k of C4 (below 1) and SC4 (above 1); B4 and BL4 have none. [1]
    Qts : float, optional
        Instead of the parameter: total Q of the driver that it shall suit. [1]
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
            raise ValueError(f"named_alignment: {name} has neither a parameter nor a choice of Qts")
        return _from_coefficients(name, B4 if name == "B4" else reversed_bessel(), Ql)
    if (parameter is None) == (Qts is None):
        raise ValueError(f"named_alignment: {name} needs exactly one of parameter and Qts")
    if Qts is not None:
        return _of_total_q(name, Qts, Ql)
    return _of_parameter(name, PARAMETER[name].single("named_alignment", "parameter", parameter), Ql)


def _of_parameter(name, parameter, Ql):
    return _from_coefficients(name, (quasi_butterworth if name == "QB3" else chebyshev)(parameter), Ql)


def _of_total_q(name, Qts, Ql):
    """Return the member of a family that asks for a Q."""
    from scipy.optimize import brentq

    parameters, asked = _reached(name, Ql)
    (found,) = np.nonzero((np.minimum(asked[:-1], asked[1:]) <= Qts) & (Qts <= np.maximum(asked[:-1], asked[1:])))
    if not len(found):
        raise ValueError(
            f"{name} is for a Qts between {min(asked):.3f} and {max(asked):.3f} at Ql = {Ql:g}, got {Qts:.3f}"
        )
    near, far = parameters[found[0] : found[0] + 2]
    x = brentq(lambda x: _of_parameter(name, np.exp(x), Ql).Qts - Qts, near, far, xtol=1e-14, rtol=1e-14)
    return _of_parameter(name, np.exp(x), Ql)


@functools.lru_cache(maxsize=64)
def _reached(name, Ql):
    """Return logarithms of a family's parameter, from B4 as far as some box does it, and the Qts that each asks for."""
    parameters, asked = np.log(np.geomspace(*REACH[name], 200)), []
    for parameter in parameters:
        try:
            asked.append(_of_parameter(name, np.exp(parameter), Ql).Qts)
        except ValueError:  # from here on no box does that
            if not asked:
                raise
            break
    return parameters[: len(asked)], np.array(asked)


@takes(B=Single(PARAMETER["QB3"]))
def quasi_butterworth(B):
    r"""Return a1, a2, a3 of QB3, whose power response has no second- and third-order term but :math:`B^2`. [1]

    .. math:: A_1 = a_1^2 - 2 a_2 = 0, \quad A_2 = a_2^2 + 2 - 2 a_1 a_3 = 0, \quad A_3 = a_3^2 - 2 a_2 = B^2

    Parameters
    ----------
    B : float
        Above 0, where it is B4. [1]
    """
    from scipy.optimize import brentq

    def excess(a2):
        return (a2**2 + 2) ** 2 / (8 * a2) - 2 * a2 - B**2

    a2 = brentq(excess, B4[1] - 1e-9, B4[1] + 2 * B**2 + 10, xtol=1e-14, rtol=1e-14)
    a1 = np.sqrt(2 * a2)
    return float(a1), float(a2), float((a2**2 + 2) / (2 * a1))


@takes(k=Single(ELLIPSE))
def chebyshev(k):
    r"""Return a1, a2, a3 of C4 (k < 1) or SC4 (k > 1): the poles of B4 with their real parts times k, turned over. [1]

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
    """Return a1, a2, a3 of BL4: Bessel's polynomial of fourth order, turned over. [1]"""
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


def _from_coefficients(name, coefficients, Ql):
    """Return the vented box with a fourth-order denominator."""
    a1, a2, a3 = coefficients
    r = np.sqrt(a3 / a1)
    if np.isfinite(Ql):
        roots = np.roots([1.0, -a1 * Ql, 0.0, a3 * Ql, -1.0])
        real = roots[np.abs(roots.imag) < 1e-9 * np.abs(roots)].real
        r = real[np.argmin(np.abs(real - r))]
    h, Qts = r**2, 1 / (r * a1 - r**2 / Ql)
    alpha = a2 * h - h**2 - 1 - h / (Ql * Qts)
    if alpha <= 0 or Qts <= 0:
        raise ValueError(f"{name}: no box does that with a leakage Q of {Ql:g}")
    return VentedAlignment(
        name=name,
        Qts=float(Qts),
        h=float(h),
        alpha=float(alpha),
        Ql=float(Ql),
        f3_over_fs=float(r * _half_power(coefficients)),
        ripple_db=_hump(coefficients),
        coefficients=tuple(map(float, coefficients)),
    )


@takes(a1=COEFFICIENT, a2=COEFFICIENT, a3=COEFFICIENT)
def power_coefficients(a1, a2, a3):
    r"""Return A1, A2, A3 of :math:`1/|G|^2 = 1 + A_1 y + A_2 y^2 + A_3 y^3 + y^4`, with y one over Omega squared. [1]

    .. math:: A_1 = a_1^2 - 2 a_2, \quad A_2 = a_2^2 + 2 - 2 a_1 a_3, \quad A_3 = a_3^2 - 2 a_2

    Parameters
    ----------
    a1, a2, a3 : float
        Of the denominator. [1]
    """
    return a1**2 - 2 * a2, a2**2 + 2 - 2 * a1 * a3, a3**2 - 2 * a2


def _half_power(coefficients):
    """Return the highest frequency at half power, over the root of fs fb."""
    A1, A2, A3 = power_coefficients(*coefficients)
    return min(_positive(np.roots([1.0, A3, A2, A1, -1.0]))) ** -0.5


def _hump(coefficients):
    """Return the highest level over the pass-band. [dB]"""
    A1, A2, A3 = power_coefficients(*coefficients)
    least = min([1.0, *(np.polyval([1.0, A3, A2, A1, 1.0], y) for y in _positive(np.roots([4.0, 3 * A3, 2 * A2, A1])))])
    return float(-10 * np.log10(least)) + 0.0


def _positive(roots):
    """Return the roots that are positive numbers."""
    return [float(root.real) for root in roots if abs(root.imag) < 1e-9 * abs(root) and root.real > 0]


@takes(Qts=Single(TOTAL_Q), alpha=Single(RATIO), Ql=Single(LEAKAGE_Q), ripple=Single(RIPPLE))
def tuned(Qts, alpha, Ql=np.inf, *, ripple=0.0):
    r"""Return the tuning that reaches lowest for a box of any volume, with no hump above a wanted one.

    Parameters
    ----------
    Qts : float
        Total Q of the driver. [1]
    alpha : float
        Vas over the volume of the box. [1]
    Ql : float
        Leakage Q at the tuning. [1]
    ripple : float
        Highest hump over the pass-band: 0 for the flattest response, 1 or 2 for an extended one. Where every tuning
        has a higher one, the tuning with the lowest hump is returned. [dB]

    Returns
    -------
    VentedAlignment
        Its `name` is empty. A strong motor in a box that is small for it has its flattest response with the port as
        good as closed: then the lowest tuning that is tried, a fifth of fs, comes back.

    Notes
    -----
    The denominator of any vented box (Small 1973, from memory; derived anew):

    .. math:: a_1 = \frac{\sqrt h}{Q_L} + \frac{1}{\sqrt h Q_T}, \quad a_2 = \frac{\alpha + 1 + h^2}{h} +
              \frac{1}{Q_L Q_T}, \quad a_3 = \frac{\sqrt h}{Q_T} + \frac{1}{\sqrt h Q_L}
    """
    from scipy.optimize import minimize_scalar

    def judged(logarithm):
        box = _of_box(Qts, np.exp(logarithm), alpha, Ql)
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
    return _of_box(Qts, np.exp(x), alpha, Ql)


FLAT = 0.01  # dB; a hump that nobody can measure
OUT_OF_REACH = 1e3  # of fs, or dB: more than any tuning has


@takes(Qts=Single(TOTAL_Q), h=Single(TUNING), alpha=Single(RATIO), Ql=Single(LEAKAGE_Q))
def of_box(Qts, h, alpha, Ql=np.inf):
    """Return what a vented box of any size and tuning is, in the terms of an alignment.

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
    return _of_box(Qts, h, alpha, Ql)


def _of_box(Qts, h, alpha, Ql):
    r = np.sqrt(h)
    a = r / Ql + 1 / (r * Qts), (alpha + 1 + h**2) / h + 1 / (Ql * Qts), r / Qts + 1 / (r * Ql)
    return VentedAlignment(
        "", float(Qts), float(h), float(alpha), float(Ql), float(r * _half_power(a)), _hump(a), tuple(map(float, a))
    )


# Vb/Vas = v1 QT**v2, fb/fs = h1 QT**h2, f3/fs = f1 QT**f2, constants from memory. Lossless: attributed to D. B. Keele,
# 1970s; for a leakage Q of 7: G. Margolis and R. H. Small, JAES 29(6) (1981) 421-441.
POWER_LAWS = {np.inf: (20.0, 3.3, 0.42, -0.96, 0.28, -1.4), 7.0: (15.0, 2.87, 0.42, -0.9, 0.26, -1.4)}


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """What a published approximation says, and by how much it misses the exact alignment.

    Attributes
    ----------
    volume_over_vas, h, f3_over_fs : float
        By the approximation. [1]
    exact : VentedAlignment
    volume_error, tuning_error, f3_error : float
        Of the approximation, over the exact value. [1]
    peak_db : float
        Highest level that a box built by it has over the pass-band. [dB]
    """

    volume_over_vas: float
    h: float
    f3_over_fs: float
    exact: VentedAlignment
    volume_error: float
    tuning_error: float
    f3_error: float
    peak_db: float


@takes(Qts=Single(TOTAL_Q), Ql=Single(LEAKAGE_Q))
def power_law(Qts, Ql=np.inf):
    r"""Return the published power-law approximation of the flattest vented box, with its error.

    Parameters
    ----------
    Qts : float
        Total Q of the driver. [1]
    Ql : float
        Leakage Q, without leaks or 7: those two were published. [1]

    Returns
    -------
    PowerLaw

    Notes
    -----
    .. math:: V_b = v_1 V_{as} Q_T^{v_2}, \quad f_b = h_1 f_s Q_T^{h_2}, \quad f_3 = c_1 f_s Q_T^{c_2}

    They miss the exact volume by up to a third, and more above a Q of 0.5: shown, not used anywhere.
    """
    if Ql not in POWER_LAWS:
        raise ValueError(f"power_law.Ql must be one of {', '.join(f'{known:g}' for known in POWER_LAWS)}, got {Ql!r}")
    exact = vented_alignment(Qts, Ql)
    v1, v2, h1, h2, c1, c2 = POWER_LAWS[Ql]
    volume, h, f3 = v1 * exact.Qts**v2, h1 * exact.Qts**h2, c1 * exact.Qts**c2
    return PowerLaw(
        volume_over_vas=volume,
        h=h,
        f3_over_fs=f3,
        exact=exact,
        volume_error=volume * exact.alpha - 1,
        tuning_error=h / exact.h - 1,
        f3_error=f3 / exact.f3_over_fs - 1,
        peak_db=_of_box(exact.Qts, h, 1 / volume, Ql).ripple_db,
    )


@takes(efficiency=EFFICIENCY, f3=LOWEST, volume=BOX)
def efficiency_constant(efficiency, f3, volume):
    r"""Return how much efficiency a system gets out of its size and its lower limit. [s3/m3]

    Parameters
    ----------
    efficiency : float or array
        Reference efficiency of the driver. [1]
    f3 : float or array
        Lower frequency limit. [Hz]
    volume : float or array
        Net volume of the box. [m3]

    Notes
    -----
    .. math:: k_\eta = \frac{\eta_0}{f_3^3 V}

    Bass, size and efficiency: of the three a design can choose two. `best_constant` is what the best closed and
    vented boxes without losses reach (Small 1972, 1973, from memory; derived anew).
    """
    return efficiency / (np.power(f3, 3) * volume)


@takes(kind=BOX_KIND, efficiency=EFFICIENCY, volume=BOX, air=AIR)
def best_f3(kind, efficiency, volume, air=Air()):
    r"""Return the lowest f3 that the named shapes reach with a volume and an efficiency, without losses. [Hz]

    Parameters
    ----------
    kind : {"sealed", "vented"}
        Which box.
    efficiency : float or array
        Reference efficiency of the driver. [1]
    volume : float or array
        Net volume of the box. [m3]
    air : Air

    Notes
    -----
    .. math:: f_3 = \left(\frac{\eta_0}{k_\eta V}\right)^{1/3}

    with the `best_constant`: what the best driver of that efficiency could do. A given driver asks for one volume, and
    elsewhere stays above it.
    """
    common_shape([("best_f3.efficiency", np.shape(efficiency)), ("best_f3.volume", np.shape(volume))])
    return np.cbrt(efficiency / (best_constant(kind, air) * volume))


@takes(kind=BOX_KIND, air=AIR)
def best_constant(kind, air=Air()):
    r"""Return the highest `efficiency_constant` of the named shapes of a kind of box, without losses. [s3/m3]

    Parameters
    ----------
    kind : {"sealed", "vented"}
        Which box.
    air : Air

    Notes
    -----
    Closed: :math:`4\pi^2 / (c^3 Q_{tc} (f_3/f_c)^3)` is highest at Qtc = 1.13; vented:
    :math:`4\pi^2 \alpha / (c^3 Q_{ts} (f_3/f_s)^3)` is highest for C4 near k = 0.51. A vented box whose
    level sags by 2 to 3 dB above its f3 counts for more, and is none of these shapes.
    """
    return _best_shape(kind) * 4 * np.pi**2 / air.sound_speed**3


@functools.cache
def _best_shape(kind):
    """Return the highest value of what the shape of a response has in the efficiency constant. [1]"""
    from scipy.optimize import minimize_scalar

    def closed(Qtc):
        return -1 / (Qtc * closed_alignment(Qtc).f3_over_fc ** 3)

    def vented(k):
        box = named_alignment("C4", k)
        return -box.alpha / (box.Qts * box.f3_over_fs**3)

    shape, bounds = {"sealed": (closed, (0.8, 1.5)), "vented": (vented, (0.3, 0.8))}[kind]
    found = minimize_scalar(shape, bounds=bounds, method="bounded", options={"xatol": 1e-9})
    return float(-found.fun)


@takes(driver=Single(DRIVER), alignment=Holds((VentedAlignment,)), delta=Single(DELTA), Sd=Single(AREA), air=AIR)
def radiator_box(driver, alignment, *, delta, Sd, air=Air()):
    r"""Return a box with a passive radiator that has the values of a vented alignment.

    Parameters
    ----------
    driver : Driver
        A single one.
    alignment : VentedAlignment
        Its compliance ratio, tuning and leakage are kept.
    delta : float
        Vap of the radiator over the volume of the box: the softer, the nearer to a port. [1]
    Sd : float
        Area of the radiator. [m2]
    air : Air

    Returns
    -------
    PassiveRadiatorBox
        Without a loss of the radiator itself.

    Notes
    -----
    .. math:: V = V_{as} / \alpha, \quad V_{ap} = \delta V, \quad f_p = h f_s / \sqrt{1 + \delta}

    The notch at fp makes the response fall faster below the tuning than that of the vented box, the more the stiffer
    the radiator is. With the values of B4 and delta of 1 and more, f3 is the tuning as in the vented box.

    References
    ----------
    R. H. Small, "Passive-radiator loudspeaker systems", JAES 22 (1974) 592-601, 683-689 (from memory; derived anew).
    """
    volume = equivalent_volume(driver, air) / alignment.alpha
    fp = alignment.h * driver.fs / np.sqrt(1 + delta)
    radiator = PassiveRadiator.from_resonance(fp=fp, Vap=delta * volume, Sd=Sd, air=air)
    return PassiveRadiatorBox(volume=volume, radiator=radiator, Ql=alignment.Ql)
