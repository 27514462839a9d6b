"""What a driver is made of and what follows from it: a rule for each quantity, and the formulas."""

from __future__ import annotations

import numpy as np

from ..air import Air
from ..quantity import Quantity

REFERENCE_PRESSURE = 20e-6  # Pa, of 0 dB
PRINTED_VOLTAGE = 2.83  # V r.m.s. at which levels are printed, one watt into 8 ohm
LENGTH_SLIPS = ("mm", "cm", "inch")
MADE_OF = ("Re", "Bl", "Mms", "Cms", "Rms", "Sd")
RESONANCE = Quantity(unit="Hz", meaning="resonance frequency in free air", low=1.0, high=2e4, slips=("kHz",))
ELECTRICAL_Q = Quantity(unit="", meaning="electrical Q at the free-air resonance", low=0.01, high=100.0)
MECHANICAL_Q = Quantity(unit="", meaning="mechanical Q at the free-air resonance", low=0.01, high=1000.0)
TOTAL_Q = Quantity(unit="", meaning="total Q at the free-air resonance", low=0.01, high=100.0)
EQUIVALENT_VOLUME = Quantity(
    unit="m3", meaning="volume of air as compliant as the suspension", low=1e-7, high=10.0, slips=("litre", "cm3")
)
INDUCTANCE_SLIPS = ("mH", "uH")
RULES = {
    "Re": Quantity(unit="ohm", meaning="direct-current resistance of the voice coil", low=0.01, high=1e4),
    "Bl": Quantity(unit="N/A", meaning="force factor", low=0.01, high=1e3),
    "Mms": Quantity(unit="kg", meaning="moving mass with its air load", low=1e-7, high=5.0, slips=("gram",)),
    "Cms": Quantity(
        unit="m/N", meaning="compliance of the suspension", low=1e-7, high=0.1, slips=("mm_per_newton", "um_per_newton")
    ),
    "Rms": Quantity(unit="N s/m", meaning="mechanical resistance of the suspension", low=1e-6, high=1e3),
    "Sd": Quantity(unit="m2", meaning="effective radiating area", low=1e-6, high=1.0, slips=("cm2", "mm2")),
    "Le": Quantity(unit="H", meaning="voice-coil inductance", low=0.0, high=0.1, slips=INDUCTANCE_SLIPS),
    "L2": Quantity(
        unit="H", meaning="inductance of the eddy-current branch", low=0.0, high=0.1, slips=INDUCTANCE_SLIPS
    ),
    "R2": Quantity(unit="ohm", meaning="resistance of the eddy-current branch", low=1e-3, high=np.inf),
    "semi_inductance": Quantity(unit="ohm s^n", meaning="K of the eddy-current impedance K s^n", low=0.0, high=10.0),
    "semi_exponent": Quantity(unit="", meaning="n of the eddy-current impedance K s^n", low=0.0, high=1.0),
}
OPTIONAL = {  # None where it is not known
    "built_in_capacitance": Quantity(
        unit="F", meaning="capacitance of a built-in capacitor", low=1e-8, high=0.01, slips=("uF",), optional=True
    ),
    "xmax": Quantity(unit="m", meaning="linear travel, one way", low=1e-6, high=0.1, slips=("mm",), optional=True),
    "power": Quantity(unit="W", meaning="rated power", low=1e-3, high=1e5, optional=True),
    "rated_impedance": Quantity(unit="ohm", meaning="rated impedance", low=0.1, high=1e4, optional=True),
    "sensitivity": Quantity(unit="dB", meaning="printed level at 1 m for 2.83 V", low=50.0, high=130.0, optional=True),
    "depth": Quantity(
        unit="m", meaning="depth behind the panel", low=1e-3, high=1.0, slips=LENGTH_SLIPS, optional=True
    ),
    "cutout": Quantity(
        unit="m", meaning="diameter of the hole in the panel", low=5e-3, high=1.0, slips=LENGTH_SLIPS, optional=True
    ),
    "displacement": Quantity(
        unit="m3", meaning="volume that it takes up in a box", low=0.0, high=0.1, slips=("litre", "cm3"), optional=True
    ),
}


THIELE_SMALL = {
    "fs": RESONANCE,
    "Qes": ELECTRICAL_Q,
    "Qms": MECHANICAL_Q,
    "Vas": EQUIVALENT_VOLUME,
    "Sd": RULES["Sd"],
    "Re": RULES["Re"],
}
FOLLOWS_FROM = {
    "Bl": "fs, Qes, Vas, Sd and Re",
    "Mms": "fs, Vas and Sd",
    "Cms": "Vas and Sd",
    "Rms": "fs, Qms, Vas and Sd",
}


