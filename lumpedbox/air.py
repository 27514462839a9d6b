"""Humid air: density and sound speed from temperature, pressure and humidity."""

from __future__ import annotations

import numpy as np

from .quantity import Holds, Part, once, part, quantity
from .units import zero_celsius

GAS_CONSTANT = 8.314472  # J/(mol K), the value that CIPM-2007 uses
DRY_MOLAR_MASS = 28.96546e-3  # kg/mol, at 400 ppm of carbon dioxide
WATER_MOLAR_MASS = 18.01528e-3  # kg/mol

# What vibrates in the molecules: mole fraction in dry air, and the characteristic temperatures [K] (from the
# fundamental wavenumbers 2330, 1556 and 667, 667, 1333, 2349 per cm; from memory).
DRY_VIBRATIONS = ((0.7808, (3352.0,)), (0.2094, (2239.0,)), (0.0004, (960.0, 960.0, 1918.0, 3380.0)))
WATER_VIBRATIONS = (2295.0, 5261.0, 5404.0)
ARGON = 0.0093

SUTHERLAND = 1.458e-6  # kg/(m s K^0.5); ISO 2533:1975, from memory
SUTHERLAND_TEMPERATURE = 110.4  # K; the same


def _water_virial(temperature):
    """Second virial coefficient of water vapour [m3/mol] and its first two derivatives with temperature [K].

    References
    ----------
    A. H. Harvey, E. W. Lemmon, "Correlation for the second virial coefficient of water", J. Phys. Chem. Ref. Data
    33 (2004) 369-376 (from memory; the tests hold the sound speed of humid air to CoolProp).
    """
    ratio = temperature / 100
    terms = ((0.34404e-3, -0.5), (-0.75826e-3, -0.8), (-24.219e-3, -3.35), (-3978.2e-3, -8.3))
    value = sum(a * np.power(ratio, n) for a, n in terms)
    first = sum(a * n * np.power(ratio, n - 1) for a, n in terms) / 100
    return value, first, sum(a * n * (n - 1) * np.power(ratio, n - 2) for a, n in terms) / 100**2


