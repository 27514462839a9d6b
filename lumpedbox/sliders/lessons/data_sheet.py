"""A driver as its data sheet prints it, and what each number decides."""

from __future__ import annotations

import warnings

import numpy as np

from ...parts.box import InfiniteBaffle
from ...parts.data_sheet.printed import IN_WORDS, in_print
from ...parts.data_sheet.report import FEW
from ...parts.driver import voltage_for_power
from ...parts.loudspeaker import Loudspeaker
from ...parts.small_signal import PRINTED_VOLTAGE, passband_level
from ...parts.variants import scaled
from ...response import EFFICIENCY_REMARK, frequencies, solve
from ..exercises.data_sheet import sheet as data_sheet_sheet
from ..kit import facts
from ..kit.answer import Answer, Fact, say, verbatim
from ..kit.controls import Choice, Slider
from ..kit.offered import first_of, fit_for, left_out, offered
from ..kit.page import Page
from ..kit.panels import curves_of, level_and_travel, travel_limit
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import (
    AREA,
    COMPLIANCE,
    FACTOR,
    FORCE_FACTOR,
    FREQUENCY,
    LEVEL,
    MASS,
    QUALITY,
    RESISTANCE,
    VOLUME,
)

__all__ = ["QUESTION", "data_sheet", "data_sheet_sheet"]

GRID = frequencies(10, 1000, per_octave=24)
PARTS = ("mass", "motor", "compliance", "area", "coil")  # the sliders
TITLE = "Which numbers on a data sheet decide?"
START = "165 mm panel"
NOW, SHEET = "now", "on the sheet"
AT_VOLTS, AT_WATT, RESONANCE, TOTAL_Q, VAS = "level at 2.83 V", "level at 1 W", "resonance fs", "total Q, Qts", "Vas"
ALIKE = 0.05  # dB, which reads as nothing
KINDS = {  # of what a sheet prints, where the page tells it
    "sensitivity_2V83": LEVEL,
    "sensitivity_1W": LEVEL,
    "fs": FREQUENCY,
    **dict.fromkeys(("Qts", "Qes", "Qms"), QUALITY),
    "Vas": VOLUME,
    "Sd": AREA,
    **dict.fromkeys(("Mms", "Mmd"), MASS),
    "Cms": COMPLIANCE,
    "Bl": FORCE_FACTOR,
    "Re": RESISTANCE,
}
TOO_GOOD = say("This driver turns more than 5 % of the power into sound. The model leaves out how that loads the cone.")

