"""A driver from whatever its data sheet prints: what follows, what is assumed, what contradicts."""

from __future__ import annotations

import copy
import dataclasses
import itertools
from types import SimpleNamespace
from typing import NamedTuple

import numpy as np

from ..quantity import OneOf, Quantity
from ..units import cm2, gram, litre, mH, mm, mm_per_newton, uF
from .driver import (
    ELECTRICAL_Q,
    EQUIVALENT_VOLUME,
    MECHANICAL_Q,
    RESONANCE,
    Driver,
    passband_level,
)
from .plausible import air_load, oddities, oddness
from .questions import assumptions, doubts_about, look_at, questions_about
from .rounding import half_a_digit
from .slips import (
    EXCHANGE,
    EXCHANGED,
    SECOND_HAND,
    factors_of,
    looks_like_a_slip,
    rarity_of,
    rarity_of_exchange,
    slip_of,
)

MADE_OF = ("Re", "Bl", "Mms", "Cms", "Rms", "Sd")
RULES = {spec.name: spec.metadata["rule"] for spec in dataclasses.fields(Driver)}
SENSITIVITY = Quantity(unit="dB", meaning="level at 1 m in half space", low=50.0, high=130.0)
PRINTED = {
    "fs": RESONANCE,
    "Qts": Quantity(unit="", meaning="total Q at the free-air resonance", low=0.01, high=100.0),
    "Qes": ELECTRICAL_Q,
    "Qms": MECHANICAL_Q,
    "Vas": EQUIVALENT_VOLUME,
    "Sd": RULES["Sd"],
    "diameter": Quantity(
        unit="m", meaning="effective diameter of the cone", low=1e-3, high=1.2, slips=("mm", "cm", "inch")
    ),
    "Re": RULES["Re"],
    "Bl": RULES["Bl"],
    "Mms": RULES["Mms"],
    "Mmd": Quantity(unit="kg", meaning="moving mass without its air load", low=1e-7, high=5.0, slips=("gram",)),
    "Cms": RULES["Cms"],
    "Rms": RULES["Rms"],
    "sensitivity_2V83": SENSITIVITY,
    "sensitivity_1W": SENSITIVITY,
}
TOLERANCE = dict.fromkeys(PRINTED, 0.03) | {"sensitivity_2V83": 0.06, "sensitivity_1W": 0.06}  # of the value; 0.5 dB
SHOWN = {  # as data sheets print it
    "Vas": ("litres", litre),
    "Sd": ("cm²", cm2),
    "diameter": ("mm", mm),
    "Mms": ("g", gram),
    "Mmd": ("g", gram),
    "Cms": ("mm/N", mm_per_newton),
    "Le": ("mH", mH),
    "built_in_capacitance": ("µF", uF),
    "xmax": ("mm", mm),
    "depth": ("mm", mm),
    "cutout": ("mm", mm),
    "displacement": ("litres", litre),
}
SHOWN_BESIDE = (
    *("Le", "L2", "R2", "built_in_capacitance", "xmax", "rated_impedance", "power"),
    *("depth", "cutout", "displacement"),
)
IN_WORDS = {"sensitivity_2V83": "sensitivity at 2.83 V", "sensitivity_1W": "sensitivity at 1 W"}
COUNTED = {
    "xmax_counted": OneOf(words=("one way", "peak to peak")),
    "power_counted": OneOf(words=("r.m.s.", "maximum")),
}
OWNER = "Driver.from_data_sheet"
HANGS = "is poorly settled by what is printed, of which 1 % becomes 5 % or more in it: take it as a guess."
CLOSE = 1.0  # of how strange two slips are; a second one as close is named too
FEW = 3  # more suspects than that are not named
WEAKLY = 0.2  # singular value of the Jacobian; below it 1 % in print is 5 % or more in what follows
TYPICAL = {"Re": 3.4, "Bl": 5.0, "Mms": 0.015, "Cms": 5e-4, "Rms": 1.2, "Sd": 0.0137}  # where a search begins


