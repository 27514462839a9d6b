"""Decibels of a sound."""

from __future__ import annotations

import numpy as np

from ..parts.small_signal import REFERENCE_PRESSURE

DECIBEL = 10 / np.log(10)  # of a power ratio, per unit of its natural logarithm
HALF_POWER = 10 * np.log10(2)  # dB


def pressure_level(pressure):
    r"""Sound pressure level. [dB re 20 uPa]

    .. math:: L = 20 \log_{10}(|p| / p_0)

    Parameters
    ----------
    pressure : array, complex
        r.m.s. [Pa]
    """
    with np.errstate(divide="ignore"):
        return 2 * DECIBEL * np.log(np.abs(pressure) / REFERENCE_PRESSURE)


def pressure_of(level):
    r"""Sound pressure of a level, r.m.s. [Pa]

    .. math:: p = p_0\,10^{L/20}

    Parameters
    ----------
    level : float or array
        [dB re 20 uPa]
    """
    return REFERENCE_PRESSURE * np.power(10.0, level / 20)


def power_level(ratio):
    r"""Level of a power ratio. [dB]

    .. math:: L = 10 \log_{10} r
    """
    with np.errstate(divide="ignore"):
        # the natural logarithm: numpy's log10 takes nearly twice as long
        return DECIBEL * np.log(ratio)
