"""What a wrong number on a data sheet looks like: a wrong unit, a slipped point, two values exchanged."""

from __future__ import annotations

import numpy as np

from ...units import cm2, cubic_foot, inch, litre, mm, square_inch
from ..small_signal import level_of_a_watt

SECOND_HAND = ("sensitivity_1W", "sensitivity_2V83", "Qts", "diameter", "Mmd")  # printed after being worked out
POINT = "as if the decimal point had slipped"
DECADES = tuple((10.0**power, POINT) for power in (-1, 1, -2, 2, -3, 3))
# Printed over right, and what that looks like.
OF_ONE = {
    "Sd": ((cm2 / square_inch, "as if square inches had been taken for cm²"),),
    "Vas": ((litre / cubic_foot, "as if cubic feet had been taken for litres"),),
    "diameter": ((1 / 2, "as if it were the radius"), (mm / inch, "as if inches had been taken for mm")),
}
COILS = "as if one value were for one coil and another for two"
OF_COILS = ("Re", "Bl", "Qes", "Qts")
RATED = "as if the rated impedance had been printed instead"
RATED_ONES = (1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 16.0)  # ohm
EXCHANGED = ("Qes", "Qms")
EXCHANGE = "as if Qes and Qms had been exchanged"
NEAR, FARTHEST = 0.03, 0.15  # of a ratio, in logarithms: 6.45 and 10, or 2 and 2.8, must not be taken for each other


def factors_of(name):
    """Return the factors by which a printed value is often wrong, each with what it looks like; none for levels."""
    if name.startswith("sensitivity"):
        return ()
    return (*OF_ONE.get(name, ()), *DECADES)


def rarity_of(factor):
    """Return how much rarer a slip is than one of one place, as a penalty: few points slip by two or three. [1]"""
    return 0.0 if 0.03 < factor < 30 else 1.0


def rarity_of_exchange(Qes, Qms):
    """Return the same for Qes and Qms exchanged: a Qms below Qes gives that away. [1]"""
    return -1.0 if Qms < Qes else 1.0


def is_near(ratio, factor, leeway=0.0):
    """Tell whether a ratio is close to a factor, within the usual and some leeway. [1], in logarithms"""
    return abs(np.log(ratio / factor)) < min(NEAR + leeway, FARTHEST)


def is_rated_for_resistance(printed, implied):
    """Tell whether a printed Re is a rated impedance. [ohm]

    It has the value of one, and the rest implies a resistance of 0.6 to 0.97 of it (0.7 to 0.95 is usual, common
    practice, no source).
    """
    return any(abs(printed / rated - 1) < 0.005 for rated in RATED_ONES) and 0.6 < implied / printed < 0.97


def looks_like_a_slip(name, printed, implied, leeway):
    """Tell whether a printed value is off by what a slip would make; the leeway in logarithms. [SI]"""
    if name == "Re" and is_rated_for_resistance(printed, implied):
        return True
    return any(is_near(printed / implied, factor, leeway) for factor, _ in factors_of(name))


def slip_of(name, printed, implied, nominal, leeway=0.0):
    """Say what the ratio of a printed value to the implied one looks like.

    Parameters
    ----------
    name : str
    printed, implied : float
        [SI, dB]
    nominal : float or None
        Resistance in which one watt is taken as dissipated. [ohm]
    leeway : float
        What rounding leaves open, in logarithms. [1]
    """
    if name.startswith("sensitivity"):
        between = -level_of_a_watt(nominal) if nominal else 0.0
        exchanged = abs(between) > 1 and abs(abs(printed - implied) - abs(between)) < 0.4
        return "as if the levels at 1 W and at 2.83 V had been exchanged" if exchanged else ""
    if name == "Re" and is_rated_for_resistance(printed, implied):
        return RATED
    known = factors_of(name)
    if name in OF_COILS:
        known += tuple((factor, COILS) for factor in (0.25, 0.5, 2.0, 4.0))
    return next((words for factor, words in known if is_near(printed / implied, factor, leeway)), "")
