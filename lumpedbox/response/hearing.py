"""How the ear, and meters modelled on it, weigh frequencies."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..arguments import FREQUENCY, Axis, Row, Several, Single, takes
from ..quantity import LevelPoints, Quantity
from .crossing import zero_between
from .grid import third_octaves

# Pole frequencies of IEC 61672-1 [Hz].
LOWEST, LOW, MIDDLE, HIGH = 20.598997, 107.65265, 737.86223, 12194.217
A_AT_1_KHZ, C_AT_1_KHZ = -2.000, -0.062  # dB, so that both read 0 dB at 1 kHz; as the standard prints them


@takes(frequency=FREQUENCY)
def a_weighting(frequency):
    r"""What an A-weighting meter adds to a level. [dB]

    .. math:: A(f) = 20 \log_{10}
              \frac{f_4^2 f^4}{(f^2 + f_1^2)\sqrt{(f^2 + f_2^2)(f^2 + f_3^2)}(f^2 + f_4^2)} - A_{1000}

    Made for soft sounds in the middle of the range, it takes away most of a low tone. Valid 10 Hz to 20 kHz.

    Parameters
    ----------
    frequency : float or array
        [Hz]

    Returns
    -------
    float or array

    References
    ----------
    IEC 61672-1:2013, annex E (from memory).

    Examples
    --------
    >>> print(f"{a_weighting(40.0):.1f} dB")
    -34.5 dB
    """
    f2 = np.square(frequency)
    roots = np.sqrt((f2 + LOW**2) * (f2 + MIDDLE**2))
    return 20 * np.log10(HIGH**2 * f2**2 / ((f2 + LOWEST**2) * roots * (f2 + HIGH**2))) - A_AT_1_KHZ


@takes(frequency=FREQUENCY)
def c_weighting(frequency):
    r"""What a C-weighting meter adds to a level. [dB]

    .. math:: C(f) = 20 \log_{10} \frac{f_4^2 f^2}{(f^2 + f_1^2)(f^2 + f_4^2)} - C_{1000}

    Nearly flat from 50 Hz to 5 kHz; peak limits for hearing are stated with it.

    Parameters
    ----------
    frequency : float or array
        [Hz]

    Returns
    -------
    float or array

    References
    ----------
    IEC 61672-1:2013, annex E (from memory).
    """
    f2 = np.square(frequency)
    return 20 * np.log10(HIGH**2 * f2 / ((f2 + LOWEST**2) * (f2 + HIGH**2))) - C_AT_1_KHZ


LEVEL = Quantity(unit="dB re 20 uPa", meaning="r.m.s. level of the programme, unweighted", low=0.0, high=200.0)
TONE = Axis(Quantity(unit="dB re 20 uPa", meaning="level of the tone", low=-np.inf, high=1000.0))
RELATIVE = Quantity(unit="dB", meaning="relative level of a third octave", low=-300.0, high=300.0)
SPECTRUM = Several(Row((FREQUENCY, RELATIVE), "frequency in Hz, level in dB"), "third octaves")


class _Noise(LevelPoints):
    level = Quantity(unit="dB re 20 uPa", meaning="level of the noise", low=-120.0, high=200.0)


CREST = Quantity(unit="dB", meaning="peak over r.m.s. of the programme", low=3.0, high=30.0)
# Music with the same level in every third octave: common practice (no source), and darker than most speech.
THIRD_OCTAVES = third_octaves(-14, 9)  # 39 Hz to 8 kHz
LOUD_ANYWHERE = 115.0  # dB; from here up the caution applies at any frequency
PEAK_ACTION = 135.0  # dB(C), peak: lower action value of EU 2003/10/EC, 112 Pa
CAUTION = (
    "Hearing does not grow back. These numbers are guidance from workplace rules, not a promise: if your ears ring or "
    "sounds are dull afterwards, it was too loud. Local rules come first. Wear hearing protection while testing."
)


@dataclass(frozen=True, slots=True)
class Exposure:
    """What a programme does to the ear, by workplace rules.

    Attributes
    ----------
    a_weighted : float
        r.m.s. level. [dB]
    c_peak : float
        Peak level, C-weighted. [dB]
    peak : float
        Peak level, unweighted. [dB re 20 uPa]
    minutes : float
        Longest time in a day: eight hours at 85 dB(A), half as long for every 3 dB more (NIOSH 98-126).
    loud : bool
        Whether the level is too high at any frequency, or the peak passes the lower action value.
    """

    a_weighted: float
    c_peak: float
    peak: float
    minutes: float
    loud: bool

    def __str__(self):
        shown = math.ceil(round(self.a_weighted, 2))  # rounded up, and its time down: the careful side
        minutes = _minutes(shown)
        long = f"{math.floor(minutes)} minutes" if minutes < 120 else f"{min(minutes / 60, 24):.3g} hours"
        too_loud = " That is too loud at any frequency." if self.loud else ""
        return (
            f"{shown} dB(A), with peaks of {self.peak:.0f} dB unweighted ({self.c_peak:.0f} dB(C)): by "
            f"NIOSH 98-126 at most {long} a day.{too_loud} {CAUTION}"
        )


def _minutes(a_weighted):
    return 480 * 2 ** -((a_weighted - 85) / 3)


@takes(level=Single(LEVEL), crest=Single(CREST), spectrum=SPECTRUM)
def exposure(level, *, crest, spectrum=None):
    r"""Return what a programme at some level does to the ear.

    Do not use it for a single low tone: A-weighting takes 35 dB off a tone at 40 Hz, which says nothing about harm.

    Parameters
    ----------
    level : float
        r.m.s. level of the whole programme, unweighted. [dB re 20 uPa]
    crest : float
        Peak over r.m.s. of the programme: 10 to 20 for music. [dB]
    spectrum : sequence of (float, float), optional
        Frequency and relative level of its third octaves; by default all alike from 39 Hz to 8 kHz. [Hz], [dB]

    Returns
    -------
    Exposure

    Notes
    -----
    .. math:: L_A = L + 10 \log_{10} \frac{\sum 10^{(S_i + A_i)/10}}{\sum 10^{S_i/10}}, \quad
              t = 480 \cdot 2^{-(L_A - 85)/3}\ \mathrm{min}

    References
    ----------
    NIOSH Publication 98-126 (1998); Directive 2003/10/EC, article 3.

    Examples
    --------
    >>> print(f"{exposure(94, crest=12).minutes:.0f}")
    101
    """
    frequency, relative = np.array([(f, 0.0) for f in THIRD_OCTAVES] if spectrum is None else spectrum).T
    share = np.power(10.0, relative / 10)

    def weighted(weighting):
        return level + 10 * np.log10(np.sum(share * np.power(10.0, weighting(frequency) / 10)) / np.sum(share))

    a_weighted, c_peak = float(weighted(a_weighting)), float(weighted(c_weighting) + crest)
    loud = level >= LOUD_ANYWHERE or c_peak >= PEAK_ACTION
    return Exposure(a_weighted, c_peak, level + crest, _minutes(a_weighted), bool(loud))


@takes(noise=_Noise(), frequency=FREQUENCY)
def noise_level(noise, frequency):
    """Level of noise in the third octave around a frequency. [dB re 20 uPa]

    Parameters
    ----------
    noise : sequence of (float, float)
        Frequency and level in third octaves, in rising frequency, as the points of a table. [Hz], [dB re 20 uPa]
    frequency : float or array
        [Hz]

    Returns
    -------
    float or array
        A straight line over octaves between the points; beyond them, the level of the outermost.
    """
    at, level = np.array(noise).T
    return np.interp(np.log(frequency), np.log(at), level)


@takes(frequency=Axis(FREQUENCY, rising=True), level=TONE, noise=_Noise())
def lowest_heard(frequency, level, noise):
    """Return the lowest frequency at which a tone is as loud as the noise in its third octave. [Hz]

    Parameters
    ----------
    frequency : array, shape (nf,)
        In rising order. [Hz]
    level : array, shape (nf,)
        Of the tone. [dB re 20 uPa]
    noise : sequence of (float, float)
        Frequency and level in third octaves, in rising frequency, as the points of a table. [Hz], [dB re 20 uPa]

    Returns
    -------
    float
        `nan` if the noise covers the tone everywhere.

    Notes
    -----
    We take a tone as heard once it is as loud as the noise in its third octave (common practice, no source).
    """
    if level.shape != frequency.shape:
        raise ValueError(f"lowest_heard.level must have {frequency.size} values, one for each frequency")
    above = level - noise_level(noise, frequency)
    heard = np.flatnonzero(above >= 0)
    if not len(heard):
        return np.nan
    first = heard[0]
    if first == 0:
        return float(frequency[0])
    return float(zero_between(frequency[first - 1], frequency[first], above[first - 1], above[first]))
