"""Three drivers of different size in the same large panel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...design.causes import TOLD, causes
from ...figures.stack import Panel
from ...parts.amplifier import with_bridged
from ...parts.box import InfiniteBaffle
from ...parts.loudspeaker import Loudspeaker
from ...response import Response, frequencies, solve
from ...response.limits import CLIPPING, CURRENT, HEAT, MaximumLevel, maximum_level, voltage_within_travel
from ...response.limits import TRAVEL as CONE_TRAVEL
from ..exercises.small_woofers import sheet as small_woofer_sheet
from ..kit import facts
from ..kit.answer import Answer, Fact, say, verbatim
from ..kit.controls import Choice, Power, Slider
from ..kit.offered import AMPLIFIER, first_of, fit_for, left_out, offered
from ..kit.page import Page
from ..kit.panels import curves_of, reach_of
from ..kit.places import FOR_A_PANEL, PLACE, Cabins
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import AIR_MOVED, FREQUENCY, LEVEL, POWER, RESISTANCE, SYSTEMS, TRAVEL, VOLTAGE
from ..kit.words import short_names

__all__ = ["QUESTION", "small_woofer_sheet", "small_woofers"]

GRID = frequencies(20, 500, per_octave=24)
TITLE = "Why do small woofers lose bass?"
NAMES = ("first", "second", "third")
START = ("200 mm step well, tired", "165 mm panel", "130 mm step well")
LEVEL_NOW, MOST, POWER_FOR_THAT, ENDS_FIRST = "level now", "most within its travel", "power for that", "ends first"
# What ends, by what gives first; and how that is said.
ENDS = {CONE_TRAVEL: "cone", HEAT: "coil", CLIPPING: "amplifier", CURRENT: "amplifier"}
THEN = {"cone": "the cone ends", "coil": "the coil overheats", "amplifier": "the amplifier clips"}

QUESTION = Question(
    words="Two drivers, the same panel, the same voltage: at 40 Hz, how much softer is the 130 mm than the 200 mm?",
    options=("Hardly softer (1 dB)", "Clearly softer (about 7 dB)", "Gone (more than 20 dB)"),
    right="Clearly softer (about 7 dB)",
    why="Most of that comes from the smaller area of its cone.",
    look="Look at 40 Hz, and move the frequency.",
)


@dataclass(frozen=True, slots=True)
class Tone:
    """A steady tone of one driver, at the frequency that is looked at.

    Attributes
    ----------
    name : str
        Short.
    now : Response
        At the power that is set.
    most : MaximumLevel
        With what the amplifier gives.
    """

    name: str
    now: Response
    most: MaximumLevel

    @property
    def driver(self):
        """The driver."""
        return self.now.loudspeaker.driver

    @property
    def level(self):
        """Level at the power that is set. [dB re 20 uPa]"""
        return float(self.now.level[0])

    @property
    def ends(self):
        """What ends first: cone, coil or amplifier; None where the travel is not known."""
        return None if self.driver.xmax is None else ENDS[str(self.most.gives[0])]

    @property
    def room(self):
        """By how much louder it can play until something that is known ends. [dB]"""
        return float(self.most.level[0]) - self.level

    def watts(self, voltage):
        """Return what a voltage is into the load that it is rated for. [W]"""
        return float(voltage) ** 2 / float(self.driver.nominal_resistance)


class SmallWoofers(Scene):
    """Level, highest level within the linear travel, and travel, of three drivers over one frequency axis."""

    alternative_text = "Level, highest level within the linear travel, and cone travel of three drivers"
    grid = GRID

    def __init__(self, drivers, amplifiers, cabins):
        self._drivers, self._amplifiers, self._cabins = drivers, amplifiers, cabins
        self.responses = {}
        pens = {**{name: (name, f"{name} driver") for name in NAMES}, "look": ("look", "")}
        super().__init__(pens, kept=NAMES)

    def panels(self, system):
        """Return the three panels in a system of units."""
        travel = TRAVEL.shown(system)
        top, *tops = (5.0, 10.0, 20.0, 50.0) if system == SYSTEMS[0] else (0.2, 0.4, 0.8, 2.0)
        return (
            Panel("level", "level at 1 m [dB re 20 µPa]", 50.0, 120.0),
            Panel("reach", "most within the travel [dB re 20 µPa]", 50.0, 150.0),
            Panel("excursion", f"cone travel, peak [{travel.unit}]", 0.0, top, travel.size, tuple(tops)),
        )

    def parts(self, values):
        """Return the loudspeakers that the controls stand for: {"first": ..., "second": ..., "third": ...}."""
        where = self._cabins.at(values)
        return {name: Loudspeaker(driver=self._drivers[values[name]], box=InfiniteBaffle(), **where) for name in NAMES}

    def curves(self, values):
        """Solve the three drivers."""
        self.responses = {name: solve(speaker, GRID, values["voltage"]) for name, speaker in self.parts(values).items()}
        self._name_curves(short_names(values[name] for name in NAMES))
        curves = {name: curves_of(r) | {"reach": reach_of(r)} for name, r in self.responses.items()}
        return curves | {"look": values["look"]}

    def _name_curves(self, names):
        """Let the legend name the drivers."""
        for place, name in zip(NAMES, names, strict=True):
            self.pens[place] = (place, name)
            for key in self.stack.axes:
                self.stack.lines[place, key].set_label(name)

    def load(self, values):
        """Return the load that the watts of the slider are counted into: the third driver's. [ohm]"""
        return float(self._drivers[values["third"]].nominal_resistance)

    def tones(self, values):
        """Return what each driver plays at the frequency that is looked at: {"first": Tone, ...}."""
        look, amplifier = values["look"], self._amplifiers[values["amplifier"]]
        names = short_names(values[name] for name in NAMES)
        return {
            place: Tone(
                name,
                solve(response.loudspeaker, look, values["voltage"]),
                maximum_level(response.loudspeaker, look, amplifier=amplifier),
            )
            for name, (place, response) in zip(names, self.responses.items(), strict=True)
        }

    def answer(self, values):
        """Say how much softer the third driver is, and whether a stronger amplifier would help."""
        tones, amplifier, load = self.tones(values), self._amplifiers[values["amplifier"]], self.load(values)
        columns = {tone.name: tone for tone in tones.values()}
        return Answer(
            headline=headline(tones["first"], tones["third"]),
            facts=(
                Fact(LEVEL_NOW, {name: say("{level}", level=LEVEL(tone.level)) for name, tone in columns.items()}),
                Fact(MOST, {name: most(tone) for name, tone in columns.items()}),
                Fact(POWER_FOR_THAT, {name: power(tone, amplifier, load) for name, tone in columns.items()}),
                Fact(
                    ENDS_FIRST,
                    {name: say(tone.ends) if tone.ends else facts.NOT_KNOWN for name, tone in columns.items()},
                ),
            ),
            details=tuple(self._details(tones, values)),
            conditions=say(
                "{drivers}; in a large panel, {voltage} r.m.s., {place}; {amplifier}.",
                drivers=verbatim(", ".join(dict.fromkeys(values[name] for name in NAMES))),
                voltage=VOLTAGE(values["voltage"]),
                place=self._cabins.told(values),
                amplifier=verbatim(values["amplifier"]),
            ),
            cautions=tuple(self._cautions(columns.values(), amplifier, values["voltage"])),
        )

    def _details(self, tones, values):
        first, third = tones["first"], tones["third"]
        if first.name != third.name:
            yield from match(first, third)
            volts = (values["voltage"],) * 2
            yield from facts.shared_out(
                causes(first.now.loudspeaker, third.now.loudspeaker, first.now.frequency, voltages=volts)
            )
            yield from at_the_end(first, third)
        yield say(
            "Cone of {name} within its travel: {within}.",
            name=called(third.name),
            within=facts.within_travel(self.responses["third"]),
        )
        for tone in {tone.name: tone for tone in tones.values()}.values():
            if tone.driver.power is None:
                yield say(
                    "The sheet of {name} gives no r.m.s. power, so nothing is said about its coil's heat.",
                    name=called(tone.name),
                )
        yield say("Watts are into the ohms that a driver is rated for.")
        yield from self._cabins.about(self.responses["first"])
        yield from facts.bands(self.responses.values())
        yield facts.holds_up_to(min(self.responses.values(), key=lambda response: np.min(response.validity_limit)))

    def _cautions(self, tones, amplifier, voltage):
        for tone in tones:
            if tone.driver.nominal_resistance < amplifier.minimum_load:
                yield say(
                    "This amplifier is made for no less than {least}; {name} has {load}.",
                    name=called(tone.name),
                    load=RESISTANCE(tone.driver.nominal_resistance),
                    least=RESISTANCE(amplifier.minimum_load),
                )
            if voltage > tone.most.voltages.get(HEAT, np.inf):
                yield say("A steady tone of this power overheats the coil of {name}.", name=called(tone.name))
        if voltage > amplifier.voltage:
            yield say(
                "This amplifier clips at the power set: it gives {volts} at most.", volts=VOLTAGE(amplifier.voltage)
            )
        yield from facts.protect_ears(GRID, [response.level for response in self.responses.values()])


