"""The controls of the page, in four steps."""

from __future__ import annotations

from ....build.inside import FLANGE, INNER_FACE
from ....units import litre, mm
from ...kit.controls import Choice, Lines, Slider
from ...kit.feed import Known
from ...kit.offered import first_of, fit_for
from ...kit.systems import ANGLE, FREQUENCY, LENGTH, TRAVEL, VOLUME, Kind, Shown
from ...kit.words import NO_DRIVER
from .drawing import COVERS, NO_ROOM, ROOM
from .outlines import (
    CORNERS,
    OF_A_STEP,
    OF_A_WEDGE,
    SHAPES,
    STEP,
    TEMPLATE,
    WEDGE,
    OneOfThePanels,
    read_corners,
    read_edges,
)

SHAPE, INSIDE, LITRES, AROUND, BOARD = "shape", "driver and port", "litres", "room for it", "boards and saw"
STEPS = (SHAPE, INSIDE, LITRES, AROUND, BOARD)
FIRST = "200 mm bass"
A_WEDGE = "0, 0, floor\n400, 0, front\n360, 480, top\n0, 480, back"
A_TEMPLATE = "400, 90, floor\n481.7, 85.2, front\n360, 94.8, top\n480, 90, back"
A_ROOM = "-20, -5, floor of the room\n480, -5, seat\n440, 520, shelf\n-20, 520, wall"


def drivers_of(offer):
    """Return the drivers that can sit in a box, by name, and which of one's own cannot, in words."""
    found, missed = fit_for("draw_the_box", "driver", offer.drivers)
    told = " ".join(f"{name}: {why}." for name, why in missed.items() if name in offer.mine)
    return found, told


def panels_of(values):
    """Return the names of the panels that are not cheeks; of lines that cannot be read, those of a wedge."""
    try:
        return NAMES[values["shape"]](values)
    except (ValueError, TypeError):
        return OF_A_WEDGE


NAMES = {
    WEDGE: lambda values: OF_A_WEDGE,
    STEP: lambda values: OF_A_STEP,
    CORNERS: lambda values: tuple(read_corners(values["corners"])[-1]),
    TEMPLATE: lambda values: tuple(read_edges(values["template"])[-1]),
}


def gives_of(values):
    """Return what can be changed to get the litres."""
    return ("width", *panels_of(values))


def at(step, then=lambda values: True):
    """Return what tells whether a control of a step is in view, as far as it then has a meaning."""
    return lambda values: values["step"] == step and then(values)


def _sized(values):
    return values["shape"] in (WEDGE, STEP)


def _driven(values):
    return values["driver"] != NO_DRIVER


def _ported(values):
    return values["port"] > 0


def _roomy(values):
    return values["room"] != NO_ROOM


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
        *_inside(drivers, left_out),
        *_of_the_litres(),
        *_around(),
        *_of_the_board(),
    ]


def _of_the_shape():
    sized = at(SHAPE, _sized)
    stepped = at(SHAPE, lambda values: values["shape"] == STEP)
    return [
        Choice("shape", "Shape", SHAPES, WEDGE, group="shape", only=at(SHAPE)),
        Slider("depth", "Depth at the floor", LENGTH, 0.08, 1.5, 0.4, 5 * mm, "shape", sized),
        Slider("height", "Height", LENGTH, 0.08, 1.5, 0.48, 5 * mm, "shape", sized),
        Slider("lean", "Lean of the front", ANGLE, -40.0, 60.0, 5.0, 1.0, "shape", sized),
        Slider("step_back", "Step, how far in", LENGTH, 0.02, 1.0, 0.15, 5 * mm, "shape", stepped),
        Slider("step_up", "Step, how high", LENGTH, 0.02, 1.0, 0.2, 5 * mm, "shape", stepped),
        Lines("corners", "Corners [mm]: x, y, edge", A_WEDGE, read_corners, "shape", at(SHAPE, _is(CORNERS))),
        Lines("template", "Edges: mm, degrees, name", A_TEMPLATE, read_edges, "shape", at(SHAPE, _is(TEMPLATE))),
        Slider("width", "Width", LENGTH, 0.06, 1.6, 0.275, 5 * mm, "shape", at(SHAPE)),
    ]


