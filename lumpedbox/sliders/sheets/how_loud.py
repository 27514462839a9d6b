"""Exercises of the lesson on how loud a box plays."""

from __future__ import annotations

import numpy as np

from ...air import Air
from ...parts.amplifier import Amplifier
from ..drawn import Drawn
from ..exercises import Exercise, Misconception, Sheet
from ..systems import AIR_MOVED, FREQUENCY, LEVEL, RESISTANCE, VOLTAGE, same

POWER = same("W", decimals=1)


def how_loud_sheet():
    """Return the exercises of the lesson on how loud a box plays."""
    return Sheet((half_the_frequency(), volts_of_an_amplifier(), volume_for_a_level()))


def half_the_frequency():
    """Ask how loud a closed box may play at half the frequency within its travel."""
    return Exercise(
        question=(
            "Within its linear travel a driver in a tight closed box reaches {level} at 60 Hz. How much does it reach "
            "at 30 Hz?"
        ),
        numbers={"level": Drawn(LEVEL, tuple(range(94, 110)))},
        answer=lambda given: given["level"] - 20 * np.log10(4),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "half the frequency was taken for half the pressure",
                lambda given: given["level"] - 20 * np.log10(2),
                "Pressure follows the acceleration of the cone, and that goes with the square of the frequency.",
            ),
            Misconception(
                "the travel was taken to double",
                lambda given: given["level"] + 20 * np.log10(4),
                "The travel is used up already: what it makes at half the frequency is less.",
            ),
        ),
        tolerance=0.2,
    )


def volts_of_an_amplifier():
    """Ask for the highest voltage of an amplifier."""
    return Exercise(
        question="An amplifier gives {power} into {load}. How many volts r.m.s. is that at its output?",
        numbers={"power": Drawn(POWER, (25, 40, 50, 60, 75, 80, 100, 150)), "load": Drawn(RESISTANCE, (2, 4))},
        answer=lambda given: float(_amplifier(given).voltage),
        kind=VOLTAGE,
        misconceptions=(
            Misconception(
                "watts were divided by ohms",
                lambda given: np.sqrt(given["power"] / given["load"]),
                "That is the current. Power is voltage squared over resistance.",
            ),
            Misconception(
                "the peak of the tone was given",
                lambda given: float(_amplifier(given).voltage) * np.sqrt(2),
                "The peak is 1.41 times the r.m.s. value that was asked for.",
            ),
        ),
    )


def volume_for_a_level():
    """Ask for the volume of air that a level at some frequency takes."""
    return Exercise(
        question=(
            "{level} at {frequency}, at 1 m before a large wall: how much air must the cone move one way, at the peak "
            "(area times travel)?"
        ),
        numbers={
            "level": Drawn(LEVEL, (88, 90, 92, 95, 98, 100)),
            "frequency": Drawn(FREQUENCY, (30, 35, 40, 50)),
        },
        answer=lambda given: _moved(given, 1.0),
        kind=AIR_MOVED,
        misconceptions=(
            Misconception(
                "the level was taken for that of the peak",
                lambda given: _moved(given, 1 / np.sqrt(2)),
                "Levels are r.m.s.: the peak pressure is 1.41 times as much.",
            ),
            Misconception(
                "the frequency was not squared",
                lambda given: _moved(given, 1.0) * 2 * np.pi * given["frequency"],
                "Pressure follows the acceleration: (2 pi f) squared times the volume.",
            ),
        ),
        tolerance=0.03,
    )


def _amplifier(given):
    return Amplifier(power=given["power"], rated_impedance=given["load"], minimum_load=given["load"])


def _moved(given, factor):
    """Peak volume of air that makes a level at 1 m in half space. [m3]"""
    peak = factor * np.sqrt(2) * 20e-6 * 10 ** (given["level"] / 20)
    return float(2 * np.pi * peak / (Air().density * (2 * np.pi * given["frequency"]) ** 2))
