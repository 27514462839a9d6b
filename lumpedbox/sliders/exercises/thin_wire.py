"""Exercises of the lesson on thin wire."""

from __future__ import annotations

import numpy as np

from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import LEVEL, POWER, VOLTAGE
from .kinds import AMPERE, METRE, MILLIOHM, NUMBER, OHM_PER_KILOMETRE, PERCENT


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((draws(), loses(), costs(), back(), carries()), "thin_wire")


def draws():
    """Ask what an amplifier draws from the battery."""
    return Exercise(
        question=(
            "An amplifier gives {power} of sine. Its efficiency there is {efficiency}, and the battery has {volts}. "
            "What does it draw?"
        ),
        numbers={
            "power": Drawn(POWER, (250, 300, 400, 550)),
            "efficiency": Drawn(PERCENT, (55, 65, 75)),
            "volts": Drawn(VOLTAGE, (12.6, 13.8, 14.4)),
        },
        answer=lambda given: given["power"] / given["efficiency"] / given["volts"],
        kind=AMPERE,
        misconceptions=(
            Misconception(
                "the efficiency was left out",
                lambda given: given["power"] / given["volts"],
                "The rest becomes heat, and the battery gives that too.",
            ),
            Misconception(
                "it was multiplied by the efficiency",
                lambda given: given["power"] * given["efficiency"] / given["volts"],
                "More goes in than comes out.",
            ),
        ),
        steps=(
            Step(
                "input", POWER, lambda at: at["power"] / at["efficiency"], "Goes in: {power} / {efficiency} = {input}."
            ),
            Step("current", AMPERE, lambda at: at["input"] / at["volts"], "{input} / {volts} = {current}."),
        ),
    )


def loses():
    """Ask how many volts a wire loses on the way there."""
    return Exercise(
        question=("A wire of {each} is {length} long, one way. It carries {current}. How many volts does it lose?"),
        numbers={
            "each": Drawn(OHM_PER_KILOMETRE, (0.78, 1.21, 1.91, 3.3)),
            "length": Drawn(METRE, (4, 5, 6, 7)),
            "current": Drawn(AMPERE, (20, 35, 50, 60)),
        },
        answer=lambda given: given["each"] * given["length"] * given["current"],
        kind=VOLTAGE,
        misconceptions=(
            Misconception(
                "the way back was counted as the same wire",
                lambda given: 2 * given["each"] * given["length"] * given["current"],
                "Only the way there was asked for; the body takes the current back.",
            ),
            Misconception(
                "the current was squared",
                lambda given: given["each"] * given["length"] * given["current"] ** 2,
                "That is the power that heats the wire, in watts.",
            ),
        ),
        steps=(
            Step("wire", MILLIOHM, lambda at: at["each"] * at["length"], "{each} · {length} = {wire}."),
            Step("lost", VOLTAGE, lambda at: at["wire"] * at["current"], "{wire} · {current} = {lost}."),
        ),
    )


def costs():
    """Ask what lost volts cost of the loudest tone."""
    return Exercise(
        question=(
            "The battery has {volts}, and {lost} are lost there and back. The amplifier's supply is not regulated. How "
            "many decibels softer is its loudest tone?"
        ),
        numbers={"volts": Drawn(VOLTAGE, (12.6, 13.8, 14.4)), "lost": Drawn(VOLTAGE, (1.2, 1.8, 2.4, 3.0))},
        answer=lambda given: _db(given["volts"] / (given["volts"] - given["lost"])),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "10 · log was taken of volts",
                lambda given: _db(given["volts"] / (given["volts"] - given["lost"])) / 2,
                "10 · log belongs to watts, and watts go with the square of the volts.",
            ),
            Misconception(
                "the lost volts were compared with all",
                lambda given: _db(given["volts"] / given["lost"]),
                "Compare what is left with all of them.",
            ),
        ),
        steps=(
            Step("left", VOLTAGE, lambda at: at["volts"] - at["lost"], "{volts} − {lost} = {left} are left."),
            Step("cost", LEVEL, lambda at: _db(at["volts"] / at["left"]), "20 · log({volts} / {left}) = {cost}."),
        ),
        tolerance=0.1,
    )


def back():
    """Ask for the resistance of the way back from a measurement."""
    return Exercise(
        question=(
            "A tone draws {current}. A meter reads {volts} from the battery's − to the amplifier's −. What is the "
            "resistance of the way back?"
        ),
        numbers={"current": Drawn(AMPERE, (12, 20, 25, 40)), "volts": Drawn(VOLTAGE, (0.08, 0.12, 0.2, 0.3))},
        answer=lambda given: given["volts"] / given["current"],
        kind=MILLIOHM,
        misconceptions=(
            Misconception(
                "the volts were multiplied by the current",
                lambda given: given["volts"] * given["current"],
                "That is a power. Which law joins volts, amperes and ohms?",
            ),
            Misconception(
                "the ratio was turned round",
                lambda given: given["current"] / given["volts"],
                "Ohms are volts for each ampere.",
            ),
        ),
        steps=(Step("ohms", MILLIOHM, lambda at: at["volts"] / at["current"], "{volts} / {current} = {ohms}."),),
    )


def carries():
    """Ask for the least rating of a fuse."""
    return Exercise(
        question=(
            "An amplifier draws {current} with a steady sine. A fuse carries {share} of its rating for long. What must "
            "its rating be at least?"
        ),
        numbers={"current": Drawn(AMPERE, (18, 24, 30, 38, 45, 61)), "share": Drawn(PERCENT, (75, 80))},
        answer=lambda given: given["current"] / given["share"],
        kind=AMPERE,
        misconceptions=(
            Misconception(
                "the current was multiplied by the share",
                lambda given: given["current"] * given["share"],
                "That fuse would blow: it is smaller than the current.",
            ),
            Misconception(
                "no reserve was left",
                lambda given: given["current"],
                "At its full rating a fuse grows warm and blows after some time.",
            ),
        ),
        steps=(
            Step("more", NUMBER, lambda at: 1 / at["share"], "1 / {share} = {more} times the current."),
            Step("least", AMPERE, lambda at: at["current"] * at["more"], "{current} · {more} = {least}."),
        ),
    )


def _db(ratio):
    """Return a ratio of volts as decibels."""
    return float(20 * np.log10(ratio))
