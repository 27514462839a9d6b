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
from ..kit import facts
from ..kit.answer import ONLY, Answer, Fact, fact, say, verbatim
from ..kit.controls import Choice, Power, Slider
from ..kit.litres import Litres
from ..kit.offered import first_of, fit_for, left_out
from ..kit.page import Page
from ..kit.panels import curves_of, level_and_travel, reach_of, travel_limit
from ..kit.places import Cabins
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import FACTOR, FREQUENCY, LEVEL, PLAIN, POWER, QUALITY, VOLTAGE, VOLUME

__all__ = ["QUESTION", "closed_box", "closed_box_sheet"]

GRID = frequencies(10, 400, per_octave=24)
TITLE = "How big must a closed box be?"
LISTEN = 40.0  # Hz, at which levels are told
RESONANCE, LEVEL_THERE, MOST_THERE = (
    "resonance in the box",
    f"level at {LISTEN:.0f} Hz",
    f"travel allows, at {LISTEN:.0f} Hz",
)

# What a Qtc means, in short and in full: R. H. Small, "Closed-box loudspeaker systems", JAES 20 (1972) and 21 (1973),
# from memory; where one word ends and the next begins is ours.
CHARACTERS = (
    (0.55, "an early, gentle fall", "the level begins to fall early, and gently"),
    (0.61, "a gentle fall", "near Bessel's 0.58, which delays the bass most evenly"),
    (0.68, "a gentle fall", "the level falls gently"),
    (0.74, "flat", "near Butterworth's 0.71, which stays flat furthest down without a peak"),
)
PEAKS = ((1.0, "a slight peak"), (3.0, "a peak"), (np.inf, "a strong peak"))  # dB: ours

FILLED = ", filled so that it seems {factor} as large"

QUESTION = Question(
    words="The 200 mm bass driver moves from a closed box of 20 litres into one of 60. How much louder is 40 Hz?",
    options=("About 5 dB", "About 1 dB", "Not at all: it gets softer"),
    right="About 1 dB",
    why="The small box raises the resonance, but it raises Q too, and that lifts the level right there.",
    look="Move the volume to 60 litres, and read the level at 40 Hz.",
)


def character(Q):
    """Say what a Qtc means for the level, in two or three words and in full: (str, Said)."""
    for bound, short, full in CHARACTERS:
        if bound > Q:
            return short, say(full)
    peak = closed_alignment(Q).peak_db
    short = next(words for bound, words in PEAKS if bound > peak)
    return short, say("a peak of {peak} before the level falls", peak=LEVEL(peak))


