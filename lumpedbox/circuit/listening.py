"""How the sound of each opening gets to the listener."""

from __future__ import annotations

from functools import singledispatch

import numpy as np

from ..families import anywhere
from ..parts.box import Door
from ..parts.room import apart, check_apart, room_of
from .places import Opening, node_at
from .resonances import Resonances
from .transfer import Lag, Piston, Rational, cabin_transfer

# Openings of a loudspeaker: 1 where the flow through that piece of the circuit is outwards, -1 where it is inwards.
OUTWARDS = {"cone": 1.0, "port": -1.0, "passive radiator": -1.0, "leak": -1.0, "hole": -1.0}


def openings(loudspeaker, terminals, places, distance, air, ear):
    """Return the openings that are heard: one net flow where all have the same transfers, else each with its own."""
    present = [name for name in OUTWARDS if name in places]
    to_the_ear = ways(loudspeaker, present, distance, air, ear)
    common = to_the_ear["cone"]
    if all(way is common for way in to_the_ear.values()):
        return (Opening("all openings", places["box"], 1.0, *common),)
    return tuple(
        Opening(name, outlet(terminals, name, places), OUTWARDS[name], way)
        for name, several in to_the_ear.items()
        for way in several
    )


def outlet(terminals, opening, places):
    """Return the address of the piece that the flow of an opening passes through."""
    address = places[opening]
    if opening != "cone":
        return address
    area = len(node_at(terminals, address).members) - 1
    return (*address, area, 0)  # what the cone's area turns its velocity into


def ways(loudspeaker, names, distance, air, ear):
    """Return the ways by which each opening is heard, a tuple of transfers for each; no way where it is not heard.

    Openings that are heard alike have the *same* ways, not equal ones.
    """
    further = {name: further_than_the_cone(loudspeaker, name, ear) for name in names}
    if loudspeaker.by_places:
        heard = [name for name, path in further.items() if path is not None]
        inside = _among_resonances(loudspeaker, heard, ear or loudspeaker.cabin.listener, air)
        return {name: inside.get(name, ()) for name in names}
    common = (radiation(loudspeaker, distance, air),)
    return {
        name: common if path is not None and not anywhere(path) else _longer(loudspeaker, distance, path, air)
        for name, path in further.items()
    }


def _among_resonances(loudspeaker, names, ear, air):
    """Return the transfers of each opening from its own place in a cabin by its resonances.

    No travel time is added: the cabin's own transfer holds it.
    """
    cabin, solid_angle, found = loudspeaker.cabin, loudspeaker.solid_angle, {}
    for name in (name for name in names if name != "leak"):
        width, place = width_of(loudspeaker.area_of(name)), loudspeaker.place_of(name)
        check_apart(cabin, f"{_placed_by(loudspeaker, name)} ({loudspeaker.name or name})", place, ear, width)
        room, distance = room_of(cabin, place, ear, air, width), apart(place, ear)
        inside = Resonances("resonances of the cabin", room, distance, solid_angle, cabin.modal_limit)
        found[name] = (radiation(loudspeaker, distance, air, (inside,)),)
    return {name: found.get(name, found["cone"]) for name in names}  # a leak counts at the cone


def width_of(area):
    """Return the edge of a square as large as an opening; 0 where its area is not known. [m]"""
    return 0.0 if area is None else np.sqrt(area)


def _placed_by(loudspeaker, opening):
    """Return the name of what places an opening."""
    if opening == "hole":
        return "Door.hole_position"
    own = loudspeaker.place_of(opening) is not loudspeaker.position
    return f"Loudspeaker.{'port_position' if own else 'position'}"


def _longer(loudspeaker, distance, path, air):
    r"""Return the ways of an opening that is further away than the cone.

    A cabin adds the same to all openings; only the direct sound takes the longer path:

    .. math:: H(r)\,G - H(r) + H(r + l)\,e^{-s l / c}
    """
    if path is None:
        return ()
    longer = (half_space(loudspeaker, distance + path, air), Lag("longer path", path / air.sound_speed))
    if loudspeaker.cabin is None:
        return (longer,)
    cabin = cabin_transfer(loudspeaker.cabin, distance, air, loudspeaker.solid_angle)
    shorter, less = (half_space(loudspeaker, signed, air) for signed in (distance, -distance))
    return longer, (shorter, *cabin), (less,)


def further_than_the_cone(loudspeaker, opening, ear):
    """Return how much further from the ear an opening is than the cone; None if it is not heard. [m]

    Places and ear decide where they are known, else the box.
    """
    path, place = path_of(loudspeaker.box, opening), loudspeaker.place_of(opening)
    if path is None or ear is None or place is loudspeaker.position:
        return path
    return apart(place, ear) - apart(loudspeaker.position, ear)


@singledispatch
def path_of(box, opening):
    """Return how much further from the ear an opening of a box is than the cone; None if it is not heard. [m]"""
    return 0.0


@path_of.register
def path_of_door(box: Door, opening):
    if opening != "hole":
        return 0.0
    return box.path if box.opens_to == "cabin" else None


def half_space(loudspeaker, distance, air):
    r"""Return what turns an outward volume flow into the pressure of its direct sound.

    .. math:: H = \pm s \rho / (\Omega r)
    """
    sign = -1.0 if loudspeaker.polarity == "reversed" else 1.0
    return Rational("radiation", (sign * air.density / (loudspeaker.solid_angle * distance), 0.0), (1.0,))


def radiation(loudspeaker, distance, air, inside=None):
    r"""Return what turns an outward volume flow into pressure.

    .. math:: p = H G U_0
    """
    if inside is None:
        inside = cabin_transfer(loudspeaker.cabin, distance, air, loudspeaker.solid_angle) if loudspeaker.cabin else ()
    return half_space(loudspeaker, distance, air), *inside, *present_piston(loudspeaker, air)


def present_piston(loudspeaker, air):
    """Return the directivity of the cone, where the listener is off its axis."""
    if not anywhere(loudspeaker.angle):
        return ()
    reach = loudspeaker.driver.radius * np.sin(np.radians(loudspeaker.angle)) / air.sound_speed
    return (Piston("rigid piston off axis", reach),)
