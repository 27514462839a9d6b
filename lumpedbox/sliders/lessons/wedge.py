"""Why a wedge holds less than one thinks: the litres outside, the boards, and what sits in them."""

from __future__ import annotations

import math

import numpy as np

from ...build import Board, Brace, Carcass, Cup, Inside, PortRun, Profile, Seat, acoustic_box, fit, net_account
from ...build import net_by_convention as by_convention
from ...build.workings.ends import Unsawable
from ...errors import Refused
from ...figures.side_view import SideView
from ...figures.stack import Panel
from ...parts.box import USUAL_LEAKAGE, SealedBox, VentedBox
from ...parts.loudspeaker import Loudspeaker
from ...parts.port import Port
from ...response import frequencies, solve
from ...units import litre, mm
from ..exercises.wedge import sheet as wedge_sheet
from ..kit import facts
from ..kit.answer import Answer, Fact, say, verbatim
from ..kit.controls import Choice, Slider
from ..kit.offered import first_of, fit_for, left_out
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import FREQUENCY, LENGTH, LEVEL, QUALITY, TRAVEL, VOLTAGE, VOLUME, WOOD

__all__ = ["QUESTION", "wedge", "wedge_sheet"]

GRID = frequencies(15, 300, per_octave=24)
TITLE = "Why does the wedge hold less than you think?"
VOLTS = 2.83
STRAIGHT, STEP = "straight down", "over a step"
STEP_POINTS = ((180 * mm, 0.0), (0.0, 260 * mm), (150 * mm, 260 * mm))  # invented: foot of the riser, wall, tread
CLOSED, VENTED = "closed", "60 mm port"
TUBE, WALL, BELOW_THE_TOP = 60 * mm, 3 * mm, 87 * mm
NOTHING, BOTH = "nothing", "brace and cup"
BAR, CUP = Brace(length=300 * mm, breadth=60 * mm, thickness=18 * mm), Cup(volume=0.15 * litre)
THOUGHT, BUILT = "by the outside", "as built"
LITRES, BOARDS, DRIVER, REST = "litres", "boards take", "driver takes", "port, brace, cup"
QTC, TUNING = "Qtc", "port tunes to"
LARGEST, DEEP = 0.6, 30.0  # m; Hz, at which levels are told
TOLD = {"built": "built", "thought": "outside"}
UNBUILDABLE = say("No such box: make it larger, or the boards thinner.")
TOO_STEEP = say("No saw tilts so far: let the front lean less.")

QUESTION = Question(
    words=(
        "A wedge is 400 mm high and 400 mm wide, 300 mm deep at the floor and 180 mm at the top: 38 litres. The board "
        "is 18 mm. With its driver, how much air is in it?"
    ),
    options=("About 36 litres", "About 31 litres", "About 26 litres"),
    right="About 26 litres",
    why="Six boards take over 11 litres, since each costs its whole face times 18 mm. The driver takes nearly 1 more.",
    look="Make the board 9 mm thick, then 25 mm, and watch the bar over the side view.",
)


def closed(values):
    """Return whether the box has no port."""
    return values["port"] == CLOSED


class Top(Slider):
    """The slider of the depth at the top, which also says how far the front leans."""

    def note(self, si, values, system):
        """Say the angle from upright."""
        lean = math.degrees(math.atan2(values["depth"] - si, values["height"]))
        return f"(leans {abs(lean):.0f}°)"


def tapered(values):
    """Return the outside that the controls stand for."""
    depth, top, height = (values[name] for name in ("depth", "top", "height"))
    if values["back"] == STRAIGHT:
        return Profile(points=((0, 0), (depth, 0), (top, height), (0, height)), names=("floor", "front", "top", "back"))
    foot, wall, tread = STEP_POINTS
    points = (foot, (depth, 0), (top, height), (0, height), wall, tread)
    return Profile(points=points, names=("floor", "front", "top", "back", "tread", "riser"))


