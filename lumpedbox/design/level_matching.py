"""How loud loudspeakers are next to each other, and the pad or gain that matches them."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, FREQUENCY, VOLTAGE, Axis, Row, Single, takes
from ..parts.filters import Gain
from ..parts.network import NETWORK, Network, joined, l_pad
from ..parts.system import HEARD, SYSTEM, System
from ..quantity import OneOf, Quantity, Text
from ..response import frequencies, solve
from ..response.grid import check_within

BANDS = ((40, 80), (80, 160), (160, 315), (315, 800), (800, 2000), (2000, 8000))  # Hz; ours
LOW_BAND, HIGH_BAND = (100, 315), (800, 8000)  # Hz; what is body and what is brightness: ours
CROSSOVER = Quantity(unit="Hz", meaning="frequency between the two", low=10.0, high=2e4, slips=("kHz",))
LEVEL = Quantity(unit="dB", meaning="level", low=-np.inf, high=1000.0)
CHANGE = Quantity(unit="dB", meaning="change of level", low=-120.0, high=60.0)
TILT = Quantity(unit="dB", meaning="rise of the level in an octave", low=-6.0, high=6.0)
BY = OneOf(words=("pad", "gain"))
BESIDE = np.sqrt(2.0), 2 * np.sqrt(2.0)  # an octave on either side, half an octave off: ours
NOTHING = 1e-9  # dB
GRID = frequencies(40, 8000, per_octave=24)


@takes(frequency=Axis(FREQUENCY, rising=True), level=LEVEL, low=Single(FREQUENCY), high=Single(FREQUENCY))
def band_level(frequency, level, low, high):
    r"""Level of the mean square over a band; every octave counts the same. [dB]

    Parameters
    ----------
    frequency : array, shape (nf,)
        Evenly spaced on a logarithmic scale. [Hz]
    level : array, shape (..., nf)
        [dB]
    low, high : float
        Edges of the band. [Hz]

    Notes
    -----
    .. math:: L = 10 \log_{10} \frac{1}{\ln(f_2/f_1)} \int_{f_1}^{f_2} 10^{L(f)/10}\, d\ln f
    """
    if np.shape(level)[-1:] != frequency.shape:
        raise ValueError(f"band_level.level must have {frequency.size} values on its last axis, one for each frequency")
    check_within("band_level", frequency, low, high)
    inside = (frequency >= low * (1 - 1e-9)) & (frequency <= high * (1 + 1e-9))
    within = np.compress(inside, level, axis=-1)  # in rows, so that a member is added up as it is alone
    return 10 * np.log10(np.mean(np.power(10.0, within / 10), axis=-1))


@takes(loudspeaker=HEARD, voltage=VOLTAGE, distance=DISTANCE, air=AIR)
def band_levels(loudspeaker, voltage=2.83, distance=1.0, air=Air()):
    """Return the levels of a loudspeaker or system in the bands from body to brightness.

    Parameters
    ----------
    loudspeaker : Loudspeaker or System
    voltage, distance : float
        As for `solve`. [V], [m]
    air : Air

    Returns
    -------
    dict
        (low, high) in Hz: level. [dB]
    """
    level = solve(loudspeaker, GRID, voltage, distance, air).treble_level
    return {band: band_level(GRID, level, *band) for band in BANDS}


@takes(loudspeaker=HEARD, voltage=VOLTAGE, distance=DISTANCE, air=AIR)
def thinness(loudspeaker, voltage=2.83, distance=1.0, air=Air()):
    """Treble (800 to 8000 Hz) against bass (100 to 315 Hz): the more of it, the thinner the sound. [dB]

    Parameters
    ----------
    loudspeaker : Loudspeaker or System
    voltage, distance : float
        As for `solve`. [V], [m]
    air : Air
    """
    level = solve(loudspeaker, GRID, voltage, distance, air).treble_level
    return band_level(GRID, level, *HIGH_BAND) - band_level(GRID, level, *LOW_BAND)


@dataclass(frozen=True, slots=True)
class Match:
    """What matches one loudspeaker to another.

    Attributes
    ----------
    gain : float
        What the adjusted loudspeaker lacks; negative if it is too loud. [dB]
    pad : Network or None
        The two resistors, next to the driver, that make it softer. None if it is not too loud, or you asked for a gain.
    system : System
        With the pad, or the gain, in place.
    error : float
        Largest distance of the sum from the line you want, over two octaves on either side of the crossover, or over
        the band. [dB]
    """

    gain: float
    pad: Network | None
    system: System
    error: float


@takes(
    system=Single(SYSTEM),
    adjusted=Text(),
    against=Text(),
    crossover=Single(CROSSOVER),
    band=Row((CROSSOVER, CROSSOVER), "low and high edge in Hz"),
    tilt=Single(TILT),
    by=BY,
    voltage=Single(VOLTAGE),
    distance=Single(DISTANCE),
    air=Single(AIR),
)
def matched(
    system, *, adjusted, against, crossover=None, band=None, tilt=0.0, by="pad", voltage=2.83, distance=1.0, air=Air()
):
    """Match the level of one loudspeaker of a system to another's, as both are installed.

    Parameters
    ----------
    system : System
        Its loudspeakers have names.
    adjusted, against : str
        Name of the loudspeaker to adjust, and of the one to match it to.
    crossover : float, optional
        Frequency between the two. Each is compared over one octave that begins half an octave away from it: the
        smaller driver above, the larger below. [Hz]
    band : tuple of float, optional
        Low and high edge of a band to compare both in instead. [Hz]
    tilt : float
        Rise of the level that you want per octave; a little negative is usual (common practice, no source). [dB]
    by : {"pad", "gain"}
        Resistors before the driver, or a gain of the channel, which must then be its own.
    voltage, distance : float
        As for `solve`. [V], [m]
    air : Air

    Returns
    -------
    Match

    Raises
    ------
    ValueError
        If there is no such loudspeaker, or if you give both or neither of crossover and band. Also if you ask for a
        gain on a shared channel.

    Notes
    -----
    A driver's impedance is not a resistance, so we solve for the attenuation of the pad. With it the two levels match,
    and a second run asks for nothing more.
    """
    conditions = voltage, distance, air
    lacks = _lack("matched", system, (adjusted, against), (crossover, band, tilt), conditions)
    gain, pad = lacks(system), None
    if by == "gain":
        system = with_gain(system, adjusted, gain)
    elif gain < -NOTHING:
        pad = _pad(system, adjusted, gain, lacks)
        system = with_network(system, adjusted, pad)
    edges = (crossover / 4, crossover * 4) if band is None else band
    return Match(gain, pad, system, _error(system, edges, tilt, conditions))


@takes(
    system=Single(SYSTEM),
    adjusted=Text(),
    against=Text(),
    crossover=Single(CROSSOVER),
    voltage=Single(VOLTAGE),
    distance=Single(DISTANCE),
    air=Single(AIR),
)
def lacking(system, *, adjusted, against, crossover, voltage=2.83, distance=1.0, air=Air()):
    """What one loudspeaker of a system lacks to stand at the level of another; negative where it is too loud. [dB]

    Parameters
    ----------
    system : System
        Its loudspeakers have names.
    adjusted, against : str
        Name of the one, and of the other.
    crossover : float
        Frequency between the two, as for `matched`. [Hz]
    voltage, distance : float
        As for `solve`. [V], [m]
    air : Air
    """
    conditions = voltage, distance, air
    return _lack("lacking", system, (adjusted, against), (crossover, None, 0.0), conditions)(system)


def _lack(who, system, names, compared, conditions):
    """Return what tells of a system how much one of its loudspeakers lacks against another. [dB]"""
    crossover, band, tilt = compared
    all_names = [speaker.name for speaker in system.loudspeakers]
    for argument, name in zip(("adjusted", "against"), names, strict=True):
        _check_name(who, argument, all_names, name)
    places = [all_names.index(name) for name in names]
    bands = _bands(*(system.loudspeakers[place] for place in places), crossover, band)
    wanted = tilt * np.log2(bands[0][0] / bands[1][0])

    def lacks(tried):
        own, other = _levels(tried, places, bands, conditions)
        return float(other + wanted - own)

    return lacks


@takes(system=SYSTEM, name=Text(), network=NETWORK)
def with_network(system, name, network):
    """Return a system with a network added between one loudspeaker's own network and its driver.

    Parameters
    ----------
    system : System
    name : str
        Of the loudspeaker.
    network : Network

    Returns
    -------
    System
    """
    _check_name("with_network", "name", [speaker.name for speaker in system.loudspeakers], name)

    def changed(speaker):
        if speaker.name != name:
            return speaker
        return dataclasses.replace(speaker, network=joined(speaker.network, network))

    return system.with_each(tuple(map(changed, system.loudspeakers)))


@takes(system=SYSTEM, name=Text(), level=CHANGE)
def with_gain(system, name, level):
    """Return a system with the channel of one loudspeaker turned up or down.

    Parameters
    ----------
    system : System
    name : str
        Of the loudspeaker; it must have the channel to itself.
    level : float
        [dB]

    Returns
    -------
    System
    """
    _check_name("with_gain", "name", [speaker.name for speaker in system.loudspeakers], name)

    def changed(channel):
        if name not in [speaker.name for speaker in channel.each]:
            return channel
        if len(channel.each) > 1:
            raise ValueError(f"{name!r} shares its channel, and a gain would change the others on it too: use a pad")
        return dataclasses.replace(channel, filters=(*channel.filters, Gain(level=level)))

    return dataclasses.replace(system, channels=tuple(map(changed, system.wired)))


def _check_name(who, argument, names, name):
    """Refuse a name that no loudspeaker has, or more than one."""
    OneOf(tuple(names)).accept(who, argument, name)
    if names.count(name) > 1:
        raise ValueError(f"{who}.{argument} must name one loudspeaker, but {names.count(name)} are named {name!r}")


def _bands(own, other, crossover, band):
    """Return the band that counts for each of the two."""
    if (crossover is None) == (band is None):
        raise ValueError("matched needs either crossover [Hz] or band (low, high) [Hz]")
    if band is not None:
        return band, band
    above, below = octaves_beside(crossover)
    return (above, below) if own.driver.radius < other.driver.radius else (below, above)


@takes(crossover=Single(CROSSOVER))
def octaves_beside(crossover):
    """Return the edges of the octaves that two loudspeakers are compared in, above and below a crossover. [Hz]

    Parameters
    ----------
    crossover : float
        [Hz]
    """
    near, far = BESIDE
    return (crossover * near, crossover * far), (crossover / far, crossover / near)


def _levels(system, places, bands, conditions):
    """Levels of some loudspeakers, each in its band, all of them connected. [dB]"""
    grids = [frequencies(*band, per_octave=24) for band in bands]
    responses = solve(system, np.concatenate(grids), *conditions).responses
    levels = np.split(np.array([responses[place].treble_level for place in places]), [len(grids[0])], axis=-1)
    each = zip(grids, levels, bands, strict=True)
    return [band_level(grid, level[number], *band) for number, (grid, level, band) in enumerate(each)]


def _pad(system, name, gain, lacks):
    """Return the pad next to a loudspeaker's driver that makes the levels match."""
    from scipy.optimize import brentq

    speaker = next(speaker for speaker in system.loudspeakers if speaker.name == name)

    def pad(attenuation):
        return l_pad(attenuation=attenuation, impedance=speaker.driver.nominal_resistance)

    def left(attenuation):
        return lacks(with_network(system, name, pad(attenuation))) if attenuation else gain

    return pad(brentq(left, 0.0, min(60.0, 3 - 2 * gain), xtol=1e-11, rtol=1e-13))


def _error(system, edges, tilt, conditions):
    """Largest distance of the sum from the line of the wanted tilt through its middle. [dB]"""
    frequency = frequencies(*edges, per_octave=12)
    off = solve(system, frequency, *conditions).treble_level - tilt * np.log2(frequency / frequency[0])
    return float(off.max() - off.min()) / 2
