"""A section through a loudspeaker to scale: driver, port and a box of the right litres, with a tape measure's sizes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import singledispatch

import numpy as np

from ...parts.box import Door, InfiniteBaffle, PassiveRadiatorBox, SealedBox, VentedBox
from ...parts.displacement import COIL, CONE, DEPTH, MOTOR, depth, displacement
from ...parts.port import CLEAR, cube_side, length_over_area, round_port_length
from ...units import mm

# Proportions of the drawn box (ours): whoever builds it is free to choose others for the same litres.
BOARD = 18 * mm
RIM = 1.12  # outer radius of a driver, of its effective radius
TALL = 1.1  # height of the box, of the side of a cube
ABOVE = 50 * mm  # of height beside driver and opening
BESIDE = 20 * mm  # of width beside the widest of them


@dataclass(frozen=True, slots=True, kw_only=True)
class Piston:
    """A cone in its basket, with a motor or without one.

    Attributes
    ----------
    area : float
        [m2]
    depth : float
        How far it reaches behind the panel's face. [m]
    room : float
        What it takes up in a box. [m3]
    travel : float or None
        Linear travel, one way. [m]
    motor : bool
    """

    area: float
    depth: float
    room: float
    travel: float | None
    motor: bool

    @property
    def cone(self):
        """Effective radius. [m]"""
        return float(np.sqrt(self.area / np.pi))

    @property
    def height(self):
        """Diameter of its rim. [m]"""
        return 2 * RIM * self.cone

    across = height  # as a section cuts it, and from side to side
    length = 0.0  # of a tube inside, as a port has one

    def data(self, y):
        """Return what is drawn of it, with its centre at a height over the floor of the box."""
        kind = "driver" if self.motor else "radiator"
        radii = {"rim": self.height / 2, "cone": self.cone, "coil": COIL * self.cone, "motor": MOTOR * self.cone}
        return {"kind": kind, "y": y, **radii, "depth": self.depth, "travel": self.travel, "area": self.area}


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """A port, or several alike side by side.

    Attributes
    ----------
    area : float
        Of all together. [m2]
    height, across : float
        Of one as the section cuts it, and of all from side to side. [m]
    length : float
        [m]
    sides : tuple of float
        The diameter of one, or both sides of a slot. [m]
    count : int
    possible : bool
        Whether a port of that area can tune the box so high.
    called : str
        "port", or the "hole" or "crack" of a door.
    """

    area: float
    height: float
    across: float
    length: float
    sides: tuple
    count: int = 1
    possible: bool = True
    called: str = "port"
    room = 0.0  # that of what is inside is reckoned with the depth

    @property
    def needed(self):
        """Depth that it needs, with the free space behind it. [m]"""
        return self.length + CLEAR * self.height

    def data(self, y):
        """Return what is drawn of it."""
        sizes = {"size": self.height, "length": self.length, "sides": list(self.sides), "area": self.area}
        return {"kind": "port", "y": y, **sizes, "count": self.count, "possible": self.possible, "called": self.called}


def driver_of(driver):
    """Return the piston that a driver is."""
    travel = None if driver.xmax is None else float(driver.xmax)
    sizes = {"depth": float(depth(driver)), "room": float(displacement(driver))}
    return Piston(area=float(driver.Sd), **sizes, travel=travel, motor=True)


@singledispatch
def opening_of(box, air):
    """Return the second opening of a box, or None."""
    raise TypeError(f"no section is known of a {type(box).__name__}")


@opening_of.register
def of_none(box: SealedBox | InfiniteBaffle, air):
    return None


@opening_of.register
def of_radiator(box: PassiveRadiatorBox, air):
    r"""Return the piston that a radiator is: a driver's without the motor.

    .. math:: h = 0.6 \cdot \tfrac12 \cdot 2 r, \quad V = S h \frac{1 + \frac13 + \frac19}{3}
    """
    area = float(box.radiator.Sd)
    reach = CONE * DEPTH * 2 * np.sqrt(area / np.pi)
    travel = None if box.radiator.xmax is None else float(box.radiator.xmax)
    sizes = {"depth": float(reach), "room": float(area * reach * (1 + COIL + COIL**2) / 3)}
    return Piston(area=area, **sizes, travel=travel, motor=False)


@opening_of.register
def of_port(box: VentedBox, air):
    if box.port is None and box.port_area is None:
        return None
    return round_tube(box, air) if box.port is None else tube(box.port)


@opening_of.register
def of_door(box: Door, air):
    """Return the hole as a round one, or the crack as a slot; a door's sheet is as thick as the hole is deep."""
    if not box.opening_area:
        return None
    if box.crack is None:
        diameter = float(2 * np.sqrt(box.hole_area / np.pi))
        sizes = {"height": diameter, "across": diameter, "sides": (diameter,), "called": "hole"}
    else:
        height, length = map(float, box.crack)
        sizes = {"height": height, "across": length, "sides": (length, height), "called": "crack"}
    return Tube(area=float(box.opening_area), length=float(box.hole_depth), **sizes)


