"""Exercises of the lesson on a tweeter that is too loud."""

from __future__ import annotations

import numpy as np

from ...files import demo_drivers
from ...parts.driver import voltage_for_power
from ...parts.network import l_pad
from ..drawn import Drawn
from ..exercises import Exercise, Misconception, Sheet
from ..loud_tweeter import CAPACITANCE, resistors
from ..systems import FREQUENCY, LEVEL, RESISTANCE

VOLTS = 2.83


def loud_tweeter_sheet():
    """Return the exercises of the lesson on a tweeter that is too loud."""
    return Sheet((across_the_tweeter(), capacitor_for_a_corner(), for_one_watt()))


def across_the_tweeter():
    """Ask for the resistor across the tweeter of a pad."""
    return Exercise(
        question=(
            "A tweeter of {load} is {attenuation} too loud. A pad shall take that away and leave the load as it was. "
            "Which resistor goes across the tweeter? (Take it for a resistance.)"
        ),
        numbers={"load": Drawn(RESISTANCE, (4, 6, 8)), "attenuation": Drawn(LEVEL, (3, 4, 5, 7, 8))},
        answer=lambda given: _pad(given)[1],
        kind=RESISTANCE,
        misconceptions=(
            Misconception(
                "10 to the power -A/10 was taken",
                lambda given: _across(given["load"], 10 ** (-given["attenuation"] / 10)),
                "Resistors divide a voltage, and a voltage goes with A/20.",
            ),
            Misconception(
                "all was left to one resistor in series",
                lambda given: given["load"] * (10 ** (given["attenuation"] / 20) - 1),
                "A single resistor in series raises the load, and moves the corner of the capacitor.",
            ),
        ),
        tolerance=0.02,
    )


def capacitor_for_a_corner():
    """Ask for the capacitor of a corner into a resistance of 4 ohm."""
    return Exercise(
        question="Which capacitor in series with a resistance of 4 ohm is 3 dB down at {corner}?",
        numbers={"corner": Drawn(FREQUENCY, tuple(range(2000, 8500, 500)))},
        answer=lambda given: _capacitor(given, 4.0),
        kind=CAPACITANCE,
        misconceptions=(
            Misconception(
                "2 pi was forgotten",
                lambda given: 2 * np.pi * _capacitor(given, 4.0),
                "The corner in Hz is the angular frequency over 2 pi.",
            ),
            Misconception(
                "8 ohm were taken for 4",
                lambda given: _capacitor(given, 8.0),
                "The same corner into half of the ohms takes more capacitance.",
            ),
        ),
    )


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
        tolerance=0.2,
    )


def _pad(given):
    return resistors(l_pad(attenuation=given["attenuation"], impedance=given["load"]))


def _across(load, k):
    return load * k / (1 - k)


def _capacitor(given, load):
    return 1 / (2 * np.pi * given["corner"] * load)


def _for_a_watt():
    return 20 * np.log10(voltage_for_power(demo_drivers()["25 mm pillar tweeter"], 1.0) / VOLTS)
