"""From the controls to the box that is drawn, and back."""

from __future__ import annotations

import math

from ....build import (
    Board,
    Carcass,
    Drawn,
    Inside,
    Lining,
    PortRun,
    Seat,
    Space,
    Stock,
    carcass_for,
    with_net_volume,
)
from ....build.carcass import CHEEKS
from ....parts.box import VentedBox
from ....parts.port import Port
from ...kit.words import NO_DRIVER
from .outlines import corners_text, read_corners, shape_of, values_for

# Which panels run over the ends of the others.
COVERS = {
    "cheeks, then front": (CHEEKS, "front"),
    "cheeks, then floor": (CHEEKS, "floor"),
    "front, then cheeks": ("front", CHEEKS),
}
NO_ROOM, ROOM = "not told", "corners of the room"
DENSITY = 680.0  # kg/m3, of wood-based board (common practice, no source)
MODULUS = 3e9  # Pa, of the same, along and across alike (common practice, no source)
PORT_WALL = 3e-3  # m, of a tube of plastic (common practice, no source)


def drawn_of(values, drivers):
    """Return the `Drawn` that the controls say, and what to mind about its shape.

    Parameters
    ----------
    values : dict
        [SI]
    drivers : dict
        Name: Driver.
    """
    profile, remarks = shape_of(values)
    order = tuple(name for name in COVERS[values["order"]] if name in (CHEEKS, *profile.names))
    board = Board(thickness=values["board"], density=DENSITY, modulus=MODULUS)
    box = Carcass(profile=profile, width=values["width"], board=board, order=order)
    return Drawn(box=box, inside=_inside(values, drivers), space=_space(values), stock=_stock(values)), remarks


def _inside(values, drivers):
    drivers_, ports, others = (), (), ()
    if values["driver"] != NO_DRIVER:
        driver, panel = drivers[values["driver"]], values["driver_in"]
        drivers_ = (Seat(driver=driver, panel=panel, along=values["along"], printed_from=values["printed_from"]),)
        others = (Lining(panel=panel, thickness=values["second_layer"]),) if values["second_layer"] else ()
    if values["port"]:
        port = Port(length=values["port_length"], diameter=values["port"])
        ports = (PortRun(port=port, panel=values["port_in"], along=values["port_along"], wall=PORT_WALL),)
    return Inside(drivers=drivers_, ports=ports, others=others)


def _space(values):
    if values["room"] == NO_ROOM:
        return None
    points, names = read_corners(values["room_corners"])
    opening = (values["opening_width"], values["opening_height"]) if values["opening_width"] else None
    gaps = dict.fromkeys((*shape_of(values)[0].names, "left cheek", "right cheek"), values["gap"])
    return Space(points=points, names=names, width=values["room_width"], opening=opening, gaps=gaps)


def _stock(values):
    thicknesses = {values["board"], *([values["second_layer"]] if values["second_layer"] else [])}
    sheet = {"length": values["sheet_length"], "width": values["sheet_width"], "kerf": values["kerf"]}
    return tuple(Stock(thickness=thickness, **sheet) for thickness in sorted(thicknesses))


def solved(values, drivers):
    """Return the values with one dimension changed so that net litres and tuning are those that are wanted. [SI]

    Raises
    ------
    ValueError
        If no such box is left: the message says how far it goes.
    """
    drawn, _ = drawn_of(values, drivers)
    by, net = values["gives"], values["wanted"]
    if values["port"]:
        area = math.pi * values["port"] ** 2 / 4
        wanted = VentedBox(volume=net, fb=values["tuning"], port_area=area)
        box, inside = carcass_for(wanted, drawn.box, drawn.inside, by)
        return values | for_the_box(values, box) | {"port_length": float(inside.ports[0].port.length)}
    return values | for_the_box(values, with_net_volume(drawn.box, drawn.inside, net, by))


def for_the_box(values, box):
    """Return the values that say a changed box. [SI]"""
    return values_for(values, box.profile) | {"width": float(box.width)}


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
    values = start | _shape_values(start, box.profile) | {"width": box.width, "board": box.board.thickness}
    left_out = []
    values["order"] = next((name for name, order in COVERS.items() if order == box.order), next(iter(COVERS)))
    if COVERS[values["order"]] != box.order:
        left_out.append("which panel covers which")
    values["driver"], values["port"] = NO_DRIVER, 0.0
    for seat in inside.drivers[:1]:
        name = next((name for name, driver in names.items() if driver == seat.driver), None)
        name = name or next((name for name, driver in names.items() if driver.name == seat.driver.name), None)
        if name is None:
            left_out.append(f"the driver {seat.driver.name or 'without a name'}, which is not among your parts")
            continue
        values |= {"driver": name, "driver_in": seat.panel, "along": seat.along, "printed_from": seat.printed_from}
    for run in inside.ports[:1]:
        if run.round and not run.bends:
            values |= {"port": run.port.diameter, "port_length": run.port.length}
            values |= {"port_in": run.panel, "port_along": run.along}
        else:
            left_out.append("a port that is bent or a slot")
    layers = list(inside.layers.values())
    values["second_layer"] = layers[0] if layers else 0.0
    values |= _room_values(drawn.space, values)
    for sold in drawn.stock[:1]:
        values |= {"sheet_length": sold.length, "sheet_width": sold.width, "kerf": sold.kerf}
    left_out += [*_not_shown(box, inside), *_not_shown_of(drawn.space)]
    return values, left_out


def _shape_values(start, profile):
    for shape in ("wedge", "step"):
        found = values_for(start | {"shape": shape}, profile)
        if "shape" not in found:
            return found | {"shape": shape}
    return values_for(start, profile) | {"shape": "corners"}


def _room_values(space, values):
    if space is None:
        return {"room": NO_ROOM}
    opening = space.opening or (0.0, values["opening_height"])
    return {
        "room": ROOM,
        "room_corners": corners_text(space.points, space.side_names),
        "room_width": space.width,
        "gap": max(dict(space.gaps).values(), default=0.0),
        "opening_width": opening[0],
        "opening_height": opening[1],
    }


def _not_shown(box, inside):
    told = []
    if box.boards:
        told.append("boards of another thickness")
    if len(inside.drivers) > 1 or len(inside.ports) > 1:
        told.append("all but the first driver and port")
    if inside.braces or inside.cups:
        told.append("braces and cup")
    if box.joints:
        told.append("joints that were named")
    return told


def _not_shown_of(space):
    if space is None:
        return []
    told = [f"what the box must stay clear of ({name})" for name, _ in space.keep_outs]
    if len(set(dict(space.gaps).values())) > 1:
        told.append("gaps that differ: the widest is left all round")
    return told
