"""What follows from a part, in words, for whoever describes it."""

from __future__ import annotations

import functools
from math import isinf

from ...design.wiring import meter_reading
from ...parts.amplifier import Amplifier, HeadUnit
from ...parts.box import Door, SealedBox, VentedBox
from ...parts.cabin import Cabin
from ...parts.line import Converter
from ...parts.port import cube_side
from ...parts.stand_in import size_in_mm
from ...response.remarks import BOX_REMARK, doubt_of_hole, doubt_of_ringing
from ...tables.channels import KeptChannel
from ...tables.entries import in_words
from ...tables.feeds import NOT_KNOWN
from ...tables.readings import KeptReadings
from ...units import inch
from .facts import port
from .forms import worded
from .systems import AREA, FREQUENCY, LENGTH, LEVEL, RESISTANCE, SYSTEMS, TRAVEL, VOLTAGE, VOLUME, WAY, Shown

# What people in the US read in other units.
CUSTOMARY = {
    **dict.fromkeys(("size", "diameter", "depth", "cutout", "length", "width", "height"), LENGTH),
    **dict.fromkeys(("Vas", "displacement", "volume"), VOLUME),
    **dict.fromkeys(("Sd", "port_area", "hole_area"), AREA),
    **dict.fromkeys(("xmax", "crack_thickness"), TRAVEL),
    **dict.fromkeys(("path", "longest_side", "crack_length", "ear_box", "reference_distance"), WAY),
}


def in_both(kind, key, value):
    """Return a value with its unit as text, and as read in the US where that differs."""
    if isinstance(value, str):
        return (value,)
    if key == "ear":
        return tuple(place_text(value, WAY.shown(system)) for system in SYSTEMS)
    if isinstance(value, tuple):  # of an oval
        return size_in_mm(value), f"{' x '.join(f'{axis / inch:.2f}' for axis in value)} inches"
    metric = in_words(kind, key, value, digits=4)
    said = Shown.in_words if kind == "cabin" else Shown.text  # a cabin is measured with a tape, to three digits at best
    return (metric, said(CUSTOMARY[key].customary, value)) if key in CUSTOMARY else (metric,)


def rows(kind, key, value, label):
    """Yield what is known of a part for a table, a row for each place and each level: what it is, and its value."""
    if key == "places":
        yield from ((f"{label}: {name}", *in_both(kind, "ear", place)) for name, place in value.items())
    elif key == "table":
        yield from ((f"{label} at {hertz:g} Hz", LEVEL.metric.text(level)) for hertz, level in value)
    elif key == "at_volumes":
        for volume, table in value.items():
            read = (f"{hertz:g} Hz {10 ** (level / 20):.3g} V" for hertz, level in table.points)
            yield f"{label}: {volume:g}", ", ".join(read)
    elif key == "feeds":
        yield from ((label, member if isinstance(member, str) else " + ".join(member)) for member in value)
    elif key == "line":
        yield from (
            (f"{label}: {name}", in_words("driver", "built_in_capacitance", farads)) for name, farads in value.items()
        )
    else:
        yield (label, *in_both(kind, key, worded(kind, key, value)))


def place_text(place, shown):
    """Return a place as text in the unit that is shown. [m]"""
    return f"{', '.join(f'{shown.number(length):.2f}' for length in place)} {shown.unit}"


def both(kind, value):
    """Return a value as text in both systems of units."""
    return " or ".join(dict.fromkeys(kind.shown(system).text(value) for system in SYSTEMS))


@functools.singledispatch
def sentences(part):
    """Yield what follows from a part."""
    raise TypeError(f"nothing is known to follow from {part!r}")


@sentences.register
def from_sealed_box(box: SealedBox):
    side = both(LENGTH, cube_side(box.volume))
    yield f"A sealed box of {both(VOLUME, box.volume)}, as much as a cube of {side} a side."


@sentences.register
def from_vented_box(box: VentedBox):
    side = both(LENGTH, cube_side(box.volume))
    yield f"A vented box of {both(VOLUME, box.volume)}, as much as a cube of {side} a side, tuned to {box.fb:g} Hz."
    if box.port_area is None:
        yield "Without a port area, this cannot tell the port's length or the speed of the air in it."
        return
    yield f"A round port of that area: {port(box.port_area, box.fb, box.volume).in_both()}."


