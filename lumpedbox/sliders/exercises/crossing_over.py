"""Exercises of the lesson on what two networks do where they cross."""

from __future__ import annotations

import numpy as np

from ...design.ladders import ladder, zobel
from ...design.meeting import transfer
from ...parts.driver import Driver
from ...parts.filters import HighPass, LowPass
from ..kit.drawn import SPEED_OF_SOUND, Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import ANGLE, CAPACITANCE, FREQUENCY, LENGTH, LEVEL, RESISTANCE
from .kinds import INDUCTANCE, METRE, NUMBER, SLOPE, SPEED_AS_C, converted


def sheet():
    """Return the sheet of the lesson."""
    exercises = both_at_the_corner(), capacitor_of_the_tweeter(), made_up_for(), half_a_period_by_its_way()
    return Sheet(exercises, "crossing_over")


STEPS_OF_BOTH_AT_THE_CORNER = (
    Step("order", NUMBER, lambda at: at["slope"] / 6, "Each order gives 6 dB/octave: here it is {order}."),
    Step(
        "apart",
        ANGLE,
        lambda at: 90 * at["order"],
        "Each order turns the two by 90 degrees: they are {order} · 90 = {apart} apart.",
    ),
    Step(
        "times",
        NUMBER,
        lambda at: abs(2 * np.cos(np.radians(at["apart"] / 2))),
        "Two equal tones, that far apart, make 2 · |cos({apart} / 2)| = {times} times the pressure of one.",
    ),
    Step(
        "both",
        LEVEL,
        lambda at: at["level"] + 20 * np.log10(at["times"]),
        "As a level: {level} + 20 · log({times}) = {both}.",
    ),
)


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
        steps=STEPS_OF_BOTH_AT_THE_CORNER,
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
        steps=(
            Step(
                "w",
                NUMBER,
                lambda at: 2 * np.pi * at["corner"],
                "The corner as an angular frequency: 2π · {corner} = {w} a second.",
            ),
            Step(
                "C",
                CAPACITANCE,
                lambda at: 1 / (2 * at["load"] * at["w"]),
                "C = 1 / (2 R ωc) = 1 / (2 · {load} · {w}) = {C}.",
            ),
        ),
    )


def made_up_for():
    """Ask for the capacitor that makes up for a coil."""
    return Exercise(
        question=(
            "A woofer of {load} has Re = {Re} and a coil of {Le}. A resistor of Re and a capacitor, in series across "
            "the woofer, make up for the coil. Which capacitor?"
        ),
        numbers={
            "load": Drawn(RESISTANCE, (4, 8)),
            "Re": Drawn(RESISTANCE, (3.2, 3.4, 5.6, 6.2)),
            "Le": Drawn(INDUCTANCE, (0.25, 0.3, 0.4, 0.5, 0.6, 0.8)),
        },
        answer=lambda given: _making_up(given["Re"], given["Le"]),
        kind=CAPACITANCE,
        misconceptions=(
            Misconception(
                "the resistance was not squared",
                lambda given: given["Le"] / given["Re"],
                "That is a time. C = Le / Re².",
            ),
            Misconception(
                "the printed impedance was taken for Re",
                lambda given: _making_up(given["load"], given["Le"]),
                "The coil stands beside its own wire's resistance, Re, not beside the round number on the sheet.",
            ),
        ),
        steps=(
            Step(
                "C",
                CAPACITANCE,
                lambda at: at["Le"] / at["Re"] ** 2,
                "C = Le / Re² = {Le} / ({Re})² = {C}. (One henry over one ohm squared is one farad.)",
            ),
        ),
        sensible=lambda given: 0.7 < given["Re"] / given["load"] < 0.9,
    )


def half_a_period_by_its_way():
    """Ask at which frequency a longer way makes half a period."""
    return Exercise(
        question=(
            "A tweeter on the pillar is {further} further from the ear than the woofer. Sound travels at {speed} "
            "in air of 20 °C. At which frequency is the tweeter half a period late?"
        ),
        numbers={
            "further": Drawn(LENGTH, (35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 90, 100, 110, 120)),
            "speed": SPEED_OF_SOUND,
        },
        answer=lambda given: given["speed"] / (2 * given["further"]),
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "a whole period was taken",
                lambda given: given["speed"] / given["further"],
                "There it is a whole period late, and in step again.",
            ),
            Misconception(
                "the way was counted twice",
                lambda given: given["speed"] / (4 * given["further"]),
                "It is no echo: sound travels that way once.",
            ),
        ),
        steps=(
            converted("further", "r", "The way in metres"),
            SPEED_AS_C,
            Step("wavelength", METRE, lambda at: 2 * at["r"], "That way is half of the wave: 2 · {r} = {wavelength}."),
            Step("f", FREQUENCY, lambda at: at["c"] / at["wavelength"], "f = c / λ = {c} / {wavelength} = {f}."),
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


def _making_up(Re, Le):
    driver = Driver(Re=Re, Le=Le, Bl=6.0, Mms=0.02, Cms=1e-3, Rms=1.0, Sd=0.0137)
    return float(zobel(driver).branches[0].components[0].capacitance)
