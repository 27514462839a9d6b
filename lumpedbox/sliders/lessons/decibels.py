"""Powers, pressures and what a meter makes of a low tone."""

from __future__ import annotations

import numpy as np

from ...figures.stack import Panel
from ...response import frequencies
from ...response.hearing import a_weighting, c_weighting
from ...response.level import power_level
from ..exercises.decibels import sheet as decibel_sheet
from ..kit import facts
from ..kit.answer import Answer, fact, say
from ..kit.controls import Slider
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import FACTOR, FREQUENCY, LEVEL, same

__all__ = ["QUESTION", "decibel_sheet", "decibels"]

GRID = frequencies(20, 2000, per_octave=24)
TITLE = "What is a decibel?"
ITSELF, C, A, ADDED = "the pressure itself", "meter set to C", "meter set to A", "more power adds"
TIMES = same("times", decimals=0)
WEIGHTINGS = {"unweighted": lambda frequency: np.zeros_like(frequency), "C": c_weighting, "A": a_weighting}
PENS = {"unweighted": ("first", "the pressure itself, dB"), "C": ("third", "dB(C)"), "A": ("second", "dB(A)")}

QUESTION = Question(
    words="A 40 Hz tone of 90 dB is played to a sound level meter that is set to A, as most are. What does it show?",
    options=("90 dB(A)", "about 80 dB(A)", "about 55 dB(A)"),
    right="about 55 dB(A)",
    why="At 40 Hz the A weighting takes off about 35 dB.",
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

    def answer(self, values):
        """Say what a meter set to A reads of the tone, against its pressure."""
        level, look, times = _raised(values), values["look"], values["times"]
        reads = {name: level + float(weighting(look)) for name, weighting in WEIGHTINGS.items()}
        return Answer(
            headline=headline(reads["A"], level),
            facts=(
                fact(ITSELF, "{level}", level=LEVEL(reads["unweighted"])),
                fact(C, "{level}", level=LEVEL(reads["C"])),
                fact(A, "{level}", level=LEVEL(reads["A"])),
                added(times),
            ),
            details=(
                say("The setting A was made for soft sounds: it takes away most of a low tone, however loud it is."),
                say("Power goes with the square of the pressure: four times the power is twice the pressure."),
                say("A and C follow the formulas of IEC 61672-1 (from memory)."),
            ),
            conditions=say("A steady tone of {look}, {level}.", look=FREQUENCY(look), level=LEVEL(level)),
            cautions=tuple(facts.protect_ears([look], [[level]])),
        )


def headline(weighted, level):
    """Say what a meter set to A reads, and by how much less or more that is than the level of the pressure. [dB]"""
    less = level - weighted
    if abs(less) < 0.05:
        return say("A meter set to A reads {reads}: just what presses on the ear.", reads=LEVEL(weighted))
    words = f"A meter set to A reads {{reads}}: {{gap}} {'less' if less > 0 else 'more'} than what presses on the ear."
    return say(words, reads=LEVEL(weighted), gap=LEVEL(abs(less)))


def added(times):
    """Say what a multiple of the power adds."""
    if times == 1:
        return fact(ADDED, "nothing yet")
    more = {"more": LEVEL(power_level(times)), "pressure": FACTOR(np.sqrt(times))}
    return fact(ADDED, "{more}, {pressure} the pressure", **more)


def _raised(values):
    return values["level"] + float(power_level(values["times"]))


def decibels():
    """Return the page of sliders."""
    controls = [
        Slider("look", "Frequency of the tone", FREQUENCY, 20.0, 2000.0, 40.0, 5.0, "tone"),
        Slider("level", "Level before", LEVEL, 60.0, 100.0, 90.0, 1.0, "tone"),
        Slider("times", "Power, multiplied by", TIMES, 1.0, 100.0, 1.0, 1.0, "power"),
    ]
    return Page(controls, Meters(), TITLE)
