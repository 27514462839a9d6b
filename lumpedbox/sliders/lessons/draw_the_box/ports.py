"""The port by its controls: a tube, bent or straight, or a slot of boards, alone or against walls of the box."""

from __future__ import annotations

import dataclasses

from ....build import PortRun
from ....build.carcass import LEFT, RIGHT
from ....build.workings.placing import against
from ....parts.port import Port
from ....units import mm
from .lists import bends_text, places_text, read_bends, read_places
from .tape import tape_of

TUBE, SLOT = "tube", "slot of boards"
PORTS = (TUBE, SLOT)
NO_WALL = "no wall"
BOTH, NEITHER = "both cheeks", "neither cheek"
BESIDE = (BOTH, LEFT, RIGHT, NEITHER)
PORT_WALL = 3 * mm  # of a tube of plastic (common practice, no source)
NEAR = 1e-7  # m: what lies so near to a wall lies against it


def is_slot(values):
    """Tell whether the port is one of boards."""
    return values["port_kind"] == SLOT


def ported(values):
    """Tell whether there is a port."""
    return is_slot(values) or values["port"] > 0


def lies_free(values):
    """Tell whether the port lies where it is put: a slot that runs along a wall lies against it."""
    return ported(values) and not (is_slot(values) and values["slot_wall"] != NO_WALL)


def ports_of(values, box):
    """Return each `PortRun` that the controls say; the box has its second layers.

    Parameters
    ----------
    values : dict
        [SI]
    box : Carcass
    """
    if not ported(values):
        return ()
    first = _slot(values, box) if is_slot(values) else _tube(values)
    more = read_places(values["more_ports"], box.profile.names)
    return (first, *(dataclasses.replace(first, panel=p, along=s, across=z) for p, s, z in more))


def _tube(values):
    port = Port(length=values["port_length"], diameter=values["port"])
    return PortRun(port=port, wall=values["tube_wall"], **_place(values))


def _place(values):
    across = {"across": values["port_across"]} if values["port_across"] else {}
    bends, end = read_bends(values["bends"]), 0.0
    for after, _ in bends:
        if after <= end:
            raise ValueError("Each bend of the port comes after the one before it: put the nearest to the panel first.")
        end = after
    if end >= values["port_length"]:
        tape, _ = tape_of(values["bends"])
        bend, length = (f"{tape.bare(each)} {tape.unit}" for each in (end, values["port_length"]))
        told = f"The port bends after {bend}, but is only {length} long"
        raise ValueError(f"{told}: make it longer, or bend it earlier.")
    return {"panel": values["port_in"], "along": values["port_along"], "bends": bends} | across


def _slot(values, box):
    wall, beside, high = values["slot_wall"], values["slot_beside"], values["slot_height"]
    cheeks = {BOTH: (LEFT, RIGHT), NEITHER: ()}.get(beside, (beside,))
    wide = box.clear_width if beside == BOTH else values["slot_width"]
    place = _place(values) | {"shares": (*((wall,) if wall != NO_WALL else ()), *cheeks)}
    if wall != NO_WALL:
        place["along"] = against(box, values["port_in"], wall, high)
    if cheeks:
        place["across"] = middle_across(box, cheeks, wide)
    own = values["slot_board"] or values["board"]
    return PortRun(port=Port(length=values["port_length"], width=wide, height=high), wall=own, **place)


def middle_across(box, cheeks, wide):
    """Return where across the box the middle of a slot lies against one cheek, or between both. [m]"""
    left, right = box.thickness_of(LEFT), box.width - box.thickness_of(RIGHT)
    if len(cheeks) == 2:
        return (left + right) / 2
    return left + wide / 2 if LEFT in cheeks else right - wide / 2


def port_values(runs, box):
    """Return the values that say some ports, and what of them this page does not show. [SI]

    Parameters
    ----------
    runs : tuple of PortRun
    box : Carcass
        With its second layers.
    """
    if not runs:
        return {"port_kind": TUBE, "port": 0.0, "more_ports": "", "bends": ""}, []
    run = runs[0]
    alike = [other for other in runs[1:] if _elsewhere(other) == _elsewhere(run)]
    found = {
        "port_length": run.port.length,
        "port_in": run.panel,
        "port_along": run.along,
        "port_across": run.across or 0.0,
        "bends": bends_text(run.bends),
        "more_ports": places_text([(other.panel, other.along, other.across) for other in alike]),
    }
    left_out = ["ports unlike the first"] if len(alike) < len(runs) - 1 else []
    if run.round:
        return found | {"port_kind": TUBE, "port": run.port.diameter, "tube_wall": run.wall}, left_out
    slot, lies_off = _slot_values(run, box)
    return found | slot, left_out + lies_off


def _elsewhere(run):
    return dataclasses.replace(run, panel="", along=0.0, across=None)


def _slot_values(run, box):
    walls = [name for name in run.shares if not name.endswith("cheek")]
    cheeks = [name for name in (LEFT, RIGHT) if name in run.shares]
    wall = walls[0] if walls else NO_WALL
    beside = {0: NEITHER, 2: BOTH}.get(len(cheeks)) or cheeks[0]
    high, wide = run.sides
    off = [abs(run.along - against(box, run.panel, wall, high))] if walls else []
    if cheeks:
        across = box.width / 2 if run.across is None else run.across
        off.append(abs(across - middle_across(box, cheeks, wide)))
    off += [abs(wide - box.clear_width)] if beside == BOTH else []
    said = ["that the slot is not quite against its walls"] if max(off, default=0.0) > NEAR else []
    own = 0.0 if run.wall == box.board.thickness else run.wall
    sizes = {"slot_height": high, "slot_width": wide, "slot_board": own}
    return {"port_kind": SLOT, "slot_wall": wall, "slot_beside": beside} | sizes, said
