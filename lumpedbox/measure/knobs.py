"""What may have come out differently from what was planned: each a number that a fit can turn."""

from __future__ import annotations

import dataclasses
from typing import NamedTuple

import numpy as np

from ..parts.box import USUAL_LEAKAGE, Enclosure, VentedBox
from ..parts.filters import Gain
from ..parts.port import NET_VOLUME
from ..parts.spread import USUAL, USUAL_BUILD

# Standard deviations of logarithms, common practice, no source: how much a suspension softens as it plays, how a coil's
# resistance follows its temperature, how leaks and absorption differ where nothing was planned.
WARM = {"Re": 0.02, "Cms": 0.05, "Rms": 0.08}
MADE_OF = ("Re", "Bl", "Mms", "Cms", "Rms")
UNPLANNED_LEAK, UNPLANNED_LOSS = 3 * USUAL_LEAKAGE, 60.0
UNPLANNED = {"leak": 0.6, "loss": 1.0}  # so a box made with care lies within two of them, and a leak of Q = 2 does not
LOWEST_Q, LOSSY = 0.1, 3.0  # of any loss; a factor of twenty as a logarithm
GAIN = 1.0  # dB by which the gains of channels differ from what they were set to
EAR = 0.05  # m by which a microphone is not where it was meant


class Knob(NamedTuple):
    """A number that may have come out differently.

    Attributes
    ----------
    name : str
        "volume", "tuning", "leak", "loss", "level", "place", or a quantity of the driver.
    place : int
        Of the loudspeaker, the channel, or the axis.
    deviation : float
        How far it usually is off: of a logarithm, dB of a level, m of a place.
    freed : float
        How far it may be off as a cause: by a factor of 4.5, as a logarithm.
    """

    name: str
    place: int
    deviation: float
    freed: float = 1.5


def of_loudspeaker(system, place):
    """Return the knobs of a loudspeaker's driver and box."""
    speaker = system.loudspeakers[place]
    usual = speaker.driver.spread or USUAL
    deviations = {name: float(np.hypot(getattr(usual, name), WARM.get(name, 0.0))) for name in MADE_OF}
    knobs = [Knob(name, place, deviation) for name, deviation in deviations.items() if deviation]
    return [*knobs, *(_of_box(speaker.box, place) if isinstance(speaker.box, Enclosure) else ())]


def _of_box(box, place):
    build = box.spread or USUAL_BUILD
    yield Knob("volume", place, build.volume or USUAL_BUILD.volume)
    if isinstance(box, VentedBox):
        yield Knob("tuning", place, build.port_length or USUAL_BUILD.port_length)
    losses = build.losses or USUAL_BUILD.losses
    planned = box.leak_resistance is not None or np.isfinite(box.Ql)
    yield Knob("leak", place, losses if planned else UNPLANNED["leak"], LOSSY)
    yield Knob("loss", place, losses if np.isfinite(box.Qa) else UNPLANNED["loss"], LOSSY)


def of_channels(system):
    """Return the knobs of the channels' gains; none where there is one channel only."""
    count = len(system.channels)
    return [Knob("level", place, GAIN, 30.0) for place in range(count)] if count > 1 else []


def of_ear(system):
    """Return the knobs of where the microphone was, in a cabin where that matters."""
    return [Knob("place", axis, EAR, 1.0) for axis in range(3)] if system.by_places else []


def turned(system, knobs, values):
    """Return a system with its knobs turned, as a family.

    Parameters
    ----------
    system : System
    knobs : list of Knob
        Whatever has none of them stays as it is.
    values : array, shape (len(knobs), count)
    """
    values = [np.clip(column, -knob.freed, knob.freed) for knob, column in zip(knobs, values, strict=True)]
    by_name = {(knob.name, knob.place): column for knob, column in zip(knobs, values, strict=True)}
    each = [
        dataclasses.replace(one, driver=_driver(one.driver, place, by_name), box=_box(one.box, place, by_name))
        for place, one in enumerate(system.loudspeakers)
    ]
    system = system.with_each(tuple(each))
    gains = {place: column for (name, place), column in by_name.items() if name == "level"}
    moved = {axis: column for (name, axis), column in by_name.items() if name == "place"}
    return _moved(_louder(system, gains), moved)


def _driver(driver, place, by_name):
    return driver.varied({name: np.exp(by_name[name, place]) for name in MADE_OF if (name, place) in by_name})


def _box(box, place, by_name):
    mine = {name: column for (name, at), column in by_name.items() if at == place}
    sizes = {}
    if "volume" in mine:
        sizes["volume"] = np.clip(np.exp(mine["volume"]), NET_VOLUME.low / box.volume, NET_VOLUME.high / box.volume)
    if "tuning" in mine:
        sizes["port_length"] = np.exp(mine["tuning"])
    box = box.varied(sizes) if sizes else box
    box = _leakier(box, mine["leak"]) if "leak" in mine else box
    return _duller(box, mine["loss"]) if "loss" in mine else box


def _leakier(box, x):
    r"""Return a box with a leak larger by a factor.

    .. math:: Q_l' = Q_l e^{-x}
    """
    if box.leak_resistance is not None:
        return dataclasses.replace(box, leak_resistance=box.leak_resistance * np.exp(-x))
    Ql = np.where(np.isfinite(box.Ql), box.Ql, UNPLANNED_LEAK) * np.exp(-x)
    return dataclasses.replace(box, Ql=np.maximum(Ql, LOWEST_Q))


def _duller(box, x):
    r"""Return a box with absorption larger by a factor.

    .. math:: Q_a' = Q_a e^{-x}
    """
    Qa = np.where(np.isfinite(box.Qa), box.Qa, UNPLANNED_LOSS) * np.exp(-x)
    return dataclasses.replace(box, Qa=np.maximum(Qa, LOWEST_Q))


def _louder(system, gains):
    """Return a system whose channels are turned up. [dB]"""
    if not gains:
        return system
    channels = tuple(
        dataclasses.replace(channel, filters=(*channel.filters, Gain(level=gains[place])))
        if place in gains
        else channel
        for place, channel in enumerate(system.channels)
    )
    return dataclasses.replace(system, channels=channels)


def _moved(system, moved):
    """Return a system that is heard elsewhere, but inside its cabin. [m]"""
    if not moved:
        return system
    cabin = system.loudspeakers[0].cabin
    size = (cabin.length, cabin.width, cabin.height)
    ear = tuple(np.clip(system.listener[axis] + moved.get(axis, 0.0), 0.02, size[axis] - 0.02) for axis in range(3))
    return dataclasses.replace(system, ear=ear)


def reversed_polarity(system, places):
    """Return the system with some loudspeakers connected the other way."""
    other = {"as marked": "reversed", "reversed": "as marked"}
    each = list(system.loudspeakers)
    for place in places:
        each[place] = dataclasses.replace(each[place], polarity=other[each[place].polarity])
    return system.with_each(tuple(each))
