"""Polynomials in s and 1/s: a circuit is solved in them as it is in numbers."""

from __future__ import annotations

from functools import cached_property
from itertools import zip_longest

import numpy as np

from .dual import ONE, ZERO

NOTHING = 0.0  # a coefficient that no member has


class Laurent:
    r"""A sum of powers of S = s / w0, some of them negative.

    .. math:: S^{lowest} (c_0 + c_1 S + c_2 S^2 + ...)

    It adds and multiplies as a `Dual` does, so a circuit's equations work on polynomials as they do on numbers.

    Attributes
    ----------
    coefficients : list
        From the lowest power up: each a number, or a column with one for each member of a family.
    lowest : int
        The lowest power.
    """

    def __init__(self, coefficients, lowest=0):
        self.coefficients, self.lowest = coefficients, lowest

    def __add__(self, other):
        if other is ZERO:
            return self
        other = _laurent(other)
        lowest = min(self.lowest, other.lowest)
        pairs = zip_longest(self._down_to(lowest), other._down_to(lowest), fillvalue=NOTHING)
        return Laurent([_sum(a, b) for a, b in pairs], lowest)

    __radd__ = __add__

    def __mul__(self, other):
        if other is ZERO or other is ONE:
            return self if other is ONE else ZERO
        other = _laurent(other)
        product = [NOTHING] * (len(self.coefficients) + len(other.coefficients) - 1)
        for i, a in enumerate(self.coefficients):
            for j, b in enumerate(other.coefficients):
                product[i + j] = _sum(product[i + j], a * b)
        return Laurent(product, self.lowest + other.lowest)

    __rmul__ = __mul__

    def times(self, constant):
        """Multiply by a number, or by a column of them."""
        return Laurent([c * constant for c in self.coefficients], self.lowest)

    @property
    def roots(self):
        """Where it is zero: the power of S that divides it, and the other roots. [1]"""
        least, *_, most = np.flatnonzero(self.coefficients)[[0, -1]]
        return self.lowest + int(least), np.roots(self.coefficients[least : most + 1][::-1])

    @property
    def leading(self):
        """Coefficient of the highest power."""
        return self.coefficients[np.flatnonzero(self.coefficients)[-1]]

    def value_at(self, s):
        """Return its value at the s of a `Frequency`, with w0 = 1.

        Powers of s and of 1/s are summed apart, so that those which a member does not have change no digit of it.
        """
        rising, falling = self._rising_and_falling
        value = _horner(rising, s, s.value)
        return value + _horner(falling, s, s.inverse.value) if falling else value

    def slope_at(self, s):
        """Return the derivative by s there."""
        return self._derivative.value_at(s)

    @cached_property
    def _derivative(self):
        first = 1 if self.lowest == 0 else 0
        powers = list(enumerate(self.coefficients, self.lowest))[first:]
        return Laurent([power * c if power else NOTHING for power, c in powers], self.lowest - 1 + first)

    @cached_property
    def _rising_and_falling(self):
        """Coefficients of the powers of s, and those of the powers of 1/s, from the highest power down."""
        below = max(-self.lowest, 0)
        # complex: numpy is slow where it mixes kinds
        there = [c if c is NOTHING else c + 0j for c in self.coefficients]
        rising = [NOTHING] * max(self.lowest, 0) + there[below:]
        falling = there[:below] + [NOTHING] * (below - len(there)) + [NOTHING]
        return rising[::-1], falling if below else []

    def _down_to(self, lowest):
        return [NOTHING] * (self.lowest - lowest) + self.coefficients


def _sum(a, b):
    if a is NOTHING or b is NOTHING:
        return b if a is NOTHING else a
    return a + b


def _horner(coefficients, s, x):
    """Return the value at x of a polynomial, for the members of s."""
    if not coefficients:
        return 0.0
    value, *others = map(s.rows, coefficients)
    for coefficient in others:
        value = value * x
        if coefficient is NOTHING:
            continue
        if len(value) > 1:  # with a row for each member it grows no further, and in place it stays in the cache
            value += coefficient
        else:
            value = value + coefficient
    return value


def _laurent(value):
    """Return a polynomial as it is, and a `Dual` that does not depend on s as a constant."""
    return value if isinstance(value, Laurent) else Laurent([np.real(value.value)])


class NoPolynomial(ValueError):
    """What depends on s in a way that no polynomial does."""


class Unknown(Laurent):
    """The variable s itself, instead of a `Frequency`.

    Parameters
    ----------
    scale : float
        w0, near which the roots lie. [rad/s]
    """

    def __init__(self, scale=1.0):
        super().__init__([scale], 1)

    @property
    def inverse(self):
        """1 / s."""
        return Laurent([1 / self.coefficients[0]], -1)

    @staticmethod
    def rows(value):
        """Return a column for all members as it is, and one value for all as a plain number."""
        return value if isinstance(value, np.ndarray) else float(value)

    @staticmethod
    def steady(value):
        """Return something that does not depend on s."""
        return Laurent([value])

    def power(self, exponent):
        """Refuse: with a fractional n, s**n is not a polynomial."""
        raise NoPolynomial(
            "a coil with K s^n (Driver.semi_inductance) has no poles to count. Its cut in the s-plane "
            "stands for infinitely many: describe the coil by Le, L2 and R2 instead"
        )

    def squared(self):
        """Refuse: as a polynomial, a radiation that grows as the square of the frequency has an unstable pole."""
        raise NoPolynomial(
            "the hole of a Door has no poles to count: what it radiates grows with the square of the frequency. "
            "No stable ratio of polynomials does that: take a SealedBox, or a Door with hole_area=0"
        )

    def delayed(self, time):
        """Refuse: a delay is not a ratio of polynomials."""
        raise NoPolynomial(f"a Delay of {1e3 * time:g} ms has neither poles nor zeros: leave it out")
