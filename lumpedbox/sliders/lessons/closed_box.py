"""One driver in a closed box of any size."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...design.alignments import closed_alignment, closed_volume
from ...figures.stack import Panel
from ...parts.box import USUAL_LEAKAGE, SealedBox
from ...parts.driver import Driver
from ...parts.loudspeaker import Loudspeaker
from ...parts.variants import with_total_q
from ...response import frequencies, solve
from ...response.limits import voltage_within_travel
from ...units import cm2, litre
from ..kit.controls import Choice, Slider
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Sheet
from ..kit.litres import Litres
from ..kit.offered import first_of, fit_for, left_out, offered
from ..kit.page import Page
from ..kit.panels import curves_of, level_and_travel, reach_of, travel_limit
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import FACTOR, FREQUENCY, PLAIN, QUALITY, VOLTAGE, VOLUME
from ..kit.words import OPEN_AIR, corners, half_of_what, half_power, runs_out, softer

DRIVER_AND_VOLUME = {
    "fs": Drawn(FREQUENCY, (28, 32, 36, 40, 45)),
    "Vas": Drawn(VOLUME, (24, 30, 36, 45, 60)),
    "volume": Drawn(VOLUME, (12, 15, 18, 20, 25)),
}

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
    drivers, missed = fit_for("closed_box", "driver", drivers)
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


def driver_of(given):
    """Return a driver with the fs and Vas of such numbers."""
    return Driver.from_thiele_small(fs=given["fs"], Qes=0.5, Qms=5.0, Vas=given["Vas"], Sd=200 * cm2, Re=3.4)


def closed_box_resonance(given):
    """Return the resonance of that driver in a closed box of such a volume, filled or not. [Hz]"""
    box = SealedBox(volume=given["volume"], filling=given.get("filling", 1.0))
    return float(box.resonance(driver_of(given)))


def closed_box_sheet():
    """Return the exercises of the lesson on closed boxes."""
    return Sheet((volume_for_q(), filled(), vas_from_a_box()))


def volume_for_q():
    """Ask for the volume that gives a Qtc."""
    return Exercise(
        question="A driver has Qts = {Qts} and Vas = {Vas}. How big must a tight closed box be for Qtc = {Qtc}?",
        numbers={
            "Qts": Drawn(QUALITY, (0.35, 0.4, 0.45, 0.5)),
            "Qtc": Drawn(QUALITY, (0.6, 0.7, 0.8, 0.9)),
            "Vas": Drawn(VOLUME, (24, 30, 36, 45, 60)),
        },
        answer=_volume,
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the square was forgotten",
                lambda given: given["Vas"] / (given["Qtc"] / given["Qts"] - 1),
                "Q grows with the square root of 1 + Vas / V.",
            ),
            Misconception(
                "the suspension's own spring was forgotten",
                lambda given: given["Vas"] / (given["Qtc"] / given["Qts"]) ** 2,
                "The air's spring comes on top of the suspension's: 1 + Vas / V.",
            ),
        ),
    )


def _volume(given):
    driver = with_total_q(driver_of(given | {"fs": 30.0}), given["Qts"])  # whatever fs
    return closed_volume(driver, Qtc=given["Qtc"])


def filled():
    """Ask for the resonance in a box with filling."""
    return Exercise(
        question=(
            "A driver has fs = {fs} and Vas = {Vas}. In a closed box of {volume} filling makes the air seem {filling} "
            "times as large. Where is the resonance?"
        ),
        numbers=DRIVER_AND_VOLUME | {"filling": Drawn(PLAIN, (1.2, 1.3, 1.4))},
        answer=closed_box_resonance,
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the suspension was taken to grow softer too",
                lambda given: closed_box_resonance(given | {"filling": 1.0}) / np.sqrt(given["filling"]),
                "Filling softens the spring of the air, and nothing else.",
            ),
            Misconception(
                "the filling was taken to make the box smaller",
                lambda given: driver_of(given).fs * np.sqrt(1 + given["filling"] * given["Vas"] / given["volume"]),
                "Filling keeps the air from warming when it is squeezed: it gives way more easily.",
            ),
        ),
        tolerance=0.01,
    )


def vas_from_a_box():
    """Ask for Vas from the two frequencies where the impedance peaks."""
    return Exercise(
        question=(
            "The impedance of a driver peaks at {fs} in free air, and at {fc} on a tight test box of {volume}. What is "
            "its Vas?"
        ),
        numbers={
            "fs": Drawn(FREQUENCY, (28, 32, 36, 40)),
            "fc": Drawn(FREQUENCY, (58, 61.5, 65, 68.5)),
            "volume": Drawn(VOLUME, (12, 15, 18, 20, 25)),
        },
        answer=lambda given: given["volume"] * ((given["fc"] / given["fs"]) ** 2 - 1),
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the square was forgotten",
                lambda given: given["volume"] * (given["fc"] / given["fs"] - 1),
                "The stiffness grows with the square of the frequency.",
            ),
            Misconception(
                "all of the stiffness was put down to the air",
                lambda given: given["volume"] * (given["fc"] / given["fs"]) ** 2,
                "Part of it is the suspension's own: it was there in free air.",
            ),
        ),
    )
