"""A driver from whatever its data sheet prints: what follows, what is assumed, what contradicts."""

from __future__ import annotations

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
    reference_efficiency,
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
SECOND_HAND = ("sensitivity_1W", "sensitivity_2V83", "Qts", "diameter", "Mmd")  # printed after being worked out
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
LARGEST_EFFICIENCY = 0.1  # of a cone in a panel; common practice, no source
DECADES = tuple((10.0**power, "as if the decimal point had slipped") for power in (-3, -2, -1, 1, 2, 3))
# Printed over implied, and what that looks like.
SLIPS_OF = {
    "Sd": ((1 / 6.4516, "as if square inches had been taken for cm²"),),
    "Vas": ((1 / 28.3168, "as if cubic feet had been taken for litres"),),
    "diameter": ((1 / 2, "as if it were the radius"), (1 / 25.4, "as if inches had been taken for mm")),
}
COILS = "as if one coil had been taken for one value and two for another"
FEW = 3  # more suspects than that are not named
OF_COILS = ("Re", "Bl", "Qes", "Qts")
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


class Candidate:
    """A driver without the rules that a real one obeys, so that a search may pass through it."""

    fs, Qes, Qms, Qts, radius = Driver.fs, Driver.Qes, Driver.Qms, Driver.Qts, Driver.radius

    def __init__(self, logarithms):
        for name, value in zip(MADE_OF, np.exp(logarithms), strict=True):
            setattr(self, name, value)