def _is(shape):
    return lambda values: values["shape"] == shape


def _inside(drivers, left_out):
    driven, ported = at(INSIDE, _driven), at(INSIDE, _ported)
    first = first_of(FIRST, drivers)
    return [
        Choice("driver", "Driver", (*drivers, NO_DRIVER), first, left_out, "driver", at(INSIDE)),
        OneOfThePanels("driver_in", "It sits in the", panels_of, "front", "driver", driven),
        Slider("along", "Its middle, along it", LENGTH, 0.02, 1.5, 0.2, 5 * mm, "driver", driven),
        Choice("printed_from", "Takes up room from", (FLANGE, INNER_FACE), FLANGE, group="driver", only=driven),
        Slider("second_layer", "Second layer there", TRAVEL, 0.0, 40 * mm, 0.0, 1 * mm, "driver", driven),
        Known("port", "Port, inside diameter", LENGTH, 0.2, 0.06, 1 * mm, "port", at(INSIDE), unknown="no port"),
        Slider("port_length", "Its length", LENGTH, 0.02, 1.2, 0.28, 1 * mm, "port", ported),
        OneOfThePanels("port_in", "It leaves by the", panels_of, "front", "port", ported),
        Slider("port_along", "Its middle, along it", LENGTH, 0.02, 1.5, 0.395, 5 * mm, "port", ported),
    ]


def _of_the_litres():
    return [
        Slider("wanted", "Wanted, net", VOLUME, 1 * litre, 300 * litre, 30 * litre, 0.5 * litre, "litres", at(LITRES)),
        Slider("tuning", "Wanted tuning", FREQUENCY, 15.0, 120.0, 33.0, 0.5, "litres", at(LITRES, _ported)),
        OneOfThePanels("gives", "What gives", gives_of, "width", "litres", at(LITRES)),
    ]


def _around():
    roomy = at(AROUND, _roomy)
    return [
        Choice("room", "Room for the box", (NO_ROOM, ROOM), NO_ROOM, group="room", only=at(AROUND)),
        Lines("room_corners", "Its corners [mm]: x, y, side", A_ROOM, read_corners, "room", roomy),
        Slider("room_width", "Its width", LENGTH, 0.1, 3.0, 0.9, 5 * mm, "room", roomy),
        Slider("gap", "Gap to leave all round", LENGTH, 0.0, 0.1, 5 * mm, 1 * mm, "room", roomy),
        Known("opening_width", "Way in, width", LENGTH, 2.0, 0.0, 5 * mm, "room", roomy, unknown="open"),
        Slider(
            "opening_height",
            "Way in, height",
            LENGTH,
            0.05,
            2.0,
            0.6,
            5 * mm,
            "room",
            at(AROUND, lambda values: _roomy(values) and values["opening_width"] > 0),
        ),
    ]


def _of_the_board():
    kerf = Kind(Shown("mm", mm, 1), Shown("inches", 25.4 * mm, 3))
    return [
        Slider("board", "Board, as measured", TRAVEL, 4 * mm, 40 * mm, 18 * mm, 0.5 * mm, "board", at(BOARD)),
        Choice("order", "Covers the others", COVERS, next(iter(COVERS)), group="board", only=at(BOARD)),
        Slider("sheet_length", "Sheet, length", LENGTH, 0.2, 3.2, 1.22, 10 * mm, "board", at(BOARD)),
        Slider("sheet_width", "Sheet, width", LENGTH, 0.2, 3.2, 0.61, 10 * mm, "board", at(BOARD)),
        Slider("kerf", "The saw takes", kerf, 0.0, 6 * mm, 3.2 * mm, 0.2 * mm, "board", at(BOARD)),
    ]
