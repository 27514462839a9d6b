"""What the page on levels answers."""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np

from ....circuit.transfer import transfer
from ....design.ceiling import AMPLIFIER, COIL, ceiling
from ....design.level_setting import CONVERTER, SOURCE, TONES, Levels, tone_for
from ....figures.garage.hookup import setting
from ....parts.line import Feed
from ....parts.system import System
from ....response import solve
from ...kit import facts
from ...kit.answer import Answer, Fact, say, verbatim
from ...kit.places import Cabins
from ...kit.systems import FREQUENCY, LEVEL, POWER, RESISTANCE, VOLTAGE, VOLUME, same

OUTPUTS = ("front", "rear", "bass")
BANDS = {"front": (160.0, 800.0), "rear": (160.0, 800.0), "bass": (40.0, 80.0)}  # Hz; ours
CORNER = 80.0  # Hz; where the bass box hands over: common practice, no source
CABIN, UNIT = "sixteen-seat minibus", "head unit of the minibus"
KNOB, EARS, LEFT = "gain knob at", "at the ear", "left before clipping"
UNEVEN, SHORT, HARDLY = 3.0, 1.0, 0.05  # dB; of the source's bass, of a knob, nothing: ours
SETTING = same("", decimals=0, told=1)


@dataclass(frozen=True, slots=True)
class Telling:
    """What was set, and how it is told.

    Attributes
    ----------
    source : SetTheLevels
        With the readings.
    cabins : Cabins
    system : System
        Before the gains.
    way : Feed
    levels : Levels
    values : dict
        What the controls stand at.
    """

    source: object
    cabins: Cabins
    system: System
    way: Feed
    levels: Levels
    values: dict

    def answer(self):
        """Say what to read on the meter, and what stands against it."""
        outputs, margins = self.levels.outputs, self.levels.margins
        left = {name: say("{left}", left=LEVEL(margins[name])) for name in (*OUTPUTS, SOURCE)}
        return Answer(
            headline=self.headline(),
            facts=(
                Fact(KNOB, {name: say("{at}", at=VOLTAGE(output.knob)) for name, output in outputs.items()}),
                Fact(EARS, {name: say("{level}", level=LEVEL(output.level)) for name, output in outputs.items()}),
                Fact(LEFT, left),
            ),
            details=tuple(self._details()),
            conditions=self._conditions(),
            cautions=tuple(self._cautions()),
        )

    def _watts(self, name):
        """Power that the tone would bring into the loudspeaker, by its rated load. [W]"""
        driver = next(c.loudspeakers[0].driver for c in self.system.wired if c.name == name)
        return self.levels.outputs[name].setting.voltage ** 2 / float(driver.nominal_resistance)

    def headline(self):
        """Say what to read on the meter, or what must be turned first."""
        levels, turn = self.levels, "the converter's trim" if self.way.converter else "the source"
        for name, words in ((SOURCE, "the source"), (CONVERTER, "the converter's trim")):
            if levels.margins.get(name, 0.0) < -HARDLY:
                told = f"It clips before the amplifiers: turn {words} down by {{over}}{{to}}."
                return say(told, over=LEVEL(-levels.margins[name]), to=self._to_volume(-1, _is_clean, name == SOURCE))
        if apart := self._too_far_apart():
            words = "The gains lie {apart} apart, and the knobs reach {range}: ask for less of a difference."
            return say(words, apart=LEVEL(apart), range=LEVEL(self.way.input.range_db))
        if levels.beyond:
            name = max(levels.beyond, key=levels.beyond.get)
            words = f"The {name} knob does not go low enough: turn {turn} down by {{over}} first{{to}}."
            return say(words, over=LEVEL(levels.beyond[name]), to=self._to_volume(-1, _within_the_knobs))
        if levels.short > SHORT:
            words = f"A knob is all the way up, and {{short}} are missing: turn {turn} up first{{to}}."
            return say(words, short=LEVEL(levels.short), to=self._to_volume(1, _loud_enough))
        front, rear, bass = (output.setting for output in levels.outputs.values())
        return say(
            "Turn the gains until a meter reads {front} front, {rear} rear ({middle}), {bass} bass ({low}).",
            front=VOLTAGE(front.voltage),
            rear=VOLTAGE(rear.voltage),
            bass=VOLTAGE(bass.voltage),
            middle=FREQUENCY(front.frequency),
            low=FREQUENCY(bass.frequency),
        )

    def _to_volume(self, turns, enough, of_the_source=None):
        """Say to which volume the source must be turned, where that was read; nothing where the trim is turned."""
        of_the_source = not self.way.converter if of_the_source is None else of_the_source
        at = self.source.setting_for(enough, turns, self.values) if of_the_source else None
        return say("") if at is None else say(", to volume {setting}", setting=SETTING(at))

    def _too_far_apart(self):
        """Return how far the knobs would stand apart, where that is more than they reach; else nothing. [dB]"""
        knobs = [output.knob for output in self.levels.outputs.values()]
        apart = float(20 * np.log10(max(knobs) / min(knobs)))
        return apart if apart > self.way.input.range_db + HARDLY else 0.0

    def _details(self):
        levels = self.levels
        yield say(
            "Unplug the amplifier's loudspeakers, set tone controls flat, leave the crossover filters on. Play a "
            "full-scale tone at this volume. Turn each gain up from its lowest, and read alternating volts across the "
            "two wires."
        )
        yield say(
            "A cheap meter shows alternating volts from about 45 to 400 Hz only (common practice, no source). So the "
            "tones are {low} for the bass and {middle} for the others.",
            low=FREQUENCY(tone_for(BANDS["bass"])),
            middle=FREQUENCY(tone_for(BANDS["front"])),
        )
        yield say("The gain knob is marked in volts: so many at the input make full power.")
        yield self._what_ends()
        yield say(
            "Connected, the tones would bring {front} to a front driver, {rear} to a rear one, {bass} to the bass.",
            **{name: POWER(self._watts(name)) for name in levels.outputs},
        )
        first = levels.first if levels.first in (SOURCE, CONVERTER) else f"{levels.first} amplifier"
        yield say(
            f"As you turn the source up, the {first} clips first, {{left}} up from here.", left=LEVEL(levels.left)
        )
        yield from self._source_words()
        yield from self._way_words()
        yield say(
            "Levels at the ear are averages of the computed curves. Front and rear count from {low} to {high}, the "
            "bass from {bass_low} to {bass_high}.",
            low=FREQUENCY(BANDS["front"][0]),
            high=FREQUENCY(BANDS["front"][1]),
            bass_low=FREQUENCY(BANDS["bass"][0]),
            bass_high=FREQUENCY(BANDS["bass"][1]),
        )
        yield say("Music is mostly 10 dB or more below the tone (common practice, no source).")
        yield say("Try chimes, hands-free and noise cancelling after every change: an added bass box may upset them.")
        yield from self._about_the_cabin()
        yield from facts.of_its_kind(*{speaker.driver for speaker in self.system.loudspeakers})

    def _about_the_cabin(self):
        """Say how far to trust the levels in the cabin that is chosen."""
        if not self.cabins.places(self.values):
            yield say("The cabin is one volume of air here. Choose it by its places, and its resonances count too.")
            if self.values["cabin"] != CABIN:
                yield say("The ways to the ear are those in the invented minibus: by its places they are your own.")
            yield say("Let your ears decide in the end.")
            return
        (bass,) = self.system.wired[-1].each
        yield from self.cabins.about(solve(bass, CORNER))
        yield from _where_the_head_may_be(bass, self.system.ear)
        yield say(
            "Front and rear stand in pairs, opposite each other across the width. Let your ears decide in the end."
        )

    def _what_ends(self):
        """Say what keeps all of them from playing louder."""
        if self.levels.short > HARDLY:
            return say("All levels follow the knob that is all the way up.")
        full = min(self.levels.outputs.values(), key=lambda output: self._room(output))
        ends = {AMPLIFIER: "its amplifier is just about to clip", COIL: "it already gets its rated power"}[full.ceiling]
        return say(f"All levels follow the {full.name}: {ends}.")

    def _room(self, output):
        """Return how far an output stays below what ends first there. [V]"""
        channel = next(c for c in self.system.wired if c.name == output.name)
        return ceiling(channel)[0] / output.loudest

    def _source_words(self):
        """Say what the source does to the bass at this volume, and between the volumes that were read."""
        here = lift(self.way.reading)
        yield say(
            f"At this volume the source {'lifts' if here > 0 else 'cuts'} {{tone}} by {{lift}}; the gain of the bass "
            "makes up for that.",
            tone=FREQUENCY(tone_for(BANDS["bass"])),
            lift=LEVEL(abs(here)),
        )
        for volume in (min(self.source.readings), max(self.source.readings)):
            change = lift(self.source.readings[volume]) - here
            if abs(change) > SHORT:
                verb = "more" if change > 0 else "less"
                words = f"With these gains the bass is {{change}} {verb} at volume {volume:g}, against the front."
                yield say(words, change=LEVEL(abs(change)))
        if self.source.own_readings:
            yield say("The readings are yours. Outputs that were not read are taken to follow, and to clip together.")
            return
        if self.values["head_unit"] != UNIT:
            yield say("Your head unit's readings are not known: it is taken to be like the invented one.")
        yield say("The loudspeaker outputs were read. Line outputs are taken to follow them, and to clip together.")
        yield say("Type your own readings, and your converter, under the controls.")

    def _way_words(self):
        converter = self.way.converter
        if converter is None:
            return
        volts = self.way.clips_at / 10 ** (self.levels.margins[SOURCE] / 20)
        yield say(
            "The converter loads each output of the source with {load}, and takes {power}. Of the volts, {share} less "
            "arrive than its trim says, since the amplifier's input loads it.",
            load=RESISTANCE(converter.input_resistance),
            power=POWER(volts**2 / converter.input_resistance),
            share=LEVEL(20 * np.log10(converter.ratio / self.way.passes)),
        )
        yield say(
            "Some factory amplifiers go quiet without a loudspeaker. Then leave the factory loudspeakers on, and "
            "measure at low volume."
        )
        if CONVERTER in self.levels.margins:
            yield say("The converter has {left} left before it clips.", left=LEVEL(self.levels.margins[CONVERTER]))
        yield say("A trim late in the way lets the stage before it clip, and one early lets in more noise after it.")

    def _cautions(self):
        yield from self.cabins.crowded(self.values)
        yield say(
            "Unplug the amplifier's loudspeakers, and do it parked: the tone would play {level} at the ear.",
            level=LEVEL(max(output.level for output in self.levels.outputs.values())),
        )
        which = ["the bridged bass output"] if self.system.wired[-1].amplifier != self.system.wired[0].amplifier else []
        which += ["the head unit's loudspeaker outputs"] if self.way.converter else []
        for name, channel in {channel.name: channel for channel in self.system.wired}.items():
            least = solve(channel.each[0], CORNER).lowest_impedance
            yield from facts.low_load(float(least), channel.amplifier, f"The load of the {name} output")
        if which:
            yield say(f"No wire is grounded at {' or '.join(which)}: put the meter across the two wires only.")
        if self.way.converter:
            yield say("Noise cancelling may work against an added bass box: ask the maker before you cut a wire.")
        here = lift(self.way.reading)
        if abs(here) > UNEVEN:
            yield say(
                f"The source {'lifts' if here > 0 else 'cuts'} the bass by {{lift}} at this volume. Measure these "
                "tones at each volume, before you buy an amplifier: {tones} Hz.",
                lift=LEVEL(abs(here)),
                tones=verbatim(", ".join(f"{tone:.0f}" for tone in TONES)),
            )

    def _conditions(self):
        box = self.system.loudspeakers[-1].box
        names = {name: verbatim(self.values[name]) for name in OUTPUTS}
        by_places, cabin = bool(self.cabins.places(self.values)), verbatim(self.values["cabin"])
        read = ", as you read it" if self.source.own_readings else ""
        usual = say("Filters at {corner}, 24 dB/octave", corner=FREQUENCY(CORNER))
        planned = self.source.given.get("filters", {})
        told = "; ".join(f"{name} {', '.join(map(setting, planned[name]))}" for name in OUTPUTS if planned.get(name))
        return say(
            "2 × {front} and 2 × {rear} in large panels, {bass} in a closed box of {volume}, {place}. {filters}. "
            f"{{source}} at volume {{setting}}{read}.",
            setting=SETTING(self.values["setting"]),
            volume=VOLUME(float(box.volume)),
            place=self.cabins.told(self.values) if by_places else say("at the ear, {cabin}", cabin=cabin),
            filters=verbatim(f"Filters as in the plan: {told}") if told else usual,
            source=verbatim(self.values["head_unit"]),
            **names,
        )


def _is_clean(levels):
    return levels.margins[SOURCE] >= -HARDLY


def _within_the_knobs(levels):
    return not levels.beyond


def _loud_enough(levels):
    return levels.short <= SHORT


@functools.lru_cache(maxsize=8)  # no level that is set changes anything of it
def _where_the_head_may_be(bass, ear):
    """Say how far the bass spreads where the head may be."""
    alone = System(channels=(bass,), ear=ear)
    return tuple(facts.head_moves(solve(alone, tone_for(BANDS["bass"]))))


def lift(table):
    """Return how much more a reading is at the tone of the bass than at that of the others. [dB]"""
    low, high = np.abs(transfer((table,), [tone_for(BANDS["bass"]), tone_for(BANDS["front"])]))
    return float(20 * np.log10(low / high))
