"""Gains that put the loudspeakers of a vehicle at the levels you want, and what clips first."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import FREQUENCY, Axis, Named, Row, Single, takes
from ..circuit.transfer import transfer
from ..errors import Refused, RefusedType
from ..parts.filters import Gain, LevelTable
from ..parts.line import Feed
from ..parts.system import SYSTEM
from ..quantity import Holds, OneOf, Quantity, Text
from ..response import frequencies, solve
from .ceiling import ceiling
from .gains import Setting
from .level_matching import CHANGE, NOTHING, band_level

# Hz; the tones to set by, those of the readings at the source: a cheap meter holds from about 45 to 400 Hz (common
# practice, no source).
TONES = (50.0, 63.0, 80.0, 100.0, 160.0, 315.0)
CURVE = frequencies(20, 20000, per_octave=12)  # where music may be loudest
BAND = Row((FREQUENCY, FREQUENCY), "low and high edge in Hz")
VOLUME = Quantity(unit="", meaning="number that the source shows for its volume", low=-1000.0, high=1000.0)
SOURCE, CONVERTER = "source", "converter"


@dataclass(frozen=True, slots=True)
class Output:
    """How one output of the amplifier is set. Outputs of channels that share a name are set alike.

    Attributes
    ----------
    name : str
        Of its channels.
    gain : float
        Of the amplifier. [dB]
    knob : float
        Where the gain's knob stands: volts at the input that drive the amplifier to its full power. [V]
    setting : Setting
        What to read on a meter, and with which tone.
    band : (float, float)
        In which its level is counted. [Hz]
    level : float
        Mean over that band, at the ear, of a full-scale tone. [dB re 20 uPa]
    loudest : float
        Most volts that a full-scale tone brings to the output, at any frequency. [V]
    margin : float
        From there to what the amplifier gives at most. [dB]
    ceiling : str
        What ends first there: "amplifier", or "coil" where the driver is rated for less.
    """

    name: str
    gain: float
    knob: float
    setting: Setting
    band: tuple
    level: float
    loudest: float
    margin: float
    ceiling: str


@dataclass(frozen=True, slots=True)
class Levels:
    """How the levels are set.

    Attributes
    ----------
    outputs : dict
        Name: Output.
    margins : dict
        What clips: by how much a full-scale tone stays below that; the source's and the converter's, where it is
        known, and one for each output. [dB]
    short : float
        By how much all outputs stay below what they could give, since a knob is turned up all the way. [dB]
    beyond : dict
        Name of an output: how far its knob would have to go down beyond its end. [dB]
    system : System
        With the source, the way to the amplifier and the gains in place: solve it with 1 V.
    """

    outputs: dict
    margins: dict
    short: float
    beyond: dict
    system: object

    @property
    def first(self):
        """Name of what clips first as the source is turned up: an output, "source" or "converter"."""
        return min(self.margins, key=self.margins.get)

    @property
    def left(self):
        """How much louder the source may be turned before anything clips; negative if something does. [dB]"""
        return self.margins[self.first]


@takes(band=BAND)
def tone_for(band):
    """Frequency of the tone to set an output by: the one of `TONES` nearest to the middle of its band. [Hz]

    Parameters
    ----------
    band : (float, float)
        Edges of the band that the output plays. [Hz]

    Examples
    --------
    >>> tone_for((40, 80)), tone_for((160, 800))
    (63.0, 315.0)
    """
    middle = np.sqrt(band[0] * band[1])
    return min(TONES, key=lambda tone: abs(np.log(tone / middle)))


class _Readings:
    """A dict from settings of the volume to what was read there."""

    def accept(self, owner, name, value):
        if not isinstance(value, Mapping) or not value:
            raise RefusedType(owner, name, "must be a dict from settings of the volume to a LevelTable")
        return {
            VOLUME.single(owner, f"{name} key", volume): Holds((LevelTable,)).accept(owner, f"{name}[{volume}]", table)
            for volume, table in value.items()
        }


@takes(readings=_Readings(), volume=Single(VOLUME))
def reading_at(readings, volume):
    r"""Return what a source gives at a setting of its volume between those at which it was read.

    .. math:: L = L_1 + (L_2 - L_1)\,\frac{v - v_1}{v_2 - v_1}

    Parameters
    ----------
    readings : dict
        Volume: LevelTable. [dB re 1 V]
    volume : float
        [1]

    Returns
    -------
    LevelTable
        [dB re 1 V]

    Raises
    ------
    ValueError
        If it lies outside the settings that were read.
    """
    settings = sorted(readings)
    if not settings[0] <= volume <= settings[-1]:
        read = f"{settings[0]:g} and {settings[-1]:g}"
        raise Refused(
            "reading_at", "volume", f"must be between {read}, where it was read, got {volume:g}", ": read it there too"
        )
    grid = sorted({f for table in readings.values() for f, _ in table.points})
    columns = [np.interp(np.log(grid), *_along(readings[setting])) for setting in settings]
    level = [np.interp(volume, settings, row) for row in zip(*columns, strict=True)]
    return LevelTable(points=tuple(zip(grid, level, strict=True)))


def _along(table):
    frequency, level = np.array(table.points).T
    return np.log(frequency), level


@takes(system=Single(SYSTEM), name=Text(), frequency=Axis(FREQUENCY, rising=True), air=Single(AIR))
def level_for_a_volt(system, name, frequency, air=Air()):
    """Level at the ear of the channels of one name alone, for 1 V at each before its filters. [dB re 20 uPa]

    Parameters
    ----------
    system : System
    name : str
        Of those channels.
    frequency : array, shape (nf,)
        [Hz]
    air : Air

    Returns
    -------
    array, shape (nf,)
    """
    OneOf(tuple(channel.name for channel in system.wired)).accept("level_for_a_volt", "name", name)
    return _alone(system, name, tuple(frequency.tolist()), air)


@functools.lru_cache(maxsize=64)
def _alone(system, name, frequency, air):
    """Solve them; kept, since neither source nor gains change anything of it."""
    alone = tuple(channel for channel in system.wired if channel.name == name)
    return solve(dataclasses.replace(system, channels=alone), np.array(frequency), 1.0, air=air).treble_level


@takes(
    system=Single(SYSTEM),
    feed=Single(Holds((Feed,))),
    bands=Named(BAND, "a band (low, high) in Hz"),
    wanted=Named(Single(CHANGE), "a level against the first, in dB"),
    reserve=Single(Quantity(unit="dB", meaning="what is kept free below the loudest", low=0.0, high=40.0)),
    air=Single(AIR),
)
def set_levels(system, *, feed, bands, wanted, reserve=0.0, air=Air()):
    r"""Set the gains so that each output plays at the level you want, as loud as the first that ends lets all be.

    Parameters
    ----------
    system : System
        Channels of one name are set alike. Each has its amplifier, and the filters that it will play with.
    feed : Feed
        The source at the volume at which its full-scale tone shall just drive all to their highest level.
    bands : dict
        Name of each output: edges of the band in which its level counts. The first is what others are compared with.
        [Hz]
    wanted : dict
        Name of each other output: its level against the first. [dB]
    reserve : float
        How far below its ceiling the loudest output stays. [dB]
    air : Air

    Returns
    -------
    Levels

    Raises
    ------
    ValueError
        If names do not fit together.

    Notes
    -----
    The levels :math:`L_i` at the ear are those of the solved loudspeakers, over each band, for 1 V at the amplifier.
    With the wanted :math:`w_i` the gains against the first are

    .. math:: g_i - g_1 = w_i + L_1 - L_i

    and :math:`g_1` is the highest at which a full-scale tone of any frequency drives no output above its `ceiling`.

    Examples
    --------
    >>> from lumpedbox import Amplifier, Channel, HeadUnit, InfiniteBaffle, LevelTable, Loudspeaker, System
    >>> from lumpedbox.tables import demo_drivers
    >>> one = Loudspeaker(driver=demo_drivers()["165 mm panel"], box=InfiniteBaffle())
    >>> amplifier = Amplifier(power=75, rated_impedance=4, minimum_load=2)
    >>> pair = [Channel(loudspeakers=(one,), amplifier=amplifier, name=name) for name in ("front", "rear")]
    >>> flat = LevelTable(points=((50, 6), (315, 6)))
    >>> feed = Feed(source=HeadUnit(voltage=9.1, line_voltage=4), output="line", reading=flat)
    >>> middle = (160, 800)
    >>> levels = set_levels(
    ...     System(channels=pair), feed=feed, bands={"front": middle, "rear": middle}, wanted={"rear": -3}
    ... )
    >>> for output in levels.outputs.values():
    ...     print(output.setting)
    front: 14.14 V a.c. at 315 Hz
    rear: 10.01 V a.c. at 315 Hz
    """
    named = _by_name(system, bands, wanted)
    fed = {name: _fed(channels, feed) for name, channels in named.items()}
    levels = {name: _band_level(system, name, feed, bands[name], air) for name in bands}
    loudest = {name: _most(channels[0].filters) for name, channels in fed.items()}
    first = next(iter(bands))
    apart = {name: wanted.get(name, 0.0) + levels[first] - levels[name] for name in bands}
    ends = {name: min(map(ceiling, channels)) for name, channels in named.items()}
    full = {name: float(channels[0].amplifier.voltage) for name, channels in named.items()}
    up = float(min(_decibels(ends[name][0] / loudest[name]) - apart[name] for name in bands)) - reserve
    turned_up = float(min(_decibels(full[name] / feed.input.lowest) - apart[name] for name in bands))
    gains = {name: min(up, turned_up) + apart[name] for name in bands}
    outputs = {
        name: _output(name, gains[name], bands[name], fed[name][0], full[name], levels[name], loudest[name], ends[name])
        for name in bands
    }
    return Levels(
        outputs,
        _upstream(feed) | {name: output.margin for name, output in outputs.items()},
        max(0.0, up - turned_up),
        _beyond(outputs, feed.input.highest),
        dataclasses.replace(system, channels=tuple(_gained(c, gains) for each in fed.values() for c in each)),
    )


def _by_name(system, bands, wanted):
    """Return name: channels; refuse names that do not fit together."""
    if not bands:
        raise ValueError("set_levels.bands is empty: name each output with its band, the first to compare others with")
    channels = {}
    for channel in system.wired:
        channels.setdefault(channel.name, []).append(channel)
    if missed := [repr(name) for name in channels if name not in bands]:
        raise ValueError(f"set_levels.bands must have a band for every channel: {', '.join(missed)} is missing")
    for name in bands:
        OneOf(tuple(channels)).accept("set_levels", "bands", name)
    others = tuple(bands)[1:]
    for name in wanted:
        OneOf(others).accept("set_levels", "wanted", name)
    return {name: channels[name] for name in bands}


def _fed(channels, feed):
    """Return channels with the source's volts and the way to the amplifier as the first of their filters."""
    return [dataclasses.replace(channel, filters=(*feed.filters, *channel.filters)) for channel in channels]