QUESTION = Question(
    words="The same driver, its coil wound for 2 ohm instead of 4: how much louder is it?",
    options=("3 dB, at 2.83 V and at 1 W", "3 dB at 2.83 V, alike at 1 W", "Alike both ways"),
    right="3 dB at 2.83 V, alike at 1 W",
    why="Into half the ohms 2.83 V is twice the power, and that is 3 dB; 1 W stays 1 W.",
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

    def answer(self, values):
        """Say how loud the driver is beside its sheet, and what on the sheet disagrees."""
        sheet, response = self._sheets[values["sheet"]], self.responses["volts"]
        driver, given = response.loudspeaker.driver, sheet.report.given
        levels = {name: float(passband_level(driver, volts)) for name, volts in voltages(driver).items()}
        return Answer(
            headline=_headline(sheet, driver, levels),
            facts=(
                _beside(AT_VOLTS, LEVEL, levels["volts"], given.get("sensitivity_2V83")),
                _beside(AT_WATT, LEVEL, levels["watt"], given.get("sensitivity_1W")),
                _beside(RESONANCE, FREQUENCY, driver.fs, given.get("fs")),
                _beside(TOTAL_Q, QUALITY, driver.Qts, given.get("Qts")),
                _beside(VAS, VOLUME, driver.Vas, given.get("Vas")),
            ),
            details=tuple(_details(sheet, response)),
            conditions=say(
                "{sheet} in a large panel, at 1 m, half space. 2.83 V r.m.s., and 1 W into {rated}.",
                sheet=verbatim(values["sheet"]),
                rated=RESISTANCE(driver.nominal_resistance),
            ),
        )


def _in_a_panel(driver):
    return Loudspeaker(driver=driver, box=InfiniteBaffle())


def _solved(speaker, frequency, volts):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # of too good an efficiency: a sentence says it
        return solve(speaker, frequency, volts)


def _all_along(level):
    return None if level is None else np.full_like(GRID, level)


def _beside(name, kind, now, printed):
    """Return a fact of the driver as it is now, beside what the sheet prints of it."""
    on_sheet = {} if printed is None else {SHEET: say("{printed}", printed=kind(printed))}
    return Fact(name, {NOW: say("{now}", now=kind(now))} | on_sheet)


def _headline(sheet, driver, levels):
    """Say what the sliders have changed; else what disagrees on the sheet; else how loud the driver is beside it."""
    if driver != sheet.driver:
        above, below = (_louder(change) for change in changes(sheet.driver, driver))
        return say("At 2.83 V, against its sheet: {above} above fs, {below} below it.", above=above, below=below)
    if sheet.report.contradictory:
        return say("The sheet contradicts itself: {it}.", it=_disagrees(sheet.report.contradictory[0]))
    given = sheet.report.given
    for printed, level, at in (("sensitivity_2V83", "volts", "2.83 V"), ("sensitivity_1W", "watt", "1 W")):
        if printed in given:
            off = levels[level] - given[printed]
            if abs(off) < ALIKE:
                return say(f"{{level}} at {at}, as the sheet prints.", level=LEVEL(levels[level]))
            words = f"{{level}} at {at}: {{off}} {'above' if off > 0 else 'below'} what the sheet prints."
            return say(words, level=LEVEL(levels[level]), off=LEVEL(abs(off)))
    return say("{level} at 2.83 V; the sheet prints no sensitivity.", level=LEVEL(levels["volts"]))


def _louder(change):
    if abs(change) < ALIKE:
        return say("as loud")
    return say(f"{{by}} {'louder' if change > 0 else 'softer'}", by=LEVEL(abs(change)))


def _disagrees(entry):
    """Say what a sheet prints and what the rest of it makes of that."""
    name, kind = IN_WORDS.get(entry.name, entry.name), KINDS.get(entry.name)
    printed, implied = (
        kind(value) if kind else say(in_print(entry.name, value)) for value in (entry.printed, entry.implied)
    )
    return say(f"{name} is printed as {{printed}}, but the rest implies {{implied}}", printed=printed, implied=implied)


def changes(before, after):
    """Return by how much a driver is louder than another at 2.83 V, well above the other's fs and well below. [dB]"""
    above = passband_level(after, PRINTED_VOLTAGE) - passband_level(before, PRINTED_VOLTAGE)
    low = [_solved(_in_a_panel(driver), _well_below(before), PRINTED_VOLTAGE).level[0] for driver in (after, before)]
    return float(above), float(low[0] - low[1])


def _well_below(driver):
    return float(driver.fs) / 4


def _details(sheet, response):
    driver = response.loudspeaker.driver
    yield say(
        "The moving mass is {mass}, the compliance {compliance}, the force factor {force}, the coil {ohms}. "
        "From these the rest follows.",
        mass=MASS(driver.Mms),
        compliance=COMPLIANCE(driver.Cms),
        force=FORCE_FACTOR(driver.Bl),
        ohms=RESISTANCE(driver.Re),
    )
    yield say("The levels are those well above fs. Vas is the volume of air that is as stiff as the suspension.")
    if driver != sheet.driver:
        yield say(
            "Well above fs the mass decides. The figure below fs is for {low}.",
            low=FREQUENCY(_well_below(sheet.driver)),
        )
    yield say(f"At 2.83 V, {facts.WITHIN}: {{within}}.", within=facts.within_travel(response))
    for entry in sheet.report.contradictory:
        yield from _contradiction(entry)
    if not sheet.report.contradictory:
        yield say("Nothing on the sheet contradicts the rest of it.")
    if EFFICIENCY_REMARK in response.remarks:
        yield TOO_GOOD
    yield facts.holds_up_to(response)


def _contradiction(entry):
    yield say("On the sheet {it}.", it=_disagrees(entry))
    if entry.slip:
        yield say(f"That looks {entry.slip}.")
    if len(entry.alike) > FEW:
        yield say("But a mistake in most of the other numbers would explain it as well.")
    elif entry.alike:
        others = " or ".join(IN_WORDS.get(other, other) for other in entry.alike)
        yield say(f"A wrong {others} would explain it as well.")


def data_sheet(sheets=None):
    """Return the page of sliders.

    Parameters
    ----------
    sheets : dict, optional
        Name: DataSheet; your own and the invented ones of the demonstration by default. Stand-ins,
        and drivers with a resonance above the picture, are left out.
    """
    sheets = offered().sheets if sheets is None else sheets
    known, missed = fit_for("data_sheet", "driver", {name: sheet.driver for name, sheet in sheets.items()})
    sheets = {name: sheets[name] for name in known}
    times = "times the sheet's"
    controls = [
        Choice("sheet", "Data sheet", sheets, first_of(START, sheets), left_out(missed, "driver"), "driver"),
        Slider("mass", "Moving mass", FACTOR, 0.5, 2.0, 1.0, 0.05, times),
        Slider("compliance", "Compliance", FACTOR, 0.5, 2.0, 1.0, 0.05, times),
        Slider("coil", "Ohms of the coil", FACTOR, 0.5, 4.0, 1.0, 0.05, times),
        Slider("motor", "Force factor", FACTOR, 0.5, 2.0, 1.0, 0.05, times),
        Slider("area", "Cone area", FACTOR, 0.5, 2.0, 1.0, 0.05, times),
    ]
    return Page(controls, WhatDecides(sheets), TITLE, roles={"sheet": "driver"})
