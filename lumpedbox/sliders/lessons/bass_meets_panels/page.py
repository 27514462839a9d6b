"""A bass box and a pair of panels, each on a channel of its own: where they meet, and how they add up there."""

from __future__ import annotations

from functools import partial

import numpy as np

from ....design.meeting import SLOPES, meetings, unevenness
from ....figures.stack import Panel
from ....parts.box import USUAL_LEAKAGE, InfiniteBaffle, SealedBox
from ....parts.filters import Delay, Gain, HighPass, LowPass
from ....parts.loudspeaker import Loudspeaker
from ....parts.system import Channel, System
from ....response import solve
from ....response.crossing import falling_zero
from ....response.heard_together import level_together
from ....units import litre, ms
from ...kit import facts
from ...kit.answer import Answer, Fact, say, verbatim
from ...kit.controls import Choice, Slider
from ...kit.offered import first_of, fit_for, left_out
from ...kit.page import Page
from ...kit.places import FOR_A_BOX, FOR_A_PANEL, Cabins
from ...kit.predict import Question
from ...kit.scene import Scene
from ...kit.systems import DELAY, FREQUENCY, LEVEL, VOLUME, WAY, same
from ...kit.words import AS_MARKED, OPEN_AIR, REVERSED
from .best import GoToBest
from .details import BASS, GRID, NOTHING, PANELS, STEP, VOLTS, filtered, meeting, outside, turned, ways

BAND = (40.0, 200.0)  # Hz, where the sum is held against a straight line: ours
UNEVENNESS = same("dB", decimals=2, told=2)
WAYS = {f"{6 * order} dB/octave, {family}": (order, family) for order, family in SLOPES}
DELAYS = tuple(float(step) * STEP for step in range(51))
TITLE = "Where should the bass box meet the panels?"
SEARCHED = ("corner", "slope", "polarity", "delay")
PLACES = {
    "bass_place": ("Bass box at", FOR_A_BOX),
    "panels_place": ("One panel at", FOR_A_PANEL),
}
HOW, WHAT = "how they meet", "what plays"  # of what is set; the ways are set beside either
NOW, BEST = "now", "best"
CORNER, SLOPE, WIRES, LATE, UNEVEN, LOST = (
    "corner",
    "slope",
    "bass wires",
    "delay",
    "unevenness",
    "crossing loss",
)
IN_STEP = 0.5  # dB, by which one change must gain to be told: ours
AS_EVEN = 0.5  # dB, by which another way must be more even to be told: ours

QUESTION = Question(
    words="At 80 Hz, their corner, the bass box and the panels play some 86 dB each. How loud are both together?",
    options=("About 92 dB", "About 89 dB", "About 77 dB"),
    right="About 77 dB",
    why="The longer way and the drivers put them nearly half a period out of step: they cancel in large part.",
    look="Read the three curves at 80 Hz. Then delay the panels by 4 ms.",
)


