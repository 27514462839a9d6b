"""Several loudspeakers heard together."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate

import numpy as np

from ..circuit.solver import Solution, computed
from . import opposing, system_passband
from .common import CommonResponse
from .heard_together import arriving, level_together
from .remarks import added_powers, at_one_place, by_name, low_load, sentences
from .single import Response


class SystemResponse(CommonResponse):
    """A solved system.

    Every curve has shape (..., nf): the family's shape, then frequency. Phasors are r.m.s., of time dependence
    exp(+j w t).

    Attributes
    ----------
    system : System
    frequency : array, shape (nf,)
        [Hz]
    voltage : float or array
        EMF of every channel, before its filters and gains. [V]
    air : Air
    responses : tuple of Response
        Each loudspeaker as it plays in the system, in the order of `system.loudspeakers`.
    distances : tuple
        From each loudspeaker to the ear. [m]

    Examples
    --------
    >>> from lumpedbox import Inverted, InfiniteBaffle, Loudspeaker, System, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> driver = demo_drivers()["200 mm bass"]
    >>> left, right = (Loudspeaker(driver=driver, box=InfiniteBaffle(), position=(x, 0, 0)) for x in (0, 1.4))
    >>> heard = solve(System(channels=(left, right), ear=(0.4, 1.2, 0)), 80)
    >>> print(f"{1e3 * heard.delays[1]:.2f} ms later, {heard.cancellation[0]:.2f} dB lost")
    0.86 ms later, 0.20 dB lost
    """

    def __init__(self, system, frequency, voltage, distance, air):
        self.system, self.frequency, self.voltage, self.air = system, frequency, voltage, air
        self.distances = tuple(system.distance_to(speaker, distance) for speaker in system.loudspeakers)
        distances = iter(self.distances)
        self.responses = tuple(
            Response(speaker, frequency, voltage, next(distances), air, (channel, index), system.listener)
            for channel in system.wired
            for index, speaker in enumerate(channel.each)
        )

    @property
    def shape(self):
        """Shape of the family."""
        return np.broadcast_shapes(*(response.shape for response in self.responses))

    @property
    def delays(self):
        r"""How much later each loudspeaker's sound arrives than the nearest one's, over its longer path. [s]

        .. math:: (r_i - r_{min}) / c

        Zero in a cabin by its resonances: the way from each place to the ear holds it there.
        """
        if self.system.by_places:
            return tuple(np.zeros(np.shape(distance))[()] for distance in self.distances)
        nearest = np.min(np.broadcast_arrays(*self.distances), axis=0)
        return tuple((distance - nearest) / self.air.sound_speed for distance in self.distances)

    @property
    def pressures(self):
        r"""Sound pressure of each loudspeaker at the ear. [Pa]

        .. math:: p_i\, e^{-j\omega (r_i - r_{min}) / c}
        """
        return arriving(self, [response.pressure for response in self.responses], self.frequency)

    @property
    def pressures_from_the_start(self):
        r"""Sound pressure of each loudspeaker at the ear, its whole travel time counted. [Pa]

        .. math:: p_i\, e^{-j\omega r_i / c}

        In a cabin by its resonances these are the `pressures`, which hold it.
        """
        if self.system.by_places:
            return self.pressures
        nearest = np.min(np.broadcast_arrays(*self.distances), axis=0)
        way = np.asarray(nearest / self.air.sound_speed)[..., np.newaxis]
        return tuple(pressure * np.exp(-1j * self.angular_frequency * way) for pressure in self.pressures)

    @property
    def pressure(self):
        r"""Sound pressure of all together at the ear. [Pa]

        .. math:: p = \sum p_i
        """
        return sum(self.pressures)

    @property
    def level(self):
        r"""Sound pressure level of all together. [dB re 20 uPa]

        .. math:: L = 10 \log_{10} \frac{\gamma\,|\sum p_i|^2 + (1 - \gamma) \sum |p_i|^2}{p_0^2}

        In a cabin the phases between loudspeakers lose their meaning where its resonances crowd together. So around
        `modal_limit` the sum of powers takes over from the complex sum. As a raised cosine in log f, :math:`\gamma`
        falls from 1 to 0 between :math:`f_x/\sqrt 2` and :math:`f_x \sqrt 2`.
        """
        return level_together(self, self.pressures, self.frequency)

    reference_level = property(system_passband.reference_level)
    reference_slopes = property(system_passband.reference_slopes)

    def _level_over(self, frequency):
        circuits = [replace(response.circuit, shape=self.shape) for response in self.responses]
        pressures = [computed(circuit, 2j * np.pi * frequency, Solution.pressure) for circuit in circuits]
        if frequency.ndim > 1:
            frequency = frequency.reshape((*self.shape, -1))
        return level_together(self, arriving(self, pressures, frequency), frequency)

    @property
    def treble_pressures(self):
        r"""Sound pressure of each at the ear, by its printed sensitivity above its model's limit. [Pa]

        .. math:: p_i\, 10^{(L_{treble} - L) / 20}

        Each loudspeaker keeps the phase of its model: see `Response.treble_level`.
        """
        pairs = zip(self.pressures, self.responses, strict=True)
        return tuple(p * np.power(10.0, (r.treble_level - r.level) / 20) for p, r in pairs)

    @property
    def treble_level(self):
        """Level of all together, with the printed sensitivities above the models' limits. [dB re 20 uPa]"""
        return level_together(self, self.treble_pressures, self.frequency)

    @property
    def levels(self):
        """Sound pressure level of each loudspeaker alone, all of them connected. [dB re 20 uPa]"""
        return tuple(response.level for response in self.responses)

    @property
    def modal_limit(self):
        """Lowest frequency at which the resonances of a cabin crowd together; `inf` in half space. [Hz]"""
        limits = [speaker.cabin.modal_limit for speaker in self.system.loudspeakers if speaker.cabin]
        return np.min(np.broadcast_arrays(*limits), axis=0)[()] if limits else np.inf

    @property
    def shares(self):
        r"""What each loudspeaker adds to the pressure at the ear, negative where it works against the rest. [1]

        .. math:: \mathrm{Re}(p_i / p), \quad \sum_i = 1
        """
        with np.errstate(divide="ignore", invalid="ignore"):
            return tuple((pressure / self.pressure).real for pressure in self.pressures)

    @property
    def cancellation(self):
        r"""How far the sum falls short of all loudspeakers in phase. [dB]

        .. math:: 20 \log_{10}(\sum |p_i| / |\sum p_i|)
        """
        with np.errstate(divide="ignore"):
            return 20 * np.log10(sum(map(np.abs, self.pressures)) / np.abs(self.pressure))

    @property
    def group_delay(self):
        r"""Group delay of the complex sum over source voltage, counted from the nearest loudspeaker's travel time. [s]

        .. math:: \tau = -\mathrm{Re}\frac{\sum p_i H_i'/H_i}{\sum p_i}

        `nan` where the sum is 120 dB under its maximum, or under all loudspeakers in phase.
        """
        loudest = np.maximum(np.abs(self.pressure), sum(map(np.abs, self.pressures))).max(axis=-1, keepdims=True)
        total = np.where(np.abs(self.pressure) < 1e-6 * loudest, np.nan, self.pressure)
        parts = zip(self.pressures, self.responses, self.delays, strict=True)
        slopes = [p * (response.relative_slope - np.asarray(delay)[..., np.newaxis]) for p, response, delay in parts]
        with np.errstate(invalid="ignore"):
            return -(sum(slopes) / total).real

    @property
    def channel_impedances(self):
        """Load of each channel, without its own source resistance, in the order of `system.wired`. [ohm]"""
        return tuple(first.solved.one(Solution.channel_impedance) for first in self.firsts)

    @property
    def firsts(self):
        """The response of the first loudspeaker of each channel."""
        counts = [len(channel.each) for channel in self.system.wired]
        return tuple(self.responses[start] for start in accumulate(counts[:-1], initial=0))

    @property
    def powers(self):
        """Real power that each loudspeaker takes, in the order of `system.loudspeakers`. [W]"""
        return tuple(response.input_power for response in self.responses)

    @property
    def low_loads(self):
        """Loads too low for an amplifier, as a tuple of sentences.

        The lowest load is searched from 5 Hz to 20 kHz, whatever frequencies were asked for.
        """
        return sentences(
            low_load(channel.amplifier, first.lowest_channel_impedance, channel.name or "A channel")
            for channel, first in zip(self.system.wired, self.firsts, strict=True)
            if channel.amplifier is not None
        )

    @property
    def warnings(self):
        """Loads too low for an amplifier, and loudspeakers that cancel, as a tuple of sentences; part of `remarks`."""
        return self.low_loads + tuple(map(opposing.in_words, self.opposing))

    @property
    def opposing(self):
        """Where loudspeakers of one band cancel at the ear [Hz], how much, and what reversing one would do [dB]."""
        return opposing.opposing(self)

    @property
    def remarks(self):
        """What to keep in mind when reading these curves, as a tuple of sentences: who, then what."""
        each = by_name(self.system, [response.remarks for response in self.responses])
        return self.warnings + sentences((at_one_place(self.system), added_powers(self))) + each