def headline(first, third):
    """Say how much softer the third driver is than the first, and what more power does for it."""
    told, gap = softer(first.level - third.level)
    more, room = more_power(third)
    look = FREQUENCY(third.now.frequency[0])
    return say(f"At {{look}} {{name}} plays {told}. {more}", look=look, name=called(third.name), **gap, **room)


def called(name):
    """Return a driver's short name in a sentence: an article before a size, none before a name of one's own."""
    return verbatim(f"the {name}" if name[:1].isdigit() else name)


def softer(gap):
    """Return words for a difference of level [dB], and the number in them."""
    if abs(gap) < TOLD:
        return "as loud", {}
    return f"{{gap}} {'softer' if gap > 0 else 'louder'}", {"gap": LEVEL(abs(gap))}


def more_power(tone):
    """Return what more power does for a driver, in words, and the numbers in them."""
    if tone.room < TOLD:
        return f"More power cannot help: {THEN[ENDS[str(tone.most.gives[0])]]}.", {}
    if tone.ends is None:
        return "More power may help: its travel is unknown.", {}
    return f"More power adds {{room}}, then {THEN[tone.ends]}.", {"room": LEVEL(tone.room)}


def most(tone):
    """Say how loud a driver can play within its linear travel."""
    return (
        facts.NOT_KNOWN if tone.driver.xmax is None else say("{level}", level=LEVEL(tone.most.levels[CONE_TRAVEL][0]))
    )


