"""Source, converter, gains: what to set and what to read on a meter, so that front, rear and bass stand as you want."""

from __future__ import annotations

import bisect
import dataclasses
from functools import partial

import numpy as np

from ....circuit.transfer import transfer
from ....design.alignments import closed_volume
from ....design.level_setting import (
    CONVERTER,
    SOURCE,
    level_for_a_volt,
    reading_at,
    set_levels,
)
from ....figures.headroom import HeadroomPicture
from ....figures.stack import Panel
from ....parts.box import USUAL_LEAKAGE, InfiniteBaffle, SealedBox
from ....parts.filters import HighPass, LevelTable, LowPass
from ....parts.line import LINE, LOUDSPEAKER, Feed
from ....parts.loudspeaker import Loudspeaker
from ....parts.system import Channel, System
from ....response import frequencies
from ....tables import demo_cabins, demo_converters, demo_head_units, demo_readings
from ...kit.controls import Choice, Slider
from ...kit.offered import AMPLIFIER as STORES
from ...kit.offered import first_of, fit_for, left_out, offered
from ...kit.page import Page
from ...kit.places import BY_PLACES, FOR_A_BOX, FOR_A_PANEL, Cabins
from ...kit.predict import Question
from ...kit.scene import Scene
from ...kit.systems import LEVEL
from ...kit.words import OPEN_AIR
from .answering import BANDS, CABIN, CORNER, OUTPUTS, SETTING, UNIT, Telling
from .from_stage import LevelsOfStage
from .own import OwnReadings

GRID = frequencies(20, 1000, per_octave=24)
TITLE = "How do I set the levels?"
QTC, ABOVE = 0.71, 1.1  # of the bass box; and Qtc over Qts at least, else there is none: ours
LINES, WIRES = "line outputs", "loudspeaker wires"
SET_LEVELS, WHAT, WHERE = "levels", "what plays", "places"  # of what is set
PLACES = {
    "front_place": ("Front left at", FOR_A_PANEL),
    "rear_place": ("Rear left at", ("roof rear left", "rear door left", *FOR_A_BOX)),
    "bass_place": ("Bass box at", FOR_A_BOX),
}

QUESTION = Question(
    words="The bass shall play 6 dB louder than the front. By how much do its volts exceed the front's?",
    options=("By 6 dB, twice the volts", "By less than 6 dB", "By more than 6 dB"),
    right="By more than 6 dB",
    why="At the ear one volt makes less bass than middle: one driver in a small box plays against two panels.",
    look="Compare the volts in the headline. The thin lines show what plays with all gain knobs at the same mark.",
)


