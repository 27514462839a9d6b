"""Numbers that carry their exact derivative with respect to s, and the memory that they are written into."""

from __future__ import annotations

import numpy as np


class Scratch:
    """Arrays of one shape, lent out one after another and all taken back by `renewed`.

    A solver that works through thousands of equal slices would otherwise spend most of its time asking the
    operating system for fresh memory.
    """

    def __init__(self, shape):
        self.shape = shape
        self._arrays = []
        self._lent = 0

    def renewed(self, shape):
        """Take everything back; for another shape, start afresh."""
        if shape != self.shape:
            return Scratch(shape)
        self._lent = 0
        return self

    def apply(self, ufunc, *operands):
        """Apply a ufunc, into lent memory if the result has the full shape."""
        if all(np.shape(operand) != self.shape for operand in operands):
            return ufunc(*operands)
        if self._lent == len(self._arrays):
            self._arrays.append(np.empty(self.shape, dtype=complex))
        self._lent += 1
        return ufunc(*operands, out=self._arrays[self._lent - 1])


class Dual:
    """A function of s known by its value and its derivative (first-order automatic differentiation).

    Sums and products follow the sum and product rules, so whatever a circuit's equations say about a quantity they
    say about its derivative too. A slope of None belongs to what does not depend on s.
    """

    __slots__ = ("scratch", "slope", "value")

    def __init__(self, value, slope, scratch):
        self.value, self.slope, self.scratch = value, slope, scratch

    def __add__(self, other):
        if self is ZERO or other is ZERO:
            return other if self is ZERO else self
        value = self._apply(np.add, self.value, other.value, other)
        if self.slope is None or other.slope is None:
            return self._like(value, other.slope if self.slope is None else self.slope, other)
        return self._like(value, self._apply(np.add, self.slope, other.slope, other), other)

    def __mul__(self, other):
        if self is ONE or other is ONE:
            return other if self is ONE else self
        if self is ZERO or other is ZERO:
            return ZERO
        value = self._apply(np.multiply, self.value, other.value, other)
        terms = [
            self._apply(np.multiply, slope, factor, other)
            for slope, factor in ((self.slope, other.value), (other.slope, self.value))
            if slope is not None
        ]
        slope = self._apply(np.add, *terms, other) if len(terms) == 2 else terms[0] if terms else None
        return self._like(value, slope, other)

    def times(self, constant):
        """Multiply by something that does not depend on s."""
        return self * self.constant(constant)

    def constant(self, value):
        """Return something that does not depend on s."""
        # complex already here: mixing real and complex arrays makes numpy copy the real one piece by piece
        return Dual(np.asarray(value, dtype=complex), None, self.scratch)

    def _like(self, value, slope, other):
        return Dual(value, slope, self.scratch or other.scratch)

    def _apply(self, ufunc, a, b, other):
        scratch = self.scratch or other.scratch
        return scratch.apply(ufunc, a, b) if scratch else ufunc(a, b)


ZERO = Dual(0.0, None, None)
ONE = Dual(1.0, None, None)


class Frequency(Dual):
    """The variable s itself, and the few functions of it that elements need."""

    __slots__ = ("inverse",)

    def __init__(self, value, scratch):
        super().__init__(value, 1.0, scratch)
        inverse = 1 / value
        self.inverse = Dual(inverse, -(inverse**2), scratch)

    def power(self, exponent):
        """Return s**exponent."""
        value = self.scratch.apply(np.power, self.value, exponent)
        return Dual(value, exponent * value * self.inverse.value, self.scratch)

    def delayed(self, time):
        """Return exp(-s time)."""
        value = np.exp(-self.value * time)
        return Dual(value, -time * value, self.scratch)
