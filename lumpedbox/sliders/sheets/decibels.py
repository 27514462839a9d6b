"""Exercises of the lesson on decibels."""

from __future__ import annotations

import numpy as np

from ...hearing import a_weighting
from ..exercises import Exercise, Misconception, Sheet
from ..systems import LEVEL
from .draw import one_of


def decibel_sheet():
    """Return the exercises of the lesson on decibels."""
    return Sheet((more_power(), meter()))


def more_power():
    """Ask for decibels from a ratio of powers."""
    return Exercise(
        draw=lambda random: {"times": one_of(random, (2, 3, 4, 5, 6, 8, 12, 15, 20))},
        ask=lambda given, system: (
            f"An amplifier gives way to one of {given['times']:.0f} times the power. "
            "By how many dB does the highest level rise?"
        ),
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
        draw=lambda random: {
            "level": random.integers(80, 111) * 1.0,
            "frequency": one_of(random, (31.5, 40, 50, 63, 80)),
        },
        ask=lambda given, system: (
            f"A tone of {given['frequency']:g} Hz has a level of {given['level']:.0f} dB. "
            "What does a meter set to A read? (Read it off the page above, or use the formula.)"
        ),
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
