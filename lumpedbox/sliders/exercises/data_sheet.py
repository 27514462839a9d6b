"""Exercises of the lesson on data sheets."""

from __future__ import annotations

from functools import partial

import numpy as np

from ...air import Air
from ...parts.driver import level_of_a_watt
from ...parts.small_signal import PRINTED_VOLTAGE, passband_level
from ...parts.variants import scaled
from ...tables import demo_sheets
from ..kit.drawn import Drawn, Follows, Name
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import AREA, COMPLIANCE, LEVEL, POWER, QUALITY, RESISTANCE, VOLUME
from .kinds import METRE_PER_NEWTON, NUMBER, PASCAL, SQUARE_METRE, STIFFNESS, converted


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((total_q(), vas(), one_watt(), rewound()), "data_sheet")


def _printing(**kinds):
    """Return the name of a woofer whose sheet prints all of that, to draw, and what it prints."""
    sheets = demo_sheets()
    woofers = {name: sheet for name, sheet in sheets.items() if sheet.driver.fs < 1000}
    names = tuple(name for name, sheet in woofers.items() if kinds.keys() <= sheet.report.given.keys())
    printed = {name: Follows(kind, partial(_printed, name=name)) for name, kind in kinds.items()}
    return {"sheet": Name(names), **printed}


def _printed(given, name):
    return demo_sheets()[given["sheet"]].report.given[name]


def _driver(given):
    return demo_sheets()[given["sheet"]].driver


def total_q():
    """Ask for Qts from Qes and Qms."""
    return Exercise(
        question="The sheet of the {sheet} prints Qes = {Qes} and Qms = {Qms}. What is Qts?",
        numbers=_printing(Qes=QUALITY, Qms=QUALITY),
        answer=lambda given: 1 / (1 / given["Qes"] + 1 / given["Qms"]),
        kind=QUALITY,
        misconceptions=(
            Misconception(
                "the two were added",
                lambda given: given["Qes"] + given["Qms"],
                "What adds up is the damping, and that is one over Q.",
            ),
            Misconception(
                "the mean of the two was taken",
                lambda given: (given["Qes"] + given["Qms"]) / 2,
                "Two dampings together damp more than either: Qts is below both.",
            ),
        ),
        steps=(
            Step("motor", NUMBER, lambda at: 1 / at["Qes"], "The damping of the motor: 1 / {Qes} = {motor}."),
            Step("friction", NUMBER, lambda at: 1 / at["Qms"], "That of friction: 1 / {Qms} = {friction}."),
            Step(
                "Qts",
                QUALITY,
                lambda at: 1 / (at["motor"] + at["friction"]),
                "They add up, and Qts is one over the sum: 1 / ({motor} + {friction}) = {Qts}.",
            ),
        ),
    )


def vas():
    """Ask for Vas from compliance and area."""
    return Exercise(
        question=(
            "The suspension of the {sheet} gives way by {Cms}, its cone has {Sd}. Which Vas should its sheet print? "
            "(The stiffness of air, rho c squared, is {stiffness}.)"
        ),
        numbers=_printing(Sd=AREA)
        | {
            "Cms": Follows(COMPLIANCE, lambda given: _driver(given).Cms),
            "stiffness": Follows(STIFFNESS, lambda given: Air().stiffness),
        },
        answer=_Vas,
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the area was not squared",
                lambda given: _Vas(given) / given["Sd"],
                "The area counts twice: in the force on the cone, and in the air that it moves.",
            ),
            Misconception(
                "the compliance was left in mm",
                lambda given: _Vas(given) * 1000,
                "Turn everything into metres first.",
            ),
        ),
        steps=(
            converted("Sd", "S", "The area in square metres", SQUARE_METRE),
            converted("Cms", "C", "The compliance in metres", METRE_PER_NEWTON),
            converted("stiffness", "K", "The stiffness of air in pascals, which are newtons a square metre", PASCAL),
            Step(
                "Vas",
                VOLUME,
                lambda at: at["K"] * at["S"] ** 2 * at["C"],
                "Vas = ρc² · Sd² · Cms = {K} · ({S})² · {C} = {Vas}.",
            ),
        ),
    )


