"""Powers, pressures and what a meter makes of a low tone."""

from __future__ import annotations

import numpy as np

from ..figures.stack import Panel, stack
from ..hearing import a_weighting, c_weighting
from ..response import frequencies
from .controls import Slider
from .page import Page
from .systems import FREQUENCY, LEVEL, same

GRID = frequencies(20, 2000, per_octave=24)
TIMES = same("times", decimals=0)
WEIGHTINGS = {"unweighted": lambda frequency: np.zeros_like(frequency), "C": c_weighting, "A": a_weighting}
PENS = {"unweighted": ("first", "the pressure itself, dB"), "C": ("third", "dB(C)"), "A": ("second", "dB(A)")}


class Scene:
    """What three meters read of one tone, over its frequency."""

    alternative_text = "What a meter reads of a tone against the tone's frequency: unweighted, C and A"

    def __init__(self):
        curves = {f"{name} at the start": ("start", "where you started" if name == "A" else "") for name in WEIGHTINGS}
        curves |= PENS
        curves["look"] = ("look", "the tone")
        panel = Panel("reading", "reading of the meter [dB]", 20.0, 130.0)
        self.stack = stack([panel], curves, GRID[0], GRID[-1])
        self.figure = self.stack.figure
        self.moving = [line for (name, _), line in self.stack.lines.items() if "start" not in name]
        self._started = False

    def use(self, system):
        """Nothing here has other units in the US."""

    def update(self, values, system):
        """Move the curves; return the conditions and what they amount to."""
        level = values["level"] + 10 * np.log10(values["times"])
        if not self._started:
            self._show(level, " at the start")
            self._started = True
        self._show(level)
        self.stack.upright("look", values["look"])
        return f"A tone of {values['level']:.0f} dB, given {values['times']:.0f} times the power", _sentence(
            values, level
        )

    def _show(self, level, suffix=""):
        for name, weighting in WEIGHTINGS.items():
            self.stack.show(name + suffix, GRID, {"reading": level + weighting(GRID)})


def _sentence(values, level):
    times, look = values["times"], values["look"]
    weighted = level + float(a_weighting(look))
    return (
        f"{times:.0f} times the power is {10 * np.log10(times):.1f} dB more and {np.sqrt(times):.2f} times the "
        f"pressure: the tone now has {level:.1f} dB. At {look:.0f} Hz a meter set to A reads {weighted:.1f} dB(A), "
        f"{abs(level - weighted):.1f} dB {'below' if weighted < level else 'above'} what really presses on the ear."
    )


def decibels():
    """Return the page of sliders."""
    controls = [
        Slider("times", "Power, multiplied by", TIMES, 1.0, 100.0, 1.0, 1.0),
        Slider("look", "Frequency of the tone", FREQUENCY, 20.0, 2000.0, 40.0, 5.0),
        Slider("level", "Level before", LEVEL, 60.0, 100.0, 90.0, 1.0),
    ]
    return Page(controls, Scene(), first=2)
