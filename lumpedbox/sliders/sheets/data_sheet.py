"""Exercises of the lesson on data sheets: the invented sheets, drawn by name."""

from __future__ import annotations

import numpy as np

from ...air import Air
from ...files import demo_sheets
from ...parts.driver import passband_level, voltage_for_power
from ..data_sheet import VOLTS, changed
from ..exercises import Exercise, Misconception, Sheet
from ..systems import AREA, COMPLIANCE, LEVEL, QUALITY, VOLUME
from .draw import one_of


def data_sheet_sheet():
    """Return the exercises of the lesson on data sheets."""
    return Sheet((total_q(), one_watt(), rewound(), vas()))


def _drawn(random, printed):
    """Return the name of a woofer whose sheet prints all of that."""
    sheets = demo_sheets().items()
    names = [name for name, sheet in sheets if set(printed) <= set(sheet.report.given) and sheet.driver.fs < 1000]
    return str(random.choice(names))


def _printed(given, name):
    return demo_sheets()[given["sheet"]].report.given[name]


def _driver(given):
    return demo_sheets()[given["sheet"]].driver


def total_q():
    """Ask for Qts from Qes and Qms."""
    return Exercise(
        draw=lambda random: {"sheet": _drawn(random, ("Qes", "Qms"))},
        ask=lambda given, system: (
            f"The sheet of the {given['sheet']} prints Qes = {_printed(given, 'Qes'):g} and "
            f"Qms = {_printed(given, 'Qms'):g}. Which Qts follows?"
        ),
        answer=lambda given: _driver(given).Qts,
        kind=QUALITY,
        misconceptions=(
            Misconception(
                "the two were added",
                lambda given: _printed(given, "Qes") + _printed(given, "Qms"),
                "What adds up is the damping, and that is one over Q.",
            ),
            Misconception(
                "the mean of the two was taken",
                lambda given: (_printed(given, "Qes") + _printed(given, "Qms")) / 2,
                "Two dampings together damp more than either: Qts is below both.",
            ),
        ),
    )


def one_watt():
    """Ask for the level at one watt from that at 2.83 V."""
    return Exercise(
        draw=lambda random: {"sheet": _drawn(random, ("sensitivity_2V83", "rated_impedance"))},
        ask=lambda given, system: (
            f"The sheet of the {given['sheet']} prints {_sensitivity(given)} at 1 m for 2.83 V, and a rated impedance "
            f"of {_printed(given, 'rated_impedance'):g} ohm. What is that at 1 W?"
        ),
        answer=lambda given: _printed(given, "sensitivity_2V83") + _for_a_watt(given),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the difference was counted the wrong way round",
                lambda given: _printed(given, "sensitivity_2V83") - _for_a_watt(given),
                "Work out how many watts 2.83 V are into that impedance: more than one, or less?",
            ),
            Misconception(
                "the ratio of the powers was taken for one of voltages",
                lambda given: _printed(given, "sensitivity_2V83") + 2 * _for_a_watt(given),
                "Twice the power is 3 dB, twice the voltage 6 dB.",
            ),
        ),
        tolerance=0.25,
    )


def _sensitivity(given):
    return LEVEL.metric.text(_printed(given, "sensitivity_2V83"))


def _for_a_watt(given):
    return 20 * np.log10(float(voltage_for_power(_driver(given), 1.0)) / VOLTS)


def rewound():
    """Ask for the level at 2.83 V of the same driver with another coil."""
    return Exercise(
        draw=lambda random: {
            "sheet": _drawn(random, ("sensitivity_2V83", "rated_impedance")),
            "ohms": one_of(random, (3, 6, 8, 16)),
        },
        ask=lambda given, system: (
            f"The {given['sheet']}, of {_printed(given, 'rated_impedance'):g} ohm, is said to play "
            f"{_sensitivity(given)} for 2.83 V. Its maker winds the same coil space for {given['ohms']:.0f} ohm. What "
            "does that one play for 2.83 V?"
        ),
        answer=lambda given: _printed(given, "sensitivity_2V83") + _by_rewinding(given),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the force factor was taken to stay as it was",
                lambda given: _printed(given, "sensitivity_2V83") + 2 * _by_rewinding(given),
                "More ohms in the same space are more turns of thinner wire, and each turn pushes.",
            ),
            Misconception(
                "the level was taken to stay as it was",
                lambda given: _printed(given, "sensitivity_2V83"),
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
        draw=lambda random: {"sheet": _drawn(random, ("Sd",))},
        ask=lambda given, system: (
            f"The suspension of the {given['sheet']} gives way by {COMPLIANCE.metric.text(_driver(given).Cms)}, its "
            f"cone has {AREA.shown(system).text(_driver(given).Sd)}. Which Vas should its sheet print? "
            f"(The stiffness of air, rho c squared, is {Air().stiffness / 1000:.0f} kPa.)"
        ),
        answer=lambda given: _driver(given).Vas,
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the area was not squared",
                lambda given: _driver(given).Vas / _driver(given).Sd,
                "The area counts twice: in the force on the cone, and in the air that it moves.",
            ),
            Misconception(
                "the compliance was left in mm",
                lambda given: _driver(given).Vas * 1000,
                "Turn everything into metres first.",
            ),
        ),
    )
