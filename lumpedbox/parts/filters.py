"""What is done to the signal ahead of the amplifier."""

from __future__ import annotations

import functools
from math import factorial

import numpy as np

from ..quantity import LevelPoints, OneOf, Part, Whole, part, quantity, ruled

ORDERS = (1, 2, 3, 4)
FAMILIES = ("Butterworth", "Bessel", "Linkwitz-Riley")


def corner_field():
    return quantity("Hz", "corner frequency", 0.1, 1e5, slips=("kHz",))


def order_field():
    return ruled(Whole("order of the filter", ORDERS), 2)


def q_field(meaning):
    return quantity("", meaning, 0.05, 50.0, default=float(np.sqrt(0.5)))


@functools.cache
def poles(order, family):
    r"""Return the poles of a low-pass filter whose corner is at 1 rad/s.

    Butterworth poles are evenly spaced on the unit circle. Bessel's are the roots of the reverse Bessel polynomial,
    scaled so that the corner is 3 dB down too. A Linkwitz-Riley filter is a Butterworth of half the order, twice.

    .. math:: \theta_n(s) = \sum_{k=0}^{n} \frac{(2n-k)!}{2^{n-k}\,k!\,(n-k)!}\,s^k
    """
    if family == "Linkwitz-Riley":
        return poles(order // 2, "Butterworth") * 2
    if family == "Butterworth":
        return tuple(np.exp(1j * np.pi * (2 * np.arange(order) + order + 1) / (2 * order)))
    n = order
    reverse = [factorial(2 * n - k) / (2 ** (n - k) * factorial(k) * factorial(n - k)) for k in range(n, -1, -1)]
    return tuple(np.roots(reverse) / half_power(np.array(reverse)))


def half_power(polynomial):
    """Angular frequency at which 1 / polynomial, of steady gain 1, has half its power. [rad/s]"""
    jw = 1j ** np.arange(len(polynomial) - 1, -1, -1)
    magnitude = np.real(np.convolve(polynomial * jw, np.conj(polynomial * jw)))
    magnitude[-1] -= 2 * polynomial[-1] ** 2
    found = np.roots(magnitude)
    return float(min(w.real for w in found if w.real > 0 and abs(w.imag) < 1e-9 * abs(w)))


def sections(order, family):
    r"""Return (order, corner, Q) of each section of a low-pass filter whose corner is at 1 rad/s.

    A section of first order has no Q. A pole p and its mirror image make

    .. math:: \omega_0 = |p|, \quad Q = |p| / (-2\,\mathrm{Re}\,p)
    """
    found = poles(order, family)
    pairs = [(2, abs(p), abs(p) / (-2 * p.real)) for p in found if p.imag > 1e-9]
    return (*pairs, *((1, abs(p), None) for p in found if abs(p.imag) <= 1e-9))


@part
class HighPass(Part):
    r"""A high-pass filter of order 1 to 4.

    Parameters
    ----------
    frequency : float or array
        Corner frequency: -3 dB (Butterworth, Bessel) or -6 dB (Linkwitz-Riley). [Hz]
    order : {1, 2, 3, 4}
    family : {"Butterworth", "Bessel", "Linkwitz-Riley"}
        Linkwitz-Riley filters have even orders.

    Notes
    -----
    Butterworth poles are evenly spaced on the circle of the corner. Bessel filters delay all low tones alike. A
    Linkwitz-Riley filter is a Butterworth of half the order, twice. Each section of second order is, with s over its
    own corner,

    .. math:: H = \frac{s^2}{s^2 + s/Q + 1}

    References
    ----------
    W. E. Thomson, "Delay networks having maximally flat frequency characteristics", Proc. IEE 96 (1949) 487-490, for
    Bessel's; S. H. Linkwitz, "Active crossover networks for noncoincident drivers", JAES 24(1) (1976) 2-8 (from
    memory).

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lumpedbox import HighPass, InfiniteBaffle, Loudspeaker, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> plain = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> filtered = replace(plain, filters=(HighPass(frequency=80, order=4, family="Linkwitz-Riley"),))
    >>> change = solve(filtered, 80).level - solve(plain, 80).level
    >>> print(f"{change[0]:.1f} dB")
    -6.0 dB
    """

    frequency: float = corner_field()
    order: int = order_field()
    family: str = ruled(OneOf(FAMILIES), "Butterworth")

    def _check_together(self):
        check_family(self)


@part
class LowPass(Part):
    r"""A low-pass filter of order 1 to 4.

    Parameters
    ----------
    frequency : float or array
        Corner frequency: -3 dB (Butterworth, Bessel) or -6 dB (Linkwitz-Riley). [Hz]
    order : {1, 2, 3, 4}
    family : {"Butterworth", "Bessel", "Linkwitz-Riley"}
        Linkwitz-Riley filters have even orders.

    Notes
    -----
    The families and their sources are those of `HighPass`. Each section of second order is

    .. math:: H = \frac{1}{s^2 + s/Q + 1}

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lumpedbox import InfiniteBaffle, Loudspeaker, LowPass, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> plain = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> filtered = replace(plain, filters=(LowPass(frequency=80),))
    >>> change = solve(filtered, 80).level - solve(plain, 80).level
    >>> print(f"{change[0]:.1f} dB")
    -3.0 dB
    """

    frequency: float = corner_field()
    order: int = order_field()
    family: str = ruled(OneOf(FAMILIES), "Butterworth")

    def _check_together(self):
        check_family(self)


def check_family(filter_):
    if filter_.family == "Linkwitz-Riley" and filter_.order % 2:
        raise ValueError(
            f"{type(filter_).__name__}.order must be even for a Linkwitz-Riley filter "
            f"(two equal Butterworth filters in a row), got {filter_.order}"
        )


@part
class Shelf(Part):
    r"""Raises or lowers everything below a frequency, or everything above it.

    Parameters
    ----------
    frequency : float or array
        Where half of the change, in dB, is reached. [Hz]
    level : float or array
        Change of level far on the changed side; positive is louder. [dB]
    side : {"below", "above"}
        Which side of the frequency is changed.
    Q : float or array
        Steepness; above 0.71 the level overshoots. [1]

    Notes
    -----
    With :math:`A = 10^{level/40}` and s over the frequency, below:

    .. math:: H = \frac{s^2 + \sqrt{A}\,s/Q + A}{s^2 + s/(\sqrt{A}\,Q) + 1/A}

    and above the same, with 1/s in place of s.

    References
    ----------
    R. Bristow-Johnson, "Cookbook formulae for audio equalizer biquad filter coefficients", W3C note (2021), from
    memory.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lumpedbox import InfiniteBaffle, Loudspeaker, Shelf, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> plain = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> filtered = replace(plain, filters=(Shelf(frequency=80, level=6),))
    >>> change = solve(filtered, 80).level - solve(plain, 80).level
    >>> print(f"{change[0]:.1f} dB")
    3.0 dB
    """

    frequency: float = corner_field()
    level: float = quantity("dB", "change of level", -60.0, 60.0)
    side: str = ruled(OneOf(("below", "above")), "below")
    Q: float = q_field("steepness of the shelf")


@part
class Peak(Part):
    r"""Raises or lowers a band.

    Parameters
    ----------
    frequency : float or array
        Middle of the band. [Hz]
    level : float or array
        Change of level there; positive is louder. [dB]
    Q : float or array
        Frequency over the width between the two points of half the change in dB. [1]

    Notes
    -----
    .. math:: H = \frac{s^2 + s A/Q + 1}{s^2 + s/(A Q) + 1}, \quad A = 10^{level/40}

    with s over the frequency.

    References
    ----------
    R. Bristow-Johnson, "Cookbook formulae for audio equalizer biquad filter coefficients", W3C note (2021), from
    memory.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lumpedbox import InfiniteBaffle, Loudspeaker, Peak, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> plain = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> filtered = replace(plain, filters=(Peak(frequency=80, level=-6, Q=2),))
    >>> change = solve(filtered, 80).level - solve(plain, 80).level
    >>> print(f"{change[0]:.1f} dB")
    -6.0 dB
    """

    frequency: float = corner_field()
    level: float = quantity("dB", "change of level", -60.0, 60.0)
    Q: float = q_field("frequency over width of the band")


@part
class AllPass(Part):
    r"""Turns the phase and leaves the level alone.

    Parameters
    ----------
    frequency : float or array
        Where the phase is turned by 90 (order 1) or 180 degrees (order 2). [Hz]
    order : {1, 2}
    Q : float or array
        How quickly an all-pass of order 2 turns. [1]

    Notes
    -----
    .. math:: H = \frac{1 - s}{1 + s} \quad\text{or}\quad \frac{s^2 - s/Q + 1}{s^2 + s/Q + 1}

    with s over the frequency.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lumpedbox import AllPass, InfiniteBaffle, Loudspeaker, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> plain = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> turned = replace(plain, filters=(AllPass(frequency=80),))
    >>> ratio = solve(turned, 80).pressure / solve(plain, 80).pressure
    >>> print(f"{abs(ratio[0]):.2f}, {-np.degrees(np.angle(ratio[0])):.0f} degrees later")
    1.00, 90 degrees later
    """

    frequency: float = corner_field()
    order: int = ruled(Whole("order of the all-pass", (1, 2)), 1)
    Q: float = q_field("Q of the all-pass")


@part
class LevelTable(Part):
    r"""A measured change of level over frequency: of a source at one setting of its volume, say.

    Parameters
    ----------
    points : tuple of (float, float)
        Frequency and level, in rising frequency; straight lines between them on a logarithmic axis, and the end
        levels beyond. [Hz], [dB]

    Notes
    -----
    Minimum phase is assumed. A level that rises by n times 20 dB a decade from :math:`\omega_0` on has the phase

    .. math:: \varphi = n\,F(\omega/\omega_0), \quad F(x) = \frac{2}{\pi} \sum_{k\,odd} \frac{x^k}{k^2}
              \;\; (x < 1), \quad F(x) = \frac{\pi}{2} - F(1/x)

    and straight lines are a sum of such rises.

    References
    ----------
    H. W. Bode, "Network analysis and feedback amplifier design" (1945), chapter XV, from memory.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lumpedbox import InfiniteBaffle, LevelTable, Loudspeaker, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> plain = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> filtered = replace(plain, filters=(LevelTable(points=((40, 0), (160, 6))),))
    >>> change = solve(filtered, 80).level - solve(plain, 80).level
    >>> print(f"{change[0]:.1f} dB")
    3.0 dB
    """

    points: tuple = ruled(LevelPoints())


@part
class Gain(Part):
    r"""A change of level.

    Parameters
    ----------
    level : float or array
        Positive is louder. [dB]

    Notes
    -----
    .. math:: H = 10^{level/20}

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lumpedbox import Gain, InfiniteBaffle, Loudspeaker, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> plain = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> filtered = replace(plain, filters=(Gain(level=-6),))
    >>> change = solve(filtered, 80).level - solve(plain, 80).level
    >>> print(f"{change[0]:.1f} dB")
    -6.0 dB
    """

    level: float = quantity("dB", "change of level", -120.0, 60.0)


@part
class Inverted(Part):
    """A reversed polarity.

    Notes
    -----
    .. math:: H = -1

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lumpedbox import InfiniteBaffle, Inverted, Loudspeaker, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> plain = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> reversed_ = replace(plain, filters=(Inverted(),))
    >>> bool(np.isclose(solve(reversed_, 80).pressure, -solve(plain, 80).pressure).all())
    True
    """


@part
class Delay(Part):
    r"""A pure delay.

    Parameters
    ----------
    time : float or array
        By how much. [s]

    Notes
    -----
    .. math:: H = e^{-s T}

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lumpedbox import Delay, InfiniteBaffle, Loudspeaker, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> plain = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=InfiniteBaffle())
    >>> later = replace(plain, filters=(Delay(time=1e-3),))
    >>> added = solve(later, 80).group_delay - solve(plain, 80).group_delay
    >>> print(f"{1e3 * added[0]:.1f} ms")
    1.0 ms
    """

    time: float = quantity("s", "delay", 0.0, 1.0, slips=("ms",))


Filter = (HighPass, LowPass, Shelf, Peak, AllPass, LevelTable, Gain, Inverted, Delay)
