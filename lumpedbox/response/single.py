"""What is heard, and what moves: one solve, every curve a property."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..arguments import FREQUENCY, PATH, Single, takes
from ..circuit.build import circuit, shared_circuit
from ..circuit.solver import Solution, Solved, computed
from ..parts.driver import DRIVER
from ..parts.loudspeaker import Box
from ..parts.spread import COUNT, SEED
from ..quantity import Holds, Quantity, frozen, missing, needed
from ..remembered import once
from . import openings, passband, step, table
from .band import CURVE, MEMBERS, between, drawn, magnitudes
from .common import SHARE, CommonResponse
from .grid import frequencies
from .level import pressure_level
from .remarks import about_model, about_voltage
from .treble import treble_level

LOAD_FREQUENCY = frequencies(5, 20_000)  # searched for the lowest load, whatever frequencies were asked for
STEP_DURATION = Quantity(unit="s", meaning="time to follow a step", low=1e-4, high=10.0, slips=("ms",))


class Response(CommonResponse):
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
    ear : tuple or None
        Where the listener is, if that is known: x, y, z. [m]
    pressure : array, complex
        Sound pressure at `distance`, without the travel time; in a cabin of law "modes" at the ear, with it. [Pa]
    cone_velocity : array, complex
        Positive outwards. [m/s]
    impedance : array, complex
        At the loudspeaker's terminals, network included. [ohm]
    channel : Channel or None
        The channel that it shares with others, if any.
    index : int
        Its place on that channel.
    circuit : Circuit
        The circuit that was solved.
    solved : Solved
        That circuit at these frequencies.

    References
    ----------
    R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) (1972) 383-395 (from memory).

    Examples
    --------
    >>> from lumpedbox import Loudspeaker, VentedBox, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> from lumpedbox.units import cm2, litre
    >>> box = VentedBox(volume=30 * litre, fb=35, port_area=80 * cm2)
    >>> response = solve(Loudspeaker(driver=demo_drivers()["200 mm bass"], box=box), [35, 70])
    >>> print(f"{response.level[1]:.1f} dB, {1e3 * response.excursion[1]:.2f} mm, {response.port_velocity[0]:.1f} m/s")
    90.2 dB, 0.87 mm, 3.0 m/s
    """

    def __init__(self, loudspeaker, frequency, voltage, distance, air, shared=None, ear=None):
        self.loudspeaker, self.frequency = loudspeaker, frequency
        self.voltage, self.distance, self.air, self.ear = voltage, distance, air, ear
        self.channel, self.index = shared or (None, 0)
        self._families = {}
        if shared:
            self.circuit = shared_circuit(*shared, voltage, distance, air, ear)
        else:
            self.circuit = circuit(loudspeaker, voltage, distance, air, ear)
        wanted = {
            "pressure": Solution.pressure,
            "delay": Solution.delay,
            "cone_velocity": self.circuit.flow("cone"),
            "impedance": Solution.impedance,
        }
        if self.circuit.has("port"):
            wanted["port_flow"] = self.circuit.flow("port")
        self.solved = Solved(self.circuit, 1j * self.angular_frequency)
        solved = self.solved.compute(wanted)
        self.pressure, self._delay = solved["pressure"], solved["delay"]
        self.cone_velocity, self.impedance = solved["cone_velocity"], solved["impedance"]
        self._port_flow = solved.get("port_flow")
        self._level = None

    @property
    def shape(self):
        """Shape of the family."""
        return self.circuit.shape

    @property
    def level(self):
        r"""Sound pressure level. [dB re 20 uPa]

        .. math:: L = 20 \log_{10}(|p| / p_0)
        """
        if self._level is None:
            self._level = frozen(pressure_level(self.pressure))
        return self._level

    @property
    def phase(self):
        r"""Phase of the pressure against the source voltage, wrapped to -180 ... 180. [deg]

        .. math:: \varphi = \arg p
        """
        # parts of their own: numpy takes half as long again over every second number of a complex array
        return np.arctan2(self.pressure.imag.copy(), self.pressure.real.copy()) * (180 / np.pi)  # `degrees` is slow

    @property
    def group_delay(self):
        r"""Group delay of pressure over source voltage, without the travel time (`pressure` has the exception). [s]

        .. math:: \tau = -d\varphi / d\omega

        Exact: the derivative is carried through the circuit, not taken from differences. `nan` where the level is
        120 dB under its maximum: the phase means nothing there.
        """
        return np.where(self.level < self.level.max(axis=-1, keepdims=True) - 120, np.nan, self._delay)

    @property
    def relative_slope(self):
        r"""Logarithmic derivative by s of pressure over source voltage, complex. [s]

        .. math:: H'/H, \quad \tau = -\mathrm{Re}(H'/H)
        """
        return self.solved.one(Solution.slope)

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
        return self.solved.one(self.circuit.drop("coil"))

    treble_level = property(treble_level)

    @property
    def port_flow(self):
        """Volume flow through the port *into* the box, r.m.s. phasor. [m3/s]

        Below the tuning it nearly equals the outward flow of the cone. `apertures` has the outward flows.
        """
        if self._port_flow is None:
            box = type(self.loudspeaker.box).__name__
            raise missing(f"{box}.port", "the port that port_flow needs", f"a {box} has none; use a VentedBox")
        return self._port_flow

    port_velocity = property(openings.port_velocity)
    radiator_excursion = property(openings.radiator_excursion)
    hole_velocity, jet_share = property(openings.hole_velocity), property(openings.jet_share)
    apertures, radiated_power = property(openings.apertures), property(openings.radiated_power)

    @property
    def current(self):
        """Current into the loudspeaker's terminals, r.m.s. phasor. [A]"""
        return self.solved.one(Solution.current)

    @property
    def channel_current(self):
        """Current of everything that the channel drives, r.m.s. phasor. [A]"""
        return self.solved.one(Solution.channel_current)

    @property
    def emf(self):
        """EMF of the channel behind its filters, r.m.s. phasor. [V]"""
        return self.solved.one(Solution.emf)

    @property
    def component_currents(self):
        """Current through every component of the loudspeaker's network, r.m.s. phasors: a dict by name. [A]

        Names look like "capacitor in series" and "second inductor across": `circuit.build.named_components` gives them.
        """
        return self.solved.compute(self.circuit.element_flows("network"))

    @property
    def input_power(self):
        r"""Real power that the source gives; on a shared channel, this loudspeaker's part of it. [W]

        .. math:: P = \mathrm{Re}(V I^*)
        """
        return self.solved.one(Solution.input_power)

    @property
    def dissipation(self):
        r"""Where the real power goes: a dict of element name to power. [W]

        .. math:: P = |flow|^2 R

        Its values sum to `input_power`. The circuit has no radiation load, so `radiated_power` is not in that sum.
        """
        source = {} if self.channel else {"source resistance": Solution.source_loss}
        return self.solved.compute(source | self.circuit.losses())

    @property
    def validity_limit(self):
        r"""Frequency up to which the model holds. [Hz]

        .. math:: \min\left(\frac{c}{2\pi a}, \frac{c}{6 l}\right)

        The lower of two: k a = 1 of the cone, and a sixth of a wavelength in the longest side of box or port.
        """
        wave = self.air.sound_speed
        cone = wave / (2 * np.pi * self.loudspeaker.driver.radius)
        with np.errstate(divide="ignore"):
            return np.minimum(cone, np.divide(wave, 6 * np.asarray(self.loudspeaker.box.longest_path)))[()]

    reference_level = once(passband.reference_level)
    filter_tilt = property(passband.filter_tilt)
    reference_slopes = property(passband.reference_slopes)

    def _level_over(self, frequency):
        return pressure_level(computed(self.circuit, 2j * np.pi * frequency, Solution.pressure))

    @property
    def lowest_impedance(self):
        """Lowest magnitude of the impedance between 5 Hz and 20 kHz, whatever frequencies were asked for. [ohm]"""
        return self._lowest(Solution.impedance)

    @property
    def lowest_channel_impedance(self):
        """The same for everything that the channel drives. [ohm]"""
        return self._lowest(Solution.channel_impedance)

    def _lowest(self, quantity):
        return np.abs(computed(self.circuit, 2j * np.pi * LOAD_FREQUENCY, quantity)).min(axis=-1)

    @takes(duration=Single(STEP_DURATION), bandwidth=Single(FREQUENCY))
    def step_response(self, duration=0.1, bandwidth=2000.0):
        r"""Return the pressure that follows a step of `voltage` volts, band-limited.

        Parameters
        ----------
        duration : float
            How long to follow it. [s]
        bandwidth : float
            A raised cosine that ends here fades out the step's spectrum. [Hz]

        Returns
        -------
        time : array, shape (nt,)
            From 0 to `duration`. [s]
        pressure : array, shape (..., nt)
            Instantaneous sound pressure. [Pa]

        Notes
        -----
        `response.step.step_response` has the equation.
        """
        return step.step_response(self, duration, bandwidth)

    @property
    def varies(self):
        """Whether driver or box has a spread, so that there is a `band`."""
        return self.loudspeaker.varies

    @takes(curve=CURVE, share=Single(SHARE), seed=SEED, members=COUNT)
    def band(self, curve, share=0.8, seed=1, members=MEMBERS):
        """Return the edges that a curve lies between for most drivers and boxes of these spreads.

        Parameters
        ----------
        curve : str
            A curve or number of this response: "level", "excursion", "f3" ...; a complex one by its magnitude.
        share : float
            Share of the members inside, with as many below as above: 0.8 runs from the 10th to the 90th percentile. [1]
        seed : int
            Seed of the random draw.
        members : int
            How many to draw; they are solved as one family.

        Returns
        -------
        array, shape (2, ..., nf)
            Lower and upper edge, in the unit of the curve. A member that is `nan` is left out.

        Raises
        ------
        ValueError
            If neither has a spread, or there is no such curve.
        """
        return between(magnitudes(self._drawn(members, seed), curve), share)

    def _drawn(self, members, seed):
        """Return the response of a family drawn from the spreads; solved when first needed."""
        if (members, seed) not in self._families:
            self._families[members, seed] = drawn(self, members, seed)
        return self._families[members, seed]

    @takes(driver=DRIVER, box=Holds(Box))
    def with_parts(self, driver, box):
        """Return the response of another driver and box, or families of them, under the same conditions.

        Parameters
        ----------
        driver : Driver
        box : SealedBox, VentedBox, PassiveRadiatorBox, InfiniteBaffle or Door

        Returns
        -------
        Response
        """
        speaker = replace(self.loudspeaker, driver=driver, box=box)
        each = [
            speaker if place == self.index else other
            for place, other in enumerate(self.channel.each if self.channel else ())
        ]
        shared = self.channel and (self.channel.with_each(each), self.index)
        return Response(speaker, self.frequency, self.voltage, self.distance, self.air, shared, self.ear)

    @property
    def remarks(self):
        """What to keep in mind when reading these curves, as a tuple of sentences."""
        return about_model(self) + about_voltage(self)

    def columns(self):
        """Return the curves as a dict of heading, with its unit, to array of shape (..., nf)."""
        return table.columns(self)

    @takes(path=PATH)
    def to_csv(self, path):
        """Write the curves as a table, with the unit in every heading and a family's members one after another.

        Parameters
        ----------
        path : str or path-like
        """
        table.write_csv(self, path)