@dataclasses.dataclass(frozen=True, slots=True)
class Contradiction:
    """A printed value that the rest of the sheet does not bear out.

    Attributes
    ----------
    name : str
    printed, implied : float
        The value on the sheet, and the one that follows from all the others. [SI, dB]
    slip : str
        What the ratio of the two looks like; empty if like nothing known.
    alike : tuple of str
        Other printed values which, if wrong, would explain it as well.
    """

    name: str
    printed: float
    implied: float
    slip: str = ""
    alike: tuple = ()

    def __str__(self):
        if self.name.startswith("sensitivity"):
            by = f"{self.printed - self.implied:+.1f} dB"
        else:
            by = f"{100 * (self.printed / self.implied - 1):+.0f} %"
        printed, implied = _text(self.name, self.printed), _text(self.name, self.implied)
        name = IN_WORDS.get(self.name, self.name)
        slip = f", {self.slip}" if self.slip else ""
        others = " or ".join(IN_WORDS.get(other, other) for other in self.alike)
        alike = f"; a wrong {others} would explain it as well" if others else ""
        if len(self.alike) > FEW:
            alike = "; so would most of the others, if wrong, explain it"
        return f"{name} is printed as {printed}, the rest implies {implied} ({by}){slip}{alike}"


@dataclasses.dataclass(frozen=True, slots=True)
class Report:
    """What a data sheet says, and what it leaves open.

    Attributes
    ----------
    given : dict
        Name: printed value. [SI, dB]
    implied : dict
        Name: value that follows for what was not printed. [SI, dB]
    assumed : tuple of str
    contradictory : tuple of Contradiction
        The likeliest mistake first.
    questions : tuple of str
        What to find out on the sheet: the usual traps.
    """

    given: dict
    implied: dict
    assumed: tuple
    contradictory: tuple
    questions: tuple

    def __str__(self):
        lines = ["given: " + _listed(self.given), "implied: " + _listed(self.implied)]
        lines += [f"assumed: {sentence}" for sentence in self.assumed]
        lines += [f"contradictory: {entry}" for entry in self.contradictory]
        lines += [f"question: {sentence}" for sentence in self.questions]
        return "\n".join(lines)


class DataSheet(NamedTuple):
    """A driver and the report on the data sheet that it was made from."""

    driver: Driver
    report: Report


class Candidate(Driver):
    """A driver that does not check its own rules, so that a search may pass through it."""

    def __init__(self, logarithms):
        for name, value in zip(MADE_OF, np.exp(logarithms), strict=True):
            object.__setattr__(self, name, value)


def quantities(driver, air, nominal):
    """Return all that a data sheet can print of a driver, by name; levels in units of a factor e."""
    decibel = np.log(10) / 20
    printed = {name: getattr(driver, name) for name in (*MADE_OF, "fs", "Qes", "Qms", "Qts")}
    level = passband_level(driver, 1.0, air)
    nominal = driver.Re if nominal is None else nominal
    return printed | {
        "Vas": air.stiffness * np.square(driver.Sd) * driver.Cms,
        "diameter": 2 * driver.radius,
        "Mmd": driver.Mms - air_load(driver.radius, air),
        "sensitivity_2V83": np.exp(decibel * (level + 20 * np.log10(2.83))),
        "sensitivity_1W": np.exp(decibel * (level + 10 * np.log10(nominal))),
    }


def quantities_in_si(driver, air, nominal=None):
    """Return all that a data sheet can print of a driver, by name. [SI, dB]"""
    return {name: _value(name, value) for name, value in quantities(driver, air, nominal).items()}


class Fit:
    """Drivers that agree best with some printed values."""

    def __init__(self, printed, air, nominal):
        self.air, self.nominal = air, nominal
        self._still = SimpleNamespace(density=air.density, stiffness=air.stiffness)  # reckoned once
        self.targets = {name: _logarithm(name, value) for name, value in printed.items()}
        self.halves = {name: half_a_digit(name, value) for name, value in printed.items()}

    def with_targets(self, targets):
        """Return the same with other logarithms of printed values."""
        other = copy.copy(self)
        other.targets = self.targets | targets
        return other

    def exchanged(self, one, another):
        """Return the same with two printed values exchanged."""
        return self.with_targets({one: self.targets[another], another: self.targets[one]})

    def logarithms(self, x, names):
        """Return the logarithms of some printed quantities at the candidates of logarithms `x`, one a column."""
        values = quantities(Candidate(x), self._still, self.nominal)
        asked = np.array([values[name] for name in names]).reshape(len(names), *x.shape[1:])
        return np.log(np.maximum(asked, 1e-30))

    def jacobian(self, x, names, step=1e-6):
        """Return the derivatives of those logarithms by the logarithms of what the driver is made of."""
        steps = step * np.eye(len(x))
        beside = self.logarithms(np.hstack([x[:, np.newaxis] + steps, x[:, np.newaxis] - steps]), names)
        return (beside[:, : len(x)] - beside[:, len(x) :]) / (2 * step)

    def solve(self, names, start):
        """Return the candidate that agrees best with the printed values of those names (Gauss and Newton's way)."""
        targets, weights, x = np.array([self.targets[name] for name in names]), self.weights(names), start
        for _ in range(50):
            slopes = weights[:, np.newaxis] * self.jacobian(x, names)
            step = np.linalg.lstsq(slopes, weights * (targets - self.logarithms(x, names)), rcond=1e-9)[0]
            x = x + step / max(1.0, np.max(np.abs(step)))
            if np.max(np.abs(step)) < 1e-11:
                break
        return x

    def weights(self, names):
        """Return what a misfit counts: as much less as a value is usually printed less exactly."""
        return np.array([1 / TOLERANCE[name] for name in names])

    def rounding(self, name, others, x):
        r"""Return by how much rounding alone may part a printed value from what the others imply, in logarithms.

        .. math:: h_i + \sum_j |g_{ij}| h_j

        with half a unit of the last printed digit h, and by how much each of the others moves what they imply g.
        """
        weights = self.weights(others)[:, np.newaxis]
        moved = self.jacobian(x, (name,)) @ np.linalg.pinv(weights * self.jacobian(x, others), rcond=1e-9) * weights.T
        return self.halves[name] + float(np.abs(moved[0]) @ [self.halves[other] for other in others])

    def misfit(self, names, x):
        """Return by how much the candidate misses each of those printed values, in logarithms."""
        return np.array([self.targets[name] for name in names]) - self.logarithms(x, names)


