"""The pieces of an analogous circuit: one-ports of named places.

Impedance analogy: across an element is a voltage [V], force [N] or pressure [Pa]; through it passes a current [A],
velocity [m/s] or volume flow [m3/s].

A solved one-port is a *pair*, the across and the through quantity up to a common factor. We keep the pair, not its
quotient. So nothing is ever divided by an impedance or admittance that may vanish, as the admittance of a lossless
vented box does at its tuning.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .dual import ONE, ZERO


def node(cls):
    """Turn a class into a piece of circuit; two pieces are equal only if they are the same object."""
    return dataclass(slots=True, eq=False, repr=False)(cls)


@node
class Element:
    """A single element: it has one value, and its impedance is known for every s."""

    place: str
    name: str
    value: object

    dissipates = False

    def mapped(self, function):
        """Return a copy with `function` applied to every number."""
        return type(self)(self.place, self.name, function(self.value))


class Resistance(Element):
    """across = R through."""

    __slots__ = ()
    dissipates = True

    def impedance(self, s):
        return s.steady(s.rows(self.value))

    def admittance(self, s):
        return s.steady(1 / s.rows(self.value))

    def resistance(self, s):
        return s.rows(self.value)


class Inertance(Element):
    """across = s M through: inductance [H], mass [kg] or acoustic mass [kg/m4]."""

    __slots__ = ()

    def impedance(self, s):
        return s.times(s.rows(self.value))

    def admittance(self, s):
        return s.inverse.times(1 / s.rows(self.value))


class Compliance(Element):
    """through = s C across: capacitance [F], compliance [m/N] or acoustic compliance [m3/Pa]."""

    __slots__ = ()

    def impedance(self, s):
        return s.inverse.times(1 / s.rows(self.value))

    def admittance(self, s):
        return s.times(s.rows(self.value))


@node
class SemiInductance(Element):
    """across = K s**n through."""

    exponent: object

    dissipates = True

    def mapped(self, function):
        return type(self)(self.place, self.name, function(self.value), function(self.exponent))

    def impedance(self, s):
        return s.power(s.rows(self.exponent)).times(s.rows(self.value))

    def resistance(self, s):
        return s.rows(self.value) * np.power(s.value, s.rows(self.exponent)).real


class Radiation(Element):
    r"""across = k w**2 through: what a small opening radiates, k = rho / (2 pi c) in half space.

    On the imaginary axis :math:`\omega^2 = -s^2`, so the derivative by s is exact.
    """

    __slots__ = ()
    dissipates = True

    def impedance(self, s):
        return s.squared().times(-s.rows(self.value))

    def resistance(self, s):
        return self.impedance(s).value.real


@node
class Connection:
    """Several members between two ends."""

    place: str
    members: tuple

    def mapped(self, function):
        return type(self)(self.place, tuple(member.mapped(function) for member in self.members))


class Series(Connection):
    """Members that share what passes through."""

    __slots__ = ()

    def pair(self, s, pairs):
        singles, inner = _sorted_members(self.members)
        across, through = sum((m.impedance(s) for m in singles), ZERO), ONE
        for member in inner:
            inner_across, inner_through = member.pair(s, pairs)
            across = across * inner_through + inner_across * through
            through = through * inner_through
        pairs[self] = across, through
        return across, through

    def factors(self, member, s, pairs):
        """Dual factors that turn a member's own pair, or a single element's unit flow, into this pair's scale."""
        if isinstance(member, Element):
            return (pairs[self][1],)
        return tuple(pairs[other][1] for other in self.members if other is not member and other in pairs)


class Parallel(Connection):
    """Members that share what is across."""

    __slots__ = ()

    def pair(self, s, pairs):
        singles, inner = _sorted_members(self.members)
        across, through = ONE, sum((m.admittance(s) for m in singles), ZERO)
        for member in inner:
            inner_across, inner_through = member.pair(s, pairs)
            through = through * inner_across + inner_through * across
            across = across * inner_across
        pairs[self] = across, through
        return across, through

    def factors(self, member, s, pairs):
        """Dual factors that turn a member's own pair, or a single element's unit flow, into this pair's scale."""
        if isinstance(member, Element):
            return (pairs[self][0], member.admittance(s))
        return tuple(pairs[other][0] for other in self.members if other is not member and other in pairs)


@node
class Coupling:
    """A change of domain: one load, seen through a ratio."""

    place: str
    name: str
    ratio: object
    load: object

    def factors(self, member, s, pairs):
        return (s.steady(s.rows(self.ratio)),)

    def _square(self, s):
        ratio = s.rows(self.ratio)
        return ratio * ratio

    @property
    def members(self):
        return (self.load,)

    def mapped(self, function):
        return type(self)(self.place, self.name, function(self.ratio), self.load.mapped(function))


class Transformer(Coupling):
    """across = ratio x across of the load, through = through of the load / ratio: the cone's area [m2]."""

    __slots__ = ()

    def pair(self, s, pairs):
        across, through = self.load.pair(s, pairs)
        pairs[self] = across.times(self._square(s)), through
        return pairs[self]


class Gyrator(Coupling):
    """across = ratio x through of the load, through = across of the load / ratio: the force factor [N/A]."""

    __slots__ = ()

    def pair(self, s, pairs):
        across, through = self.load.pair(s, pairs)
        pairs[self] = through.times(self._square(s)), across
        return pairs[self]


def _sorted_members(members):
    singles = [m for m in members if isinstance(m, Element)]
    return singles, [m for m in members if not isinstance(m, Element)]
