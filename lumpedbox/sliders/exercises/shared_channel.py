"""Exercises of the lesson on two speakers that share a channel."""

from __future__ import annotations

import numpy as np

from ...design.capacitor import corner_of, textbook_loss
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import CAPACITANCE, FREQUENCY, LEVEL, POWER, RESISTANCE, VOLTAGE
from .kinds import NUMBER

BESIDE = 4.0  # ohm, of the woofer in the exercises
PLENTY = tuple(round(ohm, 1) for ohm in np.arange(2.8, 7.2, 0.2))  # ohm, of coils


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((in_parallel(), volts_in_series(), behind_a_capacitor(), watts_of_a_resistor()), "shared_channel")


def in_parallel():
    """Ask what an ohmmeter reads of two coils in parallel."""
    return Exercise(
        question="Two woofers with coils of {one} and {other} share a channel in parallel. What does the meter read?",
        numbers={"one": Drawn(RESISTANCE, PLENTY), "other": Drawn(RESISTANCE, PLENTY)},
        answer=lambda given: 1 / (1 / given["one"] + 1 / given["other"]),
        kind=RESISTANCE,
        misconceptions=(
            Misconception(
                "they were added, as in series",
                lambda given: given["one"] + given["other"],
                "In parallel each opens a way of its own: the current has more ways, so the ohms fall.",
            ),
            Misconception(
                "their mean was taken",
                lambda given: (given["one"] + given["other"]) / 2,
                "Two ways carry more current than one: the result is below the smaller coil.",
            ),
        ),
        steps=(
            Step(
                "product",
                NUMBER,
                lambda at: at["one"] * at["other"],
                "1/R = 1/R1 + 1/R2, so R = R1 · R2 / (R1 + R2). The product: {one} · {other} = {product}.",
            ),
            Step("total", RESISTANCE, lambda at: at["one"] + at["other"], "The sum: {one} + {other} = {total}."),
            Step("R", RESISTANCE, lambda at: at["product"] / at["total"], "R = {product} / {total} = {R}."),
        ),
    )


def volts_in_series():
    """Ask for the volts that one of two in series gets."""
    return Exercise(
        question=(
            "A woofer of {woofer} and one of {other} are in series on a channel of {volts}. Take them as resistances: "
            "how many volts does the first one get?"
        ),
        numbers={
            "woofer": Drawn(RESISTANCE, PLENTY),
            "other": Drawn(RESISTANCE, PLENTY),
            "volts": Drawn(VOLTAGE, (8, 9, 10, 12, 14)),
        },
        answer=lambda given: given["volts"] * given["woofer"] / (given["woofer"] + given["other"]),
        kind=VOLTAGE,
        misconceptions=(
            Misconception(
                "the share of the other one was taken",
                lambda given: given["volts"] * given["other"] / (given["woofer"] + given["other"]),
                "The same current flows through both: the larger resistance has the more volts.",
            ),
            Misconception(
                "both were given all the volts",
                lambda given: given["volts"],
                "That is in parallel. In series the volts of both add up to those of the channel.",
            ),
        ),
        steps=(
            Step(
                "total",
                RESISTANCE,
                lambda at: at["woofer"] + at["other"],
                "Both together: {woofer} + {other} = {total}.",
            ),
            Step(
                "share",
                VOLTAGE,
                lambda at: at["volts"] * at["woofer"] / at["total"],
                "Its share of the volts is {woofer} / {total}: {volts} · {woofer} / {total} = {share}.",
            ),
        ),
    )


def behind_a_capacitor():
    """Ask what a capacitor in line takes of a woofer's bass."""
    return Exercise(
        question=(
            "A tweeter's capacitor of {C} is in series with a woofer. Take the woofer as 4 ohm, the tweeter as "
            "nothing. How many decibels does the woofer lose at {f}?"
        ),
        numbers={"C": Drawn(CAPACITANCE, (4.7, 6.8, 10, 15)), "f": Drawn(FREQUENCY, (40, 50, 63, 80))},
        answer=lambda given: float(textbook_loss(corner_of(BESIDE, given["C"]), given["f"])),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "it was counted as power",
                lambda given: float(textbook_loss(corner_of(BESIDE, given["C"]), given["f"])) / 2,
                "Levels go with 20 times the logarithm of a ratio of volts.",
            ),
            Misconception(
                "2 pi was forgotten",
                lambda given: float(textbook_loss(2 * np.pi * corner_of(BESIDE, given["C"]), given["f"])),
                "A capacitor has 1 / (2π f C) ohm.",
            ),
        ),
        steps=(
            Step(
                "X",
                RESISTANCE,
                lambda at: 1 / (2 * np.pi * at["f"] * at["C"]),
                "The capacitor's ohms: 1 / (2π f C) = 1 / (2π · {f} · {C}) = {X}.",
            ),
            Step(
                "times",
                NUMBER,
                lambda at: np.sqrt(1 + (at["X"] / BESIDE) ** 2),
                "Against 4 ohm, a quarter turn apart: √(1 + ({X} / 4 ohm)²) = {times} times fewer volts.",
            ),
            Step("lost", LEVEL, lambda at: 20 * np.log10(at["times"]), "20 · log({times}) = {lost}."),
        ),
        tolerance=0.3,
    )


def watts_of_a_resistor():
    """Ask for the watts of a resistor across a tweeter that is in series with the woofer."""
    return Exercise(
        question=(
            "A woofer whose coil has {coil} is in series with a resistor of {R} across the tweeter. The channel gives "
            "{power} into 4 ohm. How many watts does the resistor take of its full sine in the bass?"
        ),
        numbers={
            "coil": Drawn(RESISTANCE, (3.2, 3.4, 3.6, 6.2, 6.6)),
            "R": Drawn(RESISTANCE, (3.3, 4.7, 6.8, 8.2, 10)),
            "power": Drawn(POWER, (20, 40, 50, 75, 100)),
        },
        answer=lambda given: 4 * given["power"] * given["R"] / (given["coil"] + given["R"]) ** 2,
        kind=POWER,
        misconceptions=(
            Misconception(
                "the resistor was given all the volts",
                lambda given: 4 * given["power"] / given["R"],
                "The woofer's coil is in series with it, and takes its share of the volts.",
            ),
            Misconception(
                "the watts into 4 ohm were shared out by ohms",
                lambda given: given["power"] * given["R"] / (given["coil"] + given["R"]),
                "The watts are for 4 ohm. Here the load is another: go by the volts.",
            ),
        ),
        steps=(
            Step("volts", VOLTAGE, lambda at: np.sqrt(at["power"] * 4), "The full sine: √({power} · 4 ohm) = {volts}."),
            Step("total", RESISTANCE, lambda at: at["coil"] + at["R"], "Both in series: {coil} + {R} = {total}."),
            Step(
                "watts",
                POWER,
                lambda at: (at["volts"] / at["total"]) ** 2 * at["R"],
                "P = I² R = ({volts} / {total})² · {R} = {watts}. Buy the next size that is sold.",
            ),
        ),
    )
