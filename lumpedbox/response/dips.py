"""Dips that a cabin's resonances cut into the level, and how far the head must move to lose one."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..parts.room import apart, reaches
from .grid import runs
from .openings import heard_apertures
from .solving import solve

DEEP = 6.0  # dB below what stands on both sides, for a dip that is heard: ours
LEFT_OVER = 3.0  # dB of a dip that may be left where it is called gone: ours
STEP, FARTHEST = 0.05, 0.6  # m that a head is moved by, and at most: ours
CLEAR = 0.3  # m between a head and an opening, at least: ours
WAYS = {"back": (1, 0), "forward": (-1, 0), "to the right": (0, 1), "to the left": (0, -1)}  # of x and y


@dataclass(frozen=True, slots=True)
class Dip:
    """A dip of a level.

    Attributes
    ----------
    frequency : float
        [Hz]
    depth : float
        Below the lower one of the highest levels on either side. [dB]
    """

    frequency: float
    depth: float


def first_dip(frequency, level, least=DEEP):
    r"""Return the dip of the lowest frequency that is deep enough, or None.

    .. math:: d(f) = \min\left(\max_{f' < f} L(f'),\ \max_{f' > f} L(f')\right) - L(f)

    Parameters
    ----------
    frequency, level : array, shape (nf,)
        [Hz], [dB]
    least : float
        How deep it must be. [dB]

    Returns
    -------
    Dip or None
    """
    depth = filled(level) - level
    for first, end in runs(depth >= least):
        place = first + int(np.argmax(depth[first:end]))
        return Dip(float(frequency[place]), float(depth[place]))
    return None


def filled(level):
    r"""Return a level with its dips filled, up to the lower one of the highest levels on either side. [dB]

    .. math:: \min\left(\max_{f' \le f} L(f'),\ \max_{f' \ge f} L(f')\right)

    Parameters
    ----------
    level : array, shape (nf,)
        In rising frequency. [dB]
    """
    return np.minimum(np.maximum.accumulate(level), np.maximum.accumulate(level[::-1])[::-1])


@dataclass(frozen=True, slots=True)
class HeadMove:
    """How a head is moved.

    Attributes
    ----------
    way : str
        One of `WAYS`.
    distance : float
        [m]
    ear : tuple of float
        Where the ear is then: x, y, z. [m]
    """

    way: str
    distance: float
    ear: tuple


def way_out(loudspeaker, dip):
    """Return the shortest move of the head, level and along an axis, that loses a dip; None where none does.

    Parameters
    ----------
    loudspeaker : Loudspeaker
        In a cabin by its resonances, with an ear.
    dip : Dip
        It is lost where its frequency comes up by all but 3 dB of its depth (ours).

    Returns
    -------
    HeadMove or None
        Of at most 0.6 m, in steps of 0.05 m (ours).
    """
    openings = heard_apertures(solve(loudspeaker, dip.frequency))
    moves = [move for move in _moves(loudspeaker.cabin) if all(_clear(loudspeaker, o, move.ear) for o in openings)]
    if not moves:
        return None
    here = loudspeaker.cabin.ear
    ears = tuple(np.array([here[axis], *(move.ear[axis] for move in moves)]) for axis in range(3))
    heard = replace(loudspeaker, cabin=replace(loudspeaker.cabin, ear=ears))
    level = solve(heard, dip.frequency).level[:, 0]
    return next((m for m, new in zip(moves, level[1:], strict=True) if new - level[0] >= dip.depth - LEFT_OVER), None)


def _moves(cabin):
    """Yield the moves that stay in the cabin, the shortest first."""
    x, y, z = cabin.ear
    for number in range(1, round(FARTHEST / STEP) + 1):
        distance = number * STEP
        for way, (along, across) in WAYS.items():
            ear = (x + along * distance, y + across * distance, z)
            if 0 <= ear[0] <= cabin.length and 0 <= ear[1] <= cabin.width:
                yield HeadMove(way, distance, ear)


def _clear(loudspeaker, opening, ear):
    """Whether a head, and all places that the ear is averaged over, stay clear of an opening."""
    return apart(opening.place, ear) >= CLEAR and not reaches(loudspeaker.cabin, opening.place, ear, opening.width)
