"""A woofer and what shares its channel: what the wiring does to each, and the resistor that mends it."""

from __future__ import annotations

import dataclasses
import functools
from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import Several, Single, takes
from ..circuit.build import flat, named_components
from ..errors import Refused
from ..parts.amplifier import can_drive
from ..parts.network import NETWORK, Resistor, across, joined
from ..parts.system import CHANNEL, System
from ..quantity import OneOf, Text
from ..response import frequencies, solve
from .e_series import SERIES
from .level_matching import GRID as COMPARED
from .level_matching import band_level, octaves_beside

BASS, VOICE = 50.0, 200.0  # Hz, where the woofer is looked at, near its resonance and well above: ours
BODY = (40.0, 315.0)  # Hz, between which a woofer should lose nothing: ours
CROSSING = 3000.0  # Hz, beside which a tweeter is held against the woofer: ours
NAMES = Several(Text(), "names of loudspeakers")
ABOVE, BELOW = (frequencies(low, high, per_octave=24) for low, high in octaves_beside(CROSSING))
GRID = functools.reduce(np.union1d, (frequencies(20, 20000, per_octave=12), COMPARED, ABOVE, BELOW, [BASS, VOICE]))
AT_BASS, AT_VOICE = np.searchsorted(GRID, [BASS, VOICE])
RESISTORS = np.array([value * power for power in (1.0, 10.0) for value in SERIES["E12"]])[:21]  # 1 to 47 ohm


@dataclass(frozen=True, slots=True)
class Sharing:
    """What each gets of a channel that they share; of a family each number is an array.

    Attributes
    ----------
    bass : float or array
        Level of the woofer at `BASS` against the woofer alone on the channel. [dB]
    voice : float or array
        The same at `VOICE`. [dB]
    together : float or array
        Level of all together at `BASS` against the woofer alone. [dB]
    lost : float or array
        Most that the woofer loses within `BODY` against itself alone. [dB]
    off : float or array
        How much louder the other plays in the octave above `CROSSING` than the woofer in the octave below, each half an
        octave away from it. [dB]
    least : float or array
        Lowest load of the channel. [ohm]
    fits : bool or array
        Whether the amplifier can drive that load.
    watts : dict
        Name of each resistor of the other's network: most that it takes of the channel's full sine. [W]
    """

    bass: float
    voice: float
    together: float
    lost: float
    off: float
    least: float
    fits: bool
    watts: dict

    @property
    def fault(self):
        """The worse of two faults: what the woofer loses, and how far the other is off it. [dB]"""
        return np.maximum(self.lost, np.abs(self.off))

    @property
    def rank(self):
        """What orders single ones by what they do: those that the amplifier can drive first, then the least `fault`."""
        return not self.fits, float(self.fault)

    @property
    def members(self):
        """What each member of a family of one axis gets, in their order."""
        numbers = {name: getattr(self, name) for name in self.__slots__ if name != "watts"}
        return tuple(
            Sharing(
                **{name: each[place].item() for name, each in numbers.items()},
                watts={name: float(each[place]) for name, each in self.watts.items()},
            )
            for place in range(len(self.fits))
        )


