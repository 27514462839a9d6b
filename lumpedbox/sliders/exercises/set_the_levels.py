"""Exercises of the lesson on setting levels."""

from __future__ import annotations

import numpy as np

from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import LEVEL, POWER, RESISTANCE, VOLTAGE
from .kinds import KILOHM, MILLIVOLT, NUMBER


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((softer(), trim(), margin(), hum(), loaded()), "set_the_levels")


def softer():
    """Ask for the reading that is some decibels below another."""
    return Exercise(
        question=(
            "The meter reads {front} at the front output. Front and rear have the same loudspeakers, equally far away. "
            "What must it read at the rear for {less} less?"
        ),
        numbers={"front": Drawn(VOLTAGE, (3.2, 4.5, 6.3, 8.0, 9.1)), "less": Drawn(LEVEL, (2, 3, 4, 5))},
        answer=lambda given: given["front"] * 10 ** (-given["less"] / 20),
        kind=VOLTAGE,
        misconceptions=(
            Misconception(
                "10 to the power −dB/10 was taken",
                lambda given: given["front"] * 10 ** (-given["less"] / 10),
                "That is the share of the watts. A meter shows volts.",
            ),
            Misconception(
                "it was turned up instead of down",
                lambda given: given["front"] * 10 ** (given["less"] / 20),
                "The rear is to be the softer one.",
            ),
        ),
        steps=(
            Step(
                "share",
                NUMBER,
                lambda at: 10 ** (-at["less"] / 20),
                "Which share of the volts is {less} less? 10 to the power −{less} / 20 is {share}.",
            ),
            Step("rear", VOLTAGE, lambda at: at["front"] * at["share"], "{front} · {share} = {rear}."),
        ),
    )


def trim():
    """Ask how much a converter must take."""
    return Exercise(
        question=(
            "The loudspeaker wires carry {wires} of a full-scale tone. The amplifier's gain knob stands at {knob}: so "
            "many volts drive it to full power. How many decibels must the converter take?"
        ),
        numbers={"wires": Drawn(VOLTAGE, (5.0, 6.3, 7.1, 8.0, 9.1)), "knob": Drawn(VOLTAGE, (0.5, 0.8, 1.2, 2.0))},
        answer=lambda given: _db(given["wires"] / given["knob"]),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "10 · log was taken of volts",
                lambda given: _db(given["wires"] / given["knob"]) / 2,
                "10 · log belongs to watts. Watts go with the square of the volts.",
            ),
            Misconception(
                "the ratio was given, not decibels",
                lambda given: given["wires"] / given["knob"],
                "So many times is a ratio. Take its logarithm.",
            ),
        ),
        steps=(
            Step("times", NUMBER, lambda at: at["wires"] / at["knob"], "{wires} / {knob} = {times} times too much."),
            Step("takes", LEVEL, lambda at: _db(at["times"]), "As decibels: 20 · log({times}) = {takes}."),
        ),
        tolerance=0.2,
    )


def margin():
    """Ask how far an amplifier is from clipping."""
    return Exercise(
        question=(
            "An amplifier gives {power} into {load} before it clips. With a full-scale tone the meter reads {reading}. "
            "By how many decibels can you turn the source up before the amplifier clips?"
        ),
        numbers={
            "power": Drawn(POWER, (50, 75, 100, 150)),
            "load": Drawn(RESISTANCE, (2, 4)),
            "reading": Drawn(VOLTAGE, (3.2, 4.5, 5.6, 7.1)),
        },
        answer=lambda given: _db(np.sqrt(given["power"] * given["load"]) / given["reading"]),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "watts were divided by volts",
                lambda given: 10 * np.log10(given["power"] / given["reading"]),
                "Compare volts with volts: which voltage makes those watts?",
            ),
            Misconception(
                "10 · log was taken of volts",
                lambda given: _db(np.sqrt(given["power"] * given["load"]) / given["reading"]) / 2,
                "10 · log belongs to watts.",
            ),
        ),
        steps=(
            Step(
                "most",
                VOLTAGE,
                lambda at: np.sqrt(at["power"] * at["load"]),
                "It clips at √({power} · {load}) = {most}.",
            ),
            Step("left", LEVEL, lambda at: _db(at["most"] / at["reading"]), "20 · log({most} / {reading}) = {left}."),
        ),
        tolerance=0.2,
        sensible=lambda given: np.sqrt(given["power"] * given["load"]) > 1.2 * given["reading"],
    )


def hum():
    """Ask how far hum lies below the music once a trim before it takes more."""
    return Exercise(
        question=(
            "The wires from the converter to the amplifier pick up {hum} of hum. A full-scale tone is {signal} there. "
            "Now the converter takes {more} more, and the gain makes up for that. How far below the tone is the hum?"
        ),
        numbers={
            "hum": Drawn(MILLIVOLT, (0.5, 1, 2)),
            "signal": Drawn(VOLTAGE, (1.0, 1.5, 2.0, 3.0)),
            "more": Drawn(LEVEL, (6, 8, 10, 12)),
        },
        answer=lambda given: _db(given["signal"] / given["hum"]) - given["more"],
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the hum was taken to stay as far below",
                lambda given: _db(given["signal"] / given["hum"]),
                "The hum comes in behind the converter. Does the converter take anything from it?",
            ),
            Misconception(
                "it went the wrong way",
                lambda given: _db(given["signal"] / given["hum"]) + given["more"],
                "The tone becomes smaller on the wires, and the hum does not.",
            ),
        ),
        steps=(
            Step(
                "before",
                LEVEL,
                lambda at: _db(at["signal"] / at["hum"]),
                "Before: 20 · log({signal} / {hum}) = {before}.",
            ),
            Step(
                "after",
                LEVEL,
                lambda at: at["before"] - at["more"],
                "The gain lifts both alike, so the tone lost {more} on the hum: {before} − {more} = {after}.",
            ),
        ),
        tolerance=0.2,
    )


def loaded():
    """Ask what the inputs of amplifiers take from a converter's output."""
    return Exercise(
        question=(
            "A converter has an output resistance of {own}. It feeds {inputs} inputs of {each} each, side by side. How "
            "many decibels do they take?"
        ),
        numbers={
            "own": Drawn(KILOHM, (2, 3.3, 4.7)),
            "inputs": Drawn(NUMBER, (2, 3, 4)),
            "each": Drawn(KILOHM, (10, 15, 20)),
        },
        answer=lambda given: _loss(given["own"], given["each"] / given["inputs"]),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "only one input was counted",
                lambda given: _loss(given["own"], given["each"]),
                "Side by side they draw as many times the current.",
            ),
            Misconception(
                "the inputs were taken in a row",
                lambda given: _loss(given["own"], given["each"] * given["inputs"]),
                "Side by side resistances become less, not more.",
            ),
        ),
        steps=(
            Step("load", KILOHM, lambda at: at["each"] / at["inputs"], "Side by side: {each} / {inputs} = {load}."),
            Step(
                "share",
                NUMBER,
                lambda at: at["load"] / (at["load"] + at["own"]),
                "Of the volts is left {load} / ({load} + {own}) = {share}.",
            ),
            Step("takes", LEVEL, lambda at: -_db(at["share"]), "As decibels: −20 · log({share}) = {takes}."),
        ),
        tolerance=0.1,
    )


def _db(ratio):
    """Return a ratio of volts as decibels."""
    return float(20 * np.log10(ratio))


def _loss(own, load):
    """Return what a load takes from a source of some resistance. [dB]"""
    return _db((own + load) / load)
