"""The list that one takes to the saw: parts, tilts, and the order of the work."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ..arguments import Single, takes
from ..errors import Refused
from ..quantity import Holds
from .account import BOX, INSIDE, net_account
from .acoustic import acoustic_box
from .board import Board
from .carcass import CHEEKS, LEFT, RIGHT, Carcass
from .inside import Inside
from .panel import SAWN_SQUARE, End
from .profile import Profile
from .workings.fields import measure
from .workings.linings import fitted_layers
from .workings.placing import against
from .workings.sizes import check_panels
from .workings.slots import THINNEST, sawn_slots

ROUND_TO = measure("what lengths are rounded to", 1e-5, 0.02)
MILLIMETRE = 1e-3


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CutPart:
    """One line of the cut list.

    Attributes
    ----------
    name : str
    count : int
        How many alike.
    board : Board
    length, breadth : float
        From long point to long point, rounded. [m]
    start, end : End
        How the ends of its length are sawn.
    sides : tuple of End
        The same of its breadth.
    outline : array, shape (n, 2)
        Corners of the outer face in its blank, rounded. [m]
    glued : int
        Its turn when the box is glued, from 1.
    """

    name: str
    count: int = 1
    board: Board
    length: float
    breadth: float
    start: End = SAWN_SQUARE
    end: End = SAWN_SQUARE
    sides: tuple = (SAWN_SQUARE, SAWN_SQUARE)
    outline: np.ndarray
    glued: int = 0

    @property
    def thickness(self):
        """[m]"""
        return self.board.thickness

    @property
    def tilts(self):
        """Of the saw at its start, its end, and its two sides. [rad]"""
        return tuple(end.tilt for end in (self.start, self.end, *self.sides))

    @property
    def is_rectangle(self):
        """Whether its outer face has four square corners."""
        return len(self.outline) == 4 and all(
            min(abs(x - end) for end in (self.outline[:, axis].min(), self.outline[:, axis].max())) < 1e-9
            for corner in self.outline
            for axis, x in enumerate(corner)
        )


class Restated(NamedTuple):
    """What rounding makes of a box.

    Attributes
    ----------
    box : Carcass or Hopper
        As it is sawn.
    inside : Inside
        Its ports as they are sawn.
    net, drawn_net : float
        Net volume as sawn, and as drawn. [m3]
    tuning, drawn_tuning : float or None
        Of a vented box. [Hz]
    """

    box: object
    inside: Inside
    net: float
    drawn_net: float
    tuning: float | None
    drawn_tuning: float | None


@takes(box=BOX, round_to=ROUND_TO)
def as_sawn(box, round_to=MILLIMETRE):
    """Return the box with its lengths rounded: the corners of the cheeks, and the breadth between them. [m]

    Parameters
    ----------
    box : Carcass or Hopper
    round_to : float
        A millimetre, or a sixteenth of an inch. [m]

    Returns
    -------
    Carcass or Hopper
        The outline of the cheeks is master: the other panels follow from it.
    """

    def grid(lengths):
        return (np.round(np.asarray(lengths) / round_to) * round_to).tolist()

    if isinstance(box, Carcass):
        points = grid(box.profile.points)
        profile = Profile(points=points, names=box.profile.names, closing_gap=box.profile.closing_gap)
        return dataclasses.replace(box, profile=profile, width=box.width + grid(box.clear_width) - box.clear_width)
    return dataclasses.replace(box, bottom=grid(box.bottom), top=grid(box.top), height=grid(box.height))


@takes(box=BOX, inside=INSIDE, round_to=ROUND_TO)
def restated(box, inside, round_to=MILLIMETRE):
    """Return litres and tuning as the rounded parts make them. [m3], [Hz]

    Parameters
    ----------
    box : Carcass or Hopper
    inside : Inside
    round_to : float
        [m]

    Returns
    -------
    Restated
    """
    sawn = as_sawn(box, round_to)
    both = (sawn, _ports_as_sawn(sawn, box, inside, round_to)), (box, inside)
    tunings = [float(acoustic_box(*each).tuning()) if inside.ports else None for each in both]
    return Restated(*both[0], *(net_account(*each).sum for each in both), *tunings)


def _ports_as_sawn(sawn, box, inside, round_to):
    """Return what is inside with the lengths of its ports rounded, its slots still on their walls.

    None becomes shorter than its board is thick.
    """
    sawn, box = sawn.with_layers(inside.layers), box.with_layers(inside.layers)
    ports = []
    for run in inside.ports:
        length = max(_grid(run.port.length, round_to), min(run.port.length, sawn.thickness_of(run.panel)))
        along = run.along + sum(
            against(sawn, run.panel, wall, run.port.height) - against(box, run.panel, wall, run.port.height)
            for wall in run.shares
            if not wall.endswith("cheek")
        )
        ports.append(dataclasses.replace(run, along=along, port=dataclasses.replace(run.port, length=length)))
    return dataclasses.replace(inside, ports=ports)


@takes(box=BOX, round_to=ROUND_TO, inside=Single(Holds((Inside,))))
def cut_list(box, round_to=MILLIMETRE, inside=Inside()):
    """Return the parts of a box as they are sawn, in the order in which they are glued. [m]

    Parameters
    ----------
    box : Carcass or Hopper
    round_to : float
        A millimetre, or a sixteenth of an inch. [m]
    inside : Inside
        Its braces, second layers and the boards of its slots are cut too. In a bent slot they are numbered from the
        panel on; left and right are as one goes in, seen in the profile.

    Returns
    -------
    tuple of CutPart
        Like cheeks are one line.

    Examples
    --------
    >>> from lumpedbox.build import Board, Profile
    >>> wedge = Profile(points=((0, 0), (0.3, 0), (0.2, 0.4), (0, 0.4)), names=("floor", "front", "top", "back"))
    >>> for part in cut_list(Carcass(profile=wedge, width=0.4, board=Board(thickness=0.018))):
    ...     tilts = [f"{np.rad2deg(tilt):.0f}" for tilt in part.tilts[:2]]
    ...     print(part.count, part.name, f"{part.length * 1e3:.0f} x {part.breadth * 1e3:.0f}", *tilts)
    2 cheek 300 x 400 0 0
    1 floor 300 x 364 0 14
    1 front 398 x 364 14 14
    1 top 186 x 364 14 0
    1 back 364 x 364 0 0
    """
    check_panels(box, inside)
    sawn = as_sawn(box, round_to)
    if inside.layers and not isinstance(box, Carcass):
        raise Refused("cut_list", "inside", "has a second layer in a frustum, which is not drawn yet")
    parts = {panel.name: _part(panel, round_to) for panel in (*sawn.panels, *fitted_layers(sawn, inside.layers))}
    parts |= dict(zip(_brace_names(inside), (_brace(brace, round_to) for brace in inside.braces), strict=True))
    parts |= {name: _slot_board(name, strip, round_to) for name, strip in _slot_boards(sawn, inside).items()}
    sequence = gluing_sequence(sawn, inside)
    if isinstance(box, Carcass) and parts[LEFT].board == parts[RIGHT].board:
        parts[LEFT] = dataclasses.replace(parts[LEFT], name="cheek", count=2)
        del parts[RIGHT]
    turns = {name: turn for turn, name in enumerate(sequence, start=1)}
    return tuple(dataclasses.replace(parts[name], glued=turns[name]) for name in sequence if name in parts)


def _brace_names(inside):
    return [f"brace {i + 1}" if len(inside.braces) > 1 else "brace" for i in range(len(inside.braces))]


def _grid(value, round_to):
    return float(round(value / round_to) * round_to)


def _part(panel, round_to):
    low = np.minimum(panel.outer.min(axis=0), panel.inner.min(axis=0))
    return CutPart(
        name=panel.name,
        board=panel.board,
        length=_grid(panel.length, round_to),
        breadth=_grid(panel.breadth, round_to),
        start=panel.start,
        end=panel.end,
        sides=panel.sides,
        outline=np.round((panel.outer - low) / round_to) * round_to,
    )


def _brace(brace, round_to):
    sides = [_grid(side, round_to) for side in (brace.length, brace.breadth)]
    return CutPart(name="brace", count=brace.count, **_rectangle(*sides, brace.thickness))


def _rectangle(length, breadth, thickness):
    outline = np.array([[0.0, 0.0], [length, 0.0], [length, breadth], [0.0, breadth]])
    return {"board": Board(thickness=thickness), "length": length, "breadth": breadth, "outline": outline}


def _slot_boards(box, inside):
    """Return the boards that are a slot's own walls, as a `Strip` by name."""
    return {
        f"{each.name} of port {number}": each
        for number, slot in sawn_slots(box, inside).items()
        for each in slot.boards
        if max(each.lengths) > THINNEST
    }


