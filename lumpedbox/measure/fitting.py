"""A driver's numbers from its curves: where a fit begins, what is fitted, and the fit."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..errors import Refused
from . import least_squares
from .curves import peak
from .least_squares import Fitted, Known
from .model import FARTHEST, FITTED, KNEE, LogImpedance, Points

WHO = "driver_from_impedance"
# A coil as they usually are, with standard deviations: size of its eddy-current impedance over Re at 1 kHz (in
# logarithms) and exponent. Common practice, no source.
TYPICAL_COIL = ((np.log(0.6), 0.8), (0.65, 0.12))
# And the second model of a coil, Le with L2 beside R2: their reactances at 1 kHz and R2, over Re.
COIL_TERMS = {"eddy": ("reactance", "exponent"), "pair": ("Le", "L2", "R2"), "none": ()}
TYPICAL_PAIR, PAIR_KNOWN = (np.log(0.2), np.log(0.6), np.log(1.0)), 1.2
SHARED = ("Re", "fs", "Qes", "Qms", "Mms")  # numbers that either form has
COILS = ("typical", "free", "none")
AT = {name: place for place, name in enumerate(FITTED)}
SMOOTH = 3.0  # standard deviations of the correlation between neighbours: noise alone is over it once in 700 curves
EXACT = 3e-4  # of an impedance: closer than that, no curve is called a misfit
WRONG_WAY = 1.05  # ratio of two peaks, beyond what coarse readings do
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
    Re_deviation : float
        Standard deviation of the logarithm of that; 0 where it is exact. [1]
    """

    curves: dict
    mass: dict
    stiffness: dict
    Re: float | None
    coil: str
    Re_deviation: float = 0.0

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
    x : array, shape (10,)
        All of `FITTED`.
    covariance : array, shape (10, 10)
        By the noise; zero for what was not fitted.
    apart : array, shape (10,)
        How far the other form of the coil would move each, as far as that form fits too.
    terms : str
        Of the coil: "eddy", "pair" or "none".
    """

    setup: Setup
    model: LogImpedance
    fitted: Fitted
    x: np.ndarray
    covariance: np.ndarray
    apart: np.ndarray
    terms: str

    def value(self, name):
        """Return a fitted quantity in SI."""
        return float(np.exp(np.clip(self.x[AT[name]], -FARTHEST, FARTHEST)))

    def deviation(self, name):
        """Return the standard deviation of its logarithm. [1]"""
        return self.deviation_along(np.eye(len(FITTED))[AT[name]])

    def deviation_along(self, row):
        r"""Return the standard deviation of a sum of some of `x`, each times its entry of a row. [1]

        .. math:: \sqrt{r^T (C + d\,d^T)\,r}
        """
        return float(np.sqrt(row @ self.covariance @ row + np.square(row @ self.apart)))

    def smoothness(self, curve):
        """Return how far neighbours miss alike, in standard deviations of what noise alone would do. [1]"""
        points, fitted = self.model.points, self.fitted
        total, square, count = 0.0, 0.0, 0
        for part in (slice(0, len(points.frequency)), slice(len(points.frequency), None)):
            mine = fitted.kept[part] & (points.curve[self.model.together[part]] == curve)
            misses = fitted.misses[part][mine]
            total, square, count = total + misses[1:] @ misses[:-1], square + misses @ misses, count + len(misses)
        return float(np.sqrt(count) * total / square) if square > count * EXACT**2 else 0.0

    @property
    def left_out(self):
        """Which readings of each curve were left out: a dict, its name to an array of bool."""
        points = self.model.points
        dropped = np.bincount(self.model.together, weights=~self.fitted.kept, minlength=len(points.frequency)) > 0
        return {name: dropped[points.curve == place] for place, name in enumerate(self.setup.curves)}

    @property
    def rough(self):
        """The curves whose neighbours miss alike, as a list of names."""
        return [name for place, name in enumerate(self.setup.curves) if self.smoothness(place) > SMOOTH]


def beginning(measured, name, Re):
    r"""Return Re, fs, Qes and Qms as they can be read off a curve.

    .. math:: r_0 = Z_{max} / R_e, \quad Q_{ms} = f_s \sqrt{r_0} / (f_2 - f_1), \quad Q_{es} = Q_{ms} / (r_0 - 1)

    with :math:`f_1 f_2 = f_s^2` from the nearer one of the two, since a coil may hold the other side up.

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
    nearer = min(fs / low, high / fs)
    Qms = np.sqrt(r0) / max(nearer - 1 / nearer, 0.02)
    return Re, fs, Qms / (r0 - 1), Qms


def solution(setup):
    """Fit the curves of a setup together; where K s^n does not follow the coil, with Le and L2 beside R2."""
    if setup.coil == "none":
        return _solution(setup, "none")
    eddy = _solution(setup, "eddy")
    if len(eddy.model.together) <= len(_free(setup, "pair")):
        return eddy
    pair = _solution(setup, "pair")
    if eddy.rough and _size(pair) < _size(eddy):
        return _with_the_other(pair, eddy)
    return _with_the_other(eddy, pair)