class Wedge(Scene):
    """Level of a driver in the litres outside, inside the boards, and in what is left, beside the box to scale."""

    alternative_text = "Level against frequency in all of the outside litres, in the empty box and in the box as built"
    grid = GRID
    aside = 0.38

    def __init__(self, drivers):
        self._drivers = drivers
        pens = {
            "outside": ("second", "all of the outside"),
            "inside": ("third", "empty, inside the boards"),
            "built": ("first", "as built"),
        }
        self.view = None  # until its figure is there
        super().__init__(pens, kept=("built",))

    def panels(self, system):
        """Return the one panel, which has no other units in the US; the side view has."""
        self._system = system
        if self.view is not None:
            self._name_the_axes()
        return (Panel("level", "level [dB re 20 µPa] at 1 m", 65.0, 95.0, tops=(105.0, 120.0)),)

    def beside(self, figure):
        """Add the box from the side."""
        self.view = SideView(figure, LARGEST)
        self._name_the_axes()
        return self.view.moving

    def _name_the_axes(self):
        shown = LENGTH.shown(self._system)
        self.view.label(shown.unit, shown.size)

    def place(self, free):
        """Put the side view where the panel leaves room."""
        self.view.place(free)

    def parts(self, values):
        """Return the box of boards and what is in it."""
        box = Carcass(profile=tapered(values), width=values["width"], board=Board(thickness=values["board"]))
        front = box.profile.lengths[box.profile.names.index("front")]
        runs = ()
        if not closed(values):
            tube = Port(length=values["length"], diameter=TUBE)
            runs = PortRun(port=tube, panel="front", along=max(front - BELOW_THE_TOP, front / 2), wall=WALL)
        seat = Seat(driver=self._drivers[values["driver"]], panel="front", along=0.45 * front)
        return box, Inside(drivers=seat, ports=runs, others=(BAR, CUP) if values["more"] == BOTH else ())

    def curves(self, values):
        """Account for the litres, and solve the three boxes."""
        self.box, self.responses = None, {}
        try:
            box, self.inside = self.parts(values)
            self.account = net_account(box, self.inside)
            built = acoustic_box(box, self.inside, SealedBox(volume=self.account.sum, Ql=USUAL_LEAKAGE))
        except Refused as refused:
            self.refused = refused
            self.view.show(None, None, {})
            return {name: {} for name in ("outside", "inside", "built")}
        self.box = box
        self.view.show(box, self.inside, self._shares())
        driver, boxes = self._drivers[values["driver"]], {"built": built}
        boxes |= {"outside": self._with(built, box.outside_volume), "inside": self._with(built, box.inside_volume)}
        found = {name: solve(Loudspeaker(driver=driver, box=one), GRID, VOLTS) for name, one in boxes.items()}
        self.found = found
        return {name: {"level": response.level} for name, response in found.items()}

    @staticmethod
    def _with(built, volume):
        """Return the box as it is, but with other litres."""
        if isinstance(built, SealedBox):
            return SealedBox(volume=volume, Ql=USUAL_LEAKAGE)
        return VentedBox(volume=volume, port=built.port, Ql=USUAL_LEAKAGE)

    def _taken(self):
        """Return what boards, driver and the rest take of the outside. [m3]"""
        lines = {line.name: -line.volume for line in self.account.lines}
        rest = sum(lines.get(name, 0.0) for name in ("port", "brace", "terminal cup"))
        driver = -self.account.sum + self.box.inside_volume - rest
        return {"boards": self.box.outside_volume - self.box.inside_volume, "driver": driver, "rest": rest}

    def _shares(self):
        """Return the shares of the outside volume. [1]"""
        return {name: volume / self.box.outside_volume for name, volume in self._parted().items()}

    def _parted(self):
        return {"air": self.account.sum} | self._taken()

    def answer(self, values):
        """Say what the space holds, and what that does to the bass."""
        if self.box is None:
            headline = TOO_STEEP if isinstance(self.refused, Unsawable) else UNBUILDABLE
            return Answer(headline=headline, details=(verbatim(f"The {self.refused.name} {self.refused.problem}."),))
        return Answer(
            headline=self._headline(values),
            facts=tuple(self._facts(values)),
            details=tuple(self._details(values)),
            conditions=self._conditions(values),
            cautions=tuple(self._misfits()),
        )

    def _headline(self, values):
        litres = {"outside": VOLUME(self.box.outside_volume), "net": VOLUME(self.account.sum)}
        words = "{outside} of space hold {net} of air: "
        words += "Qtc is {built}, not {thought}." if closed(values) else "the port tunes to {built}, not {thought}."
        return say(words, **litres, **{name: self._tone(column, values) for name, column in TOLD.items()})

    def _tone(self, name, values):
        """Return what a box makes of the driver or its port: Qtc or the tuning."""
        box = self.found[name].loudspeaker.box
        return QUALITY(box.Qtc(self._drivers[values["driver"]])) if closed(values) else FREQUENCY(box.tuning())

    def _facts(self, values):
        boxes = {THOUGHT: self.found["outside"], BUILT: self.found["built"]}
        volumes = {THOUGHT: self.box.outside_volume, BUILT: self.account.sum}
        yield Fact(LITRES, {column: say("{net}", net=VOLUME(volume)) for column, volume in volumes.items()})
        yield Fact(facts.REACH, {column: facts.reach(response) for column, response in boxes.items()})
        told = {THOUGHT: self._tone("outside", values), BUILT: self._tone("built", values)}
        yield Fact(
            QTC if closed(values) else TUNING, {column: say("{tone}", tone=tone) for column, tone in told.items()}
        )
        taken = self._taken()
        yield Fact(BOARDS, {BUILT: say("{volume}", volume=VOLUME(taken["boards"]))})
        yield Fact(DRIVER, {BUILT: say("{volume}", volume=VOLUME(taken["driver"]))})
        if taken["rest"]:
            yield Fact(REST, {BUILT: say("{volume}", volume=VOLUME(taken["rest"]))})

    def _details(self, values):
        for line in self.account.lines:
            told = line.name.capitalize()
            sign = "" if line.volume > 0 else "less "
            yield say(
                f"{{name}}: {sign}{{volume}}, {line.source}.", name=verbatim(told), volume=VOLUME(abs(line.volume))
            )
        yield say("Together {net} of air are left.", net=VOLUME(self.account.sum))
        starts = by_convention(self.box, self.inside)
        yield say(
            "Some makers print what a driver takes up from the inner face of the board: then {net} are left.",
            net=VOLUME(starts["inner face"]),
        )
        yield say(
            "The inside is smaller by two boards each way. Where the front leans, its board is thicker as the level "
            "cuts it: {across} instead of {board}.",
            across=TRAVEL(values["board"] * self._slant(values)),
            board=TRAVEL(values["board"]),
        )
        thought, built = (float(np.interp(DEEP, GRID, self.found[name].level)) for name in ("outside", "built"))
        yield say(
            "At {deep} it plays {softer} softer than with all of the outside.",
            deep=FREQUENCY(DEEP),
            softer=LEVEL(thought - built),
        )
        if not closed(values):
            yield say("The same port tunes a smaller box higher: cut its length for the litres that are left.")
        yield facts.reach_means(self.found["built"])

    @staticmethod
    def _slant(values):
        """Return how much thicker the leaning front is as the level cuts it. [1]"""
        return math.hypot(1.0, (values["depth"] - values["top"]) / values["height"])

    def _misfits(self):
        for margin in fit(self.box, self.inside):
            if not margin.fits:
                yield say(f"Does not fit: {margin.name}. {margin.words}")

    def _conditions(self, values):
        what = "closed, usual leaks" if closed(values) else "with its port, usual leaks"
        return say(
            f"{{driver}} in the front, {what}: {{volts}} r.m.s., half space. {{board}} of board all round.",
            driver=verbatim(values["driver"]),
            volts=VOLTAGE(VOLTS),
            board=TRAVEL(values["board"]),
        )