class ClosedBox(Scene):
    """Level, cone travel and impedance of one driver in a closed box over one frequency axis."""

    alternative_text = "Level, cone travel and impedance against frequency of a driver in a closed box"
    grid = GRID
    drawn_to_scale = ("sealed",)

    def __init__(self, drivers, cabins):
        self._drivers, self._cabins = drivers, cabins
        pens = {
            "xmax": ("limit", "linear travel"),
            "fc": ("look", "resonance in the box"),
            "validity": ("validity", "the model holds to here"),
            "sealed": ("sealed", "in the box"),
        }
        super().__init__(pens, kept=("sealed",), cabins=cabins)

    def panels(self, system):
        """Return the three panels in a system of units."""
        impedance = Panel("impedance", "impedance, magnitude [ohm]", 0.0, 60.0, tops=(120.0, 240.0))
        return (*level_and_travel(system, levels=(65.0, 120.0), travels=(20.0, 0.8)), impedance)

    def parts(self, values):
        """Return the loudspeaker that the controls stand for."""
        box = SealedBox(volume=values["volume"], filling=values["filling"], Ql=values["Ql"])
        return Loudspeaker(driver=self._drivers[values["driver"]], box=box, **self._cabins.at(values))

    def curves(self, values):
        """Solve the box."""
        speaker = self.parts(values)
        response = solve(speaker, GRID, values["voltage"])
        self.responses = {"sealed": response}
        return {
            "sealed": curves_of(response) | {"impedance": np.abs(response.impedance)},
            "xmax": {"level": reach_of(response), "excursion": travel_limit(speaker.driver, GRID)},
            "fc": float(speaker.box.resonance(speaker.driver)),
            "validity": float(response.validity_limit),
        }

    def load(self, values):
        """Return the load that the watts are counted into. [ohm]"""
        return float(self._drivers[values["driver"]].nominal_resistance)

    def answer(self, values):
        """Say what the volume makes of the driver, and how far down its bass reaches."""
        response = self.responses["sealed"]
        at = solve(response.loudspeaker, LISTEN, values["voltage"])
        return Answer(
            headline=headline(response, values["volume"]),
            facts=(
                fact(RESONANCE, "{fc}", fc=FREQUENCY(_resonance(response.loudspeaker)[0])),
                Fact(facts.REACH, {ONLY: facts.reach(response)}),
                fact(LEVEL_THERE, "{level}", level=LEVEL(at.level[0])),
                Fact(MOST_THERE, {ONLY: self._most(at, values)}),
                Fact(facts.WITHIN, {ONLY: facts.within_travel(response)}),
                Fact(facts.MOST, {ONLY: facts.most_travel(response)}),
            ),
            details=tuple(self._details(response, at)),
            conditions=say(
                "{driver} in {volume}{filled}: {voltage} r.m.s., {place}.",
                driver=verbatim(values["driver"]),
                volume=VOLUME(values["volume"]),
                filled=say(FILLED, factor=FACTOR(values["filling"])) if values["filling"] > 1 else say(""),
                voltage=VOLTAGE(values["voltage"]),
                place=self._cabins.told(values),
            ),
            cautions=(
                *facts.hot_coil(facts.coil_heat(response), response.loudspeaker.driver),
                *facts.protect_ears(GRID, [response.level]),
            ),
        )

    def _most(self, at, values):
        """Say how loud it plays within its travel where one listens, and what power that takes."""
        if at.loudspeaker.driver.xmax is None:
            return facts.NOT_KNOWN
        watts = float(voltage_within_travel(at)[0]) ** 2 / self.load(values)
        return say("{level} with {power}", level=LEVEL(at.level_within_travel[0]), power=POWER(watts))

    def _details(self, response, at):
        speaker = response.loudspeaker
        driver, (fc, Q) = speaker.driver, _resonance(speaker)
        yield say("The box lifts the resonance from fs = {fs} to fc = {fc}.", fs=FREQUENCY(driver.fs), fc=FREQUENCY(fc))
        yield say("It lifts Qts = {Qts} to Qtc = {Qtc}, leaving out leakage.", Qts=QUALITY(driver.Qts), Qtc=QUALITY(Q))
        yield say("In open air that Qtc means: {means}.", means=character(Q)[1])
        yield facts.reach_means(response)
        if driver.xmax is not None:
            tight = dataclasses.replace(speaker, box=SealedBox(volume=speaker.box.volume))
            most = LEVEL(solve(tight, LISTEN).level_within_travel[0])
            yield say(f"Without leaks the travel allows {{most}} at {LISTEN:.0f} Hz, in a box of any size.", most=most)
        yield facts.takes_up(driver)
        yield from self._cabins.about(response)
        yield from facts.bands([response])
        yield facts.holds_up_to(response)


def headline(response, volume):
    """Say which Qtc a volume makes, what that means, and how far down the bass reaches."""
    Q = _resonance(response.loudspeaker)[1]
    means = say(character(Q)[0])
    words = f"In {{volume}} Qtc is {{Qtc}}: {{means}}, bass {facts.ends(response)} {{reach}}."
    if response.loudspeaker.cabin:
        words = f"In {{volume}} Qtc is {{Qtc}}: bass {facts.ends(response)} {{reach}} in this vehicle."
    return say(words, volume=VOLUME(volume), Qtc=QUALITY(Q), means=means, reach=facts.reach(response))


def _resonance(speaker):
    """Return fc [Hz] and Qtc."""
    return float(speaker.box.resonance(speaker.driver)), float(speaker.box.Qtc(speaker.driver))


def closed_box(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default.
        Drivers with a resonance above the picture are left out.
    """
    drivers, missed = fit_for("closed_box", "driver", drivers)
    cabins = Cabins(cabins)
    scene = ClosedBox(drivers, cabins)
    volume = Slider("volume", "Net volume", VOLUME, 6 * litre, 80 * litre, 20 * litre, 0.5 * litre, "box")
    controls = [
        Choice("driver", "Driver", drivers, first_of("200 mm bass", drivers), left_out(missed, "driver"), "driver"),
        volume,
        Slider("filling", "Filling enlarges it", FACTOR, 1.0, 1.4, 1.0, 0.05, "box"),
        Slider("Ql", "Leakage Q", PLAIN, 3.0, 50.0, USUAL_LEAKAGE, 0.5, "box"),
        Power("voltage", "Power", 1.0, 25.0, 10.0, scene.load),
        *cabins.controls("Where it plays"),
    ]
    return Page(controls, scene, TITLE, helpers=[Litres(volume, "driver", drivers)])
