"""What is heard, and what moves: one solve, every curve a property."""

from __future__ import annotations

import csv
import math
import warnings
from dataclasses import dataclass, replace

import numpy as np

from ..arguments import FLAG, FREQUENCY, PATH, Single, takes
from ..circuit.build import circuit, shared_circuit
from ..circuit.elements import Element
from ..circuit.solver import Solution, address_of, addresses, compute, node_at
from ..circuit.transfer import Piston
from ..parts.driver import DRIVER
from ..parts.loudspeaker import Box
from ..parts.spread import COUNT, SEED
from ..parts.system import Channel
from ..quantity import Holds, OneOf, Quantity, frozen, missing, needed
from .crossing import narrowed, rising_zero
from .midband import coil_current
from .remarks import LOAD_FREQUENCY, TILT, about_model, about_voltage

REFERENCE_PRESSURE = 20e-6  # Pa
CABIN_BAND = (100.0, 315.0)  # Hz; over it the mean square of filters, and of the pressure in a cabin, is the reference
BAND_FREQUENCY = np.geomspace(*CABIN_BAND, 33)
SIMPSON = np.array([1, *([4, 2] * 15), 4, 1]) / 96  # what each of these counts for in a mean, by Simpson's rule
DECIBEL = 10 / np.log(10)  # of a power ratio, per unit of its natural logarithm
HALF_POWER = 10 * np.log10(2)  # dB

RADIATOR = "passive radiator"
SHARE = Quantity(unit="", meaning="share of the drivers", low=0.0, high=1.0, slips=("percent",))
MEMBERS = 2000  # of a spread, drawn for a band
DROP = Quantity(unit="dB", meaning="fall below the reference level", low=0.01, high=100.0)
CURVE = OneOf(
    words=(
        *("level", "excursion", "group_delay", "impedance", "level_within_travel", "port_velocity", "port_flow"),
        *("pressure", "cone_velocity", "current", "input_power", "radiated_power", "reference_level"),
        *("f3", "f6", "f10"),
    )
)
STEP_DURATION = Quantity(unit="s", meaning="time to follow a step", low=1e-4, high=10.0, slips=("ms",))


@dataclass(frozen=True, slots=True, eq=False)
class Aperture:
    """An opening that sound leaves by.

    Attributes
    ----------
    name : str
        "cone", "port", "passive radiator" or "leak".
    flow : array, shape (..., nf)
        *Outward* volume flow, r.m.s. phasor. [m3/s]
    area : float, array or None
        Its area, None where it is not known. [m2]
    place : tuple or None
        Coordinates, those of the loudspeaker. [m]
    """

    name: str
    flow: np.ndarray
    area: object
    place: object


