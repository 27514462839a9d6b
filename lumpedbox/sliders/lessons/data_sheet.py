"""A driver as its data sheet prints it, and what each number decides."""

from __future__ import annotations

import warnings

import numpy as np

from ...parts.box import InfiniteBaffle
from ...parts.driver import voltage_for_power
from ...parts.loudspeaker import Loudspeaker
from ...parts.small_signal import PRINTED_VOLTAGE, passband_level
from ...parts.variants import scaled
from ...response import EFFICIENCY_REMARK, frequencies, solve
from ..exercises.data_sheet import sheet as data_sheet_sheet
from ..kit.controls import Choice, Slider
from ..kit.offered import below, first_of, left_out, of_a_sheet, offered, sifted
from ..kit.page import Page
from ..kit.panels import curves_of, level_and_travel, travel_limit
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import COMPLIANCE, FORCE_FACTOR, FREQUENCY, LEVEL, MASS, QUALITY, RESISTANCE, VOLUME, same
from ..kit.words import runs_out

__all__ = ["QUESTION", "data_sheet", "data_sheet_sheet"]

GRID = frequencies(10, 1000, per_octave=24)
PARTS = ("mass", "motor", "compliance", "area", "coil")  # the sliders
OF_SHEET = same("times the sheet's", decimals=2)
START = "165 mm panel"

QUESTION = Question(
    words="The same driver, its coil wound for 2 ohm instead of 4: how much louder is it?",
    options=("3 dB, at 2.83 V and at 1 W", "3 dB at 2.83 V, alike at 1 W", "Alike both ways"),
    right="3 dB at 2.83 V, alike at 1 W",
    why="Into half the ohms 2.83 V are twice the power, and that is 3 dB; 1 W stays 1 W.",
    look="Halve the ohms of the coil, and follow both curves.",
)


def voltages(driver):
    """Return what the two curves are driven by: {"volts": 2.83 V, "watt": 1 W into the rated impedance}. [V]"""
    return {"volts": PRINTED_VOLTAGE, "watt": float(voltage_for_power(driver, 1.0))}


class WhatDecides(Scene):
    """Level and cone travel of a driver in a large panel, at 2.83 V and at 1 W."""

    alternative_text = "Level and cone travel against frequency of a driver, at 2.83 V and at 1 W"
    grid = GRID

    def __init__(self, sheets):
        self._sheets = sheets
        pens = {
            "xmax": ("limit", "linear travel"),
            "validity": ("validity", "the model holds to here"),
            "printed for volts": ("third", "as printed"),
            "printed for a watt": ("third", ""),
            "volts": ("first", "2.83 V"),
            "watt": ("second", "1 W"),
        }
        super().__init__(pens, kept=("volts", "watt"))

    def panels(self, system):
        """Return the two panels in a system of units."""
        return level_and_travel(system, levels=(60.0, 105.0), travels=(12.0, 0.5))

    def parts(self, values):
        """Return the driver that the controls stand for, in a large panel."""
        return _in_a_panel(scaled(self._sheets[values["sheet"]].driver, **{name: values[name] for name in PARTS}))

    def curves(self, values):
        """Solve the driver at both voltages."""
        speaker, report = self.parts(values), self._sheets[values["sheet"]].report
        self.responses = {name: _solved(speaker, GRID, volts) for name, volts in voltages(speaker.driver).items()}
        return {
            **{name: curves_of(response) for name, response in self.responses.items()},
            "xmax": {"excursion": travel_limit(speaker.driver, GRID)},
            "validity": float(self.responses["volts"].validity_limit),
            "printed for volts": {"level": _all_along(report.given.get("sensitivity_2V83"))},
            "printed for a watt": {"level": _all_along(report.given.get("sensitivity_1W"))},
        }

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        return f"{values['sheet']}: 2.83 volts r.m.s. and 1 W, 1 m, large panel, half space"

    def sentences(self, values, system):
        """Say what the curves amount to."""
        sheet, response = self._sheets[values["sheet"]], self.responses["volts"]
        yield _made_of(response.loudspeaker.driver, system)
        yield _loudness(response.loudspeaker.driver)
        yield _against(sheet.driver, response.loudspeaker.driver)
        yield _agreement(sheet.report)
        yield runs_out(response)
        if EFFICIENCY_REMARK in response.remarks:
            yield EFFICIENCY_REMARK