class BassMeetsPanels(Scene):
    """Level of a bass box and of two panels, alone and together, and what cancels, over one frequency axis."""

    alternative_text = "Level of a bass box, of panels and of both, and what they lose by cancelling, against frequency"
    grid = GRID
    refines = True  # for the band of the ear's places

    def __init__(self, drivers, cabins):
        self._drivers, self._cabins, self._found = drivers, cabins, ((), None, None)
        pens = {
            "sum": ("first", "both"),
            "bass": ("second", BASS),
            "panels": ("third", PANELS),
            "meet": ("look", "they meet"),
            "validity": ("validity", "the model holds to here"),
        }
        super().__init__(pens, kept=("sum",))

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level at the ear [dB re 20 µPa]", 60.0, 115.0),
            Panel("cancelled", "lost by cancelling [dB]", 0.0, 24.0),
        )

    def parts(self, values, filtered=True):
        """Return the system that the controls stand for; without filters, delay and polarity if not `filtered`."""
        bass, *panels = self._loudspeakers(values, values["polarity"] if filtered else AS_MARKED)
        lower, upper = _filters(values) if filtered else ((), ())
        channels = (
            Channel(loudspeakers=(bass,), filters=(Gain(level=values["level"]), *lower), name=BASS),
            Channel(loudspeakers=panels, filters=upper, name=PANELS),
        )
        return System(channels=channels, ear=None if bass.by_places else (0.0, 0.0, 0.0))

    def _loudspeakers(self, values, polarity):
        """Return the bass box and both panels, where they are."""
        cabin, places = self._cabins[values["cabin"]], self._where(values)
        box = SealedBox(volume=values["volume"], Ql=USUAL_LEAKAGE)
        driver = self._drivers[values["bass"]]
        bass = Loudspeaker(driver=driver, box=box, cabin=cabin, polarity=polarity, position=places[0], name=BASS)
        driver = self._drivers[values["panels"]]
        return bass, *(
            Loudspeaker(driver=driver, box=InfiniteBaffle(), cabin=cabin, position=place, name=PANELS)
            for place in places[1:]
        )

    def _where(self, values):
        """Return the places of the bass box and of both panels; without places, of their ways alone. [m]"""
        at = {name: self._cabins.at(values, name) for name in PLACES}
        cabin = at["bass_place"]["cabin"]
        if "position" not in at["bass_place"]:
            panels = (-values["panels_way"], 0.0, 0.0)
            return (values["bass_way"], 0.0, 0.0), panels, panels
        x, y, z = at["panels_place"]["position"]
        return at["bass_place"]["position"], (x, y, z), (x, cabin.width - y, z)

    def by_ways(self, values):
        """Whether of the places only the ways to the ear count."""
        return not self._cabins.places(values)

    def search(self, values):
        """Find the best way to hand over for what is not searched, and remember the last: a `Meeting`."""
        asked = tuple(value for name, value in values.items() if name not in (*SEARCHED, "show"))
        if asked != self._found[0]:
            (best,) = self._meetings(values, best=1)
            self._found = asked, best, _lost(_met(best.system, _meets(best)))
        return self._found[1]

    def best_places(self, values):
        """Return where the controls stand for the best way: {"corner": ..., "slope": ..., ...}."""
        best = self.search(values)
        return dict(zip(SEARCHED, (best.corner, *_places(best)), strict=True))

    def _meetings(self, values, best, **ways):
        bare = self.parts(values, filtered=False)
        return meetings(bare, bass=BASS, panels=PANELS, band=BAND, delays=DELAYS, best=best, **ways)

    def one_change(self, values, strays):
        """Find the one change of delay or wires that makes both together stray least: the values after it.

        `strays` is how far they do now. [dB]
        """
        way = {"corners": (values["corner"],), "slopes": (WAYS[values["slope"]],)}
        turned = values["polarity"] == REVERSED
        later = next(found for found in self._meetings(values, best=2, **way) if found.reversed == turned)
        other = values | {"polarity": AS_MARKED if turned else REVERSED}
        changes = (
            (strays, values),
            (later.error, values | {"delay": later.panel_delay - later.bass_delay}),
            (unevenness(self.parts(other), band=BAND), other),
        )
        return min(changes, key=lambda change: change[0])[1]

    def curves(self, values):
        """Solve both together, and once more where they meet."""
        system = self.parts(values)
        self.response = response = solve(system, GRID, VOLTS)
        panels = _of_panels(response)
        self.ahead = response.levels[0] - panels  # of the bass box
        self.meet = falling_zero(GRID, self.ahead, values["corner"])
        self.met = _met(system, self.meet)
        in_phase = response.frequency < response.modal_limit  # above, phases mean nothing
        return {
            "sum": {"level": response.level, "cancelled": np.where(in_phase, response.cancellation, np.nan)},
            "bass": {"level": response.levels[0]},
            "panels": {"level": panels},
            "meet": self.meet,
            "validity": float(min(response.modal_limit, *(r.validity_limit for r in response.responses))),
        }

    def move(self, values):
        """Move the curves, and once the hand rests the band of the places that the ear may have."""
        changed = super().move(values)
        fine = not (self.coarse or self.by_ways(values))
        self.stack.shade("sum", GRID, {"level": self.response.band_of_ears()} if fine else {})
        return changed

    def answer(self, values):
        """Say what makes the two add up where they meet, and how it stands beside the best way."""
        best, strays = self.search(values), unevenness(self.response.system, band=BAND)
        slope, polarity, delay = _places(best)
        return Answer(
            headline=self._headline(values, strays, best.error),
            facts=(
                Fact(CORNER, {NOW: _hertz(values["corner"]), BEST: _hertz(best.corner)}),
                Fact(SLOPE, {NOW: say(values["slope"]), BEST: say(slope)}),
                Fact(WIRES, {NOW: say(values["polarity"]), BEST: say(polarity)}),
                Fact(LATE, {NOW: _late(values["delay"]), BEST: _late(delay)}),
                Fact(UNEVEN, {NOW: _even(strays), BEST: _even(best.error)}),
                Fact(LOST, {NOW: _lost(self.met), BEST: self._found[2]}),
            ),
            details=tuple(self._details(values, strays)),
            conditions=self._conditions(values),
            cautions=(*self._cabins.crowded(values), *facts.protect_ears(GRID, [self.response.level])),
        )

    def _headline(self, values, strays, least):
        """Say what to set for the best way of all, and how much evener that is; or that this is as even. [dB]"""
        meet = FREQUENCY(self.meet)
        if not np.isfinite(self.meet):
            louder = "the bass box is" if self.ahead[0] > 0 else "the panels are"
            return say(f"They do not meet: {louder} louder throughout.")
        if self.meet > self.response.modal_limit:
            words = "They meet at {meet}, too high to tell how they add up: lower the corner, or turn the bass down."
            return say(words, meet=meet)
        if strays < least + AS_EVEN:
            return say("They meet at {meet}, and no other way adds up much more evenly.", meet=meet)
        words = "{do}: {least} uneven, now {strays}."
        numbers = {"least": UNEVENNESS(least), "strays": UNEVENNESS(strays)}
        return say(words, do=_to_set(values, values | self.best_places(values)), **numbers)

    def _details(self, values, strays):
        if self.meet <= self.response.modal_limit:
            yield from self._one_change(values, strays)
            yield meeting(self.met)
            yield turned(self.response.system, self.meet)
        if self.by_ways(values):
            yield from ways(self.response, values)
        yield filtered(self.parts(values | {"delay": 0.0}), self.parts(values, filtered=False), values["corner"])
        yield say("We know of no threshold of hearing for group delay below 300 Hz.")
        yield say("The best way counts evenness alone. A lower corner makes the panels' cones move further.")
        yield say(
            "Unevenness is how far both together stray from a straight line, r.m.s., from {low} to {high}.",
            low=FREQUENCY(BAND[0]),
            high=FREQUENCY(BAND[1]),
        )
        if self.by_ways(values):
            yield from outside(self._cabins[values["cabin"]], values)
        else:
            yield from self._cabins.about(self.response.responses[0])
            if self.met:
                yield from facts.head_moves(self.met, "band")
            yield say("The panels stand opposite each other, across the width.")

    def _conditions(self, values):
        ways, places = ("{bass_way} away", "{panels_way} away"), ("at {bass_place}", "at {panels_place} and opposite")
        bass, panels = ways if self.by_ways(values) else places
        return say(
            f"Bass box: {{bass}} in {{volume}}, {bass}. Panels: 2 × {{panels}}, {panels}. {VOLTS} V r.m.s., {{cabin}}.",
            volume=VOLUME(values["volume"]),
            bass_way=WAY(values["bass_way"]),
            panels_way=WAY(values["panels_way"]),
            **{name: verbatim(values[name]) for name in ("bass", "panels", "cabin", *PLACES)},
        )

    def _one_change(self, values, strays):
        """Say which one change of delay or wires evens the sum most, if it gains something where they meet."""
        change = self.one_change(values, strays)
        now, then = (float(met.level[0]) for met in (self.met, solve(self.parts(change), self.meet, VOLTS)))
        if then - now > IN_STEP:
            yield say(
                "Of delay and wires alone, one change helps most. {do}: {gain} more at {meet}.",
                do=_to_set(values, change),
                gain=LEVEL(then - now),
                meet=FREQUENCY(self.meet),
            )


