"""The controls of the page, in five steps, without what is folded away."""

from __future__ import annotations

from ....units import litre, mm
from ...kit.controls import Choice, Slider
from ...kit.feed import Exact, Known
from ...kit.offered import first_of, fit_for
from ...kit.systems import ANGLE, FREQUENCY, TRAVEL, VOLUME, WOOD
from ...kit.words import NO_DRIVER
from . import more
from .drawing import AS_TYPED, COVERS, NO_ROOM, ROOM, driven, roomy, slots
from .fields import Corners, Items, OneOfThePanels
from .lists import read_order
from .outlines import CORNERS, SHAPES, STEP, TEMPLATE, WEDGE, corners_text, edges_text, read_corners, read_edges
from .ports import NO_WALL, PORTS, TUBE, is_slot, lies_free, ported
from .steps import AROUND, BOARD, INSIDE, LITRES, SHAPE, STEPS, at, panels_of

FIRST = "200 mm bass"
A_WEDGE = "0, 0, floor\n400, 0, front\n360, 480, top\n0, 480, back"
A_TEMPLATE = "400, 90, floor\n481.7, 85.2, front\n360, 94.8, top\n480, 90, back"
A_ROOM = "-20, -5, floor of the room\n480, -5, seat\n440, 520, shelf\n-20, 520, wall"


def drivers_of(offer):
    """Return the drivers that can sit in a box, by name, and which of one's own cannot, in words."""
    found, missed = fit_for("draw_the_box", "driver", offer.drivers)
    told = " ".join(f"{name}: {why}." for name, why in missed.items() if name in offer.mine)
    return found, told


def gives_of(values):
    """Return what can be changed to get the litres."""
    return ("width", *panels_of(values))


def _sized(values):
    return values["shape"] in (WEDGE, STEP)


def _walls(values):
    """Return the panels beside that of the port, along which a slot may run."""
    names = panels_of(values)
    here = names.index(values["port_in"]) if values["port_in"] in names else 0
    return (names[here - 1], names[(here + 1) % len(names)], NO_WALL)


def controls_of(drivers, left_out):
    """Return all controls.

    Parameters
    ----------
    drivers : dict
        Name: Driver.
    left_out : str
        Which of the reader's own are not among them, and why.
    """
    return [
        Choice("step", "Now set", STEPS, SHAPE, group="box"),
        *_of_the_shape(),
        *more.of_the_shape(),
        *_inside(drivers, left_out),
        *more.inside(),
        *_of_the_litres(),
        *_around(),
        *more.around(),
        *_of_the_board(),
        *more.of_the_board(),
    ]


def _of_the_shape():
    cornered, cut_out = at(SHAPE, _is(CORNERS)), at(SHAPE, _is(TEMPLATE))
    sized = at(SHAPE, _sized)
    stepped = at(SHAPE, lambda values: values["shape"] == STEP)
    return [
        Choice("shape", "Shape", SHAPES, WEDGE, group="shape", only=at(SHAPE)),
        Exact("depth", "Depth at the floor", WOOD, 0.08, 1.5, 0.4, 5 * mm, "shape", sized),
        Exact("height", "Height", WOOD, 0.08, 1.5, 0.48, 5 * mm, "shape", sized),
        Slider("lean", "Lean of the front", ANGLE, -40.0, 60.0, 5.0, 1.0, "shape", sized),
        Exact("step_back", "Step, how far in", WOOD, 0.02, 1.0, 0.15, 5 * mm, "shape", stepped),
        Exact("step_up", "Step, how high", WOOD, 0.02, 1.0, 0.2, 5 * mm, "shape", stepped),
        Corners("corners", "Corners [{unit}]: x, y, edge", A_WEDGE, read_corners, corners_text, "shape", cornered),
        Corners(
            "template", "Edges [{unit}]: length, degrees, name", A_TEMPLATE, read_edges, edges_text, "shape", cut_out
        ),
        Exact("width", "Width", WOOD, 0.06, 1.6, 0.275, 5 * mm, "shape", at(SHAPE)),
    ]


