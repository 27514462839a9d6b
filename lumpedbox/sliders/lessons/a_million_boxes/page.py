"""A million boxes: the page."""

from __future__ import annotations

import asyncio
import contextlib

import numpy as np

from ....figures.reach_map import ReachMap
from ....figures.stack import Panel
from ....parts.box import USUAL_LEAKAGE
from ....response import frequencies, solve
from ....units import litre
from ...kit import facts
from ...kit.answer import ONLY, Answer, Fact, fact, say, verbatim
from ...kit.controls import Choice, Slider
from ...kit.offered import first_of, fit_for, left_out, offered
from ...kit.page import Page
from ...kit.scene import Scene
from ...kit.systems import FREQUENCY, LEVEL, SYSTEMS, VOLUME
from .maps import DROOP, LARGEST, SMALLEST, TUNINGS, Map, Maps, reach_and_shape, vented

TITLE = "A million boxes"
GRID = frequencies(14, 250, per_octave=24)
SHAPE, BEST_HERE, BEST_DRIVER, BEST_ANYWHERE, BOXES = (
    "peak, droop",
    "lowest in this volume",
    "its lowest driver",
    "lowest on the map",
    "boxes",
)
NEAR = 1.02  # times as low: nearer than that, another tuning is not worth a word; ours
PAUSE = 0.01  # s, in which a move is answered
HIGHEST = 6.0  # dB, of the peak that one may allow
NONE = say("none is even")


class MillionBoxes(Scene):
    """f3 and peak of one volume over the tuning, and beside them the map of f3 over volume and tuning.

    The first answer comes without the maps of the other drivers.
    """

    alternative_text = "How low the bass reaches, and how much it peaks, against the tuning; beside it by volume too"
    grid = TUNINGS
    along, reads_at, even = "tuning [Hz]", 36.0, True
    aside = 0.5
    refines = True
    pointed = (
        {"name": "volume", "low": SMALLEST, "high": LARGEST, "even": False},
        {"name": "fb", "low": TUNINGS[0], "high": TUNINGS[-1], "even": True},
    )

    def __init__(self, drivers):
        self.drivers, self.maps = drivers, Maps(drivers)
        pens = {
            "box": ("first", "this volume"),
            "droop": ("second", "its droop"),
            "most": ("limit", "highest peak allowed"),
            "tuning": ("look", "your tuning"),
        }
        super().__init__(pens, kept=("box",))

    def panels(self, system):
        """Return the two panels, which have no other units in the US; the map has."""
        return (
            Panel("f3", "bass reaches down to [Hz]", 10.0, 90.0, tops=(170.0,)),
            Panel("peak", "peak, and droop [dB]", 0.0, 9.0, tops=(15.0, 24.0)),
        )

    def beside(self, figure):
        """Add the map."""
        self.map = ReachMap(figure)
        self._label(SYSTEMS[0])
        return self.map.moving

    def place(self, free):
        """Put the map where the panels leave room."""
        self.map.place(free)

    def use(self, system):
        """Change the axes to another system of units."""
        self._label(system)
        super().use(system)

    def _label(self, system):
        shown = VOLUME.shown(system)
        self.map.change((SMALLEST, LARGEST), f"net volume [{shown.unit}]", shown.size)

    def curves(self, values):
        """Solve one volume at every tuning, and show the driver's map as it is by now."""
        driver, volume = self.drivers[values["driver"]], values["volume"]
        found = reach_and_shape(solve(vented(driver, volume, TUNINGS), GRID), refine=not self.coarse)
        self.row = Map(np.array([volume]), TUNINGS, *(each[np.newaxis] for each in found))
        self.best = self.row.lowest(values["most"])
        shown = self.maps.of(values["driver"])
        self.map.show(*shown[:3], shown.uneven(values["most"]))
        self.map.mark((volume, values["fb"]), self.best[:2] if self.best else (np.nan, np.nan))
        return {
            "box": {"f3": self.row.f3[0], "peak": self.row.peak[0]},
            "droop": {"peak": self.row.droop[0]},
            "most": {"peak": np.full_like(TUNINGS, values["most"])},
            "tuning": values["fb"],
        }

    def answer(self, values):
        """Say how low the bass of the box reaches, and which box of this driver and of the others reaches lowest."""
        driver, volume, most = self.drivers[values["driver"]], values["volume"], values["most"]
        response = solve(vented(driver, volume, values["fb"]), GRID)
        f3, own_peak, own_droop = map(float, reach_and_shape(response, refine=True))
        others = self._others(volume, most) if self.maps.complete or not self.coarse else None
        done, all_boxes = self.maps.boxes
        return Answer(
            headline=headline(values, response, (f3, own_peak, own_droop), self.row),
            facts=(
                Fact(facts.REACH, {ONLY: facts.reach(response)}),
                fact(SHAPE, "{peak}, {droop}", peak=LEVEL(own_peak), droop=LEVEL(own_droop)),
                Fact(BEST_HERE, {ONLY: _tuned(self.best)}),
                Fact(BEST_DRIVER, {ONLY: _best_driver(others)}),
                Fact(BEST_ANYWHERE, {ONLY: _box(self.maps.of(values["driver"]).lowest(most))}),
                Fact(BOXES, {ONLY: verbatim(f"{done:,}" if done == all_boxes else f"{done:,} of {all_boxes:,}")}),
            ),
            details=tuple(self._details(response, others)),
            conditions=say(
                "{driver}, vented, leakage Q {Ql}, in open air. Boxes of {smallest} to {largest}.",
                driver=verbatim(values["driver"]),
                Ql=say(f"{USUAL_LEAKAGE:g}"),
                smallest=VOLUME(SMALLEST),
                largest=VOLUME(LARGEST),
            ),
        )

    def _others(self, volume, most):
        """Return (name, box) of every driver that has a box of this volume which peaks no more, the lowest first."""
        found = [(name, self.maps.of(name).at(volume).lowest(most)) for name in self.drivers]
        return sorted((entry for entry in found if entry[1]), key=lambda entry: entry[1][2])

    def _details(self, response, others):
        for name, (_, tuning, f3) in others or ():
            yield say(
                "{driver}: bass down to {f3} in this volume, tuned to {fb}.",
                driver=verbatim(name),
                f3=FREQUENCY(f3),
                fb=FREQUENCY(tuning),
            )
        if others is not None and len(others) < len(self.drivers):
            yield say("No tuning of this volume is even enough for the other drivers.")
        yield say("Droop is how far the level falls before f3: {droop} still count as even.", droop=LEVEL(DROOP))
        yield say("The map tells f3 to about 2 %: it is read off between the frequencies that are solved.")
        yield say(
            "No box here is asked how loud it plays, or whether its port and its driver fit. Which box asks that."
        )
        yield facts.takes_up(response.loudspeaker.driver)
        yield facts.reach_means(response)