def _filters(values):
    """Return the filters of the bass box and of the panels."""
    order, family = WAYS[values["slope"]]
    lower, upper = (kind(frequency=values["corner"], order=order, family=family) for kind in (LowPass, HighPass))
    delay = values["delay"]
    later = (Delay(time=abs(delay)),) if abs(delay) > STEP / 2 else ()
    return (lower, *(later if delay < 0 else ())), (upper, *(later if delay > 0 else ()))


def _places(meeting):
    """Return slope, polarity and delay of the panels (below 0: of the bass box), as the controls have them."""
    slope = next(words for words, way in WAYS.items() if way == (meeting.order, meeting.family))
    return slope, REVERSED if meeting.reversed else AS_MARKED, meeting.panel_delay - meeting.bass_delay


def _meets(meeting):
    """Return where bass box and panels meet in a way to hand over; not a number if nowhere. [Hz]"""
    response = solve(meeting.system, GRID, VOLTS)
    return falling_zero(GRID, response.levels[0] - _of_panels(response), meeting.corner)


def _to_set(now, then):
    """Say what changes from some values to others."""
    places = [
        *(["{corner}"] if then["corner"] != now["corner"] else []),
        *([then["slope"].replace(",", "")] if then["slope"] != now["slope"] else []),
    ]
    does = [f"set {', '.join(places)}"] if places else []
    if then["polarity"] != now["polarity"]:
        does.append("swap wires")
    if abs(then["delay"] - now["delay"]) > STEP / 2:
        whose = PANELS if then["delay"] > 0 else BASS
        does.append("take the delay out" if abs(then["delay"]) < STEP / 2 else f"delay the {whose} {{delay}}")
    told = ", ".join(does)
    return say(told[:1].upper() + told[1:], corner=FREQUENCY(then["corner"]), delay=DELAY(abs(then["delay"])))


