"""Exercises of the lesson on which box to build."""

from __future__ import annotations

import numpy as np

from ...design.alignments import best_f3
from ...design.certainty import Doubt
from ...response.limits import CAUTION_SPEED
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import AREA, FREQUENCY, LEVEL, POWER, TRAVEL, VOLUME, same
from .kinds import NUMBER

SPEED = same("m/s", decimals=0)


def sheet():
    """Return the sheet of the lesson."""
    return Sheet(
        (power_for_a_travel(), area_of_a_port(), two_doubts(), f3_of_a_louder_driver(), litres_for_a_lower_f3()),
        "which_box",
    )


def litres_for_a_lower_f3():
    """Ask for the volume that a lower f3 takes at the same efficiency and shape."""
    return Exercise(
        question=(
            "A box of {volume} reaches down to {high}. You want {low}, with another driver that is as efficient, in a "
            "box of the same kind and shape of response. How large must it be?"
        ),
        numbers={
            "volume": Drawn(VOLUME, (10, 12, 15, 20)),
            "high": Drawn(FREQUENCY, (50, 55, 60)),
            "low": Drawn(FREQUENCY, (40, 42, 45)),
        },
        answer=lambda given: given["volume"] * (given["high"] / given["low"]) ** 3,
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the volume was taken to go with the frequency",
                lambda given: given["volume"] * given["high"] / given["low"],
                "It goes with the third power: half the frequency takes eight times the box.",
            ),
            Misconception(
                "the volume was taken to go with the square of the frequency",
                lambda given: given["volume"] * (given["high"] / given["low"]) ** 2,
                "Efficiency over f3 cubed times volume is what stays.",
            ),
        ),
        steps=(
            Step(
                "ratio",
                NUMBER,
                lambda at: at["high"] / at["low"],
                "How much lower must it reach? {high} / {low} = {ratio}.",
            ),
            Step(
                "larger",
                VOLUME,
                lambda at: at["volume"] * at["ratio"] ** 3,
                "At the same efficiency f3³ times the volume stays: {volume} · {ratio}³ = {larger}.",
            ),
        ),
    )


def f3_of_a_louder_driver():
    """Ask where a more efficient driver reaches in the same volume."""
    return Exercise(
        question=(
            "The best vented box of some volume reaches {f3} with a driver. Another driver is {more} more efficient. "
            "Where does its best vented box of the same volume reach?"
        ),
        numbers={"f3": Drawn(FREQUENCY, (36, 40, 45, 50)), "more": Drawn(LEVEL, (2, 3, 4, 5))},
        answer=lambda given: given["f3"] * float(_reach(given) / best_f3("vented", 0.005, 0.03)),
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the decibels were taken for a ratio of frequencies",
                lambda given: given["f3"] * 10 ** (given["more"] / 20),
                "3 dB are twice the efficiency, and of that the cube root counts.",
            ),
            Misconception(
                "more efficiency was taken to reach lower",
                lambda given: given["f3"] * 10 ** (-given["more"] / 30),
                "What is gained in efficiency is lost in bass, if the box stays.",
            ),
        ),
        steps=(
            Step(
                "times",
                NUMBER,
                lambda at: 10 ** (at["more"] / 10),
                "How many times as efficient? 10 to the power {more} / 10 is {times}.",
            ),
            Step(
                "root",
                NUMBER,
                lambda at: at["times"] ** (1 / 3),
                "In the same volume f3 goes with the cube root of that: {root}.",
            ),
            Step("reach", FREQUENCY, lambda at: at["f3"] * at["root"], "{f3} · {root} = {reach}."),
        ),
    )


def _reach(given):
    return best_f3("vented", 0.005 * 10 ** (given["more"] / 10), 0.03)