@sentences.register
def from_door(door: Door):
    yield f"A door with {both(VOLUME, door.volume)} of air."
    if not door.opening_area:
        yield "It is sealed."
    elif door.crack is None:
        yield f"The hole resonates with that air at {FREQUENCY.metric.text(door.hole_resonance())}."
    if doubt := doubt_of_hole(door):
        yield doubt
    if door.longest_side is None:
        yield "Without its longest side, this cannot tell up to where the model holds."


@sentences.register
def from_amplifier(amplifier: Amplifier):
    yield f"A channel gives {VOLTAGE.metric.text(amplifier.voltage)} r.m.s. at most."
    if amplifier.minimum_load < amplifier.rated_impedance:
        yield "Into a lower load it may give more power, but never more voltage. Its sheet says what it gives there."
    if amplifier.channels % 2 == 0:
        bridged = amplifier.bridged()
        yield (
            f"Two bridged channels give {VOLTAGE.metric.text(bridged.voltage)} at most, into no less than "
            f"{bridged.minimum_load:g} ohm."
        )


@sentences.register
def from_head_unit(unit: HeadUnit):
    power, volts = unit.power_into(unit.minimum_load), VOLTAGE.metric.text(unit.voltage)
    yield f"An output gives {volts} r.m.s. at most: {power:.0f} W into {unit.minimum_load:g} ohm."


@sentences.register
def from_cabin(cabin: Cabin):
    yield f"It holds {cabin.air_volume:.3g} m³ of air, {VOLUME.customary.in_words(cabin.air_volume)}."
    yield from _doubts(cabin)
    if cabin.law == "measured":
        first, last = cabin.table[0][0], cabin.table[-1][0]
        yield f"It was measured from {first:.4g} to {last:.4g} Hz. Beyond, the first and last level stay: a guess."
        return
    if cabin.by_places:
        crowded = FREQUENCY.metric.in_words(cabin.modal_limit)
        yield f"From about {crowded} up its resonances crowd: there it is open air."
        yield BOX_REMARK
    yield (
        f"Going by its volume, it lifts everything below {FREQUENCY.metric.in_words(cabin.volume_corner())}, or "
        f"below {FREQUENCY.metric.in_words(cabin.length_corner())} by the rule of thumb for its length."
    )
    if cabin.by_places:
        return
    yield f"The model holds well below its first resonance, {FREQUENCY.metric.in_words(cabin.first_resonance())}."


def _doubts(cabin):
    """Doubt what no vehicle has: so long a reverberation, or two things at one place."""
    if doubt := doubt_of_ringing(cabin):
        yield doubt
    places = [*cabin.places, *([("the ear", cabin.ear)] if cabin.ear else [])]
    for number, (name, place) in enumerate(places):
        yield from (f"“{name}” and “{other}” are one place." for other, at in places[number + 1 :] if at == place)


@sentences.register
def from_channel(channel: KeptChannel):
    yield "Boxes are not kept with a channel: the pages put each driver into a large panel."
    if channel.wiring == NOT_KNOWN:
        yield "How it is wired is not known yet: the page on a shared channel tells how to find out."
        return
    if any(len(group) > 1 for group in channel.wired().groups):
        yield f"Its groups are in {channel.wiring}; the drivers of a group are in {channel.wired().wiring_in_groups}."
    reading = meter_reading(channel.wired())
    shows = "OL" if isinf(reading) else RESISTANCE.metric.text(reading)
    yield f"Unplugged from the amplifier, its wires show {shows} on an ohmmeter."


@sentences.register
def from_readings(readings: KeptReadings):
    low, high = min(readings.at_volumes), max(readings.at_volumes)
    yield f"Between volume {low:g} and {high:g} the levels follow in equal steps of decibels: a guess."


@sentences.register
def from_converter(converter: Converter):
    yield "Its ratio holds with the trim turned up; what you turn it down is taken off."
    if converter.voltage is None:
        yield "Where it clips is not known, so no page can tell how far it is from there."