def driver_from_sheet(printed, beside, counted, air):
    """Make the driver and the report: see `Driver.from_data_sheet`.

    Parameters
    ----------
    printed : dict
        Name (of `PRINTED`): value or None. [SI, dB]
    beside : dict
        Other fields of `Driver`, among them Le, xmax, rated_impedance, power: value or None.
    counted : dict
        xmax_counted, power_counted.
    air : Air

    Returns
    -------
    DataSheet
    """
    given = {name: PRINTED[name].single(OWNER, name, value) for name, value in printed.items() if value is not None}
    sheet, rest = beside_the_parameters(beside, counted)
    made_of, implied, contradictory, weak, slips = read_sheet(given, air=air, rated_impedance=sheet["rated_impedance"])
    check_possible(made_of, given, slips)
    driver = Driver(**made_of, **rest)
    agreeing = given | {entry.name: entry.implied for entry in contradictory}
    report = Report(
        given=given | {name: value for name, value in sheet.items() if name in SHOWN_BESIDE and value is not None},
        implied={name: value for name, value in implied.items() if name not in given},
        assumed=(*assumptions(sheet), *(f"{name} {HANGS}" for name in weak)),
        contradictory=contradictory,
        questions=(*questions_about(sheet, made_of["Re"]), *doubts_about(driver, given, sheet, air, slips)),
    )
    return DataSheet(dataclasses.replace(driver, sensitivity=printed_at_2V83(agreeing, driver.Re, sheet)), report)


def printed_at_2V83(given, Re, sheet):
    """Return the printed sensitivity at 2.83 V, or None. [dB]"""
    if "sensitivity_2V83" in given:
        return given["sensitivity_2V83"]
    nominal = Re if sheet["rated_impedance"] is None else sheet["rated_impedance"]
    at_one_watt = given.get("sensitivity_1W")
    return None if at_one_watt is None else at_one_watt + 20 * np.log10(2.83) - 10 * np.log10(nominal)


def beside_the_parameters(beside, counted):
    """Check what a sheet prints beside the small-signal parameters.

    Returns
    -------
    sheet : dict
        Name: what is printed, or None.
    fields : dict
        Name: value for `Driver`: travel one way, power that the coil stands for long.
    """
    printed = {name: RULES[name].single(OWNER, name, value) for name, value in beside.items() if value is not None}
    sheet = dict.fromkeys(beside) | printed | {n: w and COUNTED[n].accept(OWNER, n, w) for n, w in counted.items()}
    fields = dict(printed)
    if "xmax" in fields and sheet["xmax_counted"] == "peak to peak":
        fields["xmax"] /= 2
    if sheet["power_counted"] == "maximum":
        fields.pop("power", None)
    return sheet, fields


