"""The reference level of several loudspeakers heard together: f3, f6 and f10 of a system are counted from it."""

from __future__ import annotations

import numpy as np

from ..circuit.solver import Solution, computed
from .heard_together import arriving, level_together
from .level import power_level
from .passband import BAND_FREQUENCY, TILT, band_mean, midband_gain

SILENCE = -200.0  # dB re 20 uPa


def reference_level(system):
    r"""Level that f3, f6 and f10 are counted from. [dB re 20 uPa]

    The mean square over 100 to 315 Hz, evenly in log f, of the sum at the ear:

    .. math:: \overline{\left|\sum_i p_i H_i e^{-j\omega\tau_i}\right|^2}

    Without a cabin, p is each loudspeaker's closed-form level of the pass-band, and H its filters. So a system of one
    has the reference of that loudspeaker. One that plays another band, and is 3 dB under its closed form here, counts
    by what it plays here. In a cabin all do.
    """
    return power_level(band_mean(np.power(10.0, _levels_over_band(system) / 10)))


def reference_slopes(system):
    """Whether the reference level comes from a level that slopes: in a cabin, or where filters or delays tilt it."""
    levels = _levels_over_band(system)
    return _in_cabin(system) | (levels.max(axis=-1) - levels.min(axis=-1) > TILT)


def _in_cabin(system):
    return system.system.loudspeakers[0].cabin is not None  # all of a system are in one cabin, or none is


def _levels_over_band(system):
    """Level of the reference at `BAND_FREQUENCY`. [dB re 20 uPa]"""
    return np.maximum(level_together(system, _counted(system), BAND_FREQUENCY), SILENCE)


def _counted(system):
    """Pressure at the ear that each loudspeaker counts by, at `BAND_FREQUENCY`. [Pa]"""
    played = [_over_band(response, Solution.pressure) for response in system.responses]
    if _in_cabin(system):
        return arriving(system, played, BAND_FREQUENCY)
    forms = [_closed_form(response) for response in system.responses]
    plays = [band_mean(abs(p) ** 2) >= band_mean(abs(form) ** 2) / 2 for p, form in zip(played, forms, strict=True)]
    nobody = ~np.logical_or.reduce(np.broadcast_arrays(*plays))
    counted = [
        np.where((one | nobody)[..., np.newaxis], form, p) for one, form, p in zip(plays, forms, played, strict=True)
    ]
    return arriving(system, counted, BAND_FREQUENCY)


def _closed_form(response):
    """Pressure of a loudspeaker's pass-band behind its filters, at `BAND_FREQUENCY`. [Pa]"""
    turned = -1.0 if response.loudspeaker.polarity == "reversed" else 1.0
    return turned * np.asarray(midband_gain(response))[..., np.newaxis] * _over_band(response, Solution.emf)


def _over_band(response, quantity):
    return computed(response.circuit, 2j * np.pi * BAND_FREQUENCY, quantity)
