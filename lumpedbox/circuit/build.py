"""How each part becomes circuit: one registration for each part."""

from __future__ import annotations

from dataclasses import replace
from functools import singledispatch

import numpy as np

from ..families import common_shape
from ..parts.box import InfiniteBaffle, PassiveRadiatorBox, SealedBox, VentedBox
from ..parts.network import Capacitor, Inductor, Resistor, SideBySide, shorts
from ..parts.room import apart, check_apart, room_of
from ..quantity import named_shapes
from .elements import Compliance, Gyrator, Inertance, Parallel, Resistance, SemiInductance, Series, Transformer
from .places import Circuit, Opening, address_of, node_at
from .transfer import Lag, Piston, Rational, Resonances, cabin_transfer, transfers

# A branch that some members of a family do not have: a power of two, so that it changes no digit of the others.
OPEN = 2.0**100

# Openings of a loudspeaker: 1 where the flow through that piece of the circuit is outwards, -1 where it is inwards.
OUTWARDS = {"cone": 1.0, "port": -1.0, "passive radiator": -1.0, "leak": -1.0}

ORDINALS = {1: "first", 2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth"}


def circuit(loudspeaker, voltage, distance, air, ear=None):
    """Build the circuit of a loudspeaker on a channel of its own, heard at `distance` in `air`.

    Where the `ear` is known, an opening at a place of its own is heard from there.
    """
    source = Resistance("amplifier", "source resistance", loudspeaker.source_resistance)
    return _heard(loudspeaker, branch(loudspeaker, air), (), source, loudspeaker.filters, voltage, distance, air, ear)


def shared_circuit(channel, index, voltage, distance, air, ear=None):
    """Build the circuit of one of the loudspeakers on a channel, with all the others on it."""
    branches = [wired(speaker, air) for speaker in channel.loudspeakers]
    connected = {"parallel": Parallel, "series": Series}[channel.wiring]("channel", tuple(branches))
    source = Resistance("amplifier", "source resistance", channel.source_resistance)
    own = (index, len(branches[index].members) - 1)
    speaker = channel.loudspeakers[index]
    filters = (*channel.filters, *speaker.filters)
    built = _heard(speaker, connected, own, source, filters, voltage, distance, air, ear)
    return replace(built, shape=common_shape([("loudspeaker", built.shape), *named_shapes(channel)]))


def _heard(loudspeaker, terminals, own, source, before, voltage, distance, air, ear):
    shapes = [("voltage", np.shape(voltage)), ("distance", np.shape(distance)), *named_shapes(ear, "ear")]
    return Circuit(
        terminals=terminals,
        own=own,
        source=source,
        voltage=voltage,
        before=tuple(t for f in before for t in transfers(f)),
        openings=openings(loudspeaker, terminals, own, distance, air, ear),
        shape=common_shape([*named_shapes(loudspeaker), *named_shapes(air), *shapes]),
    )


def branch(loudspeaker, air):
    """Return a loudspeaker from its terminals on."""
    driver = loudspeaker.driver
    moved = coil(driver, cone(driver, acoustic(loudspeaker.box, driver, air)))
    if driver.built_in_capacitance is not None:
        moved = Series("driver", (Compliance("driver", "built-in capacitor", driver.built_in_capacitance), moved))
    return through_network(loudspeaker.network, moved)


def wired(loudspeaker, air):
    """Return a loudspeaker behind a wire of its own; the loudspeaker is the last member."""
    wire = present(Resistance("wire", "resistance of its wire", loudspeaker.source_resistance))
    return Series("branch", (*wire, branch(loudspeaker, air)))


def openings(loudspeaker, terminals, own, distance, air, ear):
    """Return the openings that are heard: one net flow where all have the same transfers, else each with its own."""
    present = [name for name in OUTWARDS if address_of(terminals, name, own) is not None]
    to_the_ear = ways(loudspeaker, present, distance, air, ear)
    common = to_the_ear["cone"]
    if all(way is common for way in to_the_ear.values()):
        return (Opening("all openings", address_of(terminals, "box", own), 1.0, common),)
    return tuple(
        Opening(name, outlet(terminals, name, own), OUTWARDS[name], way)
        for name, way in to_the_ear.items()
        if way is not None
    )


def outlet(terminals, opening, own):
    """Return the address of the piece that the flow of an opening passes through."""
    address = address_of(terminals, opening, own)
    if opening != "cone":
        return address
    area = len(node_at(terminals, address).members) - 1
    return (*address, area, 0)  # what the cone's area turns its velocity into


def ways(loudspeaker, names, distance, air, ear):
    """Return the transfers of each opening to the listener; None where it is not heard.

    Openings that are heard alike have the *same* tuple, not an equal one.
    """
    if loudspeaker.by_places:
        return _among_resonances(loudspeaker, names, ear or loudspeaker.cabin.listener, air)
    common = radiation(loudspeaker, distance, air)
    further = {name: further_than_the_cone(loudspeaker, name, ear) for name in names}
    return {
        name: common if path is not None and not np.any(path) else _longer(loudspeaker, distance, path, air)
        for name, path in further.items()
    }


def _among_resonances(loudspeaker, names, ear, air):
    """Return the transfers of each opening from its own place in a cabin by its resonances.

    No travel time is added: the cabin's own transfer holds it.
    """
    cabin, solid_angle, found = loudspeaker.cabin, loudspeaker.solid_angle, {}
    for name in (name for name in names if name != "leak"):
        area, place = loudspeaker.area_of(name), loudspeaker.place_of(name)
        width = 0.0 if area is None else np.sqrt(area)
        field = "position" if place is loudspeaker.position else "port_position"
        check_apart(cabin, f"Loudspeaker.{field} ({loudspeaker.name or name})", place, ear, width)
        room, distance = room_of(cabin, place, ear, air, width), apart(place, ear)
        inside = Resonances("resonances of the cabin", room, distance, solid_angle, cabin.modal_limit)
        found[name] = radiation(loudspeaker, distance, air, (inside,))
    return {name: found.get(name, found["cone"]) for name in names}  # a leak counts at the cone


def _longer(loudspeaker, distance, path, air):
    r"""Return the transfers of an opening that is heard over a longer path than the cone.

    .. math:: H(r + l)\,e^{-s l / c}
    """
    if path is None:
        return None
    return *radiation(loudspeaker, distance + path, air), Lag("longer path", path / air.sound_speed)


def further_than_the_cone(loudspeaker, opening, ear):
    """Return how much further from the ear an opening is than the cone; None if it is not heard. [m]

    Places and ear decide where they are known, else the box.
    """
    if ear is None or loudspeaker.port_position is None or loudspeaker.position is None:
        return path_of(loudspeaker.box, opening)
    return apart(loudspeaker.place_of(opening), ear) - apart(loudspeaker.position, ear)


@singledispatch
def path_of(box, opening):
    """Return how much further from the ear an opening of a box is than the cone; None if it is not heard. [m]"""
    return 0.0


def radiation(loudspeaker, distance, air, inside=None):
    r"""Return what turns an outward volume flow into pressure.

    .. math:: p = \pm s \rho U_0 / (\Omega r)
    """
    sign = -1.0 if loudspeaker.polarity == "reversed" else 1.0
    half_space = Rational("radiation", (sign * air.density / (loudspeaker.solid_angle * distance), 0.0), (1.0,))
    if inside is None:
        inside = cabin_transfer(loudspeaker.cabin, distance, air, loudspeaker.solid_angle) if loudspeaker.cabin else ()
    return half_space, *inside, *present_piston(loudspeaker, air)


def present_piston(loudspeaker, air):
    """Return the directivity of the cone, where the listener is off its axis."""
    if not np.any(loudspeaker.angle):
        return ()
    reach = loudspeaker.driver.radius * np.sin(np.radians(loudspeaker.angle)) / air.sound_speed
    return (Piston("rigid piston off axis", reach),)


def cone(driver, load):
    """Return the moving parts, with the load on their rear."""
    return Series(
        "cone",
        (
            Inertance("cone", "moving mass", driver.Mms),
            Resistance("cone", "suspension loss", driver.Rms),
            Compliance("cone", "suspension", driver.Cms),
            Transformer("cone", "cone area", driver.Sd, load),
        ),
    )


def coil(driver, moving):
    """Return the voice coil, coupled to the moving parts."""
    eddy = Parallel(
        "eddy-current branch",
        present(
            # in a pair of its own, so that an inductance of zero is a plain short
            Series("eddy-current path", (Inertance("coil", "eddy-current inductance", driver.L2),)),
            Resistance("coil", "eddy-current resistance", driver.R2),
            short=False,
        ),
    )
    own = present(
        Resistance("coil", "coil resistance", driver.Re),
        Inertance("coil", "coil inductance", driver.Le),
        SemiInductance("coil", "eddy-current impedance", driver.semi_inductance, driver.semi_exponent),
    )
    eddies = (eddy,) if np.any(driver.L2) else ()
    return Series("coil", (*own, *eddies, Gyrator("coil", "force factor", driver.Bl, moving)))


@singledispatch
def acoustic(box, driver, air):
    """Return the load on the rear of the cone; its piece at "box" takes up the net flow of all openings."""
    raise TypeError(f"no circuit is known for {type(box).__name__}")


@acoustic.register
def in_infinite_baffle(box: InfiniteBaffle, driver, air):
    return Series("box", ())  # no impedance at all


@acoustic.register
def in_sealed_box(box: SealedBox, driver, air):
    air_inside, leaks = chamber_and_leak(box, driver, air)
    return Parallel("inside", (air_inside, *leaks)) if leaks else air_inside


@acoustic.register
def in_vented_box(box: VentedBox, driver, air):
    air_inside, leaks = chamber_and_leak(box, driver, air)
    loss = present(Resistance("port", "port loss", box.port_loss(air)))
    port = Series("port", (Inertance("port", "air in the port", box.port_mass(air)), *loss))
    return Parallel("inside", (air_inside, port, *leaks))


@acoustic.register
def in_passive_radiator_box(box: PassiveRadiatorBox, driver, air):
    air_inside, leaks = chamber_and_leak(box, driver, air)
    Map, Cap, Rap = box.radiator.acoustic
    radiator = Series(
        "passive radiator",
        (
            Inertance("passive radiator", "mass of the radiator", Map),
            Compliance("passive radiator", "suspension of the radiator", Cap),
            *present(Resistance("passive radiator", "loss of the radiator", Rap)),
        ),
    )
    return Parallel("inside", (air_inside, radiator, *leaks))


def chamber_and_leak(box, driver, air):
    """Return the air of a box with its absorption, and its leak as a tuple, empty if it has none."""
    losses = box.losses(driver, air)
    absorption = present(Resistance("box", "absorption", losses.absorption))
    chamber = Series("box", (Compliance("box", "air in the box", box.compliance(air)), *absorption))
    return chamber, present(Resistance("leak", "leak", losses.leak), short=False)


def through_network(network, load):
    """Wrap a load into the ladder before it, branch by branch from the load outwards."""
    named = list(named_components(network))
    for position, (branch, components) in reversed(list(enumerate(named, start=1))):
        place = "network" if position == 1 else f"network from its {ordinal(position)} branch on"
        elements = tuple(e for name, part in components for e in present_elements(name, part, branch.placed))
        if branch.placed == "in series":
            load = Series(place, (*elements, load))
        else:
            load = Parallel(place, (Series(f"{ordinal(position)} branch", elements), load))
    return load


def ordinal(count):
    """Return a count as "first", "second" and so on."""
    return ORDINALS.get(count, f"{count}th")


def named_components(network):
    """Yield every branch with its components named apart: "second capacitor across" and the like.

    Parts side by side come as a tuple of named components instead of one component.
    """
    seen = {}

    def named(component, placed):
        name = f"{type(component).__name__.lower()} {placed}"
        count = seen[name] = seen.get(name, 0) + 1
        return name if count == 1 else f"{ordinal(count)} {name}", component

    for branch in network.branches if network else ():
        components = []
        for component in branch.components:
            if isinstance(component, SideBySide):
                legs = tuple(named(leg, f"side by side {branch.placed}") for leg in component.components)
                components.append(("bundle", legs))
            else:
                components.append(named(component, branch.placed))
        yield branch, components


def flat(components):
    """Yield named components one by one, including those side by side."""
    for name, component in components:
        yield from component if isinstance(component, tuple) else ((name, component),)


def present_elements(name, component, placed):
    """Return the elements of one component, or of several side by side."""
    if not isinstance(component, tuple):
        return component_elements(name, component, placed)
    return (Parallel(name, tuple(_leg(inner, leg) for inner, leg in component)),)


def _leg(name, component):
    """Return one of several side by side; one that is a short in some members gets a pair of its own."""
    elements = component_elements(name, component, "across")
    return elements[0] if len(elements) == 1 and not np.any(shorts(component)) else Series("leg", elements)


def component_elements(name, component, placed):
    """Return the elements of one component; one that is left out across the line becomes an open branch."""
    value, loss = _value_and_loss(component)
    kind = {Resistor: Resistance, Inductor: Inertance, Capacitor: Compliance}[type(component)]
    if placed == "in series":
        return present(kind("network", name, value), *_loss_element(name, loss))
    absent = value == 0 if kind is Compliance else np.isinf(value)
    loss = np.where(absent, OPEN, loss)[()]
    harmless = np.inf if kind is Compliance else 0.0
    return present(kind("network", name, np.where(absent, harmless, value)[()]), *_loss_element(name, loss))


def _value_and_loss(component):
    if isinstance(component, Resistor):
        return component.resistance, 0.0
    value = component.inductance if isinstance(component, Inductor) else component.capacitance
    return value, component.resistance


def _loss_element(name, loss):
    return (Resistance("network", f"resistance of {name}", loss),)


def present(*elements, short=True):
    """Leave out the elements that no member of the family has.

    In series (`short`) an absent element is a short: R = 0, L = 0, C = inf; across something else it is open:
    R = inf.
    """
    return tuple(e for e in elements if not _absent(e, short))


def _absent(element, short):
    if isinstance(element, Series):
        return False
    none = 0.0 if short and not isinstance(element, Compliance) else np.inf
    return bool(np.all(np.asarray(element.value) == none))
