"""Source, converter, gains: what to set and what to read on a meter, so that front, rear and bass stand as you want."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...circuit.transfer import transfer
from ...design.alignments import closed_volume
from ...design.level_setting import (
    AMPLIFIER,
    COIL,
    CONVERTER,
    SOURCE,
    TONES,
    ceiling,
    level_for_a_volt,
    reading_at,
    set_levels,
    tone_for,
)
from ...figures.headroom import HeadroomPicture
from ...figures.stack import Panel
from ...parts.box import USUAL_LEAKAGE, InfiniteBaffle, SealedBox
from ...parts.filters import HighPass, LevelTable, LowPass
from ...parts.line import LINE, LOUDSPEAKER, Feed
from ...parts.loudspeaker import Loudspeaker
from ...parts.system import Channel, System
from ...response import frequencies
from ...tables import demo_cabins, demo_converters, demo_head_units, demo_readings
from ..exercises.set_the_levels import sheet as set_the_levels_sheet
from ..kit import facts
from ..kit.answer import Answer, Fact, say, verbatim
from ..kit.controls import Choice, Slider
from ..kit.offered import AMPLIFIER as STORES
from ..kit.offered import first_of, fit_for, left_out, offered
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import FREQUENCY, LEVEL, POWER, RESISTANCE, VOLTAGE, VOLUME, same

__all__ = ["QUESTION", "set_the_levels", "set_the_levels_sheet"]

GRID = frequencies(20, 1000, per_octave=24)
TITLE = "How do I set the levels?"
OUTPUTS = ("front", "rear", "bass")
BANDS = {"front": (160.0, 800.0), "rear": (160.0, 800.0), "bass": (40.0, 80.0)}  # Hz; ours
CORNER = 80.0  # Hz; where the bass box hands over: common practice, no source
QTC, ABOVE = 0.71, 1.1  # of the bass box; and Qtc over Qts at least, else there is none: ours
LINES, WIRES = "line outputs", "loudspeaker wires"
# m from the front, from the left and from the floor of the invented minibus; the ear in the middle row.
PLACES = {
    "front": ((0.7, 0.2, 0.3), (0.7, 1.6, 0.3)),
    "rear": ((3.6, 0.3, 1.5), (3.6, 1.5, 1.5)),
    "bass": ((4.2, 0.4, 0.4),),
}
EAR, CABIN, UNIT = (2.6, 0.5, 1.15), "sixteen-seat minibus", "head unit of the minibus"
KNOB, WATTS, EARS, LEFT = "gain knob at", "tone, if connected", "at the ear", "left before clipping"
UNEVEN, SHORT, HARDLY = 1.0, 1.0, 0.05  # dB; what a source may do to the bass, what a knob may lack, nothing: ours
SETTING = same("", decimals=0)

QUESTION = Question(
    words="The bass shall play 6 dB louder than the front. By how much do its volts exceed the front's?",
    options=("By 6 dB, twice the volts", "By less than 6 dB", "By more than 6 dB"),
    right="By more than 6 dB",
    why="At the ear one volt makes less bass than middle: one driver in a small box plays against two panels.",
    look="Compare the volts in the headline, then the two dotted curves in the picture.",
)


class SetTheLevels(Scene):
    """Levels of front, rear and bass at the ear, with all knobs alike and as wanted, and the volts that it takes."""

    alternative_text = (
        "Level at the ear and volts at the amplifier of front, rear and bass, against frequency, and how far each "
        "stage stays below clipping"
    )
    grid = GRID
    aside = 0.26

    def __init__(self, drivers, amplifiers, head_units):
        self._drivers, self._amplifiers, self._head_units = drivers, amplifiers, head_units
        self._readings, self._cabin = demo_readings(), demo_cabins()[CABIN]
        self._read = demo_head_units()[UNIT].voltage  # of the unit that was read; others are taken to be like it
        (self._converter,) = demo_converters().values()
        pens = {
            "front": ("first", "front"),
            "rear": ("second", "rear"),
            "bass": ("third", "bass"),
            "rear before": ("family 0", "rear, all knobs alike"),
            "bass before": ("family 1", "bass, all knobs alike"),
        }
        super().__init__(pens, kept=OUTPUTS)

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level at the ear [dB re 20 µPa]", 50.0, 110.0, tops=(130.0,)),
            Panel("volts", "amplifier output, r.m.s. [V]", 0.0, 20.0, tops=(40.0, 80.0)),
        )

    def beside(self, figure):
        """Add the stages of the signal's way; return what moves in them."""
        stages = {SOURCE: "", CONVERTER: "", "front": "first", "rear": "second", "bass": "third"}
        self.headroom = HeadroomPicture(figure.add_axes((0, 0, 1, 1)), stages)
        return self.headroom.moving

    def place(self, free):
        """Put them where the panels leave room."""
        self.headroom.place(free)

    def parts(self, values):
        """Return the system that the controls stand for; its channels have the filters that they play with."""
        amplifier = self._amplifiers[values["amplifier"]]
        bass = self._drivers[values["bass"]]
        boxes = {"bass": SealedBox(volume=closed_volume(bass, Qtc=q_of_the_box(bass)), Ql=USUAL_LEAKAGE)}
        return System(
            ear=EAR,
            channels=tuple(
                Channel(
                    loudspeakers=(
                        Loudspeaker(
                            driver=self._drivers[values[name]],
                            box=boxes.get(name, InfiniteBaffle()),
                            cabin=self._cabin,
                            position=place,
                        ),
                    ),
                    filters=(filter_of(name),),
                    amplifier=bridged(amplifier) if name == "bass" else amplifier,
                    name=name,
                )
                for name in OUTPUTS
                for place in PLACES[name]
            ),
        )

    def feed(self, values):
        """Return the source at the setting of its volume, with the way from there to the amplifier."""
        unit, lines = self._head_units[values["head_unit"]], self.uses_lines(values)
        most = unit.line_voltage if lines else unit.voltage
        reading = louder(reading_at(self._readings, values["setting"]), most / self._read)
        trim = dataclasses.replace(self._converter, ratio=self._converter.ratio * 10 ** (values["trim"] / 20))
        return Feed(
            source=unit,
            output=LINE if lines else LOUDSPEAKER,
            reading=reading,
            converter=None if lines else trim,
        )

    def uses_lines(self, values):
        """Return whether line outputs are used; a unit without any is tapped at its loudspeaker wires."""
        return values["signal"] == LINES and self._head_units[values["head_unit"]].line_voltage is not None

    def has_a_converter(self, values):
        """Return whether there is a converter to trim."""
        return not self.uses_lines(values)

    def curves(self, values):
        """Set the levels, and return what each loudspeaker plays then."""
        self.system, self.way = self.parts(values), self.feed(values)
        wanted = {"rear": values["rear_level"], "bass": values["bass_level"]}
        self.levels = set_levels(self.system, feed=self.way, bands=BANDS, wanted=wanted)
        self.headroom.show(self.levels.margins)
        arrives = 20 * np.log10(np.abs(transfer(self.way.filters, GRID)))
        shown = {}
        for name, output in self.levels.outputs.items():
            heard = level_for_a_volt(self.system, name, GRID) + arrives
            filtered = np.abs(transfer((filter_of(name),), GRID))
            volts = 10 ** ((arrives + output.gain) / 20) * filtered
            shown[name] = {"level": heard + output.gain, "volts": volts}
            alike = output.gain + 20 * np.log10(output.knob / self.levels.outputs["front"].knob)
            shown[f"{name} before"] = {"level": heard + alike}
        return {name: shown[name] for name in self.pens if name in shown}

    def answer(self, values):
        """Say what to read on the meter, and what stands against it."""
        outputs, margins = self.levels.outputs, dict(self.levels.margins)
        left = {name: say("{left}", left=LEVEL(margins[name])) for name in (*OUTPUTS, SOURCE)}
        if CONVERTER in margins:
            left[CONVERTER] = say("{left}", left=LEVEL(margins[CONVERTER]))
        return Answer(
            headline=self._headline(),
            facts=(
                Fact(KNOB, {name: say("{at}", at=VOLTAGE(output.knob)) for name, output in outputs.items()}),
                Fact(WATTS, {name: say("{power}", power=POWER(self._watts(name))) for name in outputs}),
                Fact(EARS, {name: say("{level}", level=LEVEL(output.level)) for name, output in outputs.items()}),
                Fact(LEFT, left),
            ),
            details=tuple(self._details(values)),
            conditions=self._conditions(values),
            cautions=tuple(self._cautions(values)),
        )

    def _watts(self, name):
        """Power that the tone would bring into the loudspeaker, by its rated load. [W]"""
        driver = next(c.loudspeakers[0].driver for c in self.system.wired if c.name == name)
        return self.levels.outputs[name].setting.voltage ** 2 / float(driver.nominal_resistance)

    def _headline(self):
        levels, turn = self.levels, "the converter's trim" if self.way.converter else "the source"
        for name, words in ((SOURCE, "the source"), (CONVERTER, "the converter's trim")):
            if levels.margins.get(name, 0.0) < -HARDLY:
                told = f"It clips before the amplifiers: turn {words} down by {{over}}."
                return say(told, over=LEVEL(-levels.margins[name]))
        if apart := self._too_far_apart():
            words = "The gains lie {apart} apart, and the knobs reach {range}: ask for less of a difference."
            return say(words, apart=LEVEL(apart), range=LEVEL(self.way.input.range_db))
        if levels.beyond:
            name = max(levels.beyond, key=levels.beyond.get)
            words = f"The {name} knob does not go low enough: turn {turn} down by {{over}} first."
            return say(words, over=LEVEL(levels.beyond[name]))
        if levels.short > SHORT:
            words = f"A knob is all the way up, and {{short}} are missing: turn {turn} up first."
            return say(words, short=LEVEL(levels.short))
        front, rear, bass = (output.setting for output in levels.outputs.values())
        return say(
            "Turn the gains to {front} front, {rear} rear (at {middle}) and {bass} bass (at {low}).",
            front=VOLTAGE(front.voltage),
            rear=VOLTAGE(rear.voltage),
            bass=VOLTAGE(bass.voltage),
            middle=FREQUENCY(front.frequency),
            low=FREQUENCY(bass.frequency),
        )

    def _too_far_apart(self):
        """Return how far the knobs would stand apart, where that is more than they reach; else nothing. [dB]"""
        knobs = [output.knob for output in self.levels.outputs.values()]
        apart = float(20 * np.log10(max(knobs) / min(knobs)))
        return apart if apart > self.way.input.range_db + HARDLY else 0.0

    def _details(self, values):
        levels = self.levels
        yield say(
            "Unplug the loudspeakers, set tone controls flat, leave the crossover filters on. Play a full-scale tone "
            "at this volume. Turn each gain up from its lowest, and read alternating volts across the two wires."
        )
        yield say(
            "A cheap meter shows alternating volts from about 45 to 400 Hz only (common practice, no source): so the "
            "tones are {low} for the bass and {middle} for the others.",
            low=FREQUENCY(tone_for(BANDS["bass"])),
            middle=FREQUENCY(tone_for(BANDS["front"])),
        )
        yield say("The gain knob is marked in volts: so many at the input make full power.")
        yield self._what_ends()
        first = levels.first if levels.first in (SOURCE, CONVERTER) else f"{levels.first} amplifier"
        yield say(
            f"As you turn the source up, the {first} clips first, {{left}} up from here.", left=LEVEL(levels.left)
        )
        yield from self._source_words(values)
        yield from self._way_words()
        yield say(
            "Levels at the ear are means of the solved loudspeakers, {low} to {high} for front and rear, {bass_low} to "
            "{bass_high} for the bass. Music is mostly 10 dB or more below the tone (common practice, no source).",
            low=FREQUENCY(BANDS["front"][0]),
            high=FREQUENCY(BANDS["front"][1]),
            bass_low=FREQUENCY(BANDS["bass"][0]),
            bass_high=FREQUENCY(BANDS["bass"][1]),
        )
        yield say(
            "The cabin is one volume of air here. Its resonances are left out, so let your ears decide in the end."
        )
        yield from facts.of_its_kind(*{speaker.driver for speaker in self.system.loudspeakers})

    def _what_ends(self):
        """Say what keeps all of them from playing louder."""
        if self.levels.short > HARDLY:
            return say("A knob that is all the way up sets how loud all are.")
        full = min(self.levels.outputs.values(), key=lambda output: self._room(output))
        ends = {AMPLIFIER: "its amplifier clips", COIL: "its coil has its rated power"}[full.ceiling]
        return say(f"The {full.name} sets how loud all are: {ends} there.")

    def _room(self, output):
        """Return how far an output stays below what ends first there. [V]"""
        channel = next(c for c in self.system.wired if c.name == output.name)
        return ceiling(channel)[0] / output.loudest

    def _source_words(self, values):
        """Say what the source does to the bass at this volume, and between the volumes that were read."""
        here = lift(reading_at(self._readings, values["setting"]))
        if abs(here) > UNEVEN:
            verb = "lifts" if here > 0 else "cuts"
            words = f"At this volume the source {verb} {{tone}} by {{lift}}; the gain of the bass makes up for that."
            yield say(words, tone=FREQUENCY(tone_for(BANDS["bass"])), lift=LEVEL(abs(here)))
        for volume in (min(self._readings), max(self._readings)):
            change = lift(self._readings[volume]) - here
            if abs(change) > UNEVEN:
                verb = "more" if change > 0 else "less"
                words = f"With these gains the bass is {{change}} {verb} at volume {volume:.0f}, against the front."
                yield say(words, change=LEVEL(abs(change)))
        if values["head_unit"] != UNIT:
            yield say("Your head unit's readings are not known: it is taken to be like the invented one. Read yours.")
        yield say("The loudspeaker outputs were read. Line outputs are taken to follow them, and to clip together.")

    def _way_words(self):
        converter = self.way.converter
        if converter is None:
            return
        volts = float(np.max(np.abs(transfer((self.way.reading,), GRID))))
        yield say(
            "The converter loads each output of the source with {load}, and takes {power}. Of the volts, {share} less "
            "arrive than its trim says, since the amplifier's input loads it.",
            load=RESISTANCE(converter.input_resistance),
            power=POWER(volts**2 / converter.input_resistance),
            share=LEVEL(20 * np.log10(converter.ratio / self.way.passes)),
        )
        yield say("Some factory amplifiers go quiet without a loudspeaker: measure with yours connected, softly.")
        yield say("A trim late in the way lets the stage before it clip, and one early lets in more noise after it.")

    def _cautions(self, values):
        loudest = max(output.level for output in self.levels.outputs.values())
        yield say(
            "Unplug the loudspeakers: the tone would play {level} at the ear. Protect your ears when you try it.",
            level=LEVEL(loudest),
        )
        bass = self.system.wired[-1].amplifier
        which = ["the amplifier's bass output"] if bass != self.system.wired[0].amplifier else []
        which += [] if self.uses_lines(values) else ["the head unit's loudspeaker outputs"]
        if which:
            words = f"No wire is grounded at {' or '.join(which)} (bridged): put the meter across the two wires."
            yield say(f"{words} Never touch the body with it, and use no earthed instrument.")
        readings = [lift(table) for table in self._readings.values()]
        if max(readings) - min(readings) > UNEVEN:
            yield say(
                "The source changes its bass by {change} between volumes. Read {tones} Hz at each, before you buy.",
                change=LEVEL(max(readings) - min(readings)),
                tones=verbatim(", ".join(f"{tone:.0f}" for tone in TONES)),
            )
        yield say("Noise cancelling may work against an added bass box: ask the maker before you cut a wire.")
        yield say("Set all this parked: never adjust anything on the move.")

    def _conditions(self, values):
        box = self.system.loudspeakers[-1].box
        names = {name: verbatim(values[name]) for name in OUTPUTS}
        return say(
            "2 × {front} and 2 × {rear} in large panels, {bass} in a closed box of {volume}, {cabin}, ear in the "
            "middle row. Filters at {corner}, 24 dB/octave. {source} at volume {setting}.",
            setting=SETTING(values["setting"]),
            volume=VOLUME(float(box.volume)),
            cabin=verbatim(CABIN),
            corner=FREQUENCY(CORNER),
            source=verbatim(values["head_unit"]),
            **names,
        )


