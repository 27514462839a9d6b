"""What one asks of a response, and the frequencies to ask at."""

from __future__ import annotations

import numpy as np

from ..quantity import Quantity, frozen

FREQUENCY = Quantity(unit="Hz", meaning="frequency", low=1e-3, high=1e6)
VOLTAGE = Quantity(unit="V", meaning="r.m.s. EMF of the channel", low=1e-9, high=1e4)
DISTANCE = Quantity(unit="m", meaning="distance to the listener", low=0.01, high=1e3, slips=("cm", "mm"))
PER_OCTAVE = Quantity(unit="", meaning="points in an octave", low=0.01, high=1e4)


def frequencies(low, high, per_octave=48):
    """Return frequencies evenly spaced on a logarithmic scale, both ends included.

    Parameters
    ----------
    low, high : float
        First and last frequency. [Hz]
    per_octave : float
        At least so many per octave. [1]

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
    low, high = FREQUENCY.single("frequencies", "low", low), FREQUENCY.single("frequencies", "high", high)
    per_octave = PER_OCTAVE.single("frequencies", "per_octave", per_octave)
    if not low < high:
        raise ValueError(f"frequencies.low must be below high, got {low:g} Hz and {high:g} Hz")
    return np.geomspace(low, high, int(np.ceil(per_octave * np.log2(high / low))) + 1)


def checked_frequency(frequency):
    """Return frequencies as a read-only array of shape (nf,). [Hz]"""
    array = np.atleast_1d(FREQUENCY.accept("solve", "frequency", frequency))
    if array.ndim != 1:
        raise ValueError(f"solve.frequency must be one-dimensional in Hz, got shape {array.shape}")
    return frozen(array)
