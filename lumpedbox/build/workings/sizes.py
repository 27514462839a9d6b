"""Sizes that follow from others."""

from __future__ import annotations

import numpy as np

from ...errors import Refused
from ...quantity import OneOf
from ..hopper import Hopper
from .ends import STEEPEST

CUTOUT = 1.1  # of the diameter of the cone: the hole, where it is not given (common practice, no source)


def cutout_of(driver):
    r"""Diameter of the hole for a driver: as given, else 1.1 of the diameter of its cone. [m]

    .. math:: d = 1.1 \sqrt{4 S_d / \pi}
    """
    return CUTOUT * np.sqrt(4 * driver.Sd / np.pi) if driver.cutout is None else driver.cutout


def check_panels(box, inside):
    """Refuse what is inside, if it names a panel that the box does not have."""
    for field, name in inside.panels:
        OneOf(box.panel_names).accept("Inside", field, name)
    for run in inside.ports:
        _check_shared(run, box)


def _check_shared(run, box):
    """Refuse a slot along a wall that does not stand beside its panel, or leans so much that no board follows both."""
    own = box.panel(run.panel)
    beside = {end.to for end in (own.start, own.end, *own.sides)} - {""}
    for name in run.shares:
        lean = abs(float(own.axes[2] @ box.panel(name).axes[2]))
        if lean > np.sin(STEEPEST) + 1e-9 or (beside and not name.endswith("cheek") and name not in beside):
            problem = f"has a slot in {run.panel!r} along {name!r}, which is not beside it or hardly stands off it"
            raise Refused("Inside", "ports", problem, ": leave that out of its shares")


def longest_inside(box):
    """Longest inner side, along the axes; of a frustum, outside. [m]"""
    if isinstance(box, Hopper):
        return max(box.height, *box.bottom, *box.top)
    return float(max(*np.ptp(box.inside, axis=0), box.clear_width))
