"""Each limit of a loudspeaker by itself: at how many volts it is reached, from what one volt does."""

from __future__ import annotations

import numpy as np

from ..arguments import takes
from ..quantity import Holds, needed
from . import Response
from .openings import RADIATOR


class Missing(ValueError):
    """Something is not known, so a limit cannot be applied."""


class Absent(Missing):
    """Something is not there at all, so it cannot give."""


def _known(value, name):
    if value is None:
        raise Missing(f"{name} is not known")
    return np.asarray(value)[..., np.newaxis]


def travel(response):
    """Return the volts at which the cone runs out of its linear travel. [V]"""
    _known(response.loudspeaker.driver.xmax, "xmax")
    return voltage_within_travel(response)


def rated_power(driver):
    """Return the power that a coil is rated for, if it is known. [W]"""
    return _known(driver.power, "the driver's power")


def heat(response):
    """Return the volts at which the coil takes its rated power [V]: that in the coil itself, behind pads and wires."""
    power = rated_power(response.loudspeaker.driver)
    return np.sqrt(power / response.dissipation["coil resistance"])


def clipping(response, amplifier):
    """Return the volts ahead of the filters at which the amplifier clips. [V]"""
    return _voltage_of(amplifier) / np.abs(response.emf)


def current(response, amplifier):
    """Return the volts ahead of the filters at which the amplifier runs out of current. [V]"""
    most = _voltage_of(amplifier) / np.asarray(amplifier.minimum_load)[..., np.newaxis]
    return most / np.abs(response.channel_current)


def _voltage_of(amplifier):
    if amplifier is None:
        raise Missing("no amplifier is given")
    return np.asarray(amplifier.voltage)[..., np.newaxis]


def port(response, port_speed):
    """Return the volts at which the air in the port reaches a speed. [V]"""
    if not response.circuit.has("port"):
        raise Absent
    if response.loudspeaker.area_of("port") is None:
        raise Missing("the area of the port is not known")
    return port_speed / response.port_velocity


def radiator(response):
    """Return the volts at which the passive radiator runs out of its linear travel. [V]"""
    if not response.circuit.has(RADIATOR):
        raise Absent
    return _known(response.loudspeaker.box.radiator.xmax, "the radiator's xmax") / response.radiator_excursion


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
    with np.errstate(divide="ignore"):  # a lossless port holds the cone still at its tuning
        return np.asarray(response.voltage)[..., np.newaxis] * (np.asarray(xmax)[..., np.newaxis] / response.excursion)
