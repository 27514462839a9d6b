"""Where a level that is known at some frequencies rises through a target: the search for f3, without any acoustics."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np


class Bracket(NamedTuple):
    """Frequencies around a rising zero, `nan` where there is none, and the excess over the target at both."""

    low: np.ndarray
    high: np.ndarray
    below: np.ndarray
    above: np.ndarray

    @property
    def frequency(self):
        """Frequency of the zero, on a straight line in log f; `nan` where there is none. [Hz]"""
        with np.errstate(all="ignore"):  # a row without a crossing has nothing to find
            return self.low * (self.high / self.low) ** (-self.below / (self.above - self.below))


def rising_zero(frequency, excess, edge, higher):
    """Return the bracket of the highest rising zero below `edge`, or of the first above it where it is negative there.

    Parameters
    ----------
    frequency : array, shape (nf,)
        [Hz]
    excess : array, shape (n, nf)
        [dB]
    edge : float
        [Hz]
    higher : bool or array, shape (n,)
        Whether a zero above the edge counts.
    """
    order, rows = np.argsort(frequency), np.arange(len(excess))
    frequency, excess = frequency[order], excess[:, order]
    rising = (excess[:, :-1] < 0) & (excess[:, 1:] >= 0)
    middle = min(np.searchsorted(frequency, edge), len(frequency) - 1)
    lower, upper = rising[:, :middle], rising[:, middle:]
    higher = higher & (excess[:, middle] < 0) & upper.any(axis=1)
    at = np.where(higher, middle + _first(upper), np.maximum(middle - 1 - _first(lower[:, ::-1]), 0))
    after, none = np.minimum(at + 1, len(frequency) - 1), ~(higher | lower.any(axis=1))
    low, high = (np.where(none, np.nan, frequency[place]) for place in (at, after))
    return Bracket(low, high, excess[rows, at], excess[rows, after])


def _first(found):
    """Return the place of the first True of each row, 0 where there is none."""
    return np.argmax(found, axis=1) if found.shape[1] else np.zeros(len(found), int)


def narrowed(bracket, frequency, excess):
    """Return a bracket so narrow that a straight line in log f errs by some 1e-9.

    Parameters
    ----------
    bracket : Bracket
        Of n rows.
    frequency : array, shape (nf,)
        Those that it was found between. [Hz]
    excess : function
        From frequencies, shape (n, 17), to what the level there is over the target, same shape. [Hz], [dB]
    """
    rows, none = np.arange(len(bracket.low)), np.isnan(bracket.low)
    low, high = np.where(none, 1.0, bracket.low), np.where(none, 2.0, bracket.high)
    below, above = bracket.below, bracket.above
    frequency = np.sort(frequency)
    widest = np.max(frequency[1:] / frequency[:-1], initial=1.01)
    # each turn narrows sixteenfold
    for _ in range(max(1, int(np.ceil(np.log(np.log(widest) / 2e-4) / np.log(16))))):
        points = np.geomspace(low, high, 17, axis=1)
        there = excess(points)
        left = np.clip(np.argmax(there >= 0, axis=1), 1, 16) - 1
        low, high = points[rows, left], points[rows, left + 1]
        below, above = there[rows, left], there[rows, left + 1]
    return Bracket(np.where(none, np.nan, low), high, below, above)
