"""What acts on a signal without loading anything: filters, and what a cabin adds."""

from __future__ import annotations

import dataclasses
from functools import singledispatch

import numpy as np

from ..parts import filters
from .dual import ONE, ZERO, steady
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


def _horner(coefficients, s):
    result = ZERO
    for coefficient in coefficients:
        value = s.rows(coefficient)
        result = result * s + (steady(value) if np.any(value) else ZERO)
    return result


@singledispatch
def transfers(filter_):
    """Return the transfers of a filter, one after another."""
    raise TypeError(f"no circuit is known for {type(filter_).__name__}")


@transfers.register
def _(filter_: filters.Gain):
    return (Rational("gain", (np.power(10.0, filter_.level / 20),), (1.0,)),)


@transfers.register
def _(filter_: filters.Inverted):
    return (Rational("inverted polarity", (-1.0,), (1.0,)),)


@transfers.register
def _(filter_: filters.Delay):
    return (Lag("delay", filter_.time),)


@transfers.register
def _(filter_: filters.HighPass):
    return tuple(Rational("high-pass", (bottom[0], *(0.0,) * n), bottom) for n, bottom in _sections(filter_))


@transfers.register
def _(filter_: filters.LowPass):
    return tuple(Rational("low-pass", (1.0,), bottom) for _, bottom in _sections(filter_))


def _sections(filter_):
    """Yield order and denominator of each section of a high-pass or low-pass filter."""
    t = 1 / (2 * np.pi * filter_.frequency)
    qs, singles = filters.sections(filter_.order, filter_.family)
    for q in qs:
        yield 2, (np.square(t), t / q, 1.0)
    for _ in range(singles):
        yield 1, (t, 1.0)


def cabin_transfer(cabin, distance, air, solid_angle):
    """Return what a cabin adds to a source in half space (see `Cabin`)."""
    wc = 2 * np.pi * cabin.corner(distance, air, solid_angle)
    wl = 2 * np.pi * cabin.leak
    return Rational("cabin", (1.0, np.sqrt(2) * wc, np.square(wc)), (1.0, wl, 0.0))