def _gained(channel, gains):
    return dataclasses.replace(channel, filters=(*channel.filters, Gain(level=gains[channel.name])))


def _band_level(system, name, feed, band, air):
    """Level of one output at the ear, over its band, with an amplifier of gain 1. [dB re 20 uPa]"""
    grid = frequencies(*band, per_octave=24)
    level = level_for_a_volt(system, name, grid, air)
    return float(band_level(grid, level + _decibels(np.abs(transfer(feed.filters, grid))), *band))


def _output(name, gain, band, channel, full, level, loudest, end):
    """Return how an output is set, from its gain [dB] and what reaches the amplifier."""
    factor, tone = 10 ** (gain / 20), tone_for(band)
    reads = factor * float(np.abs(transfer(channel.filters, [tone]))[0])
    most = factor * loudest
    setting = Setting(name, tone, reads)
    margin = float(_decibels(full / most))
    return Output(name, gain, full / factor, setting, band, level + gain, most, margin, end[1])


def _beyond(outputs, highest):
    """Return how far knobs would have to go down beyond their end. [dB]"""
    over = {name: float(_decibels(output.knob / highest)) for name, output in outputs.items()}
    return {name: beyond for name, beyond in over.items() if beyond > NOTHING}


def _upstream(feed):
    r"""Return by how much a full-scale tone stays below what source and converter give at most. [dB]

    .. math:: 20 \log_{10}\frac{V_{most}}{V\,k\,R / (R + R_s)}

    of the converter: it clips ahead of its output resistance, so what loads that does not spare it.
    """
    volts = _most((feed.reading,))
    margins = {SOURCE: float(_decibels(feed.clips_at / volts))}
    converter = feed.converter
    if converter is not None and converter.voltage is not None:
        margins[CONVERTER] = float(_decibels(converter.voltage / (volts * feed.to_converter * converter.ratio)))
    return margins


def _most(filters):
    """Return the most that filters make of 1 V, at any frequency. [V]"""
    return float(np.max(np.abs(transfer(filters, CURVE))))


def _decibels(ratio):
    return 20 * np.log10(ratio)
