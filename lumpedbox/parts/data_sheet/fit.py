"""The driver that agrees best with printed values: an almost linear problem in logarithms."""

from __future__ import annotations

import copy

import numpy as np

from ..small_signal import MADE_OF, PRINTED_VOLTAGE, SmallSignal, air_load, equivalent_volume, passband_level
from .printed import PARAMETERS
from .rounding import half_a_digit

TOLERANCE = dict.fromkeys(PARAMETERS, 0.03) | {"sensitivity_2V83": 0.06, "sensitivity_1W": 0.06}  # of the value; 0.5 dB
TYPICAL = {"Re": 3.4, "Bl": 5.0, "Mms": 0.015, "Cms": 5e-4, "Rms": 1.2, "Sd": 0.0137}  # where a search begins
AT = {name: place for place, name in enumerate(PARAMETERS)}
# By which powers of Re, Bl, Mms, Cms, Rms and Sd a printed quantity grows. Qts and Mmd are no such products.
EXPONENTS = {
    "fs": (0, 0, -1 / 2, -1 / 2, 0, 0),
    "Qts": (0, 0, 0, 0, 0, 0),
    "Qes": (1, -2, 1 / 2, -1 / 2, 0, 0),
    "Qms": (0, 0, 1 / 2, -1 / 2, -1, 0),
    "Vas": (0, 0, 0, 1, 0, 2),
    "Sd": (0, 0, 0, 0, 0, 1),
    "diameter": (0, 0, 0, 0, 0, 1 / 2),
    "Re": (1, 0, 0, 0, 0, 0),
    "Bl": (0, 1, 0, 0, 0, 0),
    "Mms": (0, 0, 1, 0, 0, 0),
    "Mmd": (0, 0, 0, 0, 0, 0),
    "Cms": (0, 0, 0, 1, 0, 0),
    "Rms": (0, 0, 0, 0, 1, 0),
    "sensitivity_2V83": (-1, 1, -1, 0, 0, 1),
    "sensitivity_1W": (-1, 1, -1, 0, 0, 1),
}
INTO_RE = (-1 / 2, 1, -1, 0, 0, 1)  # of the sensitivity at 1 W, without a rated impedance
LOGARITHM_OF_DECIBEL = np.log(10) / 20
FARTHEST = 100.0  # in logarithms: where no driver has such values, one of them runs away


class Candidate(SmallSignal):
    """A driver by logarithms of what it is made of; no rules are checked, so that a fit may pass through any."""

    __slots__ = MADE_OF

    def __init__(self, logarithms):
        for name, value in zip(MADE_OF, np.exp(np.clip(logarithms, -FARTHEST, FARTHEST)), strict=True):
            setattr(self, name, value)


def quantities(driver, air, nominal=None):
    """Return all that a data sheet can print about a driver, by name. [SI, dB]

    Parameters
    ----------
    driver : SmallSignal
    air : Air
    nominal : float, optional
        Resistance in which one watt is taken as dissipated; Re if None. [ohm]
    """
    nominal = driver.Re if nominal is None else nominal
    found = {name: getattr(driver, name) for name in (*MADE_OF, "fs", "Qes", "Qms", "Qts")}
    found |= {
        "Vas": equivalent_volume(driver, air),
        "diameter": 2 * driver.radius,
        "Mmd": driver.Mms - air_load(driver.radius, air),
        "sensitivity_2V83": passband_level(driver, PRINTED_VOLTAGE, air),
        "sensitivity_1W": passband_level(driver, np.sqrt(nominal), air),
    }
    return {name: float(value) for name, value in found.items()}


def logarithm(name, value):
    """Return the natural logarithm of a printed value; for a level, that of its pressure."""
    return value * LOGARITHM_OF_DECIBEL if name.startswith("sensitivity") else np.log(value)


