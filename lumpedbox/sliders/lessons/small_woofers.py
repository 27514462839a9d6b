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
from ..kit.words import NO_DRIVER, short_names

__all__ = ["QUESTION", "small_woofer_sheet", "small_woofers"]

GRID = frequencies(20, 500, per_octave=24)
TITLE = "Why do small woofers lose bass?"
BESIDE = 20 * np.log10(2)  # dB, that a second driver adds at the same volts, less than half a wave away
NAMES = ("first", "second", "third")
START = ("200 mm step well, tired", "165 mm panel", "130 mm step well")
LEVEL_NOW, MOST, POWER_FOR_THAT, ENDS_FIRST = "level now", "most within its travel", "power for that", "ends first"
# What ends, by what gives first; and how that is said.
ENDS = {CONE_TRAVEL: "cone", HEAT: "coil", CLIPPING: "amplifier", CURRENT: "amplifier"}
THEN = {"cone": "its travel ends", "coil": "the coil overheats", "amplifier": "the amplifier clips"}

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
        super().__init__(pens, kept=NAMES, cabins=cabins)

    def panels(self, system):
        """Return the three panels in a system of units."""
        travel = TRAVEL.shown(system)
        top, *tops = (5.0, 10.0, 20.0, 50.0, 100.0) if system == SYSTEMS[0] else (0.2, 0.4, 0.8, 2.0, 4.0)
        return (
            Panel("level", "level [dB re 20 µPa] at 1 m", 50.0, 120.0, tops=(140.0,)),
            Panel("reach", "most within the travel [dB re 20 µPa]", 50.0, 150.0, rises=True),
            Panel("excursion", f"cone travel, peak [{travel.unit}]", 0.0, top, travel.size, tuple(tops)),
        )

    def parts(self, values):
        """Return the loudspeakers that the controls stand for: {"first": ..., "second": ..., "third": ...}."""
        where = self._cabins.at(values)
        return {
            name: Loudspeaker(driver=self._drivers[values[name]], box=InfiniteBaffle(), **where)
            for name in chosen(values)
        }

    def curves(self, values):
        """Solve the drivers."""
        self.responses = {name: solve(speaker, GRID, values["voltage"]) for name, speaker in self.parts(values).items()}
        self._name_curves(names_of(values))
        curves = {name: curves_of(r) | {"reach": reach_of(r)} for name, r in self.responses.items()}
        return dict.fromkeys(NAMES, dict.fromkeys(self.stack.axes)) | curves | {"look": values["look"]}

    def move(self, values):
        """Move the curves, and take away the band of a driver that is not there."""
        changed = super().move(values)
        for place in set(NAMES) - set(self.responses):
            self.stack.shade(place, GRID, {})
        return changed

    def _name_curves(self, names):
        """Let the legend name the drivers."""
        for place in NAMES:
            self.pens[place] = (place, names.get(place, ""))
            for key in self.stack.axes:
                self.stack.lines[place, key].set_label(names.get(place, "_"))

    def load(self, values):
        """Return the load that the watts of the slider are counted into: the last driver's. [ohm]"""
        return float(self._drivers[values[chosen(values)[-1]]].nominal_resistance)

    def tones(self, values):
        """Return what each driver plays at the frequency that is looked at: {"first": Tone, ...}."""
        look, amplifier = values["look"], self._amplifiers[values["amplifier"]]
        names = names_of(values)
        return {
            place: Tone(
                names[place],
                solve(response.loudspeaker, look, values["voltage"]),
                maximum_level(response.loudspeaker, look, amplifier=amplifier),
            )
            for place, response in self.responses.items()
        }

    def answer(self, values):
        """Say how much softer the last driver is than the first, and whether a stronger amplifier would help."""
        tones, amplifier, load = self.tones(values), self._amplifiers[values["amplifier"]], self.load(values)
        columns = {tone.name: tone for tone in tones.values()}
        return Answer(
            headline=headline(tones["first"], tones[chosen(values)[-1]]),
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
                drivers=verbatim(", ".join(dict.fromkeys(values[name] for name in chosen(values)))),
                voltage=VOLTAGE(values["voltage"]),
                place=self._cabins.told(values),
                amplifier=verbatim(values["amplifier"]),
            ),
            cautions=tuple(self._cautions(columns.values(), amplifier, values["voltage"])),
        )

    def _details(self, tones, values):
        place = chosen(values)[-1]
        first, last = tones["first"], tones[place]
        if first.name != last.name:
            yield from match(first, last)
            volts = (values["voltage"],) * 2
            yield from facts.shared_out(
                causes(first.now.loudspeaker, last.now.loudspeaker, first.now.frequency, voltages=volts)
            )
            yield from at_the_end(first, last)
        yield say(
            "Cone of {name} within its travel: {within}.",
            name=called(last.name),
            within=facts.within_travel(self.responses[place]),
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


def headline(first, last):
    """Say how much softer the last driver is than the first, and what more power does for it."""
    told, gap = softer(first.level - last.level)
    more, room = more_power(last)
    look = FREQUENCY(last.now.frequency[0])
    return say(f"At {{look}} {{name}} {told}. {more}", look=look, name=called(last.name), **gap, **room)


def chosen(values):
    """Return the places of the drivers that are there: the third may be none."""
    return tuple(place for place in NAMES if values[place] != NO_DRIVER)


def names_of(values):
    """Return the short name of each driver that is there, by its place."""
    places = chosen(values)
    return dict(zip(places, short_names(values[place] for place in places), strict=True))


def called(name):
    """Return a driver's short name in a sentence: an article before a size, none before a name of one's own."""
    return verbatim(f"the {name}" if name[:1].isdigit() else name)


def softer(gap):
    """Return words for a difference of level [dB], and the number in them."""
    if abs(gap) < TOLD:
        return "equals the first", {}
    return f"plays {{gap}} {'softer' if gap > 0 else 'louder'}", {"gap": LEVEL(abs(gap))}


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


def match(first, last):
    """Say what it would take the last driver to play as loud as the first does now."""
    gap = first.level - last.level
    if gap < TOLD:
        return
    times = 10 ** (gap / 20)
    has = "" if last.driver.xmax is None else " It has {xmax}."
    yield say(
        f"To play as loud as {{first}} now, {{last}} needs {{power}}, and {{travel}} of travel one way.{has}",
        first=called(first.name),
        last=called(last.name),
        power=POWER(last.watts(times * last.now.voltage)),
        travel=TRAVEL(times * last.now.excursion[0]),
        **({"xmax": TRAVEL(last.driver.xmax)} if has else {}),
    )
    yield say(
        "What brings the bass back: a bigger cone, or a second driver beside {last}. Two play {pair} louder at the "
        "same volts, if the amplifier stands both.",
        last=called(last.name),
        pair=LEVEL(BESIDE),
    )
    yield say("Or leave the bass to a driver in a box: the page Which box should I build? finds that box.")


def at_the_end(first, last):
    """Say how two drivers compare where either cone is at the end of its travel."""
    if first.driver.xmax is None or last.driver.xmax is None:
        return
    moves = {"few": AIR_MOVED(last.driver.Vd), "many": AIR_MOVED(first.driver.Vd)}
    names = {"first": called(first.name), "last": called(last.name)}
    yield say("Within its travel {last} moves {few} of air at most, {first} {many}.", **moves, **names)
    told, gap = softer(float(first.most.levels[CONE_TRAVEL][0] - last.most.levels[CONE_TRAVEL][0]))
    yield say(
        f"So at the end of its travel {{last}} {told}, alike at every frequency. No amplifier changes that.",
        last=names["last"],
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
    drivers, missed = fit_for("small_woofers", "driver", drivers)
    cabins = Cabins(cabins, {PLACE: ("Placed at", FOR_A_PANEL)})
    amplifiers = offered().amplifiers | offered().head_units if amplifiers is None else amplifiers
    sources = with_bridged(amplifiers)
    starts = START if set(START) <= set(drivers) else tuple(list(drivers) * 3)[:3]
    scene = SmallWoofers(drivers, sources, cabins)
    most_volts = max(float(source.voltage) for source in sources.values())
    controls = [
        Slider("look", "Look at", FREQUENCY, 20.0, 300.0, 40.0, 1.0, "frequency"),
        *(
            Choice(
                name,
                name.capitalize(),
                (NO_DRIVER, *drivers) if name == "third" else drivers,
                start,
                left_out(missed, "driver") if name == "third" else "",
                "drivers",
            )
            for name, start in zip(NAMES, starts, strict=True)
        ),
        Power("voltage", "Power", 0.5, most_volts, 2.83, scene.load),
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
