"""The round ports that boxes may have: how large, how long, and the room that they take up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...parts.port import (
    CLEAR,
    ENDS,
    bare_hole_area,
    cube_side,
    length_over_area,
    room_of_port,
    round_port_area,
    round_port_length,
)
from .brief import LARGEST_PORT

SMALLEST_PORT = 1e-6  # m2; anything smaller is not a port
NARROWEST = 1 / 50  # of the area of the cone: in a narrower port friction eats the sound (ours)
STEPS = 6  # of Newton's, for the area of a port


@dataclass(frozen=True, slots=True, eq=False)
class Ports:
    """The ports that tune some boxes, one of each size for each box.

    Attributes
    ----------
    length_over_area : array, shape (n,)
        End corrections included. [1/m]
    smallest : array, shape (n,)
        Area of the smallest: at least that of a bare hole. [m2]
    longest : array, shape (n,)
        Area of the longest. [m2]
    widest : array, shape (n,)
        The largest area that the brief allows, between those two. [m2]
    """

    length_over_area: np.ndarray
    smallest: np.ndarray
    longest: np.ndarray
    widest: np.ndarray

    @classmethod
    def that_tune(cls, volume, tuning, driver, brief, air, reach=1.0):
        """Return the ports that tune boxes.

        Parameters
        ----------
        volume, tuning : array, shape (n,)
            Net. [m3], [Hz]
        driver : Driver
        brief : Brief
        air : Air
        reach : float
            If the brief has no longest port: its length and diameter together, over the side of a cube. [1]
        """
        ratio = length_over_area(tuning, volume, air)
        room, clear = (brief.port_length, 0.0) if brief.port_length is not None else (reach * cube_side(volume), CLEAR)
        hole = bare_hole_area(ratio) * (1 + 1e-9)  # else rounding may give a bare hole a length below zero
        smallest = np.maximum(hole, NARROWEST * driver.Sd)
        longest = round_port_area(room, ratio, clear)
        return cls(ratio, smallest, longest, np.clip(brief.port_area, smallest, longest))

    def length(self, area):
        """Return the lengths of ports of some `area`. [m]"""
        return round_port_length(area, self.length_over_area)

    def taken(self, area):
        """Return the room that ports of some `area` take up in the box. [m3]"""
        return room_of_port(area, self.length_over_area)

    def largest_within(self, room):
        """Return the area of the largest port that brief, length and the `room` left allow. [m2]"""
        found = np.minimum(self.widest, LARGEST_PORT)
        large = self.taken(found) > room
        found[large] = _filling(room[large], self.smallest[large], self.length_over_area[large])
        return np.clip(found, SMALLEST_PORT, LARGEST_PORT)

    def slow_enough(self, needed):
        """Return the area of the smallest port at least as large as `needed`, as far as the brief allows. [m2]"""
        return np.maximum(np.minimum(self.widest, needed), SMALLEST_PORT)


def _filling(room, low, ratio):
    r"""Return the area, at least `low`, of the port that takes up all the room, by Newton's steps from above.

    .. math:: V_p = (L'/S)\,S^2 - \Delta S^{3/2}, \quad
              \sqrt S \le \frac{\Delta}{L'/S} + \sqrt[4]{\frac{V_p}{L'/S}}
    """
    room = np.maximum(room, 0.0)
    area = np.square(ENDS / ratio + np.power(room / ratio, 1 / 4))
    for _ in range(STEPS):
        slope = 2 * ratio * area - 1.5 * ENDS * np.sqrt(area)
        area = area - (room_of_port(area, ratio) - room) / slope
    return np.maximum(area, low)