def check_possible(made_of, given, slips):
    """Refuse printed values that go together to no driver, without blaming one that was not printed."""
    whole, part = given.get("Qts", 0.0), min(given.get("Qes", np.inf), given.get("Qms", np.inf))
    for name, value in made_of.items():
        rule = RULES[name]
        if not rule.low <= value <= rule.high and whole >= part:
            raise ValueError(
                f"{OWNER}: Qts = {whole:g} must be below Qes and Qms, got {part:g}: are they exchanged or misprinted?"
            )
        if not rule.low <= value <= rule.high:
            raise ValueError(
                f"{OWNER}: {', '.join(given)} do not go together: {name} would be {_text(name, value)}, not between "
                f"{_text(name, rule.low)} and {_text(name, rule.high)}: is one of them in a wrong unit?{look_at(slips)}"
            )


def read_sheet(printed, *, air, rated_impedance):
    """Find the driver that a data sheet describes.

    Parameters
    ----------
    printed : dict
        Name (of `PRINTED`): value. [SI, dB]
    air : Air
    rated_impedance : float or None
        What one watt is reckoned into; Re if None. [ohm]

    Returns
    -------
    made_of : dict
        Name: value of what the driver is made of.
    implied : dict
        Name: value of everything that a sheet can print.
    contradictory : tuple of Contradiction
    weak : tuple of str
        What hangs on a small difference between printed values.
    slips : tuple of str
        Where the driver is an unusual one: which slips would make it so, the likeliest first.
    """
    fit = Fit(printed, air, rated_impedance)
    names = tuple(printed)
    start = np.log([TYPICAL[name] for name in MADE_OF])
    check_sufficient(fit, names, start)
    fit, x, suspects, exchanged = without_exchange(fit, names, fit.solve(names, start))
    kept = [name for name in names if name not in suspects]
    first_hand = [name for name in kept if name not in SECOND_HAND]
    if _rank(fit.jacobian(x, first_hand)) == len(MADE_OF):
        x = fit.solve(first_hand, x)  # what was worked out from them, and rounded, adds nothing
    implied = quantities_in_si(Candidate(x), air, rated_impedance)
    nominal = printed.get("Re") if rated_impedance is None else rated_impedance

    def contradiction(name, alike):
        rounding = fit.rounding(name, kept, x)
        slip = EXCHANGE if exchanged else slip_of(name, printed[name], implied[name], nominal, rounding)
        return Contradiction(name, printed[name], implied[name], slip, alike)

    contradictory = tuple(itertools.starmap(contradiction, (exchanged or suspects).items()))
    slips = likely_slips(fit, kept, x, air) if oddities(Candidate(x), air) else ()
    return dict(zip(MADE_OF, np.exp(x), strict=True)), implied, contradictory, weak_points(fit, kept, x), slips


def likely_slips(fit, names, x, air):
    """Return which slips would make a driver as unusual as this one, the likeliest first, two at most.

    Each slip that a printed value may hold is undone, and the driver found anew: the nearer to the middle of what is
    usual, the likelier it is.

    Parameters
    ----------
    fit : Fit
    names : sequence of str
        The printed values that are believed.
    x : array
        Logarithms of the driver that agrees with them.
    air : Air

    Returns
    -------
    tuple of str
    """
    undone = []
    if set(EXCHANGED) <= set(names):
        rare = rarity_of_exchange(fit.targets["Qes"], fit.targets["Qms"])
        undone.append((fit.exchanged(*EXCHANGED), f"Qes, {EXCHANGE}", rare))
    for name in names:
        for factor, words in factors_of(name):
            mended = fit.with_targets({name: fit.targets[name] - np.log(factor)})
            meant = _text(name, np.exp(mended.targets[name]))
            undone.append((mended, f"{IN_WORDS.get(name, name)}, {words} ({meant} would fit)", rarity_of(factor)))
    best = sorted((_strangeness(mended, names, x, air) + rare, words) for mended, words, rare in undone)
    now = _strangeness(fit, names, x, air)
    return tuple(words for strange, words in best[:2] if strange < min(now, best[0][0] + CLOSE))


def _strangeness(fit, names, x, air):
    """Return how unusual the driver of these printed values is, and how badly it agrees with them."""
    x = fit.solve(names, x)
    return oddness(Candidate(x), air) + np.sum(np.square(fit.weights(names) * fit.misfit(names, x)))


def without_exchange(fit, names, x):
    """Leave out what contradicts the rest, unless Qes and Qms are exchanged and that explains it all.

    Returns
    -------
    fit : Fit
        With the two exchanged back if they are.
    x : array
    suspects : dict
        As of `without_contradictions`.
    exchanged : dict
        Name: (), of the two if they are exchanged; else empty.
    """
    found, suspects = without_contradictions(fit, names, x)
    if suspects and set(EXCHANGED) <= set(names) and fit.targets["Qms"] < fit.targets["Qes"]:
        back = fit.exchanged(*EXCHANGED)
        agreeing, left = without_contradictions(back, names, back.solve(names, x))
        if not left:
            return back, agreeing, {}, dict.fromkeys(EXCHANGED, ())
    return fit, found, suspects, {}