def what_follows(fs, Qes, Qms, Vas, Sd, Re, air):
    r"""Return Cms, Mms, Rms and Bl by name. [m/N], [kg], [N s/m], [N/A]

    .. math:: C_{ms} = \frac{V_{as}}{\rho c^2 S_d^2}, \quad M_{ms} = \frac{1}{(2\pi f_s)^2 C_{ms}}, \quad
              R_{ms} = \frac{2\pi f_s M_{ms}}{Q_{ms}}, \quad Bl = \sqrt{\frac{2\pi f_s M_{ms} R_e}{Q_{es}}}

    References
    ----------
    R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) (1972) 383-395 (from memory).
    """
    ws = 2 * np.pi * fs
    Cms = Vas / (air.stiffness * np.square(Sd))
    Mms = 1 / (np.square(ws) * Cms)
    return {"Cms": Cms, "Mms": Mms, "Rms": ws * Mms / Qms, "Bl": np.sqrt(ws * Mms * Re / Qes)}


class SmallSignal:
    """What follows from Re, Bl, Mms, Cms, Rms and Sd, wherever these come from."""

    __slots__ = ()

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
        r"""Total Q at resonance, driven by a source without resistance. [1]

        .. math:: Q_{ts} = Q_{es} Q_{ms} / (Q_{es} + Q_{ms})
        """
        return self.Qes * self.Qms / (self.Qes + self.Qms)

    @property
    def radius(self):
        r"""Radius of a disc of the same area. [m]

        .. math:: a = \sqrt{S_d / \pi}
        """
        return np.sqrt(self.Sd / np.pi)


def equivalent_volume(driver, air=Air()):
    r"""Volume of air as compliant as the driver's suspension. [m3]

    .. math:: V_{as} = \rho c^2 S_d^2 C_{ms}

    References
    ----------
    R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) (1972) 383-395 (from memory).

    Examples
    --------
    >>> from lumpedbox.tables import demo_drivers
    >>> driver = demo_drivers()["200 mm bass"]
    >>> print(f"{1e3 * equivalent_volume(driver):.0f} litres")
    30 litres
    """
    return air.stiffness * np.square(driver.Sd) * driver.Cms


def reference_efficiency(driver, air=Air()):
    r"""Acoustic power into half space over Re times current squared, in the pass-band. [1]

    .. math:: \eta_0 = \frac{\rho}{2\pi c}\frac{(Bl)^2 S_d^2}{R_e M_{ms}^2}

    Valid where the cone is small compared with the wavelength.

    References
    ----------
    R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) (1972) 383-395 (from memory).

    Examples
    --------
    >>> from lumpedbox.tables import demo_drivers
    >>> driver = demo_drivers()["200 mm bass"]
    >>> print(f"{100 * reference_efficiency(driver):.2f} %")
    0.23 %
    """
    motor = np.square(driver.Bl * driver.Sd / driver.Mms) / driver.Re
    return air.density / (2 * np.pi * air.sound_speed) * motor


def voltage_for_power(driver, power):
    r"""Return the r.m.s. voltage that puts `power` watts into the driver's `nominal_resistance`. [V]

    .. math:: V = \sqrt{P R}

    Examples
    --------
    >>> from lumpedbox.tables import demo_drivers
    >>> driver = demo_drivers()["200 mm bass"]
    >>> print(f"{voltage_for_power(driver, 25):.1f} V into {driver.nominal_resistance:.0f} ohm")
    10.0 V into 4 ohm
    """
    return np.sqrt(power * driver.nominal_resistance)


def passband_level(driver, voltage, air=Air()):
    r"""Level at 1 m in half space in the driver's pass-band. [dB re 20 uPa]

    .. math:: p = \frac{\rho\,Bl\,S_d\,V}{2\pi M_{ms} R_e}

    Valid where the coil is still a resistance and the cone is small compared with the wavelength.
    """
    pressure = air.density * driver.Bl * driver.Sd * voltage / (2 * np.pi * driver.Mms * driver.Re)
    return 20 * np.log10(pressure / REFERENCE_PRESSURE)


def level_of_a_watt(resistance):
    r"""How much louder one watt into a resistance is than 2.83 V. [dB]

    .. math:: 20 \log_{10}(\sqrt{1\,\mathrm{W} \cdot R} / 2.83\,\mathrm{V})
    """
    return 20 * np.log10(np.sqrt(resistance) / PRINTED_VOLTAGE)


def air_load(radius, air):
    r"""Mass of the air that moves with a piston in a large panel, on both sides together. [kg]

    .. math:: \frac{16}{3}\rho a^3
    """
    return 16 / 3 * air.density * radius**3
