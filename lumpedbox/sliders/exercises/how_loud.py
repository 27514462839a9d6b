"""Exercises of the lesson on how loud a box plays."""

from __future__ import annotations

import numpy as np

from ...air import Air
from ...design.air_moved import air_moved
from ...parts.amplifier import Amplifier
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import AIR_MOVED, FREQUENCY, LEVEL, POWER, RESISTANCE, TRAVEL, VOLTAGE
from .kinds import NUMBER, PASCAL

DENSITY = round(float(Air().density), 2)  # kg/m3, as the lesson prints it


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((volts_of_an_amplifier(), half_the_frequency(), volume_for_a_level(), watts_to_buy()), "how_loud")


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
        steps=(
            Step(
                "volts",
                VOLTAGE,
                lambda at: np.sqrt(at["power"] * at["load"]),
                "P = V² / R, so V = √(P · R) = √({power} · {load}) = {volts}.",
            ),
        ),
    )


def half_the_frequency():
    """Ask how loud a closed box may play at half the frequency within its travel."""
    return Exercise(
        question=(
            "Within its linear travel a driver in a tight closed box reaches {level} at 60 Hz. How loud is it at 30 Hz?"
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
        steps=(
            Step(
                "share",
                NUMBER,
                lambda at: (30 / 60) ** 2,
                "At the same travel p falls to (30 / 60)² = {share}.",
            ),
            Step("lost", LEVEL, lambda at: 20 * np.log10(at["share"]), "As a level: 20 · log({share}) = {lost}."),
            Step("left", LEVEL, lambda at: at["level"] + at["lost"], "{level} + ({lost}) = {left}."),
        ),
        tolerance=0.2,
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
        steps=(
            Step(
                "p",
                PASCAL,
                lambda at: 20e-6 * 10 ** (at["level"] / 20),
                "The pressure: 20 µPa times 10 to the power {level} / 20 is {p}.",
            ),
            Step(
                "Vd",
                AIR_MOVED,
                lambda at: np.sqrt(2) * 2 * np.pi * at["p"] / (1.20 * (2 * np.pi * at["frequency"]) ** 2),
                "Solve the equation for the volume: √2 · 2π · 1 m · {p} / (1.20 kg/m³ · (2π · {frequency})²) = {Vd}.",
            ),
        ),
    )


def watts_to_buy():
    """Ask for the amplifier that uses up the travel, and no more."""
    return Exercise(
        question=(
            "At {volts} r.m.s. a cone moves {moved}; {xmax} is its linear travel. How many watts into {load} use all "
            "of that travel, and no more?"
        ),
        numbers={
            "volts": Drawn(VOLTAGE, (5, 6, 8, 10)),
            "moved": Drawn(TRAVEL, (2, 3, 4)),
            "xmax": Drawn(TRAVEL, (5, 6, 8)),
            "load": Drawn(RESISTANCE, (2, 4)),
        },
        answer=lambda given: (given["volts"] * given["xmax"] / given["moved"]) ** 2 / given["load"],
        kind=POWER,
        misconceptions=(
            Misconception(
                "power was taken to go with the travel",
                lambda given: given["volts"] ** 2 / given["load"] * given["xmax"] / given["moved"],
                "Travel goes with the volts, and power with their square.",
            ),
            Misconception(
                "volts were divided by ohms",
                lambda given: given["volts"] * given["xmax"] / given["moved"] / given["load"],
                "That is the current. Power is voltage squared over resistance.",
            ),
        ),
        steps=(
            Step(
                "most",
                VOLTAGE,
                lambda at: at["volts"] * at["xmax"] / at["moved"],
                "Travel goes with the volts, so it is used up at {volts} · {xmax} / {moved} = {most}.",
            ),
            Step(
                "watts",
                POWER,
                lambda at: at["most"] ** 2 / at["load"],
                "P = V² / R = ({most})² / {load} = {watts}.",
            ),
        ),
    )


def _amplifier(given):
    return Amplifier(power=given["power"], rated_impedance=given["load"], minimum_load=given["load"])


def _moved(given, factor):
    """Volume of air for a level whose pressure is multiplied by a factor, with the density as printed. [m3]"""
    return factor * float(air_moved(given["level"], given["frequency"]) * Air().density) / DENSITY
