"""Above the model's limit, the level follows the printed sensitivity instead."""

from __future__ import annotations

import numpy as np

from ..circuit.listening import present_piston
from ..parts.small_signal import PRINTED_VOLTAGE
from .grid import risen


def treble_level(response):
    r"""Level, with the printed sensitivity instead of the model above the model's limit. [dB re 20 uPa]

    .. math:: L = L_{2.83 V} + 20 \log_{10}\frac{|V|}{2.83\,r}

    V is the voltage across the driver itself. Off axis, what a rigid piston loses is taken off. A raised cosine in dB
    joins the two over the octave around `validity_limit`. A driver without a printed sensitivity keeps the model's
    level.
    """
    driver, speaker = response.loudspeaker.driver, response.loudspeaker
    if driver.sensitivity is None:
        return response.level
    printed = risen(response.frequency, response.validity_limit)
    spread = 20 * np.log10(2 * np.pi / (speaker.solid_angle * response.distance))
    flat = np.asarray(driver.sensitivity + spread)[..., np.newaxis] + _voltage_and_angle(response)
    return (1 - printed) * response.level + printed * flat


def _voltage_and_angle(response):
    """Return what the driver's voltage and the angle add to a printed sensitivity. [dB]"""
    with np.errstate(divide="ignore"):
        level = 20 * np.log10(np.abs(response.driver_voltage) / PRINTED_VOLTAGE)
    for turned in present_piston(response.loudspeaker, response.air):
        x = response.angular_frequency * np.asarray(turned.reach)[..., np.newaxis]
        level = level + 20 * np.log10(np.abs(piston(x)))
    return level


def piston(x):
    r"""Directivity of a rigid piston. [1]

    .. math:: 2 J_1(x) / x
    """
    from scipy.special import j1

    return np.where(x, 2 * j1(x) / np.where(x, x, 1.0), 1.0)
