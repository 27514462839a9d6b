"""Exercises of the lesson on decibels."""

from __future__ import annotations

import numpy as np

from ...response.hearing import a_weighting
from ...response.level import power_level, pressure_of
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import FACTOR, FREQUENCY, LEVEL

WEIGHTING = Step(
    "A",
    LEVEL,
    lambda at: _a_by_formula(at["frequency"]),
    "Read off, or by the formula: at {frequency} the weighting A is {A}.",
)
LOW_TONES = Drawn(FREQUENCY, (31.5, 40, 50, 63, 80))


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((more_power(), more_pressure(), meter(), turned_down()), "decibels")


def more_power():
    """Ask for decibels from a ratio of powers."""
    return Exercise(
        question="You replace an amplifier by one of {times} the power. By how many dB does the highest level rise?",
        numbers={"times": Drawn(FACTOR, (2, 3, 4, 5, 6, 7, 8, 12, 15, 20, 25, 30, 40, 50))},
        answer=lambda given: float(power_level(given["times"])),
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
        steps=(
            Step(
                "louder",
                LEVEL,
                lambda at: 10 * np.log10(at["times"]),
                "A ratio of powers: 10 · log({times}) = {louder}.",
            ),
        ),
        tolerance=0.1,
    )


def more_pressure():
    """Ask for a ratio of pressures from decibels."""
    return Exercise(
        question="One box plays {more} louder than another. How many times the pressure is that?",
        numbers={"more": Drawn(LEVEL, (3, 4, 5, 6, 7, 8, 9, 11, 12, 13, 14, 15, 16, 18))},
        answer=lambda given: float(pressure_of(given["more"]) / pressure_of(0.0)),
        kind=FACTOR,
        misconceptions=(
            Misconception(
                "the ratio of the powers was given",
                lambda given: 10 ** (given["more"] / 10),
                "Power goes with the square of the pressure.",
            ),
            Misconception(
                "it was how loud that sounds",
                lambda given: 2 ** (given["more"] / 10),
                "The ear takes ten decibels for about twice as loud; the pressure grows by more.",
            ),
        ),
        steps=(
            Step(
                "times",
                FACTOR,
                lambda at: 10 ** (at["more"] / 20),
                "Turn L = 20 · log(p / p0) round: 10 to the power {more} / 20 is {times}.",
            ),
        ),
    )


def meter():
    """Ask for what a meter set to A reads of a low tone."""
    return Exercise(
        question=(
            "A tone of {frequency} has a level of {level}. What does a meter set to A read? (Read it off the page "
            "above, or use the formula for A.)"
        ),
        numbers={"level": Drawn(LEVEL, tuple(range(80, 111))), "frequency": LOW_TONES},
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
        steps=(
            WEIGHTING,
            Step("reading", LEVEL, lambda at: at["level"] + at["A"], "The meter adds it: {level} + ({A}) = {reading}."),
        ),
        tolerance=0.5,
    )


STEPS_OF_TURNED_DOWN = (
    WEIGHTING,
    Step(
        "level",
        LEVEL,
        lambda at: at["reading"] - at["A"],
        "Put back what the meter took off: {reading} − ({A}) = {level}.",
    ),
    Step(
        "down",
        LEVEL,
        lambda at: at["level"] - at["wanted"],
        "From there to what you want: {level} − {wanted} = {down}.",
    ),
)


def turned_down():
    """Ask by how much a tone must be turned down, from what a meter set to A reads of it."""
    return Exercise(
        question=(
            "A meter set to A reads {reading} of a tone of {frequency}. You want the tone itself at {wanted}. By how "
            "many dB must you turn it down? (Read A off the page above, or use its formula.)"
        ),
        numbers={
            "reading": Drawn(LEVEL, (76, 78, 80, 82, 84)),
            "frequency": LOW_TONES,
            "wanted": Drawn(LEVEL, (70, 75, 80)),
        },
        answer=lambda given: given["reading"] - float(a_weighting(given["frequency"])) - given["wanted"],
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the reading was taken for the level of the tone",
                lambda given: given["reading"] - given["wanted"],
                "The meter has taken most of a low tone off. How loud is the tone itself?",
            ),
            Misconception(
                "the weighting was taken off once more",
                lambda given: given["reading"] + float(a_weighting(given["frequency"])) - given["wanted"],
                "The meter has taken it off already: put it back.",
            ),
        ),
        steps=STEPS_OF_TURNED_DOWN,
        tolerance=0.5,
    )


def _a_by_formula(frequency):
    """Weigh a tone by the formula that the lesson prints. [dB]"""
    f2 = frequency**2
    share = 12194**2 * f2**2 / ((f2 + 20.6**2) * (f2 + 12194**2) * np.sqrt((f2 + 107.7**2) * (f2 + 737.9**2)))
    return 20 * np.log10(share) + 2.0
