"""Solving a circuit from the box outwards, slice by slice."""

from __future__ import annotations

import math
from functools import cached_property

import numpy as np

from ..families import anywhere
from ..quantity import frozen
from .dual import ONE, ZERO, Frequency
from .elements import Element
from .places import node_at
from .polynomial import NoPolynomial, Unknown

POINTS = 32_000  # at a time: few enough for the processor's cache (500 kB an array), enough to keep it busy
BUFFER = 256  # numbers: with room for two rows of a slice numpy would first copy every column to the length of its row
KEPT = 1000  # points of a solution that is kept: some 600 kB
# Take 16 MB and give them back: from then on glibc keeps the pages of freed slices, and does not fetch new ones.
np.empty(2**21)


class Network:
    """A circuit as functions of s, which a Solution evaluates: polynomials, or numbers with their slopes."""

    def __init__(self, circuit, s):
        self._terminals, self._s, self._pairs, self._flows = circuit.terminals, s, {}, {}
        across, through = circuit.terminals.pair(s, self._pairs)
        source = circuit.source.impedance(s) if anywhere(circuit.source.value) else ZERO
        self.total = across + through * source

    def pair(self, address):
        """Return what is across the piece at an address and what passes through it, up to a scale of their own."""
        return self._pairs[node_at(self._terminals, address)]

    def flow(self, address):
        """Return what passes through the piece at an address, where the source gives `total`."""
        if address not in self._flows:
            self._flows[address] = math.prod(self._factors(address), start=ONE)
        return self._flows[address]

    def _factors(self, address):
        node, factors = self._terminals, []
        for index in address:
            parent, node = node, node.members[index]
            factors += parent.factors(node, self._s, self._pairs)
        return factors if isinstance(node, Element) else [*factors, self._pairs[node][1]]


class Solution:
    """One slice of a circuit, solved at the s of that slice."""

    def __init__(self, circuit, s, network):
        self.circuit, self.s, self._network, self._values = circuit, s, network, {}
        self._inverse = 1 / self._at_s(network.total)
        self._before = [t.top_and_bottom(s) for t in circuit.before]
        self._source = _through_transfers(s.rows(circuit.voltage), self._before)
        self._scale = self._source * self._inverse

    @cached_property
    def _openings(self):
        """What each opening is heard with: its flow up to the common scale, its sign, and its transfers to the ear.

        The way to the ear costs the most, and only the pressure needs it.
        """
        return [
            (self._network.flow(opening.address), opening.sign, [t.top_and_bottom(self.s) for t in opening.transfers])
            for opening in self.circuit.openings
        ]

    def emf(self):
        """Voltage of the source, after the filters. [V]"""
        return self._source

    def impedance(self):
        """Across over through at the loudspeaker's own terminals. [ohm]"""
        return self._impedance(self.circuit.own)

    def channel_impedance(self):
        """Across over through of everything that the channel drives. [ohm]"""
        return self._impedance(())

    def current(self):
        """Through the loudspeaker's own terminals. [A]"""
        return self.through(self.circuit.own)

    def channel_current(self):
        """Through everything that the channel drives. [A]"""
        return self.through(())

    def input_power(self):
        """Real power that the source gives; on a shared channel, this loudspeaker's part of it. [W]"""
        if self.circuit.own:
            return abs(self.current()) ** 2 * self.impedance().real
        return (np.conj(self._source) * self.current()).real

    def source_loss(self):
        """Real power lost in the source's own resistance. [W]"""
        return abs(self.current()) ** 2 * self.s.rows(self.circuit.source.value)

    def pressure(self):
        r"""Sound pressure at the listener. [Pa]

        .. math:: p = \sum_i \pm U_i H_i
        """
        return _sum(self._pressures())

    def _pressures(self):
        """Return what each opening adds to the pressure. [Pa]"""
        flows = ((self._scale * self._at_s(flow), sign, transfers) for flow, sign, transfers in self._openings)
        return [_through_transfers(flow if sign > 0 else -flow, transfers) for flow, sign, transfers in flows]

    def delay(self):
        r"""Group delay of pressure over source voltage. [s]

        .. math:: \tau = -\mathrm{Re}\frac{H'}{H}
        """
        return -self.slope().real

    def slope(self):
        r"""Logarithmic derivative of pressure over source voltage. [s]

        .. math:: \frac{H'}{H} = \frac{\sum_i p_i H_i'/H_i}{\sum_i p_i}
        """
        slopes = [self._slope(flow, [*self._before, *after]) for flow, _, after in self._openings]
        if len(slopes) == 1:
            return slopes[0]
        pressures = self._pressures()
        return _sum(p * slope for p, slope in zip(pressures, slopes, strict=True)) / _sum(pressures)

    def _slope(self, flow, transfers):
        """Return the logarithmic derivative of what comes of a flow behind transfers. [s]"""
        total = self._network.total.slope_at(self.s) * self._inverse
        own = flow.slope_at(self.s) / self._at_s(flow) - total
        return own + sum(top.relative_slope() - bottom.relative_slope() for top, bottom in transfers)

    def through(self, address):
        """Return what passes through the piece at an address."""
        return self._scale * self._at_s(self._network.flow(address))

    def across(self, address):
        """Return what is across the piece at an address, which must not be a single element."""
        return self.through(address) * self._impedance(address)

    def power(self, address):
        """Return the real power that the element at an address turns into heat. [W]"""
        flow, resistance = abs(self.through(address)), np.real(self._node(address).resistance(self.s))
        # nothing passes through a leak that this member does not have: its resistance is infinite
        return np.where(flow == 0, 0.0, flow**2 * resistance)

    def _at_s(self, function):
        """Return the value of a function of s, evaluated once."""
        if function not in self._values:
            self._values[function] = function.value_at(self.s)
        return self._values[function]

    def _node(self, address):
        return node_at(self.circuit.terminals, address)

    def _impedance(self, address):
        across, through = self._network.pair(address)
        return self._at_s(across) / self._at_s(through)


