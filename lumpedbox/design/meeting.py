"""Where a bass box hands over to the panels: slopes, corner, polarity and delay for the best sum at the ear."""

from __future__ import annotations

import dataclasses
import functools
import itertools
from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, VOLTAGE, Row, Several, Single, takes
from ..circuit.transfer import transfer
from ..parts.filters import FAMILIES, ORDERS, Delay, HighPass, Inverted, LowPass
from ..parts.system import SYSTEM, System
from ..quantity import OneOf, Quantity, Text, Whole
from ..response import frequencies, solve

EDGE = Quantity(unit="Hz", meaning="edge of the band that the sum is judged in", low=5.0, high=2000.0)
BAND = Row((EDGE, EDGE), "low and high edge in Hz")
CORNER = Quantity(unit="Hz", meaning="corner of both filters", low=10.0, high=2e4, slips=("kHz",))
LATE = Quantity(unit="s", meaning="delay of one side", low=0.0, high=1.0, slips=("ms",))
SLOPE = Row((Whole("order of the filter", ORDERS), OneOf(FAMILIES)), "order and family of a filter")
CHANNELS = Several(Text(), "names of channels")
BEST = Whole("how many to return", range(1, 1001))
CORNERS = tuple(float(corner) for corner in np.round(np.geomspace(50, 160, 12)))  # Hz; ours
DELAYS = tuple(float(delay) for delay in np.linspace(0, 10e-3, 41))  # s; ours
SLOPES = ((2, "Linkwitz-Riley"), (4, "Linkwitz-Riley"), (2, "Butterworth"), (3, "Butterworth"), (4, "Butterworth"))


@dataclass(frozen=True, slots=True)
class Meeting:
    """A way to hand over.

    Attributes
    ----------
    corner : float
        Of both filters. [Hz]
    order : int
    family : str
    reversed : bool
        Whether the bass box is connected with reversed polarity.
    bass_delay, panel_delay : float
        One of them is zero. [s]
    error : float
        r.m.s. distance of the sum from its best straight line over octaves, in the band. [dB]
    system : System
        With all that in place.
    """

    corner: float
    order: int
    family: str
    reversed: bool
    bass_delay: float
    panel_delay: float
    error: float
    system: System

    def __str__(self):
        who, time = ("panels", self.panel_delay) if self.panel_delay else ("bass box", self.bass_delay)
        late = f", the {who} delayed by {1e3 * time:.2f} ms" if time else ""
        turned = ", the bass box reversed" if self.reversed else ""
        return f"{self.family} of order {self.order} at {self.corner:g} Hz{turned}{late}: {self.error:.2f} dB r.m.s."


@takes(
    system=Single(SYSTEM),
    bass=CHANNELS,
    panels=CHANNELS,
    band=BAND,
    corners=Several(CORNER, "corner frequencies in Hz"),
    slopes=Several(SLOPE, "pairs of order and family"),
    delays=Several(LATE, "delays in s"),
    best=BEST,
    voltage=Single(VOLTAGE),
    distance=Single(DISTANCE),
    air=Single(AIR),
)
def meetings(
    system,
    *,
    bass,
    panels,
    band=(40.0, 200.0),
    corners=CORNERS,
    slopes=SLOPES,
    delays=DELAYS,
    best=5,
    voltage=2.83,
    distance=1.0,
    air=Air(),
):
    """Search the ways to hand over from a bass box to the panels, the best sum at the ear first.

    Parameters
    ----------
    system : System
        As installed: places, cabin, levels; without the filters that are searched.
    bass, panels : str or tuple of str
        Names of the channels on either side; a channel in neither plays along as it is.
    band : tuple of float
        Where the sum is judged: low and high edge. [Hz]
    corners : sequence of float
        Corner frequencies to try. [Hz]
    slopes : sequence of (int, str)
        Orders and families to try, the same on both sides.
    delays : sequence of float
        Delays to try on either side. [s]
    best : int
        How many to return.
    voltage, distance : float
        As for `solve`. [V], [m]
    air : Air

    Returns
    -------
    tuple of Meeting

    Raises
    ------
    ValueError
        If no channel has such a name.

    Notes
    -----
    Everything is linear, so each side is solved once and multiplied by its filters. Pressures are summed with their
    phases, as one hears at low frequencies. What counts is the sum's distance from a straight line over octaves: a
    gentle tilt is no fault.
    """
    frequency = _judged("meetings", band)
    sides = _sides(system, bass, panels)
    below, above, rest = _pressures(system, sides, frequency, voltage, distance, air)
    late = _both_ways(delays)
    turns = np.exp(-2j * np.pi * frequency * np.array(late)[:, np.newaxis])
    tried = []
    for corner, (order, family) in itertools.product(corners, slopes):
        down, up = _pair(float(corner), order, family, *band)
        bass, others = below * down * turns, rest + above * up
        for turned, total in ((False, others + bass), (True, others - bass)):
            errors = _off_the_line(10 * np.log10(total.real**2 + total.imag**2))
            best_delay = int(np.argmin(errors))
            tried.append((float(errors[best_delay]), corner, order, family, turned, late[best_delay]))
    tried.sort(key=lambda entry: entry[0])
    return tuple(_meeting(system, sides, *entry) for entry in tried[:best])


