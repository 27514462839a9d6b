"""Numbers that carry their exact derivative with respect to s."""

from __future__ import annotations

import numpy as np


class Dual:
    """A function of s known by its value and its derivative (first-order automatic differentiation).

    Sums and products follow the sum and product rules, so a circuit's equations give the derivative of a quantity
    along with its value. What does not depend on s has a slope of None.
    """

    __slots__ = ("slope", "value")

    def __init__(self, value, slope=None):
        self.value, self.slope = value, slope

    def __add__(self, other):
        if self is ZERO or other is ZERO:
            return other if self is ZERO else self
        if not isinstance(other, Dual):
            return NotImplemented
        return Dual(self.value + other.value, _sum(self.slope, other.slope))

    def __mul__(self, other):
        if self is ONE or other is ONE:
            return other if self is ONE else self
        if self is ZERO or other is ZERO:
            return ZERO
        if not isinstance(other, Dual):
            return NotImplemented
        left = None if self.slope is None else self.slope * other.value
        right = None if other.slope is None else self.value * other.slope
        return Dual(self.value * other.value, _sum(left, right))

    def times(self, constant):
        """Multiply by something that does not depend on s."""
        return self * steady(constant)

    def relative_slope(self):
        """Return slope over value."""
        return 0.0 if self.slope is None else self.slope / self.value

    def value_at(self, s):
        """Return the value: it is the one at s already."""
        return self.value

    def slope_at(self, s):
        """Return the derivative by s."""
        return 0.0 if self.slope is None else self.slope


def _sum(left, right):
    if left is None or right is None:
        return right if left is None else left
    return left + right


def steady(value):
    """Return something that does not depend on s."""
    # complex from the start: mixing real and complex arrays makes numpy copy the real one piece by piece
    return Dual(np.asarray(value, dtype=complex))


ZERO, ONE = Dual(0.0), Dual(1.0)


class Frequency(Dual):
    """The variable s itself, the few functions of it that elements need, and the members that it is for.

    Parameters
    ----------
    value : array, shape (1, nf) or (n, nf)
        One row for all members, or one for each.
    members : slice
        Rows of the family's columns that are being solved.
    """

    __slots__ = ("inverse", "members")

    def __init__(self, value, members):
        super().__init__(value, np.asarray(1.0, dtype=complex))
        inverse = 1 / value
        self.inverse, self.members = Dual(inverse, -np.square(inverse)), members

    def rows(self, value):
        """Return the part of a family's column of values that is being solved, or a single value."""
        return value[self.members] if isinstance(value, np.ndarray) and value.ndim else value

    def power(self, exponent):
        """Return s**exponent."""
        value = np.power(self.value, exponent)
        return Dual(value, exponent * value * self.inverse.value)

    def squared(self):
        """Return s**2."""
        return self * self

    @staticmethod
    def steady(value):
        """Return something that does not depend on s."""
        return steady(value)

    def delayed(self, time):
        """Return exp(-s time)."""
        value = np.exp(-self.value * time)
        return Dual(value, -time * value)
