"""Powers, pressures and what a meter makes of a low tone."""

from __future__ import annotations

import numpy as np

from ...figures.stack import Panel
from ...response import frequencies
from ...response.hearing import a_weighting, c_weighting
from ...response.level import power_level
from ..exercises.decibels import sheet as decibel_sheet
from ..kit.controls import Slider
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import FREQUENCY, LEVEL, same

__all__ = ["QUESTION", "decibel_sheet", "decibels"]

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
            more = f"{power_level(times):.1f} dB more and {np.sqrt(times):.2f} times the pressure"
            yield f"{times:.0f} times the power is {more}: the tone now has {level:.1f} dB."
        else:
            yield f"The tone has {level:.1f} dB."
        yield (
            f"At {look:.0f} Hz a meter set to A reads {weighted:.1f} dB(A), {abs(level - weighted):.1f} dB "
            f"{'below' if weighted < level else 'above'} what really presses on the ear."
        )


def _raised(values):
    return values["level"] + float(power_level(values["times"]))


def decibels():
    """Return the page of sliders."""
    controls = [
        Slider("times", "Power, multiplied by", TIMES, 1.0, 100.0, 1.0, 1.0),
        Slider("look", "Frequency of the tone", FREQUENCY, 20.0, 2000.0, 40.0, 5.0),
        Slider("level", "Level before", LEVEL, 60.0, 100.0, 90.0, 1.0),
    ]
    return Page(controls, Meters(), first=2)
