"""The controls that few boxes need: each step has them in a fold below the others."""

from __future__ import annotations

from ....build.board import USUAL_DENSITY
from ....build.carcass import LEFT, RIGHT
from ....build.inside import FLANGE, INNER_FACE
from ....units import cm3, litre, mm
from ...kit.controls import Choice, Slider
from ...kit.feed import Exact, Known
from ...kit.systems import AIR_MOVED, TRAVEL, WOOD, same
from .drawing import OPEN, VIEWS, driven, roomy, slots
from .fields import Items, Lengths, OneOfThePanels
from .lists import (
    GAP,
    bends_text,
    braces_text,
    by_panel_text,
    keep_outs_text,
    places_text,
    read_bends,
    read_braces,
    read_by_panel,
    read_joints,
    read_keep_outs,
    read_places,
)
from .ports import BESIDE, BOTH, NEITHER, PORT_WALL, is_slot, ported
from .steps import AROUND, BOARD, INSIDE, SHAPE, at, panels_of

SHAPED, DRIVEN, PORTED = "More on the shape", "More on the driver", "More on the port"
WITHIN, ROOMY, SAWN = "More inside: braces, terminal", "More on the room", "More on the boards"
FOLDED = (SHAPED, DRIVEN, PORTED, WITHIN, ROOMY, SAWN)
# A line of each list, in mm and in inches.
KEEP_OUT = "belt anchor: 500, 0 to 550, 100", "belt anchor: 20, 0 to 22, 4"
PLACES, BENDS = ("front, 350, 120", "front, 13 3/4, 5"), ("150, 90 left", "6, 90 left")
BRACES, GAPS = ("2 of 300 x 60 x 18", "2 of 12 x 2 1/2 x 3/4"), ("front: 25", "front: 1")
BOARDS, LAYERS = ("front: 22", "front: 7/8"), ("top: 12", "top: 1/2")
HALF_WAY, MORE_LIKE_IT = "half way", "More like it [{unit}]: panel, along, across"
WEIGHT = same("kg/m³", decimals=0)


def of_the_shape():
    """Return what is folded under the shape."""
    return [Choice("view", "Drawn as seen from", tuple(VIEWS), next(iter(VIEWS)), group=SHAPED, only=at(SHAPE))]


def inside():
    """Return what is folded under driver and port."""
    return [*_of_the_driver(), *_of_the_port(), *_of_the_rest()]


def _of_the_driver():
    only = at(INSIDE, driven)
    return [
        Choice("printed_from", "Takes up room from", (FLANGE, INNER_FACE), FLANGE, group=DRIVEN, only=only),
        Exact("second_layer", "Second layer there", TRAVEL, 0.0, 40 * mm, 0.0, 1 * mm, DRIVEN, only),
        Known("across", "Its middle, across", WOOD, 1.6, 0.0, 5 * mm, DRIVEN, only, HALF_WAY),
        Known("magnet", "Magnet, across", WOOD, 0.6, 0.0, 1 * mm, DRIVEN, only, "not told", 5 * mm),
        Known("basket", "Basket, across", WOOD, 0.6, 0.0, 1 * mm, DRIVEN, only, "not told", 5 * mm),
        Exact("breathing", "Room behind magnet", WOOD, 0.0, 0.1, 20 * mm, 1 * mm, DRIVEN, only),
        Lengths("more_drivers", MORE_LIKE_IT, _places, places_text, PLACES, DRIVEN, only),
    ]


def _of_the_port():
    only, slot = at(INSIDE, ported), at(INSIDE, slots)
    tube = at(INSIDE, lambda values: ported(values) and not is_slot(values))
    beside = at(INSIDE, lambda values: slots(values) and values["slot_beside"] != BOTH)
    lone = at(INSIDE, lambda values: not is_slot(values) or values["slot_beside"] == NEITHER)
    return [
        Exact("tube_wall", "Its own wall", TRAVEL, 0.0, 20 * mm, PORT_WALL, 0.5 * mm, PORTED, tube),
        Known("slot_board", "Its own board", TRAVEL, 40 * mm, 0.0, 0.5 * mm, PORTED, slot, "as the box", 3 * mm),
        Choice("slot_beside", "It reaches to", BESIDE, BOTH, group=PORTED, only=slot),
        Exact("slot_width", "Slot, width", WOOD, 0.01, 1.5, 0.2, 5 * mm, PORTED, beside),
        Known("port_across", "Its middle, across", WOOD, 1.6, 0.0, 5 * mm, PORTED, lone, HALF_WAY),
        Lengths("bends", "Bends [{unit}]: along its middle, degrees", _bends, bends_text, BENDS, PORTED, only),
        Lengths("more_ports", MORE_LIKE_IT, _places, places_text, PLACES, PORTED, only),
    ]


def _of_the_rest():
    cup = at(INSIDE, lambda values: values["cup"] > 0)
    label = "Braces [{unit}]: length x breadth x thickness"
    return [
        Lengths("braces", label, _braces, braces_text, BRACES, WITHIN, at(INSIDE)),
        Known("cup", "Terminal takes up", AIR_MOVED, 2 * litre, 0.0, 10 * cm3, WITHIN, at(INSIDE), "no terminal"),
        OneOfThePanels("cup_in", "It sits in the", lambda values: (OPEN, *boards_of(values)), OPEN, WITHIN, cup),
    ]


def around():
    """Return what is folded under the room."""
    only = at(AROUND, roomy)
    return [
        Lengths("own_gaps", "Other gaps [{unit}]: panel, gap", _gaps, by_panel_text, GAPS, ROOMY, only),
        Lengths(
            "keep_outs", "Keep clear of [{unit}]: name, corners", _keep_outs, keep_outs_text, KEEP_OUT, ROOMY, only
        ),
    ]


def of_the_board():
    """Return what is folded under the boards."""
    only = at(BOARD)
    return [
        Lengths("boards", "Other boards [{unit}]: panel, thickness", _by_panel, by_panel_text, BOARDS, SAWN, only),
        Lengths("layers", "Second layers [{unit}]: panel, thickness", _by_panel, by_panel_text, LAYERS, SAWN, only),
        Items("joints", "Joints: two panels, butt or mitre", _joints, "front, top: mitre", SAWN, only),
        Slider("density", "Board weighs", WEIGHT, 100.0, 2000.0, USUAL_DENSITY, 10.0, SAWN, only),
        Exact("trim", "Trimmed off a sheet", WOOD, 0.0, 50 * mm, 5 * mm, 1 * mm, SAWN, only),
    ]


def boards_of(values):
    """Return the names of all panels."""
    return (*panels_of(values), LEFT, RIGHT)


def _by_panel(text, values):
    return read_by_panel(text, boards_of(values))


def _gaps(text, values):
    try:
        clear = read_keep_outs(values["keep_outs"])
    except ValueError:  # told below their own lines
        clear = ()
    return read_by_panel(text, (*boards_of(values), *clear), GAP)


def _keep_outs(text, _values):
    return read_keep_outs(text)


def _bends(text, _values):
    return read_bends(text)


def _places(text, values):
    return read_places(text, panels_of(values))


def _joints(text, values):
    return read_joints(text, panels_of(values))


def _braces(text, values):
    return read_braces(text, values["board"], boards_of(values))
