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
    if response.loudspeaker.cabin is not None:
        return pressure_level(_band_mean(response, Solution.pressure))
    emf = _band_mean(response, Solution.emf) if response.circuit.before else response.voltage
    return pressure_level(emf * midband_gain(response))


def midband_gain(response):
    r"""Sound pressure in the pass-band, in half space, per volt behind the filters. [Pa/V]

    .. math:: \rho\, Bl\, S_d I_1 / (\Omega r M_{ms})
    """
    driver, speaker = response.loudspeaker.driver, response.loudspeaker
    channel = response.channel or Channel(loudspeakers=(speaker,))
    acceleration = coil_current(channel, response.index) * driver.Bl / driver.Mms
    return response.air.density * driver.Sd * acceleration / (speaker.solid_angle * response.distance)


def reference_slopes(response):
    """Whether the reference level comes from a level that slopes: in a cabin, or behind filters that tilt it."""
    return (response.loudspeaker.cabin is not None) | (response.filter_tilt > TILT)


def _band_mean(response, quantity):
    """Root of the mean square of a quantity over `CABIN_BAND`, evenly in log f."""
    return np.sqrt(band_mean(_over_band(response, quantity) ** 2))


def band_mean(values):
    """Mean of values at `BAND_FREQUENCY`, evenly in log f."""
    return np.sum(values * SIMPSON, axis=-1)


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