class SetTheLevels(Scene):
    """Levels of front, rear and bass at the ear, with all knobs at one mark and as wanted, and the volts for that.

    Attributes
    ----------
    given : dict
        Where a plan says it: of the bass its "box" and its "amplifier"; "filters" by the name of an output.
    """

    alternative_text = (
        "Level at the ear and volts at the amplifier of front, rear and bass, against frequency, and how far each "
        "stage stays below clipping"
    )
    grid = GRID
    aside = 0.26

    def __init__(self, drivers, amplifiers, head_units, cabins):
        self._drivers, self._amplifiers, self._head_units = drivers, amplifiers, head_units
        self._cabins, self._minibus = cabins, Cabins({CABIN: demo_cabins()[CABIN]}, PLACES)
        self.take(None, False, None)
        self.given = {}
        pens = {
            "front": ("first", "front"),
            "rear": ("second", "rear"),
            "bass": ("third", "bass"),
            "rear before": ("family 0", "thin: gain knobs at one mark"),
            "bass before": ("family 1", ""),
        }
        super().__init__(pens, kept=OUTPUTS)

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level at the ear [dB re 20 µPa]", 50.0, 110.0, tops=(130.0,)),
            Panel("volts", "amplifier output, r.m.s. [V]", 0.0, 20.0, tops=(40.0, 80.0)),
        )

    def take(self, readings, at_lines, converter):
        """Answer by one's own readings and converter; by the invented ones where they are None.

        Parameters
        ----------
        readings : dict or None
            Volume: LevelTable. [dB re 1 V]
        at_lines : bool
            Whether they were read at the line outputs, not at the loudspeaker wires.
        converter : Converter or None
            With its trim turned up.
        """
        self.own_readings, self._at_lines = readings is not None, at_lines
        self.readings = demo_readings() if readings is None else readings
        (invented,) = demo_converters().values()
        self._converter = invented if converter is None else converter

    @property
    def volumes(self):
        """The lowest and the highest setting of the volume that was read."""
        return min(self.readings), max(self.readings)

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
        usual = SealedBox(volume=closed_volume(bass, Qtc=q_of_the_box(bass)), Ql=USUAL_LEAKAGE)
        boxes = {"bass": self.given.get("box", usual)}
        cabin, (cabins, there) = self._cabins[values["cabin"]], self._with_places(values)
        return System(
            ear=cabins[there["cabin"]].ear,
            channels=tuple(
                Channel(
                    loudspeakers=(
                        Loudspeaker(
                            driver=self._drivers[values[name]],
                            box=boxes.get(name, InfiniteBaffle()),
                            cabin=cabin,
                            position=place,
                        ),
                    ),
                    filters=self.filters(name),
                    amplifier=self._amplifier_of(name, amplifier),
                    name=name,
                )
                for name in OUTPUTS
                for place in self._where(values, name)
            ),
        )

    def filters(self, name):
        """Return the filters of an output: those of a plan, else the crossover's."""
        return self.given.get("filters", {}).get(name) or (filter_of(name),)

    def _amplifier_of(self, name, amplifier):
        """Return what drives an output: two bridged channels the bass, unless a plan says what does."""
        return self.given.get("amplifier", bridged(amplifier)) if name == "bass" else amplifier

    def _where(self, values, name):
        """Return where the loudspeakers of an output are: the bass box alone, others in pairs across the width. [m]"""
        cabins, there = self._with_places(values)
        at = cabins.at(there, f"{name}_place")
        x, y, z = at["position"]
        return ((x, y, z),) if name == "bass" else ((x, y, z), (x, at["cabin"].width - y, z))

    def _with_places(self, values):
        """Return cabins and values by which everything has a place: the invented minibus's, where no others count."""
        if self._cabins.places(values):
            return self._cabins, values
        return self._minibus, values | {"cabin": CABIN + BY_PLACES}

    def way_of_the_signal(self, values):
        """Return the source at the setting of its volume, with the way from there to the amplifier."""
        unit, lines = self._head_units[values["head_unit"]], self.uses_lines(values)
        volts = most_volts(unit, lines) / self._most_of_what_was_read(unit)
        reading = louder(reading_at(self.readings, values["setting"]), volts)
        trim = dataclasses.replace(self._converter, ratio=self._converter.ratio * 10 ** (values["trim"] / 20))
        return Feed(
            source=unit,
            output=LINE if lines else LOUDSPEAKER,
            reading=reading,
            converter=None if lines else trim,
        )

    def _most_of_what_was_read(self, unit):
        """Return the highest volts of the output that was read: of one's own unit, or of the invented one. [V]"""
        if not self.own_readings:
            return demo_head_units()[UNIT].voltage  # others are taken to be like it
        return most_volts(unit, self._at_lines)

    def uses_lines(self, values):
        """Return whether line outputs are used; a unit without any is tapped at its loudspeaker wires."""
        return values["signal"] == LINES and self._head_units[values["head_unit"]].line_voltage is not None

    def has_a_converter(self, values):
        """Return whether there is a converter to trim."""
        return not self.uses_lines(values)

    def curves(self, values):
        """Set the levels, and return what each loudspeaker plays then."""
        self.system, self.way = self.parts(values), self.way_of_the_signal(values)
        self.levels = self._set(self.way, values)
        self.headroom.show(self.levels.margins)
        arrives = 20 * np.log10(np.abs(transfer(self.way.filters, GRID)))
        shown = {}
        for name, output in self.levels.outputs.items():
            heard = level_for_a_volt(self.system, name, GRID) + arrives
            filtered = np.abs(transfer(self.filters(name), GRID))
            volts = 10 ** ((arrives + output.gain) / 20) * filtered
            shown[name] = {"level": heard + output.gain, "volts": volts}
            alike = output.gain + 20 * np.log10(output.knob / self.levels.outputs["front"].knob)
            shown[f"{name} before"] = {"level": heard + alike}
        return {name: shown[name] for name in self.pens if name in shown}

    def _set(self, way, values):
        """Set the levels that are wanted, behind some way of the signal."""
        wanted = {"rear": values["rear_level"], "bass": values["bass_level"]}
        return set_levels(self.system, feed=way, bands=BANDS, wanted=wanted)

    def setting_for(self, enough, turns, values):
        """Return the nearest whole setting of the volume at which the levels can be set; None where none that was read.

        Parameters
        ----------
        enough : callable
            Takes the `Levels` of a setting, returns whether they can be set.
        turns : int
            Which way the volume is turned for that: 1 is up, -1 is down.
        values : dict
            What the controls stand at.
        """
        low, high = self.volumes
        whole = np.arange(np.ceil(low), np.floor(high) + 1)
        onwards = sorted(whole[turns * (whole - values["setting"]) > 0], reverse=turns < 0)

        def does(setting):
            return enough(self._set(self.way_of_the_signal(values | {"setting": float(setting)}), values))

        first = bisect.bisect_left(onwards, True, key=does)
        return float(onwards[first]) if first < len(onwards) else None

    def answer(self, values):
        """Say what to read on the meter, and what stands against it."""
        return Telling(self, self._cabins, self.system, self.way, self.levels, values).answer()


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