def area_of_a_port():
    """Ask how large a port must be for the air in it to be slower."""
    return Exercise(
        question=(
            "In a port of {area} the air reaches {speed}. Tuning and volts stay. How large must the port be for "
            f"{CAUTION_SPEED:.0f} m/s?"
        ),
        numbers={
            "area": Drawn(AREA, (30, 35, 40, 45, 50)),
            "speed": Drawn(SPEED, (22, 25, 28)),
        },
        answer=lambda given: given["area"] * given["speed"] / CAUTION_SPEED,
        kind=AREA,
        misconceptions=(
            Misconception(
                "the ratio was squared",
                lambda given: given["area"] * (given["speed"] / CAUTION_SPEED) ** 2,
                "The same air passes each second: area times speed stays. (The port must grow in length, too.)",
            ),
            Misconception(
                "the ratio was turned round",
                lambda given: given["area"] * CAUTION_SPEED / given["speed"],
                "A smaller port makes the air faster.",
            ),
        ),
        steps=(
            Step(
                "ratio",
                NUMBER,
                lambda at: at["speed"] / CAUTION_SPEED,
                f"How many times too fast is it? {{speed}} / {CAUTION_SPEED:.0f} m/s = {{ratio}}.",
            ),
            Step(
                "larger",
                AREA,
                lambda at: at["area"] * at["ratio"],
                "The same air passes, so area times speed stays: {area} · {ratio} = {larger}.",
            ),
        ),
    )


def power_for_a_travel():
    """Ask for the power at which the cone stays within its travel."""
    return Exercise(
        question="With {power} the cone moves {moved}, and {xmax} is its linear travel. How many watts may it get?",
        numbers={
            "power": Drawn(POWER, (60, 80, 100)),
            "moved": Drawn(TRAVEL, (10, 12, 14)),
            "xmax": Drawn(TRAVEL, (6, 7, 8)),
        },
        answer=lambda given: given["power"] * (given["xmax"] / given["moved"]) ** 2,
        kind=POWER,
        misconceptions=(
            Misconception(
                "power was taken to go with the travel",
                lambda given: given["power"] * given["xmax"] / given["moved"],
                "Travel goes with the volts, and power with their square.",
            ),
            Misconception(
                "travel was taken to go with the square of the power",
                lambda given: given["power"] * (given["xmax"] / given["moved"]) ** 0.5,
                "It is the other way round: half the travel is a quarter of the power.",
            ),
        ),
        steps=(
            Step(
                "ratio",
                NUMBER,
                lambda at: at["xmax"] / at["moved"],
                "Travel goes with the volts. Which share of them may it get? {xmax} / {moved} = {ratio}.",
            ),
            Step(
                "watts",
                POWER,
                lambda at: at["power"] * at["ratio"] ** 2,
                "Power goes with the square of the volts: {power} · {ratio}² = {watts}.",
            ),
        ),
    )


def two_doubts():
    """Ask for the spread that two causes make together."""
    return Exercise(
        question=(
            "The compliance alone leaves the level open by a standard deviation of {suspension}, the force factor "
            "alone by {motor}. By how much do both together, if they have nothing to do with each other?"
        ),
        numbers={
            "suspension": Drawn(LEVEL, (0.6, 0.8, 1.0, 1.2)),
            "motor": Drawn(LEVEL, (0.5, 0.7, 0.9, 1.4, 1.6)),
        },
        answer=lambda given: float(Doubt(dict(given)).deviation),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the two were added",
                lambda given: given["suspension"] + given["motor"],
                "They would have to be high together every time: squares add up.",
            ),
            Misconception(
                "the larger one was taken for the whole",
                lambda given: max(given.values()),
                "The smaller one still adds its square.",
            ),
        ),
        steps=(
            Step(
                "squares",
                NUMBER,
                lambda at: at["suspension"] ** 2 + at["motor"] ** 2,
                "Causes apart from each other add up as squares: ({suspension})² + ({motor})² = {squares} dB².",
            ),
            Step("both", LEVEL, lambda at: np.sqrt(at["squares"]), "The root of that: √{squares} = {both}."),
        ),
        tolerance=0.05,
    )
