"""A driver from whatever its data sheet prints: what follows, what is assumed and what contradicts."""

from __future__ import annotations

import itertools
from typing import NamedTuple

import numpy as np

from ...errors import Incomplete, Refused
from ..small_signal import MADE_OF, RULES
from .fit import TYPICAL, Candidate, Fit, quantities
from .mistakes import likely_slips, without_exchange
from .plausible import oddities
from .printed import OWNER, PARAMETERS, in_print
from .questions import assumptions, doubts_about, look_at, questions_about
from .report import Contradiction, DataSheet, Report
from .slips import EXCHANGE, SECOND_HAND, slip_of

LOOSE = "is only loosely determined: an error of 1 % in print makes 5 % or more in it. Take it as a guess."
WEAKLY = 0.2  # singular value of the Jacobian; below it 1 % in print is 5 % or more in what follows


class Settled(NamedTuple):
    """What a data sheet determines.

    Attributes
    ----------
    made_of : dict
        Name: value of what the driver is made of. [SI]
    implied : dict
        Name: value of everything that a sheet can print. [SI, dB]
    contradictory : tuple of Contradiction
    weak : tuple of str
        What depends on a small difference between printed values.
    slips : tuple of str
        Which slips would explain an unusual driver, the likeliest first; empty for a usual one.
    """

    made_of: dict
    implied: dict
    contradictory: tuple
    weak: tuple
    slips: tuple


def read_sheet(sheet, air, make):
    """Find the driver of a data sheet: see `Driver.from_data_sheet`.

    Parameters
    ----------
    sheet : PrintedSheet
    air : Air
        The air that Vas, Mmd and the sensitivity refer to.
    make : callable
        Of the fields of `Driver` by name: the driver.

    Returns
    -------
    DataSheet
    """
    given = sheet.parameters
    found = settle(given, air, sheet.rated_impedance)
    check_possible(found.made_of, given, found.slips)
    driver, Re = Candidate(np.log(list(found.made_of.values()))), found.made_of["Re"]
    believed = given | {entry.name: entry.implied for entry in found.contradictory}
    report = Report(
        given=given | sheet.beside,
        implied={name: value for name, value in found.implied.items() if name not in given},
        assumed=(*assumptions(sheet), *(f"{name} {LOOSE}" for name in found.weak)),
        contradictory=found.contradictory,
        questions=(*questions_about(sheet, Re), *doubts_about(driver, given, sheet, air, found.slips)),
    )
    printed = {"sensitivity": sheet.printed_at_2V83(believed, Re)}
    return DataSheet(make(**found.made_of, **sheet.fields_of_a_driver(), **printed), report)


def check_possible(made_of, given, slips):
    """Refuse printed values that no driver can have together, without blaming one that was not printed."""
    whole, part = given.get("Qts", 0.0), min(given.get("Qes", np.inf), given.get("Qms", np.inf))
    for name, value in made_of.items():
        rule = RULES[name]
        if rule.low <= value <= rule.high:
            continue
        if whole >= part:
            problem = f"Qts = {whole:g} must be below Qes and Qms, got {part:g}: are they exchanged or misprinted?"
            raise Refused(OWNER, "", problem)
        would, low, high = (in_print(name, number) for number in (value, rule.low, rule.high))
        problem = f"{', '.join(given)} do not go together: {name} would be {would}, not between {low} and {high}"
        raise Refused(OWNER, "", problem, f": is one of them in the wrong unit?{look_at(slips)}")


def settle(printed, air, rated_impedance):
    """Find what a driver is made of.

    Parameters
    ----------
    printed : dict
        Name (of `PARAMETERS`): value. [SI, dB]
    air : Air
    rated_impedance : float or None
        Resistance in which one watt is taken as dissipated; Re if None. [ohm]

    Returns
    -------
    Settled
    """
    fit = Fit(printed, air, rated_impedance)
    names = tuple(printed)
    start = np.log([TYPICAL[name] for name in MADE_OF])
    check_sufficient(fit, names, start)
    fit, x, suspects, exchanged = without_exchange(fit, names, fit.solve(names, start))
    kept = [name for name in names if name not in suspects]
    first_hand = [name for name in kept if name not in SECOND_HAND]
    if fit.settles(first_hand, x):
        x = fit.solve(first_hand, x)  # what was worked out from them, and rounded, adds nothing
    implied = quantities(Candidate(x), air, rated_impedance)
    nominal = printed.get("Re") if rated_impedance is None else rated_impedance

    def contradiction(name, alike):
        rounding = fit.rounding(name, kept, x)
        slip = EXCHANGE if exchanged else slip_of(name, printed[name], implied[name], nominal, rounding)
        return Contradiction(name, printed[name], implied[name], slip, alike)

    contradictory = tuple(itertools.starmap(contradiction, (exchanged or suspects).items()))
    slips = likely_slips(fit, kept, x, air) if oddities(Candidate(x), air) else ()
    made_of = dict(zip(MADE_OF, map(float, np.exp(x)), strict=True))
    return Settled(made_of, implied, contradictory, weak_points(fit, kept, x), slips)


def check_sufficient(fit, names, x):
    """Refuse a sheet that does not determine a driver, and name the fewest values to add."""
    if fit.settles(names, x):
        return
    ways = smallest_additions(fit, names, x)
    choices = " or ".join(" and ".join(way) for way in ways[:3])
    given = f"what is given ({', '.join(names)}) is not enough to work out a driver" if names else "nothing is given"
    raise Incomplete(f"{given}: add {choices}", ways, OWNER)


def smallest_additions(fit, names, x):
    """Return the smallest sets of further quantities that would determine a driver, the usual ones first."""
    absent = [name for name in PARAMETERS if name not in names]
    for size in range(1, len(MADE_OF) + 1):
        found = [more for more in itertools.combinations(absent, size) if fit.settles((*names, *more), x)]
        if found:
            return found
    raise AssertionError("all that a sheet can print determines a driver")


def weak_points(fit, names, x):
    """Return what of a driver depends on a small difference between printed values."""
    _, strengths, directions = np.linalg.svd(fit.jacobian(x, names))
    weak = [directions[i] for i in np.flatnonzero(strengths < WEAKLY)]
    return tuple(name for name, *shares in zip(MADE_OF, *weak, strict=True) if any(abs(s) > 0.3 for s in shares))
