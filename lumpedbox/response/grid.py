"""The frequencies that a response is solved at."""

from __future__ import annotations

import numpy as np

from ..arguments import FREQUENCY, Single, takes
from ..circuit.transfer import risen as risen_by
from ..quantity import Quantity

PER_OCTAVE = Quantity(unit="", meaning="points in an octave", low=0.01, high=1e4)
EDGE = 2 ** (1 / 6)  # from the centre of a third octave to its edge
ROUNDING = 1e-9  # by which an edge may miss the outermost frequency


@takes(low=Single(FREQUENCY), high=Single(FREQUENCY), per_octave=Single(PER_OCTAVE))
def frequencies(low, high, per_octave=48):
    """Return frequencies evenly spaced on a logarithmic scale, both ends included.

    Parameters
    ----------
    low, high : float
        First and last frequency. [Hz]
    per_octave : float
        At least this many per octave. [1]

    Returns
    -------
    array, shape (nf,)
        [Hz]

    Raises
    ------
    ValueError, TypeError
        If the limits are out of order, or an argument is not a single number in its range.

    Examples
    --------
    >>> len(frequencies(20, 200))
    161
    """
    if not low < high:
        raise ValueError(f"frequencies.low must be below high, got {low:g} Hz and {high:g} Hz")
    return np.geomspace(low, high, int(np.ceil(per_octave * np.log2(high / low))) + 1)


def third_octaves(low, high):
    r"""Return the exact centre frequencies of third octaves, shape (n,). [Hz]

    .. math:: f = 1000 \cdot 2^{x/3}

    Parameters
    ----------
    low, high : int
        First and last x, counted from 1 kHz. [1]

    References
    ----------
    IEC 61260 (1995), with octaves of a ratio of 2 (from memory).
    """
    return tuple(float(f) for f in 1000 * 2.0 ** (np.arange(low, high + 1) / 3))


def risen(frequency, middle):
    r"""How far a raised cosine over the octave around a frequency has risen from 0 to 1, shape (..., nf). [1]

    .. math:: \frac12 + \frac12 \sin\left(\pi \log_2 \frac{f}{f_x}\right), \quad
              \frac{f_x}{\sqrt 2} \le f \le \sqrt 2 f_x

    Parameters
    ----------
    frequency : array, shape (nf,)
        [Hz]
    middle : float or array
        Centre of the octave; infinite where it never rises. [Hz]
    """
    with np.errstate(divide="ignore"):
        return risen_by(np.log2(frequency / np.asarray(middle)[..., np.newaxis]))


def runs(true):
    """Return the start of each run of True and the place after its end, shape (n, 2).

    Parameters
    ----------
    true : sequence of bool
    """
    return np.flatnonzero(np.diff(np.concatenate(([0], true, [0])))).reshape(-1, 2)


def check_rows(who, frequency, shape):
    """Refuse frequencies that are neither in one dimension nor a row for each member of a family."""
    members = int(np.prod(shape))
    if frequency.ndim != 1 and (frequency.ndim != 2 or len(frequency) != members):
        wanted = f"(nf,), or ({members}, nf) with a row for each member"
        raise ValueError(f"{who}.frequency must have shape {wanted}, got {frequency.shape}")


def check_within(who, frequency, low, high):
    """Refuse two frequencies that are out of order, or outside the known ones. [Hz]"""
    if not low < high:
        raise ValueError(f"{who}.low must be below {who}.high, got {low:g} Hz and {high:g} Hz")
    lowest, highest = np.min(frequency) * (1 - ROUNDING), np.max(frequency) * (1 + ROUNDING)
    for name, value in (("low", low), ("high", high)):
        if not lowest <= value <= highest:
            known = f"{lowest:.4g} to {highest:.4g} Hz"
            raise ValueError(f"{who}.{name} must lie within the data, {known}, got {value:.4g} Hz")