def _Vas(given):
    return given["stiffness"] * given["Sd"] ** 2 * given["Cms"]


STEPS_OF_ONE_WATT = (
    Step(
        "watts",
        POWER,
        lambda at: 2.83**2 / at["rated_impedance"],
        "How many watts are 2.83 V into it? 2.83² / {rated_impedance} = {watts}.",
    ),
    Step(
        "over",
        LEVEL,
        lambda at: 10 * np.log10(at["watts"]),
        "How far is that above one watt? 10 · log({watts} / 1 W) = {over}.",
    ),
    Step(
        "level",
        LEVEL,
        lambda at: at["sensitivity_2V83"] - at["over"],
        "One watt is that much softer: {sensitivity_2V83} − {over} = {level}.",
    ),
)


def one_watt():
    """Ask for the level at one watt from that at 2.83 V."""
    return Exercise(
        question=(
            "The sheet of the {sheet} prints {sensitivity_2V83} at 1 m for 2.83 V, and a rated impedance of "
            "{rated_impedance}. What is that at 1 W?"
        ),
        numbers=_printing(sensitivity_2V83=LEVEL, rated_impedance=RESISTANCE),
        answer=lambda given: given["sensitivity_2V83"] + _for_a_watt(given),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the difference was counted the wrong way round",
                lambda given: given["sensitivity_2V83"] - _for_a_watt(given),
                "Work out how many watts 2.83 V are into that impedance: more than one, or less?",
            ),
            Misconception(
                "the ratio of the powers was taken for one of voltages",
                lambda given: given["sensitivity_2V83"] + 2 * _for_a_watt(given),
                "Twice the power is 3 dB, twice the voltage 6 dB.",
            ),
        ),
        steps=STEPS_OF_ONE_WATT,
        tolerance=0.25,
    )


def _for_a_watt(given):
    return float(level_of_a_watt(_driver(given)))


STEPS_OF_REWOUND = (
    Step(
        "power",
        NUMBER,
        lambda at: at["rated_impedance"] / at["ohms"],
        "The same volts are this many times the power: {rated_impedance} / {ohms} = {power}.",
    ),
    Step(
        "more",
        LEVEL,
        lambda at: 10 * np.log10(at["power"]),
        "At one watt the driver stays as it was, so the level changes by 10 · log({power}) = {more}.",
    ),
    Step(
        "level",
        LEVEL,
        lambda at: at["sensitivity_2V83"] + at["more"],
        "{sensitivity_2V83} + ({more}) = {level}.",
    ),
)


def rewound():
    """Ask for the level at 2.83 V of the same driver with another coil."""
    return Exercise(
        question=(
            "The {sheet}, of {rated_impedance}, plays {sensitivity_2V83} for 2.83 V by its sheet. Its maker winds the "
            "same coil space for {ohms}. What does that one play for 2.83 V?"
        ),
        numbers=_printing(sensitivity_2V83=LEVEL, rated_impedance=RESISTANCE)
        | {"ohms": Drawn(RESISTANCE, (3, 6, 8, 16))},
        answer=lambda given: given["sensitivity_2V83"] + _by_rewinding(given),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the force factor was taken to stay as it was",
                lambda given: given["sensitivity_2V83"] + 2 * _by_rewinding(given),
                "More ohms in the same space are more turns of thinner wire, and each turn pushes.",
            ),
            Misconception(
                "the level was taken to stay as it was",
                lambda given: given["sensitivity_2V83"],
                "At one watt it would stay; the same voltage is another power into another impedance.",
            ),
        ),
        steps=STEPS_OF_REWOUND,
        tolerance=0.25,
    )


def _by_rewinding(given):
    before = _driver(given)
    ohms = given["ohms"] / before.rated_impedance
    return float(passband_level(scaled(before, coil=ohms), PRINTED_VOLTAGE) - passband_level(before, PRINTED_VOLTAGE))
