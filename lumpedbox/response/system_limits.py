"""The limits of loudspeakers that are driven together, each at how many volts of one common source it is reached."""

from __future__ import annotations

import dataclasses
from functools import partial

from ..parts.system import Channel, System
from . import each_limit, solve
from .heat import COLD, heated
from .remarks import about_model, by_name, hot_coil, sentences

TRAVEL, HEAT, PORT, RADIATOR_TRAVEL = "travel", "heat of the coil", "port speed", "travel of the radiator"
CLIPPING, CURRENT = "amplifier voltage", "amplifier current"


def of_one(loudspeaker, amplifier):
    """Return a system of one loudspeaker without its filters, behind an amplifier."""
    bare = dataclasses.replace(loudspeaker, filters=(), source_resistance=0.0)
    resistance = loudspeaker.source_resistance
    channel = Channel(loudspeakers=(bare,), source_resistance=resistance, amplifier=amplifier, name="The amplifier")
    return System(channels=(channel,))


def driven(system, amplifier):
    """Return a system with an amplifier on every channel without one, and each amplifier's output resistance added."""
    channels = []
    for channel in system.wired:
        own = channel.amplifier or amplifier
        resistance = channel.source_resistance + getattr(own, "output_resistance", 0.0)
        channels.append(dataclasses.replace(channel, amplifier=own, source_resistance=resistance))
    return dataclasses.replace(system, channels=tuple(channels))


class Limits:
    """The limits of a system, from what one volt at its source does.

    Attributes
    ----------
    cold : SystemResponse
        At one volt.
    known : dict
        (Who, limit): its volts, and the response that is then heard. [V]
    unknown : list of tuple
        (Who, limit, what is missing).
    """

    def __init__(self, system, frequency, thermal_resistance, port_speed, distance, air):
        self.one_volt = partial(solve, frequency=frequency, voltage=1.0, distance=distance, air=air)
        self.thermal_resistance, self.port_speed = thermal_resistance, port_speed
        self.cold = self.one_volt(system)
        self.known, self.unknown = {}, []
        for who, name, limit in self._all():
            try:
                self.known[who, name] = limit()
            except each_limit.Absent:
                continue
            except each_limit.Missing as missing:
                self.unknown.append((who, name, str(missing)))

    def _all(self):
        """Yield who has a limit, its name, and what works it out."""
        system = self.cold.system
        for place, (who, response) in enumerate(zip(system.names, self.cold.responses, strict=True)):
            yield who, TRAVEL, self._cold(partial(each_limit.travel, response))
            yield who, HEAT, partial(self._heat, place)
            yield who, PORT, self._cold(partial(each_limit.port, response, self.port_speed))
            yield who, RADIATOR_TRAVEL, self._cold(partial(each_limit.radiator, response))
        for who, channel, first in zip(system.channel_names, system.wired, self.cold.firsts, strict=True):
            yield who, CLIPPING, self._cold(partial(each_limit.clipping, first, channel.amplifier))
            yield who, CURRENT, self._cold(partial(each_limit.current, first, channel.amplifier))

    def _cold(self, limit):
        """Return what works out a limit of the cold system."""
        return lambda: (limit(), self.cold)

    def _heat(self, place):
        """Volts at which a coil takes its rated power [V], and the system with that coil so warm."""
        speakers = list(self.cold.system.loudspeakers)
        driver, heard = speakers[place].driver, self.cold
        each_limit.rated_power(driver)
        if self.thermal_resistance is not None:
            warm = heated(driver, driver.power, self.thermal_resistance)
            speakers[place] = dataclasses.replace(speakers[place], driver=warm)
            heard = self.one_volt(self.cold.system.with_each(speakers))
        return each_limit.heat(heard.responses[place]), heard

    def remarks(self):
        """Return what to keep in mind, as a tuple of sentences: loads, hot coils, and what the models leave out."""
        each = [(*self._hot_coil(r.loudspeaker.driver), *about_model(r)) for r in self.cold.responses]
        if len(each) == 1:
            return self.cold.low_loads + each[0]
        return self.cold.low_loads + by_name(self.cold.system, each)

    def _hot_coil(self, driver):
        if self.thermal_resistance is None or driver.power is None:
            return ()
        return sentences((hot_coil(COLD + self.thermal_resistance * driver.power),))
