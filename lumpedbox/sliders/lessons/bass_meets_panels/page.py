"""A bass box and a pair of panels, each on a channel of its own: where they meet, and how they add up there."""

from __future__ import annotations

import dataclasses

import ipywidgets
import numpy as np

from ....design.meeting import CORNERS, SLOPES, meetings, unevenness
from ....figures.stack import Panel
from ....parts.box import USUAL_LEAKAGE, InfiniteBaffle, SealedBox
from ....parts.filters import Delay, Gain, HighPass, LowPass
from ....parts.loudspeaker import Loudspeaker
from ....parts.system import Channel, System
from ....response import frequencies, solve
from ....response.crossing import falling_zero
from ....units import litre, ms
from ...kit.controls import Choice, Slider
from ...kit.offered import below, first_of, left_out, of_a_sheet, offered, sifted
from ...kit.page import Page
from ...kit.predict import Question
from ...kit.scene import Scene
from ...kit.systems import DELAY, FREQUENCY, LEVEL, VOLUME, WAY
from ...kit.words import AS_MARKED, OPEN_AIR, REVERSED

GRID = frequencies(20, 400, per_octave=48)
VOLTS = 2.83
BASS_BELOW, PANELS_BELOW = 60.0, 400.0  # Hz; below which resonance a driver is offered for either: ours
BAND = (40.0, 200.0)  # Hz, where the sum is held against a straight line: ours
WAYS = {f"{6 * order} dB/octave, {family}": (order, family) for order, family in SLOPES}
STEP = 0.2 * ms  # of the delay
DELAYS = tuple(float(step) * STEP for step in range(51))
SEARCHED = ("corner", "slope", "polarity", "delay")
BASS, PANELS = "bass box", "panels"
AS_LONG = 0.005  # m, below which two ways read alike
IN_STEP = 0.5  # dB, below which nothing is said to be lost: ours

QUESTION = Question(
    words="At 80 Hz, their corner, the bass box and the panels play some 86 dB each. How loud are both together?",
    options=("About 92 dB", "About 89 dB", "About 77 dB"),
    right="About 77 dB",
    why="The longer way and the drivers put them nearly half a period out of step: they cancel in large part.",
    look="Read the three curves at 80 Hz. Then let the panels come 4 ms later.",
)


class BassMeetsPanels(Scene):
    """Level of a bass box and of two panels, alone and together, and what cancels, over one frequency axis."""

    alternative_text = "Level of a bass box, of panels and of both, and what they lose by cancelling, against frequency"
    grid = GRID

    def __init__(self, drivers, cabins):
        self._drivers, self._cabins, self._found = drivers, {OPEN_AIR: None, **cabins}, {}
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
            Panel("level", "level at the ear\n[dB re 20 µPa]", 60.0, 115.0),
            Panel("cancelled", "lost by\ncancelling [dB]", 0.0, 24.0),
        )

    def parts(self, values, filtered=True):
        """Return the system that the controls stand for; without filters, delay and polarity if not `filtered`."""
        bass, panels = self._loudspeakers(values, values["polarity"] if filtered else AS_MARKED)
        lower, upper = _filters(values) if filtered else ((), ())
        channels = (
            Channel(loudspeakers=(bass,), filters=(Gain(level=values["level"]), *lower), name=BASS),
            Channel(loudspeakers=(panels, panels), filters=upper, name=PANELS),
        )
        return System(channels=channels, ear=(0.0, 0.0, 0.0))

    def _loudspeakers(self, values, polarity):
        """Return the bass box and one of the panels; of their places the model only feels how far away they are."""
        cabin, box = self._cabins[values["cabin"]], SealedBox(volume=values["volume"], Ql=USUAL_LEAKAGE)
        bass = Loudspeaker(
            driver=self._drivers[values["bass"]],
            box=box,
            cabin=cabin,
            polarity=polarity,
            position=(values["bass_way"], 0.0, 0.0),
            name=BASS,
        )
        panel = Loudspeaker(
            driver=self._drivers[values["panels"]],
            box=InfiniteBaffle(),
            cabin=cabin,
            position=(-values["panels_way"], 0.0, 0.0),
            name=PANELS,
        )
        return bass, panel

    def search(self, values):
        """Find, and remember, the best way to hand over for what is not searched: a `Meeting`."""
        asked = _unsearched(values)
        if asked not in self._found:
            bare = self.parts(values, filtered=False)
            self._found[asked] = meetings(bare, bass=BASS, panels=PANELS, band=BAND, delays=DELAYS, best=1)[0]
        return self._found[asked]

    def curves(self, values):
        """Solve both together, and the panels alone."""
        system = self.parts(values)
        response, panels = solve(system, GRID, VOLTS), _alone(system, GRID)
        self.meet = falling_zero(GRID, response.levels[0] - panels.level, values["corner"])
        in_phase = response.frequency < response.modal_limit  # above, phases mean nothing
        return {
            "sum": {"level": response.level, "cancelled": np.where(in_phase, response.cancellation, np.nan)},
            "bass": {"level": response.levels[0]},
            "panels": {"level": panels.level},
            "meet": self.meet,
            "validity": float(min(response.modal_limit, *(r.validity_limit for r in response.responses))),
        }

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        way, volume = WAY.shown(system), VOLUME.shown(system).text(values["volume"])
        return (
            f"{values['bass']} in {volume}, {way.text(values['bass_way'])} away, {values['level']:+.1f} dB; two "
            f"{values['panels']}, {way.text(values['panels_way'])} away; {VOLTS} volts r.m.s., {values['cabin']}"
        )

    def sentences(self, values, system):
        """Say what the curves amount to."""
        parts = self.parts(values)
        if np.isfinite(self.meet):
            yield _meeting(parts, self.meet)
            yield _turned(parts, self.meet)
        else:
            yield "They do not meet: one of them is louder throughout."
        yield _ways(parts, values, system)
        yield _filtered(self.parts(values | {"delay": 0.0}), self.parts(values, filtered=False), values["corner"])
        yield _even(unevenness(parts, band=BAND), self._found.get(_unsearched(values)))
        yield from _outside(self._cabins[values["cabin"]], values, system)