def _met(system, meet):
    """Return the response where bass box and panels meet [Hz]; None if nowhere."""
    return solve(system, meet, VOLTS) if np.isfinite(meet) else None


def _of_panels(response):
    """Return the level of the panels without the bass box. [dB re 20 uPa]"""
    return level_together(response, response.pressures[1:], response.frequency)


def _hertz(frequency):
    return say("{frequency}", frequency=FREQUENCY(frequency))


def _even(error):
    return say("{error}", error=UNEVENNESS(error))


def _late(delay):
    """Say which side is delayed; of the panels above 0. [s]"""
    if abs(delay) < STEP / 2:
        return say("none")
    return say(f"{PANELS if delay > 0 else BASS} {{delay}}", delay=DELAY(abs(delay)))


def _lost(met):
    """Say what is lost by cancelling at the one frequency of a response, where they meet."""
    if met is None:
        return say("they do not meet")
    (meet,) = met.frequency
    if meet > met.modal_limit:
        return say("not known at {meet}", meet=FREQUENCY(meet))
    lost = float(met.cancellation[0])
    words = "nothing at {meet}" if lost < NOTHING else "{lost} at {meet}"
    return say(words, lost=LEVEL(lost), meet=FREQUENCY(meet))


def _is_set(half, values):
    return values["show"] == half


def bass_meets_panels(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default.
        Stand-ins are left out, and drivers that resonate too high for their place.
    """
    cabins = Cabins(cabins, PLACES)
    told, missed = fit_for("bass_meets_panels", "panels", drivers)
    deep, too_high = fit_for("bass_meets_panels", "bass", drivers)
    bass, panels = first_of("250 mm bass", deep), first_of("130 mm step well", told)
    cabin = "sixteen-seat minibus" if "sixteen-seat minibus" in cabins else OPEN_AIR
    how, what = (partial(_is_set, half) for half in (HOW, WHAT))
    scene = BassMeetsPanels(told, cabins)
    controls = [
        Choice("show", "Set", (HOW, WHAT), HOW),
        Slider("delay", "Panels later", DELAY, -10 * ms, 10 * ms, 0.0, STEP, "filters", how),
        Choice("polarity", "Bass box's wires", (AS_MARKED, REVERSED), AS_MARKED, group="filters", only=how),
        Slider("corner", "Corner", FREQUENCY, 40.0, 160.0, 80.0, 1.0, "filters", how),
        Choice("slope", "Slope", WAYS, "24 dB/octave, Linkwitz-Riley", group="filters", only=how),
        Slider("level", "Bass box turned up", LEVEL, -10.0, 20.0, 10.0, 0.5, "filters", how),
        Choice("bass", "Driver", deep, bass, left_out(too_high, "driver"), "bass box", what),
        Slider("volume", "Net volume", VOLUME, 10 * litre, 100 * litre, 30 * litre, 0.5 * litre, "bass box", what),
        Choice("panels", "Drivers", told, panels, left_out(missed), "panels", what),
        *cabins.controls("Where they play", cabin, only=what),
        Slider("bass_way", "Bass box from the ear", WAY, 0.5, 4.0, 2.7, 0.05, "where they are", scene.by_ways),
        Slider("panels_way", "Panels from the ear", WAY, 0.5, 4.0, 1.3, 0.05, "where they are", scene.by_ways),
    ]
    return Page(controls, scene, TITLE, helpers=[GoToBest(scene)], roles={"bass": "driver"})
