"""Powers, pressures and what a meter makes of a low tone."""

from __future__ import annotations

import numpy as np

from ...figures.stack import Panel
from ...response import frequencies
from ...response.hearing import a_weighting, c_weighting
from ..kit.controls import Slider
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Sheet
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import FACTOR, FREQUENCY, LEVEL, same

GRID = frequencies(20, 2000, per_octave=24)
TIMES = same("times", decimals=0)
WEIGHTINGS = {"unweighted": lambda frequency: np.zeros_like(frequency), "C": c_weighting, "A": a_weighting}
PENS = {"unweighted": ("first", "the pressure itself, dB"), "C": ("third", "dB(C)"), "A": ("second", "dB(A)")}

QUESTION = Question(
    words="A 40 Hz tone of 90 dB is played to a sound level meter that is set to A, as most are. What does it show?",
    options=("90 dB(A)", "about 80 dB(A)", "about 55 dB(A)"),
    right="about 55 dB(A)",
    why="At 40 Hz the A weighting takes some 35 dB off.",
    look="Look where the curve of dB(A) meets the tone.",
)


class Meters(Scene):
    """What three meters read of one tone, over its frequency."""

    alternative_text = "What a meter reads of a tone against the tone's frequency: unweighted, C and A"
    grid = GRID

    def __init__(self):
        super().__init__(PENS | {"look": ("look", "the tone")}, kept=tuple(PENS))

    def panels(self, system):
        """Return the one panel, which has no other units in the US."""
        return (Panel("reading", "reading of the meter [dB]", 20.0, 130.0),)

    def curves(self, values):
        """Weight the tone's level."""
        level = _raised(values)
        readings = {name: {"reading": level + weighting(GRID)} for name, weighting in WEIGHTINGS.items()}
        return readings | {"look": values["look"]}

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        given = f", given {values['times']:.0f} times the power" if values["times"] > 1 else ""
        return f"A tone of {values['level']:.0f} dB{given}"

    def sentences(self, values, system):
        """Say what the curves amount to."""
        times, look, level = values["times"], values["look"], _raised(values)
        weighted = level + float(a_weighting(look))
        if times > 1:
            more = f"{10 * np.log10(times):.1f} dB more and {np.sqrt(times):.2f} times the pressure"
            yield f"{times:.0f} times the power is {more}: the tone now has {level:.1f} dB."
        else:
            yield f"The tone has {level:.1f} dB."
        yield (
            f"At {look:.0f} Hz a meter set to A reads {weighted:.1f} dB(A), {abs(level - weighted):.1f} dB "
            f"{'below' if weighted < level else 'above'} what really presses on the ear."
        )


def _raised(values):
    return values["level"] + 10 * np.log10(values["times"])


def decibels():
    """Return the page of sliders."""
    controls = [
        Slider("times", "Power, multiplied by", TIMES, 1.0, 100.0, 1.0, 1.0),
        Slider("look", "Frequency of the tone", FREQUENCY, 20.0, 2000.0, 40.0, 5.0),
        Slider("level", "Level before", LEVEL, 60.0, 100.0, 90.0, 1.0),
    ]
    return Page(controls, Meters(), first=2)


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
            "above, or use the formula for A.)"
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
