"""How much of a box the driver itself takes up."""

from __future__ import annotations

import numpy as np

# Common practice, no source: the proportions of an ordinary driver with a cone.
DEPTH = 0.6  # of the effective diameter, where the depth is not given
CONE = 1 / 2  # share of the depth that cone and basket take; the motor takes the rest
COIL = 1 / 3  # diameter of the cone at its narrow end, of the effective diameter
MOTOR = 2 / 3  # diameter of the motor, of the effective diameter


def displacement(driver):
    r"""Volume that a driver takes up in a box: as given, else an estimate. [m3]

    Parameters
    ----------
    driver : Driver

    Returns
    -------
    float or array

    Notes
    -----
    The air in front of the cone is not the box's. Behind the panel are a frustum of a cone and the cylinder of the
    motor, each half as deep as the driver. The frustum narrows to a third of the effective diameter; the motor has two
    thirds of it. With the effective area Sd and the depth h:

    .. math:: V = S_d h \left[\frac12 \cdot \frac{1 + \frac13 + \frac19}{3} + \frac12 \cdot \frac49\right]
                = \frac{25}{54} S_d h

    An unknown depth is taken as 0.6 of the effective diameter. The shapes are geometry; their proportions are common
    practice, no source. Expect it to be right to about a third.

    Examples
    --------
    >>> from lumpedbox import Driver
    >>> bass = Driver.typical(size=0.25, kind="bass")
    >>> print(f"{displacement(bass) * 1e3:.1f} litres")
    2.0 litres
    """
    if driver.displacement is not None:
        return driver.displacement
    frustum = CONE * (1 + COIL + COIL**2) / 3
    return (frustum + (1 - CONE) * MOTOR**2) * driver.Sd * depth(driver)


def depth(driver):
    r"""How far a driver reaches behind the panel: as given, else a share of its effective diameter. [m]

    .. math:: h = 0.6 \sqrt{4 S_d / \pi}
    """
    return DEPTH * np.sqrt(4 * driver.Sd / np.pi) if driver.depth is None else driver.depth


def assumed_from(driver):
    """Say what the volume is estimated from; empty where it is given."""
    if driver.displacement is not None:
        return ""
    return f"its diameter{'' if driver.depth is None else ' and depth'}; common practice, no source"
