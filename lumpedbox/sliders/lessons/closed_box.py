"""One driver in a closed box of any size."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...design.alignments import closed_alignment
from ...figures.stack import Panel
from ...parts.box import USUAL_LEAKAGE, SealedBox
from ...parts.loudspeaker import Loudspeaker
from ...response import frequencies, solve
from ...response.limits import voltage_within_travel
from ...units import litre
from ..exercises.closed_box import sheet as closed_box_sheet
from ..kit.controls import Choice, Slider
from ..kit.litres import Litres
from ..kit.offered import below, first_of, left_out, offered, sifted
from ..kit.page import Page
from ..kit.panels import curves_of, level_and_travel, reach_of, travel_limit
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import FACTOR, FREQUENCY, PLAIN, VOLTAGE, VOLUME
from ..kit.words import OPEN_AIR, corners, half_of_what, half_power, runs_out, softer

__all__ = ["QUESTION", "closed_box", "closed_box_sheet"]

GRID = frequencies(10, 400, per_octave=24)
LISTEN = 40.0  # Hz, where the sentences listen

# What a Qtc means: R. H. Small, "Closed-box loudspeaker systems", JAES 20 (1972) and 21 (1973), from memory.
CHARACTERS = (
    (0.55, "the level begins to fall early, and gently"),
    (0.61, "near Bessel's 0.58, which delays all of the bass most nearly alike"),
    (0.68, "the level falls gently"),
    (0.74, "near Butterworth's 0.71, flat as far down as can be without a hump"),
)

QUESTION = Question(
    words="The 200 mm bass driver moves from a closed box of 20 litres into one of 60. What does 40 Hz gain?",
    options=("About 5 dB", "About 1 dB", "Nothing: it gets softer"),
    right="About 1 dB",
    why="The small box raises the resonance, but it raises Q too, and that lifts the level just there.",
    look="Move the volume to 60 litres, and read what is said of 40 Hz.",
)


def character(Q):
    """Say what a Qtc means for the level."""
    words = next((words for bound, words in CHARACTERS if bound > Q), None)
    return words or f"a hump of {closed_alignment(Q).peak_db:.1f} dB before the level falls"


class ClosedBox(Scene):
    """Level, cone travel and impedance of one driver in a closed box over one frequency axis."""

    alternative_text = "Level, cone travel and impedance against frequency of a driver in a closed box"
    grid = GRID

    def __init__(self, drivers, cabins):
        self._drivers, self._cabins = drivers, {OPEN_AIR: None, **cabins}
        self._level_at_start = None
        pens = {
            "xmax": ("limit", "linear travel"),
            "fc": ("look", "resonance in the box"),
            "validity": ("validity", "the model holds to here"),
            "sealed": ("sealed", "in the box"),
        }
        super().__init__(pens, kept=("sealed",))

    def panels(self, system):
        """Return the three panels in a system of units."""
        impedance = Panel("impedance", "impedance,\nmagnitude [ohm]", 0.0, 60.0)
        return (*level_and_travel(system, levels=(65.0, 120.0), travels=(20.0, 0.8)), impedance)

    def parts(self, values):
        """Return the loudspeaker that the controls stand for."""
        box = SealedBox(volume=values["volume"], filling=values["filling"], Ql=values["Ql"])
        return Loudspeaker(driver=self._drivers[values["driver"]], box=box, cabin=self._cabins[values["cabin"]])

    def curves(self, values):
        """Solve the box."""
        speaker = self.parts(values)
        response = solve(speaker, GRID, values["voltage"])
        self.responses = {"sealed": response}
        self._level_at_start = self._level_at_start or _listened(response).level[0]
        return {
            "sealed": curves_of(response) | {"impedance": np.abs(response.impedance)},
            "xmax": {"level": reach_of(response), "excursion": travel_limit(speaker.driver, GRID)},
            "fc": float(speaker.box.resonance(speaker.driver)),
            "validity": float(response.validity_limit),
        }

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        volume, voltage = VOLUME.shown(system).text(values["volume"]), VOLTAGE.shown(system).text(values["voltage"])
        filled = "" if values["filling"] == 1 else f" that seem {FACTOR.metric.text(values['filling'])} as many"
        return f"{values['driver']} in {volume}{filled}: {voltage} r.m.s., 1 m, {values['cabin']}"

    def sentences(self, values, system):
        """Say what the curves amount to."""
        response = self.responses["sealed"]
        driver, cabin = response.loudspeaker.driver, response.loudspeaker.cabin
        listened = _listened(response)
        yield _resonance(response.loudspeaker)
        yield f"Going down, {half_of_what(response)} is left at {half_power(response)}."
        yield _loudness(listened, self._level_at_start)
        if driver.xmax is not None:
            yield _within_travel(listened)
        yield runs_out(response)
        if cabin:
            yield corners(response)


def _listened(response):
    return solve(response.loudspeaker, LISTEN, response.voltage)


def _listened_in(speaker):
    return float(solve(speaker, LISTEN).level_within_travel[0])


def _resonance(speaker):
    driver, shown = speaker.driver, FREQUENCY.metric
    fc, Q = speaker.box.resonance(driver), speaker.box.Qtc(driver)
    return (
        f"The box lifts the resonance from fs = {shown.text(driver.fs)} to fc = {shown.text(fc)}, and Qts = "
        f"{driver.Qts:.2f} to Qtc = {Q:.2f} (before leakage): {character(Q)}."
    )


def _loudness(listened, level_at_start):
    now = listened.level[0]
    return f"At {LISTEN:.0f} Hz it plays {now:.1f} dB, {softer(float(level_at_start - now))} where you started."


def _within_travel(listened):
    speaker = listened.loudspeaker
    tight = dataclasses.replace(speaker, box=SealedBox(volume=speaker.box.volume))
    volts = VOLTAGE.metric.text(voltage_within_travel(listened)[0])
    return (
        f"The linear travel allows {_listened_in(tight):.1f} dB there in a tight box of any size, and in this one, "
        f"which leaks, {listened.level_within_travel[0]:.1f} dB; that takes {volts}."
    )


def closed_box(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default.
        Drivers with a resonance above the picture are left out.
    """
    drivers = offered().drivers if drivers is None else drivers
    drivers, missed = sifted(drivers, below(GRID[-1]))
    cabins = offered().cabins if cabins is None else cabins
    controls = [
        Slider("volume", "Net volume", VOLUME, 6 * litre, 80 * litre, 20 * litre, 0.5 * litre),
        Slider("filling", "Filling factor", FACTOR, 1.0, 1.4, 1.0, 0.05),
        Choice("driver", "Driver", drivers, first_of("200 mm bass", drivers), left_out(missed, "driver")),
        Slider("voltage", "Amplifier, r.m.s.", VOLTAGE, 1.0, 25.0, 10.0, 0.25),
        Slider("Ql", f"Leakage Q ({USUAL_LEAKAGE:g}: Small 1973)", PLAIN, 3.0, 50.0, USUAL_LEAKAGE, 0.5),
        Choice("cabin", "Where it plays", (OPEN_AIR, *cabins), OPEN_AIR, left_out({}, "cabin")),
    ]
    return Page(controls, ClosedBox(drivers, cabins), first=2, helpers=[Litres(controls[0], controls[2], drivers)])
