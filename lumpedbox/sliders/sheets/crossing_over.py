"""Exercises of the lesson on what two networks do where they cross."""

from __future__ import annotations

import numpy as np

from ...air import Air
from ...design.ladders import ladder
from ...design.meeting import transfer
from ...parts.filters import HighPass, LowPass
from ..drawn import Drawn
from ..exercises import Exercise, Misconception, Sheet
from ..loud_tweeter import CAPACITANCE
from ..systems import FREQUENCY, LENGTH, LEVEL, RESISTANCE, same

SLOPE = same("dB/octave", decimals=0)


def crossing_over_sheet():
    """Return the exercises of the lesson on what two networks do where they cross."""
    return Sheet((both_at_the_corner(), capacitor_of_the_tweeter(), half_a_period_by_its_way()))


def both_at_the_corner():
    """Ask how loud two Butterworth filters of some order are together at their corner."""
    return Exercise(
        question=(
            "A low-pass and a high-pass by Butterworth, {slope}, have the same corner. There woofer and tweeter play "
            "{level} each, both connected as marked. How loud are both together?"
        ),
        numbers={"slope": Drawn(SLOPE, (6, 18, 24)), "level": Drawn(LEVEL, (85, 87, 88, 90, 91))},
        answer=lambda given: given["level"] + _sum(given["slope"] / 6),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "a quarter of a period was taken for in step, or the other way round",
                lambda given: given["level"] + (_sum(4) if given["slope"] != 24 else _sum(1)),
                "Each order turns the high-pass by 90 degrees against the low-pass; 360 degrees are none.",
            ),
            Misconception(
                "the decibels were added",
                lambda given: 2 * given["level"],
                "Decibels stand for pressures: it is the pressures that add up.",
            ),
        ),
        tolerance=0.2,
    )


def capacitor_of_the_tweeter():
    """Ask for the capacitor in the line of a high-pass of Linkwitz and Riley."""
    return Exercise(
        question=(
            "By the book, a high-pass of 12 dB/octave by Linkwitz and Riley is a capacitor in the line, then a coil "
            "across it. Which capacitor, for {corner} into a resistance of {load}?"
        ),
        numbers={"corner": Drawn(FREQUENCY, (2000, 2500, 3000, 3500, 4000)), "load": Drawn(RESISTANCE, (4, 6, 8))},
        answer=lambda given: _capacitor(given, "Linkwitz-Riley", 2),
        kind=CAPACITANCE,
        misconceptions=(
            Misconception(
                "it was Butterworth's",
                lambda given: _capacitor(given, "Butterworth", 2),
                "Butterworth's is 3 dB down at the corner; this one is 6 dB down there.",
            ),
            Misconception(
                "it was that of a single capacitor",
                lambda given: _capacitor(given, "Butterworth", 1),
                "Alone it would be 3 dB down there; the coil across the line changes what it must be.",
            ),
        ),
    )


def half_a_period_by_its_way():
    """Ask at which frequency a longer way makes half a period."""
    return Exercise(
        question=(
            "A tweeter on the pillar is {further} further from the ear than the woofer. At which frequency is its "
            "sound half a period late by that, in air of 20 °C?"
        ),
        numbers={"further": Drawn(LENGTH, (35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 90, 100, 110, 120))},
        answer=lambda given: Air().sound_speed / (2 * given["further"]),
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "a whole period was taken",
                lambda given: Air().sound_speed / given["further"],
                "There it is a whole period late, and in step again.",
            ),
            Misconception(
                "the way was counted twice",
                lambda given: Air().sound_speed / (4 * given["further"]),
                "It is no echo: the sound goes the way once.",
            ),
        ),
    )


def _sum(order):
    """How much louder than either both are at the corner. [dB]"""
    corner = np.array([1000.0])
    low, high = (transfer([kind(frequency=1000.0, order=int(order))], corner)[0] for kind in (LowPass, HighPass))
    return float(20 * np.log10(abs(low + high) / abs(low)))


def _capacitor(given, family, order):
    network = ladder(arm="high-pass", family=family, order=order, frequency=given["corner"], load=given["load"])
    return network.branches[0].components[0].capacitance