@part
class Air(Part):
    r"""Humid air.

    Parameters
    ----------
    temperature : float or array
        Absolute temperature. [K]
    pressure : float or array
        Static pressure. [Pa]
    humidity : float or array
        Relative humidity, 0 to 1. [1]

    Notes
    -----
    The density follows the CIPM-2007 equation of state. A gas that departs from the ideal law also carries sound a
    little faster or slower:

    .. math:: c^2 = \gamma_0 \frac{R T}{M} \left[1 + \frac{2 p}{R T}
              \left(B + (\gamma_0 - 1) T B' + \frac{(\gamma_0 - 1)^2}{2 \gamma_0} T^2 B''\right)\right]

    B is the second virial coefficient. For dry air and for air with vapour it is that of CIPM-2007. For vapour alone it
    is that of Harvey and Lemmon, since CIPM-2007 takes it as linear. :math:`\gamma_0` comes from rigid rotors and
    harmonic vibrations.
    Checked against CoolProp from -20 to 60 degrees Celsius, and against Cramer from 0 to 30.

    References
    ----------
    A. Picard, R. S. Davis, M. Glaeser, K. Fujii, "Revised formula for the density of moist air (CIPM-2007)",
    Metrologia 45 (2008) 149-155 (constants from memory; the tests hold the result to published values).

    Examples
    --------
    >>> round(float(Air().density), 3), round(float(Air().sound_speed), 1)
    (1.199, 344.0)
    """

    temperature: float = quantity("K", "absolute temperature", 223.15, 353.15, default=293.15, slips=("zero_celsius",))
    pressure: float = quantity("Pa", "static pressure", 3e4, 1.2e5, default=101325.0, slips=("hPa", "kPa"))
    humidity: float = quantity("", "relative humidity, 0 to 1", 0.0, 1.0, default=0.5, slips=("percent",))

    @once
    def density(self):
        r"""Mass per volume. [kg/m3]

        .. math:: \rho = \frac{p M_a}{Z R T}\left[1 - x_v\left(1 - \frac{M_v}{M_a}\right)\right]
        """
        return (self.pressure * self._molar_mass / (self._compressibility * GAS_CONSTANT * self.temperature))[()]

    @once
    def sound_speed(self):
        """Speed of sound at low frequencies, by the equation of `Air`. [m/s]"""
        g, t = self._ideal_heat_ratio, self.temperature
        b, first, second = self._virial
        real_gas = b + (g - 1) * t * first + np.square(g - 1) / (2 * g) * np.square(t) * second
        ideal = g * GAS_CONSTANT * t / self._molar_mass
        return np.sqrt(ideal * (1 + 2 * self.pressure / (GAS_CONSTANT * t) * real_gas))[()]

    @property
    def stiffness(self):
        r"""Adiabatic bulk modulus. [Pa]

        .. math:: K = \rho c^2
        """
        return self.density * np.square(self.sound_speed)

    @property
    def viscosity(self):
        r"""Viscosity, as of dry air: vapour lowers it by 2 % at most up to 40 degrees Celsius. [Pa s]

        .. math:: \mu = \frac{\beta\,T^{3/2}}{T + T_S}

        References
        ----------
        W. Sutherland, Phil. Mag. 36 (1893) 507-531, with the constants of ISO 2533:1975 (both from memory).
        """
        return SUTHERLAND * self.temperature * np.sqrt(self.temperature) / (self.temperature + SUTHERLAND_TEMPERATURE)

    @property
    def _water_fraction(self):
        t, celsius = self.temperature, self.temperature - zero_celsius
        saturation = np.exp(1.2378847e-5 * np.square(t) - 1.9121316e-2 * t + 33.93711047 - 6.3431645e3 / t)
        enhancement = 1.00062 + 3.14e-8 * self.pressure + 5.6e-7 * np.square(celsius)
        return self.humidity * enhancement * saturation / self.pressure

    @property
    def _molar_mass(self):
        return DRY_MOLAR_MASS * (1 - self._water_fraction * (1 - WATER_MOLAR_MASS / DRY_MOLAR_MASS))

    @property
    def _compressibility(self):
        celsius, water = self.temperature - zero_celsius, self._water_fraction
        ratio, (dry, mixed) = self.pressure / self.temperature, self._dry_and_mixed(celsius)
        wet = 1.9898e-4 - 2.376e-6 * celsius
        second, third = dry[0] + mixed[0] * water + wet * np.square(water), 1.83e-11 - 0.765e-8 * np.square(water)
        return 1 - ratio * second + np.square(ratio) * third

    @staticmethod
    def _dry_and_mixed(celsius):
        """Terms of CIPM-2007 for dry air and for its interaction with vapour, each with its first two derivatives."""
        dry = (
            1.58123e-6 - 2.9331e-8 * celsius + 1.1043e-10 * np.square(celsius),
            -2.9331e-8 + 2.2086e-10 * celsius,
            2.2086e-10,
        )
        return dry, (5.707e-6 - 2.051e-8 * celsius, -2.051e-8, 0.0)

    @property
    def _virial(self):
        """Second virial coefficient [m3/mol] and its first two derivatives with temperature."""
        x, (dry, mixed) = self._water_fraction, self._dry_and_mixed(self.temperature - zero_celsius)
        return tuple(
            w * np.square(x) - GAS_CONSTANT * (d + m * x)
            for d, m, w in zip(dry, mixed, _water_virial(self.temperature), strict=True)
        )

    @property
    def _ideal_heat_ratio(self):
        dry = 3.5 - ARGON + sum(share * self._vibration(temperatures) for share, temperatures in DRY_VIBRATIONS)
        wet = 4.0 + self._vibration(WATER_VIBRATIONS)
        cp = dry + self._water_fraction * (wet - dry)
        return cp / (cp - 1)

    def _vibration(self, temperatures):
        """Heat capacity of harmonic vibrations, in units of R (Einstein's function)."""
        ratios = [t / self.temperature for t in temperatures]
        return sum(np.square(x / np.expm1(x)) * np.exp(x) for x in ratios)


AIR = Holds((Air,))
