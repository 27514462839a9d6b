"""Channels solved one by one: what a state sounds like is their sum, so no channel is solved twice."""

from __future__ import annotations

import contextlib
import dataclasses
import functools
import warnings

import numpy as np

from ..air import Air
from ..circuit.transfer import transfer
from ..design.level_matching import GRID, LOW_BAND
from ..parts.system import System
from ..response import EFFICIENCY_REMARK, frequencies, solve
from ..response.passband import BAND_FREQUENCY
from ..response.remarks import CAUTION_SPEED
from ..response.system_limits import Limits, driven

KEPT = 2048  # solved channels, some 30 kB each
LOW = frequencies(10, GRID[0], per_octave=24)[:-1]  # below what must stay clean: only f3 and f10 look there
MODEL = LOW_BAND[1]  # Hz; up to here the clean level counts the circuit alone, whatever a sheet prints
FREQUENCY = np.concatenate([LOW, GRID, BAND_FREQUENCY])
CURVE, PLAYED = slice(0, len(LOW) + len(GRID)), slice(len(LOW), len(LOW) + len(GRID))
REFERENCE = slice(len(LOW) + len(GRID), None)


@contextlib.contextmanager
def _quiet():
    """Leave what `Figures.remarks` says to that."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=EFFICIENCY_REMARK)
        yield


def quietly_solved(system, frequency, voltage):
    """Return a system solved at a voltage. [V]"""
    with _quiet():
        return solve(system, frequency, voltage)


class Solved:
    """A channel at one volt behind its filters.

    Attributes
    ----------
    pressures : array, shape (n, nf)
        At the ear, of each loudspeaker, from the moment that it starts; up to `MODEL` by the circuit alone. [Pa/V]
    treble : array, shape (n, nf)
        The same, with the printed sensitivities wherever the models do not hold, as `band_levels` counts. [Pa/V]
    limits : dict
        (Who, limit): volts. [V]
    unknown : list of tuple
        (Who, limit, what is missing).
    lowest_load : float
        Lowest impedance of the channel from 5 Hz to 20 kHz. [ohm]
    """

    def __init__(self, channel, ear):
        system = driven(System(channels=(channel,), ear=ear), None)
        with _quiet():
            found = Limits(system, FREQUENCY, None, CAUTION_SPEED, 1.0, Air())
        heard = found.cold
        self.lowest_load = float(heard.firsts[0].lowest_channel_impedance)
        self.limits = {key: volts for key, (volts, _) in found.known.items()}
        self.unknown = found.unknown
        printed = np.array([response.treble_level - response.level for response in heard.responses])
        circuit, factor = np.array(heard.pressures_from_the_start), np.power(10.0, printed / 20)
        self.treble = circuit * factor
        self.pressures = np.where(FREQUENCY > MODEL, self.treble, circuit)


@functools.lru_cache(maxsize=KEPT)
def _solved(channel, ear):
    return Solved(channel, ear)


@functools.lru_cache(maxsize=KEPT)
def solved(line, ear):
    """Return a line's channel, solved at one volt behind its filters."""
    return _solved(dataclasses.replace(line.channel, filters=()), ear)


@functools.lru_cache(maxsize=KEPT)
def passed(line):
    """What the filters of a line make of one volt, at `FREQUENCY`. [V]"""
    return transfer(line.channel.filters, FREQUENCY)
