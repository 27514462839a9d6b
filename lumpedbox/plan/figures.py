"""The figures of a state: how loud it plays cleanly, what gives first, how the bands stand to each other."""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np

from ..arguments import takes
from ..design.level_matching import BANDS, GRID, HIGH_BAND, LOW_BAND
from ..response import frequencies
from ..response.crossing import rising_zero
from ..response.hearing import THIRD_OCTAVES, exposure
from ..response.level import HALF_POWER, power_level
from ..response.limits import HAPPENS
from ..response.passband import CABIN_BAND, band_mean
from ..response.system_limits import driven
from .solved import CURVE, FREQUENCY, REFERENCE, quietly_solved
from .state import STATE

DEEP = 10.0  # dB under the pass-band, where bass ends: f10
HEAD = frequencies(15, 8000, per_octave=8)  # where the places of a head are compared
CREST = 12.0  # dB, peak over r.m.s. of music: common practice, no source


@dataclass(frozen=True, eq=False, repr=False)
class Figures:
    """The figures of a state, each worked out when it is first asked for.

    Attributes
    ----------
    state : State
    """

    state: object

    def __repr__(self):
        return f"Figures(after {', '.join(sorted(self.state.done)) or 'nothing'})"

    @functools.cached_property
    def drive(self):
        r"""Highest common drive at which nothing gives from 40 to 8000 Hz: volts ahead of filters and levels. [V]

        .. math:: V = \min_{40 \le f \le 8000} v(f)

        where :math:`v(f)` is the drive at which the first limit is reached. `nan` if nothing plays, or no limit is
        known.
        """
        drive = float(self.state.together.drive(self.state.gains))
        return drive if np.isfinite(drive) else np.nan

    @functools.cached_property
    def clean(self):
        r"""Mean level from 40 to 80 Hz at the ear, at `drive`. [dB re 20 uPa]

        .. math:: L_{clean} = 10 \log_{10} \overline{10^{L(V)/10}}

        with :math:`L(V)` the level at `drive`, by the circuit alone, and the bar the mean over 40 to 80 Hz, evenly in
        log f. `nan` if nothing plays, or no limit is known.
        """
        return float(self.state.together.clean(self.state.gains)) if np.isfinite(self.drive) else np.nan

    @functools.cached_property
    def _gives(self):
        return self.state.together.gives(self.state.gains)

    @property
    def gives(self):
        """What gives first at `drive`: the name of a limit, empty if none is known."""
        return self._gives[0]

    @property
    def who(self):
        """Who gives first: a loudspeaker or a channel, empty if none is known."""
        return self._gives[1]

    @property
    def at(self):
        """Frequency at which the first gives; `nan` if none is known. [Hz]"""
        return self._gives[2]

    @functools.cached_property
    def bands(self):
        """(low, high) in Hz: mean level there, at the plan's voltage; empty if nothing plays. [dB re 20 uPa]

        Levels as `lumpedbox.design.level_matching` counts them.
        """
        return {band: self.mean(band) for band in BANDS} if self.state.playing else {}

    def mean(self, band):
        """Return the mean level over a band, at the plan's voltage; `nan` if nothing plays. [dB re 20 uPa]

        Parameters
        ----------
        band : (float, float)
            Low and high edge. [Hz]

        Returns
        -------
        float
        """
        if not self.state.playing:
            return np.nan
        for_one_volt = self.state.together.mean(self.state.gains, band)
        return float(for_one_volt + 20 * np.log10(self.state.plan.voltage))

    @functools.cached_property
    def thinness(self):
        """Mean level over 800 to 8000 Hz against that over 100 to 315 Hz; `nan` if nothing plays. [dB]"""
        return self.mean(HIGH_BAND) - self.mean(LOW_BAND)

    @functools.cached_property
    def f3(self):
        """Frequency at which the level is 3 dB under its mean over 100 to 315 Hz; `nan` where there is none. [Hz]

        In open air the pass-band's level is that of the closed form, as for `Response.f3`.
        """
        return self._cutoff(HALF_POWER)

    @functools.cached_property
    def f10(self):
        """The same, 10 dB under. [Hz]"""
        return self._cutoff(DEEP)

    def _cutoff(self, drop):
        return cutoff(self.state, self._level, drop) if self.state.playing else np.nan

    @functools.cached_property
    def _level(self):
        """Level at `FREQUENCY` for one volt. [dB re 20 uPa]"""
        if not self.state.playing:
            return np.full(len(FREQUENCY), np.nan)
        return self.state.together.level(self.state.gains)

    @property
    def frequency(self):
        """Frequencies of the `curve`. [Hz], shape (nf,)"""
        return FREQUENCY[CURVE]

    @functools.cached_property
    def curve(self):
        """Level at the ear, at `drive`; `nan` if nothing plays, or no limit is known. [dB re 20 uPa], shape (nf,)"""
        return self._level[CURVE] + 20 * np.log10(self.drive)

    @functools.cached_property
    def loads(self):
        """Name of each channel: lowest impedance. [ohm]"""
        state = self.state
        return {line.name: each.lowest_load for line, each in zip(state.playing, state.together.solved, strict=True)}

    @property
    def levels(self):
        """Name of each channel: by how much it is turned up. [dB]"""
        return self.state.levels

    @functools.cached_property
    def unknown(self):
        """Limits that are not applied, and what is missing, as a tuple of sentences."""
        return tuple(dict.fromkeys(": ".join(said) for each in self.state.together.solved for said in each.unknown))

    @property
    def first(self):
        """What gives first, as a sentence."""
        if not self.gives:
            return "nothing is known to give" if self.bands else "nothing plays"
        return f"{HAPPENS[self.gives]} ({self.who}, at {self.at:.0f} Hz)"

    @property
    def exposure(self):
        """What music at the highest clean drive does to the ear, as an `Exposure`; None if that drive is not known.

        Music has the same level in every third octave, and peaks 12 dB over its r.m.s. level (common practice, no
        source). Those are the peaks of the clean tone.
        """
        if not np.isfinite(self.drive):
            return None
        at_ear = np.interp(np.log(THIRD_OCTAVES), np.log(self.frequency), self.curve)
        level = power_level(np.mean(np.power(10.0, at_ear / 10))) - (CREST - HALF_POWER)
        return exposure(float(level), crest=CREST, spectrum=tuple(zip(THIRD_OCTAVES, at_ear, strict=True)))

    @property
    def open(self):
        """What else is not known, and what is taken in its place, as a tuple of sentences."""
        return self.state.open

    @property
    def remarks(self):
        """What to keep in mind about the models, as a tuple of sentences."""
        system = self.state.system
        return () if system is None else quietly_solved(system, GRID, self.state.plan.voltage).remarks