def _in_a_panel(driver):
    return Loudspeaker(driver=driver, box=InfiniteBaffle())


def _solved(speaker, frequency, volts):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # of too good an efficiency: a sentence says it
        return solve(speaker, frequency, volts)


def _all_along(level):
    return None if level is None else np.full_like(GRID, level)


def _made_of(driver, system):
    made_of = (MASS, driver.Mms), (COMPLIANCE, driver.Cms), (FORCE_FACTOR, driver.Bl), (RESISTANCE, driver.Re)
    mass, compliance, force, ohms = (kind.shown(system).text(value) for kind, value in made_of)
    return (
        f"A moving mass of {mass}, a compliance of {compliance}, a force factor of {force} and a coil of {ohms} make "
        f"fs = {FREQUENCY.metric.text(driver.fs)}, Qts = {QUALITY.metric.text(driver.Qts)} and "
        f"Vas = {VOLUME.shown(system).text(driver.Vas)}."
    )


def _loudness(driver):
    levels = [LEVEL.metric.text(passband_level(driver, volts)) for volts in voltages(driver).values()]
    return (
        f"Well above fs it plays {levels[0]} at 2.83 V and {levels[1]} at 1 W into "
        f"{RESISTANCE.metric.text(driver.nominal_resistance)}."
    )


def _against(before, after):
    if before == after:
        return "Nothing is changed yet."
    low = before.fs / 4
    above = passband_level(after, PRINTED_VOLTAGE) - passband_level(before, PRINTED_VOLTAGE)
    below = (
        _solved(_in_a_panel(after), low, PRINTED_VOLTAGE).level[0]
        - _solved(_in_a_panel(before), low, PRINTED_VOLTAGE).level[0]
    )
    return (
        f"Against the sheet, at 2.83 V, that is {above:+.1f} dB well above fs and {below:+.1f} dB well below it, "
        f"at {low:.0f} Hz."
    )


def _agreement(report):
    if report.contradictory:
        return " ".join(f"The sheet contradicts itself: {entry}." for entry in report.contradictory)
    return "Nothing on the sheet contradicts the rest of it."


def data_sheet(sheets=None):
    """Return the page of sliders.

    Parameters
    ----------
    sheets : dict, optional
        Name: DataSheet; your own and the invented ones of the demonstration by default. Stand-ins,
        and drivers with a resonance above the picture, are left out.
    """
    sheets = offered().sheets if sheets is None else sheets
    known, missed = sifted({name: sheet.driver for name, sheet in sheets.items()}, of_a_sheet, below(GRID[-1]))
    sheets = {name: sheets[name] for name in known}
    controls = [
        Slider("mass", "Moving mass", OF_SHEET, 0.5, 2.0, 1.0, 0.05),
        Slider("coil", "Ohms the coil is wound for", OF_SHEET, 0.5, 4.0, 1.0, 0.05),
        Choice("sheet", "Data sheet", sheets, first_of(START, sheets), left_out(missed, "driver")),
        Slider("motor", "Force factor", OF_SHEET, 0.5, 2.0, 1.0, 0.05),
        Slider("compliance", "Compliance", OF_SHEET, 0.5, 2.0, 1.0, 0.05),
        Slider("area", "Cone area", OF_SHEET, 0.5, 2.0, 1.0, 0.05),
    ]
    return Page(controls, WhatDecides(sheets), first=2, roles={"sheet": "driver"})
