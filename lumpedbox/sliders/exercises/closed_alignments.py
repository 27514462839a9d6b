"""Exercises on the alignments of closed boxes, and on poles."""

from __future__ import annotations

import numpy as np

from ...design.alignments import closed_alignment
from ...response.poles import PolesAndZeros
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import FREQUENCY, LEVEL, QUALITY
from .kinds import NUMBER


def exercises():
    """Return the exercises, from reading a pole to the box that makes Butterworth."""
    return q_of_a_pole(), peak_of_a_closed_box(), f3_of_a_closed_box(), f3_of_a_closed_butterworth()


def sheet():
    """Return the sheet of a lesson on them."""
    return Sheet(exercises(), "closed_alignments")


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
        steps=(
            Step(
                "f",
                FREQUENCY,
                lambda at: np.sqrt(at["left"] ** 2 + at["up"] ** 2),
                "Its distance from the origin: √(({left})² + ({up})²) = {f}.",
            ),
            Step(
                "Q",
                QUALITY,
                lambda at: at["f"] / (2 * at["left"]),
                "Q is that over twice the distance from the axis: {f} / (2 · {left}) = {Q}.",
            ),
        ),
    )


def _pair(given):
    upper = 2 * np.pi * (-given["left"] + 1j * given["up"])
    return PolesAndZeros(poles=np.array([upper.conjugate(), upper]), zeros=np.zeros(2, complex), gain=1.0)


def peak_of_a_closed_box():
    """Ask for the peak of a closed box of a high Qtc."""
    return Exercise(
        question=(
            "A closed box has Qtc = {Qtc}. How many dB high is the peak of its level? (Against far above, the "
            "pressure there is Qtc² / √(Qtc² − 1/4).)"
        ),
        numbers={"Qtc": Drawn(QUALITY, tuple(np.arange(1.0, 1.38, 0.02).round(2)))},
        answer=lambda given: closed_alignment(given["Qtc"]).peak_db,
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "pressure was taken for power",
                lambda given: closed_alignment(given["Qtc"]).peak_db / 2,
                "Ten times the pressure is twenty decibels.",
            ),
            Misconception(
                "the level at the resonance was given",
                lambda given: 20 * np.log10(given["Qtc"]),
                "The peak lies above the resonance.",
            ),
        ),
        steps=(
            Step(
                "times",
                NUMBER,
                lambda at: at["Qtc"] ** 2 / np.sqrt(at["Qtc"] ** 2 - 0.25),
                "The pressure at the peak: {Qtc}² / √({Qtc}² − 1/4) = {times} times that far above.",
            ),
            Step("peak", LEVEL, lambda at: 20 * np.log10(at["times"]), "As a level: 20 · log({times}) = {peak}."),
        ),
        tolerance=0.1,
    )


def f3_of_a_closed_box():
    """Ask for f3 of a closed box of any Qtc."""
    return Exercise(
        question="A closed box has fc = {fc} and Qtc = {Qtc}. What is f3? (Set |G|² = 1/2 in its equation.)",
        numbers={
            "fc": Drawn(FREQUENCY, (40, 45, 50, 55, 60)),
            "Qtc": Drawn(QUALITY, (0.5, 0.55, 0.9, 1.0, 1.1, 1.2)),
        },
        answer=lambda given: given["fc"] * closed_alignment(given["Qtc"]).f3_over_fc,
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "f3 was taken for the resonance",
                lambda given: given["fc"],
                "At the resonance the pressure is Qtc of that far above. For which Qtc is that 3 dB down?",
            ),
            Misconception(
                "f3 was taken to go with one over Qtc",
                lambda given: given["fc"] / (given["Qtc"] * np.sqrt(2)),
                "Solve the equation: it is quadratic in x².",
            ),
        ),
        steps=(
            Step(
                "b",
                NUMBER,
                lambda at: 1 / at["Qtc"] ** 2 - 2,
                "|G|² = 1/2 means x⁴ − b x² − 1 = 0 with b = 1 / Qtc² − 2 = 1 / {Qtc}² − 2 = {b}.",
            ),
            Step(
                "x2",
                NUMBER,
                lambda at: (at["b"] + np.sqrt(at["b"] ** 2 + 4)) / 2,
                "Its positive root: x² = (({b}) + √(({b})² + 4)) / 2 = {x2}.",
            ),
            Step("f3", FREQUENCY, lambda at: at["fc"] * np.sqrt(at["x2"]), "f3 = fc · x = {fc} · √{x2} = {f3}."),
        ),
        tolerance=0.02,
    )


def f3_of_a_closed_butterworth():
    """Ask for f3 of a driver in the closed box that makes Butterworth of it."""
    return Exercise(
        question=(
            "A driver has fs = {fs} and Qts = {Qts}. You make its closed box so small that Qtc = 0.707, which is "
            "Butterworth. What is f3?"
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
        steps=(
            Step(
                "lift",
                NUMBER,
                lambda at: 0.7071 / at["Qts"],
                "The box lifts Q and the resonance alike, by Qtc / Qts = 0.707 / {Qts} = {lift}.",
            ),
            Step("fc", FREQUENCY, lambda at: at["fs"] * at["lift"], "fc = {fs} · {lift} = {fc}."),
            Step("f3", FREQUENCY, lambda at: at["fc"], "At that Qtc the level at fc is 3 dB down: f3 = {f3}."),
        ),
    )


def _lift(given):
    return 2**-0.5 / given["Qts"]