def power(tone, amplifier, load):
    """Say what power that takes, up to what the amplifier gives; into which load, where it is not the usual one."""
    if tone.driver.xmax is None:
        return facts.NOT_KNOWN
    volts = float(voltage_within_travel(tone.now)[0])
    words = "{power}" if volts <= amplifier.voltage else "more than {power}"
    own = float(tone.driver.nominal_resistance)
    into = {} if own == load else {"load": RESISTANCE(own)}
    watts = tone.watts(min(volts, float(amplifier.voltage)))
    return say(words + (" into {load}" if into else ""), power=POWER(watts), **into)


def match(first, third):
    """Say what it would take the third driver to play as loud as the first does now."""
    gap = first.level - third.level
    if gap < TOLD:
        return
    times = 10 ** (gap / 20)
    has = "" if third.driver.xmax is None else " It has {xmax}."
    yield say(
        f"To play as loud as {{first}} now, {{third}} needs {{power}}, and {{travel}} of travel one way.{has}",
        first=called(first.name),
        third=called(third.name),
        power=POWER(third.watts(times * third.now.voltage)),
        travel=TRAVEL(times * third.now.excursion[0]),
        **({"xmax": TRAVEL(third.driver.xmax)} if has else {}),
    )


def at_the_end(first, third):
    """Say how two drivers compare where either cone is at the end of its travel."""
    if first.driver.xmax is None or third.driver.xmax is None:
        return
    moves = {"few": AIR_MOVED(third.driver.Vd), "many": AIR_MOVED(first.driver.Vd)}
    names = {"first": called(first.name), "third": called(third.name)}
    yield say("Within its travel {third} moves {few} of air at most, {first} {many}.", **moves, **names)
    told, gap = softer(float(first.most.levels[CONE_TRAVEL][0] - third.most.levels[CONE_TRAVEL][0]))
    yield say(
        f"So at the end of its travel {{third}} plays {told}, alike at every frequency. No amplifier changes that.",
        third=names["third"],
        **gap,
    )


def small_woofers(drivers=None, cabins=None, amplifiers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins, amplifiers : dict, optional
        Name: Driver, name: Cabin, name: Amplifier or HeadUnit; your own and the invented ones of the demonstration by
        default. Tweeters are left out; an amplifier that can be bridged is offered so too.
    """
    drivers = offered().drivers if drivers is None else drivers
    drivers, missed = fit_for("small_woofers", "driver", drivers)
    cabins = Cabins(offered().cabins if cabins is None else cabins, {PLACE: ("Placed at", FOR_A_PANEL)})
    amplifiers = offered().amplifiers | offered().head_units if amplifiers is None else amplifiers
    sources = with_bridged(amplifiers)
    starts = START if set(START) <= set(drivers) else tuple(list(drivers) * 3)[:3]
    scene = SmallWoofers(drivers, sources, cabins)
    controls = [
        Slider("look", "Look at", FREQUENCY, 20.0, 300.0, 40.0, 1.0, "frequency"),
        *(
            Choice(
                name,
                name.capitalize(),
                drivers,
                start,
                left_out(missed, "driver") if name == "third" else "",
                "drivers",
            )
            for name, start in zip(NAMES, starts, strict=True)
        ),
        Power("voltage", "Power", 0.5, 20.0, 2.83, scene.load),
        Choice(
            "amplifier",
            "Amplifier",
            sources,
            first_of(AMPLIFIER, sources),
            left_out({}, "amplifier", "head_unit"),
            "amplifier",
        ),
        *cabins.controls("Where they play"),
    ]
    return Page(controls, scene, TITLE, roles={"third": "driver"})
