"""What several solved channels make together at the ear, and how loud they play before something gives."""

from __future__ import annotations

import functools
import itertools

import numpy as np

from ..arguments import FREQUENCY as FREQUENCY_RULE
from ..arguments import Row
from ..design.level_matching import GRID, HIGH_BAND, LOW_BAND
from ..errors import Refused
from ..parts.amplifier import Amplifier
from ..parts.small_signal import REFERENCE_PRESSURE
from ..response.grid import risen
from ..response.heard_together import level_of_sum
from ..response.level import power_level
from .solved import FREQUENCY, PLAYED, passed, solved

BASS = (40.0, 80.0)  # Hz
THINNEST = -6.0  # dB; with less treble against the bass no level is turned up any further
STEPS = (1.0, 2.0, 3.0, 4.0, 6.0, 12.0)  # dB, in which levels are tried: the finest that `TRIALS` allow
TRIALS = 5000
ALIKE = 1e-9  # dB
CIRCUIT, TREBLE = 0, 1  # how levels are counted: by the circuit up to 315 Hz, or as `band_levels` does


class PlayedBand:
    """Two edges of a band in which music plays. [Hz]"""

    edges = Row((FREQUENCY_RULE, FREQUENCY_RULE), "low and high edge in Hz")

    def accept(self, owner, name, value):
        low, high = self.edges.accept(owner, name, value)
        if not GRID[0] * (1 - ALIKE) <= low < high <= GRID[-1] * (1 + ALIKE):
            bounds = f"must rise within {GRID[0]:g} to {GRID[-1]:g} Hz"
            raise Refused(owner, name, f"{bounds}, got {low:g} and {high:g} Hz")
        return low, high


