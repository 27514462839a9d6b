"""Sizes of wire as they are said: in mm2, and in gauge numbers."""

from __future__ import annotations

import math

from ...units import mm2
from ..feed.cable import awg

GAUGES = (*range(20, 0, -2), "1/0", "2/0", "3/0", "4/0")  # those that are sold as cable: common practice, no source
SAME = 0.005  # of a gauge number: so near an area is that of the gauge


def gauge_of(area):
    """Return the gauge of an area as it is said, "4" or "2/0"; nothing where it is between two.

    Parameters
    ----------
    area : float
        [m2]
    """
    diameter = 2 * math.sqrt(area / math.pi)
    number = 36 - 39 * math.log(diameter / 0.127e-3) / math.log(92)
    if abs(number - round(number)) > SAME or not -3 <= round(number) <= 40:
        return ""
    return str(round(number)) if number > 0.5 else f"{1 - round(number)}/0"


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
    enough = next((one for one in GAUGES if awg(one) >= area), "")
    return f"{squares} (or {enough} AWG)" if enough else squares