def tube(port):
    """Return what a port looks like."""
    count = int(port.count)
    sides = (port.diameter,) if port.diameter is not None else (port.width, port.height)
    sides = tuple(sorted(map(float, sides), reverse=True))
    sizes = {"height": sides[-1], "across": count * sides[0], "length": float(port.length)}
    return Tube(area=float(port.area), **sizes, sides=sides, count=count)


def round_tube(box, air):
    """Return the round port that a box of a tuning and a port area has; a bare hole where there is none."""
    ratio = length_over_area(box.fb * np.sqrt(box.filling), box.volume, air)
    length, diameter = float(round_port_length(box.port_area, ratio)), float(2 * np.sqrt(box.port_area / np.pi))
    sizes = {"height": diameter, "across": diameter, "length": max(length, 0.0)}
    return Tube(area=float(box.port_area), **sizes, sides=(diameter,), possible=length >= 0)


def inner_sizes(volume, driver, opening, deepest=None, longest=None):
    r"""Return height, width and depth of a box inside. [m]

    Parameters
    ----------
    volume : float
        Net volume. [m3]
    driver : Piston
    opening : Piston, Tube or None
    deepest : float, optional
        The depth that there is for it. [m]
    longest : float, optional
        The longest side of a door: it lies across the section. [m]

    Notes
    -----
    Let a be the side of a cube of the net volume. The height is 1.1 a, or what driver and opening need if that is more.
    The width is a, or what they need. The depth follows from the litres: it holds the net volume, and what driver and
    opening take up inside. A port that would fit a cube, or the depth that there is, gets the depth that it needs where
    the width can spare it. A box that would be deeper than there is room gets wider. A door is as wide as its longest
    side, as far as that leaves the driver its depth. It is as high as leaves some room behind the driver (ours).
    """
    side, pistons = float(cube_side(volume)), [one for one in (driver, opening) if one]
    height = max(TALL * side, sum(one.height for one in pistons) + ABOVE)
    least = max(one.across for one in pistons) + BESIDE
    net = volume + sum(one.room for one in pistons)
    inside = max(opening.length - BOARD, 0.0) if opening else 0.0
    taken = net + opening.area * inside if inside else net
    if longest:
        high = sum(one.height for one in pistons) + ABOVE
        height = max(high, min(longest, taken / longest / (driver.depth + BESIDE)))
        width = max(least, min(longest, taken / height / driver.depth))
        return height, width, taken / (height * width)
    width = max(side, least, taken / (height * side))
    if inside and taken / (height * width) < opening.needed <= min(deepest or side, taken / (height * least)):
        width = taken / (height * opening.needed)
    elif deepest:
        width = max(width, taken / (height * deepest))
    if inside > taken / (height * width):  # out of the back: it takes up its area all along the depth
        width = max(side, least, (net / side + opening.area) / height)
        return height, width, net / (height - opening.area / width) / width
    return height, width, taken / (height * width)


def section(loudspeaker, air, deepest=None):
    """Return a section through one loudspeaker: what is drawn, as plain data. [SI]

    Parameters
    ----------
    loudspeaker : Loudspeaker
    air : Air
    deepest : float, optional
        The depth that there is for the box. [m]

    Returns
    -------
    dict
        "box" : None in a large panel, else {"height", "width", "depth", "volume"}: inside, and net.
        "board" : thickness of the panel.
        "driver" : {"kind", "y", "rim", "cone", "coil", "motor", "depth", "travel", "area"}. `y` is the height of its
        centre, `depth` what lies behind the face of the panel, `travel` linear or None, `area` the effective one. The
        others are radii.
        "opening" : None, or the same of a radiator, or of a port {"kind", "y", "size", "length", "sides", "area",
        "count", "possible", "fits"}. `size` and `sides` are of one port, `area` of all.
    """
    box, driver = loudspeaker.box, driver_of(loudspeaker.driver)
    if isinstance(box, InfiniteBaffle):
        return {"box": None, "board": BOARD, "driver": driver.data(driver.height), "opening": None}
    opening = opening_of(box, air)
    longest = box.longest_side if isinstance(box, Door) else None
    height, width, deep = inner_sizes(float(box.volume), driver, opening, deepest, longest)
    free = height - driver.height - (opening.height if opening else 0.0)
    gap = free / (3 if opening else 2)
    sizes = {"height": height, "width": width, "depth": deep, "volume": float(box.volume)}
    drawn = opening and opening.data(height - gap - opening.height / 2)
    if isinstance(opening, Tube):
        drawn["fits"] = opening.called != "port" or bool(opening.needed <= deep * (1 + 1e-9))
    return {"box": sizes, "board": BOARD, "driver": driver.data(gap + driver.height / 2), "opening": drawn}