def most_volts(unit, lines):
    """Return the highest volts of a head unit's line outputs, if it has any, or of its loudspeaker outputs. [V]"""
    return unit.line_voltage if lines and unit.line_voltage is not None else unit.voltage


def louder(table, factor):
    """Return a reading with its volts times a factor."""
    change = float(20 * np.log10(factor))
    return LevelTable(points=tuple((frequency, level + change) for frequency, level in table.points))


def set_the_levels(drivers=None, amplifiers=None, head_units=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, amplifiers, head_units, cabins : dict, optional
        Name: Driver, name: Amplifier, name: HeadUnit, name: Cabin; your own and the invented ones of the demonstration
        by default.
    """
    offer = offered()
    drivers = offer.drivers if drivers is None else drivers
    amplifiers = offer.amplifiers if amplifiers is None else amplifiers
    head_units = offer.head_units if head_units is None else head_units
    cabins = Cabins(cabins, PLACES)
    scene = SetTheLevels(drivers, amplifiers, head_units, cabins)
    levels, where = (partial(_is_set, half) for half in (SET_LEVELS, WHERE))
    volume = Slider("setting", "Volume set to", SETTING, *scene.volumes, 15.0, 1.0, "source", levels)

    def trimmed(values):
        return levels(values) and scene.has_a_converter(values)

    controls = [
        Choice("show", "Set", (SET_LEVELS, WHAT, WHERE), SET_LEVELS),
        Choice("signal", "Signal from", (LINES, WIRES), LINES, group="source", only=levels),
        volume,
        Slider("trim", "Converter's trim", LEVEL, -40.0, 0.0, -20.0, 0.5, "source", trimmed),
        Slider("rear_level", "Rear against front", LEVEL, -12.0, 6.0, 0.0, 0.5, "levels", levels),
        Slider("bass_level", "Bass against front", LEVEL, -6.0, 12.0, 6.0, 0.5, "levels", levels),
        *_sources(head_units, amplifiers),
        *_loudspeakers(drivers),
        *cabins.controls("Where they play", CABIN if CABIN in cabins else OPEN_AIR, only=where),
    ]
    way = LevelsOfStage(scene, drivers, amplifiers, head_units, cabins)
    return Page(controls, scene, TITLE, helpers=[OwnReadings(scene, volume)], roles={"bass": "driver"}, way=way)


def _sources(head_units, amplifiers):
    """Return the choice of the head unit and of the amplifier, each in view where there are several."""
    both = (
        ("head_unit", "Head unit", "source", head_units, UNIT),
        ("amplifier", "Amplifier", "amplifier", amplifiers, STORES),
    )
    return [
        Choice(name, label, parts, first_of(first, parts), left_out({}, name), group, partial(_of_several, parts))
        for name, label, group, parts, first in both
    ]


def _of_several(parts, values):
    return _is_set(WHAT, values) and len(parts) > 1


def _loudspeakers(drivers):
    """Return the choices of front, rear and bass."""
    chosen = []
    for name, role, start in (
        ("front", "front", "130 mm step well"),
        ("rear", "front", "100 mm roof"),
        ("bass", "bass", "200 mm bass"),
    ):
        fit, unfit = fit_for("set_the_levels", role, drivers)
        without = left_out(unfit, "driver")
        first, only = first_of(start, fit), partial(_is_set, WHAT)
        chosen.append(Choice(name, name.capitalize(), fit, first, without, "loudspeakers", only))
    return chosen


def _is_set(half, values):
    return values["show"] == half