class Fit:
    r"""Drivers that agree best with some printed values.

    With x the logarithms of Re, Bl, Mms, Cms, Rms and Sd, those of printed values are

    .. math:: y = E x + y_0, \quad y_{Qts} = -\ln(e^{-y_{Qes}} + e^{-y_{Qms}}),
              \quad y_{Mmd} = \ln(e^{x_{Mms}} - \tfrac{16}{3} \rho a^3)
    """

    def __init__(self, printed, air, nominal):
        self.air, self.targets = air, {name: logarithm(name, value) for name, value in printed.items()}
        self.halves = {name: half_a_digit(name, value) for name, value in printed.items()}
        self._load = air_load(np.sqrt(1 / np.pi), air)  # of one square metre
        exponents = EXPONENTS if nominal is not None else EXPONENTS | {"sensitivity_1W": INTO_RE}
        self._exponents = np.array([exponents[name] for name in PARAMETERS], dtype=float)
        of_ones = quantities(Candidate(np.zeros(len(MADE_OF))), air, nominal)
        self._constants = np.array([0.0 if name == "Mmd" else logarithm(name, of_ones[name]) for name in PARAMETERS])

    def with_targets(self, targets):
        """Return a copy with other logarithms of printed values."""
        other = copy.copy(self)
        other.targets = self.targets | targets
        return other

    def exchanged(self, one, another):
        """Return a copy with two printed values exchanged."""
        return self.with_targets({one: self.targets[another], another: self.targets[one]})

    def _bare_mass(self, x):
        """Return Mms, and what is left of it without its air. [kg]"""
        mass = np.exp(x[MADE_OF.index("Mms")])
        return mass, max(mass - self._load * np.exp(1.5 * x[MADE_OF.index("Sd")]), 1e-30)

    def logarithms(self, x, names):
        """Return the logarithms of some printed quantities of the driver with logarithms `x`."""
        y = self._exponents @ x + self._constants
        y[AT["Qts"]] = -np.logaddexp(-y[AT["Qes"]], -y[AT["Qms"]])
        y[AT["Mmd"]] = np.log(self._bare_mass(x)[1])
        return y[[AT[name] for name in names]]

    def jacobian(self, x, names):
        """Return the derivatives of those logarithms by `x`."""
        slopes, (mass, bare) = self._exponents.copy(), self._bare_mass(x)
        electrical, total, mechanical = self.logarithms(x, ("Qes", "Qts", "Qms"))
        slopes[AT["Qts"]] = (
            np.exp(total - electrical) * slopes[AT["Qes"]] + np.exp(total - mechanical) * slopes[AT["Qms"]]
        )
        slopes[AT["Mmd"]] = (mass * slopes[AT["Mms"]] - 1.5 * (mass - bare) * slopes[AT["Sd"]]) / bare
        return slopes[[AT[name] for name in names]]

    def solve(self, names, start):
        """Return the logarithms of the driver that agrees best with the printed values of those names."""
        weights, targets = self.weights(names), np.array([self.targets[name] for name in names])

        def misses(x):
            return weights * (self.logarithms(x, names) - targets)

        def slopes(x):
            return weights[:, np.newaxis] * self.jacobian(x, names)

        if {"Qts", "Mmd"}.isdisjoint(names):
            return start - np.linalg.lstsq(slopes(start), misses(start), rcond=1e-9)[0]
        from scipy.optimize import least_squares

        return least_squares(misses, start, slopes, method="lm", xtol=1e-13, ftol=1e-13, gtol=1e-13).x

    def weights(self, names):
        """Return the weight of each misfit: the less exactly a value is usually printed, the lower."""
        return np.array([1 / TOLERANCE[name] for name in names])

    def rounding(self, name, others, x):
        r"""Return how far rounding alone may move a printed value from what the others imply, in logarithms.

        .. math:: h_i + \sum_j |g_{ij}| h_j

        Half a unit of the last printed digit is h; how far each of the others moves what they imply is g.
        """
        weights = self.weights(others)[:, np.newaxis]
        moved = self.jacobian(x, (name,)) @ np.linalg.pinv(weights * self.jacobian(x, others), rcond=1e-9) * weights.T
        return self.halves[name] + float(np.abs(moved[0]) @ [self.halves[other] for other in others])

    def misfit(self, names, x):
        """Return how far the driver misses each of those printed values, in logarithms."""
        return np.array([self.targets[name] for name in names]) - self.logarithms(x, names)

    def settles(self, names, x):
        """Tell whether values of those names determine one driver."""
        return bool(np.linalg.matrix_rank(self.jacobian(x, names), tol=1e-6) == len(MADE_OF))
