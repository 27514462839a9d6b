"""The heat of the coil."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..arguments import VOLTAGE, Single, takes
from ..parts.driver import DRIVER, POWER
from ..quantity import Quantity

COLD = 20.0  # degrees Celsius, at which Re is given
COPPER = 0.00393  # 1/K, temperature coefficient of resistance at 20 degrees; NBS Handbook 100 (1966)
THERMAL = Quantity(unit="K/W", meaning="thermal resistance from coil to air", low=0.05, high=100.0)


@takes(driver=DRIVER, power=POWER, thermal_resistance=Single(THERMAL))
def heated(driver, power, thermal_resistance):
    r"""Return a driver with its coil as warm as a steady power makes it.

    Parameters
    ----------
    driver : Driver
    power : float or array
        Power that the coil turns into heat. [W]
    thermal_resistance : float
        From the coil to the air around. [K/W]

    Returns
    -------
    Driver
        Only Re changes, and with it Qes and the alignment.

    Notes
    -----
    .. math:: R_e (1 + 0.00393\,R_{th} P), \quad T = 20 + R_{th} P

    Examples
    --------
    >>> from lumpedbox import Driver
    >>> driver = Driver(Re=3.4, Bl=9.4, Mms=0.0532, Cms=0.388e-3, Rms=2.34, Sd=0.033)
    >>> print(f"{driver.Qes:.3f} {heated(driver, 50, 2.5).Qes:.3f}")
    0.451 0.672
    """
    return dataclasses.replace(driver, Re=driver.Re * (1 + COPPER * thermal_resistance * power))


@takes(driver=DRIVER, voltage=VOLTAGE, thermal_resistance=Single(THERMAL))
def temperature_rise(driver, voltage, thermal_resistance):
    r"""Return how far above 20 degrees a steady voltage warms a coil that is the whole impedance. [K]

    Parameters
    ----------
    driver : Driver
    voltage : float or array
        r.m.s., across the driver. [V]
    thermal_resistance : float
        From the coil to the air around. [K/W]

    Returns
    -------
    float or array
        [K]

    Notes
    -----
    A warm coil takes less power from the same voltage, so it settles at

    .. math:: \Delta T = \frac{-1 + \sqrt{1 + 4 a R_{th} V^2 / R_e}}{2 a}, \quad a = 0.00393

    and plays :math:`20 \log_{10}(1 + a\,\Delta T)` softer than the cold one.

    Examples
    --------
    >>> from lumpedbox import Driver
    >>> driver = Driver(Re=4.0, Bl=9.4, Mms=0.0532, Cms=0.388e-3, Rms=2.34, Sd=0.033)
    >>> print(f"{temperature_rise(driver, 20, 1.5):.1f} K")
    105.9 K
    """
    cold = np.square(voltage) / driver.Re
    return (np.sqrt(1 + 4 * COPPER * thermal_resistance * cold) - 1) / (2 * COPPER)