@takes(system=Single(SYSTEM), band=BAND, voltage=Single(VOLTAGE), distance=Single(DISTANCE), air=Single(AIR))
def unevenness(system, *, band=(40.0, 200.0), voltage=2.83, distance=1.0, air=Air()):
    """Return how far the sum at the ear is from its best straight line over octaves, r.m.s. [dB]

    This is what `meetings` judges by, for a system as it is.

    Parameters
    ----------
    system : System
    band : tuple of float
        Where the sum is judged: low and high edge. [Hz]
    voltage, distance : float
        As for `solve`. [V], [m]
    air : Air

    Returns
    -------
    float
    """
    pressure = solve(system, _judged("unevenness", band), voltage, distance, air).pressure
    return float(_off_the_line(20 * np.log10(np.abs(pressure))[np.newaxis])[0])


def _judged(who, band):
    """Return the frequencies to judge a sum at. [Hz]"""
    low, high = band
    if not low < high:
        raise ValueError(f"{who}.band must give the low edge before the high one, got {low:g} Hz and {high:g} Hz")
    return frequencies(low, high, per_octave=24)


@functools.lru_cache(maxsize=512)
def _pair(corner, order, family, low, high):
    """What a low-pass and a high-pass do where a sum is judged; kept, as a search tries the same ones again. [1]"""
    pair = (kind(frequency=corner, order=order, family=family) for kind in (LowPass, HighPass))
    return tuple(transfer([filter_], _judged("meetings", (low, high))) for filter_ in pair)


def _sides(system, bass, panels):
    """Return the indices of the channels on either side."""
    names = [channel.name for channel in system.wired]
    found = []
    for side, wanted in (("bass", bass), ("panels", panels)):
        for name in wanted:
            OneOf(tuple(names)).accept("meetings", side, name)
        found.append([index for index, name in enumerate(names) if name in wanted])
    return found


def _pressures(system, sides, frequency, voltage, distance, air):
    """Return the pressure at the ear of the bass, of the panels, and of the rest. [Pa]"""
    response = solve(system, frequency, voltage, distance, air)
    of_channels, pressures = [], list(response.pressures)
    for channel in system.wired:
        count = len(channel.each)
        of_channels.append(sum(pressures[:count]))
        pressures = pressures[count:]
    below, above = (sum(of_channels[index] for index in side) for side in sides)
    return below, above, sum(of_channels) - below - above


def _both_ways(delays):
    """Return delays of the bass as positive, of the panels as negative."""
    return sorted({*delays, *(-delay for delay in delays)}, key=abs)


def _off_the_line(levels):
    """r.m.s. distance of rows of levels from their best straight lines. [dB]"""
    x = np.linspace(-1, 1, levels.shape[-1])
    slope = levels @ x / (x @ x)
    off = levels - levels.mean(axis=-1, keepdims=True) - slope[:, np.newaxis] * x
    return np.sqrt(np.mean(off**2, axis=-1))


def _meeting(system, sides, error, corner, order, family, turned, delay):
    filters = {
        LowPass: (*((Inverted(),) if turned else ()), *((Delay(time=delay),) if delay > 0 else ())),
        HighPass: (Delay(time=-delay),) if delay < 0 else (),
    }
    channels = list(system.wired)
    for side, (kind, more) in zip(sides, filters.items(), strict=True):
        for index in side:
            added = (kind(frequency=corner, order=order, family=family), *more)
            channels[index] = dataclasses.replace(channels[index], filters=(*channels[index].filters, *added))
    filtered = dataclasses.replace(system, channels=tuple(channels))
    return Meeting(corner, order, family, turned, max(delay, 0.0), max(-delay, 0.0), error, filtered)