def _slot_board(name, strip, round_to):
    """Return a board of a slot as it is sawn.

    The outer face of a shelf is that in the slot: its ends tilt. A side has its ends cut aslant; its lower side lies on
    the wall that the slot runs along.
    """
    low, high = min(strip.lower[0], strip.upper[0]), max(strip.lower[1], strip.upper[1])
    other = strip.upper if strip.is_side else strip.lower
    thickness, breadth = (strip.deep, strip.high) if strip.is_side else (strip.high, strip.deep)
    part = _rectangle(_grid(high - low, round_to), _grid(breadth, round_to), thickness)
    part["outline"][:, 0] = [_grid(each - low, round_to) for each in (*strip.lower, *other[::-1])]
    start, end = strip.ends
    return CutPart(name=name, count=strip.count, start=start, end=end, **part)


@takes(box=BOX, inside=INSIDE)
def gluing_sequence(box, inside=Inside()):
    """Return the names of the parts in the order in which they are glued.

    Parameters
    ----------
    box : Carcass or Hopper
    inside : Inside
        Second layers, braces and walls of slots go in before the box is closed.

    Returns
    -------
    tuple of str
        A carcass is built up on its left cheek, closed with the right one, and then gets the panels that cover the
        cheeks. A frustum starts with the panel that covers most, and is closed with the one that all others cover.
    """
    within = (*(f"second layer on {name}" for name in inside.layers), *_brace_names(inside), *_slot_boards(box, inside))
    if not isinstance(box, Carcass):
        return (*box.sequence[:-1], *within, box.sequence[-1])
    at = box.sequence.index(CHEEKS)
    return (LEFT, *box.sequence[at + 1 :], *within, RIGHT, *box.sequence[:at])
