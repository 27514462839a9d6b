"""Polynomials in s and 1/s: a circuit is solved in them as it is in numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True, eq=False)
class Laurent:
    r"""A sum of powers of S = s / w0, some of them negative.

    .. math:: S^{lowest} (c_0 + c_1 S + c_2 S^2 + ...)

    It adds and multiplies as a `Dual` does, so a circuit's equations work on polynomials as they do on numbers.

    Attributes
    ----------
    coefficients : array
        From the lowest power up.
    lowest : int
        The lowest power.
    """

    coefficients: np.ndarray
    lowest: int = 0

    def __add__(self, other):
        other = _laurent(other)
        lowest = min(self.lowest, other.lowest)
        return Laurent(np.polynomial.polynomial.polyadd(self._down_to(lowest), other._down_to(lowest)), lowest)

    __radd__ = __add__

    def __mul__(self, other):
        other = _laurent(other)
        return Laurent(np.convolve(self.coefficients, other.coefficients), self.lowest + other.lowest)

    __rmul__ = __mul__

    def times(self, constant):
        """Multiply by a number."""
        return Laurent(self.coefficients * constant, self.lowest)

    @property
    def roots(self):
        """Where it is zero: the power of S that divides it, and the other roots. [1]"""
        least, *_, most = np.flatnonzero(self.coefficients)[[0, -1]]
        return self.lowest + int(least), np.roots(self.coefficients[least : most + 1][::-1])

    @property
    def leading(self):
        """Coefficient of the highest power."""
        return self.coefficients[np.flatnonzero(self.coefficients)[-1]]

    def _down_to(self, lowest):
        return np.concatenate([np.zeros(self.lowest - lowest), self.coefficients])


def _laurent(value):
    """Return a polynomial as it is, and a `Dual` that does not depend on s as a constant."""
    return value if isinstance(value, Laurent) else Laurent(np.atleast_1d(np.real(value.value)))


class Unknown(Laurent):
    """The variable s itself, instead of a `Frequency`.

    Parameters
    ----------
    scale : float
        w0, near which the roots lie. [rad/s]
    """

    __slots__ = ()

    def __init__(self, scale):
        super().__init__(np.array([scale]), 1)

    @property
    def inverse(self):
        """1 / s."""
        return Laurent(1 / self.coefficients, -1)

    @staticmethod
    def rows(value):
        """Return a value as it is: there is one member."""
        return float(value)

    @staticmethod
    def steady(value):
        """Return something that does not depend on s."""
        return Laurent(np.array([value]))

    def power(self, exponent):
        """Refuse: with a fractional n, s**n is not a polynomial."""
        raise ValueError(
            f"a coil with K s^{exponent:g} (Driver.semi_inductance) has no poles to count. Its cut in the s-plane "
            "stands for infinitely many: describe the coil by Le, L2 and R2 instead"
        )

    def squared(self):
        """Refuse: as a polynomial, a radiation that grows as the square of the frequency has an unstable pole."""
        raise ValueError(
            "the hole of a Door has no poles to count: what it radiates grows with the square of the frequency. "
            "No stable ratio of polynomials does that: take a SealedBox, or a Door with hole_area=0"
        )

    def delayed(self, time):
        """Refuse: a delay is not a ratio of polynomials."""
        raise ValueError(f"a Delay of {1e3 * time:g} ms has neither poles nor zeros: leave it out")
