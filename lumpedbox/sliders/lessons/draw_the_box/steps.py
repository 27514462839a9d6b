"""The steps that the page leads through, and what the controls of each have in common."""

from __future__ import annotations

from .outlines import CORNERS, OF_A_STEP, OF_A_WEDGE, STEP, TEMPLATE, WEDGE, read_corners, read_edges

SHAPE, INSIDE, LITRES, AROUND, BOARD = "shape", "driver and port", "litres", "room for it", "boards and saw"
STEPS = (SHAPE, INSIDE, LITRES, AROUND, BOARD)
NAMES = {
    WEDGE: lambda values: OF_A_WEDGE,
    STEP: lambda values: OF_A_STEP,
    CORNERS: lambda values: tuple(read_corners(values["corners"])[-1]),
    TEMPLATE: lambda values: tuple(read_edges(values["template"])[-1]),
}


def panels_of(values):
    """Return the names of the panels that are not cheeks; of lines that cannot be read, those of a wedge."""
    try:
        return NAMES[values["shape"]](values)
    except (ValueError, TypeError):
        return OF_A_WEDGE


def at(step, then=lambda values: True):
    """Return what tells whether a control of a step is in view, as far as it then has a meaning."""
    return lambda values: values["step"] == step and then(values)
