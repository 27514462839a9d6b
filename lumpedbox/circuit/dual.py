"""Numbers that carry their exact derivative with respect to s, and the memory that they are written into."""

from __future__ import annotations

import numpy as np


class Slice:
    """The members of a family that are being solved, and memory for arrays of their shape.

    Arrays are lent out one after another and all taken back by `move_to`: a solver that works through thousands of
    equal slices would otherwise spend most of its time asking the operating system for fresh memory.

    Parameters
    ----------
    members : slice
        Which rows of the family's columns.
    shape : tuple
        (members, frequencies) of a full array.
    """

    def __init__(self, members, shape):
        self.members, self.shape = members, shape
        self._arrays = []
        self._lent = 0

    def move_to(self, members):
        """Go on to other members, as many as before; every array lent out so far may be written over."""
        self.members, self._lent = members, 0

    def rows(self, value):
        """Return the part of a family's column of values that belongs to these members, or a single value."""
        return value[self.members] if np.ndim(value) else value

    def apply(self, ufunc, *operands):
        """Apply a ufunc, into lent memory if the result has the full shape."""
        shapes = [operand.shape for operand in operands if getattr(operand, "shape", ())]
        if not shapes or tuple(map(max, zip(*shapes, strict=True))) != self.shape:
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

    __slots__ = ("slice", "slope", "value")

    def __init__(self, value, slope, slice_):
        self.value, self.slope, self.slice = value, slope, slice_

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
        return Dual(np.asarray(value, dtype=complex), None, self.slice)

    def _like(self, value, slope, other):
        return Dual(value, slope, self.slice or other.slice)

    def _apply(self, ufunc, a, b, other):
        known = self.slice or other.slice
        return known.apply(ufunc, a, b) if known else ufunc(a, b)


ZERO = Dual(0.0, None, None)
ONE = Dual(1.0, None, None)


class Frequency(Dual):
    """The variable s itself, and the few functions of it that elements need.

    Parameters
    ----------
    value : array, shape (1, nf) or (n, nf)
        One row for all members, or one for each.
    slice_ : Slice
    """

    __slots__ = ("inverse",)

    def __init__(self, value, slice_):
        super().__init__(value, np.asarray(1.0, dtype=complex), slice_)
        inverse = 1 / value
        self.inverse = Dual(inverse, -(inverse**2), slice_)

    def rows(self, value):
        """Return the part of a family's column of values that is being solved, or a single value."""
        return self.slice.rows(value)

    def power(self, exponent):
        """Return s**exponent."""
        value = self.value**exponent
        return Dual(value, exponent * value * self.inverse.value, self.slice)

    def delayed(self, time):
        """Return exp(-s time)."""
        value = np.exp(-self.value * time)
        return Dual(value, -time * value, self.slice)
