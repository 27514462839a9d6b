"""A woofer and a tweeter on one channel: the tweeter behind one capacitor, and a pad."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...design.capacitor import corner_of, in_series_of, one_capacitor
from ...design.e_series import rounded
from ...design.level_matching import HIGH_BAND, LOW_BAND, lacking, matched, octaves_beside, thinness, with_network
from ...design.shared_channel import BASS, sharing
from ...design.wiring import meter_reading
from ...figures.stack import Panel
from ...parts.amplifier import lowest_load
from ...parts.box import InfiniteBaffle
from ...parts.loudspeaker import Loudspeaker
from ...parts.network import Capacitor, in_series, l_pad
from ...parts.small_signal import PRINTED_VOLTAGE
from ...parts.system import Channel, System
from ...parts.variants import louder
from ...response import frequencies, solve
from ...units import uF
from ..exercises.loud_tweeter import sheet as loud_tweeter_sheet
from ..kit import facts, pads
from ..kit.answer import ONLY, Answer, Fact, say, verbatim
from ..kit.controls import Choice, Power, Slider
from ..kit.offered import AMPLIFIER, first_of, left_out, not_believed, offered, woofers_and_tweeters
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import ANGLE, CAPACITANCE, FREQUENCY, LEVEL, RESISTANCE, VOLTAGE
from ..kit.tweeter_stage import TweeterOfStage
from ..kit.wirings import CALLED, METER_OFF, NOT_KNOWN, PARALLEL, SERIES, SILENT
from ..kit.words import AS_MARKED, REVERSED

__all__ = ["QUESTION", "loud_tweeter", "loud_tweeter_sheet"]

GRID = frequencies(100, 10000, per_octave=24)
TITLE = "The new tweeter is too loud: what cures it?"
CROSSING = 3000.0  # Hz, beside which the two are compared: ours
COMPARED = {"adjusted": "tweeter", "against": "woofer", "crossover": CROSSING}
NEW, LIFT = "25 mm pillar tweeter", 8.0  # dB, by which the demonstration's new tweeter is louder than its sheet
BOTH, OWN_ONLY = "its own and a series one", "its own only"  # of a tweeter that has a capacitor built in
LOUDEST, FIRST = 20.0, 10.0  # V; as far as the slider goes, and where it starts

QUESTION = Question(
    words="A pad of two resistors takes 4 dB from the new tweeter. How much is it at 1000 Hz, near its resonance?",
    options=("4 dB, as everywhere", "Hardly anything", "About 10 dB"),
    right="About 10 dB",
    why="There the tweeter's impedance peaks. The pad's resistor bridges that peak, so the capacitor takes more.",
    look="Move the pad to 4 dB, and read the tweeter's curve at 1000 Hz, and at 8000 Hz.",
)


class LoudTweeter(Scene):
    """Level of a woofer and a tweeter, alone and together, and the load of their channel, over one frequency axis."""

    alternative_text = "Level of a woofer, a tweeter and both, and the impedance of their channel, against frequency"
    grid = GRID

    def __init__(self, woofers, tweeters, amplifier, not_believed):
        self._drivers, self._amplifier, self._not_believed = {**woofers, **tweeters}, amplifier, not_believed
        self._padded, self._match = None, None
        pens = {
            "sum": ("first", "both"),
            "woofer": ("second", "woofer"),
            "tweeter": ("third", "tweeter"),
            "limit": ("limit", "lowest load allowed"),
        }
        super().__init__(pens, kept=("sum", "tweeter"))

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level [dB re 20 µPa] at 1 m", 60.0, 120.0, tops=(130.0,)),
            Panel("impedance", "load of the channel [ohm]", 0.0, 12.0),
        )

    def tweeter(self, values):
        """Return the tweeter, as loud as it is said to be."""
        return louder(self._drivers[values["tweeter"]], values["lift"])

    def parts(self, values):
        """Return the system that the controls stand for."""
        woofer, tweeter = self._drivers[values["woofer"]], self.tweeter(values)
        without = left_out_beside(tweeter, values)
        network = None if without else in_series(Capacitor(capacitance=values["capacitor"]))
        if pad := pad_set(tweeter, values):
            network = network + pad if network else pad
        common = {"box": InfiniteBaffle(), "angle": values["angle"]}
        speakers = (
            Loudspeaker(driver=woofer, name="woofer", **common),
            Loudspeaker(driver=tweeter, name="tweeter", network=network, polarity=values["polarity"], **common),
        )
        return System(channels=(Channel(loudspeakers=speakers, wiring=wired(values), amplifier=self._amplifier),))

    def know(self, name, driver):
        """Take in a driver that a plan has."""
        self._drivers[name] = driver

    def play_from(self, amplifier):
        """Let an amplifier or a head unit drive both from now on."""
        self._amplifier = amplifier

    def load(self, values):
        """Return the load that the watts are counted into. [ohm]"""
        return float(self._drivers[values["woofer"]].nominal_resistance)

    def has_its_own(self, values):
        """Whether the tweeter has a capacitor built in."""
        return self._drivers[values["tweeter"]].built_in_capacitance is not None

    def has_a_series_one(self, values):
        """Whether a capacitor stands in series with the tweeter, beside what is built in."""
        return not left_out_beside(self._drivers[values["tweeter"]], values)

    def cure(self, values):
        """Return what matches a tweeter without a pad to the woofer: a `Match`; neither pad nor volts change it."""
        without = values | {"pad": 0.0, "voltage": PRINTED_VOLTAGE}
        if without != self._padded:
            system = self.parts(without)
            match = matched(system, **COMPARED)
            bought = with_network(system, "tweeter", rounded(match.pad)) if match.pad else system
            self._padded, self._match, self._thin = without, match, (thinness(system), thinness(bought))
        return self._match

    def curves(self, values):
        """Solve both together."""
        self.response = response = solve(self.parts(values), GRID, values["voltage"])
        woofer, tweeter = response.responses
        self._impedance = np.abs(response.channel_impedances[0])
        self._level = response.treble_level
        return {
            "sum": {"level": self._level, "impedance": self._impedance},
            "woofer": {"level": woofer.treble_level},
            "tweeter": {"level": tweeter.treble_level},
            "limit": {"impedance": np.full_like(GRID, lowest_load(self._amplifier))},
        }

    def answer(self, values):
        """Say which pad cures it, and what it takes; or what the wiring has to do with it."""
        least = np.min(self._impedance)
        about = {PARALLEL: self._with_pad, SERIES: self._in_series, NOT_KNOWN: self._find_out}[values["wiring"]]
        headline, told, details, cautions = about(values)
        return Answer(
            headline=headline,
            facts=tuple(Fact(name, {ONLY: said}) for name, said in (told | {"lowest load": _ohms(least)}).items()),
            details=(*details, *self._about_both(values)),
            conditions=self._conditions(values),
            cautions=(
                *cautions,
                *self._hot_coils(),
                *facts.low_load(least, self._amplifier),
                *facts.protect_ears(GRID, [self._level]),
            ),
        )

    def _with_pad(self, values):
        """Return headline, facts, details and cautions in parallel."""
        match, system, lack, thin = self.cure(values), self.response.system, self._match.gain, self._thin[0]
        if padded := values["pad"] > pads.NO_PAD:
            lack, thin = lacking(system, **COMPARED), thinness(system)
        needed, fitted = self.resistors(values)
        behind = None if self.has_its_own(values) else self._one_capacitor(values)
        told = {
            "against the woofer": pads.against(-lack),
            pads.NEEDED: pads.in_place(needed),
            **({pads.AS_SET: pads.in_place(fitted)} if fitted else {}),
            "treble against bass": pads.signed(thin),
            "capacitor": self._own_capacitor(values) if behind is None else pads.capacitor(behind),
        }
        headline = pads.headline(-lack, padded, match, needed, fitted)
        cautions = tuple(pads.too_hot(*filter(None, (needed, fitted))))
        return headline, told, tuple(self._details(values, match, behind, needed, fitted)), cautions

    def _as_heard(self):
        """Return how loud the tweeter is, and treble against bass."""
        system = self.response.system
        return {
            "against the woofer": pads.against(-lacking(system, **COMPARED)),
            "treble against bass": pads.signed(thinness(system)),
        }

    def _in_series(self, values):
        """Return headline, facts, details and cautions in series: no pad cures that."""
        bass = sharing(self.response.system.wired[0], woofer="woofer", other="tweeter").bass
        words = "In series the tweeter takes {taken} of the bass at {at}: rewire in parallel before you choose a pad."
        headline = say(words, taken=LEVEL(-bass), at=FREQUENCY(BASS))
        behind = " A pad behind it brings no bass back." if self.has_a_series_one(values) else ""
        details = (
            say(f"The tweeter's capacitor is in the woofer's way too.{behind}"),
            say("The page on two speakers on one channel compares what else would cure it."),
        )
        return headline, self._as_heard() | {"resistors": say("rewire in parallel first")}, details, ()

    def _find_out(self, values):
        """Return headline, facts, details and cautions for a wiring that is not known: how to find out."""
        reads = {how: meter_reading(self.parts(values | {"wiring": how}).wired[0]) for how in (PARALLEL, SERIES)}
        told = {
            "meter reads": say("{ohms} in parallel, OL in series", ohms=RESISTANCE(reads[PARALLEL])),
            "one unplugged": say("; ".join(f"{CALLED[how]} {SILENT[how]}" for how in reads)),
        }
        details = (say("Until you know, all here is for parallel. The two ways differ by most of the bass."),)
        headline = say("Find out first: unplug the tweeter. If the woofer falls silent too, they are in series.")
        return headline, told | self._as_heard(), details, (say(METER_OFF),)

    def resistors(self, values):
        """Return the `Resistors` of the pad that is needed, and of the one that is set if they differ; else None."""
        match, full = self.cure(values), float(self._amplifier.voltage)  # whoever turns it up
        speaker, pad = self.response.system.loudspeakers[1], pad_set(self.tweeter(values), values)
        needed = match.pad and pads.to_buy(match.system.loudspeakers[1], match.pad, GRID, full)
        fitted = pad and pads.to_buy(speaker, pad, GRID, full)
        return needed, fitted if fitted and (needed is None or fitted[:2] != needed[:2]) else None

    def _hot_coils(self):
        for response in self.response.responses:
            speaker = response.loudspeaker
            yield from facts.hot_coil(facts.coil_heat(response), speaker.driver, whose=f"the {speaker.name}'s coil")

    def _one_capacitor(self, values):
        tweeter = self.response.system.loudspeakers[1]
        after = tweeter.network.branches[1:]
        network = dataclasses.replace(tweeter.network, branches=after) if after else None
        bare = dataclasses.replace(tweeter, network=network)
        return one_capacitor(bare, capacitance=values["capacitor"], voltage=values["voltage"])

    def _own_capacitor(self, values):
        """Say what is built in, together with what stands in series."""
        return say("{total} in all", total=CAPACITANCE(self._in_all(values)))

    def _in_all(self, values):
        """Return what a capacitor built in makes, with the series one where there is one. [F]"""
        own = self._drivers[values["tweeter"]].built_in_capacitance
        return in_series_of(own, values["capacitor"]) if self.has_a_series_one(values) else own

    def _details(self, values, match, behind, needed, fitted):
        yield from pads.by_ear()
        (low, high), (lowest, middle) = octaves_beside(CROSSING)
        yield say(
            "Compared are the tweeter from {low} to {high} and the woofer from {lowest} to {middle}.",
            low=FREQUENCY(low),
            high=FREQUENCY(high),
            lowest=FREQUENCY(lowest),
            middle=FREQUENCY(middle),
        )
        if match.pad is not None:
            yield from pads.about(match, needed)
        if both := [pair for pair in (needed, fitted) if pair]:
            yield from pads.watts_of(*both)
        before, after = map(pads.signed, self._thin)
        bands = {"high": HIGH_BAND, "low": LOW_BAND}
        edges = {f"{name}{i}": FREQUENCY(edge) for name, band in bands.items() for i, edge in enumerate(band)}
        words = "Treble is {high0} to {high1}, bass {low0} to {low1}. Without a pad the difference is {before}"
        words += "." if match.pad is None else ", with the resistors needed {after}."
        yield say(words, before=before, after=after, **edges)
        yield from self._beside_its_own(values) if behind is None else pads.by_the_book(behind, self.tweeter(values))

    def _about_both(self, values):
        yield facts.lowest_at(GRID, self._impedance, self._amplifier)
        yield facts.printed_above(*self.response.responses)
        yield facts.NO_PLACE
        yield from (say(self._not_believed[name]) for name in chosen(values) if name in self._not_believed)
        yield from facts.of_its_kind(*(speaker.driver for speaker in self.response.system.loudspeakers))

    def _beside_its_own(self, values):
        """Say which capacitors a tweeter with one built in plays through."""
        driver, total = self._drivers[values["tweeter"]], self._in_all(values)
        own, series = CAPACITANCE(driver.built_in_capacitance), CAPACITANCE(values["capacitor"])
        if self.has_a_series_one(values):
            words = "The tweeter's own {own} and the {series} in series make {total}."
            yield say(words, own=own, series=series, total=CAPACITANCE(total))
        else:
            yield say("The tweeter has its own capacitor of {own}, so the series capacitor is left out.", own=own)
        corner = corner_of(driver.nominal_resistance, total)
        yield say("Without a pad that is 3 dB down at {corner} by the textbook.", corner=FREQUENCY(corner))
        if values["pad"] > pads.NO_PAD:
            yield say(
                "The pad comes before the tweeter's own capacitor. Low down it takes less than its decibels, and it "
                "loads the amplifier there."
            )

    def _conditions(self, values):
        level = self._drivers[values["tweeter"]].sensitivity + values["lift"]
        taken = ", taken as" if values["wiring"] == NOT_KNOWN else ","
        return say(
            f"{{woofer}} and {{tweeter}} ({{level}} at 2.83 V){taken} {CALLED[wired(values)]}, in large panels, "
            "{angle} off axis; {voltage} r.m.s., at 1 m, half space.",
            woofer=verbatim(values["woofer"]),
            tweeter=verbatim(values["tweeter"]),
            level=LEVEL(level),
            angle=ANGLE(values["angle"]),
            voltage=VOLTAGE(values["voltage"]),
        )


def left_out_beside(tweeter, values):
    """Whether the series capacitor is left out, as the tweeter has one built in."""
    return tweeter.built_in_capacitance is not None and values["beside_own"] == OWN_ONLY


def wired(values):
    """Return how the two are wired in what is drawn: in parallel until it is known."""
    return SERIES if values["wiring"] == SERIES else PARALLEL


def _ohms(resistance):
    return say("{least}", least=RESISTANCE(resistance))


def chosen(values):
    """Return the names of woofer and tweeter."""
    return values["woofer"], values["tweeter"]


class TweeterPage(Page):
    """Takes a tweeter that is chosen anew as loud as its sheet says; only the demonstration's new one is louder."""

    _tweeter = None

    def put(self, **places):
        """Put controls to new places; a level that is told stays, whichever tweeter is chosen with it."""
        if "lift" in places:
            self._tweeter = places.get("tweeter", self._tweeter)
        super().put(**places)

    def follow(self, values):
        """Return the values with the level that belongs to a tweeter which has just been chosen."""
        before, self._tweeter = self._tweeter, values["tweeter"]
        return values if before == self._tweeter else values | {"lift": lift_of(self._tweeter)}