def wedge(drivers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers : dict, optional
        Name: Driver; your own and the invented ones of the demonstration by default.
    """
    deep, missed = fit_for("wedge", "driver", drivers)
    controls = [
        Choice("back", "Back", (STRAIGHT, STEP), STRAIGHT, group="box outside"),
        Slider("height", "Height", WOOD, 0.2, LARGEST, 0.4, 5 * mm, "box outside"),
        Slider("depth", "Depth at the floor", WOOD, 0.15, LARGEST, 0.3, 5 * mm, "box outside"),
        Top("top", "Depth at the top", WOOD, 0.05, LARGEST, 0.18, 5 * mm, "box outside"),
        Slider("width", "Width", WOOD, 0.1, 1.2, 0.4, 5 * mm, "box outside"),
        Slider("board", "Board", TRAVEL, 9 * mm, 30 * mm, 18 * mm, 1 * mm, "box outside"),
        Choice("driver", "Driver", deep, first_of("200 mm bass", deep), left_out(missed, "driver"), "in it"),
        Choice("port", "Port", (CLOSED, VENTED), CLOSED, group="in it"),
        Slider("length", "Port's length", WOOD, 0.05, 0.5, 0.28, 5 * mm, "in it", lambda values: not closed(values)),
        Choice("more", "Also in it", (NOTHING, BOTH), NOTHING, group="in it"),
    ]
    return Page(controls, Wedge(deep), TITLE)
