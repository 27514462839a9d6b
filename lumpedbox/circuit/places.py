"""A circuit, and where its named places are."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from .elements import Element, node


def addresses(node, here=()):
    """Yield (address, node) of a one-port and everything in it; an address is the way there, member by member."""
    left = [(here, node)]
    while left:
        address, piece = left.pop()
        yield address, piece
        members = getattr(piece, "members", ())
        left += [((*address, index), members[index]) for index in reversed(range(len(members)))]


def node_at(terminals, address):
    """Return the piece at an address."""
    for index in address:
        terminals = terminals.members[index]
    return terminals


def places_of(terminals, own=()):
    """Return the address of the first piece with each place at or below the address `own`, by place."""
    found = {}
    for address, piece in addresses(node_at(terminals, own), own):
        found.setdefault(piece.place, address)
    return found


@node
class Opening:
    """An opening that sound comes out of, or all of them as one.

    Attributes
    ----------
    name : str
        "cone", "port", "passive radiator" or "leak"; "all openings" where one net flow stands for them.
    address : tuple
        Of the piece that its flow passes through.
    sign : float
        1 where that flow is outwards, -1 where it is inwards.
    transfers : tuple of Rational, Lag, Piston
        From its outward flow to the pressure at the listener, one after another.
    """

    name: str
    address: tuple
    sign: float
    transfers: tuple

    def mapped(self, function):
        """Return a copy with `function` applied to every number of its transfers."""
        return dataclasses.replace(self, transfers=tuple(t.mapped(function) for t in self.transfers))


@dataclass(frozen=True, slots=True, eq=False)
class Circuit:
    """A loudspeaker as circuit: the one-port that the amplifier sees, and what acts before and after it.

    Places ("coil", "cone", "port", "leak" and so on) are the loudspeaker's own, not those of others on its channel.
    `flow`, `drop`, `element_flows` and `losses` return functions of a `Solution`, for `solver.compute`.

    Attributes
    ----------
    terminals : Series or Parallel
        All that the channel drives.
    own : tuple
        Address of the loudspeaker's own terminals.
    places : dict
        Address of each of its places, by name.
    source : Resistance
        Between the source and the terminals.
    voltage : float or array
        r.m.s. EMF of the channel. [V]
    before : tuple of Rational or Lag
        Filters.
    openings : tuple of Opening
        What is heard. One net flow where all openings have the same transfers to the listener.
    shape : tuple
        Of the family.
    """

    terminals: object
    own: tuple
    places: dict
    source: object
    voltage: object
    before: tuple
    openings: tuple
    shape: tuple

    def has(self, place):
        """Say whether the loudspeaker has such a place."""
        return place in self.places

    def heard(self, place):
        """Say whether sound comes from such a place, on a path of its own."""
        return any(opening.name == place for opening in self.openings)

    def flow(self, place):
        """Return what passes through a place: current [A], velocity [m/s] or volume flow [m3/s]."""
        return _through(self._address(place))

    def drop(self, place):
        """Return what is across a place, not a single element: voltage [V], force [N] or pressure [Pa]."""
        address = self._address(place)
        return lambda solution: solution.across(address)

    def element_flows(self, place):
        """Return what passes through each element of a place, by its name."""
        return {element.name: _through(address) for address, element in self._elements() if element.place == place}

    def losses(self):
        """Return the power that each element turns into heat, by its name. [W]"""
        return {element.name: _heat(address) for address, element in self._elements() if element.dissipates}

    def _address(self, place):
        if place not in self.places:
            raise LookupError(f"this circuit has no {place}")
        return self.places[place]

    def _elements(self):
        inside = addresses(node_at(self.terminals, self.own), self.own)
        return ((address, node) for address, node in inside if isinstance(node, Element))

    def mapped(self, function):
        """Return a copy with `function` applied to every number."""
        return dataclasses.replace(
            self,
            terminals=self.terminals.mapped(function),
            source=self.source.mapped(function),
            voltage=function(self.voltage),
            before=tuple(t.mapped(function) for t in self.before),
            openings=tuple(o.mapped(function) for o in self.openings),
        )


def _through(address):
    return lambda solution: solution.through(address)


def _heat(address):
    return lambda solution: solution.power(address)
