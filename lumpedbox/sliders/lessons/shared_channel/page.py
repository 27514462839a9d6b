"""Two speakers on one channel: in series or in parallel, how to find out, and what cures a tweeter in series."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from ....design.e_series import rounded
from ....design.shared_channel import RESISTORS, Sharing, resistors_across, sharing, with_ahead
from ....design.wiring import ALONE, MIXED, likely_wirings, meter_reading
from ....figures.stack import Panel
from ....parts.amplifier import lowest_load
from ....parts.box import InfiniteBaffle
from ....parts.loudspeaker import Loudspeaker
from ....parts.network import Capacitor, Resistor, across, in_series, joined, l_pad
from ....parts.small_signal import PRINTED_VOLTAGE
from ....parts.system import Channel, System
from ....response import frequencies, solve
from ....units import uF
from ...kit.controls import Choice, Slider
from ...kit.kept_channels import IN_LINE, WITHOUT, entries_of, settings_of
from ...kit.offered import AMPLIFIER, first_of, left_out, not_believed, offered, woofers_and_tweeters
from ...kit.page import Page
from ...kit.predict import Question
from ...kit.scene import Scene
from ...kit.systems import CAPACITANCE, LEVEL, RESISTANCE
from ...kit.wirings import NOT_KNOWN, PAIRS, PARALLEL, SERIES
from .answering import ACROSS, BEHIND, NO_CURE, NOT_READ, OHMS, OPEN, PAD, REWIRED, Answering
from .drawing import drawn_channel
from .from_stage import ChannelOfStage

GRID = frequencies(20, 20000, per_octave=24)
TITLE = "Two speakers on one channel: who gets what?"
HOW = {PARALLEL: "parallel", SERIES: "series", PAIRS: MIXED}  # as `likely_wirings` has it
WOOFERS = ("woofer", "third woofer")  # of one pair, and of a second pair
OTHERS = {"tweeter": ("tweeter", "second tweeter"), "second woofer": ("second woofer", "fourth woofer")}

QUESTION = Question(
    words="A tweeter with its own capacitor of 6.8 µF is in series with the woofer. What happens to the bass?",
    options=("It stays as it was", "It falls by 6 dB", "Nearly all of it is gone"),
    right="Nearly all of it is gone",
    why="In series all that reaches the woofer passes the capacitor too, and that lets hardly any bass through.",
    look="Compare the woofer's curve at 50 Hz in series and in parallel.",
)


class Sold(Slider):
    """A slider for a resistor, which stops at what is sold."""

    def stops(self, values, system):
        """Return the values of series E12 that it reaches. [ohm]"""
        return RESISTORS.tolist()


@dataclass(frozen=True, slots=True)
class Candidates:
    """What there is to choose from.

    Attributes
    ----------
    nothing, rewired : Sharing
        As it is wired, without any cure; and wired the other way.
    ohm : float or None
        The best resistor across tweeter and capacitor; None for two woofers. [ohm]
    best : Sharing or None
        What that one does.
    """

    nothing: Sharing
    rewired: Sharing
    ohm: float | None = None
    best: Sharing | None = None


class SharedChannel(Answering, Scene):
    """Level of a woofer, what shares its channel, and both; and the load of the channel, over one frequency axis."""

    alternative_text = "Level of a woofer, a second speaker and both, and the load of their channel, against frequency"
    grid = GRID

    def __init__(self, woofers, tweeters, amplifiers, not_believed):
        self._drivers, self._tweeters = {**woofers, **tweeters}, tweeters
        self._amplifiers, self._not_believed = amplifiers, not_believed
        self._state, self._got, self._candidates = None, {}, None
        pens = {
            "sum": ("first", "both"),
            "woofer": ("second", "woofer"),
            "other": ("third", "second"),
            "alone": ("validity", "woofer alone"),
            "limit": ("limit", ""),
        }
        super().__init__(pens, kept=("sum", "woofer"))

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level [dB re 20 µPa] at 1 m", 40.0, 110.0),
            Panel("impedance", "load, and lowest allowed [ohm]", 0.0, 20.0),
        )

    def is_tweeter(self, values):
        """Whether the second speaker is a tweeter."""
        return values["second"] in self._tweeters

    def has_its_own(self, values):
        """Whether the second speaker has a capacitor built in."""
        return self._drivers[values["second"]].built_in_capacitance is not None

    def takes_one(self, values):
        """Whether a capacitor may stand in series with the second speaker."""
        return self.is_tweeter(values) and not self.has_its_own(values)

    def has_a_series_one(self, values):
        """Whether a capacitor stands in series with the second speaker, beside what is built in."""
        return self.takes_one(values) and values["fitted"] == IN_LINE

    def driver(self, name):
        """Return the driver that is offered under a name."""
        return self._drivers[name]

    def curable(self, values):
        """Whether a cure has a meaning: for a tweeter of a wiring that is known."""
        return self.is_tweeter(values) and values["wiring"] != NOT_KNOWN

    def other(self, values):
        """Return what the second speaker is called."""
        return "tweeter" if self.is_tweeter(values) else "second woofer"

    def capacitance(self, values):
        """Return the capacitor before the tweeter; None where there is none. [F]"""
        if not self.takes_one(values):
            return self._drivers[values["second"]].built_in_capacitance
        return values["capacitor"] if values["fitted"] == IN_LINE else None

    def cure(self, values):
        """Return the cure in place; nothing fits behind a capacitor that is built in."""
        cure = values["cure"] if self.curable(values) else NO_CURE
        return NO_CURE if cure == BEHIND and self.has_its_own(values) else cure

    def wiring(self, values):
        """Return the wiring that is drawn: the likeliest, where it is not known yet."""
        if values["wiring"] != NOT_KNOWN:
            return values["wiring"]
        return next((wiring for wiring in self.fitting(values) if wiring in HOW), PARALLEL)

    def entries(self, values):
        """Return the channel as it is kept, key by key; a cure is not."""
        capacitor = values["capacitor"] if self.has_a_series_one(values) else None
        return entries_of(values, capacitor, self._drivers, self._amplifiers)

    def bare(self, values, wiring):
        """Return the channel without any cure, wired in some way; of two pairs all four."""
        fitted = self.has_a_series_one(values)
        network = in_series(Capacitor(capacitance=values["capacitor"])) if fitted else None
        woofer, second = (
            {"driver": self._drivers[values[name]], "box": InfiniteBaffle()} for name in ("woofer", "second")
        )
        pairs = tuple(
            (Loudspeaker(name=own, **woofer), Loudspeaker(name=other, network=network, **second))
            for own, other in zip(WOOFERS, OTHERS[self.other(values)], strict=True)
        )
        all_of_them = pairs[0] + pairs[1] if values["wiring"] == PAIRS else pairs[0]
        return Channel(
            loudspeakers=pairs if wiring == PAIRS else all_of_them,
            wiring=SERIES if wiring == SERIES else PARALLEL,
            amplifier=self._amplifiers[values["amplifier"]],
        )

    def cured(self, values):
        """Return the channel with the cure that the controls stand for."""
        channel, cure = self.bare(values, self.wiring(values)), self.cure(values)
        resistor, names = across(Resistor(resistance=values["resistor"])), self._others(values, channel)
        if cure == ACROSS:
            return with_ahead(channel, names, resistor)
        if cure == PAD:
            load = self._drivers[values["second"]].nominal_resistance
            return with_ahead(channel, names, rounded(l_pad(attenuation=values["pad"], impedance=load)))
        if cure == BEHIND:
            return channel.with_each(
                tuple(_behind(one, resistor) if one.name in names else one for one in channel.each)
            )
        return channel

    def _others(self, values, channel):
        """Return the names of the second speakers of a channel."""
        return tuple(name for name in OTHERS[self.other(values)] if name in [one.name for one in channel.each])

    def curves(self, values):
        """Solve both together, and the woofer alone."""
        channel = self.cured(values)
        self.response = response = solve(System(channels=(channel,)), GRID, PRINTED_VOLTAGE)
        woofer, other, *_ = response.responses
        self._impedance = np.abs(response.channel_impedances[0])
        return {
            "sum": {"level": response.treble_level, "impedance": self._impedance},
            "woofer": {"level": woofer.treble_level},
            "other": {"level": other.treble_level},
            "alone": {"level": solve(woofer.loudspeaker, GRID, PRINTED_VOLTAGE).treble_level},
            "limit": {"impedance": np.full_like(GRID, lowest_load(channel.amplifier))},
        }

    def wired(self, values):
        """Return the channel as it is drawn, with its volts at the full sine and the watts of its resistors."""
        return drawn_channel(self.response, self.now, guessed=values["wiring"] == NOT_KNOWN)

    def got(self, values, wiring):
        """Return what each gets, wired in some way, without any cure."""
        state = [values[key] for key in ("woofer", "second", "wiring", "fitted", "capacitor", "amplifier")]
        if state != self._state:
            self._state, self._got, self._candidates = state, {}, None
        if wiring not in self._got:
            self._got[wiring] = sharing(self.bare(values, wiring), woofer="woofer", other=self.other(values))
        return self._got[wiring]

    def candidates(self, values):
        """Return the `Candidates`; which cure is in place does not change them."""
        wiring = values["wiring"]
        nothing, rewired = self.got(values, wiring), self.got(values, REWIRED[wiring])
        if self._candidates is None and self.is_tweeter(values):
            bare = self.bare(values, wiring)
            ohms, tried = resistors_across(bare, woofer="woofer", others=self._others(values, bare))
            ohm, best = min(zip(ohms, tried.members, strict=True), key=lambda one: one[1].rank)
            self._candidates = Candidates(nothing, rewired, float(ohm), best)
        return self._candidates or Candidates(nothing, rewired)

    def fitting(self, values):
        """Return the wirings that fit what the ohmmeter shows, the likeliest first; `ALONE` is the woofer alone."""
        if values["meter"] == NOT_READ:
            return ()
        each = self.bare(values, SERIES).each[:2]
        coils = dict(
            zip(("woofer", "other"), (meter_reading(Channel(loudspeakers=(one,))) for one in each), strict=True)
        )
        reading = np.inf if values["meter"] == OPEN else values["reading"]
        four = likely_wirings(reading, coils | {f"{name} too": coil for name, coil in coils.items()})
        found = [one for one in likely_wirings(reading, coils) if one.words != "other alone"]
        found += [one for one in four if one.how == MIXED]
        wirings = {how: wiring for wiring, how in HOW.items()} | {ALONE: ALONE}
        order = tuple(wirings)
        found.sort(key=lambda one: (round(abs(one.off), 2), order.index(one.how)))
        return tuple(dict.fromkeys(wirings[one.how] for one in found))


def _behind(speaker, network):
    """Return a loudspeaker with a network next to its driver."""
    return replace(speaker, network=joined(speaker.network, network))


def shared_channel(drivers=None, amplifiers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, amplifiers : dict, optional
        Name: Driver, name: Amplifier or HeadUnit; your own and the invented ones of the demonstration by default.
        Drivers without a printed sensitivity are left out.
    """
    offer = offered()
    doubted = not_believed(offer.sheets) if drivers is None else {}
    drivers = offer.drivers if drivers is None else drivers
    amplifiers = {**offer.amplifiers, **offer.head_units} if amplifiers is None else amplifiers
    woofers, tweeters, missed = woofers_and_tweeters("shared_channel", drivers)
    scene = SharedChannel(woofers, tweeters, amplifiers, doubted)
    first = first_of("25 mm pillar tweeter", tweeters)

    fitted = scene.has_a_series_one

    def unknown(values):
        return values["wiring"] == NOT_KNOWN

    def read_in_ohms(values):
        return unknown(values) and values["meter"] == OHMS

    def with_resistor(values):
        return scene.cure(values) in (ACROSS, BEHIND)

    def with_pad(values):
        return scene.cure(values) == PAD

    wirings, cures = (SERIES, PARALLEL, PAIRS, NOT_KNOWN), (NO_CURE, ACROSS, BEHIND, PAD)
    controls = [
        Choice("woofer", "Woofer", woofers, first_of("165 mm panel", woofers), left_out(missed, "driver"), "speakers"),
        Choice("second", "Second", {**tweeters, **woofers}, first, group="speakers"),
        Choice("fitted", "Its capacitor", (IN_LINE, WITHOUT), IN_LINE, group="speakers", only=scene.takes_one),
        Slider("capacitor", "Capacitor", CAPACITANCE, 1 * uF, 47 * uF, 6.8 * uF, 0.1 * uF, "speakers", fitted),
        Choice("wiring", "Wiring", wirings, SERIES, group="channel"),
        Choice("meter", "Ohmmeter shows", (NOT_READ, OPEN, OHMS), NOT_READ, group="channel", only=unknown),
        Slider("reading", "Reading", RESISTANCE, 0.5, 20.0, 3.4, 0.1, "channel", read_in_ohms),
        Choice("cure", "Cure", cures, NO_CURE, group="channel", only=scene.curable),
        Sold("resistor", "Resistor", RESISTANCE, 1.0, 47.0, 4.7, 0.1, "channel", with_resistor),
        Slider("pad", "Pad", LEVEL, 1.0, 15.0, 4.0, 0.5, "channel", with_pad),
        Choice("amplifier", "Amplifier", amplifiers, first_of(AMPLIFIER, amplifiers), group="amplifier"),
    ]
    settings = partial(_uncured, drivers=drivers, tweeters=tweeters, missed=missed, amplifiers=amplifiers)
    return Page(controls, scene, TITLE, settings=settings, entries=scene.entries, way=ChannelOfStage(scene, settings))


def _uncured(channel, drivers, tweeters, missed, amplifiers):
    """Return what the controls are put to for a channel that is kept: it has no cure yet."""
    return settings_of(channel, drivers, tweeters, missed, amplifiers) | {"cure": NO_CURE}
