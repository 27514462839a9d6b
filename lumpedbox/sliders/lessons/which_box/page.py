"""Which box to build: the best sealed and vented ones for a space, a port and an amplifier, and how sure that is."""

from __future__ import annotations

import html

import ipywidgets
import numpy as np

from ....design.certainty import in_words
from ....design.search import WORDS, Brief, recommend
from ....design.search.brief import KINDS, VENTED
from ....design.search.limits import POWER, loosened
from ....design.search.recommendation import search_driver
from ....design.trade_off import BEYOND, of_candidates
from ....figures.stack import Panel
from ....figures.trade_off import TradeOffPicture
from ....parts.amplifier import with_bridged
from ....parts.displacement import assumed_from
from ....parts.loudspeaker import as_it_comes
from ....response import frequencies, solve
from ....response.limits import CAUTION_SPEED
from ....units import cm2, inch, litre, mm
from ...kit.controls import Choice, Slider
from ...kit.litres import Litres
from ...kit.offered import AMPLIFIER, first_of, fit_for, left_out, offered
from ...kit.page import Page
from ...kit.predict import Question
from ...kit.scene import BUILDS, DRAWN, Scene
from ...kit.systems import (
    AREA,
    DELAY,
    FACTOR,
    FREQUENCY,
    LENGTH,
    LEVEL,
    SPEED,
    SYSTEMS,
    TRAVEL,
    VOLTAGE,
    VOLUME,
)
from ...kit.words import OPEN_AIR, takes_up

GRID = frequencies(15, 300, per_octave=24)
CANDIDATES = 900  # boxes to try first: what a slider can wait for
AIMS = {
    "reaching low": "f3",
    "a small box": "volume",
    "a low hump": "ripple",
    "a short group delay": "delay",
    "little travel": "excursion",
}
LARGEST_SHOWN = 80 * litre
LOW_F3, HIGH_F3 = 15.0, 120.0  # Hz
# What the units that limits are said in are of.
UNITS = {"V": VOLTAGE, "Hz": FREQUENCY, "dB": LEVEL, "ms": DELAY, "litres": VOLUME, "cm²": AREA, "mm": LENGTH}

QUESTION = Question(
    words="30 litres are free for a 200 mm bass driver. What does the best sealed box make of all 30?",
    options=("A lower f3 than with any less", "It leaves some free: larger is no better", "It needs more than 30"),
    right="It leaves some free: larger is no better",
    why="In a larger box Q is lower, the level begins to fall earlier, and f3 rises again.",
    look="Look at the blue line to the right, and where its dot lies.",
)


