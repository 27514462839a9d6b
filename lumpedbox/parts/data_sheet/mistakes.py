"""Printed values that contradict the rest, and slips that would explain an unusual driver."""

from __future__ import annotations

import numpy as np

from ..small_signal import MADE_OF
from .fit import TOLERANCE, Candidate
from .plausible import oddness
from .printed import IN_WORDS, in_print
from .slips import (
    EXCHANGE,
    EXCHANGED,
    SECOND_HAND,
    factors_of,
    looks_like_a_slip,
    rarity_of,
    rarity_of_exchange,
)

CLOSE = 1.0  # of how strange two slips are; a second one as close is named too


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

    Where several will do as well, the one that looks like a slip of the unit is named. Of several slips, it is the one
    that leaves the most usual driver. Otherwise it is the one that makers work out from the others.
    """
    tried = {}
    for name in names:
        others = [other for other in names if other != name]
        if fit.settles(others, x):
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


def likely_slips(fit, names, x, air):
    """Return which slips would make a driver as unusual as this one, the likeliest first, two at most.

    Each slip that a printed value may hold is undone, and the driver is found again. The more usual that driver, the
    likelier the slip.

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
            meant = in_print(name, np.exp(mended.targets[name]))
            undone.append((mended, f"{IN_WORDS.get(name, name)}, {words} ({meant} would fit)", rarity_of(factor)))
    best = sorted((_strangeness(mended, names, x, air) + rare, words) for mended, words, rare in undone)
    now = _strangeness(fit, names, x, air)
    return tuple(words for strange, words in best[:2] if strange < min(now, best[0][0] + CLOSE))


def _strangeness(fit, names, x, air):
    """Return how unusual the driver of these printed values is, and how badly it agrees with them."""
    x = fit.solve(names, x)
    return oddness(Candidate(x), air) + np.sum(np.square(fit.weights(names) * fit.misfit(names, x)))
