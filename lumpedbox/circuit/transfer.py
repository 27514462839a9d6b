"""What acts on a signal without loading anything: filters, and what a cabin adds."""

from __future__ import annotations

import dataclasses
from functools import singledispatch

import numpy as np

from ..arguments import FREQUENCIES, takes
from ..parts import filters
from ..quantity import Holds
from .dual import ONE, ZERO, Dual, Frequency
from .elements import node


@node
class Rational:
    """A ratio of polynomials in s, coefficients from the highest power down."""

    name: str
    numerator: tuple
    denominator: tuple

    def mapped(self, function):
        return dataclasses.replace(
            self,
            numerator=tuple(map(function, self.numerator)),
            denominator=tuple(map(function, self.denominator)),
        )

    def top_and_bottom(self, s):
        """Return numerator and denominator as functions of s."""
        return _horner(self.numerator, s), _horner(self.denominator, s)


@node
class Lag:
    """A pure delay."""

    name: str
    time: object

    def mapped(self, function):
        return dataclasses.replace(self, time=function(self.time))

    def top_and_bottom(self, s):
        """Return exp(-s time), and one."""
        return s.delayed(s.rows(self.time)), ONE


@node
class Piston:
    r"""Sound of a rigid piston in a large panel off its axis, over that on its axis.

    .. math:: 2 J_1(x) / x = 2 I_1(z) / z, \quad z = s\,\frac{a \sin\theta}{c} = j x
    """

    name: str
    reach: object

    def mapped(self, function):
        return dataclasses.replace(self, reach=function(self.reach))

    def top_and_bottom(self, s):
        """Return the ratio as a function of s, and one."""
        on_the_axis(s, "a rigid piston off its axis (Loudspeaker.angle)")
        from scipy.special import iv

        reach = s.rows(self.reach)
        z = s.value * np.where(reach, reach, 1e-12)
        return Dual(2 * iv(1, z) / z, 2 * iv(2, z) / z * reach), ONE


@node
class Tabled:
    """A measured change of level, with the phase that goes with it: see `LevelTable`. On the imaginary axis only."""

    name: str
    points: tuple

    def mapped(self, function):
        return self

    def top_and_bottom(self, s):
        """Return the change as a function of s, and one."""
        on_the_axis(s, f"a {self.name} (LevelTable or Cabin.table)")
        frequency, level = np.array(self.points).T
        w = s.value.imag
        x = np.log(w / (2 * np.pi))
        nepers = np.log(10) / 20 * np.interp(x, np.log(frequency), level)
        slopes = np.concatenate([[0.0], np.diff(level) / np.diff(np.log(frequency)), [0.0]]) * np.log(10) / 20
        phase, slope = np.zeros_like(w), np.zeros_like(w)
        for corner, bend in zip(2 * np.pi * frequency, np.diff(slopes), strict=True):
            phase, slope = phase + bend * _bode(w / corner), slope + bend * _bode_slope(w / corner) / corner
        steepness = slopes[np.searchsorted(np.log(frequency), x)] / w
        value = np.exp(nepers + 1j * phase)
        return Dual(value, value * (slope - 1j * steepness)), ONE


def risen(octaves):
    r"""How far a raised cosine has risen from 0 to 1, over the octave around its middle. [1]

    .. math:: \frac12 + \frac12 \sin(\pi\,octaves), \quad -\frac12 \le octaves \le \frac12

    Parameters
    ----------
    octaves : array
        From the middle. [1]
    """
    return 0.5 + 0.5 * np.sin(np.pi * np.clip(octaves, -0.5, 0.5))


def on_the_axis(s, who):
    """Refuse any s but those of steady tones: `who` says for what."""
    if not isinstance(s, Dual):
        raise ValueError(f"{who} is known only as numbers, so it has no poles and zeros: leave it out")


def _bode(x):
    """Phase of a level that rises by 20 dB a decade from x = 1 on. [rad]"""
    from scipy.special import spence

    below = np.minimum(x, 1 / x)
    phase = (spence(1 - below) - spence(1 + below)) / np.pi
    return np.where(x < 1, phase, np.pi / 2 - phase)


def _bode_slope(x):
    """Derivative of that phase by x. [rad]"""
    return np.log(np.abs((1 + x) / np.where(np.abs(1 - x) < 1e-9, 1e-9, 1 - x))) / (np.pi * x)


def _horner(coefficients, s):
    result = ZERO
    for coefficient in coefficients:
        value = s.rows(coefficient)
        result = result * s + (_plain(value) or s.steady(value))
    return result


def _plain(value):
    """Return a zero or a one as what costs nothing to add and multiply."""
    if not np.count_nonzero(value):
        return ZERO
    return ONE if isinstance(value, float) and value == 1 else None


@takes(filters=Holds(filters.Filter, several=True), frequency=FREQUENCIES)
def transfer(filters, frequency):
    """What filters do to a signal, one after another. [1]

    Parameters
    ----------
    filters : sequence of Filter
    frequency : array, shape (nf,)
        [Hz]

    Returns
    -------
    array, complex, shape (nf,)
    """
    s = Frequency(2j * np.pi * np.atleast_2d(frequency), slice(None))
    result = np.ones(len(frequency), dtype=complex)
    for part in (piece for filter_ in filters for piece in transfers(filter_)):
        top, bottom = part.top_and_bottom(s)
        result = result * np.ravel(top.value / bottom.value)
    return result