def _is(shape):
    return lambda values: values["shape"] == shape


def _inside(drivers, left_out):
    seated, through, slot = at(INSIDE, driven), at(INSIDE, ported), at(INSIDE, slots)
    tube, free = at(INSIDE, lambda values: not is_slot(values)), at(INSIDE, lies_free)
    first = first_of(FIRST, drivers)
    return [
        Choice("driver", "Driver", (*drivers, NO_DRIVER), first, left_out, "driver", at(INSIDE)),
        OneOfThePanels("driver_in", "It sits in the", panels_of, "front", "driver", seated),
        Exact("along", "Its middle, along it", WOOD, 0.02, 1.5, 0.2, 5 * mm, "driver", seated),
        Choice("port_kind", "Port is a", PORTS, TUBE, group="port", only=at(INSIDE)),
        Known("port", "Port, inside diameter", WOOD, 0.2, 0.06, 1 * mm, "port", tube, unknown="no port"),
        Exact("slot_height", "Slot, height", WOOD, 0.005, 0.2, 0.03, 1 * mm, "port", slot),
        Exact("port_length", "Its length", WOOD, 0.02, 1.2, 0.28, 1 * mm, "port", through),
        OneOfThePanels("port_in", "It leaves by the", panels_of, "front", "port", through),
        OneOfThePanels("slot_wall", "It runs along the", _walls, "top", "port", slot),
        Exact("port_along", "Its middle, along it", WOOD, 0.02, 1.5, 0.395, 5 * mm, "port", free),
    ]


def _of_the_litres():
    return [
        Slider("wanted", "Wanted, net", VOLUME, 1 * litre, 300 * litre, 30 * litre, 0.5 * litre, "litres", at(LITRES)),
        Slider("tuning", "Wanted tuning", FREQUENCY, 15.0, 120.0, 33.0, 0.5, "litres", at(LITRES, ported)),
        OneOfThePanels("gives", "What gives", gives_of, "width", "litres", at(LITRES)),
    ]


def _around():
    told = at(AROUND, roomy)
    return [
        Choice("room", "Room for the box", (NO_ROOM, ROOM), NO_ROOM, group="room", only=at(AROUND)),
        Corners("room_corners", "Its corners [{unit}]: x, y, side", A_ROOM, read_corners, corners_text, "room", told),
        Exact("room_width", "Its width", WOOD, 0.1, 3.0, 0.9, 5 * mm, "room", told),
        Exact("gap", "Gap to leave all round", WOOD, 0.0, 0.1, 5 * mm, 1 * mm, "room", told),
        Known("opening_width", "Way in, width", WOOD, 2.0, 0.0, 5 * mm, "room", told, unknown="open"),
        Exact(
            "opening_height",
            "Way in, height",
            WOOD,
            0.05,
            2.0,
            0.6,
            5 * mm,
            "room",
            at(AROUND, lambda values: roomy(values) and values["opening_width"] > 0),
        ),
    ]


def _typed_order(values):
    return values["order"] == AS_TYPED


def _order(text, values):
    return read_order(text, panels_of(values))


def _of_the_board():
    return [
        Exact("board", "Board, as measured", TRAVEL, 4 * mm, 40 * mm, 18 * mm, 0.5 * mm, "board", at(BOARD)),
        Choice("order", "Covers the others", (*COVERS, AS_TYPED), next(iter(COVERS)), group="board", only=at(BOARD)),
        Items("order_typed", "Which covers the next", _order, "front, cheeks, floor", "board", at(BOARD, _typed_order)),
        Exact("sheet_length", "Sheet, length", WOOD, 0.2, 3.2, 1.22, 10 * mm, "board", at(BOARD)),
        Exact("sheet_width", "Sheet, width", WOOD, 0.2, 3.2, 0.61, 10 * mm, "board", at(BOARD)),
        Exact("kerf", "The saw takes", TRAVEL, 0.0, 6 * mm, 3.2 * mm, 0.2 * mm, "board", at(BOARD)),
    ]