def _filters(values):
    """Return the filters of the bass box and of the panels."""
    order, family = WAYS[values["slope"]]
    lower, upper = (kind(frequency=values["corner"], order=order, family=family) for kind in (LowPass, HighPass))
    delay = values["delay"]
    later = (Delay(time=abs(delay)),) if abs(delay) > STEP / 2 else ()
    return (lower, *(later if delay < 0 else ())), (upper, *(later if delay > 0 else ()))


def _unsearched(values):
    return tuple(value for name, value in values.items() if name not in SEARCHED)


def _alone(system, frequency):
    return solve(dataclasses.replace(system, channels=system.channels[1:]), frequency, VOLTS)


def _meeting(system, meet):
    response, shown = solve(system, meet, VOLTS), LEVEL.metric
    lost = float(response.cancellation[0])
    how = "in step" if lost < IN_STEP else f"{lost:.1f} dB less than in step"
    return (
        f"They meet at {meet:.0f} Hz, where either plays {shown.text(response.levels[0][0])} and both together "
        f"{shown.text(response.level[0])}: {how}."
    )


def _turned(system, meet):
    bass, panels = system.channels
    (speaker,) = bass.loudspeakers
    other = dataclasses.replace(speaker, polarity=AS_MARKED if speaker.polarity == REVERSED else REVERSED)
    channels = (dataclasses.replace(bass, loudspeakers=(other,)), panels)
    response = solve(dataclasses.replace(system, channels=channels), meet, VOLTS)
    return (
        f"With the polarity of the bass box turned they would play {LEVEL.metric.text(response.level[0])} there, "
        f"{response.cancellation[0]:.1f} dB less than in step."
    )


def _ways(system, values, units):
    late, shown, way = _late(system), DELAY.metric, WAY.shown(units)
    further, left = abs(values["bass_way"] - values["panels_way"]), late - values["delay"]
    longer = f"The way from the {BASS if late > 0 else PANELS} is {way.text(further)} longer"
    told = "Both ways are equally long" if further < AS_LONG else f"{longer}: {shown.text(abs(late))} more"
    if abs(values["delay"]) < STEP / 2:
        return f"{told}."
    when = "late" if left > 0 else "early"
    return f"{told}; with the delay that is set the bass box is {shown.text(abs(left))} {when}."


def _late(system):
    """How much later the bass arrives than the panels because of its longer path. [s]"""
    bass, panels, _ = solve(system, GRID[0]).delays
    return bass - panels


def _filtered(system, bare, corner):
    """Say what the filters delay at the corner: delays of what stands in a row add up."""
    added = [
        DELAY.metric.text(with_filters - without)
        for with_filters, without in zip(_own_delays(system, corner), _own_delays(bare, corner), strict=True)
    ]
    return (
        f"At {corner:.0f} Hz the filters add {added[0]} of group delay to the bass box and {added[1]} to the panels; "
        "below 300 Hz no threshold of audibility is known to us."
    )


