"""The band that a curve lies in when drivers and boxes differ from one to the next."""

from __future__ import annotations

import warnings

import numpy as np

from ..quantity import OneOf

MEMBERS = 2000  # drawn from the spreads for a band
CURVE = OneOf(
    words=(
        *("level", "excursion", "group_delay", "impedance", "level_within_travel", "port_velocity", "port_flow"),
        *("pressure", "cone_velocity", "current", "input_power", "radiated_power", "reference_level"),
        *("f3", "f6", "f10"),
    )
)


def drawn(response, members, seed):
    """Return the response of a family drawn from the spreads of driver and box."""
    family = response.loudspeaker.members(members, seed, len(response.shape))
    return response.with_parts(family.driver, family.box)


def magnitudes(response, curve):
    """Return a curve of a response by name; a complex one by its magnitude."""
    values = getattr(response, CURVE.accept("band", "curve", curve))
    return np.abs(values) if np.iscomplexobj(values) else values


def between(values, share=0.8):
    """Return the edges that hold a share of the members, with as many below as above.

    Parameters
    ----------
    values : array, shape (members, ...)
        In any unit. A member that is `nan` is left out.
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
        # nanpercentile is far slower
        return (np.nanpercentile if np.isnan(values).any() else np.percentile)(values, edges, axis=0)
