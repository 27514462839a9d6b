"""Solving a circuit from the box outwards, slice by slice."""

from __future__ import annotations

import math

import numpy as np

from .dual import ONE, Frequency, Scratch
from .elements import Element

SLICE = 8000  # points at a time: small enough to stay in the processor's cache, large enough to keep it busy


def addresses(node, here=()):
    """Yield (address, node) of a one-port and everything in it; an address is the way there, member by member."""
    yield here, node
    for index, member in enumerate(getattr(node, "members", ())):
        yield from addresses(member, (*here, index))


def address_of(terminals, place):
    """Return the address of the first piece with that place, or None."""
    return next((address for address, node in addresses(terminals) if node.place == place), None)


class Solution:
    """One slice of a circuit, solved at the s of that slice."""

    def __init__(self, circuit, s):
        self.circuit, self.s, self._pairs = circuit, s, {}
        across, through = circuit.terminals.pair(s, self._pairs)
        self._total = across + through * circuit.source.impedance(s)
        self._before = [t.top_and_bottom(s) for t in circuit.before]
        self._after = [t.top_and_bottom(s) for t in circuit.after]
        tops, bottoms = [top for top, _ in self._before], [bottom for _, bottom in self._before]
        self._source = _product(circuit.voltage, tops) / _product(1.0, bottoms)
        self._scale = self._source / self._total.value

    def impedance(self):
        """Across over through at the terminals. [ohm]"""
        across, through = self._pairs[self.circuit.terminals]
        return across.value / through.value

    def current(self):
        """Through the source and the terminals. [A]"""
        return self.through(())

    def input_power(self):
        """Real power that the source gives. [W]"""
        return (np.conj(self._source) * self.current()).real

    def source_loss(self):
        """Real power lost in the source's own resistance. [W]"""
        return abs(self.current()) ** 2 * self.circuit.source.value

    def pressure(self):
        """Sound pressure at the listener. [Pa]"""
        tops, bottoms = [top for top, _ in self._after], [bottom for _, bottom in self._after]
        return _product(self._scale, [self._net_flow, *tops]) / _product(1.0, bottoms)

    def delay(self):
        r"""Group delay of pressure over source voltage. [s]

        .. math:: \tau = -\mathrm{Re}\left(\frac{1}{H}\frac{dH}{ds}\right)
        """
        transfers = [*self._before, *self._after]
        down = sum(_relative_slope(bottom) for _, bottom in transfers) + _relative_slope(self._total)
        return down - sum(_relative_slope(top) for top, _ in transfers) - _relative_slope(self._net_flow)

    def through(self, address):
        """Return what passes through the piece at an address."""
        return _product(self._scale, self._through(address))

    def power(self, address):
        """Return the real power that the element at an address turns into heat. [W]"""
        element = self._node(address)
        return abs(self.through(address)) ** 2 * np.real(element.resistance(self.s))

    def _node(self, address):
        node = self.circuit.terminals
        for index in address:
            node = node.members[index]
        return node

    def _through(self, address):
        """Return the Duals whose product is the flow at an address, up to the common scale."""
        node, factors = self.circuit.terminals, []
        for index in address:
            parent, node = node, node.members[index]
            factors += parent.factors(node, self.s, self._pairs)
        own = [] if isinstance(node, Element) else [self._pairs[node][1]]
        return [f for f in (*factors, *own) if f is not ONE]

    @property
    def _net_flow(self):
        """Volume flow of all openings together: what the air in the box takes up. [m3/s]"""
        return math.prod(self._through(self.circuit.net_flow), start=ONE)


def _product(number, duals):
    return math.prod((d.value for d in duals), start=number)


def _relative_slope(dual):
    return 0.0 if dual.slope is None else (dual.slope / dual.value).real


def compute(circuit, s, wanted):
    """Evaluate wanted quantities of a circuit.

    Parameters
    ----------
    circuit : Circuit
    s : array
        Complex frequencies: shape (nf,) for all members alike, or (n, nf), one row for each of n members.
    wanted : dict
        Name of each quantity: (function of a `Solution`, dtype of its result).

    Returns
    -------
    dict
        Name: array of shape `circuit.shape` + (nf,).
    """
    members = math.prod(circuit.shape)
    nf = s.shape[-1]
    columns = circuit.mapped(lambda value: _column(value, circuit.shape))
    results = {name: np.empty((members, nf), dtype=kind) for name, (_, kind) in wanted.items()}
    rows = max(1, SLICE // nf)
    width = nf if rows > 1 else SLICE
    scratch = Scratch((rows, width))
    with np.errstate(all="ignore"):
        for first in range(0, members, rows):
            chosen = slice(first, min(first + rows, members))
            part = columns.mapped(lambda value, chosen=chosen: value[chosen] if np.ndim(value) else value)
            for left in range(0, nf, width):
                here = (chosen, slice(left, left + width))
                points = np.array(np.broadcast_to(s, (members, nf))[here])
                scratch = scratch.renewed(points.shape)
                solution = Solution(part, Frequency(points, scratch))
                for name, (quantity, _) in wanted.items():
                    results[name][here] = quantity(solution)
    return {name: array.reshape((*circuit.shape, nf)) for name, array in results.items()}


def _column(value, shape):
    return np.broadcast_to(value, shape).reshape(-1, 1) if np.ndim(value) else value
