"""How the sounds of several loudspeakers add up at the ear."""

from __future__ import annotations

import numpy as np

from .grid import risen
from .level import REFERENCE_PRESSURE, power_level


def arriving(system, pressures, frequency):
    """Pressures of a system's loudspeakers, given without travel times, each by its delay later: a tuple. [Pa]"""
    late = (np.exp(-2j * np.pi * frequency * np.asarray(delay)[..., np.newaxis]) for delay in system.delays)
    return tuple(pressure * turn for pressure, turn in zip(pressures, late, strict=True))


def level_together(system, pressures, frequency):
    """Level of pressures at the ear, their phases counted as in `SystemResponse.level`. [dB re 20 uPa]"""
    powers = sum(np.abs(pressure) ** 2 for pressure in pressures)
    return level_of_sum(sum(pressures), powers, frequency, system.modal_limit)


def level_of_sum(pressure, powers, frequency, modal_limit):
    """Level of several together, from the sums of their phasors [Pa] and their squares: see `SystemResponse.level`."""
    coherent = 1 - risen(frequency, modal_limit)
    square = coherent * np.abs(pressure) ** 2 + (1 - coherent) * powers
    return power_level(square / REFERENCE_PRESSURE**2)
