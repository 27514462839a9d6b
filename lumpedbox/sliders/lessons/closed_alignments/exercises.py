"""Exercises on the alignments of closed boxes, and on poles."""

from __future__ import annotations

import numpy as np

from ....design.alignments import closed_alignment
from ....response.poles import PolesAndZeros
from ...kit.drawn import Drawn
from ...kit.exercises import Exercise, Misconception, Sheet
from ...kit.systems import FREQUENCY, QUALITY


def closed_alignment_sheet():
    """Return the exercises of the lesson on the alignments of closed boxes."""
    return Sheet((q_of_a_pole(), f3_of_a_closed_butterworth()))


def f3_of_a_closed_butterworth():
    """Ask for f3 of a driver in the closed box that makes Butterworth of it."""
    return Exercise(
        question=(
            "A driver has fs = {fs} and Qts = {Qts}. Its closed box is made so small that Qtc = 0.707. What is f3?"
        ),
        numbers={"fs": Drawn(FREQUENCY, (25, 28, 32, 36)), "Qts": Drawn(QUALITY, (0.3, 0.35, 0.4, 0.45))},
        answer=lambda given: given["fs"] * _lift(given) * closed_alignment(2**-0.5).f3_over_fc,
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the resonance of the driver was given",
                lambda given: given["fs"],
                "The box lifts the resonance by as much as it lifts Q.",
            ),
            Misconception(
                "the ratio of the two Q was squared",
                lambda given: given["fs"] * _lift(given) ** 2,
                "Stiffness grows with the square; resonance and Q grow alike.",
            ),
        ),
    )


def _lift(given):
    return 2**-0.5 / given["Qts"]


def q_of_a_pole():
    """Ask for the Q of a pair of poles."""
    return Exercise(
        question=(
            "A pair of poles lies {left} to the left of the imaginary axis and {up} above and below the real one. "
            "What is its Q?"
        ),
        numbers={"left": Drawn(FREQUENCY, (8, 10, 12, 15)), "up": Drawn(FREQUENCY, (12, 16, 20, 24, 28, 32))},
        answer=lambda given: _pair(given).resonances[0][1],
        kind=QUALITY,
        misconceptions=(
            Misconception(
                "only the height was taken for its frequency",
                lambda given: given["up"] / (2 * given["left"]),
                "Its frequency is the distance from the origin.",
            ),
            Misconception(
                "the 2 was forgotten",
                lambda given: float(np.hypot(given["left"], given["up"]) / given["left"]),
                "On the real axis, where it no longer swings, Q is a half.",
            ),
        ),
    )


def _pair(given):
    upper = 2 * np.pi * (-given["left"] + 1j * given["up"])
    return PolesAndZeros(poles=np.array([upper.conjugate(), upper]), zeros=np.zeros(2, complex), gain=1.0)
