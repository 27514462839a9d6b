"""What a meter tells about the source: whether it filters or cuts bass, and where it clips."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import log10
from statistics import median

from ...arguments import Several, Single, takes
from ...quantity import Quantity

TONES = (50.0, 63.0, 80.0, 100.0, 160.0, 315.0)  # Hz
AGAINST = TONES[-1]  # the tone that the others are compared with
ACCURACY, DIGITS, COUNTS = 0.012, 10, 2000  # of a cheap meter on AC: share, last digits, steps (common practice)
HOLDS = (45.0, 400.0)  # Hz, where a cheap meter's AC reading holds (common practice, no source)
FLAT = 3.0  # dB; a smaller droop is called flat: ours
KNEE = 1.0  # dB; where clipping begins is known no better (common practice, no source)
SHRUNK = 0.6  # a step of decibels that is less than this share of the usual one has shrunk: ours
SMALLER = 0.8  # a step of volts that is less than this share of the one before is smaller: ours
VOLTS = Quantity(unit="V", meaning="reading on AC", low=0.0, high=1000.0)
READ = Quantity(unit="V", meaning="reading on AC", low=1e-6, high=1000.0)
LOAD = Single(Quantity(unit="ohm", meaning="rated impedance", low=0.1, high=1000.0))
SCALE = Single(Quantity(unit="V", meaning="range of the meter", low=0.01, high=1000.0))
OUTPUT = 0.2  # ohm, of a head unit's output (common practice, no source)


@takes(volts=Single(READ), scale=SCALE)
def meter_error(volts, scale=20.0):
    r"""Return how far a cheap meter may be off on AC. [dB]

    Parameters
    ----------
    volts : float
        What it reads. [V]
    scale : float
        The range that it is on. [V]

    Notes
    -----
    .. math:: \Delta = 20 \log_{10}\left(1 + 0.012 + \frac{10}{V}\,\frac{V_{range}}{2000}\right)

    1.2 % and ten of the last of 2000 digits (common practice, no source).

    Examples
    --------
    >>> print(f"{meter_error(5.0, 200.0):.1f} dB")
    1.7 dB
    """
    return 20 * log10(1 + ACCURACY + DIGITS * scale / COUNTS / volts)


@dataclass(frozen=True, slots=True)
class Tones:
    """What tones at several volumes tell.

    Attributes
    ----------
    levels : dict
        Volume: {frequency: level against 315 Hz}. [Hz], [dB]
    change : dict
        Frequency: how much the level there changes from the lowest volume to the highest; nothing with one volume.
        [Hz], [dB]
    error : float
        The most that the meter may be off. [dB]
    """

    levels: dict
    change: dict
    error: float

    @property
    def droop(self):
        """The deepest level at the lowest volume, against 315 Hz: frequency and level. [Hz], [dB]"""
        lowest = self.levels[min(self.levels)]
        return min(lowest.items(), key=lambda one: one[1])

    @property
    def cut(self):
        """The largest cut as the volume rises: frequency and level; None with one volume. [Hz], [dB]"""
        return min(self.change.items(), key=lambda one: one[1]) if self.change else None


@takes(scale=SCALE)
def tones(readings, scale=20.0):
    r"""Return what tones across both wires of a loudspeaker tell.

    Parameters
    ----------
    readings : dict
        Volume, as a share of all: {frequency: volts}; 315 Hz among them. [Hz], [V]
    scale : float
        The meter's range. [V]

    Raises
    ------
    ValueError
        If a volume lacks 315 Hz, or a reading is 0.

    Notes
    -----
    .. math:: L(f) = 20 \log_{10} V(f)/V(315), \quad \Delta(f) = L_{high}(f) - L_{low}(f)

    The difference of two volumes at one frequency cancels what the meter itself does there.

    Examples
    --------
    >>> found = tones({1 / 3: {50: 1.0, 315: 1.0}, 3 / 4: {50: 1.0, 315: 4.0}})
    >>> print(f"{found.cut[1]:.0f} dB at {found.cut[0]} Hz")
    -12 dB at 50 Hz
    """
    levels = {}
    for volume, volts in readings.items():
        if AGAINST not in volts:
            raise ValueError("Read 315 Hz too at each volume: the others are compared with it.")
        if min(volts.values()) <= 0:
            raise ValueError("A reading of 0 V tells nothing: choose a lower range, and read again.")
        levels[volume] = {f: 20 * log10(v / volts[AGAINST]) for f, v in volts.items() if f != AGAINST}
    low, high = levels[min(levels)], levels[max(levels)]
    change = {f: high[f] - low[f] for f in low.keys() & high.keys()} if len(levels) > 1 else {}
    least = min(volt for volts in readings.values() for volt in volts.values())
    return Tones(levels, dict(sorted(change.items())), meter_error(least, scale))


@dataclass(frozen=True, slots=True)
class Clipping:
    """The most that a channel gives before it clips.

    Attributes
    ----------
    volts, watts : float
        r.m.s., and into the load. [V], [W]
    found : bool
        Whether the steps were seen to shrink; else this is only what was reached.
    high : float
        How much a reading without the loudspeaker is too high. [dB]
    """

    volts: float
    watts: float
    found: bool
    high: float


@takes(steps=Several(VOLTS, "readings, the lowest first"), load=LOAD)
def clipping(steps, load=4.0):
    r"""Return the volts before clipping, of readings as the volume is stepped up. [V]

    Parameters
    ----------
    steps : sequence of float
        In rising order; one reading is taken as it is. [V]
    load : float
        Rated impedance of the loudspeaker. [ohm]

    Raises
    ------
    ValueError
        If the readings fall.

    Notes
    -----
    Taken is the last reading before the first step that is smaller both ways (ours). In decibels that is less than
    0.6 of the median of those before; in volts, less than 0.8 of the one before. Even steps of volts are ever smaller
    ones of decibels, and nothing clips. Even steps of decibels are ever larger ones of volts.

    .. math:: P = V^2 / R, \quad \Delta = 20 \log_{10} (1 + 0.2 / R)

    Examples
    --------
    >>> print(f"{clipping([9.1]).watts:.1f} W")
    20.7 W
    """
    volts = list(steps)
    if any(b < a for a, b in itertools.pairwise(volts)):
        raise ValueError("These volts fall as the volume rises: write them from the lowest step to the highest.")
    if min(volts) <= 0:
        raise ValueError("A reading of 0 V tells nothing: did the source mute because the loudspeaker is unplugged?")
    rises = [20 * log10(b / a) for a, b in itertools.pairwise(volts)]
    volts_more = [b - a for a, b in itertools.pairwise(volts)]
    smaller = [n for n in range(1, len(rises)) if volts_more[n] < SMALLER * volts_more[n - 1]]
    knee = next((n for n in smaller if rises[n] < SHRUNK * median(rises[:n])), None)
    most = volts[-1] if knee is None else volts[knee]
    return Clipping(most, most**2 / load, knee is not None, 20 * log10(1 + OUTPUT / load))
