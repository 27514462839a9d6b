"""What goes into a box: drivers, ports, braces, a terminal cup, a second layer of board."""

from __future__ import annotations

import itertools

import numpy as np

from ..arguments import Row, Single
from ..errors import Refused
from ..parts.driver import Driver
from ..parts.port import Port
from ..quantity import Holds, OneOf, Part, Text, Whole, part, ruled, shown
from .workings.fields import AnyNumber, One, Sides, Words, length_field, measure, one

FLANGE, INNER_FACE = "flange", "inner face"
WINDOW = measure("side of a window", 1e-3, 3.0)
AFTER = measure("centre line from the outer face to the bend", 1e-3, 3.0)
TURN = One(unit="rad", meaning="turn, to the left as positive", low=-np.pi / 2, high=np.pi / 2, slips=())


def _along_field():
    return length_field("centre, along the panel from where its edge starts outside", 0.0, 5.0)


def _across_field():
    return length_field("centre, from the outside of the left cheek", 0.0, 5.0, default=None)


@part
class Seat(Part):
    """A driver in its place.

    Parameters
    ----------
    driver : Driver
        Its `depth`, `cutout` and `displacement` count here.
    panel : str
        That it sits in.
    along : float
        Its middle, along the panel from where the edge starts outside; of a frustum, on the outer face. [m]
    across : float, optional
        Its middle, from the outside of the left cheek, or of a frustum on the outer face; half way if left out. [m]
    magnet : float, optional
        Diameter of the magnet. [m]
    basket : float, optional
        Diameter behind the panel; a millimetre less than the hole if left out. [m]
    breathing : float
        Room to leave behind the magnet (20 mm is common practice, no source). [m]
    printed_from : {"flange", "inner face"}
        Where the printed displacement starts: behind the flange, or behind the board.

    Examples
    --------
    >>> from lumpedbox.tables import demo_drivers
    >>> Seat(driver=demo_drivers()["200 mm bass"], panel="front", along=0.15).breathing
    0.02
    """

    driver: Driver = ruled(Single(Holds((Driver,))))
    panel: str = ruled(Text())
    along: float = _along_field()
    across: float = _across_field()
    magnet: float = length_field("diameter of the magnet", 5e-3, 0.6, default=None)
    basket: float = length_field("diameter behind the panel", 5e-3, 1.0, default=None)
    breathing: float = length_field("room behind the magnet", 0.0, 1.0, default=20e-3)
    printed_from: str = ruled(OneOf((FLANGE, INNER_FACE)), FLANGE)


@part
class PortRun(Part):
    """A port in its place: straight, bent, or a slot along a wall.

    Parameters
    ----------
    port : Port
        One opening; its length is that of the centre line from the outer face. A slot's `height` runs along the
        panel, its `width` across the box.
    panel : str
        That it leaves the box through, square to it unless it runs along a wall.
    along : float
        Its middle, along the panel from where the edge starts outside; of a frustum, on the outer face. [m]
    across : float, optional
        Its middle, from the outside of the left cheek, or of a frustum on the outer face; half way if left out. [m]
    wall : float
        Thickness of its own wall. [m]
    bends : tuple of (float, float)
        Each: the centre line up to the bend, and the turn there, to the left as positive. Bends are mitred and lie in
        the plane of the profile. [m], [rad]
    shares : tuple of str
        Panels that a slot uses as its own walls: one wall beside its panel, along which it runs, and cheeks.

    Examples
    --------
    >>> run = PortRun(port=Port(length=0.28, diameter=0.06), panel="front", along=0.395, wall=0.003)
    >>> run.outer_sides
    (0.066, 0.066)
    """

    port: Port = ruled(Single(Holds((Port,))))
    panel: str = ruled(Text())
    along: float = _along_field()
    across: float = _across_field()
    wall: float = length_field("thickness of the port's own wall", 0.0, 0.06)
    bends: tuple = ruled(AnyNumber(Row((AFTER, TURN), "centre line, turn"), "bends"), ())
    shares: tuple = ruled(Words(), ())

    def _check_together(self):
        if self.port.count != 1:
            raise Refused("PortRun", "port", f"must be one opening, got {self.port.count}", ": give a PortRun for each")
        if self.shares and self.round:
            raise Refused("PortRun", "shares", "is for slots, but this port is round", ": leave it out")
        walls = [name for name in self.shares if not name.endswith("cheek")]
        if self.panel in self.shares or len(walls) > 1 or len(set(self.shares)) < len(self.shares):
            problem = f"must be one wall beside the panel, and cheeks, each once; got {shown(self.shares)}"
            raise Refused("PortRun", "shares", problem)
        places = [0.0, *(after for after, _ in self.bends), self.port.length]
        if any(one >= after for one, after in itertools.pairwise(places)) and self.bends:
            told = ", ".join(f"{place:.4g}" for place in places[1:-1])
            problem = f"must follow each other within the port's length of {self.port.length:.4g} m, got {told} m"
            raise Refused("PortRun", "bends", problem)

    @property
    def round(self):
        """Whether it is a tube."""
        return self.port.diameter is not None

    @property
    def sides(self):
        """Of the opening: along the panel, and across the box. [m]"""
        return (self.port.diameter,) * 2 if self.round else (self.port.height, self.port.width)

    @property
    def outer_sides(self):
        """The same with its own walls. [m]"""
        cheeks = sum(name.endswith("cheek") for name in self.shares)
        along, across = self.sides
        return along + self.wall * (2 - len(self.shares) + cheeks), across + self.wall * (2 - cheeks)

    @property
    def outer_area(self):
        r"""Of its section, with its own walls. [m2]

        .. math:: A = \pi (d + 2 t)^2 / 4 \quad\text{or}\quad (h + 2 t)(w + 2 t)

        A wall that it shares with the box is not counted.
        """
        along, across = self.outer_sides
        return np.pi * along**2 / 4 if self.round else along * across


