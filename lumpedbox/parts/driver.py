"""The moving-coil driver."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..air import AIR, Air
from ..arguments import takes
from ..families import common_shape
from ..quantity import Holds, OneOf, Part, Quantity, Text, implied, needed, part, quantity, ruled
from .spread import AXES, COUNT, DRIVER_FACTORS, SEED, Spread, spread_of, varied

RESONANCE = Quantity(unit="Hz", meaning="resonance frequency in free air", low=1.0, high=2e4, slips=("kHz",))
ELECTRICAL_Q = Quantity(unit="", meaning="electrical Q at the free-air resonance", low=0.01, high=100.0)
MECHANICAL_Q = Quantity(unit="", meaning="mechanical Q at the free-air resonance", low=0.01, high=1000.0)
EQUIVALENT_VOLUME = Quantity(
    unit="m3", meaning="volume of air as compliant as the suspension", low=1e-7, high=10.0, slips=("litre", "cm3")
)
POWER = Quantity(unit="W", meaning="power", low=0.0, high=1e6)
LENGTH_SLIPS = ("mm", "cm", "inch")
WIRING = OneOf(words=("series", "parallel", "one alone"))


@part
class Driver(Part):
    r"""A moving-coil driver, by what it is made of.

    Data sheets give fs, Qes, Qms and Vas instead: see `Driver.from_thiele_small`.

    Parameters
    ----------
    Re : float or array
        Direct-current resistance of the voice coil. [ohm]
    Bl : float or array
        Force factor. [N/A]
    Mms : float or array
        Moving mass including its air load. [kg]
    Cms : float or array
        Compliance of the suspension. [m/N]
    Rms : float or array
        Mechanical resistance of the suspension. [N s/m]
    Sd : float or array
        Effective radiating area of the cone. [m2]
    Le : float or array
        Voice-coil inductance. [H]
    L2, R2 : float or array
        An inductance and a resistance that stand across each other, in series with Le: eddy currents. [H], [ohm]
    semi_inductance : float or array
        K of the eddy-current impedance K s**n in series with the rest. [ohm s^n]
    semi_exponent : float or array
        n of that impedance. [1]
    built_in_capacitance : float or array, optional
        Of the capacitor that some tweeters carry in line with their coil; the other values are without it. [F]
    xmax : float or array, optional
        Linear travel, *one way*. [m]
    power : float or array, optional
        Rated power. [W]
    rated_impedance : float or array, optional
        Impedance that the maker rates the driver by. [ohm]
    sensitivity : float or array, optional
        Printed level at 1 m in half space for 2.83 V. [dB]
    depth : float or array, optional
        How far it reaches behind the panel. [m]
    cutout : float or array, optional
        Diameter of the hole that it needs in the panel; of an oval, the longer one. [m]
    displacement : float or array, optional
        Volume that it takes up in a box. [m3]
    spread : Spread, optional
        How far such drivers differ; `members` draws some, and `Response.band` shows what that does to a curve.
    name : str
        What to call it.

    Notes
    -----
    The blocked impedance of the coil is

    .. math:: Z_e = R_e + s L_e + (s L_2 \parallel R_2) + K s^n

    and a positive velocity is outwards; + at the marked terminal moves the cone outwards.
    Valid while the cone moves as one piece, about up to k a = 1.

    References
    ----------
    R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) (1972) 383-395 (from memory).
    For the coil: J. Vanderkooy, JAES 37(3) (1989) 119-128; W. M. Leach, JAES 50(6) (2002) 442-450.

    Examples
    --------
    >>> from lumpedbox.units import mm, gram, cm2
    >>> d = Driver(Re=3.4, Bl=9.40429, Mms=53.2277 * gram, Cms=0.388478 * mm, Rms=2.34108, Sd=330 * cm2)
    >>> print(f"{d.fs:.2f} Hz, {d.Qes:.3f}, {d.Qms:.2f}")
    35.00 Hz, 0.450, 5.00
    """

    Re: float = quantity("ohm", "direct-current resistance of the voice coil", 0.01, 1e4)
    Bl: float = quantity("N/A", "force factor", 0.01, 1e3)
    Mms: float = quantity("kg", "moving mass with its air load", 1e-7, 5.0, slips=("gram",))
    Cms: float = quantity("m/N", "compliance of the suspension", 1e-7, 0.1, slips=("mm_per_newton", "um_per_newton"))
    Rms: float = quantity("N s/m", "mechanical resistance of the suspension", 1e-6, 1e3)
    Sd: float = quantity("m2", "effective radiating area", 1e-6, 1.0, slips=("cm2", "mm2"))
    Le: float = quantity("H", "voice-coil inductance", 0.0, 0.1, default=0.0, slips=("mH", "uH"))
    L2: float = quantity("H", "inductance of the eddy-current branch", 0.0, 0.1, default=0.0, slips=("mH", "uH"))
    R2: float = quantity("ohm", "resistance of the eddy-current branch", 1e-3, np.inf, default=np.inf)
    semi_inductance: float = quantity("ohm s^n", "K of the eddy-current impedance K s^n", 0.0, 10.0, default=0.0)
    semi_exponent: float = quantity("", "n of the eddy-current impedance K s^n", 0.0, 1.0, default=0.5)
    built_in_capacitance: float = quantity(
        "F", "capacitance of a built-in capacitor", 1e-8, 0.01, default=None, slips=("uF",)
    )
    xmax: float = quantity("m", "linear travel, one way", 1e-6, 0.1, default=None, slips=("mm",))
    power: float = quantity("W", "rated power", 1e-3, 1e5, default=None)
    rated_impedance: float = quantity("ohm", "rated impedance", 0.1, 1e4, default=None)
    sensitivity: float = quantity("dB", "printed level at 1 m for 2.83 V", 50.0, 130.0, default=None)
    depth: float = quantity("m", "depth behind the panel", 1e-3, 1.0, default=None, slips=LENGTH_SLIPS)
    cutout: float = quantity("m", "diameter of the hole in the panel", 5e-3, 1.0, default=None, slips=LENGTH_SLIPS)
    displacement: float = quantity(
        "m3", "volume that it takes up in a box", 0.0, 0.1, default=None, slips=("litre", "cm3")
    )
    spread: Spread | None = ruled(Holds((Spread,), optional=True), None)
    name: str = ruled(Text(), "")

    @classmethod
    def from_thiele_small(
        cls,
        *,
        fs,
        Qes,
        Qms,
        Vas,
        Sd,
        Re,
        Le=0.0,
        L2=0.0,
        R2=np.inf,
        semi_inductance=0.0,
        semi_exponent=0.5,
        built_in_capacitance=None,
        xmax=None,
        power=None,
        rated_impedance=None,
        depth=None,
        cutout=None,
        displacement=None,
        name="",
        air=Air(),
    ):
        r"""Make a driver from the small-signal parameters of a data sheet.

        Parameters
        ----------
        fs : float or array
            Resonance frequency in free air. [Hz]
        Qes, Qms : float or array
            Electrical and mechanical Q at that resonance. [1]
        Vas : float or array
            Volume of air as compliant as the suspension. [m3]
        Sd : float or array
            Effective radiating area. [m2]
        Re : float or array
            Direct-current resistance. [ohm]
        air : Air
            The air in which Vas holds; it only fixes Cms.

        Returns
        -------
        Driver
            The other arguments are those of `Driver`.

        Raises
        ------
        ValueError
            If a quantity is out of its range; the message names it, and the likely slip of unit.

        Notes
        -----
        .. math:: C_{ms} = \frac{V_{as}}{\rho c^2 S_d^2}, \quad M_{ms} = \frac{1}{(2\pi f_s)^2 C_{ms}}, \quad
                  R_{ms} = \frac{2\pi f_s M_{ms}}{Q_{ms}}, \quad Bl = \sqrt{\frac{2\pi f_s M_{ms} R_e}{Q_{es}}}

        Examples
        --------
        >>> from lumpedbox.units import litre, cm2
        >>> d = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=60 * litre, Sd=330 * cm2, Re=3.4)
        >>> print(f"{d.Qts:.4f}")
        0.4128
        """
        fs, Qes = RESONANCE.accept("Driver", "fs", fs), ELECTRICAL_Q.accept("Driver", "Qes", Qes)
        Qms, Vas = MECHANICAL_Q.accept("Driver", "Qms", Qms), EQUIVALENT_VOLUME.accept("Driver", "Vas", Vas)
        rules = {spec.name: spec.metadata["rule"] for spec in dataclasses.fields(cls)}
        AIR.accept("Driver.from_thiele_small", "air", air)
        Sd, Re = rules["Sd"].accept("Driver", "Sd", Sd), rules["Re"].accept("Driver", "Re", Re)
        given = {"fs": fs, "Qes": Qes, "Qms": Qms, "Vas": Vas, "Sd": Sd, "Re": Re}
        common_shape([(f"Driver.{name}", np.shape(value)) for name, value in given.items()])
        ws = 2 * np.pi * fs
        Cms = implied(cls, "Cms", Vas / (air.stiffness * np.square(Sd)), "Vas and Sd")
        Mms = implied(cls, "Mms", 1 / (np.square(ws) * Cms), "fs, Vas and Sd")
        Rms = implied(cls, "Rms", ws * Mms / Qms, "fs, Qms, Vas and Sd")
        Bl = implied(cls, "Bl", np.sqrt(ws * Mms * Re / Qes), "fs, Qes, Vas, Sd and Re")
        return cls(
            Re=Re,
            Bl=Bl,
            Mms=Mms,
            Cms=Cms,
            Rms=Rms,
            Sd=Sd,
            Le=Le,
            L2=L2,
            R2=R2,
            semi_inductance=semi_inductance,
            semi_exponent=semi_exponent,
            built_in_capacitance=built_in_capacitance,
            xmax=xmax,
            power=power,
            rated_impedance=rated_impedance,
            depth=depth,
            cutout=cutout,
            displacement=displacement,
            name=name,
        )

    @classmethod
    @takes(xmax_counted=Text(), power_counted=Text())
    def from_data_sheet(
        cls,
        *,
        fs=None,
        Qts=None,
        Qes=None,
        Qms=None,
        Vas=None,
        Sd=None,
        diameter=None,
        Re=None,
        Bl=None,
        Mms=None,
        Mmd=None,
        Cms=None,
        Rms=None,
        sensitivity_2V83=None,
        sensitivity_1W=None,
        Le=None,
        L2=None,
        R2=None,
        built_in_capacitance=None,
        xmax=None,
        xmax_counted=None,
        rated_impedance=None,
        power=None,
        power_counted=None,
        depth=None,
        cutout=None,
        displacement=None,
        name="",
        air=Air(),
    ):
        r"""Make a driver from whatever its data sheet prints, and say what follows, what is assumed, what contradicts.

        Parameters
        ----------
        fs : float, optional
            Resonance frequency in free air. [Hz]
        Qts, Qes, Qms : float, optional
            Total, electrical and mechanical Q at that resonance. [1]
        Vas : float, optional
            Volume of air as compliant as the suspension. [m3]
        Sd, diameter : float, optional
            Effective area, effective diameter (from the middle of the surround to the middle). [m2], [m]
        Re, Bl, Mms, Cms, Rms : float, optional
            As for `Driver`. [ohm], [N/A], [kg], [m/N], [N s/m]
        Mmd : float, optional
            Moving mass without the air that moves along, in a large panel :math:`\frac{16}{3}\rho a^3`. [kg]
        sensitivity_2V83, sensitivity_1W : float, optional
            Level at 1 m in half space for 2.83 V, and for 1 W into the rated impedance (into Re without one). [dB]
        Le, L2, R2, built_in_capacitance, rated_impedance : float, optional
            As for `Driver`. [H], [H], [ohm], [F], [ohm]
        xmax : float, optional
            Linear travel, counted as `xmax_counted` says. [m]
        xmax_counted : {"one way", "peak to peak"}, optional
            Where the sheet does not tell, it is taken as one way and asked about.
        power : float, optional
            Printed power, counted as `power_counted` says. [W]
        power_counted : {"r.m.s.", "maximum"}, optional
            Where the sheet does not tell, it is taken as r.m.s. and asked about; a maximum is not used.
        depth, cutout, displacement : float, optional
            As for `Driver`. [m], [m], [m3]
        name : str
        air : Air
            The air in which Vas, Mmd and the sensitivity hold.

        Returns
        -------
        DataSheet
            A pair: `driver`, and `report` with `given`, `implied`, `assumed`, `contradictory` (the likeliest mistake
            first; the driver agrees with the rest) and `questions`. Levels in [dB], all else in SI units.

        Raises
        ------
        ValueError
            If a value is out of its range, or if what is given does not settle a driver: the message names a smallest
            addition that would.

        Notes
        -----
        The logarithms of all printed quantities are smooth functions of those of Re, Bl, Mms, Cms, Rms and Sd. The
        driver is the least-squares solution of what is printed; it is settled where the Jacobian has rank 6. A
        contradiction is a value without which the others agree markedly better, and by more than rounding explains:
        half a unit of the last digit of each, of two digits at least. What is unusual is asked about.

        Examples
        --------
        >>> from lumpedbox.units import litre, cm2
        >>> driver, report = Driver.from_data_sheet(
        ...     fs=35, Qts=0.41, Qms=5, Vas=60 * litre, Sd=330 * cm2, Re=3.4, sensitivity_2V83=88.3, rated_impedance=4
        ... )
        >>> print(str(report.contradictory[0]).partition(";")[0])
        sensitivity at 2.83 V is printed as 88.3 dB, the rest implies 93.34 dB (-5.0 dB)
        """
        from .data_sheet import driver_from_sheet

        AIR.single("Driver.from_data_sheet", "air", air)
        printed = {
            "fs": fs,
            "Qts": Qts,
            "Qes": Qes,
            "Qms": Qms,
            "Vas": Vas,
            "Sd": Sd,
            "diameter": diameter,
            "Re": Re,
            "Bl": Bl,
            "Mms": Mms,
            "Mmd": Mmd,
            "Cms": Cms,
            "Rms": Rms,
            "sensitivity_2V83": sensitivity_2V83,
            "sensitivity_1W": sensitivity_1W,
        }
        beside = {
            "Le": Le,
            "L2": L2,
            "R2": R2,
            "built_in_capacitance": built_in_capacitance,
            "xmax": xmax,
            "rated_impedance": rated_impedance,
            "power": power,
            "depth": depth,
            "cutout": cutout,
            "displacement": displacement,
            "name": name,
        }
        counted = {"xmax_counted": xmax_counted, "power_counted": power_counted}
        return driver_from_sheet(printed, beside, counted, air)

    @classmethod
    @takes(name=Text())
    def typical(cls, *, size, kind, name=""):
        """Make a stand-in for a driver of which nothing is known but its size and kind.

        Parameters
        ----------
        size : float
            Nominal size: of a cone, the basket's; of a tweeter, the dome's; of an oval, the root of width times
            length. [m]
        kind : {"tweeter", "full range", "woofer", "bass"}
            What it is built for.
        name : str
            ", stand-in" is added, so that it is labelled wherever it shows.

        Returns
        -------
        Driver
            Of 4 ohm, with a `spread`.

        Raises
        ------
        ValueError, TypeError
            If there is no such kind, or the size is unusual for it.

        Notes
        -----
        Values and spread are common practice, no source; see `lumpedbox.parts.stand_in`.

        Examples
        --------
        >>> driver = Driver.typical(size=0.165, kind="woofer")
        >>> print(f"{driver.name}: {driver.fs:.0f} Hz, {1e4 * driver.Sd:.0f} cm2")
        165 mm woofer, stand-in: 58 Hz, 142 cm2
        """
        from .stand_in import stand_in

        return stand_in(size, kind, name)

    @takes(count=COUNT, seed=SEED, axes=AXES)
    def members(self, count, seed=1, axes=None):
        r"""Draw drivers as they come, each quantity by itself, from this one's `spread`.

        Parameters
        ----------
        count : int
            How many.
        seed : int
            The same seed draws the same drivers.
        axes : int, optional
            How many axes follow the first: as many as this driver has, or what it is to be combined with.

        Returns
        -------
        Driver
            A family of shape (count, ...).

        Raises
        ------
        ValueError
            If the driver has no spread.

        Notes
        -----
        .. math:: q = q_0\, e^{\sigma z}, \qquad z \sim N(0, 1)

        for each of Re, Bl, Mms, Cms, Rms, Sd, Le and xmax: fs, Q and Vas follow from them.
        """
        factors = spread_of(self, "how far such drivers differ").factors(count, seed)
        return self.varied(factors, len(self.shape) if axes is None else axes)

    @takes(factors=DRIVER_FACTORS, axes=AXES)
    def varied(self, factors, axes=0):
        """Return a family in which quantities are multiplied by factors, without a spread.

        Parameters
        ----------
        factors : dict
            Name of a quantity, such as "Mms": array of shape (count,). [1]
        axes : int
            How many axes follow that of the members.

        Returns
        -------
        Driver
        """
        return dataclasses.replace(self, **varied(self, factors, axes), spread=None)

    @takes(wiring=WIRING)
    def with_two_coils(self, wiring):
        """Return the driver with both of its two equal coils wired, where this one describes a single coil.

        Parameters
        ----------
        wiring : {"series", "parallel", "one alone"}
            How the coils are connected; "one alone" leaves the other open.

        Returns
        -------
        Driver

        Notes
        -----
        In series 2 Bl and 2 Re, in parallel Bl and Re / 2. The coils share one winding space and are taken as fully
        coupled, so inductances (and R2, K) are four times one coil's in series and one coil's own in parallel.
        Power, rated impedance and printed sensitivity are taken as one coil's; the level at 2.83 V follows Bl / Re.
        """
        turns, resistance, power = {"series": (2, 2, 2), "parallel": (1, 0.5, 2), "one alone": (1, 1, 1)}[wiring]

        def scaled(value, factor):
            return None if value is None else value * factor

        return dataclasses.replace(
            self,
            Re=self.Re * resistance,
            Bl=self.Bl * turns,
            Le=self.Le * turns**2,
            L2=self.L2 * turns**2,
            R2=self.R2 * turns**2,
            semi_inductance=self.semi_inductance * turns**2,
            power=scaled(self.power, power),
            rated_impedance=scaled(self.rated_impedance, resistance),
            sensitivity=None if self.sensitivity is None else self.sensitivity + 20 * np.log10(turns / resistance),
        )

    @property
    def fs(self):
        r"""Resonance frequency in free air. [Hz]

        .. math:: f_s = 1 / (2\pi\sqrt{M_{ms} C_{ms}})
        """
        return 1 / (2 * np.pi * np.sqrt(self.Mms * self.Cms))

    @property
    def Qes(self):
        r"""Electrical Q at resonance. [1]

        .. math:: Q_{es} = 2\pi f_s M_{ms} R_e / (Bl)^2
        """
        return 2 * np.pi * self.fs * self.Mms * self.Re / np.square(self.Bl)

    @property
    def Qms(self):
        r"""Mechanical Q at resonance. [1]

        .. math:: Q_{ms} = 2\pi f_s M_{ms} / R_{ms}
        """
        return 2 * np.pi * self.fs * self.Mms / self.Rms

    @property
    def Qts(self):
        """Total Q at resonance, driven by a source without resistance. [1]"""
        return self.Qes * self.Qms / (self.Qes + self.Qms)

    @property
    def Vas(self):
        """Volume of air as compliant as the suspension, in `Air()`. [m3]"""
        return equivalent_volume(self)

    @property
    def eta0(self):
        """Reference efficiency into half space, in `Air()`. [1]"""
        return reference_efficiency(self)

    @property
    def Vd(self):
        """Volume that the cone displaces within its linear travel, peak. [m3]"""
        return self.Sd * needed(self, "xmax", "the displaced volume needs it")

    @property
    def radius(self):
        """Radius of a disc of the same area. [m]"""
        return np.sqrt(self.Sd / np.pi)

    @property
    def nominal_resistance(self):
        """What "one watt" is reckoned into: the rated impedance if there is one, else Re. [ohm]"""
        return self.Re if self.rated_impedance is None else self.rated_impedance


DRIVER = Holds((Driver,))


@takes(driver=DRIVER, air=AIR)
def equivalent_volume(driver, air=Air()):
    r"""Volume of air as compliant as the driver's suspension. [m3]

    .. math:: V_{as} = \rho c^2 S_d^2 C_{ms}
    """
    return air.stiffness * np.square(driver.Sd) * driver.Cms


@takes(driver=DRIVER, air=AIR)
def reference_efficiency(driver, air=Air()):
    r"""Acoustic power into half space over Re times current squared, in the pass-band. [1]

    .. math:: \eta_0 = \frac{\rho}{2\pi c}\frac{(Bl)^2 S_d^2}{R_e M_{ms}^2}

    Valid where the cone is small against the wavelength.
    """
    motor = np.square(driver.Bl * driver.Sd / driver.Mms) / driver.Re
    return air.density / (2 * np.pi * air.sound_speed) * motor


@takes(driver=DRIVER, power=POWER)
def voltage_for_power(driver, power):
    r"""Return the r.m.s. voltage that puts `power` watts into the driver's `nominal_resistance`. [V]

    .. math:: V = \sqrt{P R}
    """
    return np.sqrt(power * driver.nominal_resistance)


@takes(driver=DRIVER)
def level_of_a_watt(driver):
    r"""By how much louder a driver plays with one watt than with 2.83 V. [dB]

    .. math:: 20 \log_{10}(\sqrt{1\,\mathrm{W} \cdot R} / 2.83\,\mathrm{V})

    with its `nominal_resistance` R: 0 into 8 ohm, 3 dB less into 4.
    """
    return 20 * np.log10(voltage_for_power(driver, 1.0) / 2.83)


def passband_level(driver, voltage, air=Air()):
    r"""Level at 1 m in half space in the driver's pass-band. [dB re 20 uPa]

    .. math:: p = \frac{\rho\,Bl\,S_d\,V}{2\pi M_{ms} R_e}

    Valid where the coil is still a resistance and the cone small against the wavelength.
    """
    pressure = air.density * driver.Bl * driver.Sd * voltage / (2 * np.pi * driver.Mms * driver.Re)
    return 20 * np.log10(pressure / 20e-6)