def _with_the_other(solved, other):
    r"""Return a fit that counts that the coil may be of the other form, as far as that one fits too.

    .. math:: d = \sqrt w\,(x_{other} - x), \quad w = \min(1, e^{(\chi^2 - \chi_{other}^2)/2})

    No curve tells forms apart that leave as little over. A form that moves Re from what the meter read fits less.
    """
    apart = np.where(np.isin(FITTED, SHARED), np.nan_to_num(other.x - solved.x), 0.0)
    noise = solved.fitted.noise
    weight = np.exp(min(0.0, (_chi_square(solved, noise) - _chi_square(other, noise)) / 2))
    return dataclasses.replace(solved, apart=np.sqrt(weight) * apart)


def _size(solved):
    """Return the size of what is left over, readings left out counted as far as they were off at most."""
    fitted = solved.fitted
    return np.sum(np.minimum(np.square(fitted.misses), np.square(least_squares.OUTLIER * fitted.noise)))


def _chi_square(solved, noise):
    r"""Return how badly a form fits what is left over and the meter's Re. [1]

    .. math:: \chi^2 = \sum_i r_i^2 / \sigma^2 + \ln^2(R_e / R_{e,read}) / \sigma_{Re}^2
    """
    setup, left = solved.setup, _size(solved) / noise**2
    if setup.Re is None or setup.Re_deviation == 0:
        return left
    return left + np.square(np.log(solved.value("Re") / setup.Re) / setup.Re_deviation)


def _solution(setup, terms):
    name, first = next(iter(setup.curves.items()))
    Re, fs, Qes, Qms = beginning(first, name, setup.Re)
    start, deviations = _coil(setup.coil, terms, Re)
    start[: AT["reactance"]] = np.log([Re, fs, Qes, Qms])
    start[AT["Mms"]] = np.log(_mass(setup, fs))
    if setup.Re is not None:
        deviations[AT["Re"]] = setup.Re_deviation
    free = [AT[name] for name in _free(setup, terms)]
    model = LogImpedance(setup.points(), start, free)
    if len(model.together) <= len(free):
        problem = f"has too few readings, {len(model.together)}, to tell {len(free)} numbers"
        raise Refused(WHO, name, problem, ": measure more points")
    fitted = least_squares.fit(model, start[free], Known(start[free], deviations[free]), model.together)
    covariance = np.zeros((len(FITTED), len(FITTED)))
    covariance[np.ix_(free, free)] = fitted.covariance
    return Solution(setup, model, fitted, model.whole(fitted.x), covariance, np.zeros(len(FITTED)), terms)


def _coil(kind, terms, Re):
    """Return a start whose coil is usual, and how far each of `FITTED` usually lies from it."""
    start, deviations = np.full(len(FITTED), -np.inf), np.full(len(FITTED), np.inf)
    (size, size_known), (exponent, exponent_known) = TYPICAL_COIL
    start[AT["exponent"]] = exponent
    if terms == "eddy":
        start[AT["reactance"]] = size + np.log(Re)
        known = size_known, exponent_known
    elif terms == "pair":
        at_knee = np.log(Re) - np.log([KNEE, KNEE, 1.0])
        known = (PAIR_KNOWN,) * 3
        start[[AT[name] for name in COIL_TERMS["pair"]]] = at_knee + TYPICAL_PAIR
    if kind == "typical" and terms != "none":
        deviations[[AT[name] for name in COIL_TERMS[terms]]] = known
    return start, deviations


def _free(setup, terms):
    """Return which of `FITTED` these curves can tell."""
    exact = setup.Re is not None and setup.Re_deviation == 0
    resistance = () if exact else ("Re",)
    return (*resistance, "fs", "Qes", "Qms", *COIL_TERMS[terms], *(("Mms",) if setup.loaded else ()))


def _mass(setup, fs):
    r"""Return the moving mass by the shift of the peak, from the first curve that tells it. [kg]

    .. math:: M_{ms} = \frac{m}{(f_s / f_s')^2 - 1}, \quad M_{ms} = \frac{k}{(2\pi f_s)^2 [(f_c / f_s)^2 - 1]}
    """
    for name in setup.loaded:
        measured = setup.curves[name]
        ratio = measured.frequency[peak(WHO, name, measured)] / fs
        if (ratio if setup.mass.get(name) else 1 / ratio) > 1:  # readings far off or a flat peak, or a slip
            ratio = of_one_curve(setup, name).value("fs") / of_one_curve(setup, next(iter(setup.curves))).value("fs")
        _check_direction(name, ratio if setup.mass.get(name) else 1 / ratio)
        if setup.mass.get(name):
            return setup.mass[name] / max(ratio**-2 - 1, LEAST_SHIFT)
        return setup.stiffness[name] / ((2 * np.pi * fs) ** 2 * max(ratio**2 - 1, LEAST_SHIFT))
    return 1.0


def _check_direction(name, ratio):
    """Refuse a mass that raises the resonance, and a box that lowers it."""
    if ratio > WRONG_WAY:
        way = "higher" if name == "added_mass" else "lower"
        raise Refused(WHO, name, f"has its peak {way} than free air has", ": were two curves swapped?")


def of_one_curve(setup, name):
    """Fit one curve by itself, as if nothing had been added: its own resonance and Q."""
    alone = dataclasses.replace(setup.only([name]), mass={}, stiffness={})
    return solution(alone)


def eddy_constant(reactance, exponent):
    r"""Return K of K s^n from the size of that impedance at 1 kHz. [ohm s^n]

    .. math:: K = X / \omega_1^n
    """
    return reactance / KNEE**exponent