def headline(values, response, measures, row):
    """Say how low the bass of a box reaches, or which tuning of this volume serves better."""
    (f3, own_peak, own_droop), best = measures, row.lowest(values["most"])
    volume, fb, reach = VOLUME(values["volume"]), FREQUENCY(values["fb"]), facts.reach(response)
    if best is None:
        more = ": allow more peak, or seal the box." if row.lowest(HIGHEST) else ", whatever peak you allow here."
        return say(f"No tuning of {{volume}} is even enough{more}", volume=volume)
    better = {"volume": volume, "fb": FREQUENCY(best[1]), "best": FREQUENCY(best[2])}
    if own_peak > values["most"]:
        words = "Tune {volume} to {fb}: bass to {best}, without your {peak} peak."
        return say(words, **better, peak=LEVEL(own_peak))
    if own_droop > DROOP:
        words = "Tune {volume} to {fb}: bass to {best}, without your {droop} droop."
        return say(words, **better, droop=LEVEL(own_droop))
    if f3 > best[2] * NEAR:
        return say("Tune {volume} to {fb} instead: bass down to {best}, not {f3}.", **better, f3=reach)
    words = "{volume} tuned to {fb} reach {f3}: as low as it gets."
    return say(words, volume=volume, fb=fb, f3=reach)


def _tuned(best):
    """Say how low the bass reaches at the best tuning of a volume."""
    return say("{f3} at {fb}", f3=FREQUENCY(best[2]), fb=FREQUENCY(best[1])) if best else NONE


def _best_driver(others):
    """Say which driver reaches lowest in a volume; None stands for drivers that were not asked yet."""
    if others is None:
        return say("...")
    return verbatim(others[0][0]) if others else NONE


def _box(best):
    """Say how low the bass reaches in the best box."""
    if best is None:
        return NONE
    volume, tuning, f3 = best
    return say("{f3} in {volume} at {fb}", f3=FREQUENCY(f3), volume=VOLUME(volume), fb=FREQUENCY(tuning))


class Million(Page):
    """The page, whose maps become finer while nobody moves anything."""

    _refining = None

    def rest(self):
        """Answer finely once the hand rests, and begin to make the maps finer, where a kernel runs."""
        super().rest()
        if self._refining is None:
            with contextlib.suppress(RuntimeError):  # nothing waits for a script
                self._refining = asyncio.get_running_loop().create_task(self.refine())

    async def refine(self):
        """Make every map fine, that of the chosen driver first; a move is answered in between."""
        maps = self.scene.maps
        while coarse := [name for name in (self.values["driver"], *self.scene.drivers) if name not in maps.fine]:
            for _ in maps.refine(coarse[0]):
                await asyncio.sleep(PAUSE)
            self.scene.coarse, self.start_answer = True, None  # what it was at the start follows from the finer map too
            super().rest()


def a_million_boxes(drivers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers : dict, optional
        Name: Driver; your own and the invented ones of the demonstration by default. Stand-ins are left out, and so
        are drivers that resonate above 100 Hz.
    """
    drivers, missed = fit_for("a_million_boxes", "driver", offered().drivers if drivers is None else drivers)
    controls = [
        Choice("driver", "Driver", drivers, first_of("200 mm bass", drivers), left_out(missed, "driver"), "driver"),
        Slider("volume", "Net volume", VOLUME, SMALLEST, LARGEST, 40 * litre, 0.5 * litre, "vented box"),
        Slider("fb", "Tuning", FREQUENCY, 20.0, 80.0, 45.0, 0.5, "vented box"),
        Slider("most", "Peak, at most", LEVEL, 0.5, HIGHEST, 2.0, 0.1, "wanted"),
    ]
    return Million(controls, MillionBoxes(drivers), TITLE)
