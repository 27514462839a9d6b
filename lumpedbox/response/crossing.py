"""Where a sampled level crosses a target: the search for f3, without any acoustics."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..arguments import FREQUENCY, Axis, Single, takes
from ..quantity import Quantity

DIFFERENCE = Axis(Quantity(unit="dB", meaning="difference of two levels", low=-1000.0, high=1000.0))


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
            return zero_between(self.low, self.high, self.below, self.above)


def zero_between(low, high, at_low, at_high):
    r"""Return where something crosses zero between two frequencies, on a straight line in log f. [Hz]

    .. math:: f = f_1 \left(\frac{f_2}{f_1}\right)^{-e_1 / (e_2 - e_1)}

    Parameters
    ----------
    low, high : float or array
        [Hz]
    at_low, at_high : float or array
        Its values there, of opposite sign, in any unit.
    """
    return low * (high / low) ** (-at_low / (at_high - at_low))


@takes(frequency=Axis(FREQUENCY, rising=True), difference=DIFFERENCE, near=Single(FREQUENCY))
def falling_zero(frequency, difference, near):
    """Return where a level difference falls through zero, nearest to a frequency; `nan` if nowhere. [Hz]

    Parameters
    ----------
    frequency : array, shape (nf,)
        In rising order. [Hz]
    difference : array, shape (nf,)
        [dB]
    near : float
        [Hz]

    Returns
    -------
    float

    Examples
    --------
    >>> print(f"{falling_zero([50, 100, 200], [3, 1, -1], near=100):.1f} Hz")
    141.4 Hz
    """
    if difference.shape != frequency.shape:
        raise ValueError(f"falling_zero.difference must have {frequency.size} values, one for each frequency")
    (before,) = np.nonzero((difference[:-1] >= 0) & (difference[1:] < 0))
    if not len(before):
        return np.nan
    after = before + 1
    found = zero_between(frequency[before], frequency[after], difference[before], difference[after])
    return float(found[np.argmin(np.abs(np.log(found / near)))])


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
    """Return the index of the first True in each row, 0 where there is none."""
    return np.argmax(found, axis=1) if found.shape[1] else np.zeros(len(found), int)


def narrowed(bracket, frequency, excess):
    """Narrow a bracket until a straight line in log f is wrong by only some 1e-9.

    Parameters
    ----------
    bracket : Bracket
        Of n rows.
    frequency : array, shape (nf,)
        The grid that it was found on. [Hz]
    excess : function
        Takes frequencies, shape (n, 17), and returns the level over the target there, same shape. [Hz], [dB]
    """
    rows, none = np.arange(len(bracket.low)), np.isnan(bracket.low)
    low, high = np.where(none, 1.0, bracket.low), np.where(none, 2.0, bracket.high)
    below, above = bracket.below, bracket.above
    frequency = np.sort(frequency)
    widest = np.max(frequency[1:] / frequency[:-1], initial=1.01)
    # each pass narrows it sixteenfold
    for _ in range(max(1, int(np.ceil(np.log(np.log(widest) / 2e-4) / np.log(16))))):
        points = np.geomspace(low, high, 17, axis=1)
        there = excess(points)
        left = np.clip(np.argmax(there >= 0, axis=1), 1, 16) - 1
        low, high = points[rows, left], points[rows, left + 1]
        below, above = there[rows, left], there[rows, left + 1]
    return Bracket(np.where(none, np.nan, low), high, below, above)
