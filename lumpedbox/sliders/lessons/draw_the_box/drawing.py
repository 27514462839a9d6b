"""From the controls to the box that is drawn, and back to the controls of a box that was changed."""

from __future__ import annotations

from ....build import (
    Board,
    Carcass,
    Cup,
    Drawn,
    Inside,
    Lining,
    Seat,
    Space,
    Stock,
    carcass_for,
    with_net_volume,
)
from ....build.board import USUAL_MODULUS
from ....build.carcass import CHEEKS, LEFT, RIGHT
from ....build.workings.settling import settled
from ....parts.box import VentedBox
from ...kit.words import NO_DRIVER
from .lists import GAP, read_braces, read_by_panel, read_joints, read_keep_outs, read_order, read_places
from .outlines import read_corners, shape_of, values_for
from .ports import is_slot, ported, ports_of

# Which panels run over the ends of the others.
COVERS = {
    "cheeks, then front": (CHEEKS, "front"),
    "cheeks, then floor": (CHEEKS, "floor"),
    "front, then cheeks": ("front", CHEEKS),
}
AS_TYPED = "as typed"
NO_ROOM, ROOM = "not told", "corners of the room"
OPEN = "not told"
VIEWS = {"the side": "side", "above": "plan"}


def driven(values):
    """Tell whether there is a driver."""
    return values["driver"] != NO_DRIVER


def roomy(values):
    """Tell whether the room is told."""
    return values["room"] != NO_ROOM


def slots(values):
    """Tell whether there is a slot."""
    return ported(values) and is_slot(values)


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
    box = _box(values, profile)
    inside = _inside(values, drivers, box)
    return Drawn(box=box, inside=inside, space=_space(values, box), stock=_stock(values, box, inside)), remarks


def _box(values, profile):
    names = profile.names

    def board(thickness):
        return Board(thickness=thickness, density=values["density"], modulus=USUAL_MODULUS)

    if values["order"] == AS_TYPED:
        order = read_order(values["order_typed"], names)
    else:
        order = tuple(name for name in COVERS[values["order"]] if name in (CHEEKS, *names))
    others = read_by_panel(values["boards"], (*names, LEFT, RIGHT))
    return Carcass(
        profile=profile,
        width=values["width"],
        board=board(values["board"]),
        boards={name: board(thickness) for name, thickness in others.items()},
        order=order or (CHEEKS,),
        joints=read_joints(values["joints"], names),
        view=VIEWS[values["view"]],
    )


def _inside(values, drivers, box):
    names = box.panel_names
    layers, under = read_by_panel(values["layers"], names), values["driver_in"]
    if driven(values) and values["second_layer"]:
        if under in layers:
            raise ValueError(f"The {under} has two second layers: leave out one, or give their thickness together.")
        layers = {under: values["second_layer"]} | layers
    others = [Lining(panel=panel, thickness=thickness) for panel, thickness in layers.items()]
    others += read_braces(values["braces"], values["board"], names)
    if values["cup"]:
        others.append(Cup(volume=values["cup"], panel="" if values["cup_in"] == OPEN else values["cup_in"]))
    ports = ports_of(values, box.with_layers(layers)) if ported(values) else ()
    return Inside(drivers=_seats(values, drivers, box), ports=ports, others=others)


def _seats(values, drivers, box):
    if not driven(values):
        return ()
    told = {name: values[name] for name in ("magnet", "basket") if values[name]}
    first = (values["driver_in"], values["along"], values["across"] or None)
    return tuple(
        Seat(
            driver=drivers[values["driver"]],
            panel=panel,
            along=along,
            across=across,
            printed_from=values["printed_from"],
            breathing=values["breathing"],
            **told,
        )
        for panel, along, across in (first, *read_places(values["more_drivers"], box.profile.names))
    )


def _space(values, box):
    if not roomy(values):
        return None
    points, names = read_corners(values["room_corners"])
    clear, panels = read_keep_outs(values["keep_outs"]), (*box.profile.names, LEFT, RIGHT)
    gaps = dict.fromkeys(panels, values["gap"]) | read_by_panel(values["own_gaps"], (*panels, *clear), GAP)
    opening = (values["opening_width"], values["opening_height"]) if values["opening_width"] else None
    width = values["room_width"]
    return Space(points=points, names=names, width=width, opening=opening, gaps=gaps, keep_outs=clear)


def _stock(values, box, inside):
    """Return a sheet for each thickness of board that the box needs."""
    thicknesses = {box.board.thickness, *(board.thickness for _, board in box.boards), *inside.layers.values()}
    thicknesses |= {brace.thickness for brace in inside.braces} | {run.wall for run in inside.ports if not run.round}
    sheet = {"length": values["sheet_length"], "width": values["sheet_width"]}
    sheet |= {"kerf": values["kerf"], "trim": values["trim"]}
    return tuple(Stock(thickness=thickness, **sheet) for thickness in sorted(thicknesses))


def solved(values, drivers):
    """Return the values with one dimension changed so that net litres and tuning are those that are wanted. [SI]

    Raises
    ------
    ValueError
        If no such box is left: the message says how far it goes.
    """
    if slots(values) and values["gives"] == "width":  # a slot from cheek to cheek is as wide as the box
        width = settled(lambda width: _solved_once(values | {"width": float(width)}, drivers)["width"], values["width"])
        values = values | {"width": float(width)}
    return _solved_once(values, drivers)


def _solved_once(values, drivers):
    """Solve with the port as wide and where it is now: a slot from cheek to cheek then follows the box."""
    drawn, _ = drawn_of(values, drivers)
    by, net = values["gives"], values["wanted"]
    if not ported(values):
        return values | for_the_box(values, with_net_volume(drawn.box, drawn.inside, net, by))
    area = sum(float(run.port.area) for run in drawn.inside.ports)
    wanted = VentedBox(volume=net, fb=values["tuning"], port_area=area)
    box, inside = carcass_for(wanted, drawn.box, drawn.inside, by)
    return values | for_the_box(values, box) | {"port_length": float(inside.ports[0].port.length)}


def for_the_box(values, box):
    """Return the values that say a changed box. [SI]"""
    return values_for(values, box.profile) | {"width": float(box.width)}
