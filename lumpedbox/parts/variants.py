"""Variants of a driver: another mass, another coil, another motor."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..arguments import takes
from ..quantity import Quantity
from .driver import DRIVER
from .small_signal import TOTAL_Q

FACTOR = Quantity(unit="", meaning="factor on a quantity of the driver", low=1e-4, high=1e4)
LOUDER = Quantity(unit="dB", meaning="how much louder; below 0 is softer", low=-60.0, high=60.0)
OF_COIL = ("Re", "Le", "L2", "R2", "semi_inductance", "rated_impedance")  # what grows with the square of the turns


@takes(driver=DRIVER, mass=FACTOR, motor=FACTOR, compliance=FACTOR, area=FACTOR, coil=FACTOR)
def scaled(driver, *, mass=1.0, motor=1.0, compliance=1.0, area=1.0, coil=1.0):
    r"""Return a driver with its mass, motor, compliance, area or coil multiplied by factors.

    Parameters
    ----------
    driver : Driver
    mass, motor, compliance, area : float or array
        What Mms, Bl, Cms and Sd are multiplied by. [1]
    coil : float or array
        Factor on the resistance of the coil, wound into the same space. [1]

    Returns
    -------
    Driver

    Notes
    -----
    A coil of k times the resistance in the same space has :math:`\sqrt{k}` times the turns, of thinner wire:

    .. math:: Bl \to \sqrt{k}\,Bl, \quad R_e \to k R_e, \quad L_e \to k L_e

    The other terms of the coil grow as Re does. Q and the level at one watt stay the same.

    Examples
    --------
    >>> from lumpedbox import Driver
    >>> driver = Driver(Re=3.4, Bl=9.4, Mms=0.0532, Cms=0.388e-3, Rms=2.34, Sd=0.033)
    >>> print(f"{driver.Qts:.4f} {scaled(driver, coil=2).Qts:.4f}")
    0.4134 0.4134
    """
    terms = {name: getattr(driver, name) for name in OF_COIL}
    return dataclasses.replace(
        driver,
        Mms=driver.Mms * mass,
        Bl=driver.Bl * motor * np.sqrt(coil),
        Cms=driver.Cms * compliance,
        Sd=driver.Sd * area,
        **{name: value * coil for name, value in terms.items() if value is not None},
    )


@takes(driver=DRIVER, level=LOUDER)
def louder(driver, level):
    r"""Return a driver that plays louder by a lighter cone or dome, with the same resonance, Qms and coil.

    Parameters
    ----------
    driver : Driver
    level : float or array
        By how much, above the resonance; below 0 softer. [dB]

    Returns
    -------
    Driver
        Its printed sensitivity, if it has one, rises as well.

    Notes
    -----
    .. math:: M_{ms} / k, \quad R_{ms} / k, \quad C_{ms}\,k, \quad k = 10^{L/20}

    Qes falls by the factor k.

    Examples
    --------
    >>> from lumpedbox import Driver
    >>> driver = Driver(Re=3.4, Bl=9.4, Mms=0.0532, Cms=0.388e-3, Rms=2.34, Sd=0.033)
    >>> print(f"{louder(driver, 6).Mms / driver.Mms:.3f} {louder(driver, 6).fs / driver.fs:.3f}")
    0.501 1.000
    """
    k = np.power(10.0, level / 20)
    sensitivity = None if driver.sensitivity is None else driver.sensitivity + level
    lighter = {"Mms": driver.Mms / k, "Rms": driver.Rms / k, "Cms": driver.Cms * k}
    return dataclasses.replace(driver, **lighter, sensitivity=sensitivity)


@takes(driver=DRIVER, Qts=TOTAL_Q)
def with_total_q(driver, Qts):
    r"""Return a driver with another motor that gives the wanted total Q.

    Parameters
    ----------
    driver : Driver
    Qts : float or array
        Wanted total Q. [1]

    Returns
    -------
    Driver
        Only Bl differs.

    Raises
    ------
    ValueError
        If the suspension alone damps more than that.

    Notes
    -----
    .. math:: Bl = \sqrt{2\pi f_s M_{ms} R_e / Q_{es}}, \quad 1/Q_{es} = 1/Q_{ts} - 1/Q_{ms}

    Examples
    --------
    >>> from lumpedbox import Driver
    >>> driver = Driver(Re=3.4, Bl=9.4, Mms=0.0532, Cms=0.388e-3, Rms=2.34, Sd=0.033)
    >>> print(f"{with_total_q(driver, 0.3).Qts:.3f}")
    0.300
    """
    damping = 1 / Qts - 1 / driver.Qms
    if np.any(damping <= 0):
        raise ValueError(
            f"with_total_q.Qts must be below Qms, got {np.max(Qts):.4g}: the suspension alone damps this driver to "
            f"Q = {np.min(driver.Qms):.2f}, and no motor can raise that"
        )
    return dataclasses.replace(driver, Bl=np.sqrt(2 * np.pi * driver.fs * driver.Mms * driver.Re * damping))
