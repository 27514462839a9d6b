"""Exercises of the lesson on a tweeter that is too loud."""

from __future__ import annotations

import numpy as np

from ...design.ladders import ladder
from ...parts.driver import level_of_a_watt
from ...parts.network import l_pad, pad_resistors
from ...tables import demo_drivers
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import CAPACITANCE, FREQUENCY, LEVEL, POWER, RESISTANCE, VOLTAGE
from .kinds import NUMBER


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((for_one_watt(), too_loud(), capacitor_for_a_corner(), across_the_tweeter()), "loud_tweeter")


def for_one_watt():
    """Ask for the level at one watt of a tweeter of 4 ohm."""
    return Exercise(
        question="A tweeter of 4 ohm is printed with {level} at 1 m for 2.83 V. What is that at 1 W?",
        numbers={"level": Drawn(LEVEL, tuple(np.arange(87, 95, 0.5)))},
        answer=lambda given: given["level"] + _for_a_watt(),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the two were taken for the same", lambda given: given["level"], "2.83 V are one watt into 8 ohm only."
            ),
            Misconception(
                "it went the wrong way",
                lambda given: given["level"] - _for_a_watt(),
                "Into 4 ohm 2.83 V are more than one watt.",
            ),
        ),
        steps=(
            Step("volts", VOLTAGE, lambda at: 2.0, "One watt into 4 ohm takes √(1 W · 4 ohm) = {volts}."),
            Step(
                "less",
                LEVEL,
                lambda at: 20 * np.log10(at["volts"] / 2.83),
                "Against 2.83 V that is 20 · log({volts} / 2.83 V) = {less}.",
            ),
            Step("watt", LEVEL, lambda at: at["level"] + at["less"], "{level} + ({less}) = {watt}."),
        ),
        tolerance=0.2,
    )


STEPS_OF_TOO_LOUD = (
    Step(
        "watts",
        POWER,
        lambda at: 2.83**2 / at["load"],
        "How many watts does the tweeter take of 2.83 V? 2.83² / {load} = {watts}.",
    ),
    Step("more", LEVEL, lambda at: 10 * np.log10(at["watts"]), "As a level: 10 · log({watts} / 1 W) = {more}."),
    Step(
        "for_volts",
        LEVEL,
        lambda at: at["tweeter"] + at["more"],
        "So for 2.83 V the tweeter plays {tweeter} + {more} = {for_volts}.",
    ),
    Step(
        "louder",
        LEVEL,
        lambda at: at["for_volts"] - at["woofer"],
        "Against the woofer: {for_volts} − {woofer} = {louder}.",
    ),
)


def too_loud():
    """Ask by how much a tweeter is louder than a woofer, from sheets that print it in two ways."""
    return Exercise(
        question=(
            "A woofer is printed with {woofer} for 2.83 V, a tweeter of {load} with {tweeter} for 1 W. On the same "
            "two wires, how much louder is the tweeter?"
        ),
        numbers={
            "woofer": Drawn(LEVEL, (87, 88, 89, 90)),
            "load": Drawn(RESISTANCE, (4, 6)),
            "tweeter": Drawn(LEVEL, (91.5, 92, 92.5, 93, 94)),
        },
        answer=lambda given: given["tweeter"] + _over_a_watt(given) - given["woofer"],
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the printed numbers were compared as they stand",
                lambda given: given["tweeter"] - given["woofer"],
                "The wires bring both the same volts. What does the tweeter play for 2.83 V?",
            ),
            Misconception(
                "the watt was turned into volts the wrong way",
                lambda given: given["tweeter"] - _over_a_watt(given) - given["woofer"],
                "Is 2.83 V more than one watt into the tweeter, or less?",
            ),
        ),
        steps=STEPS_OF_TOO_LOUD,
        tolerance=0.2,
    )


def capacitor_for_a_corner():
    """Ask for the capacitor of a corner into a resistance of 4 ohm."""
    return Exercise(
        question="Which capacitor in series with a resistance of 4 ohm is 3 dB down at {corner}?",
        numbers={"corner": Drawn(FREQUENCY, tuple(range(2000, 8500, 500)))},
        answer=lambda given: _first_order(given, 4.0),
        kind=CAPACITANCE,
        misconceptions=(
            Misconception(
                "2 pi was forgotten",
                lambda given: 2 * np.pi * _first_order(given, 4.0),
                "The corner in Hz is the angular frequency over 2 pi.",
            ),
            Misconception(
                "8 ohm were taken for 4",
                lambda given: _first_order(given, 8.0),
                "The same corner into half of the ohms takes more capacitance.",
            ),
        ),
        steps=(
            Step(
                "C",
                CAPACITANCE,
                lambda at: 1 / (2 * np.pi * at["corner"] * 4),
                "Solve fc = 1 / (2π R C) for C: 1 / (2π · {corner} · 4 ohm) = {C}.",
            ),
        ),
    )


def across_the_tweeter():
    """Ask for the resistor across the tweeter of a pad."""
    return Exercise(
        question=(
            "A tweeter of {load} is {attenuation} too loud. A pad takes that away and leaves the load as it was. Which "
            "resistor goes across the tweeter? (Take the tweeter as a resistance.)"
        ),
        numbers={"load": Drawn(RESISTANCE, (4, 6, 8)), "attenuation": Drawn(LEVEL, (3, 4, 5, 7, 8))},
        answer=lambda given: _pad(given)[1],
        kind=RESISTANCE,
        misconceptions=(
            Misconception(
                "10 to the power -A/10 was taken",
                lambda given: _pad(given | {"attenuation": 2 * given["attenuation"]})[1],
                "Resistors divide a voltage, and a voltage goes with A/20.",
            ),
            Misconception(
                "all was left to one resistor in series",
                lambda given: given["load"] * (10 ** (given["attenuation"] / 20) - 1),
                "A single resistor in series raises the load, and moves the corner of the capacitor.",
            ),
        ),
        steps=(
            Step(
                "k",
                NUMBER,
                lambda at: 10 ** (-at["attenuation"] / 20),
                "Which share of the volts is left? 10 to the power −{attenuation} / 20 is k = {k}.",
            ),
            Step(
                "Rp",
                RESISTANCE,
                lambda at: at["load"] * at["k"] / (1 - at["k"]),
                "Rp = Z · k / (1 − k) = {load} · {k} / (1 − {k}) = {Rp}.",
            ),
        ),
        tolerance=0.02,
    )


def _pad(given):
    return tuple(map(float, pad_resistors(l_pad(attenuation=given["attenuation"], impedance=given["load"]))))


def _first_order(given, load):
    network = ladder(arm="high-pass", family="Butterworth", order=1, frequency=given["corner"], load=load)
    return network.branches[0].components[0].capacitance


def _for_a_watt():
    return float(level_of_a_watt(demo_drivers()["25 mm pillar tweeter"]))


def _over_a_watt(given):
    """Return how much louder 2.83 V are than one watt into such a load. [dB]"""
    return float(10 * np.log10(2.83**2 / given["load"]))
