"""Sizes that follow from others."""

from __future__ import annotations

import numpy as np

from ...quantity import OneOf
from ..hopper import Hopper

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


def longest_inside(box):
    """Longest inner side, along the axes; of a frustum, outside. [m]"""
    if isinstance(box, Hopper):
        return max(box.height, *box.bottom, *box.top)
    return float(max(*np.ptp(box.inside, axis=0), box.clear_width))