def _sum(values):
    """Add values up; a single one stays as it is, bit for bit."""
    first, *others = values
    return sum(others, first)


def _through_transfers(signal, transfers):
    """Multiply a signal by the top and divide it by the bottom of each transfer."""
    for top, bottom in transfers:
        signal = signal if top is ONE else signal * top.value
        signal = signal if bottom is ONE else signal / bottom.value
    return signal


class Solved:
    """A circuit at some complex frequencies; what is small is solved once, whatever is wanted of it and when.

    Parameters
    ----------
    circuit : Circuit
    s : array
        Complex frequencies: shape (nf,) for all members alike, or (n, nf), one row for each of n members. [rad/s]
    """

    def __init__(self, circuit, s):
        self._circuit, self._s, self._kept = circuit, np.atleast_2d(s), None
        self._members, self._size = math.prod(circuit.shape), self._s.shape[-1]

    def compute(self, wanted):
        """Evaluate wanted quantities.

        Parameters
        ----------
        wanted : dict
            Name of each quantity: function of a `Solution`.

        Returns
        -------
        dict
            Name: read-only array of shape `circuit.shape` + (nf,).
        """
        results = {}
        with np.errstate(all="ignore"):
            np.setbufsize(BUFFER)  # errstate puts it back
            for place, solution in self._kept or self._solutions():
                for name, quantity in wanted.items():
                    values = quantity(solution)
                    if name not in results:
                        results[name] = np.empty((self._members, self._size), dtype=np.result_type(values))
                    results[name][place] = values
                if self._members * self._size <= min(KEPT, POINTS):  # so this was the only slice
                    self._kept = [(place, solution)]
        return {name: frozen(array.reshape((*self._circuit.shape, -1))) for name, array in results.items()}

    def one(self, quantity):
        """Return one quantity, as `compute` does. shape (..., nf)"""
        return self.compute({"it": quantity})["it"]

    def _solutions(self):
        """Yield the members and frequencies of one slice after another, and the solution there."""
        shape = self._circuit.shape
        columns = self._circuit.mapped(lambda value: _column(value, shape)) if shape else self._circuit
        rows, width = max(1, POINTS // self._size), min(self._size, POINTS)
        blocks = _pieces(self._members, POINTS)
        for block in blocks:
            alone = len(blocks) == 1
            circuit = columns if alone else columns.mapped(lambda value, block=block: _rows(value, block))
            network = in_polynomials(circuit)
            for left in range(0, self._size, width):
                for here, s in _slices(_rows(self._s, block)[:, left : left + width], rows, block):
                    yield (here, slice(left, left + width)), Solution(circuit, s, network or Network(circuit, s))


def in_polynomials(circuit):
    """Return a circuit in polynomials, or None where they do not exist or are not exact enough.

    Where resonances meet, each multiplies the rounding of a polynomial by its Q. A driver and its box have two. Those
    of a network, or of other loudspeakers on the channel, can be any number, and without loss.
    """
    driver_alone = circuit.places["coil"] == ()
    if not driver_alone:
        return None
    try:
        return Network(circuit, Unknown())
    except NoPolynomial:
        return None


def compute(circuit, s, wanted):
    """Evaluate wanted quantities of a circuit: see `Solved`."""
    return Solved(circuit, s).compute(wanted)


def computed(circuit, s, quantity):
    """Return one quantity of a circuit, as `compute` does. shape (..., nf)"""
    return Solved(circuit, s).one(quantity)


def _slices(s, rows, block):
    """Yield the members of a block to solve at a time, and s for them."""
    shared = Frequency(s, slice(None)) if len(s) == 1 else None
    for here in _pieces(block.stop - block.start, rows):
        frequency = shared or Frequency(s[here], here)
        frequency.members = here
        yield slice(block.start + here.start, block.start + here.stop), frequency


def _pieces(count, size):
    """Return slices of at most a size, one after another."""
    return [slice(first, min(first + size, count)) for first in range(0, count, size)]


def _column(value, shape):
    return np.broadcast_to(value, shape).reshape(-1, 1) if np.ndim(value) else value


def _rows(value, block):
    return value[block] if np.ndim(value) and len(value) > 1 else value
