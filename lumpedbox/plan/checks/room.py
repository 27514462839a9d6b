"""What a tape, clay and a tissue tell: depth, litres, the cabin, a leak."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, pi, prod

from ...air import AIR, Air
from ...arguments import Row, Several, Single, takes
from ...quantity import Quantity
from ...units import cm2, mm

KEEP = 5 * mm  # to keep behind a driver (common practice, no source)
TAPE = 5 * mm  # error of one length by tape (common practice, no source)
POURED = 0.10  # error of what is poured and shaken (common practice, no source)
CONE, TRAVEL, TONE = 135 * cm2, 2 * mm, 30.0  # of a 165 mm woofer that plays 30 Hz softly: ours
LENGTH = Quantity(unit="m", meaning="length", low=0.0, high=50.0, slips=("mm", "cm"))
ONE, SEVERAL, SIDES = Single(LENGTH), Several(LENGTH, "lengths"), Row((LENGTH,) * 3, "length, width, height")
SIDE = Quantity(unit="m", meaning="inner side of a cabin", low=0.1, high=50.0, slips=("mm", "cm"))
AREA = Single(Quantity(unit="m2", meaning="area", low=1e-8, high=10.0, slips=("cm2",)))
TONES = Single(Quantity(unit="Hz", meaning="tone", low=1.0, high=2e4))
FELT = 1.0  # m/s of air that moves a tissue (common practice, no source)


@takes(spots=SEVERAL, driver=ONE)
def depth_left(spots, driver=None):
    """Return the least of several depths, and what a driver leaves of it. [m]

    Parameters
    ----------
    spots : sequence of float
        Depth at several spots, window down. [m]
    driver : float, optional
        What the driver needs. [m]

    Returns
    -------
    least, left : float
        `left` is None without a driver, and negative where it does not fit. [m]

    Examples
    --------
    >>> least, left = depth_left([0.060, 0.058, 0.061], driver=0.056)
    >>> print(f"{1000 * least:.0f} mm, {1000 * left:.0f} left")
    58 mm, 2 left
    """
    least = min(spots)
    return least, None if driver is None else least - driver


@takes(sag=ONE, length=ONE, width=ONE)
def litres_lost(sag, length, width):
    """Return the volume that a cushion takes as it comes down. [m3]

    Parameters
    ----------
    sag, length, width : float
        [m]
    """
    return sag * length * width


@dataclass(frozen=True, slots=True)
class Litres:
    """The volume of a block of air.

    Attributes
    ----------
    outside, inside : float
        What it takes up, and what is left within its boards. [m3]
    error : float
        Of the inside, as a share: 5 mm on each length. [1]
    """

    outside: float
    inside: float
    error: float


@takes(sides=SIDES, board=ONE)
def litres(sides, board=0.0):
    r"""Return the litres of a block by its sides. [m3]

    Parameters
    ----------
    sides : three floats
        Length, width, height outside. [m]
    board : float
        Thickness of the boards. [m]

    Raises
    ------
    ValueError
        If the boards leave nothing.

    Notes
    -----
    .. math:: V = \prod (a_i - 2 t), \quad \Delta V/V = \sqrt{\sum \left(\frac{5\,mm}{a_i - 2 t}\right)^2}

    Examples
    --------
    >>> found = litres((0.5, 0.35, 0.12), board=0.015)
    >>> print(f"{1000 * found.outside:.1f} and {1000 * found.inside:.1f} litres")
    21.0 and 13.5 litres
    """
    within = [side - 2 * board for side in sides]
    if min(within) <= 0:
        raise ValueError("The boards alone are thicker than that: nothing is left inside.")
    return Litres(prod(sides), prod(within), hypot(*(TAPE / side for side in within)))


@takes(sides=Several(SIDE, "inner sides of a cabin"), air=AIR)
def cabin_tones(sides, air=Air()):
    r"""Return the first resonance of a cabin along each side. [Hz]

    Parameters
    ----------
    sides : sequence of float
        Length, width, height inside. [m]
    air : Air

    Notes
    -----
    .. math:: f = c / 2 L

    Examples
    --------
    >>> print(*(f"{tone:.0f}" for tone in cabin_tones((5.0, 1.8, 1.6))))
    34 96 107
    """
    return tuple(float(air.sound_speed) / (2 * side) for side in sides)


@takes(hole=AREA, area=AREA, travel=ONE, frequency=TONES)
def draught(hole, area=CONE, travel=TRAVEL, frequency=TONE):
    r"""Return how fast air moves through a hole behind a cone, peak. [m/s]

    Parameters
    ----------
    hole, area : float
        Of the hole and of the cone. [m2]
    travel : float
        Peak travel of the cone. [m]
    frequency : float
        [Hz]

    Notes
    -----
    .. math:: v = 2\pi f\,x\,S_d / S

    as long as nothing else lets the air out: it is slow in a large hole.

    Examples
    --------
    >>> print(f"{draught(0.03):.2f} and {draught(0.0003):.0f} m/s")
    0.17 and 17 m/s
    """
    return 2 * pi * frequency * travel * area / hole