class WhichBox(Scene):
    """Level and travel of the best boxes over one frequency axis, and beside them bass against size."""

    alternative_text = "Level and travel of the best sealed and vented box, and half-power frequency against volume"
    grid = GRID
    right = 0.6
    band_words = BUILDS

    def __init__(self, drivers, amplifiers, cabins, reach):
        self._drivers, self._amplifiers, self._cabins = drivers, amplifiers, {OPEN_AIR: None, **cabins}
        self._reach = reach
        pens = {
            "sealed": ("sealed", "sealed"),
            "vented": ("vented", "vented"),
            "travel": ("limit", "linear travel"),
            "lowest": ("look", "lowest tone"),
        }
        super().__init__(pens, kept=KINDS)

    def panels(self, system):
        """Return the two panels in a system of units."""
        travel = TRAVEL.shown(system)
        step = 5 * mm if travel.size == mm else 0.2 * inch
        return (
            Panel("level", "level at 1 m\n[dB re 20 µPa]", 60.0, 120.0),
            Panel("excursion", f"travel of the cone,\npeak [{travel.unit}]", 0.0, 4 * step / travel.size, travel.size),
        )

    def beside(self, figure):
        """Add the axes of f3 over volume; return what moves in them."""
        low, high = self.stack.axes["excursion"].get_position().y0, self.stack.axes["level"].get_position().y1
        self.trade = TradeOffPicture(figure.add_axes((0.68, low, 0.305, high - low)), LOW_F3, HIGH_F3)
        self._label(SYSTEMS[0])
        return self.trade.moving

    def _label(self, system):
        shown = VOLUME.shown(system)
        self.trade.change(LARGEST_SHOWN, f"box with port and driver [{shown.unit}]", shown.size)

    def use(self, system):
        """Change the axes to another system of units."""
        self._label(system)
        super().use(system)

    def brief(self, values):
        """Return the brief that the controls stand for."""
        amplifier = self._amplifiers[values["amplifier"]]
        return Brief(
            volume=values["volume"],
            amplifier=amplifier,
            voltage=values["share"] * float(amplifier.voltage),
            port_area=values["port_area"],
            port_length=values["port_length"],
            lowest=values["lowest"],
            f3=values["f3"],
            ripple=values["ripple"],
            port_speed=values["port_speed"],
            aim=AIMS[values["aim"]],
            cabin=self._cabins[values["cabin"]],
        )

    def curves(self, values):
        """Search the best boxes, and solve them with their spread."""
        brief, driver = self.brief(values), self._drivers[values["driver"]]
        self.found = search_driver(values["driver"], driver, brief, CANDIDATES, most=BEYOND)
        self.designs = {design.kind: design for design in self.found.designs}
        self.responses = {kind: self._spread(design) for kind, design in self.designs.items()}
        nothing = {"level": None, "excursion": None}
        curves = {kind: nothing for kind in KINDS} | {
            kind: {"level": response.level, "excursion": response.excursion}
            for kind, response in self.responses.items()
        }
        xmax = None if driver.xmax is None else np.full_like(GRID, driver.xmax)
        return curves | {"travel": {"excursion": xmax}, "lowest": brief.lowest}

    def _spread(self, design):
        """Return the response of a design whose driver and box differ as they usually do."""
        return solve(as_it_comes(design.loudspeaker), GRID, design.brief.drive)

    def move(self, values):
        """Move the curves, and bass against size, to what the controls stand at."""
        super().move(values)
        for kind in set(KINDS) - set(self.responses):
            self.stack.shade(kind, GRID, {})
        points = {kind: (design.values["volume"], design.values["f3"]) for kind, design in self.designs.items()}
        entries = [of_candidates(candidates) for candidates, _ in self.found.tried]
        self.trade.show(entries, WORDS, values["volume"], points)

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        brief = self.brief(values)
        return (
            f"{values['driver']}; {values['amplifier']} at {VOLTAGE.metric.text(brief.drive)}, steady tones from "
            f"{FREQUENCY.metric.text(brief.lowest)} up; leakage Q {brief.Ql:g} (Small 1973); 1 m, {values['cabin']}"
        )

    def sentences(self, values, system):
        """Say what to build, and why no other."""
        for design in sorted(self.designs.values(), key=lambda design: design.values[design.brief.aim]):
            yield in_units(design, system)
        driver = self._drivers[values["driver"]]
        if assumed_from(driver):
            yield takes_up(driver, system)
        for refusal in self.found.refusals():
            yield refused_in_units(refusal, self.brief(values), system, self._reach)
        if self._cabins[values["cabin"]]:
            yield "Half power, hump, sag and group delay are of what is heard in the vehicle, its lift included."
        if self.designs:
            best = min(self.designs.values(), key=lambda design: design.values[design.brief.aim])
            yield f"How sure the {best.kind} one is: {in_words(self.responses[best.kind], values['lowest'], DRAWN)}"


def in_units(design, system):
    """Say what a design is, what it comes to and what holds it, in a system of units."""
    box, values, brief = design.loudspeaker.box, design.values, design.brief
    volume, length = VOLUME.shown(system), LENGTH.shown(system)
    what = f"{design.kind.capitalize()}: {volume.text(box.volume)} net"
    if design.kind == VENTED:
        port = box.port
        what += (
            f", tuned to {FREQUENCY.metric.text(float(port.tuning(box.volume)))} by a round port of "
            f"{length.text(float(port.diameter))} inside and {length.text(float(port.length))} length"
        )
    told = [
        f"half power at {FREQUENCY.metric.text(values['f3'])}",
        f"a hump of {LEVEL.metric.text(values['ripple'])}",
        f"a sag of {LEVEL.metric.text(values['sag'])}",
        f"at most {DELAY.metric.text(values['delay'])} of group delay",
    ]
    xmax = design.loudspeaker.driver.xmax
    if xmax is not None:
        travel = TRAVEL.shown(system)
        told.append(f"the cone moves {travel.text(values['excursion'] * float(xmax))} of {travel.text(float(xmax))}")
    if design.kind == VENTED:
        told.append(f"the air in the port {SPEED.shown(system).text(values['port_speed'])}")
    taken = f"with port and driver {volume.text(values['volume'])}; there are {volume.text(brief.volume)}"
    return " ".join([f"{what} ({taken}): {', '.join(told)}.", *design.limits_in_words])


def refused_in_units(refusal, brief, system, reach):
    """Say why a kind of box, or a driver, is out and what it takes, in a system of units.

    Of the ways out, those that the controls reach are told; where there is none, all.
    """
    if refusal.limit == "xmax":
        return "No box can be judged: the linear travel of this driver is not known. Measure it."
    if not refusal.relaxed:
        return f"No {refusal.kind + ' ' if refusal.kind else ''}box: {refusal.why}"
    what = f"A {refusal.kind} box" if refusal.kind else "No box"
    found = [loosened(brief, relaxed) for relaxed in refusal.relaxed.values()]
    within = [way for way in found if all(_reached(limit, new, brief, reach) for limit, (_, new) in way.items())]
    ways = [" and ".join(_looser(limit, new, system) for limit, (_, new) in way.items()) for way in within or found]
    needs = "would fit with" if refusal.kind else "does it; what would help:"
    beyond = "" if within else ": more than can be set here"
    return f"{what} {needs} {', or '.join(ways)}{beyond}."


