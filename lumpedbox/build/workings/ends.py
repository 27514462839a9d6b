"""How the ends of boards are sawn."""

from __future__ import annotations

import numpy as np

from ...errors import Refused
from ..panel import INSIDE, OUTSIDE, SQUARE, End

STEEPEST = np.deg2rad(45)  # to which an ordinary saw tilts (common practice, no source)


def reaching(beyond, thickness, joint, to):
    r"""Return the end of a board of which the inner face reaches `beyond` the outer face, both in m.

    .. math:: tilt = \arctan(|beyond| / t)
    """
    tilt = float(np.arctan2(abs(beyond), thickness))
    if tilt < 1e-9:
        return End(0.0, SQUARE, joint, to)
    return End(tilt, INSIDE if beyond > 0 else OUTSIDE, joint, to)


def of_planes(own, near, thickness, to):
    r"""Return the end of a board that butts against a plane, from the unit vectors of both planes into the box.

    .. math:: \sin(tilt) = n \cdot n_{near}
    """
    sine = float(own @ near)
    return reaching(thickness * sine / np.sqrt(1 - sine**2), thickness, "butt", to)


class Unsawable(Refused):
    """A joint that is steeper than an ordinary saw tilts."""


def too_steep(tilt):
    """Tell whether a joint is steeper than an ordinary saw tilts. [rad]"""
    return tilt > STEEPEST + 1e-9
