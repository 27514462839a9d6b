"""Dips that a cabin's resonances cut into the level, and how far the head must move to lose one."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..parts.room import apart, reaches
from .grid import ROUNDING
from .openings import heard_apertures
from .solving import solve

SHALLOWEST = 3.0  # dB, of a dip that is told: ours
USED_FROM, USED_TO = 20.0, 160.0  # Hz: a bass box plays up to an octave above the 80 Hz of a usual crossover; ours
REACH = 1.0  # octaves from the bottom of a dip in which its sides are looked for: ours
LEFT_OVER = 0.5  # of the depth of the deepest dip, where a move of the head counts as a way out: ours
STEP, FARTHEST = 0.05, 0.6  # m that a head is moved by, and at most: ours
CLEAR = 0.3  # m between a head and an opening, at least: ours
WAYS = {"back": (1, 0), "forward": (-1, 0), "to the right": (0, 1), "to the left": (0, -1)}  # of x and y


@dataclass(frozen=True, slots=True)
class Dip:
    """A dip of the level at an ear.

    Attributes
    ----------
    frequency : float
        Of its bottom. [Hz]
    depth : float
        Below the lower one of its two sides. [dB]
    """

    frequency: float
    depth: float


def dips(frequency, level, least=SHALLOWEST):
    r"""Return the dips of a level, in rising frequency.

    .. math:: d(f) = \min\left(\max_{f_l < f' < f} L(f'),\ \max_{f < f' < f_r} L(f')\right) - L(f)

    at each lowest point :math:`f`. Its sides reach to the next lower level, or an octave far: from :math:`f_l` to
    :math:`f_r`.

    Parameters
    ----------
    frequency, level : array, shape (nf,)
        [Hz], [dB]
    least : float
        How deep a dip must be. [dB]

    Returns
    -------
    tuple of Dip
    """
    lowest = np.flatnonzero((level[1:-1] < level[:-2]) & (level[1:-1] <= level[2:])) + 1
    found = (Dip(float(frequency[place]), _depth(frequency, level, place)) for place in lowest)
    return tuple(dip for dip in found if dip.depth >= least)


def _depth(frequency, level, place):
    """Return how far the level lies below the lower one of the two sides of a place. [dB]"""
    octaves, lower = np.log2(frequency / frequency[place]), np.cumsum(level < level[place])
    near = (lower == lower[place]) & (np.abs(octaves) <= REACH * (1 + ROUNDING))
    return float(min(level[near & side].max() for side in (octaves <= 0, octaves >= 0)) - level[place])


def deepest(found):
    """Return the deepest of some dips, or None."""
    return max(found, key=lambda dip: dip.depth, default=None)


def dips_of(response):
    """Return the dips at the ear in the band that a bass box is used for, up to where resonances crowd.

    Parameters
    ----------
    response : Response
        Of one loudspeaker in a cabin by its resonances; from an octave below that band to an octave above it.

    Returns
    -------
    tuple of Dip
    """
    return _in_use(response, response.level, SHALLOWEST)


def _in_use(response, level, least):
    end = min(USED_TO, float(response.loudspeaker.cabin.modal_limit))
    return tuple(dip for dip in dips(response.frequency, level, least) if USED_FROM <= dip.frequency <= end)


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


def way_out(response):
    """Return the shortest move of the head, level and along an axis, that leaves no dip half as deep, or None.

    Parameters
    ----------
    response : Response
        As for `dips_of`.

    Returns
    -------
    HeadMove or None
        Of at most 0.6 m, in steps of 0.05 m (ours); None too where there is no dip.
    """
    worst, speaker = deepest(dips_of(response)), response.loudspeaker
    openings = heard_apertures(response)
    moves = [move for move in _moves(speaker.cabin) if all(_clear(speaker, o, move.ear) for o in openings)]
    if not moves or worst is None:
        return None
    left = zip(moves, _left(response, moves), strict=True)
    return next((move for move, depth in left if depth <= LEFT_OVER * worst.depth), None)


def _left(response, moves):
    """Yield how deep the deepest dip is after each move of the head; 0 if there is none. [dB]"""
    ears = tuple(np.array([move.ear[axis] for move in moves]) for axis in range(3))
    speaker = response.loudspeaker
    moved = replace(speaker, cabin=replace(speaker.cabin, ear=ears))
    for level in solve(moved, response.frequency, response.voltage).level:
        yield max((dip.depth for dip in _in_use(response, level, least=0.0)), default=0.0)


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
