"""The band that a curve lies in where driver and box are one of many."""

from __future__ import annotations

import warnings

import numpy as np

from ..quantity import OneOf

MEMBERS = 2000  # of a spread, drawn for a band
CURVE = OneOf(
    words=(
        *("level", "excursion", "group_delay", "impedance", "level_within_travel", "port_velocity", "port_flow"),
        *("pressure", "cone_velocity", "current", "input_power", "radiated_power", "reference_level"),
        *("f3", "f6", "f10"),
    )
)


def drawn(response, members, seed):
    """Return the response of a family that the spreads of driver and box allow."""
    family = response.loudspeaker.members(members, seed, len(response.shape))
    return response.with_parts(family.driver, family.box)


def magnitudes(response, curve):
    """Return a curve of a response by name; of a complex one, its magnitude."""
    values = getattr(response, CURVE.accept("band", "curve", curve))
    return np.abs(values) if np.iscomplexobj(values) else values


def between(values, share=0.8):
    """Return the edges between which a share of the members lies, as many below as above.

    Parameters
    ----------
    values : array, shape (members, ...)
        In any unit; `nan` counts as neither.
    share : float
        [1]

    Returns
    -------
    array, shape (2, ...)
        Lower and upper edge, in the same unit.
    """
    edges = [50 * (1 - share), 50 * (1 + share)]
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="All-NaN slice", category=RuntimeWarning)
        # the one that passes over nan is far slower
        return (np.nanpercentile if np.isnan(values).any() else np.percentile)(values, edges, axis=0)
