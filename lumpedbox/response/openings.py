"""The openings that sound comes out of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..circuit.solver import computed
from ..quantity import missing

RADIATOR = "passive radiator"


@dataclass(frozen=True, slots=True, eq=False)
class Aperture:
    """An opening that sound comes out of.

    Attributes
    ----------
    name : str
        "cone", "port", "passive radiator" or "leak".
    flow : array, shape (..., nf)
        *Outward* volume flow, r.m.s. phasor. [m3/s]
    area : float, array or None
        Its area; None if unknown. [m2]
    place : tuple or None
        Coordinates. [m]
    """

    name: str
    flow: np.ndarray
    area: object
    place: object


def apertures(response):
    """Every opening that sound comes out of, as a tuple of `Aperture`."""
    speaker = response.loudspeaker
    flows = {"cone": response.cone_velocity * np.asarray(speaker.driver.Sd)[..., np.newaxis]}
    if response.circuit.has("port"):
        flows["port"] = -response.port_flow
    for name in (RADIATOR, "leak"):
        if response.circuit.has(name):
            flows[name] = -inward_flow(response, name)
    return tuple(Aperture(name, flow, speaker.area_of(name), speaker.place_of(name)) for name, flow in flows.items())


def port_velocity(response):
    r"""Peak speed of the air in the port. [m/s]

    .. math:: u = \sqrt{2}\,|U_p| / S
    """
    flow = response.port_flow
    return np.abs(flow) * (np.sqrt(2) / np.asarray(response.loudspeaker.box.opening_area))[..., np.newaxis]


def radiator_excursion(response):
    r"""Peak displacement of the passive radiator. [m]

    .. math:: x_p = \sqrt{2}\,|U_p| / (\omega S_p)
    """
    box = response.loudspeaker.box
    if not response.circuit.has(RADIATOR):
        said = f"a {type(box).__name__} has none; use a PassiveRadiatorBox"
        raise missing(f"{type(box).__name__}.radiator", "the passive radiator that radiator_excursion needs", said)
    area = np.asarray(box.radiator.Sd)[..., np.newaxis]
    return np.abs(inward_flow(response, RADIATOR)) * (np.sqrt(2) / (response.angular_frequency * area))


def inward_flow(response, place):
    """Volume flow through a place of the box *into* it, r.m.s. phasor. [m3/s]"""
    return computed(response.circuit, 1j * response.angular_frequency, response.circuit.flow(place))


def radiated_power(response):
    r"""Acoustic power of all openings together into the solid angle, without a cabin. [W]

    .. math:: P = \rho \omega^2 |U_0|^2 / (\Omega c)
    """
    speaker, air = response.loudspeaker, response.air
    flow = sum(aperture.flow for aperture in response.apertures)
    density = np.asarray(air.density / (speaker.solid_angle * air.sound_speed))[..., np.newaxis]
    return density * response.angular_frequency**2 * np.abs(flow) ** 2
