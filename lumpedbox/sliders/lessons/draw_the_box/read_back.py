"""From a drawing that was kept to the controls."""

from __future__ import annotations

import dataclasses
from collections import Counter

from ...kit.words import NO_DRIVER
from .drawing import AS_TYPED, COVERS, NO_ROOM, OPEN, ROOM, VIEWS
from .lists import braces_text, by_panel_text, joints_text, keep_outs_text, places_text
from .outlines import corners_text, values_for
from .ports import port_values


def values_of(drawn, start, names):
    """Return the values that say a drawing, and what of it this page does not show. [SI]

    Parameters
    ----------
    drawn : Drawn
    start : dict
        For what the drawing leaves open. [SI]
    names : dict
        Name: Driver, of those that are offered.
    """
    box, inside = drawn.box, drawn.inside
    seats, no_seat = _seat_values(inside.drivers, names)
    ports, no_port = port_values(inside.ports, box.with_layers(inside.layers))
    values = start | _shape_values(start, box.profile) | _box_values(box, start) | seats | ports
    values |= _other_values(inside, seats.get("driver_in")) | _room_values(drawn.space, box.panel_names, values)
    for sold in drawn.stock[:1]:
        values |= {"sheet_length": sold.length, "sheet_width": sold.width, "kerf": sold.kerf, "trim": sold.trim}
    return values, [*no_seat, *no_port, *_not_shown(box, inside)]


def _shape_values(start, profile):
    for shape in ("wedge", "step"):
        found = values_for(start | {"shape": shape}, profile)
        if "shape" not in found:
            return found | {"shape": shape}
    return values_for(start, profile) | {"shape": "corners"}


def _box_values(box, start):
    return {
        "width": box.width,
        "view": next(name for name, view in VIEWS.items() if view == box.view),
        "board": box.board.thickness,
        "density": box.board.density or start["density"],
        "boards": by_panel_text({name: board.thickness for name, board in box.boards}),
        "joints": joints_text(dict(box.joints)),
        "order": next((name for name, order in COVERS.items() if order == box.order), AS_TYPED),
        "order_typed": ", ".join(box.order),
    }


def _seat_values(seats, names):
    if not seats:
        return {"driver": NO_DRIVER}, []
    seat = seats[0]
    name = next((name for name, driver in names.items() if driver == seat.driver), None)
    name = name or next((name for name, driver in names.items() if driver.name == seat.driver.name), None)
    if name is None:
        told = f"the driver {seat.driver.name or 'without a name'}, which is not among your parts"
        return {"driver": NO_DRIVER}, [told]
    alike = [(other.panel, other.along, other.across) for other in seats[1:] if _anywhere(other) == _anywhere(seat)]
    values = {
        "driver": name,
        "driver_in": seat.panel,
        "along": seat.along,
        "across": seat.across or 0.0,
        "magnet": seat.magnet or 0.0,
        "basket": seat.basket or 0.0,
        "breathing": seat.breathing,
        "printed_from": seat.printed_from,
        "more_drivers": places_text(alike),
    }
    return values, ["drivers unlike the first"] if len(alike) < len(seats) - 1 else []


def _anywhere(seat):
    return dataclasses.replace(seat, panel="", along=0.0, across=None)


def _other_values(inside, panel):
    """Return the values of layers, braces and terminal; the layer under the driver has a slider of its own."""
    layers = inside.layers
    second = layers.pop(panel, 0.0) if panel in layers else 0.0
    values = {"second_layer": second, "layers": by_panel_text(layers), "braces": braces_text(inside.braces)}
    for cup in inside.cups[:1]:
        values |= {"cup": sum(each.volume for each in inside.cups), "cup_in": cup.panel or OPEN}
    return values


def _room_values(space, panels, values):
    if space is None:
        return {"room": NO_ROOM}
    opening = space.opening or (0.0, values["opening_height"])
    gap, own = _gap_values(space, panels)
    return {
        "room": ROOM,
        "room_corners": corners_text(space.points, space.side_names),
        "room_width": space.width,
        "gap": gap,
        "own_gaps": by_panel_text(own),
        "keep_outs": keep_outs_text(dict(space.keep_outs)),
        "opening_width": opening[0],
        "opening_height": opening[1],
    }


def _gap_values(space, panels):
    """Return the gap that most panels have, and the others. [m]"""
    gaps = {name: space.gap(name) for name in panels}
    usual = Counter(gaps.values()).most_common(1)[0][0]
    own = {name: gap for name, gap in gaps.items() if gap != usual}
    return usual, own | {name: space.gap(name) for name, _ in space.keep_outs if space.gap(name)}


def _not_shown(box, inside):
    """Return what of a drawing this page has no place for, in words."""
    told = []
    if any(board != dataclasses.replace(box.board, thickness=board.thickness) for _, board in box.boards):
        told.append("boards that are not of the same wood")
    if len(inside.cups) > 1:
        told.append("where more than one terminal sits")
    return told
