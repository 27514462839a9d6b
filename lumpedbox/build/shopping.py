"""What else to buy for a box, and how to test it for leaks."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from ..arguments import Several, takes
from ..units import inch, mm
from .account import BOX, INSIDE
from .inside import Inside
from .workings.fields import measure
from .workings.sizes import cutout_of
from .workings.slots import sawn_slots

SPACING = 0.15  # m from screw to screw (common practice, no source)
SCREW = (2.0, 2.5)  # length of a screw over the thickness of the board it goes through (common practice, no source)
# Lengths that are sold (common practice, no source): each at most a quarter more than the one before. [m]
SCREWS_IN_MM = tuple(each * mm for each in (16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120))
SCREWS_IN_INCHES = tuple(
    each * inch for each in (0.625, 0.75, 0.875, 1, 1.25, 1.5, 1.75, 2, 2.25, 2.5, 3, 3.5, 4, 4.5, 5)
)
SOLD = Several(measure("length of a screw", 5e-3, 0.3), "lengths of screws in m")
GLUE = 0.2  # kg/m2 of joint (common practice, no source)


class Bought(NamedTuple):
    """A line of the shopping list.

    Attributes
    ----------
    item : str
    amount : float
        In `unit`.
    unit : str
    assumes : str
        What the amount assumes, with `{each}` where its number stands.
    each : float
        That number. [m], [kg/m2]
    """

    item: str
    amount: float
    unit: str
    assumes: str
    each: float = 0.0

    @property
    def assumed(self):
        """What the amount assumes, with its number. [m], [kg/m2]"""
        return self.assumes.format(each=f"{self.each:g} {'kg/m2' if self.unit == 'kg' else 'm'}")


@takes(box=BOX, inside=INSIDE, screws=SOLD)
def shopping_list(box, inside=Inside(), screws=SCREWS_IN_MM):
    """Return screws, glue and sealant for a box. [m]

    Parameters
    ----------
    box : Carcass or Hopper
    inside : Inside
        Its driver's gasket is on the list.
    screws : sequence of float
        Lengths of screws that are sold. [m]

    Returns
    -------
    tuple of Bought
        A length of screw for each thickness of board that one goes through: the longest that is sold of 2 to 2.5
        times it. Battens instead, where none is so short.

    Examples
    --------
    >>> from lumpedbox.build import Board, Hopper
    >>> box = Hopper(bottom=(0.4, 0.4), top=(0.4, 0.4), height=0.3, board=Board(thickness=0.015))
    >>> [f"{line.amount * 1e3:.0f} mm" for line in shopping_list(box) if line.item == "length of a screw"]
    ['35 mm']
    """
    slots = sawn_slots(box, inside).values()
    seams = box.seam_length + sum(slot.seam_length for slot in slots)
    joints = box.seam_length * box.board.thickness + sum(slot.seam_length * slot.run.wall for slot in slots)
    thicknesses = {*(each.thickness for each in box.panels), *(slot.run.wall for slot in slots)}
    bought = [
        *_fastened(thicknesses, seams, screws),
        Bought("wood glue", GLUE * joints, "kg", "{each} on every joint; common practice, no source", GLUE),
        Bought("sealant", seams, "m", "one bead along every inside seam"),
    ]
    if inside.drivers:
        bought.append(Bought("gasket tape", sum(map(_rim, inside.drivers)), "m", "under the frame of each driver"))
    return tuple(bought)


def _fastened(thicknesses, seams, sold):
    """Return the screws, or the battens, that hold the seams of a box and its slots."""
    lengths = {thickness: _screw_through(thickness, sold) for thickness in sorted(thicknesses)}
    if any(lengths.values()):
        number = math.ceil(seams / SPACING)
        yield Bought("screws", number, "pieces", "one every {each} of seam; common practice, no source", SPACING)
    for thickness, length in lengths.items():
        if length is None:
            told = "glued into every seam: board of {each} is too thin for a screw in its edge"
            yield Bought("battens", seams, "m", told, thickness)
        else:
            told = "as sold, 2 to 2.5 times the board of {each} it goes through; common practice, no source"
            yield Bought("length of a screw", length, "m", told, thickness)


def _screw_through(thickness, sold):
    """Return the longest screw that is sold of 2 to 2.5 times the thickness of a board, or None. [m]"""
    low, high = (times * thickness * (1 + sign * 1e-9) for times, sign in zip(SCREW, (-1, 1), strict=True))
    return max((length for length in sold if low <= length <= high), default=None)


def _rim(seat):
    return float(np.pi * cutout_of(seat.driver))


LEAK_TEST = (
    "Let the glue and the sealant dry for a day.",
    "Screw the driver in, close a port with a board and tape, and connect nothing.",
    "Push the cone in gently with flat fingers and hold it. Listen along every seam, and feel with a wet finger.",
    "Let go: a tight box lets the cone back slowly, a leaky one at once. Seal what hisses, and test again.",
)
