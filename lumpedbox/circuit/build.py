"""How each part becomes circuit: one registration for each part."""

from __future__ import annotations

from dataclasses import replace
from functools import singledispatch

import numpy as np

from ..families import anywhere, common_shape
from ..parts.box import Door, InfiniteBaffle, PassiveRadiatorBox, SealedBox, VentedBox
from ..parts.network import Capacitor, Inductor, Resistor, SideBySide, shorts
from ..quantity import named_shapes
from .elements import (
    Compliance,
    Gyrator,
    Inertance,
    Parallel,
    Radiation,
    Resistance,
    SemiInductance,
    Series,
    Transformer,
)
from .listening import openings
from .places import Circuit, places_of
from .transfer import transfers

# A branch that some members of a family do not have: a power of two, so that it changes no digit of the others.
OPEN = 2.0**100

ORDINALS = {1: "first", 2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth"}


def circuit(loudspeaker, voltage, distance, air, ear=None):
    """Build the circuit of a loudspeaker on a channel of its own, heard at `distance` in `air`.

    Where the `ear` is known, an opening at a place of its own is heard from there.
    """
    source = Resistance("amplifier", "source resistance", loudspeaker.source_resistance)
    return _heard(loudspeaker, branch(loudspeaker, air), (), source, loudspeaker.filters, voltage, distance, air, ear)


CONNECTIONS = {"parallel": Parallel, "series": Series}


def shared_circuit(channel, index, voltage, distance, air, ear=None):
    """Build the circuit of one of the loudspeakers on a channel, with all the others on it."""
    connected, own = connection(channel, index, air)
    source = Resistance("amplifier", "source resistance", channel.source_resistance)
    speaker = channel.each[index]
    filters = (*channel.filters, *speaker.filters)
    built = _heard(speaker, connected, own, source, filters, voltage, distance, air, ear)
    return replace(built, shape=common_shape([("loudspeaker", built.shape), *named_shapes(channel)]))


def connection(channel, index, air):
    """Return all loudspeakers of a channel as they are wired, and the address of one's own terminals."""
    built, places = [], []
    for number, group in enumerate(channel.groups):
        first = len(places) + 1
        branches = tuple(wired(speaker, air, f"{ordinal(n)} loudspeaker") for n, speaker in enumerate(group, first))
        last = [len(branch.members) - 1 for branch in branches]
        if len(group) == 1:
            built += branches
            places.append((number, *last))
            continue
        built.append(CONNECTIONS[channel.wiring_in_groups](f"{ordinal(number + 1)} group", branches))
        places += [(number, place, end) for place, end in enumerate(last)]
    return CONNECTIONS[channel.wiring]("channel", tuple(built)), places[index]


def _heard(loudspeaker, terminals, own, source, before, voltage, distance, air, ear):
    places = places_of(terminals, own)
    shapes = [("voltage", np.shape(voltage)), ("distance", np.shape(distance)), *named_shapes(ear, "ear")]
    return Circuit(
        terminals=terminals,
        own=own,
        places=places,
        source=source,
        voltage=voltage,
        before=tuple(t for f in before for t in transfers(f)),
        openings=openings(loudspeaker, terminals, places, distance, air, ear),
        shape=common_shape([*named_shapes(loudspeaker), *named_shapes(air), *shapes]),
    )


def branch(loudspeaker, air):
    """Return a loudspeaker from its terminals on."""
    driver = loudspeaker.driver
    moved = coil(driver, cone(driver, acoustic(loudspeaker.box, driver, air)))
    if driver.built_in_capacitance is not None:
        moved = Series("driver", (Compliance("driver", "built-in capacitor", driver.built_in_capacitance), moved))
    return through_network(loudspeaker.network, moved)


def wired(loudspeaker, air, place):
    """Return a loudspeaker behind a wire of its own, as the last member of a branch."""
    wire = present(Resistance("wire", "resistance of its wire", loudspeaker.source_resistance))
    return Series(place, (*wire, branch(loudspeaker, air)))


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
    eddies = (eddy,) if anywhere(driver.L2) else ()
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


@acoustic.register
def in_door(box: Door, driver, air):
    chamber = Series("box", (Compliance("box", "air in the door", box.compliance(air)),))
    sealed = np.asarray(box.opening_area) == 0
    if sealed.all():
        return chamber
    resistance = np.where(sealed, OPEN, box.hole_resistance(air))[()]
    mass = np.where(sealed, 0.0, box.hole_mass(air))[()]
    hole = (
        Inertance("hole", "air in the hole", mass),
        *present(Resistance("hole", "loss in the hole", resistance)),
        Radiation("hole", "radiation of the hole", air.density / (2 * np.pi * air.sound_speed)),
    )
    return Parallel("inside", (chamber, Series("hole", hole)))


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
    return elements[0] if len(elements) == 1 and not anywhere(shorts(component)) else Series("leg", elements)


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
    return not anywhere(element.value != none)