def _own_delays(system, frequency):
    bass, panels, _ = solve(system, frequency, VOLTS).responses
    return float(bass.group_delay[0]), float(panels.group_delay[0])


def _even(error, best):
    told = f"From {BAND[0]:.0f} to {BAND[1]:.0f} Hz both together stray {error:.2f} dB r.m.s. from a straight line"
    if best is None:
        return f"{told}."
    delay, who = (best.panel_delay, PANELS) if best.panel_delay else (best.bass_delay, BASS)
    late = f", the {who} {DELAY.metric.text(delay)} later" if delay else ""
    turned = ", the bass box reversed" if best.reversed else ""
    return (
        f"{told}; the best that the search found, {6 * best.order} dB/octave {best.family} at {best.corner:.0f} Hz"
        f"{turned}{late}, strays {best.error:.2f} dB."
    )


def _outside(cabin, values, units):
    if cabin is None:
        return
    across = float(np.linalg.norm([cabin.length, cabin.width, cabin.height]))
    if max(values["bass_way"], values["panels_way"]) > across:
        shown = WAY.shown(units)
        yield f"This cabin is {shown.text(across)} from corner to corner: nothing in it is further from the ear."


class Search:
    """Searches the ways to hand over, and moves the controls to the best.

    Parameters
    ----------
    controls : sequence of Slider or Choice
    scene : BassMeetsPanels
    """

    title = "Search"

    def __init__(self, controls, scene):
        self.controls, self.scene = {control.name: control for control in controls}, scene
        self.said = ipywidgets.HTML(
            f"Tries {len(CORNERS)} corners, {len(SLOPES)} slopes, both polarities and {2 * len(DELAYS) - 1} delays, "
            "and goes where both together stray least from a straight line."
        )
        self.said.add_class("lb-note")
        self.go = ipywidgets.Button(description="Search, and go there", layout={"width": "auto"})
        self.go.on_click(self.find)
        self.widget = ipywidgets.VBox([self.said, self.go])

    def find(self, _button=None):
        """Search for what the controls stand at, and move them to the best; nothing while they rest."""
        if any(control.widget.disabled for control in self.controls.values()):
            return
        best = self.scene.search({name: control.value for name, control in self.controls.items()})
        slope = next(words for words, way in WAYS.items() if way == (best.order, best.family))
        polarity = REVERSED if best.reversed else AS_MARKED
        places = (best.corner, slope, polarity, best.panel_delay - best.bass_delay)
        for name, place in zip(SEARCHED, places, strict=True):
            self.controls[name].value = place


def bass_meets_panels(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default.
        Stand-ins are left out, and drivers that resonate too high for their place.
    """
    drivers = offered().drivers if drivers is None else drivers
    cabins = offered().cabins if cabins is None else cabins
    told, missed = sifted(drivers, of_a_sheet, below(PANELS_BELOW))
    deep, too_high = sifted(told, below(BASS_BELOW))
    where = (OPEN_AIR, *cabins)
    controls = [
        Slider("corner", "Corner of both filters", FREQUENCY, 40.0, 160.0, 80.0, 1.0),
        Slider("delay", "Panels later (below 0: bass box later)", DELAY, -10 * ms, 10 * ms, 0.0, STEP),
        Choice("polarity", "Polarity of the bass box", (AS_MARKED, REVERSED), AS_MARKED),
        Choice("slope", "Slope of both filters", WAYS, "24 dB/octave, Linkwitz-Riley"),
        Slider("level", "Bass box turned up by", LEVEL, -10.0, 20.0, 10.0, 0.5),
        Slider("bass_way", "Bass box from the ear", WAY, 0.5, 4.0, 2.7, 0.05),
        Slider("panels_way", "Panels from the ear", WAY, 0.5, 4.0, 1.3, 0.05),
        Choice(
            "bass", "Driver of the bass box", deep, first_of("250 mm bass", deep), left_out(missed | too_high, "driver")
        ),
        Slider("volume", "Net volume", VOLUME, 10 * litre, 100 * litre, 30 * litre, 0.5 * litre),
        Choice("panels", "Drivers of the panels", told, first_of("130 mm step well", told), left_out(missed)),
        Choice("cabin", "Where they play", where, first_of("sixteen-seat minibus", where), left_out({}, "cabin")),
    ]
    scene = BassMeetsPanels(told, cabins)
    return Page(controls, scene, first=2, helpers=[Search(controls, scene)], roles={"bass": "driver"})
