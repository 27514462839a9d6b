"""Sizes of wire as they are said: in mm2, and in gauge numbers."""

from __future__ import annotations

from ...units import mm2
from ..feed.cable import awg

GAUGES = (*range(20, 0, -2), "1/0", "2/0", "3/0", "4/0")  # those that are sold as cable: common practice, no source
AREAS = {str(one): awg(one) for one in (*range(40, 0, -1), *GAUGES[-4:])}  # m2
SAME = 1e-3  # of an area: so near it is that of the gauge


def gauge_of(area):
    """Return the gauge of an area as it is said, "4" or "2/0"; nothing where it is between two.

    Parameters
    ----------
    area : float
        [m2]
    """
    return next((gauge for gauge, exact in AREAS.items() if abs(area / exact - 1) < SAME), "")


def in_both_sizes(area):
    """Say an area in both ways: a gauge with its area, or an area with the next gauge that is no thinner.

    Parameters
    ----------
    area : float
        [m2]
    """
    gauge, squares = gauge_of(area), f"{area / mm2:.3g} mm²"
    if gauge:
        return f"{gauge} AWG ({squares})"
    enough = next((one for one in GAUGES if AREAS[str(one)] >= area), "")
    return f"{squares} (or {enough} AWG)" if enough else squares