class Response:
    """A solved loudspeaker.

    Voltages, pressures, currents, velocities and flows are r.m.s. phasors of time dependence exp(+j w t); excursion
    and port speed are peak values. Every curve has shape (..., nf): the family's shape, then frequency.

    Attributes
    ----------
    loudspeaker : Loudspeaker
    frequency : array, shape (nf,)
        [Hz]
    voltage, distance : float or array
        [V], [m]
    air : Air
    pressure : array, complex
        Sound pressure at `distance`, without the travel time. [Pa]
    cone_velocity : array, complex
        Positive outwards. [m/s]
    impedance : array, complex
        At the loudspeaker's terminals, network included. [ohm]
    channel : Channel or None
        The channel that it shares with others, if it does.
    """

    def __init__(self, loudspeaker, frequency, voltage, distance, air, shared=None):
        self.loudspeaker, self.frequency = loudspeaker, frequency
        self.voltage, self.distance, self.air = voltage, distance, air
        self.channel, self._index = shared or (None, None)
        self._families = {}
        if shared:
            self._circuit = shared_circuit(*shared, voltage, distance, air)
        else:
            self._circuit = circuit(loudspeaker, voltage, distance, air)
        wanted = {
            "pressure": (Solution.pressure, complex),
            "_slope": (Solution.slope, complex),
            "cone_velocity": (self._flow_at("cone"), complex),
            "impedance": (Solution.impedance, complex),
        }
        if self._address("port"):
            wanted["_port_flow"] = (self._flow_at("port"), complex)
        for name, array in self._computed(wanted).items():
            setattr(self, name, array)

    def _flow_at(self, place):
        address = self._address(place)
        return lambda solution: solution.through(address)

    def _address(self, place):
        return address_of(self._circuit.terminals, place, self._circuit.own)

    def _computed(self, wanted, s=None):
        computed = compute(self._circuit, self._s if s is None else s, wanted)
        return {name: frozen(array) for name, array in computed.items()}

    @property
    def _s(self):
        return 2j * np.pi * self.frequency

    @property
    def shape(self):
        """Shape of the family."""
        return self._circuit.shape

    @property
    def angular_frequency(self):
        """2 pi frequency. [rad/s]"""
        return 2 * np.pi * self.frequency

    @property
    def level(self):
        r"""Sound pressure level. [dB re 20 uPa]

        .. math:: L = 20 \log_{10}(|p| / p_0)
        """
        if not hasattr(self, "_decibels"):
            self._decibels = frozen(_level(self.pressure))
        return self._decibels

    @property
    def phase(self):
        """Phase of the pressure against the source voltage, wrapped to -180 ... 180. [deg]"""
        return np.degrees(np.arctan2(self.pressure.imag, self.pressure.real))

    @property
    def group_delay(self):
        r"""Group delay of pressure over source voltage, without the travel time. [s]

        .. math:: \tau = -d\varphi / d\omega

        Exact: a derivative carried through the circuit, not a difference. `nan` where the level is 120 dB under its
        maximum, where the phase means nothing.
        """
        square = self.pressure.real**2 + self.pressure.imag**2
        return np.where(square < 1e-12 * square.max(axis=-1, keepdims=True), np.nan, -self._slope.real)

    @property
    def excursion(self):
        r"""Peak displacement of the cone. [m]

        .. math:: x = \sqrt{2}\,|v| / \omega
        """
        return np.abs(self.cone_velocity) * (np.sqrt(2) / self.angular_frequency)

    @property
    def level_within_travel(self):
        r"""Highest level of a steady tone that keeps the cone within its linear travel. [dB re 20 uPa]

        .. math:: L + 20 \log_{10}(x_{max} / x)
        """
        xmax = needed(self.loudspeaker.driver, "xmax", "the level within the linear travel needs it")
        return self.level + 20 * np.log10(np.asarray(xmax)[..., np.newaxis] / self.excursion)

    @property
    def driver_voltage(self):
        """Voltage across the driver itself, behind its network, r.m.s. phasor. [V]"""
        return self._computed({"voltage": (self._across("coil"), complex)})["voltage"]

    def _across(self, place):
        address = self._address(place)
        return lambda solution: solution.across(address)

    @property
    def treble_level(self):
        r"""Level, with the printed sensitivity in the place of the model above the model's limit. [dB re 20 uPa]

        .. math:: L = L_{2.83 V} + 20 \log_{10}\frac{|V|}{2.83\,r}

        with the voltage across the driver itself, off axis less what a rigid piston loses. The two are joined in dB
        by a raised cosine over the octave around `validity_limit`. A driver without a printed sensitivity keeps the
        model's level.
        """
        driver, speaker = self.loudspeaker.driver, self.loudspeaker
        if driver.sensitivity is None:
            return self.level
        octaves = np.log2(self.frequency / np.asarray(self.validity_limit)[..., np.newaxis])
        printed = 0.5 + 0.5 * np.sin(np.pi * np.clip(octaves, -0.5, 0.5))
        spread = 20 * np.log10(2 * np.pi / (speaker.solid_angle * self.distance))
        flat = np.asarray(driver.sensitivity + spread)[..., np.newaxis] + self._voltage_and_angle()
        return (1 - printed) * self.level + printed * flat

    def _voltage_and_angle(self):
        """Return what the voltage across the driver, and the angle, do to a printed sensitivity. [dB]"""
        with np.errstate(divide="ignore"):
            level = 20 * np.log10(np.abs(self.driver_voltage) / 2.83)
        for transfer in self._circuit.after:
            if isinstance(transfer, Piston):
                x = self.angular_frequency * np.asarray(transfer.reach)[..., np.newaxis]
                level = level + 20 * np.log10(np.abs(piston(x)))
        return level

    @property
    def port_flow(self):
        """Volume flow through the port *into* the box, r.m.s. phasor. [m3/s]

        Below the tuning it nearly equals the outward flow of the cone. `apertures` has the outward flows.
        """
        if not hasattr(self, "_port_flow"):
            box = type(self.loudspeaker.box).__name__
            raise missing(f"{box}.port", "the port that port_flow is about", f"a {box} has none; use a VentedBox")
        return self._port_flow

    @property
    def port_velocity(self):
        r"""Peak speed of the air in the port. [m/s]

        .. math:: u = \sqrt{2}\,|U_p| / S
        """
        flow = self.port_flow
        return np.abs(flow) * (np.sqrt(2) / np.asarray(self.loudspeaker.box.opening_area))[..., np.newaxis]

    @property
    def radiator_excursion(self):
        r"""Peak displacement of the passive radiator. [m]

        .. math:: x_p = \sqrt{2}\,|U_p| / (\omega S_p)
        """
        box = self.loudspeaker.box
        if not self._address(RADIATOR):
            said = f"a {type(box).__name__} has none; use a PassiveRadiatorBox"
            raise missing(f"{type(box).__name__}.radiator", "what radiator_excursion is about", said)
        area = np.asarray(box.radiator.Sd)[..., np.newaxis]
        return np.abs(self._radiator_flow) * (np.sqrt(2) / (self.angular_frequency * area))

    @property
    def _radiator_flow(self):
        """Volume flow of the passive radiator into the box. [m3/s]"""
        return self._computed({"flow": (self._flow_at(RADIATOR), complex)})["flow"]

    @property
    def apertures(self):
        """Every opening that sound leaves by, as a tuple of `Aperture`."""
        box, place = self.loudspeaker.box, self.loudspeaker.position
        area = np.asarray(self.loudspeaker.driver.Sd)
        found = [Aperture("cone", self.cone_velocity * area[..., np.newaxis], self.loudspeaker.driver.Sd, place)]
        if hasattr(self, "_port_flow"):
            known = box.port is not None or box.port_area is not None
            found.append(Aperture("port", -self._port_flow, box.opening_area if known else None, place))
        if self._address(RADIATOR):
            found.append(Aperture(RADIATOR, -self._radiator_flow, box.radiator.Sd, place))
        if self._address("leak"):
            flow = self._computed({"leak": (self._flow_at("leak"), complex)})["leak"]
            found.append(Aperture("leak", -flow, None, place))
        return tuple(found)

    @property
    def current(self):
        """Current into the loudspeaker's terminals, r.m.s. phasor. [A]"""
        return self._computed({"current": (Solution.current, complex)})["current"]

    @property
    def component_currents(self):
        """Current through every component of the loudspeaker's network, r.m.s. phasors: a dict by name. [A]

        Names are such as "capacitor in series" and "second coil across", those of `circuit.build.named_components`.
        """
        own = node_at(self._circuit.terminals, self._circuit.own)
        wanted = {
            element.name: (lambda solution, address=address: solution.through(address), complex)
            for address, element in addresses(own, self._circuit.own)
            if isinstance(element, Element) and element.place == "network"
        }
        return self._computed(wanted)

    @property
    def input_power(self):
        """Real power that the source gives; on a shared channel, what this loudspeaker takes of it. [W]"""
        return self._computed({"power": (Solution.input_power, float)})["power"]

    @property
    def dissipation(self):
        r"""Where the real power goes: a dict of element name to power. [W]

        .. math:: P = |flow|^2 R

        Its values sum to `input_power`. No radiation load is in the circuit: `radiated_power` stands beside it.
        """
        wanted = {} if self.channel else {"source resistance": (Solution.source_loss, float)}
        own = node_at(self._circuit.terminals, self._circuit.own)
        for address, element in addresses(own, self._circuit.own):
            if isinstance(element, Element) and element.dissipates:
                wanted[element.name] = (lambda solution, address=address: solution.power(address), float)
        return self._computed(wanted)

    @property
    def radiated_power(self):
        r"""Acoustic power of all openings together into the solid angle, without a cabin. [W]

        .. math:: P = \rho \omega^2 |U_0|^2 / (\Omega c)
        """
        speaker = self.loudspeaker
        flow = sum(aperture.flow for aperture in self.apertures)
        density = np.asarray(self.air.density / (speaker.solid_angle * self.air.sound_speed))[..., np.newaxis]
        return density * self.angular_frequency**2 * np.abs(flow) ** 2

    @property
    def validity_limit(self):
        """Frequency up to which the model holds. [Hz]

        The lower of k a = 1 of the cone and a sixth of a wavelength in the longest side of box or port.
        """
        wave = self.air.sound_speed
        cone = wave / (2 * np.pi * self.loudspeaker.driver.radius)
        with np.errstate(divide="ignore"):
            return np.minimum(cone, np.divide(wave, 6 * np.asarray(self.loudspeaker.box.longest_path)))[()]

    @property
    def reference_level(self):
        r"""Level that f3, f6 and f10 are counted from. [dB re 20 uPa]

        Without a cabin the closed-form level of the pass-band as wired, with reactances left out,

        .. math:: p = \rho\, Bl\, S_d I / (\Omega r M_{ms})

        where I is the coil's current behind source, wires, pads and partners by their resistances. Filters count by
        their mean-square gain over `CABIN_BAND`, evenly in log f. In a cabin it is that of the pressure.
        """
        return _level(self._band_mean(Solution.pressure) if self.loudspeaker.cabin else self._midband_pressure())

    def _midband_pressure(self):
        driver, speaker = self.loudspeaker.driver, self.loudspeaker
        channel = self.channel or Channel(loudspeakers=(speaker,))
        emf = self._band_mean(Solution.emf) if self._circuit.before else self.voltage
        acceleration = emf * coil_current(channel, self._index or 0) * driver.Bl / driver.Mms
        return self.air.density * driver.Sd * acceleration / (speaker.solid_angle * self.distance)

    def _band_mean(self, quantity):
        """Root of the mean square of a quantity over `CABIN_BAND`, evenly in log f."""
        return np.sqrt(np.sum(self._over_band(quantity) ** 2 * SIMPSON, axis=-1))

    def _over_band(self, quantity, frequency=BAND_FREQUENCY):
        """Magnitude of a quantity over `CABIN_BAND`, or at other frequencies than were asked for."""
        return np.abs(self._computed({"wanted": (quantity, complex)}, 2j * np.pi * frequency)["wanted"])

    @property
    def filter_tilt(self):
        """By how much filters change the level within 100 to 315 Hz, the band that f3 is counted from. [dB]"""
        if not self._circuit.before:
            return np.zeros(self.shape)
        emf = self._over_band(Solution.emf)
        return 20 * np.log10(emf.max(axis=-1) / emf.min(axis=-1))

    @property
    def lowest_impedance(self):
        """Lowest magnitude of the impedance between 5 Hz and 20 kHz, whatever frequencies were asked for. [ohm]"""
        return self._over_band(Solution.impedance, LOAD_FREQUENCY).min(axis=-1)

    @property
    def lowest_channel_impedance(self):
        """The same of all that the channel drives. [ohm]"""
        return self._over_band(Solution.channel_impedance, LOAD_FREQUENCY).min(axis=-1)

    @property
    def f3(self):
        """Lower frequency limit at half power, 10 log10(2) = 3.01 dB under the reference level. [Hz]"""
        return self.cutoff(HALF_POWER)

    @property
    def f6(self):
        """Lower frequency limit, 6 dB under the reference level. [Hz]"""
        return self.cutoff(6.0)

    @property
    def f10(self):
        """Lower frequency limit, 10 dB under the reference level. [Hz]"""
        return self.cutoff(10.0)

    @takes(drop=Single(DROP), refine=FLAG)
    def cutoff(self, drop, refine=True):
        """Return the highest frequency below the reference band at which the level, rising, is `drop` dB under it.

        A driver that is not that loud yet at 100 Hz, where the band begins, has its limit higher up: where the level
        first rises through. In a cabin, or behind filters of some slope there (`filter_tilt`), there is none then.

        Parameters
        ----------
        drop : float
            [dB]
        refine : bool
            Whether to solve for it, to about 1e-8; else it lies on a straight line in log f between two frequencies
            of this response, which is quicker.

        Returns
        -------
        float or array
            Shape of the family; `nan` where there is none: `cutoff_in_words` says why. [Hz]
        """
        target = np.asarray(self.reference_level - drop)[..., np.newaxis]
        target = np.broadcast_to(target, (*self.shape, 1)).reshape(-1, 1)

        def excess(points):
            pressure = self._computed({"p": (Solution.pressure, complex)}, 2j * np.pi * points)["p"]
            return _level(pressure.reshape(len(target), -1)) - target

        frequency, level = self._with_edge(len(target))
        found = rising_zero(frequency, level - target, CABIN_BAND[0], self._may_begin_higher)
        found = narrowed(found, frequency, excess) if refine else found
        return found.frequency.reshape(self.shape)[()]

    def _with_edge(self, members):
        """Return the frequencies asked for and the levels there, with that at the edge of `CABIN_BAND` among them."""
        frequency, edge = self.frequency, CABIN_BAND[0]
        level = np.broadcast_to(self.level, (*self.shape, len(frequency))).reshape(members, -1)
        if edge in frequency or not frequency.min() < edge < frequency.max():
            return frequency, level
        there = _level(self._computed({"p": (Solution.pressure, complex)}, np.array([2j * np.pi * edge]))["p"])
        there = np.broadcast_to(there, (*self.shape, 1)).reshape(members, 1)
        return np.append(frequency, edge), np.hstack([level, there])

    @property
    def _may_begin_higher(self):
        """Whether f3 may lie above 100 Hz: not where the reference itself is made of a sloping level there."""
        return self.loudspeaker.cabin is None and np.broadcast_to(self.filter_tilt <= TILT, self.shape).ravel()

    @takes(drop=Single(DROP))
    def cutoff_in_words(self, drop=HALF_POWER):
        """Say where the level falls by `drop` dB, or why that cannot be said (for a single loudspeaker)."""
        if self.shape:
            raise ValueError(f"cutoff_in_words is about one loudspeaker, got a family of shape {self.shape}")
        found, edge, lowest = self.cutoff(drop), CABIN_BAND[0], self.frequency.min()
        below = f"{drop:.3g} dB under the reference level"
        if np.isfinite(found):
            return f"{below} at {found:.4g} Hz."
        target = self.reference_level - drop
        if self.level.max() < target:
            span = f"{lowest:.4g} to {self.frequency.max():.4g} Hz"
            return f"From {span} the level never comes within {drop:.3g} dB of the reference level."
        if self.level[np.argmin(self.frequency)] < target:
            return f"The level is not up by {edge:g} Hz, where the band that it is counted from begins."
        if lowest >= edge:
            return f"Look below {edge:g} Hz, where the band that the reference level is counted from begins."
        return f"From {lowest:.4g} to {edge:g} Hz the level never rises through {below}: look lower down."

    @takes(duration=Single(STEP_DURATION), bandwidth=Single(FREQUENCY))
    def step_response(self, duration=0.1, bandwidth=2000.0):
        r"""Return the pressure that follows a step of `voltage` volts, band-limited.

        Parameters
        ----------
        duration : float
            How long to follow it. [s]
        bandwidth : float
            The step's spectrum is faded out by a raised cosine that ends here. [Hz]

        Returns
        -------
        time : array, shape (nt,)
            From 0 to `duration`. [s]
        pressure : array, shape (..., nt)
            Instantaneous sound pressure. [Pa]

        Notes
        -----
        The inverse Laplace integral along a line Re s > 0, so that a step that never dies out (a cabin without leak)
        does not fold back:

        .. math:: p(t) = \frac{e^{\sigma t}}{2\pi} \int P(\sigma + j\omega)\,e^{j\omega t} / (\sigma + j\omega)\,d\omega
        """
        if duration * bandwidth * math.prod(self.shape) > MOST_OF_A_STEP:
            raise ValueError(
                f"step_response.duration times bandwidth must be at most {MOST_OF_A_STEP:g} over all members, got "
                f"{duration:g} s times {bandwidth:g} Hz for {math.prod(self.shape)}: ask for less of one"
            )
        period = 8 * duration
        sigma = 12 / period
        spectrum_frequency = np.arange(int(bandwidth * period) + 1) / period
        s = sigma + 2j * np.pi * spectrum_frequency
        spectrum = self._computed({"p": (Solution.pressure, complex)}, s)["p"] / s
        spectrum = spectrum * np.cos(np.pi / 2 * spectrum_frequency / bandwidth) ** 2
        points = 8 * len(spectrum_frequency)
        time = np.arange(points) * period / points
        pressure = np.fft.irfft(spectrum, points) * points / period * np.exp(sigma * time)
        kept = time <= duration
        return time[kept], pressure[..., kept]

    @property
    def varies(self):
        """Whether driver or box have a spread, so that there is a `band`."""
        return self.loudspeaker.varies

    @takes(curve=CURVE, share=Single(SHARE), seed=SEED, members=COUNT)
    def band(self, curve, share=0.8, seed=1, members=MEMBERS):
        """Return the edges between which a curve lies for most of what the spreads of driver and box allow.

        Parameters
        ----------
        curve : str
            A curve or number of this response: "level", "excursion", "f3" ...; of a complex one, its magnitude.
        share : float
            Of the members inside; as many lie below as above: 0.8 is from the 10th to the 90th percentile. [1]
        seed : int
            Of the members that are drawn.
        members : int
            How many are drawn, and solved as one family.

        Returns
        -------
        array, shape (2, ..., nf)
            Lower and upper edge, in the unit of the curve. `nan` counts as neither.

        Raises
        ------
        ValueError
            If neither has a spread, or there is no such curve.
        """
        return between(magnitudes(self._drawn(members, seed), curve), share)

    def _drawn(self, members, seed):
        """Return the response of a family that the spreads allow; solved when first needed."""
        if (members, seed) not in self._families:
            drawn = self.loudspeaker.members(members, seed, len(self.shape))
            self._families[members, seed] = self.with_parts(drawn.driver, drawn.box)
        return self._families[members, seed]

    @takes(driver=DRIVER, box=Holds(Box))
    def with_parts(self, driver, box):
        """Return the response of another driver and box, or families of them, under the same conditions.

        Parameters
        ----------
        driver : Driver
        box : SealedBox, VentedBox, PassiveRadiatorBox or InfiniteBaffle

        Returns
        -------
        Response
        """
        speaker = replace(self.loudspeaker, driver=driver, box=box)
        shared = self.channel and (swapped(self.channel, self._index, speaker), self._index)
        return Response(speaker, self.frequency, self.voltage, self.distance, self.air, shared)

    @property
    def remarks(self):
        """What to keep in mind when reading these curves, as a tuple of sentences."""
        return about_model(self) + about_voltage(self)

    def columns(self):
        """Return the curves as a dict of heading, with its unit, to array of shape (..., nf)."""
        found = {
            "frequency [Hz]": np.broadcast_to(self.frequency, self.level.shape),
            "level [dB]": self.level,
            "phase [deg]": self.phase,
            "group delay [ms]": self.group_delay * 1e3,
            "excursion [mm]": self.excursion * 1e3,
            "impedance [ohm]": np.abs(self.impedance),
            "impedance phase [deg]": np.degrees(np.angle(self.impedance)),
        }
        box = self.loudspeaker.box
        if hasattr(self, "_port_flow") and (box.port is not None or box.port_area is not None):
            found["port speed [m/s]"] = self.port_velocity
        return found

    @takes(path=PATH)
    def to_csv(self, path):
        """Write the curves as a table, the unit in every heading; a family has its members one after another.

        Parameters
        ----------
        path : str or path-like
        """
        columns = self.columns()
        if self.shape:
            members = np.arange(int(np.prod(self.shape))).reshape(*self.shape, 1)
            columns = {"member": np.broadcast_to(members, self.level.shape), **columns}
        with open(path, "w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow(columns)
            writer.writerows(zip(*(column.ravel().tolist() for column in columns.values()), strict=True))


MOST_OF_A_STEP = 1e6  # duration x bandwidth x members: some 500 MB


def _level(pressure):
    with np.errstate(divide="ignore"):
        # the natural logarithm: numpy's log10 takes nearly twice as long
        return DECIBEL * np.log((np.real(pressure) ** 2 + np.imag(pressure) ** 2) / REFERENCE_PRESSURE**2)


def magnitudes(response, curve):
    """Return a curve of a response by name; of a complex one, its magnitude."""
    values = getattr(response, CURVE.accept("band", "curve", curve))
    return np.abs(values) if np.iscomplexobj(values) else values


def between(values, share=0.8):
    """Return the edges between which a share of the members lies, as many below as above.

    Parameters
    ----------
    values : array, shape (members, ...)
        In any unit; `nan` counts as neither.
    share : float
        [1]

    Returns
    -------
    array, shape (2, ...)
        Lower and upper edge, in the same unit.
    """
    edges = [50 * (1 - share), 50 * (1 + share)]
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="All-NaN slice", category=RuntimeWarning)
        # the one that passes over nan is far slower
        return (np.nanpercentile if np.isnan(values).any() else np.percentile)(values, edges, axis=0)


def piston(x):
    """Directivity of a rigid piston, 2 J1(x) / x. [1]"""
    from scipy.special import j1

    return np.where(x, 2 * j1(x) / np.where(x, x, 1.0), 1.0)


def swapped(channel, index, speaker):
    """Return a channel with another loudspeaker in one place."""
    speakers = list(channel.loudspeakers)
    speakers[index] = speaker
    return replace(channel, loudspeakers=speakers)
