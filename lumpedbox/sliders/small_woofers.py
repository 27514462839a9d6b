"""Three drivers of different size in the same large panel."""

from __future__ import annotations

import numpy as np

from ..figures.stack import Panel, stack
from ..files import demo_cabins, demo_drivers
from ..parts.box import InfiniteBaffle
from ..parts.loudspeaker import Loudspeaker
from ..response import frequencies, solve
from ..units import cm3
from .controls import Choice, Slider
from .page import Page
from .systems import FREQUENCY, SYSTEMS, TRAVEL, VOLTAGE
from .words import OPEN_AIR, softer

GRID = frequencies(20, 500, per_octave=24)
NAMES = ("first", "second", "third")
START = ("200 mm step well, tired", "165 mm panel", "130 mm step well")


class Scene:
    """Level, highest level within the linear travel, and travel, of three drivers over one frequency axis."""

    alternative_text = "Level, highest level within the linear travel, and cone travel of three drivers"

    def __init__(self, drivers, cabins):
        self._drivers, self._cabins = drivers, {OPEN_AIR: None, **cabins}
        curves = {f"{name} at the start": ("start", "where you started" if name == "first" else "") for name in NAMES}
        curves |= {name: (name, f"{name} driver") for name in NAMES}
        curves["look"] = ("look", "where you look")
        self.stack = stack(_panels(SYSTEMS[0]), curves, GRID[0], GRID[-1])
        self.figure = self.stack.figure
        self.moving = [line for (name, _), line in self.stack.lines.items() if "start" not in name]
        self._start, self.responses = None, {}

    def use(self, system):
        """Change the axes to another system of units."""
        self.stack.change(_panels(system))
        if self._start is not None:
            self._show_start()

    def parts(self, values):
        """Return the loudspeakers that the controls stand for: {"first": ..., "second": ..., "third": ...}."""
        cabin = self._cabins[values["cabin"]]
        return {
            name: Loudspeaker(driver=self._drivers[values[name]], box=InfiniteBaffle(), cabin=cabin) for name in NAMES
        }

    def update(self, values, system):
        """Solve the three drivers, move the curves; return the conditions and what they amount to."""
        speakers = self.parts(values)
        self.responses = {name: solve(speaker, GRID, values["voltage"]) for name, speaker in speakers.items()}
        if self._start is None:
            self._start = self.responses
            self._show_start()
        for name, response in self.responses.items():
            self.stack.show(name, GRID, curves_of(response))
        self.stack.upright("look", values["look"])
        return _conditions(values), " ".join(_sentences(speakers, values))

    def _show_start(self):
        for name, response in self._start.items():
            self.stack.show(f"{name} at the start", GRID, curves_of(response))


def _panels(system):
    travel = TRAVEL.shown(system)
    top = 10.0 if system == SYSTEMS[0] else 0.4
    return (
        Panel("level", "level at 1 m\n[dB re 20 µPa]", 50.0, 110.0),
        Panel("reach", "highest level within\nlinear travel [dB]", 50.0, 110.0),
        Panel("excursion", f"cone travel, peak\n[{travel.unit}]", 0.0, top, travel.size),
    )


def curves_of(response):
    """Return what the panels show of a response, by panel; a driver without xmax has no level within its travel."""
    known = response.loudspeaker.driver.xmax is not None
    reach = response.level_within_travel if known else None
    return {"level": response.level, "reach": reach, "excursion": response.excursion}


def _conditions(values):
    drivers = "; ".join(f"{name}: {values[name]}" for name in NAMES)
    return f"{drivers}. {VOLTAGE.metric.text(values['voltage'])} r.m.s., 1 m, large panel, {values['cabin']}"


def _sentences(speakers, values):
    at = {name: solve(speaker, values["look"], values["voltage"]) for name, speaker in speakers.items()}
    largest, smallest = at["first"], at["third"]
    first, third = values["first"], values["third"]
    difference = float(largest.level[0] - smallest.level[0])
    yield (
        f"At {values['look']:.0f} Hz the {third} plays {smallest.level[0]:.1f} dB: "
        f"{softer(difference)} the {first} ({largest.level[0]:.1f} dB)."
    )
    if largest.loudspeaker.driver.xmax is None or smallest.loudspeaker.driver.xmax is None:
        yield "One of the two has no linear travel on its data sheet: nothing is said about running out of it."
        return
    gap = float(largest.level_within_travel[0] - smallest.level_within_travel[0])
    moved = [response.loudspeaker.driver.Vd / cm3 for response in (smallest, largest)]
    yield (
        f"Held within its linear travel it reaches {smallest.level_within_travel[0]:.1f} dB there, "
        f"{softer(gap)} the {first}: it moves {moved[0]:.0f} cm³ of air at most, against {moved[1]:.0f} cm³."
    )
    response = solve(speakers["third"], GRID, values["voltage"])
    over = np.flatnonzero(response.excursion > response.loudspeaker.driver.xmax)
    yield (
        f"At this voltage it runs out of travel below {GRID[over[-1]]:.0f} Hz."
        if over.size
        else f"At this voltage it stays within its travel down to {GRID[0]:.0f} Hz."
    )


def small_woofers(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; the invented ones of the demonstration by default.
    """
    drivers = demo_drivers() if drivers is None else drivers
    cabins = demo_cabins() if cabins is None else cabins
    starts = START if set(START) <= set(drivers) else tuple(list(drivers) * 3)[:3]
    controls = [
        Slider("look", "Frequency to look at", FREQUENCY, 20.0, 300.0, 40.0, 1.0),
        Slider("voltage", "Amplifier, r.m.s.", VOLTAGE, 0.5, 20.0, 2.83, 0.25),
        *(
            Choice(name, f"{name.capitalize()} driver", drivers, start)
            for name, start in zip(NAMES, starts, strict=True)
        ),
        Choice("cabin", "Where they play", (OPEN_AIR, *cabins), OPEN_AIR),
    ]
    return Page(controls, Scene(drivers, cabins), first=2)