@singledispatch
def transfers(filter_):
    """Return the transfers of a filter, one after another."""
    raise TypeError(f"no circuit is known for {type(filter_).__name__}")


@transfers.register
def gain(filter_: filters.Gain):
    r"""Return the one transfer of a gain.

    .. math:: H = 10^{A/20}
    """
    return (Rational("gain", (np.power(10.0, filter_.level / 20),), (1.0,)),)


@transfers.register
def measured_level(filter_: filters.LevelTable):
    return (Tabled("measured change of level", filter_.points),)


@transfers.register
def inverted(filter_: filters.Inverted):
    return (Rational("inverted polarity", (-1.0,), (1.0,)),)


@transfers.register
def delay(filter_: filters.Delay):
    return (Lag("delay", filter_.time),)


@transfers.register
def high_pass(filter_: filters.HighPass):
    r"""Return the sections of a high-pass, each with s over its own corner; one of first order is s / (s + 1).

    .. math:: H = \prod_i \frac{s^2}{s^2 + s/Q_i + 1}, \quad s = j f \omega_i / f_c
    """
    return tuple(
        _section("high-pass", n, filter_.frequency / w0, q, (1.0, 0.0, 0.0)[: n + 1])
        for n, w0, q in filters.sections(filter_.order, filter_.family)
    )


@transfers.register
def low_pass(filter_: filters.LowPass):
    r"""Return the sections of a low-pass, each with s over its own corner; one of first order is 1 / (s + 1).

    .. math:: H = \prod_i \frac{1}{s^2 + s/Q_i + 1}, \quad s = j f / (f_c \omega_i)
    """
    return tuple(
        _section("low-pass", n, filter_.frequency * w0, q, (1.0,))
        for n, w0, q in filters.sections(filter_.order, filter_.family)
    )


@transfers.register
def shelf(filter_: filters.Shelf):
    r"""Return the one transfer of a shelf.

    .. math:: H = \frac{s^2 + \sqrt{A}\,s/Q + A}{s^2 + s/(\sqrt{A}\,Q) + 1/A}, \quad A = 10^{level/40}
    """
    A = np.power(10.0, filter_.level / 40)
    root = np.sqrt(A)
    top, bottom = (1.0, root / filter_.Q, A), (1.0, 1 / (root * filter_.Q), 1 / A)
    if filter_.side == "above":
        top, bottom = top[::-1], bottom[::-1]
    return (_scaled("shelf", filter_.frequency, top, bottom),)


@transfers.register
def peak(filter_: filters.Peak):
    r"""Return the one transfer of a peak.

    .. math:: H = \frac{s^2 + s A/Q + 1}{s^2 + s/(A Q) + 1}, \quad A = 10^{level/40}
    """
    A = np.power(10.0, filter_.level / 40)
    top, bottom = (1.0, A / filter_.Q, 1.0), (1.0, 1 / (A * filter_.Q), 1.0)
    return (_scaled("peak", filter_.frequency, top, bottom),)


@transfers.register
def all_pass(filter_: filters.AllPass):
    r"""Return the one transfer of an all-pass.

    .. math:: H = \frac{1 - s}{1 + s} \quad\text{or}\quad \frac{s^2 - s/Q + 1}{s^2 + s/Q + 1}
    """
    top, bottom = ((-1.0, 1.0), (1.0, 1.0))
    if filter_.order == 2:
        top, bottom = (1.0, -1 / filter_.Q, 1.0), (1.0, 1 / filter_.Q, 1.0)
    return (_scaled("all-pass", filter_.frequency, top, bottom),)


def _section(name, order, frequency, q, top):
    return _scaled(name, frequency, top, (1.0, 1.0) if order == 1 else (1.0, 1 / q, 1.0))


def _scaled(name, frequency, top, bottom):
    """Return a ratio of polynomials in s over 2 pi frequency."""
    t = 1 / (2 * np.pi * frequency)
    powers = (np.square(t), t, 1.0)

    def scaled(coefficients):
        return tuple(c * power for c, power in zip(coefficients, powers[3 - len(coefficients) :], strict=True))

    return Rational(name, scaled(top), scaled(bottom))


def cabin_transfer(cabin, distance, air, solid_angle):
    r"""Return what a cabin adds to a source in half space, the same for every opening (see `Cabin`).

    .. math:: G = \frac{s^2 + \sqrt{2}\,\omega_c s + \omega_c^2}{s (s + \omega_l)}
    """
    if cabin.law == "measured":
        same = Rational("distance of the measured cabin", (distance / cabin.reference_distance,), (1.0,))
        return same, Tabled("measured cabin", cabin.table)
    wc = 2 * np.pi * cabin.corner(distance, air, solid_angle)
    wl = 2 * np.pi * cabin.leak
    return (Rational("cabin", (1.0, np.sqrt(2) * wc, np.square(wc)), (1.0, wl, 0.0)),)