def check_sufficient(fit, names, x):
    """Refuse a sheet that leaves a driver open, and name a smallest addition that would settle it."""
    if _rank(fit.jacobian(x, names)) == len(MADE_OF):
        return
    additions = smallest_additions(fit, names, x)
    choices = " or ".join(" and ".join(addition) for addition in additions[:3])
    given = f"what is given ({', '.join(names)})" if names else "nothing given"
    raise ValueError(f"{OWNER}: {given} does not settle a driver: add {choices}")


def smallest_additions(fit, names, x):
    """Return the smallest sets of further quantities that would settle a driver, the usual ones first."""
    absent, slopes = (
        [name for name in PRINTED if name not in names],
        dict(zip(PRINTED, fit.jacobian(x, PRINTED), strict=True)),
    )
    for size in range(1, len(MADE_OF) + 1):
        found = [
            addition
            for addition in itertools.combinations(absent, size)
            if _rank([slopes[name] for name in (*names, *addition)]) == len(MADE_OF)
        ]
        if found:
            return found
    raise AssertionError("all that a sheet can print settles a driver")


def without_contradictions(fit, names, x):
    """Leave out one printed value after the other, the likeliest mistake first, until the rest agrees.

    Returns
    -------
    x : array
        Logarithms of the driver that agrees with the rest.
    suspects : dict
        What was left out, and for each what would explain the contradiction as well.
    """
    suspects = {}
    while len(names) > len(MADE_OF) and np.max(np.abs(fit.weights(names) * fit.misfit(names, x))) > 0.1:
        worst, alike, found = likeliest_mistake(fit, names, x)
        others = [name for name in names if name != worst]
        if abs(fit.misfit((worst,), found)[0]) < max(TOLERANCE[worst], fit.rounding(worst, others, found)):
            break
        suspects[worst] = alike
        names, x = others, found
    return x, suspects


def likeliest_mistake(fit, names, x):
    """Return the value without which the others agree best, those that are as likely, and the driver of the others.

    Where several will do as well, the one that looks like a slip of the unit is named: of several slips the one that
    leaves the most usual driver. Else it is the one that makers work out from the others.
    """
    tried = {}
    for name in names:
        others = [other for other in names if other != name]
        if _rank(fit.jacobian(x, others)) == len(MADE_OF):
            found = fit.solve(others, x)
            tried[name] = (np.linalg.norm(fit.weights(others) * fit.misfit(others, found)), found)
    best = min(left for left, _ in tried.values())
    alike = [name for name, (left, _) in tried.items() if left <= 1.5 * best + 0.05]

    def innocence(name):
        found, others = tried[name][1], [other for other in names if other != name]
        printed, off = np.exp(fit.targets[name]), np.exp(fit.misfit((name,), found)[0])
        slipped = looks_like_a_slip(name, printed, printed / off, fit.rounding(name, others, found))
        doubt = oddness(Candidate(found), fit.air) + rarity_of(off) if slipped else np.inf
        return doubt, name == "Re", SECOND_HAND.index(name) if name in SECOND_HAND else len(SECOND_HAND)

    worst = min(alike, key=innocence)
    return worst, tuple(name for name in alike if name != worst), tried[worst][1]


def weak_points(fit, names, x):
    """Return what a driver is made of that hangs on a small difference between printed values."""
    _, strengths, directions = np.linalg.svd(fit.jacobian(x, names))
    weak = [directions[i] for i in np.flatnonzero(strengths < WEAKLY)]
    return tuple(name for name, *shares in zip(MADE_OF, *weak, strict=True) if any(abs(s) > 0.3 for s in shares))


def _rank(jacobian):
    return np.linalg.matrix_rank(jacobian, tol=1e-6)


def _logarithm(name, value):
    return value * np.log(10) / 20 if name.startswith("sensitivity") else np.log(value)


def _value(name, value):
    return float(20 * np.log10(value) if name.startswith("sensitivity") else value)


def _text(name, value):
    unit, size = SHOWN.get(name) or ((PRINTED | RULES)[name].unit, 1.0)
    return f"{value / size:.4g} {unit}".rstrip()


def _listed(values):
    return ", ".join(f"{name} {_text(name, value)}" for name, value in values.items())
