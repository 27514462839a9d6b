"""What is heard at many ears in a cabin by its resonances: a map of the level, and a band around one ear."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..circuit.dual import Frequency
from ..circuit.listening import present_piston
from ..circuit.resonances import Resonances
from ..parts.room import apart, check_apart, check_inside, room_of
from ..parts.room_map import ManyEars
from .band import between
from .heard_together import level_of_sum
from .openings import heard_apertures

PER_EDGE = 4  # ears along each edge of `Cabin.ear_box`: 64 in all


def levels_at(response, ears):
    r"""Return the level at many ears. [dB re 20 uPa], shape (..., nf)

    .. math:: p = s \rho \sum_i \frac{U_i\,G_i}{\Omega\,r_i}

    over a loudspeaker's openings, each with its own gain in the cabin: `circuit.resonances.Resonances`. Several
    loudspeakers are summed as in `SystemResponse.level`. Every ear counts as off a loudspeaker's axis by
    `Loudspeaker.angle`.

    Parameters
    ----------
    response : Response or SystemResponse
        Of one loudspeaker or system, not of a family.
    ears : tuple of array, shape (...)
        x, y, z of points. [m]

    Raises
    ------
    ValueError
        If the cabin is not by its resonances, the response is a family, or an ear is outside or in an opening.
    """
    parts = getattr(response, "responses", (response,))
    _check(parts)
    shape = np.broadcast_shapes(*map(np.shape, ears))
    points = tuple(np.broadcast_to(axis, shape).ravel() for axis in ears)
    coherent, powers = 0.0, 0.0
    for part in parts:
        pressure = _pressure_at(part, points, phases=len(parts) > 1)
        coherent, powers = coherent + pressure, powers + np.abs(pressure) ** 2
    level = level_of_sum(coherent, powers, response.frequency, parts[0].loudspeaker.cabin.modal_limit)
    return level.reshape((*shape, -1))


def band_of_ears(response, share):
    """Return the edges that the level lies between for most places of the ear. [dB re 20 uPa], shape (2, nf)

    The ears are the middles of 64 equal cubes that fill `Cabin.ear_box`; places beyond a wall are left at the wall.

    Parameters
    ----------
    response : Response or SystemResponse
    share : float
        As for `Response.band`. [1]
    """
    parts = getattr(response, "responses", (response,))
    _check(parts)
    cabin, ear = parts[0].loudspeaker.cabin, parts[0].ear
    along = cabin.ear_box * ((np.arange(PER_EDGE) + 0.5) / PER_EDGE - 0.5)
    sizes = (cabin.length, cabin.width, cabin.height)
    axes = (np.clip(x + along, 0, size) for x, size in zip(ear, sizes, strict=True))
    return between(levels_at(response, tuple(axis.ravel() for axis in np.meshgrid(*axes))), share)


def _check(parts):
    speaker = parts[0].loudspeaker
    if not speaker.by_places:
        law = speaker.cabin.law if speaker.cabin else "none"
        raise ValueError(f'many ears need Cabin.law "modes", got {law!r}: else no place differs from another')
    if any(part.shape for part in parts):
        raise ValueError(f"many ears need one loudspeaker or system, got a family of shape {parts[0].shape}")


def _pressure_at(response, ears, phases):
    """Return the pressure of one loudspeaker at points; `phases` where others sound too. [Pa], shape (n, nf)"""
    speaker, air = response.loudspeaker, response.air
    cabin = replace(speaker.cabin, ear_box=0.0)
    check_inside(cabin, "levels_at.ears", ears)
    s, limit = 1j * response.angular_frequency[np.newaxis], float(cabin.modal_limit)
    pressure, openings = 0.0, _leak_at_the_cone(heard_apertures(response))
    for opening in openings:
        whose = f"the {opening.name} of {speaker.name or 'a loudspeaker'}"
        check_apart(cabin, f"levels_at.ears: {whose}", opening.place, ears, opening.width)
        r = apart(opening.place, ears)[:, np.newaxis]
        room = ManyEars(room_of(cabin, opening.place, (0.0, 0.0, 0.0), air, opening.width), ears, limit)
        gain = Resonances("resonances of the cabin", room, r, speaker.solid_angle, limit)
        half_space = opening.flow / (speaker.solid_angle * r)
        pressure = pressure + half_space * gain.alone(s, phases=phases or len(openings) > 1)
    sign = -1.0 if speaker.polarity == "reversed" else 1.0
    return sign * air.density * s * pressure * _off_axis(speaker, s[0], air)


def _leak_at_the_cone(openings):
    """Return openings with the flow of a leak counted to the cone's, as wide as that."""
    cone, *others = openings
    leaks = sum(opening.flow for opening in others if opening.name == "leak")
    return [replace(cone, flow=cone.flow + leaks), *(opening for opening in others if opening.name != "leak")]


def _off_axis(speaker, s, air):
    """Return what a loudspeaker's own angle does, for every ear alike. [1], shape (nf,)"""
    on_axis = Frequency(s[np.newaxis], slice(None))
    pistons = present_piston(speaker, air)
    return np.prod([piston.top_and_bottom(on_axis)[0].value[0] for piston in pistons], axis=0)
