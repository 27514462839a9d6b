"""Exercises of the lesson on data sheets: the invented sheets, drawn by name."""

from __future__ import annotations

from functools import partial

import numpy as np

from ...air import Air
from ...files import demo_sheets
from ...parts.driver import passband_level, voltage_for_power
from ...units import kPa
from ..data_sheet import VOLTS, changed
from ..drawn import Drawn, Follows, Name
from ..exercises import Exercise, Misconception, Sheet
from ..systems import AREA, COMPLIANCE, LEVEL, QUALITY, RESISTANCE, VOLUME, same


def data_sheet_sheet():
    """Return the exercises of the lesson on data sheets."""
    return Sheet((total_q(), one_watt(), rewound(), vas()))


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
        question="The sheet of the {sheet} prints Qes = {Qes} and Qms = {Qms}. Which Qts follows?",
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
        tolerance=0.25,
    )


def _for_a_watt(given):
    return 20 * np.log10(float(voltage_for_power(_driver(given), 1.0)) / VOLTS)


def rewound():
    """Ask for the level at 2.83 V of the same driver with another coil."""
    return Exercise(
        question=(
            "The {sheet}, of {rated_impedance}, is said to play {sensitivity_2V83} for 2.83 V. Its maker winds the "
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
        tolerance=0.25,
    )


def _by_rewinding(given):
    before = _driver(given)
    ohms = given["ohms"] / before.rated_impedance
    after = changed(before, dict.fromkeys(("mass", "motor", "compliance", "area"), 1.0) | {"coil": ohms})
    return float(passband_level(after, VOLTS) - passband_level(before, VOLTS))


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
            "stiffness": Follows(same("kPa", kPa, 0), lambda given: Air().stiffness),
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
    )


def _Vas(given):
    return given["stiffness"] * given["Sd"] ** 2 * given["Cms"]
