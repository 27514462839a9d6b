"""The figures of a state: how loud it plays cleanly, what gives first, how the bands stand to each other."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from ..arguments import takes
from ..design.level_matching import BANDS, GRID
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


@dataclass(frozen=True, slots=True, eq=False)
class Figures:
    """The figures of a state.

    Attributes
    ----------
    clean : float
        Mean level over 40 to 80 Hz at the ear, at the highest common drive at which nothing gives from 40 to 8000 Hz.
        `nan` if nothing plays, or no limit is known. [dB re 20 uPa]
    drive : float
        That drive: volts of the source, ahead of filters and levels. [V]
    gives, who, at : str, str, float
        What gives first there, whose limit that is, and at which frequency. [Hz]
    bands : dict
        (low, high) in Hz: mean level there, at the plan's voltage. [dB re 20 uPa]
    thinness : float
        800 to 8000 Hz against 100 to 315 Hz. [dB]
    f3, f10 : float
        Lower frequency limits; `nan` where there is none. [Hz]
    loads : dict
        Name of each channel: lowest impedance. [ohm]
    levels : dict
        Name of each channel: by how much it is turned up. [dB]
    frequency, curve : array, shape (nf,)
        Level at the ear, at that drive. [Hz], [dB re 20 uPa]
    unknown : tuple of str
        Limits that are not applied, and what is missing.
    """

    clean: float
    drive: float
    gives: str
    who: str
    at: float
    bands: dict
    thinness: float
    f3: float
    f10: float
    loads: dict
    levels: dict
    frequency: np.ndarray
    curve: np.ndarray
    unknown: tuple
    state: object = field(repr=False)

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
    r"""Return the figures of a state.

    Parameters
    ----------
    state : State
        What `Plan.after` returns.

    Returns
    -------
    Figures

    Notes
    -----
    With the drive V common to all channels, and v each limit's own,

    .. math:: V = \min_{40 \le f \le 8000} v(f), \quad
              L_{clean} = 10 \log_{10} \overline{10^{L(V)/10}}

    where the bar is the mean over 40 to 80 Hz, evenly in log f, by the circuit alone. `bands` and `thinness` are those
    of `lumpedbox.design.level_matching`. Each amplifier's output resistance counts, as in `maximum_level`.

    Examples
    --------
    >>> from lumpedbox.plan import demo_plan, figures
    >>> found = figures(demo_plan().after("seal the step wells"))
    >>> print(f"{found.clean:.0f} dB; {found.first}")
    95 dB; the cone runs out of travel (roof left, at 40 Hz)
    """
    together, gains = state.together, state.gains
    if not state.playing:
        return _of_silence(state)
    level = together.level(gains)
    drive = float(together.drive(gains))
    gives, who, at = together.gives(gains)
    volts = 20 * np.log10(state.plan.voltage)
    lows = [cutoff(state, level, drop) for drop in (HALF_POWER, DEEP)]
    known = np.isfinite(drive)
    return Figures(
        clean=float(together.clean(gains)) if known else np.nan,
        drive=drive if known else np.nan,
        gives=gives,
        who=who,
        at=at,
        bands={band: float(together.mean(gains, band)) + volts for band in BANDS},
        thinness=float(together.thinness(gains)),
        f3=lows[0],
        f10=lows[1],
        loads={line.name: each.lowest_load for line, each in zip(state.playing, together.solved, strict=True)},
        levels=state.levels,
        frequency=FREQUENCY[CURVE],
        curve=level[CURVE] + (20 * np.log10(drive) if known else np.nan),
        unknown=tuple(dict.fromkeys(": ".join(said) for each in together.solved for said in each.unknown)),
        state=state,
    )


def _of_silence(state):
    nothing = {"clean": np.nan, "drive": np.nan, "thinness": np.nan, "f3": np.nan, "f10": np.nan, "at": np.nan}
    curves = {"frequency": FREQUENCY[CURVE], "curve": np.full(CURVE.stop, np.nan)}
    rest = {"gives": "", "who": "", "bands": {}, "loads": {}, "levels": {}, "unknown": ()}
    return Figures(**nothing, **curves, **rest, state=state)


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