def q_of_the_box(driver):
    """Return Qtc of the closed box that the bass driver gets: 0.71, or a little more than the driver has by itself."""
    return max(QTC, ABOVE * float(driver.Qts))


def filter_of(name):
    """Return the crossover filter of an output."""
    kind = LowPass if name == "bass" else HighPass
    return kind(frequency=CORNER, order=4, family="Linkwitz-Riley")


def bridged(amplifier):
    """Return an amplifier with its channels bridged in pairs, if they pair off."""
    return amplifier if amplifier.channels % 2 else amplifier.bridged()


def louder(table, factor):
    """Return a reading with its volts times a factor."""
    change = float(20 * np.log10(factor))
    return LevelTable(points=tuple((frequency, level + change) for frequency, level in table.points))


def lift(table):
    """Return how much more a reading is at the tone of the bass than at that of the others. [dB]"""
    low, high = np.abs(transfer((table,), [tone_for(BANDS["bass"]), tone_for(BANDS["front"])]))
    return float(20 * np.log10(low / high))


def set_the_levels(drivers=None, amplifiers=None, head_units=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, amplifiers, head_units : dict, optional
        Name: Driver, name: Amplifier, name: HeadUnit; your own and the invented ones of the demonstration by default.
    """
    offer = offered()
    drivers = offer.drivers if drivers is None else drivers
    amplifiers = offer.amplifiers if amplifiers is None else amplifiers
    head_units = offer.head_units if head_units is None else head_units
    panels, missed = fit_for("set_the_levels", "front", drivers)
    basses, unfit = fit_for("set_the_levels", "bass", drivers)
    scene = SetTheLevels(drivers, amplifiers, head_units)
    controls = [
        Choice("signal", "Signal from", (LINES, WIRES), WIRES, group="source"),
        Slider("setting", "Volume set to", SETTING, 10.0, 30.0, 24.0, 1.0, "source"),
        Slider("trim", "Converter's trim", LEVEL, -40.0, 0.0, -20.0, 0.5, "source", scene.has_a_converter),
        Choice(
            "head_unit",
            "Head unit",
            head_units,
            first_of(UNIT, head_units),
            left_out({}, "head_unit"),
            "source",
            lambda values: len(head_units) > 1,
        ),
        Choice(
            "amplifier",
            "Amplifier",
            amplifiers,
            first_of(STORES, amplifiers),
            left_out({}, "amplifier"),
            "amplifier",
            lambda values: len(amplifiers) > 1,
        ),
        Choice("front", "Front", panels, first_of("130 mm step well", panels), left_out(missed, "driver"), "levels"),
        Choice("rear", "Rear", panels, first_of("100 mm roof", panels), left_out(missed, "driver"), "levels"),
        Slider("rear_level", "Rear against front", LEVEL, -12.0, 6.0, 0.0, 0.5, "levels"),
        Choice("bass", "Bass", basses, first_of("200 mm bass", basses), left_out(unfit, "driver"), "levels"),
        Slider("bass_level", "Bass against front", LEVEL, -6.0, 12.0, 6.0, 0.5, "levels"),
    ]
    return Page(controls, scene, TITLE, roles={"bass": "driver"})