@part
class Brace(Part):
    r"""Bars or shelves that stiffen a box.

    Parameters
    ----------
    length, breadth, thickness : float
        [m]
    windows : tuple of (float, float)
        Sides of the holes in each. [m]
    count : int
        How many alike.
    panels : tuple of str
        Panels that they are glued to, which they divide into equal fields.

    Examples
    --------
    >>> print(f"{Brace(length=0.3, breadth=0.06, thickness=0.018).volume * 1e3:.3f} litres")
    0.324 litres
    """

    length: float = length_field("length of the brace", 5e-3, 3.0)
    breadth: float = length_field("breadth of the brace", 5e-3, 3.0)
    thickness: float = length_field("thickness of the brace", 1e-3, 0.1)
    windows: tuple = ruled(AnyNumber(Sides("of a window", WINDOW), "windows"), ())
    count: int = ruled(Whole("number of braces", range(1, 33)), 1)
    panels: tuple = ruled(Words(), ())

    def _check_together(self):
        for a, b in self.windows:
            if not (min(a, b) < min(self.length, self.breadth) and max(a, b) < max(self.length, self.breadth)):
                sides = f"{a * 1e3:g} x {b * 1e3:g} mm in a brace of {self.length * 1e3:g} x {self.breadth * 1e3:g} mm"
                raise Refused("Brace", "windows", f"must lie within it, got one of {sides}")
        if self._open >= self.length * self.breadth:
            raise Refused("Brace", "windows", f"take {self._open:.4g} m2, which leaves nothing of the brace")

    @property
    def _open(self):
        return sum(a * b for a, b in self.windows)

    @property
    def volume(self):
        r"""Of all of them. [m3]

        .. math:: V = n\,t\,(l\,b - \sum w_i h_i)
        """
        return self.count * self.thickness * (self.length * self.breadth - self._open)


@part
class Cup(Part):
    """A terminal cup.

    Parameters
    ----------
    volume : float
        That it takes up in the box. [m3]
    panel : str
        That it sits in; empty if that is open.
    """

    volume: float = one("m3", "volume of the terminal cup", 0.0, 0.02, slips=("litre", "cm3"))
    panel: str = ruled(Text(), "")


@part
class Lining(Part):
    """A second layer of board on the inside of a panel, such as a double baffle.

    Parameters
    ----------
    panel : str
    thickness : float
        Of the layer. [m]
    """

    panel: str = ruled(Text())
    thickness: float = length_field("thickness of the layer", 1e-3, 0.06)


@part
class Inside(Part):
    """All that is in a box.

    Parameters
    ----------
    drivers : tuple of Seat
    ports : tuple of PortRun
    others : tuple of Brace, Cup or Lining
    """

    drivers: tuple = ruled(Holds((Seat,), several=True), ())
    ports: tuple = ruled(Holds((PortRun,), several=True), ())
    others: tuple = ruled(Holds((Brace, Cup, Lining), several=True), ())

    def _check_together(self):
        panels = [lining.panel for lining in self.linings]
        twice = [panel for panel in panels if panels.count(panel) > 1]
        if twice:
            problem = f"has two linings on {twice[0]!r}"
            raise Refused("Inside", "others", problem, ": give their thickness together")

    @property
    def braces(self):
        """Every Brace of `others`."""
        return self._of_kind(Brace)

    @property
    def cups(self):
        """Every Cup of `others`."""
        return self._of_kind(Cup)

    @property
    def linings(self):
        """Every Lining of `others`."""
        return self._of_kind(Lining)

    def _of_kind(self, kind):
        return tuple(other for other in self.others if isinstance(other, kind))

    @property
    def layers(self):
        """Thickness of the layers by panel. [m]"""
        return {lining.panel: lining.thickness for lining in self.linings}

    @property
    def panels(self):
        """Each panel that is named in here, with the name of the field."""
        seats = [("drivers", seat.panel) for seat in self.drivers]
        runs = [("ports", name) for run in self.ports for name in (run.panel, *run.shares)]
        cups = [("others", cup.panel) for cup in self.cups if cup.panel]
        braced = [("others", name) for brace in self.braces for name in brace.panels]
        return tuple(seats + runs + cups + braced + [("others", name) for name in self.layers])
