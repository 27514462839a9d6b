"""Several loudspeakers heard together."""

from __future__ import annotations

import numpy as np

from ..arguments import Places, Single, takes
from ..circuit.solver import Solution, computed
from . import ears as ears_
from .grid import risen
from .level import REFERENCE_PRESSURE, power_level
from .remarks import added_powers, low_load, sentences
from .single import SHARE, Response


class SystemResponse:
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
            for index, speaker in enumerate(channel.loudspeakers)
        )

    @property
    def angular_frequency(self):
        r"""Angular frequency. [rad/s]

        .. math:: \omega = 2 \pi f
        """
        return 2 * np.pi * self.frequency

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
        return tuple(
            response.pressure * np.exp(-1j * self.angular_frequency * np.asarray(delay)[..., np.newaxis])
            for response, delay in zip(self.responses, self.delays, strict=True)
        )

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
        return self._level_of(self.pressures)

    @takes(ears=Places())
    def levels_at(self, ears):
        """Return the level of all together at many ears: see `Response.levels_at`. [dB re 20 uPa], shape (..., nf)

        Parameters
        ----------
        ears : array, shape (..., 3)
            Points: x, y, z. [m]
        """
        return ears_.levels_at(self, ears)

    @takes(share=Single(SHARE))
    def band_of_ears(self, share=0.8):
        """Return the edges for most places of the ear: see `Response.band_of_ears`. [dB re 20 uPa], shape (2, nf)

        Parameters
        ----------
        share : float
            [1]
        """
        return ears_.band_of_ears(self, share)

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
        return self._level_of(self.treble_pressures)

    def _level_of(self, pressures):
        coherent = 1 - risen(self.frequency, self.modal_limit)
        powers = sum(np.abs(pressure) ** 2 for pressure in pressures)
        square = coherent * np.abs(sum(pressures)) ** 2 + (1 - coherent) * powers
        return power_level(square / REFERENCE_PRESSURE**2)

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
        return tuple(self._of_channel(i, Solution.channel_impedance) for i in range(len(self.system.wired)))

    def _of_channel(self, index, quantity):
        return computed(self._first_of(index).circuit, 1j * self.angular_frequency, quantity)

    def _first_of(self, index):
        """Return the response of the first loudspeaker of a channel."""
        return self.responses[sum(len(channel.loudspeakers) for channel in self.system.wired[:index])]

    @property
    def powers(self):
        """Real power that each loudspeaker takes, in the order of `system.loudspeakers`. [W]"""
        return tuple(response.input_power for response in self.responses)

    @property
    def warnings(self):
        """Loads too low for an amplifier, as a tuple of sentences; part of the `remarks`.

        The lowest load is searched from 5 Hz to 20 kHz, whatever frequencies were asked for.
        """
        firsts = (self._first_of(index) for index in range(len(self.system.wired)))
        return sentences(
            low_load(channel.amplifier, first.lowest_channel_impedance, channel.name or "A channel")
            for channel, first in zip(self.system.wired, firsts, strict=True)
            if channel.amplifier is not None
        )

    @property
    def remarks(self):
        """What to keep in mind when reading these curves, as a tuple of sentences: who, then what."""
        found = {}
        for number, response in enumerate(self.responses, start=1):
            for sentence in response.remarks:
                found.setdefault(sentence, []).append(response.loudspeaker.name or f"Loudspeaker {number}")
        each = tuple(f"{', '.join(who)}: {sentence}" for sentence, who in found.items())
        return self.warnings + sentences((added_powers(self),)) + each