@takes(channel=CHANNEL, woofer=Text(), other=Text(), air=AIR)
def sharing(channel, *, woofer, other, air=Air()):
    r"""Return what a woofer and what shares its channel get, at the channel's full sine.

    Parameters
    ----------
    channel : Channel
        With its amplifier, or head unit; its resistors may be arrays.
    woofer, other : str
        Names of two of its loudspeakers; no other has one of them.
    air : Air

    Returns
    -------
    Sharing

    Raises
    ------
    ValueError
        If there is no amplifier: a resistor without its watts at the channel's full sine may burn. Also if there is no
        such loudspeaker.

    Notes
    -----
    .. math:: P = \max_f |I|^2 R, \quad V = \sqrt{P_{rated} R_{rated}}
    """
    volts = full_voltage(channel)
    for argument, name in (("woofer", woofer), ("other", other)):
        _check_name("sharing", argument, name, channel)
    names = [speaker.name for speaker in channel.each]
    system = System(channels=(channel,))
    response = solve(system, GRID, volts, air=air)
    own, partner = (response.responses[names.index(name)] for name in (woofer, other))
    alone = System(channels=(dataclasses.replace(channel, loudspeakers=(own.loudspeaker,)),))
    without = solve(alone, GRID, volts, air=air).level
    change, least = own.level - without, np.min(np.abs(response.channel_impedances[0]), axis=-1)
    return Sharing(
        bass=change[..., AT_BASS][()],
        voice=change[..., AT_VOICE][()],
        together=(response.level - without)[..., AT_BASS][()],
        lost=-np.min(change[..., (GRID >= BODY[0]) & (GRID <= BODY[1])], axis=-1),
        off=_mean(partner, ABOVE) - _mean(own, BELOW),
        least=least,
        fits=can_drive(channel.amplifier, least),
        watts=_resistor_watts(partner),
    )


def _mean(response, octave):
    """Return the level of the mean square over an octave. [dB]"""
    return band_level(octave, response.treble_level[..., np.isin(GRID, octave)], octave[0], octave[-1])


def _check_name(who, argument, name, channel):
    """Refuse a name that no loudspeaker of a channel has."""
    OneOf(tuple(speaker.name for speaker in channel.each)).accept(who, argument, name)


@takes(channel=CHANNEL)
def full_voltage(channel):
    """Return the r.m.s. voltage of a channel's full sine. [V]

    Parameters
    ----------
    channel : Channel

    Raises
    ------
    ValueError
        If it has no amplifier.
    """
    if channel.amplifier is None:
        raise Refused(
            "full_voltage",
            "channel.amplifier",
            "is missing: a resistor without its watts at the channel's full sine may burn",
        )
    return channel.amplifier.voltage


def _resistor_watts(response):
    """Return the most that each resistor of a loudspeaker's network takes, by name: P = |I|^2 R. [W]"""
    flows, watts = response.component_currents, {}
    for _, components in named_components(response.loudspeaker.network):
        for name, part in flat(components):
            if isinstance(part, Resistor) and name in flows:
                watts[name] = np.max(np.abs(flows[name]) ** 2, axis=-1) * part.resistance
    return watts


@takes(channel=Single(CHANNEL), names=NAMES, network=NETWORK)
def with_ahead(channel, names, network):
    """Return a channel with a network ahead of some loudspeakers' own: a resistor across a tweeter and its capacitor.

    Parameters
    ----------
    channel : Channel
    names : sequence of str
        Of the loudspeakers; each gets a network of its own.
    network : Network
        Its values may be arrays.
    """
    for name in names:
        _check_name("with_ahead", "names", name, channel)

    def changed(speaker):
        if speaker.name not in names:
            return speaker
        return dataclasses.replace(speaker, network=joined(network, speaker.network))

    return channel.with_each(tuple(map(changed, channel.each)))


@takes(channel=Single(CHANNEL), woofer=Text(), others=NAMES, air=Single(AIR))
def resistors_across(channel, *, woofer, others, air=Air()):
    """Return what each resistor across a loudspeaker and its network does to a channel.

    Parameters
    ----------
    channel : Channel
    woofer : str
        As for `sharing`.
    others : sequence of str
        Names of the loudspeakers across whose wires it goes, one for each. The first is the other of `sharing`.
    air : Air

    Returns
    -------
    (array, Sharing)
        The resistances, of series E12 [ohm], and what each gets.
    """
    for name in others:
        _check_name("resistors_across", "others", name, channel)
    tried = with_ahead(channel, others, across(Resistor(resistance=RESISTORS)))
    return RESISTORS, sharing(tried, woofer=woofer, other=others[0], air=air)
