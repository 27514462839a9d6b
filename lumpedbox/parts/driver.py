"""The moving-coil driver."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..air import AIR, Air
from ..arguments import takes, takes_fields_of
from ..families import common_shape
from ..quantity import Holds, OneOf, Part, Quantity, Text, implied, needed, part, ruled
from . import small_signal
from .data_sheet.printed import PrintedSheet
from .small_signal import FOLLOWS_FROM, OPTIONAL, RULES, THIELE_SMALL, SmallSignal
from .spread import AXES, COUNT, DRIVER_FACTORS, SEED, Spread, spread_of, varied

POWER = Quantity(unit="W", meaning="power", low=0.0, high=1e6)
WIRING = OneOf(words=("series", "parallel", "one alone"))


@part
class Driver(SmallSignal, Part):
    r"""A moving-coil driver, described by what it is made of.

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
        An inductance and a resistance in parallel, the pair in series with Le: eddy currents. [H], [ohm]
    semi_inductance : float or array
        K of the eddy-current impedance K s**n in series with the rest. [ohm s^n]
    semi_exponent : float or array
        n of that impedance. [1]
    built_in_capacitance : float or array, optional
        Of the capacitor that some tweeters have in series with their coil; all other values leave it out. [F]
    xmax : float or array, optional
        Linear travel, *one way*. [m]
    power : float or array, optional
        Rated power. [W]
    rated_impedance : float or array, optional
        Impedance that the maker gives as its rating. [ohm]
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

    A positive velocity is outwards; + at the marked terminal moves the cone outwards.
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

    Re: float = ruled(RULES["Re"])
    Bl: float = ruled(RULES["Bl"])
    Mms: float = ruled(RULES["Mms"])
    Cms: float = ruled(RULES["Cms"])
    Rms: float = ruled(RULES["Rms"])
    Sd: float = ruled(RULES["Sd"])
    Le: float = ruled(RULES["Le"], 0.0)
    L2: float = ruled(RULES["L2"], 0.0)
    R2: float = ruled(RULES["R2"], np.inf)
    semi_inductance: float = ruled(RULES["semi_inductance"], 0.0)
    semi_exponent: float = ruled(RULES["semi_exponent"], 0.5)
    built_in_capacitance: float = ruled(OPTIONAL["built_in_capacitance"], None)
    xmax: float = ruled(OPTIONAL["xmax"], None)
    power: float = ruled(OPTIONAL["power"], None)
    rated_impedance: float = ruled(OPTIONAL["rated_impedance"], None)
    sensitivity: float = ruled(OPTIONAL["sensitivity"], None)
    depth: float = ruled(OPTIONAL["depth"], None)
    cutout: float = ruled(OPTIONAL["cutout"], None)
    displacement: float = ruled(OPTIONAL["displacement"], None)
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
        sensitivity=None,
        depth=None,
        cutout=None,
        displacement=None,
        spread=None,
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
            The air that Vas refers to; only Cms depends on it.

        Returns
        -------
        Driver
            The other arguments are those of `Driver`.

        Raises
        ------
        ValueError
            If a quantity is out of its range; the message names it and the likely slip of the unit.

        Examples
        --------
        >>> from lumpedbox.units import litre, cm2
        >>> d = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=60 * litre, Sd=330 * cm2, Re=3.4)
        >>> print(f"{d.Qts:.4f}")
        0.4128
        """
        AIR.accept("Driver.from_thiele_small", "air", air)
        given = {"fs": fs, "Qes": Qes, "Qms": Qms, "Vas": Vas, "Sd": Sd, "Re": Re}
        given = {name: THIELE_SMALL[name].accept("Driver", name, value) for name, value in given.items()}
        common_shape([(f"Driver.{name}", np.shape(value)) for name, value in given.items()])
        follows = small_signal.what_follows(**given, air=air)
        return cls(
            Re=given["Re"],
            Sd=given["Sd"],
            **{name: implied(cls, name, value, FOLLOWS_FROM[name]) for name, value in follows.items()},
            Le=Le,
            L2=L2,
            R2=R2,
            semi_inductance=semi_inductance,
            semi_exponent=semi_exponent,
            built_in_capacitance=built_in_capacitance,
            xmax=xmax,
            power=power,
            rated_impedance=rated_impedance,
            sensitivity=sensitivity,
            depth=depth,
            cutout=cutout,
            displacement=displacement,
            spread=spread,
            name=name,
        )

    @classmethod
    @takes_fields_of(PrintedSheet)
    def from_data_sheet(cls, sheet, *, air=Air()):
        r"""Make a driver from whatever its data sheet prints; report what follows, what is assumed, what contradicts.

        Parameters
        ----------
        air : Air
            The air that Vas, Mmd and the sensitivity refer to.

        Returns
        -------
        DataSheet
            The other arguments are those of `PrintedSheet`. A pair: `driver`, and `report` with `given`, `implied`,
            `assumed`, `contradictory` (the likeliest mistake first) and `questions`. Levels in [dB], else SI units.

        Raises
        ------
        ValueError
            If a value is out of its range, or if too little is given: the message then names the fewest values to
            add.

        Notes
        -----
        The logarithms of all printed quantities are smooth functions of those of Re, Bl, Mms, Cms, Rms and Sd. The
        driver is the least-squares solution of what is printed; a Jacobian of rank 6 means that enough is given. A
        value is a contradiction if the others agree markedly better without it, and rounding cannot explain the gap.
        Rounding is half a unit of the last digit of each, of two digits at least. Unusual values raise a question.

        Examples
        --------
        >>> from lumpedbox.units import litre, cm2
        >>> driver, report = Driver.from_data_sheet(
        ...     fs=35, Qts=0.41, Qms=5, Vas=60 * litre, Sd=330 * cm2, Re=3.4, sensitivity_2V83=88.3, rated_impedance=4
        ... )
        >>> print(str(report.contradictory[0]).partition(";")[0])
        sensitivity at 2.83 V is printed as 88.3 dB, but the rest implies 93.34 dB (-5.0 dB)
        """
        from .data_sheet.reading import read_sheet  # looked up when first used

        AIR.single("Driver.from_data_sheet", "air", air)
        return read_sheet(sheet, air, cls)

    @classmethod
    @takes(name=Text())
    def typical(cls, *, size, kind, name=""):
        """Make a stand-in for a driver when only its size and kind are known.

        Parameters
        ----------
        size : float or pair of float
            Nominal size: of a cone, the basket's; of a tweeter, the dome's; of an oval, width and length. [m]
        kind : {"tweeter", "full range", "woofer", "bass"}
            What it is built for.
        name : str
            ", stand-in" is added, so that the label shows everywhere.

        Returns
        -------
        Driver
            One of 4 ohm, with a `spread`.

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
        >>> print(Driver.typical(size=(0.152, 0.229), kind="woofer").name)
        152 x 229 mm woofer, stand-in
        """
        from .stand_in import fields_of_a_stand_in  # looked up when first used

        return cls(**fields_of_a_stand_in(size, kind, name))

    @takes(count=COUNT, seed=SEED, axes=AXES)
    def members(self, count, seed=1, axes=None):
        r"""Draw drivers at random from this one's `spread`, each quantity independently.

        Parameters
        ----------
        count : int
            How many.
        seed : int
            The same seed draws the same drivers.
        axes : int, optional
            How many axes follow the first: those of this driver by default; else of what it is combined with.

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
        """Return the driver with its two equal coils wired; this one describes a single coil.

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
        coupled. So inductances (and R2, K) are four times one coil's in series, and one coil's own in parallel.
        Power, rated impedance and printed sensitivity are taken as one coil's; the level at 2.83 V follows Bl / Re.
        """
        turns, resistance, power = {"series": (2, 2, 2), "parallel": (1, 0.5, 2), "one alone": (1, 1, 1)}[wiring]

        factors = {"Re": resistance, "Bl": turns, "power": power, "rated_impedance": resistance}
        factors |= dict.fromkeys(("Le", "L2", "R2", "semi_inductance"), turns**2)
        known = {name: value for name in factors if (value := getattr(self, name)) is not None}
        wound = {name: value * factors[name] for name, value in known.items()}
        louder = None if self.sensitivity is None else self.sensitivity + 20 * np.log10(turns / resistance)
        return dataclasses.replace(self, **wound, sensitivity=louder)

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
        r"""Volume that the cone displaces within its linear travel, peak. [m3]

        .. math:: V_d = S_d x_{max}
        """
        return self.Sd * needed(self, "xmax", "the displaced volume needs it")

    @property
    def nominal_resistance(self):
        """Resistance in which "one watt" is taken as dissipated: the rated impedance if given, else Re. [ohm]"""
        return self.Re if self.rated_impedance is None else self.rated_impedance


DRIVER = Holds((Driver,))
equivalent_volume = takes(driver=DRIVER, air=AIR)(small_signal.equivalent_volume)
reference_efficiency = takes(driver=DRIVER, air=AIR)(small_signal.reference_efficiency)
voltage_for_power = takes(driver=DRIVER, power=POWER)(small_signal.voltage_for_power)


@takes(driver=DRIVER)
def level_of_a_watt(driver):
    r"""How much louder a driver plays at one watt than at 2.83 V. [dB]

    .. math:: 20 \log_{10}(\sqrt{1\,\mathrm{W} \cdot R} / 2.83\,\mathrm{V})

    with its `nominal_resistance` R: 0 dB into 8 ohm, -3 dB into 4.
    """
    return small_signal.level_of_a_watt(driver.nominal_resistance)
