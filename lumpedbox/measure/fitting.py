"""A driver's numbers from its curves: where a fit begins, what is fitted, and the fit."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..errors import Refused
from . import least_squares
from .curves import peak
from .least_squares import Fitted, Known
from .model import FITTED, KNEE, LogImpedance, Points

WHO = "driver_from_impedance"
# A coil as they usually are, with standard deviations: size of its eddy-current impedance over Re at 1 kHz (in
# logarithms) and exponent. Common practice, no source.
TYPICAL_COIL = ((np.log(0.6), 0.8), (0.65, 0.12))
FREE_COIL = ((np.log(0.6), np.inf), (0.65, np.inf))
COILS = ("typical", "free", "none")
AT = {name: place for place, name in enumerate(FITTED)}
LEAST_SHIFT = 0.03  # of mass or stiffness: less cannot be told from a slip of the meter


@dataclass(frozen=True, slots=True, eq=False)
class Setup:
    """The curves of one driver and what is known beforehand.

    Attributes
    ----------
    curves : dict
        Name of the argument: `Measured`.
    mass, stiffness : dict
        Name of the argument: what is added there. [kg], [N/m]
    Re : float or None
        By the meter. [ohm]
    coil : str
    """

    curves: dict
    mass: dict
    stiffness: dict
    Re: float | None
    coil: str

    @property
    def loaded(self):
        """Names of the curves that tell the moving mass."""
        return [name for name in self.curves if self.mass.get(name) or self.stiffness.get(name)]

    def only(self, names):
        """Return the setup with some of its curves."""
        return dataclasses.replace(self, curves={name: self.curves[name] for name in names})

    def points(self):
        """Return all points of all curves."""
        names, each = list(self.curves), list(self.curves.values())
        counts = [len(one.frequency) for one in each]
        return Points(
            frequency=np.concatenate([one.frequency for one in each]),
            impedance=np.concatenate([one.impedance.astype(complex) for one in each]),
            phased=np.repeat([np.iscomplexobj(one.impedance) for one in each], counts),
            mass=np.repeat([self.mass.get(name, 0.0) for name in names], counts),
            stiffness=np.repeat([self.stiffness.get(name, 0.0) for name in names], counts),
            curve=np.repeat(np.arange(len(names)), counts),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """A fit of a setup.

    Attributes
    ----------
    setup : Setup
    model : LogImpedance
    fitted : Fitted
    x : array, shape (7,)
        All of `FITTED`.
    covariance : array, shape (7, 7)
        Zero for what was not fitted.
    """

    setup: Setup
    model: LogImpedance
    fitted: Fitted
    x: np.ndarray
    covariance: np.ndarray

    def value(self, name):
        """Return a fitted quantity in SI."""
        return float(np.exp(self.x[AT[name]]))

    def deviation(self, name):
        """Return the standard deviation of its logarithm. [1]"""
        return float(np.sqrt(self.covariance[AT[name], AT[name]]))


def beginning(measured, name, Re):
    r"""Return Re, fs, Qes and Qms as they can be read off a curve.

    .. math:: r_0 = Z_{max} / R_e, \quad Q_{ms} = f_s \sqrt{r_0} / (f_2 - f_1), \quad Q_{es} = Q_{ms} / (r_0 - 1)

    References
    ----------
    R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) (1972) 383-395 (from memory).
    """
    at, magnitude = peak(WHO, name, measured), measured.magnitude
    fs, highest = measured.frequency[at], magnitude[at]
    Re = min(Re or np.inf, 0.97 * magnitude.min()) if Re is None else Re
    r0 = max(highest / Re, 1.1)
    above = magnitude > Re * np.sqrt(r0)
    below, beyond = np.flatnonzero(~above[:at]), np.flatnonzero(~above[at:])
    low = measured.frequency[below[-1]] if below.size else measured.frequency[0]
    high = measured.frequency[at + beyond[0]] if beyond.size else measured.frequency[-1]
    Qms = fs * np.sqrt(r0) / max(high - low, 0.02 * fs)
    return Re, fs, Qms / (r0 - 1), Qms


def solution(setup):
    """Fit the curves of a setup together."""
    free_air = setup.curves["free_air"] if "free_air" in setup.curves else next(iter(setup.curves.values()))
    Re, fs, Qes, Qms = beginning(free_air, next(iter(setup.curves)), setup.Re)
    (size, size_known), (exponent, exponent_known) = FREE_COIL if setup.coil == "free" else TYPICAL_COIL
    size = size + np.log(Re)
    start = np.array([np.log(Re), np.log(fs), np.log(Qes), np.log(Qms), size, exponent, np.log(_mass(setup, fs))])
    deviations = np.full(len(FITTED), np.inf)
    deviations[[AT["reactance"], AT["exponent"]]] = size_known, exponent_known
    free = [AT[name] for name in _free(setup)]
    if setup.coil == "none":
        start[AT["reactance"]] = -np.inf
    model = LogImpedance(setup.points(), start, free)
    if len(model.together) <= len(free):
        problem = f"has too few readings, {len(model.together)}, to tell {len(free)} numbers"
        raise Refused(WHO, next(iter(setup.curves)), problem, ": measure more points")
    fitted = least_squares.fit(model, start[free], Known(start[free], deviations[free]), model.together)
    covariance = np.zeros((len(FITTED), len(FITTED)))
    covariance[np.ix_(free, free)] = fitted.covariance
    return Solution(setup, model, fitted, model.whole(fitted.x), covariance)


def _free(setup):
    """Return which of `FITTED` these curves can tell."""
    coil = () if setup.coil == "none" else ("reactance", "exponent")
    resistance = () if setup.Re is not None else ("Re",)
    return (*resistance, "fs", "Qes", "Qms", *coil, *(("Mms",) if setup.loaded else ()))


def _mass(setup, fs):
    r"""Return the moving mass by the shift of the peak, from the first curve that tells it. [kg]

    .. math:: M_{ms} = \frac{m}{(f_s / f_s')^2 - 1}, \quad M_{ms} = \frac{k}{(2\pi f_s)^2 [(f_c / f_s)^2 - 1]}
    """
    for name in setup.loaded:
        measured = setup.curves[name]
        moved = measured.frequency[peak(WHO, name, measured)]
        if setup.mass.get(name):
            return setup.mass[name] / max((fs / moved) ** 2 - 1, LEAST_SHIFT)
        return setup.stiffness[name] / ((2 * np.pi * fs) ** 2 * max((moved / fs) ** 2 - 1, LEAST_SHIFT))
    return 1.0


def of_one_curve(setup, name):
    """Fit one curve by itself, as if nothing had been added: its own resonance and Q."""
    alone = dataclasses.replace(setup.only([name]), mass={}, stiffness={})
    return solution(alone)


def eddy_constant(reactance, exponent):
    r"""Return K of K s^n from the size of that impedance at 1 kHz. [ohm s^n]

    .. math:: K = X / \omega_1^n
    """
    return reactance / KNEE**exponent
