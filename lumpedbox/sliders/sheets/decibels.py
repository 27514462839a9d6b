"""Exercises of the lesson on decibels."""

from __future__ import annotations

import numpy as np

from ...hearing import a_weighting
from ..drawn import Drawn
from ..exercises import Exercise, Misconception, Sheet
from ..systems import FACTOR, FREQUENCY, LEVEL


def decibel_sheet():
    """Return the exercises of the lesson on decibels."""
    return Sheet((more_power(), meter()))


def more_power():
    """Ask for decibels from a ratio of powers."""
    return Exercise(
        question="An amplifier gives way to one of {times} the power. By how many dB does the highest level rise?",
        numbers={"times": Drawn(FACTOR, (2, 3, 4, 5, 6, 7, 8, 12, 15, 20, 25, 30, 40, 50))},
        answer=lambda given: 10 * np.log10(given["times"]),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "power was taken for pressure",
                lambda given: 20 * np.log10(given["times"]),
                "Ten times the power is ten decibels; ten times the pressure is twenty.",
            ),
            Misconception(
                "the ratio itself was taken for decibels",
                lambda given: given["times"],
                "Decibels are a logarithm: twice the power is about three of them.",
            ),
        ),
        tolerance=0.1,
    )


def meter():
    """Ask for what a meter set to A reads of a low tone."""
    return Exercise(
        question=(
            "A tone of {frequency} has a level of {level}. What does a meter set to A read? (Read it off the page "
            "above, or use the formula.)"
        ),
        numbers={"level": Drawn(LEVEL, tuple(range(80, 111))), "frequency": Drawn(FREQUENCY, (31.5, 40, 50, 63, 80))},
        answer=lambda given: given["level"] + float(a_weighting(given["frequency"])),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the meter was taken as unweighted",
                lambda given: given["level"],
                "Set to A, the meter takes something off every low tone.",
            ),
            Misconception(
                "the weighting was taken with the wrong sign",
                lambda given: given["level"] - float(a_weighting(given["frequency"])),
                "The weighting is negative at low frequencies: the meter reads less.",
            ),
        ),
        tolerance=0.5,
    )
