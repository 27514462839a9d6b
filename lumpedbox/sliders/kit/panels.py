"""Panels that the pages on a single driver share."""

from __future__ import annotations

import numpy as np

from ...figures.stack import Panel
from .systems import SYSTEMS, TRAVEL


def level_and_travel(system, levels, travels):
    """Return two panels in a system of units.

    Parameters
    ----------
    system : str
    levels : (float, float)
        Lowest and highest level. [dB re 20 uPa]
    travels : (float, float)
        Longest travel, in each system's unit.
    """
    travel = TRAVEL.shown(system)
    return (
        Panel("level", "level [dB re 20 µPa] at 1 m", *levels),
        Panel("excursion", f"cone travel, peak [{travel.unit}]", 0.0, travels[SYSTEMS.index(system)], travel.size),
    )


def curves_of(response):
    """Return what those panels show of a response, by panel."""
    return {"level": response.level, "excursion": response.excursion}


def travel_limit(driver, grid):
    """Return the driver's linear travel all along the grid; None where it is not known. [m]"""
    return None if driver.xmax is None else np.full_like(grid, driver.xmax)


def reach_of(response):
    """Return the highest level within the linear travel; None where that is not known. [dB re 20 uPa]"""
    return None if response.loudspeaker.driver.xmax is None else response.level_within_travel