def lift_of(tweeter):
    """Return by how much a tweeter is louder than its sheet, before anybody has listened. [dB]"""
    return LIFT if tweeter == NEW else 0.0


def pad_set(tweeter, values):
    """Return the pad that is set before a tweeter; None where there is none."""
    if values["pad"] <= pads.NO_PAD:
        return None
    return l_pad(attenuation=values["pad"], impedance=tweeter.nominal_resistance)


def loud_tweeter(drivers=None, amplifiers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, amplifiers : dict, optional
        Name: Driver, name: Amplifier; your own and the invented ones of the demonstration by default.
        Drivers without a printed sensitivity are left out; the amplifier is the one from the stores, or
        else the first.
    """
    doubted = not_believed(offered().sheets) if drivers is None else {}
    amplifiers = offered().amplifiers if amplifiers is None else amplifiers
    woofers, tweeters, missed = woofers_and_tweeters("loud_tweeter", drivers)
    amplifier, first = amplifiers[first_of(AMPLIFIER, amplifiers)], first_of(NEW, tweeters)
    scene = LoudTweeter(woofers, tweeters, amplifier, doubted)
    own, series = scene.has_its_own, scene.has_a_series_one
    controls = [
        Choice("tweeter", "Tweeter", tweeters, first, group="tweeter"),
        Slider("lift", "Sheet is too low by", LEVEL, 0.0, 10.0, lift_of(first), 0.5, "tweeter"),
        Slider("pad", "Pad before it", LEVEL, 0.0, 15.0, 0.0, 0.5, "tweeter"),
        Choice("beside_own", "Capacitors", (OWN_ONLY, BOTH), OWN_ONLY, group="tweeter", only=own),
        Slider("capacitor", "Series capacitor", CAPACITANCE, 2 * uF, 30 * uF, 10 * uF, 0.5 * uF, "tweeter", series),
        Choice("wiring", "Wiring", (PARALLEL, SERIES, NOT_KNOWN), PARALLEL, group="tweeter"),
        Choice("polarity", "Polarity", (AS_MARKED, REVERSED), AS_MARKED, group="tweeter"),
        Choice("woofer", "Woofer", woofers, first_of("165 mm panel", woofers), left_out(missed, "driver"), "woofer"),
        Power("voltage", "Power", 0.5, LOUDEST, FIRST, scene.load),
        Slider("angle", "Off the axis of both", ANGLE, 0.0, 60.0, 0.0, 5.0, "place"),
    ]
    return TweeterPage(controls, scene, TITLE, way=TweeterOfStage(scene, woofers, tweeters))
