"""Fits of a prediction to a measurement, each with one cause set free from what is usual."""

from __future__ import annotations

import numpy as np

from ..circuit.build import circuit
from ..circuit.solver import Solution, computed
from ..response import SystemResponse
from ..response.grid import risen
from . import knobs
from .least_squares import OUTLIER, Known, fit

STEP = 1e-4  # of a knob, for slopes
DECIBEL = np.log(10) / 20


class ImpedanceCurve:
    """The logarithm of a loudspeaker's impedance, and its phase where it was measured."""

    first_noise, least_noise, open_level, unit = 0.01, 0.001, False, 1.0
    farthest, slips = 0.15, "in Hz and ohm, its phase in degrees"

    def __init__(self, measured, air):
        self.frequency, self.air = measured.frequency, air
        self.phased = np.iscomplexobj(measured.impedance)
        self.data = self._stacked(np.log(measured.impedance))
        self.together = np.tile(np.arange(len(self.frequency)), 1 + self.phased)

    def _stacked(self, logarithm):
        return np.concatenate([logarithm.real, logarithm.imag], axis=-1) if self.phased else logarithm.real

    def __call__(self, system):
        """Return what the system would measure, shape (..., n)."""
        built = circuit(system.loudspeakers[0], 1.0, 1.0, self.air)
        return self._stacked(np.log(computed(built, 2j * np.pi * self.frequency, Solution.impedance)))

    def knobs(self, system):
        """Return what may differ in it."""
        return knobs.of_loudspeaker(system, 0)


class LevelCurve:
    """The level of a system as the logarithm of its pressure; the level on the whole is left open.

    Around the `modal_limit` of a cabin by its resonances phases mean nothing, and the model's own jump from place to
    place. So readings within half an octave of it are left out.
    """

    first_noise, least_noise, open_level, unit = 0.1, 0.1 * DECIBEL, True, DECIBEL
    farthest, slips = 10.0, "in Hz and dB"

    def __init__(self, measured, system, voltage, distance, air):
        frequency, level = (np.array(column) for column in zip(*measured.points, strict=True))
        limit = system.loudspeakers[0].cabin.modal_limit if system.by_places else np.inf
        told = np.isin(risen(frequency, limit), (0.0, 1.0))
        self.frequency, self.conditions = frequency[told], (voltage, distance, air)
        self.data, self.together = DECIBEL * level[told], np.arange(told.sum())

    def __call__(self, system):
        """Return what the system would measure, shape (..., n)."""
        return DECIBEL * SystemResponse(system, self.frequency, *self.conditions).level

    def knobs(self, system):
        """Return what may differ in it."""
        found = [knob for place in range(len(system.loudspeakers)) for knob in knobs.of_loudspeaker(system, place)]
        return [*found, *knobs.of_channels(system), *knobs.of_ear(system)]


class Trial:
    """One fit of a system whose knobs may turn, each held by what is usual unless it is free.

    Attributes
    ----------
    knobs : list of Knob
    fitted : Fitted
        Of the knobs in their order, and of the level on the whole where that is open.
    """

    def __init__(self, curve, system, free=(), start=None):
        self.curve, self.system, self.knobs = curve, system, curve.knobs(system)
        held = [knob.freed if at in free else knob.deviation for at, knob in enumerate(self.knobs)]
        held += [np.inf] if curve.open_level else []
        self.known = Known(np.zeros(len(held)), held)
        start = self.known.values if start is None else start
        self.fitted = fit(self.misses, start, self.known, curve.together, curve.first_noise, curve.least_noise)

    @property
    def limits(self):
        """How far each knob is tried either way, shape (knobs,)."""
        return np.array([knob.freed for knob in self.knobs])

    @property
    def ended(self):
        """Which knobs stand at the limit of what is tried, shape (knobs,): beyond it nothing is known."""
        return np.abs(self.fitted.x[: len(self.knobs)]) > self.limits - STEP

    def turned(self, values):
        """Return the system with its knobs turned, as a family; `values` has shape (knobs, count)."""
        return knobs.turned(self.system, self.knobs, values)

    def misses(self, x):
        """Return model minus data, shape (n,), and their slopes by the knobs, shape (n, p)."""
        found = self.curve(self.turned(stepped(x[: len(self.knobs)])))
        misses, slopes = found[0] - self.curve.data, (found[1:] - found[0]).T / STEP
        if not self.curve.open_level:
            return misses, slopes
        return misses + x[-1], np.column_stack([slopes, np.ones(len(misses))])

    def chi_square(self, noise):
        r"""Return how badly it fits, outliers held back. [1]

        .. math:: \chi^2 = \sum_i \min(r_i^2 / \sigma^2, k^2) + \sum_q x_q^2 / \sigma_q^2
        """
        misses = np.square(self.fitted.misses / noise)
        return float(np.sum(np.minimum(misses, OUTLIER**2)) + self.known.weights @ np.square(self.fitted.x))


def stepped(x):
    """Return the values of knobs, shape (knobs, 1 + knobs): as they are, then one after another a step further."""
    return x[:, np.newaxis] + np.hstack([np.zeros((len(x), 1)), STEP * np.eye(len(x))])