@takes(state=STATE)
def figures(state):
    """Return the figures of a state.

    Parameters
    ----------
    state : State
        What `Plan.after` returns.

    Returns
    -------
    Figures

    Notes
    -----
    `bands` and `thinness` are those of `lumpedbox.design.level_matching`. Each amplifier's output resistance counts, as
    in `maximum_level`.

    Examples
    --------
    >>> from lumpedbox.plan import demo_plan, figures
    >>> found = figures(demo_plan().after("seal the step wells"))
    >>> print(f"{found.clean:.0f} dB; {found.first}")
    95 dB; the cone runs out of travel (roof left, at 40 Hz)
    """
    return Figures(state)


def band_of_ears(found):
    """Return the edges that the level lies between for four of five places of the head, at the highest clean drive.

    Parameters
    ----------
    found : Figures

    Returns
    -------
    array, shape (2, nf), or None
        At `found.frequency`; None where no place is known, or no drive. [dB re 20 uPa]
    """
    plan, system = found.state.plan, found.state.system
    if system is None or plan.heard_in is None or not plan.heard_in.ear_box or not np.isfinite(found.drive):
        return None
    response = quietly_solved(driven(system, None), HEAD, found.drive)
    apart = response.band_of_ears() - response.level
    return found.curve + np.array([np.interp(np.log(found.frequency), np.log(HEAD), edge) for edge in apart])


def cutoff(state, level, drop):
    """Return where a state's level falls a drop under its reference level; `nan` if nowhere. [Hz]

    Parameters
    ----------
    state : State
    level : array, shape (nf,)
        At `FREQUENCY`, at any voltage. [dB]
    drop : float
        [dB]
    """
    if state.plan.heard_in is None:  # in open air the reference is the closed form of what plays
        system = driven(state.system, None)
        return float(quietly_solved(system, FREQUENCY[CURVE], state.plan.voltage).cutoff(drop, refine=False))
    return _rises_through(level, _reference(level) - drop)


def reach(state, wanted):
    """Return the lowest frequency that plays cleanly within 10 dB of a wanted level of the pass-band. [Hz]

    Parameters
    ----------
    state : State
        Of which something plays.
    wanted : float
        Mean level over 100 to 315 Hz, at any drive that this takes. [dB re 20 uPa]

    Returns
    -------
    float
        315, the end of that band, where that level is out of reach.
    """
    level, most = state.together.level(state.gains), state.together.ceiling(state.gains)
    volts = 10 ** ((wanted - _reference(level)) / 20)
    if volts > most[REFERENCE].min():
        return CABIN_BAND[1]
    found = _rises_through(level + 20 * np.log10(np.minimum(volts, most)), wanted - DEEP)
    return found if np.isfinite(found) else FREQUENCY[0]


def _reference(level):
    """Mean square over 100 to 315 Hz. [dB]"""
    return power_level(band_mean(np.power(10.0, level[REFERENCE] / 10)))


def _rises_through(level, target):
    """Return the highest frequency under 100 Hz at which a level rises through a target; `nan` if nowhere. [Hz]"""
    edge = REFERENCE.start
    frequency = np.append(FREQUENCY[CURVE], FREQUENCY[edge])
    excess = np.append(level[CURVE], level[edge]) - target
    return float(rising_zero(frequency, excess[np.newaxis], CABIN_BAND[0], np.array([False])).frequency[0])
