"""What a driver's numbers imply, and what is usual: a sheet outside the usual range is asked about."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ...units import gram, litre, mm
from ..small_signal import air_load, equivalent_volume, reference_efficiency

PRACTICE = "common practice, no source"
CONE, DOME = 250.0, 400.0  # Hz: a resonance below is a cone's, above a dome's or a closed midrange's; between, either


def mass_on_area(driver, air):
    r"""Moving mass without its air load, over the area of the cone. [kg/m2]

    .. math:: (M_{ms} - \tfrac{16}{3}\rho a^3) / S_d
    """
    return (driver.Mms - air_load(driver.radius, air)) / driver.Sd


def softness(driver, air):
    r"""Volume of air as compliant as the suspension, in cubes of the cone's radius. [1]

    .. math:: V_{as} / a^3
    """
    return equivalent_volume(driver, air) / driver.radius**3


def resonance_on_diameter(driver, air):
    r"""Resonance frequency times the diameter of the cone. [m/s]

    .. math:: 2 a f_s
    """
    return 2 * driver.radius * driver.fs


def motor_on_area(driver, air):
    r"""Force squared over the power in the coil, over the area of the cone. [N2/(W m2)]

    .. math:: \frac{(Bl)^2}{R_e S_d}
    """
    return np.square(driver.Bl) / (driver.Re * driver.Sd)


def ratio_of_q(driver, air):
    r"""Mechanical over electrical Q: how much more the motor damps than the suspension. [1]

    .. math:: Q_{ms} / Q_{es}
    """
    return driver.Qms / driver.Qes


def itself(name):
    """Return the function that gives a quantity of the driver itself, in any air."""
    return lambda driver, air: getattr(driver, name)


@dataclass(frozen=True, slots=True)
class Usual:
    """The bounds within which a derived quantity usually lies.

    Attributes
    ----------
    of : callable
        Of a driver and the air: the quantity. [SI]
    low, high : float
        [SI]
    words : str
        What is said of a driver outside them; names in braces come from `figures`.
    shown : callable
        Of a driver and the quantity: the form that people know, such as a mass for a mass over an area.
    unit : str
        Of what is shown.
    source : str
    above, below : float
        For resonance frequencies between these. [Hz]
    """

    of: Callable
    low: float
    high: float
    words: str
    shown: Callable = lambda driver, value: value
    unit: str = ""
    source: str = PRACTICE
    above: float = 0.0
    below: float = np.inf

    def place(self, driver, air):
        """Return where a driver lies on a logarithmic scale: 0 in the middle of the bounds, -1 and 1 on them."""
        if not self.above <= driver.fs < self.below:
            return 0.0
        value = max(self.of(driver, air), self.low / 1e3)  # a mass less than that of the air is no logarithm
        return float(np.log(value**2 / (self.low * self.high)) / np.log(self.high / self.low))

    def said(self, driver, air):
        """Say what the driver's numbers imply, and what is usual for its size."""
        low, high = (float(f"{self.shown(driver, bound):.2g}") for bound in (self.low, self.high))
        said = self.words.format(self.shown(driver, self.of(driver, air)), **figures(driver, air))
        return f"{said}; {low:g} to {high:g} {self.unit}".rstrip() + " is usual."


def figures(driver, air):
    """Return figures of a driver, by name: the diameter in mm and the rest as data sheets print it."""
    return {
        "mass": driver.Mms / gram,
        "load": air_load(driver.radius, air) / gram,
        "diameter": 2 * driver.radius / mm,
    }


def _bare_mass(driver, value):
    return value * driver.Sd / gram


def _force_factor(driver, value):
    return np.sqrt(value * driver.Re * driver.Sd)


def _volume(driver, value):
    return value * driver.radius**3 / litre


def _frequency(driver, value):
    return value / (2 * driver.radius)


MASS = "The moving mass would be {mass:.4g} g, and its air load is {load:.3g} g"
MORE = "g more than the air load"
POWER = "{0:.2g} % of the power would become sound"
SOFT = "Vas would be {0:.3g} litres behind a cone of {diameter:.3g} mm"
RATIO = "Qms over Qes would be {0:.3g}"
USUAL = (  # a cone is heavier than paper: office paper has 0.08 kg/m2 (ISO 536, from memory), and it carries a coil
    Usual(mass_on_area, 0.15, 8.0, MASS, _bare_mass, MORE, below=DOME),
    Usual(mass_on_area, 0.15, 2.0, MASS, _bare_mass, MORE, above=DOME),
    Usual(reference_efficiency, 1e-4, 0.1, POWER, lambda driver, value: 100 * value, "%"),
    Usual(ratio_of_q, 1.0, 60.0, RATIO, below=DOME),
    Usual(ratio_of_q, 0.3, 60.0, RATIO, above=DOME),
    Usual(itself("Qes"), 0.1, 2.5, "Qes would be {0:.3g}", below=DOME),
    Usual(itself("Qes"), 0.2, 5.0, "Qes would be {0:.3g}", above=DOME),
    Usual(itself("Qms"), 0.8, 25.0, "Qms would be {0:.3g}", below=DOME),
    Usual(itself("Qms"), 0.3, 15.0, "Qms would be {0:.3g}", above=DOME),
    Usual(itself("Re"), 0.4, 20.0, "Re would be {0:.3g} ohm", unit="ohm"),
    Usual(softness, 4.0, 300.0, SOFT, _volume, "litres", below=CONE),
    Usual(softness, 0.15, 300.0, SOFT, _volume, "litres", above=CONE),
    Usual(resonance_on_diameter, 2.6, 80.0, "fs would be {0:.3g} Hz for a cone of {diameter:.3g} mm", _frequency, "Hz"),
    Usual(itself("Cms"), 1e-5, 6e-3, "Cms would be {0:.3g} mm/N", lambda driver, value: 1e3 * value, "mm/N"),
    Usual(motor_on_area, 80.0, 8000.0, "Bl would be {0:.3g} N/A for such a coil and cone", _force_factor, "N/A"),
)


def oddities(driver, air):
    """Return what is unusual about a driver, in the order of `USUAL`: what people can judge best comes first.

    Parameters
    ----------
    driver : SmallSignal
    air : Air

    Returns
    -------
    list of Usual
    """
    return [usual for usual in USUAL if abs(usual.place(driver, air)) > 1]


def oddness(driver, air):
    """Return how far a driver is from the middle of all that is usual: the sum of the cubes of its places. [1]"""
    return sum(abs(usual.place(driver, air)) ** 3 for usual in USUAL)
