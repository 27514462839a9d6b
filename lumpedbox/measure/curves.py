"""Measured curves: what may be given for one, and the peak in it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..arguments import FREQUENCY, Axis
from ..errors import Refused, RefusedType
from ..parts.filters import LevelTable
from ..parts.loudspeaker import Loudspeaker
from ..parts.system import System
from ..quantity import Quantity, frozen, rule, shown
from ..response import Response, SystemResponse

MAGNITUDE = Quantity(unit="ohm", meaning="magnitude of the impedance", low=1e-3, high=1e6)
ADDED_MASS = Quantity(unit="kg", meaning="mass added to the cone", low=1e-6, high=1.0, slips=("gram",))
KNOWN_VOLUME = Quantity(unit="m3", meaning="net volume of the sealed box", low=1e-5, high=10.0, slips=("litre", "cm3"))
RESISTANCE = Quantity(unit="ohm", meaning="resistance of the resistor by the meter", low=0.01, high=1e5)
FEWEST = 6  # points of a curve
PROMINENCE = 1.05  # of a peak over the higher of the two valleys beside it
NEAR = np.log(1.05)  # how far beside a frequency hum is felt, with some to spare
CHANGES, SMALL = 1.2, np.pi / 2 + 0.01  # where |Z| changes by such a factor, no phase stays below so few degrees
LOWEST_RESONANCE, HIGHEST_RESONANCE = 4.0, 2e4  # Hz, of any driver
LOWEST_LEVEL, FLAT = 40.0, 2.5  # no loudspeaker of a vehicle has more ohms everywhere, and so little of a peak


class Measured(NamedTuple):
    """An impedance as measured.

    Attributes
    ----------
    frequency : array, shape (nf,)
        [Hz]
    impedance : array, shape (nf,)
        Complex; real where only its magnitude was measured. [ohm]
    """

    frequency: np.ndarray
    impedance: np.ndarray

    @property
    def magnitude(self):
        """Magnitude of the impedance. [ohm]"""
        return np.abs(self.impedance)


@rule
class Curve:
    """Frequency and impedance, behind numbers such as an added mass; `fewest` points."""

    before: tuple = ()
    fewest: int = FEWEST

    def accept(self, owner, name, value):
        """Return the numbers and a `Measured` in rising frequency, as a tuple; the `Measured` alone without numbers."""
        wanted = ", ".join([*(rule.meaning for rule in self.before), "frequency in Hz, impedance in ohm"])
        try:
            items = tuple(value)
        except TypeError:
            items = ()
        if len(items) == 2 and len(self.before) == 1 and isinstance(items[1], Measured):
            items = (items[0], *items[1])
        if isinstance(value, (str, bytes, dict)) or len(items) != len(self.before) + 2:
            raise RefusedType(owner, name, f"must be ({wanted}), got {shown(value)}")
        numbers = [
            rule.single(owner, f"{name}[{i}]", item)
            for i, (rule, item) in enumerate(zip(self.before, items, strict=False))
        ]
        measured = _measured(owner, name, *items[-2:], len(self.before), self.fewest)
        return (*numbers, measured) if numbers else measured


def _measured(owner, name, frequency, impedance, place, fewest):
    frequency = np.atleast_1d(FREQUENCY.accept(owner, f"{name}[{place}]", frequency))
    impedance = _impedance(owner, f"{name}[{place + 1}]", impedance)
    if frequency.ndim != 1 or frequency.shape != impedance.shape:
        shapes = f"{frequency.shape} and {impedance.shape}"
        raise Refused(owner, name, f"must have one impedance for each frequency, got shapes {shapes}")
    if len(frequency) < fewest:
        problem = f"has {len(frequency)} points, and {fewest} are the fewest that tell a peak"
        raise Refused(owner, name, problem, ": measure more around the peak")
    order = np.argsort(frequency, kind="stable")
    return Measured(frozen(frequency[order]), frozen(impedance[order]))


def _impedance(owner, name, impedance):
    """Return the impedance as a complex array; as a real one if it is a magnitude."""
    try:
        array = np.atleast_1d(np.asarray(impedance))
    except ValueError:
        array = np.empty(0, dtype=object)
    if array.dtype.kind != "c" or not np.any(array.imag):
        array = np.atleast_1d(MAGNITUDE.accept(owner, name, array.real if array.dtype.kind == "c" else impedance))
        _refuse_levels(owner, name, array)
        return array
    MAGNITUDE.accept(owner, name, np.abs(array))
    if np.any(array.real <= 0):
        worst = int(np.argmin(array.real))
        problem = f"must have a resistance above 0 everywhere, got {array[worst]:.3g} ohm (member {worst})"
        raise Refused(owner, name, problem, ": is the phase in radians read as degrees, or a wire turned round?")
    if in_radians(np.abs(array), np.angle(array)):
        largest = np.degrees(np.abs(np.angle(array)).max())
        raise Refused(owner, name, f"has a phase that never exceeds {largest:.2g} deg", ": was it in radians?")
    return array.astype(complex)


def in_radians(magnitude, phase):
    """Whether a phase [rad] is so small, beside how the magnitude changes, that radians were read as degrees."""
    changes = np.quantile(magnitude, 0.9) > CHANGES * magnitude.min()
    return bool(changes and np.abs(np.degrees(phase)).max() < SMALL)


def _refuse_levels(owner, name, magnitude):
    if len(magnitude) > 1 and magnitude.min() > LOWEST_LEVEL and magnitude.max() < FLAT * magnitude.min():
        span = f"{magnitude.min():.3g} to {magnitude.max():.3g}"
        raise Refused(owner, name, f"runs from {span} ohm, like levels in dB", ": give the impedance in ohm")


class Predicted:
    """A prediction: a loudspeaker, a system, or a response of one."""

    def accept(self, owner, name, value):
        if not isinstance(value, (Loudspeaker, System, Response, SystemResponse)):
            kinds = "a Loudspeaker, a System, or what solve makes of one"
            raise RefusedType(owner, name, f"must be {kinds}, got {type(value).__name__} {shown(value)}")
        if value.shape:
            raise Refused(owner, name, f"must be one prediction, got a family of shape {value.shape}")
        return value


class WhatWasMeasured:
    """An impedance or a level curve."""

    def accept(self, owner, name, value):
        if isinstance(value, LevelTable):
            return value
        return Curve().accept(owner, name, value)


@rule
class SoFar:
    """Readings so far; perhaps none yet."""

    readings: Axis

    def accept(self, owner, name, value):
        """Return them as an array."""
        none = isinstance(value, (list, tuple, np.ndarray)) and len(value) == 0
        return np.empty(0) if none else self.readings.accept(owner, name, value)


def peak(owner, name, measured):
    """Return the place of the peak among the points; refuse a curve whose peak it does not hold."""
    magnitude = _smoothed(measured)
    left = np.minimum.accumulate(magnitude)
    right = np.minimum.accumulate(magnitude[::-1])[::-1]
    prominence = magnitude / np.maximum(left, right)
    at = int(np.argmax(prominence))
    if prominence[at] < PROMINENCE or at in (0, len(magnitude) - 1):
        span = f"{measured.frequency[0]:.4g} to {measured.frequency[-1]:.4g} Hz"
        raise Refused(owner, name, f"shows no peak from {span}", ": measure lower and higher until |Z| falls again")
    if not LOWEST_RESONANCE < measured.frequency[at] < HIGHEST_RESONANCE:
        slip = ": are the frequencies in kHz?" if measured.frequency[at] < 1 else ": are the frequencies in Hz?"
        raise Refused(owner, name, f"has its peak at {measured.frequency[at]:.5g} Hz, where no driver has one", slip)
    before, after = (measured.impedance.imag[side] for side in _beside(measured.frequency, at))
    if len(before) and len(after) and np.median(before) < 0 < np.median(after):
        raise Refused(
            owner, name, "has a phase that rises through its peak, where it must fall", ": turn its sign round"
        )
    return at


def _beside(frequency, at):
    """Return which points lie below and above a peak, within a factor of 1.5 of it: there no coil counts."""
    ratio = frequency / frequency[at]
    return (ratio > 1 / 1.5) & (ratio < 1), (ratio > 1) & (ratio < 1.5)


def _smoothed(measured):
    """Return the curve with its lone outliers taken out: each point the middle of itself and its near neighbours.

    Where the points lie closer, there are more of them: a sweep in equal steps of hertz is sparse at its low end.
    """
    magnitude, count = measured.magnitude, len(measured.frequency)
    if count < 15:
        return magnitude
    most = round(0.1 * count)
    reach = np.round(NEAR / np.maximum(np.gradient(np.log(measured.frequency)), NEAR / most)).astype(int)
    reach = np.minimum(np.maximum(reach, 1), np.minimum(range(count), range(count)[::-1]))  # none at either end
    windows = (magnitude[at - near : at + near + 1] for at, near in enumerate(reach))
    return np.array([np.partition(window, len(window) // 2)[len(window) // 2] for window in windows])
