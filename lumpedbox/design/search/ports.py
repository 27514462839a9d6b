"""The round ports that boxes may have: how large, how long, and the room that they take up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...parts.port import (
    CLEAR,
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
HALVINGS = 40  # of the range of a port's area


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
        found[large] = _filling(room[large], self.smallest[large], found[large], self.length_over_area[large])
        return np.clip(found, SMALLEST_PORT, LARGEST_PORT)

    def slow_enough(self, needed):
        """Return the area of the smallest port at least as large as `needed`, as far as the brief allows. [m2]"""
        return np.maximum(np.minimum(self.widest, needed), SMALLEST_PORT)


def _filling(room, low, high, ratio):
    """Return the area, between two, of the port that takes up all the room, by halving."""
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        fits = room_of_port(middle, ratio) <= room
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    return low
