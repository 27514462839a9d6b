"""Lower frequency limits: where the level falls under that of the pass-band."""

from __future__ import annotations

import numpy as np

from ..circuit.solver import Solution, computed
from .crossing import narrowed, rising_zero
from .level import pressure_level
from .passband import CABIN_BAND, TILT


def cutoff(response, drop, refine=True):
    """Return the highest frequency below the reference band at which the level rises through a drop under it. [Hz]"""
    target = np.asarray(response.reference_level - drop)[..., np.newaxis]
    target = np.broadcast_to(target, (*response.shape, 1)).reshape(-1, 1)

    def excess(points):
        return _levels_at(response, points).reshape(len(target), -1) - target

    frequency, level = _with_edge(response, len(target))
    found = rising_zero(frequency, level - target, CABIN_BAND[0], _may_begin_higher(response))
    found = narrowed(found, frequency, excess) if refine else found
    return found.frequency.reshape(response.shape)[()]


def _levels_at(response, frequency):
    """Level at other frequencies than were asked for: shape (nf,), or (n, nf) with a row for each member."""
    return pressure_level(computed(response.circuit, 2j * np.pi * frequency, Solution.pressure))


def _with_edge(response, members):
    """Return the frequencies asked for and the levels there, with that at the edge of `CABIN_BAND` among them."""
    frequency, edge = response.frequency, CABIN_BAND[0]
    level = np.broadcast_to(response.level, (*response.shape, len(frequency))).reshape(members, -1)
    if edge in frequency or not frequency.min() < edge < frequency.max():
        return frequency, level
    there = np.broadcast_to(_levels_at(response, np.array([edge])), (*response.shape, 1)).reshape(members, 1)
    return np.append(frequency, edge), np.hstack([level, there])


def _may_begin_higher(response):
    """Whether f3 may lie above 100 Hz: not where the reference itself is made of a sloping level there."""
    return response.loudspeaker.cabin is None and np.broadcast_to(response.filter_tilt <= TILT, response.shape).ravel()


def cutoff_in_words(response, drop):
    """Say where the level of a single loudspeaker falls by a drop, or why that cannot be said."""
    found, edge, lowest = response.cutoff(drop), CABIN_BAND[0], response.frequency.min()
    below = f"{drop:.3g} dB under the reference level"
    if np.isfinite(found):
        return f"{below} at {found:.4g} Hz."
    target = response.reference_level - drop
    if response.level.max() < target:
        span = f"{lowest:.4g} to {response.frequency.max():.4g} Hz"
        return f"From {span} the level never comes within {drop:.3g} dB of the reference level."
    if response.level[np.argmin(response.frequency)] < target:
        return f"The level is not up by {edge:g} Hz, where the band that it is counted from begins."
    if lowest >= edge:
        return f"Look below {edge:g} Hz, where the band that the reference level is counted from begins."
    return f"From {lowest:.4g} to {edge:g} Hz the level never rises through {below}: look lower down."