class Together:
    """Channels at the ear, each at one volt ahead of its filters.

    Attributes
    ----------
    lines : tuple of Line
        Those that play.
    solved, passed : list
        Each channel as it is solved, and what its filters make of one volt.
    modal_limit : float
        Frequency above which phases between loudspeakers mean nothing. [Hz]
    """

    def __init__(self, lines, ear, cabin):
        self.lines = lines
        self.modal_limit = np.inf if cabin is None else cabin.modal_limit
        self.solved = [solved(line, ear) for line in lines]
        self.passed = [passed(line) for line in lines]

    @functools.cached_property
    def pressures(self):
        """Of each channel, its loudspeakers summed: by the circuit, and as `band_levels` counts. [Pa/V], (2, n, nf)"""
        return np.array([[h * each.sum(axis=0) for h, each in self._each(which)] for which in (CIRCUIT, TREBLE)])

    @functools.cached_property
    def powers(self):
        """The same, of their squares. [Pa2/V2], shape (2, n, nf)"""
        squared = [[(np.abs(h) ** 2) * np.sum(np.abs(each) ** 2, axis=0) for h, each in self._each(w)] for w in (0, 1)]
        return np.array(squared)

    def _each(self, which):
        """Return what each channel's filters make of one volt, and the pressures of its loudspeakers, for each."""
        return [(h, (s.pressures, s.treble)[which]) for h, s in zip(self.passed, self.solved, strict=True)]

    @functools.cached_property
    def coherent(self):
        """How far phases between loudspeakers count, shape (nf,). [1]"""
        return 1 - risen(FREQUENCY, self.modal_limit)

    @functools.cached_property
    def limits(self):
        """(Who, limit): number of the channel, and volts of the source that reach the limit where music plays. [V]"""
        return {
            key: (number, volts[PLAYED] / np.abs(h[PLAYED]))
            for number, (h, s) in enumerate(zip(self.passed, self.solved, strict=True))
            for key, volts in s.limits.items()
        }

    @functools.cached_property
    def least(self):
        """Least volts of the source at which something on each channel gives. [V], shape (channels,)"""
        least = np.full(len(self.lines), np.inf)
        for number, volts in self.limits.values():
            least[number] = min(least[number], volts.min())
        return least

    def level(self, gains):
        """Level at the ear for one volt, with each channel turned up by a factor. [dB re 20 uPa], shape (nf,)"""
        pressure, power = gains @ self.pressures[CIRCUIT], np.square(gains) @ self.powers[CIRCUIT]
        return level_of_sum(pressure, power, FREQUENCY, self.modal_limit)

    def squares(self, band, which):
        r"""Return what the mean square over a band is made of, as a matrix M: it is g M g for gains g. [1]

        .. math:: M_{kl} = \overline{\gamma\,\mathrm{Re}(p_k p_l^*) + \delta_{kl} (1 - \gamma) \sum |p_i|^2} / p_0^2
        """
        inside = np.flatnonzero(within(FREQUENCY[PLAYED], band)) + PLAYED.start
        p, share = self.pressures[which][:, inside], self.coherent[inside]
        together = np.real((p * share) @ p.conj().T) + np.diag(self.powers[which][:, inside] @ (1 - share))
        return together / len(inside) / REFERENCE_PRESSURE**2

    def drive(self, gains):
        """Highest common drive at which nothing gives where music plays. [V]"""
        return np.min(self.least / gains, axis=-1, initial=np.inf)

    def ceiling(self, gains):
        """Highest common drive at each frequency by itself. [V], shape (nf,)"""
        most = [
            np.min([volts for volts in s.limits.values()], axis=0, initial=np.inf) / (np.abs(h) * gain)
            for h, s, gain in zip(self.passed, self.solved, gains, strict=True)
        ]
        return np.min(most, axis=0)

    def clean(self, gains, band=BASS):
        """Level of the mean square over a band at that drive, for rows of gains. [dB re 20 uPa]"""
        return 20 * np.log10(self.drive(gains)) + _square_level(gains, self.squares(band, CIRCUIT))

    def gives(self, gains):
        """Return what gives first at that drive, whose limit it is, and at which frequency. [Hz]"""
        if not np.isfinite(self.drive(gains)):
            return "", "", np.nan
        who, what = min(self.limits, key=lambda key: self._reached(key, gains))
        _, volts = self.limits[who, what]
        return what, who, float(FREQUENCY[PLAYED][np.argmin(volts)])

    def _reached(self, key, gains):
        number, volts = self.limits[key]
        return volts.min() / gains[number]

    def mean(self, gains, band):
        """Level of the mean square over a band for one volt, for rows of gains. [dB re 20 uPa]"""
        return _square_level(gains, self.squares(band, TREBLE))

    def thinness(self, gains):
        """Treble against bass, for rows of gains. [dB]"""
        return self.mean(gains, HIGH_BAND) - self.mean(gains, LOW_BAND)

    def best_gains(self, levels, band=BASS):
        """Return the gain of each channel at which the band plays loudest without thinness under `THINNEST`.

        An amplifier's channels may be turned up, alike where they are alike, unless their level is fixed by a filter.
        """
        groups = self._groups()
        flat = np.ones(len(self.lines))
        if not groups or not np.isfinite(self.least).any():
            return flat
        trials = np.array(sorted(itertools.product(_steps(levels, len(groups)), repeat=len(groups)), key=sum))
        decibels = np.zeros((len(trials), len(self.lines)))
        for column, group in enumerate(groups):
            decibels[:, group] = trials[:, [column]]
        gains = 10 ** (decibels / 20)
        thinness = self.thinness(gains)
        lowest = min(THINNEST, float(self.thinness(flat[np.newaxis])[0]))
        clean = np.where(thinness >= lowest - ALIKE, self.clean(gains, band), -np.inf)
        return gains[np.argmax(clean >= clean.max() - ALIKE)]

    def _groups(self):
        """Return the numbers of the channels that are free, those that are alike together."""
        groups = {}
        for number, line in enumerate(self.lines):
            if isinstance(line.source, Amplifier) and not line.fixed:
                groups.setdefault(line.kind, []).append(number)
        return list(groups.values())


def within(frequency, band):
    """Whether each frequency lies in a band, its edges counted in. [Hz]"""
    low, high = band
    return (frequency >= low * (1 - 1e-9)) & (frequency <= high * (1 + 1e-9))


def _square_level(gains, square):
    return power_level(np.einsum("...k,kl,...l->...", gains, square, gains))


def _steps(levels, count):
    """Return the levels that are tried for each of several groups. [dB]"""
    low, high = levels
    for step in STEPS:
        tried = np.append(np.arange(low, high - ALIKE, step), high)
        if len(tried) ** count <= TRIALS:
            return tried
    return np.array([low])
