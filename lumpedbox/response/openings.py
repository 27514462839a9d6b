"""The openings that sound comes out of."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from ..circuit.listening import path_of, width_of
from ..parts.room import apart
from ..quantity import missing

RADIATOR = "passive radiator"
CONTRACTION = np.pi / (np.pi + 2)  # of a jet behind a sharp edge: Kirchhoff (H. Lamb, "Hydrodynamics", from memory)


@dataclass(frozen=True, slots=True, eq=False)
class Aperture:
    """An opening that sound comes out of.

    Attributes
    ----------
    name : str
        "cone", "port", "passive radiator", "hole" or "leak".
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

    @property
    def width(self):
        r"""Edge of the cube that the sound counts as coming from in a cabin by its resonances. [m]

        .. math:: \sqrt{S}
        """
        return width_of(self.area)


def apertures(response):
    """Every opening that sound comes out of, as a tuple of `Aperture`."""
    speaker = response.loudspeaker
    flows = {"cone": response.cone_velocity * np.asarray(speaker.driver.Sd)[..., np.newaxis]}
    if response.circuit.has("port"):
        flows["port"] = -response.port_flow
    for name in (RADIATOR, "leak", "hole"):
        if response.circuit.has(name):
            flows[name] = -inward_flow(response, name)
    return tuple(Aperture(name, flow, speaker.area_of(name), speaker.place_of(name)) for name, flow in flows.items())


def heard_apertures(response):
    """Return the openings whose sound gets to the listener: all but a hole to the outside."""
    box = response.loudspeaker.box
    return [aperture for aperture in response.apertures if path_of(box, aperture.name) is not None]


def port_velocity(response):
    r"""Peak speed of the air in the port. [m/s]

    .. math:: u = \sqrt{2}\,|U_p| / S
    """
    flow = response.port_flow
    return np.abs(flow) * (np.sqrt(2) / np.asarray(response.loudspeaker.box.opening_area))[..., np.newaxis]


def hole_velocity(response):
    r"""Peak speed of the air in the hole or crack of a door; 0 in sealed members of a family. [m/s]

    .. math:: u = \sqrt{2}\,|U_h| / S
    """
    if not response.circuit.has("hole"):
        box = type(response.loudspeaker.box).__name__
        said = f"this {box} has none; use a Door with a hole or a crack"
        raise missing(f"{box}.hole_area", "the hole that hole_velocity needs", said)
    area = np.asarray(response.loudspeaker.box.opening_area)[..., np.newaxis]
    return np.abs(inward_flow(response, "hole")) * np.sqrt(2) / np.where(area > 0, area, np.inf)


def jet_share(response):
    r"""What the jet behind a door's hole or crack loses, over all else that holds its air back. [1]

    .. math:: \frac{R_j}{\sqrt{R^2 + (\omega M)^2}}, \quad R_j = \frac{8}{3\pi} \frac{\rho u}{2 \kappa^2 S}, \quad
              \kappa = \frac{\pi}{\pi + 2}

    No curve has that loss. Above 1 the hole chokes: less than shown gets through. Of a hole without drag it is 1 where
    the air moves about as far as it is deep, with its ends. R_j is the mean over a sine of Bernoulli's pressure of a
    steady jet, which contracts by :math:`\kappa` behind a sharp edge.

    References
    ----------
    U. Ingard, H. Ising, "Acoustic nonlinearity of an orifice", JASA 42 (1967) 6-17 (from memory).
    """
    door, air = response.loudspeaker.box, response.air
    speed = hole_velocity(response)
    R, M, S, density = (
        np.asarray(value)[..., np.newaxis]
        for value in (door.hole_resistance(air), door.hole_mass(air), door.opening_area, air.density)
    )
    jet = 8 / (3 * np.pi) * density * speed / (2 * CONTRACTION**2 * np.where(S > 0, S, np.inf))
    return jet / np.hypot(R, response.angular_frequency * M)


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
    return response.solved.one(response.circuit.flow(place))


def radiated_power(response):
    r"""Acoustic power of all openings that are heard into the solid angle, without a cabin. [W]

    .. math:: P = \frac{\rho \omega^2}{\Omega c} \sum_{i,j} \mathrm{Re}(U_i U_j^*) \frac{\sin k d_{ij}}{k d_{ij}}

    Openings side by side, d = 0, radiate as the one flow that they sum up to. The power of sources apart follows from
    the mean of their interference over all directions.
    """
    speaker, air = response.loudspeaker, response.air
    heard = heard_apertures(response)
    square = np.abs(sum(aperture.flow for aperture in heard)) ** 2
    for one, other in itertools.combinations(heard, 2):
        kd = response.angular_frequency * np.asarray(separation(speaker, one, other) / air.sound_speed)[..., np.newaxis]
        square = square - 2 * np.real(one.flow * np.conj(other.flow)) * (1 - np.sinc(kd / np.pi))
    density = np.asarray(air.density / (speaker.solid_angle * air.sound_speed))[..., np.newaxis]
    return density * response.angular_frequency**2 * square


def separation(speaker, one, other):
    """Distance between two openings: from their places, or else what the box says of its paths. [m]"""
    if one.place is not other.place:
        return apart(one.place, other.place)
    return np.abs(path_of(speaker.box, one.name) - path_of(speaker.box, other.name))