def _looser(limit, value, system):
    return limit.told.format(UNITS[limit.unit].shown(system).text(value))


def _reached(limit, value, brief, reach):
    """Return whether a control reaches a limit."""
    name, size = ("share", float(brief.amplifier.voltage)) if limit is POWER else (limit.name, 1.0)
    low, high = reach.get(name, (np.inf, -np.inf))
    return low <= value / size <= high


class EveryDriver:
    """A button that searches the boxes of every driver that is offered, by the brief of the page.

    Parameters
    ----------
    drivers : dict
        Name: Driver.
    page : callable
        Returns the brief of the page, the units it is read in, and what its controls reach.
    """

    title = "Try every driver"

    def __init__(self, drivers, page):
        self._drivers, self._page = drivers, page
        self._button = ipywidgets.Button(description="Search with every driver", layout={"width": "auto"})
        self._answer = ipywidgets.HTML()
        self._button.on_click(self.search)
        self.widget = ipywidgets.VBox([self._button, self._answer])

    @property
    def answer(self):
        """What is said, as plain text."""
        return html.unescape(self._answer.value)

    def search(self, _button=None):
        """Search, and say of each driver what its best box is, the best one first, or why it has none."""
        self._answer.value = "Searching: this takes some seconds."
        try:
            entries = self._entries(*self._page())
        except ValueError as error:
            entries = [str(error)]
        self._answer.value = "".join(f"<p>{html.escape(entry, quote=False)}</p>" for entry in entries)

    def _entries(self, brief, system, reach):
        found, best = recommend(self._drivers, brief, best=2 * len(self._drivers), candidates=CANDIDATES), {}
        for design in found.designs:
            best.setdefault(design.name, design)
        suited = [f"{name}. {in_units(design, system)}{self._assumed(name, system)}" for name, design in best.items()]
        return suited + [
            f"{name}. {refused_in_units(out, brief, system, reach)}" for name, out in found.refused.items()
        ]

    def _assumed(self, name, system):
        driver = self._drivers[name]
        return f" {takes_up(driver, system)}" if assumed_from(driver) else ""


def which_box(drivers=None, amplifiers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, amplifiers, cabins : dict, optional
        Name: Driver, name: Amplifier or HeadUnit, name: Cabin; your own and the invented ones of the demonstration
        by default. Drivers that resonate above 100 Hz are left out; an amplifier that can be bridged is offered so too.
    """
    drivers = offered().drivers if drivers is None else drivers
    amplifiers = offered().amplifiers | offered().head_units if amplifiers is None else amplifiers
    cabins = offered().cabins if cabins is None else cabins
    deep, missed = fit_for("which_box", "driver", drivers)
    sources = with_bridged(amplifiers)
    controls = [
        Slider("volume", "Space inside the box", VOLUME, 6 * litre, 60 * litre, 30 * litre, 0.5 * litre),
        Slider("port_area", "Largest port", AREA, 10 * cm2, 200 * cm2, 80 * cm2, 1 * cm2),
        Slider("port_length", "Longest port, bent if need be", LENGTH, 100 * mm, 800 * mm, 400 * mm, 10 * mm),
        Choice("driver", "Driver", deep, first_of("200 mm bass", deep), left_out(missed, "driver")),
        Choice("aim", "What matters most", AIMS, "reaching low"),
        Choice("amplifier", "Amplifier", sources, first_of(AMPLIFIER, sources), left_out({}, "amplifier", "head_unit")),
        Slider("share", "Voltage used, of the amplifier's", FACTOR, 0.1, 1.0, 0.7, 0.01),
        Slider("lowest", "Lowest tone that is played", FREQUENCY, 20.0, 80.0, 35.0, 0.5),
        Slider("f3", "Half power, at most", FREQUENCY, 20.0, HIGH_F3, HIGH_F3, 1.0),
        Slider("ripple", "Hump, at most", LEVEL, 0.1, 6.0, 2.0, 0.1),
        Slider("port_speed", "Speed in the port, at most", SPEED, 5.0, 30.0, CAUTION_SPEED, 0.5),
        Choice("cabin", "Where it plays", (OPEN_AIR, *cabins), OPEN_AIR, left_out({}, "cabin")),
    ]
    reach = {control.name: (control.low, control.high) for control in controls if isinstance(control, Slider)}
    scene = WhichBox(deep, sources, cabins, reach)
    every = EveryDriver(deep, lambda: (scene.brief(page.values), page.system, reach))
    page = Page(controls, scene, first=2, helpers=[Litres(controls[0], controls[3], deep), every])
    return page
