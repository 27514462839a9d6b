"""The reference level, in the middle of the band: f3, f6 and f10 are counted from it."""

from __future__ import annotations

import numpy as np

from ..circuit.solver import Solution, computed
from ..parts.system import Channel
from .level import pressure_level
from .midband import coil_current

CABIN_BAND = (100.0, 315.0)  # Hz; over it the mean square of filters, and of the pressure in a cabin, is the reference
BAND_FREQUENCY = np.geomspace(*CABIN_BAND, 33)
SIMPSON = np.array([1, *([4, 2] * 15), 4, 1]) / 96  # what each of these counts for in a mean, by Simpson's rule
TILT = 3.0  # dB; if filters tilt the reference band by more, f3 loses its usual meaning; ours


def reference_level(response):
    r"""Level that f3, f6 and f10 are counted from. [dB re 20 uPa]

    Without a cabin it is the closed-form level of the pass-band as wired, with reactances left out:

    .. math:: p = \rho\, Bl\, S_d I / (\Omega r M_{ms})

    Here I is the coil's current; source, wires, pads and partners count by their resistances. Filters count by their
    mean-square gain over `CABIN_BAND`, evenly in log f. In a cabin the reference is the mean-square pressure over that
    band.
    """
    in_cabin = response.loudspeaker.cabin is not None
    return pressure_level(_band_mean(response, Solution.pressure) if in_cabin else _midband_pressure(response))


def _midband_pressure(response):
    driver, speaker = response.loudspeaker.driver, response.loudspeaker
    channel = response.channel or Channel(loudspeakers=(speaker,))
    emf = _band_mean(response, Solution.emf) if response.circuit.before else response.voltage
    acceleration = emf * coil_current(channel, response.index) * driver.Bl / driver.Mms
    return response.air.density * driver.Sd * acceleration / (speaker.solid_angle * response.distance)


def _band_mean(response, quantity):
    """Root of the mean square of a quantity over `CABIN_BAND`, evenly in log f."""
    return np.sqrt(np.sum(_over_band(response, quantity) ** 2 * SIMPSON, axis=-1))


def _over_band(response, quantity):
    """Magnitude of a quantity at the frequencies of `CABIN_BAND`."""
    return np.abs(computed(response.circuit, 2j * np.pi * BAND_FREQUENCY, quantity))


def filter_tilt(response):
    r"""How much filters change the level within 100 to 315 Hz, the reference band of f3. [dB]

    .. math:: 20 \log_{10} \frac{\max |H|}{\min |H|}
    """
    if not response.circuit.before:
        return np.zeros(response.shape)
    emf = _over_band(response, Solution.emf)
    return 20 * np.log10(emf.max(axis=-1) / emf.min(axis=-1))
