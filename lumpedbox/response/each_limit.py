"""Each limit of a loudspeaker by itself: at how many volts it is reached, and by what it is then heard."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..arguments import takes
from ..quantity import Holds, needed
from . import Response
from .heat import heated
from .openings import RADIATOR


class Missing(ValueError):
    """Something is not known, so a limit cannot be applied."""


class Absent(Missing):
    """Something is not there at all, so it cannot give."""


def _known(value, name):
    if value is None:
        raise Missing(f"{name} is not known")
    return np.asarray(value)[..., np.newaxis]


def travel(cold):
    """Return the volts at which the cone runs out of its linear travel [V], and the response that is then heard."""
    _known(cold.loudspeaker.driver.xmax, "xmax")
    return voltage_within_travel(cold), cold


def heat(one_volt, response, thermal_resistance):
    """Return the volts at which the coil takes its rated power [V], and the response with the coil so warm."""
    driver = response.loudspeaker.driver
    power = _known(driver.power, "the driver's power")
    if thermal_resistance is not None:
        warm = heated(driver, driver.power, thermal_resistance)
        response = one_volt(dataclasses.replace(response.loudspeaker, driver=warm))
    return np.sqrt(power / response.dissipation["coil resistance"]), response


def clipping(cold, amplifier):
    """Return the volts at which the amplifier clips [V], and the response."""
    if amplifier is None:
        raise Missing("no amplifier is given")
    return np.asarray(amplifier.voltage)[..., np.newaxis], cold


def current(cold, amplifier):
    """Return the volts at which the amplifier runs out of current [V], and the response."""
    voltage, _ = clipping(cold, amplifier)
    most = voltage / np.asarray(amplifier.minimum_load)[..., np.newaxis]
    return most / np.abs(cold.current), cold


def port(cold, port_speed):
    """Return the volts at which the air in the port reaches a speed [V], and the response."""
    if not cold.circuit.has("port"):
        raise Absent
    if cold.loudspeaker.area_of("port") is None:
        raise Missing("the area of the port is not known")
    return port_speed / cold.port_velocity, cold


def radiator(cold):
    """Return the volts at which the radiator runs out of its linear travel [V], and the response."""
    if not cold.circuit.has(RADIATOR):
        raise Absent
    return _known(cold.loudspeaker.box.radiator.xmax, "the radiator's xmax") / cold.radiator_excursion, cold


@takes(response=Holds((Response,)))
def voltage_within_travel(response):
    r"""Highest r.m.s. voltage of a steady tone that keeps the cone within its linear travel, shape (..., nf). [V]

    .. math:: V x_{max} / x

    Parameters
    ----------
    response : Response
        Of a driver whose xmax is known.
    """
    xmax = needed(response.loudspeaker.driver, "xmax", "the voltage within the linear travel needs it")
    return np.asarray(response.voltage)[..., np.newaxis] * (np.asarray(xmax)[..., np.newaxis] / response.excursion)
