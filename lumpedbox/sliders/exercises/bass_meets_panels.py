"""Exercises of the lesson on where a bass box meets the panels."""

from __future__ import annotations

import numpy as np

from ...design.meeting import transfer
from ...parts.filters import HighPass, LowPass
from ..kit.drawn import SPEED_OF_SOUND, Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import ANGLE, DELAY, FREQUENCY, LEVEL, WAY
from .kinds import METRE, NUMBER, SECOND, SPEED_AS_C, converted


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((later_by_its_way(), angle_of_a_delay(), two_out_of_step(), half_a_period()), "bass_meets_panels")


def later_by_its_way():
    """Ask how much later the sound of a box arrives that is further away."""
    return Exercise(
        question=(
            "The bass box is {far} from the ear, the panels are {near} from it. Sound travels at {speed} in air of "
            "20 °C. How much later does the bass box arrive?"
        ),
        numbers={
            "far": Drawn(WAY, (2.4, 2.7, 3.0, 3.3, 3.6)),
            "near": Drawn(WAY, (0.9, 1.1, 1.3)),
            "speed": SPEED_OF_SOUND,
        },
        answer=lambda given: _further(given) / given["speed"],
        kind=DELAY,
        misconceptions=(
            Misconception(
                "a millisecond was taken for every metre",
                lambda given: _further(given) * 1e-3,
                "In a millisecond sound gets only about a third of a metre far.",
            ),
            Misconception(
                "the way was halved",
                lambda given: _further(given) / 2 / given["speed"],
                "It is no echo: sound travels that way once.",
            ),
        ),
        steps=(
            converted("far", "r1", "The longer way in metres"),
            converted("near", "r2", "The shorter way in metres"),
            SPEED_AS_C,
            Step("further", METRE, lambda at: at["r1"] - at["r2"], "How much further? {r1} − {r2} = {further}."),
            Step(
                "later",
                DELAY,
                lambda at: at["further"] / at["c"],
                "τ = Δr / c = {further} / {c} = {later}.",
            ),
        ),
    )


def angle_of_a_delay():
    """Ask for the angle that a delay is at some frequency."""
    return Exercise(
        question="The bass box arrives {late} late. How many degrees is that at {frequency}?",
        numbers={"late": Drawn(DELAY, (1.5, 2, 2.5, 3, 4)), "frequency": Drawn(FREQUENCY, (50, 63, 70, 80, 100))},
        answer=lambda given: 360 * given["frequency"] * given["late"],
        kind=ANGLE,
        misconceptions=(
            Misconception(
                "the angle was taken in radians",
                lambda given: 2 * np.pi * given["frequency"] * given["late"],
                "A whole turn is 360 degrees, and 2 pi radians.",
            ),
            Misconception(
                "a whole period was taken for 180 degrees",
                lambda given: 180 * given["frequency"] * given["late"],
                "After a whole period the tone is where it was: a whole turn.",
            ),
        ),
        steps=(
            Step("period", DELAY, lambda at: 1 / at["frequency"], "A period at {frequency} lasts {period}."),
            Step(
                "share",
                NUMBER,
                lambda at: at["late"] / at["period"],
                "Of that it is {late} / {period} = {share}.",
            ),
            Step("angle", ANGLE, lambda at: 360 * at["share"], "A period is a whole turn: {share} · 360 = {angle}."),
        ),
    )


def two_out_of_step():
    """Ask for the level of two equal sources that are out of step."""
    return Exercise(
        question=(
            "Where they meet, the bass box and the panels play {level} each, {apart} apart. How loud are both together?"
        ),
        numbers={"level": Drawn(LEVEL, (78, 80, 82, 85, 88)), "apart": Drawn(ANGLE, (60, 120, 140, 150))},
        answer=lambda given: given["level"] + _sum(given["apart"]),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "they were taken to be in step",
                lambda given: given["level"] + _sum(0.0),
                "Draw two arrows of the same length, that many degrees apart, one at the end of the other.",
            ),
            Misconception(
                "their powers were added",
                lambda given: given["level"] + _sum(90.0),
                "Powers add up when two sounds have nothing to do with each other; these two are the same tone.",
            ),
        ),
        steps=(
            Step(
                "times",
                NUMBER,
                lambda at: abs(2 * np.cos(np.radians(at["apart"] / 2))),
                "Two equal tones make 2 · |cos({apart} / 2)| = {times} times the pressure of one.",
            ),
            Step(
                "both",
                LEVEL,
                lambda at: at["level"] + 20 * np.log10(at["times"]),
                "As a level: {level} + 20 · log({times}) = {both}.",
            ),
        ),
        tolerance=0.2,
    )


def half_a_period():
    """Ask for the delay that makes up for filters which leave both half a period apart."""
    return Exercise(
        question=(
            "Filters of 12 dB/octave leave the bass box and the panels half a period apart. You do not want to swap "
            "wires. Which delay of either one brings them into step again at the corner of {corner}?"
        ),
        numbers={"corner": Drawn(FREQUENCY, (45, 50, 56, 60, 63, 70, 75, 80, 90, 100, 110, 125, 140))},
        answer=_makes_up,
        kind=DELAY,
        misconceptions=(
            Misconception(
                "a whole period was taken",
                lambda given: 1 / given["corner"],
                "After a whole period they are as far apart as before.",
            ),
            Misconception(
                "the angular frequency was taken for the frequency",
                lambda given: 1 / (2 * 2 * np.pi * given["corner"]),
                "A period is one over the frequency in Hz.",
            ),
        ),
        steps=(
            Step("period", SECOND, lambda at: 1 / at["corner"], "A period: 1 / {corner} = {period}."),
            Step("half", DELAY, lambda at: at["period"] / 2, "Half of that: {period} / 2 = {half}."),
        ),
    )


def _further(given):
    return given["far"] - given["near"]


def _sum(apart):
    """How much louder two equal tones are than one. [dB]"""
    return 20 * np.log10(abs(1 + np.exp(1j * np.radians(apart))))


def _makes_up(given):
    """Turn the angle between low-pass and high-pass at their corner into time. [s]"""
    corner = np.array([given["corner"]])
    low, high = (transfer([kind(frequency=given["corner"], order=2)], corner)[0] for kind in (LowPass, HighPass))
    return float(abs(np.angle(high / low)) / (2 * np.pi * given["corner"]))