def air_load(radius, air):
    r"""Mass of the air that moves along on both sides of a piston in a large panel. [kg]

    .. math:: \frac{16}{3}\rho a^3
    """
    return 16 / 3 * air.density * radius**3


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
        self.air, self.nominal = SimpleNamespace(density=air.density, stiffness=air.stiffness), nominal
        self.targets = {name: _logarithm(name, value) for name, value in printed.items()}

    def logarithms(self, x, names):
        """Return the logarithms of some printed quantities at the candidates of logarithms `x`, one a column."""
        values = quantities(Candidate(x), self.air, self.nominal)
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
    made_of, implied, contradictory, weak = read_sheet(given, air=air, rated_impedance=sheet["rated_impedance"])
    check_possible(made_of, given)
    driver = Driver(**made_of, **rest)
    agreeing = given | {entry.name: entry.implied for entry in contradictory}
    report = Report(
        given=given | {name: value for name, value in sheet.items() if name in SHOWN_BESIDE and value is not None},
        implied={name: value for name, value in implied.items() if name not in given},
        assumed=(*assumptions(sheet), *(f"{name} {HANGS}" for name in weak)),
        contradictory=contradictory,
        questions=(*questions_about(sheet, made_of["Re"]), *doubts_about(driver, given, sheet, air)),
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


def check_possible(made_of, given):
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
                f"{OWNER}: {', '.join(given)} do not go together: {name} would be {_text(name, value)}, "
                f"not between {_text(name, rule.low)} and {_text(name, rule.high)}: is one of them in a wrong unit?"
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
    """
    fit = Fit(printed, air, rated_impedance)
    nominal = printed.get("Re") if rated_impedance is None else rated_impedance
    names = tuple(printed)
    start = np.log([TYPICAL[name] for name in MADE_OF])
    check_sufficient(fit, names, start)
    x, suspects = without_contradictions(fit, names, fit.solve(names, start))
    kept = [name for name in names if name not in suspects]
    first_hand = [name for name in kept if name not in SECOND_HAND]
    if _rank(fit.jacobian(x, first_hand)) == len(MADE_OF):
        x = fit.solve(first_hand, x)  # what was worked out from them, and rounded, adds nothing
    implied = quantities_in_si(Candidate(x), air, rated_impedance)
    contradictory = tuple(
        Contradiction(name, printed[name], implied[name], slip_of(name, printed[name], implied[name], nominal), alike)
        for name, alike in suspects.items()
    )
    return dict(zip(MADE_OF, np.exp(x), strict=True)), implied, contradictory, weak_points(fit, kept, x)


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
        if abs(fit.misfit((worst,), found)[0]) < TOLERANCE[worst]:
            break
        suspects[worst] = alike
        names, x = [name for name in names if name != worst], found
    return x, suspects


def likeliest_mistake(fit, names, x):
    """Return the value without which the others agree best, those that are as likely, and the driver of the others.

    Where several will do as well, the one that looks like a slip of the unit is named, else the one that makers work
    out from the others.
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
        off = np.exp(fit.misfit((name,), tried[name][1])[0])
        slipped = any(_near(off, factor) for factor, _ in (*SLIPS_OF.get(name, ()), *DECADES))
        return not slipped, name == "Re", SECOND_HAND.index(name) if name in SECOND_HAND else len(SECOND_HAND)

    worst = min(alike, key=innocence)
    return worst, tuple(name for name in alike if name != worst), tried[worst][1]


def slip_of(name, printed, implied, nominal):
    """Say what the ratio of a printed value to the implied one looks like.

    Parameters
    ----------
    name : str
    printed, implied : float
        [SI, dB]
    nominal : float or None
        What one watt is reckoned into. [ohm]
    """
    if name.startswith("sensitivity"):
        between = 10 * np.log10(8 / nominal) if nominal else 0.0
        exchanged = abs(between) > 1 and abs(abs(printed - implied) - abs(between)) < 0.4
        return "as if the levels at 1 W and at 2.83 V had been exchanged" if exchanged else ""
    known = (*SLIPS_OF.get(name, ()), *DECADES)
    if name in OF_COILS:
        known += tuple((factor, COILS) for factor in (0.25, 0.5, 2.0, 4.0))
    return next((words for factor, words in known if _near(printed / implied, factor)), "")


def _near(ratio, factor):
    return abs(np.log(ratio / factor)) < 0.03


def weak_points(fit, names, x):
    """Return what a driver is made of that hangs on a small difference between printed values."""
    _, strengths, directions = np.linalg.svd(fit.jacobian(x, names))
    weak = [directions[i] for i in np.flatnonzero(strengths < WEAKLY)]
    return tuple(name for name, *shares in zip(MADE_OF, *weak, strict=True) if any(abs(s) > 0.3 for s in shares))


def questions_about(sheet, Re):
    """Return what to find out on a sheet: the usual traps that its numbers do not settle.

    Parameters
    ----------
    sheet : dict
        xmax_counted, power_counted (or None), power, xmax, rated_impedance.
    Re : float
        [ohm]
    """
    rated = sheet["rated_impedance"]
    if sheet["xmax"] is not None and sheet["xmax_counted"] is None:
        yield (f"Is xmax {1e3 * sheet['xmax']:.3g} mm one way, or peak to peak? Taken as one way.")
    if sheet["power"] is not None and sheet["power_counted"] is None:
        yield f"Are the {sheet['power']:.4g} W r.m.s. (continuous), or a maximum? A maximum says nothing about heat."
    if sheet["power"] is not None and rated is None:
        yield "At which impedance are the watts meant? Without a rated impedance they are reckoned into Re."
    if rated is None:
        likely = min((2, 3, 4, 6, 8, 16), key=lambda nominal: abs(np.log(0.85 * nominal / Re)))
        yield f"Which impedance is it rated by? Re = {Re:.3g} ohm suggests {likely} ohm (common practice, no source)."
    elif not 0.6 <= Re / rated <= 1.0:
        yield (
            f"Is it really rated {rated:g} ohm? Re = {Re:.3g} ohm is {Re / rated:.2f} of that; 0.7 to 0.95 is usual "
            "(common practice; IEC 60268-5 asks for at least 0.8 of it as the lowest impedance, from memory)."
        )


def doubts_about(driver, given, sheet, air):
    """Return questions about what cannot be, or is often confused.

    Parameters
    ----------
    driver : Driver
    given : dict
        What the sheet prints. [SI, dB]
    sheet : dict
        rated_impedance, among others.
    air : Air
    """
    load = air_load(driver.radius, air)
    if driver.Mms <= load:
        yield (
            f"Is one of them in a wrong unit? The moving mass would be {1e3 * driver.Mms:.3g} g, and the air that "
            f"moves along is {1e3 * load:.3g} g already."
        )
    efficiency = reference_efficiency(driver, air)
    if efficiency > LARGEST_EFFICIENCY:
        yield (
            f"Is one of them in a wrong unit? {100 * efficiency:.3g} % of the power would become sound; of a cone in a "
            "panel 0.2 to 5 % are usual (common practice, no source)."
        )
    if "diameter" in given and "Sd" not in given:
        yield (
            f"Is {1e3 * given['diameter']:.3g} mm the cone, from the middle of the surround to the middle? The "
            "basket is about a fifth wider, and the mass would come out twice too large."
        )
    at_one_watt, at_2V83, rated = given.get("sensitivity_1W"), given.get("sensitivity_2V83"), sheet["rated_impedance"]
    if None not in (at_one_watt, at_2V83, rated) and abs(10 * np.log10(8 / rated)) > 1 and at_one_watt == at_2V83:
        yield (
            f"Were both sensitivities measured alike? At {rated:g} ohm 2.83 V are {8 / rated:.3g} W, so that the two "
            f"differ by {10 * np.log10(8 / rated):+.1f} dB."
        )


def assumptions(sheet):
    """Return what was taken for granted where the sheet is silent."""
    if sheet["Le"] is None:
        yield "Le is not given: the coil is taken as a resistance, so treble is drawn too loud."
    if sheet["xmax"] is None:
        yield "xmax is not given: nothing can be said about running out of travel."
    if sheet["power"] is not None and sheet["power_counted"] == "maximum":
        yield "The power is a maximum: the power that the coil stands for long is taken as unknown."
    if sheet["rated_impedance"] is None:
        yield "The rated impedance is not given: one watt is reckoned into Re."


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
