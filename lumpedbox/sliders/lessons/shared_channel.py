"""Two speakers on one channel: in series or in parallel, how to find out, and what cures a tweeter in series."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...design.e_series import rounded
from ...design.shared_channel import (
    BASS,
    BODY,
    CROSSING,
    RESISTORS,
    full_voltage,
    rank,
    resistors_across,
    sharing,
    with_ahead,
)
from ...design.wiring import ALONE, MIXED, likely_wirings, meter_reading
from ...figures.stack import Panel
from ...parts.amplifier import lowest_load
from ...parts.box import InfiniteBaffle
from ...parts.loudspeaker import Loudspeaker
from ...parts.network import Capacitor, Resistor, across, in_series, l_pad
from ...parts.small_signal import PRINTED_VOLTAGE
from ...parts.system import Channel, System
from ...response import frequencies, solve
from ...units import uF
from ..exercises.shared_channel import sheet as shared_channel_sheet
from ..kit import facts, pads
from ..kit.answer import Answer, Fact, say, verbatim
from ..kit.controls import Choice, Slider
from ..kit.offered import AMPLIFIER, first_of, left_out, not_believed, offered, woofers_and_tweeters
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import CAPACITANCE, FREQUENCY, LEVEL, POWER, RESISTANCE, VOLTAGE
from ..kit.wirings import NOT_KNOWN, PARALLEL, SERIES, UNPLUG

__all__ = ["QUESTION", "shared_channel", "shared_channel_sheet"]

GRID = frequencies(20, 20000, per_octave=24)
TITLE = "Two speakers on one channel: who gets what?"
PAIRS = "two series pairs"
WIRINGS = (SERIES, PARALLEL, PAIRS, NOT_KNOWN)
HOW = {PARALLEL: "parallel", SERIES: "series", PAIRS: MIXED}  # as `likely_wirings` has it
CALLED = {PARALLEL: "in parallel", SERIES: "in series", PAIRS: "in series pairs"}
IN_LINE, WITHOUT = "in series with it", "none"
NO_CURE, ACROSS, BEHIND, PAD = "none", "resistor across both", "resistor behind it", "pad before both"
OHMS, OPEN = "a number", "OL"
NAMES = {"tweeter": ("tweeter", "second tweeter"), "second woofer": ("second woofer", "fourth woofer")}
HARDLY = 0.05  # dB; less than anybody hears
OFF_PLASTIC = "At its watts a resistor can pass 200 °C: keep it off plastic, foam and the door's barrier."
METER_OFF = "Unplug both wires from the amplifier first: never measure ohms on a live output."

QUESTION = Question(
    words="A tweeter with its own capacitor of 6.8 µF is in series with the woofer. What happens to the bass?",
    options=("It stays as it was", "It falls by 6 dB", "Nearly all of it is gone"),
    right="Nearly all of it is gone",
    why="In series all that reaches the woofer passes the capacitor too, and that lets no bass through.",
    look="Compare the woofer's curve at 50 Hz in series and in parallel.",
)


class Sold(Slider):
    """A slider for a resistor, which stops at what is sold."""

    def stops(self, values, system):
        """Return the values of series E12 that it reaches. [ohm]"""
        return RESISTORS.tolist()


class SharedChannel(Scene):
    """Level of a woofer, what shares its channel, and both; and the load of the channel, over one frequency axis."""

    alternative_text = "Level of a woofer, a second speaker and both, and the load of their channel, against frequency"
    grid = GRID

    def __init__(self, woofers, tweeters, amplifiers, not_believed):
        self._drivers, self._tweeters = {**woofers, **tweeters}, tweeters
        self._amplifiers, self._not_believed = amplifiers, not_believed
        self._compared, self._candidates = None, {}
        pens = {
            "sum": ("first", "both"),
            "woofer": ("second", "woofer"),
            "other": ("third", "second speaker"),
            "alone": ("validity", "woofer without it"),
            "limit": ("limit", "lowest load allowed"),
        }
        super().__init__(pens, kept=("sum", "woofer"))

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level [dB re 20 µPa] at 1 m", 40.0, 110.0),
            Panel("impedance", "load of the channel [ohm]", 0.0, 20.0, tops=(40.0,)),
        )

    def is_tweeter(self, values):
        """Whether the second speaker is a tweeter."""
        return values["second"] in self._tweeters

    def has_its_own(self, values):
        """Whether the second speaker has a capacitor built in."""
        return self._drivers[values["second"]].built_in_capacitance is not None

    def other(self, values):
        """Return what the second speaker is called."""
        return "tweeter" if self.is_tweeter(values) else "second woofer"

    def capacitance(self, values):
        """Return the capacitor before the tweeter; None where there is none. [F]"""
        if not self.is_tweeter(values):
            return None
        if self.has_its_own(values):
            return self._drivers[values["second"]].built_in_capacitance
        return values["capacitor"] if values["fitted"] == IN_LINE else None

    def wiring(self, values):
        """Return the wiring that is drawn: the likeliest, where it is not known yet."""
        if values["wiring"] != NOT_KNOWN:
            return values["wiring"]
        return next((how for how in self.fitting(values) if how in HOW), PARALLEL)

    def bare(self, values, wiring):
        """Return the channel without any cure."""
        driver, other = self._drivers[values["second"]], self.other(values)
        fitted = self.capacitance(values) is not None and not self.has_its_own(values)
        network = in_series(Capacitor(capacitance=values["capacitor"])) if fitted else None
        panel = {"box": InfiniteBaffle()}
        woofers, others = (
            [Loudspeaker(driver=one, name=name, network=own, **panel) for name in names]
            for one, names, own in (
                (self._drivers[values["woofer"]], ("woofer", "third woofer"), None),
                (driver, NAMES[other], network),
            )
        )
        each = tuple(zip(woofers, others, strict=True))
        amplifier = self._amplifiers[values["amplifier"]]
        if wiring == PAIRS:
            return Channel(loudspeakers=each, wiring="parallel", amplifier=amplifier)
        all_of_them = each[0] if values["wiring"] != PAIRS else each[0] + each[1]
        return Channel(loudspeakers=all_of_them, wiring=HOW[wiring], amplifier=amplifier)

    def cured(self, values, channel):
        """Return a channel with the cure that the controls stand for."""
        names = [name for name in NAMES["tweeter"] if name in [speaker.name for speaker in channel.each]]
        cure, resistor = self.cure(values), across(Resistor(resistance=values["resistor"]))
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

    def cure(self, values):
        """Return the cure that is in view: none where it has no meaning."""
        return values["cure"] if curable(self, values) else NO_CURE

    def curves(self, values):
        """Solve both together, and the woofer alone."""
        channel = self.cured(values, self.bare(values, self.wiring(values)))
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

    def candidates(self, values):
        """Return what stands for choice without a cure in place: (nothing, rewired, best resistor [ohm], with it)."""
        keys = ("woofer", "second", "wiring", "fitted", "capacitor", "amplifier")
        if (state := [values[key] for key in keys]) != self._compared:
            wiring, other = values["wiring"], self.other(values)
            bare = self.bare(values, wiring)
            rewired = sharing(self.bare(values, REWIRED[wiring]), woofer="woofer", other=other)
            if self.is_tweeter(values):
                names = tuple(name for name in NAMES[other] if name in [speaker.name for speaker in bare.each])
                ohms, tried = resistors_across(bare, woofer="woofer", others=names)
                nothing, *each = (tried.member(number) for number in range(len(ohms)))
                ohm, best = min(zip(ohms[1:], each, strict=True), key=lambda one: rank(one[1]))
            else:
                nothing, ohm, best = sharing(bare, woofer="woofer", other=other), None, None
            self._compared, self._candidates = state, (nothing, rewired, ohm, best)
        return self._candidates

    def fitting(self, values):
        """Return the wirings that fit what the ohmmeter shows, the likeliest first; `ALONE` is the woofer alone."""
        woofer, other = (meter_reading(Channel(loudspeakers=(one,))) for one in self.bare(values, SERIES).each[:2])
        reading = np.inf if values["meter"] == OPEN else values["reading"]
        two = {"woofer": woofer, "other": other}
        found = [(abs(one.off), one.how) for one in likely_wirings(reading, two) if one.words != "other alone"]
        four = likely_wirings(reading, two | {"woofer 2": woofer, "other 2": other})
        found += [(abs(one.off), one.how) for one in four if one.how == MIXED]
        names = {how: wiring for wiring, how in HOW.items()} | {ALONE: ALONE}
        return [names[how] for _, how in sorted(found, key=lambda one: (round(one[0], 2), ORDER.index(one[1])))]

    def answer(self, values):
        """Say what the wiring does, and what cures it; or how to find out which it is."""
        if values["wiring"] == NOT_KNOWN:
            headline, told, cautions = self._find_out(values), self._both_ways(values), [say(METER_OFF)]
        elif self.is_tweeter(values):
            headline, told, cautions = self._about_tweeter(values), self._compare(values), [say(OFF_PLASTIC)]
        else:
            headline, told, cautions = self._about_woofers(values), self._of_woofers(values), []
        return Answer(
            headline=headline,
            facts=tuple(Fact(name, columns) for name, columns in told.items()),
            details=tuple(self._details(values)),
            conditions=self._conditions(values),
            cautions=(
                *cautions,
                *self._hot_coils(),
                *facts.low_load(np.min(self._impedance), self._amplifiers[values["amplifier"]]),
            ),
        )

    def _find_out(self, values):
        reading = say(OPEN) if values["meter"] == OPEN else say("{ohms}", ohms=RESISTANCE(values["reading"]))
        fitting = self.fitting(values)
        if not fitting:
            return say(
                "{reading} fits no wiring of these two: take off what the leads read, and try again.", reading=reading
            )
        if len(fitting) > 1:
            ways = " or ".join("the woofer alone" if how == ALONE else CALLED[how] for how in fitting)
            return say(f"{{reading}} fits {ways}. Unplug one speaker and listen to the other.", reading=reading)
        words = "the woofer alone: no other speaker lets current through" if fitting[0] == ALONE else CALLED[fitting[0]]
        return say(f"{{reading}} fits {words}. {UNPLUG.get(fitting[0], '')}".strip(), reading=reading)

    def _both_ways(self, values):
        """Return the facts that tell the wirings apart."""
        told, fitting = {}, self.fitting(values)
        for wiring in HOW:
            channel = self.bare(values, wiring)
            got, reads = sharing(channel, woofer="woofer", other=self.other(values)), meter_reading(channel)
            cells = {
                "meter reads": say(OPEN) if np.isinf(reads) else say("{ohms}", ohms=RESISTANCE(reads)),
                "fits yours": say("yes" if wiring in fitting else "no"),
                "one unplugged": say(SILENT[wiring]),
                WOOFER_AT: change(got.bass),
                "lowest load": say("{least}", least=RESISTANCE(got.least)),
            }
            for name, said in cells.items():
                told.setdefault(name, {})[CALLED[wiring]] = said
        return told

    def _about_tweeter(self, values):
        nothing, rewired, ohm, best = self.candidates(values)
        wiring, now, cure = values["wiring"], self._now(values), self.cure(values)
        if self.capacitance(values) is None:
            return say("Give the tweeter a capacitor first: without one the bass goes through it, and can burn it.")
        if cure != NO_CURE:
            return self._with_a_cure(values, now)
        if wiring == PARALLEL:
            return self._in_parallel(now)
        taken, resistor = LEVEL(-nothing.bass), {"ohm": RESISTANCE(ohm), "watts": POWER(best.watts["resistor across"])}
        words = f"{CALLED[wiring].capitalize()} the tweeter takes {{taken}} of the bass at {{at}}"
        do = []
        if rank(rewired) < rank(nothing):
            do.append("rewire in parallel")
        if rank(best) < rank(nothing):
            do.append("put {ohm}, {watts} across it")
        tail = f": {', or '.join(do)}." if do else "; nothing here is better."
        return say(words + tail, taken=taken, at=FREQUENCY(BASS), **resistor)

    def _in_parallel(self, now):
        if not now.fits:
            return say(
                "In parallel the load falls to {least}: too low for this amplifier.", least=RESISTANCE(now.least)
            )
        cure = ": a pad before it cures that" if now.off > pads.RIGHT else ""
        by = pads.against(now.off)
        return say(
            f"In parallel the woofer keeps its bass. The tweeter is {{by}} {_as_or_than(now.off)} it{cure}.", by=by
        )

    def _with_a_cure(self, values, now):
        cure, wiring = self.cure(values), values["wiring"]
        numbers = {
            "ohm": RESISTANCE(values["resistor"]),
            "watts": POWER(max(now.watts.values())),
            "down": LEVEL(abs(now.bass)),
            "at": FREQUENCY(BASS),
            "by": pads.against(now.off),
        }
        if wiring == PARALLEL and cure != PAD:
            return say("In parallel {ohm}, {watts} only loads the amplifier: leave it out.", **numbers)
        if wiring == PARALLEL:
            return say(
                f"With that pad the woofer keeps its bass. The tweeter is {{by}} {_as_or_than(now.off)} it.", **numbers
            )
        if cure == BEHIND:
            return say("Behind the capacitor {ohm}, {watts} brings no bass back: put it across both.", **numbers)
        what = "{ohm}, {watts} across both" if cure == ACROSS else "that pad"
        return say(
            f"With {what} the woofer loses {{down}} at {{at}}; the tweeter is {{by}} {_as_or_than(now.off)} it.",
            **numbers,
        )

    def _now(self, values):
        """Return what each gets with the cure in place."""
        channel = self.response.system.wired[0]
        bare = self.cure(values) == NO_CURE
        return self.candidates(values)[0] if bare else sharing(channel, woofer="woofer", other=self.other(values))

    def _compare(self, values):
        """Return the facts of the candidates for a tweeter."""
        nothing, rewired, ohm, best = self.candidates(values)
        columns = {"nothing added": (nothing, {})}
        cure = self.cure(values)
        if cure != NO_CURE:
            columns[f"{cure}"] = (self._now(values), self._resistors())
        if cure != ACROSS:
            columns[f"best resistor"] = (best, {"resistor across": ohm})
        columns[f"rewired {CALLED[REWIRED[values['wiring']]]}"] = (rewired, {})
        told = {}
        for column, (got, ohms) in columns.items():
            cells = {
                WOOFER_AT: change(got.bass),
                "tweeter against it": pads.against(got.off),
                "treble against bass": pads.signed(got.tilt),
                "lowest load": say("{least}", least=RESISTANCE(got.least)),
                "resistors at full sine": with_watts(ohms, got.watts),
            }
            for name, said in cells.items():
                told.setdefault(name, {})[column] = said
        return told

    def _resistors(self):
        """Return the resistors of the tweeter's network, by the names that their watts have. [ohm]"""
        network = self.response.responses[1].loudspeaker.network
        parts = [(branch.placed, part) for branch in network.branches for part in branch.components]
        return {f"resistor {placed}": float(one.resistance) for placed, one in parts if isinstance(one, Resistor)}

    def _about_woofers(self, values):
        nothing, rewired, *_ = self.candidates(values)
        wiring, more = values["wiring"], abs(rewired.together - nothing.together)
        numbers = {"more": LEVEL(more), "least": RESISTANCE(nothing.least), "other": RESISTANCE(rewired.least)}
        numbers |= {"at": FREQUENCY(BASS), "gained": LEVEL(nothing.together)}
        if wiring == PARALLEL:
            if nothing.fits:
                return say("In parallel both get all the volts: {gained} louder at {at} than one alone.", **numbers)
            return say(
                "The load falls to {least}, too low for this amplifier: wire them in series, {more} softer.", **numbers
            )
        if not rewired.fits:
            return say("Leave it so: all in parallel the load falls to {other}, too low for this amplifier.", **numbers)
        return say("Rewire in parallel: {more} louder at {at}, and the amplifier stands the {other} load.", **numbers)

    def _of_woofers(self, values):
        """Return the facts of two woofers."""
        nothing, rewired, *_ = self.candidates(values)
        told = {}
        columns = {f"{CALLED[values['wiring']]}, now": nothing, f"rewired {CALLED[REWIRED[values['wiring']]]}": rewired}
        for column, got in columns.items():
            cells = {
                WOOFER_AT: change(got.bass),
                f"all at {BASS:.0f} Hz": change(got.together),
                "lowest load": say("{least}", least=RESISTANCE(got.least)),
                "amplifier stands it": say("yes" if got.fits else "no"),
            }
            for name, said in cells.items():
                told.setdefault(name, {})[column] = said
        return told

    def _hot_coils(self):
        scale = (full_voltage(self.response.system.wired[0]) / PRINTED_VOLTAGE) ** 2
        for response in self.response.responses[:2]:
            speaker = response.loudspeaker
            heat, what = scale * facts.coil_heat(response), "A steady tone at full power"
            yield from facts.hot_coil(float(heat), speaker.driver, what, f"the {speaker.name}'s coil")

    def _details(self, values):
        woofer, other, *_ = self.response.responses
        channel = self.response.system.wired[0]
        volts, name = float(full_voltage(channel)), self.other(values)
        for at in (BASS, CROSSING):
            each = [
                np.interp(at, GRID, np.abs(one.driver_voltage)) * volts / PRINTED_VOLTAGE for one in (woofer, other)
            ]
            words = "Of the channel's {volts} at {at} the woofer gets {woofer}, the " + name + " {other}."
            told = {"woofer": VOLTAGE(each[0]), "other": VOLTAGE(each[1])}
            yield say(words, volts=VOLTAGE(volts), at=FREQUENCY(at), **told)
        yield say(
            "The woofer is held against itself alone on the channel. "
            "In series, what reaches one passes the other too; in parallel each gets all the volts."
        )
        if self.is_tweeter(values) and values["wiring"] != NOT_KNOWN:
            yield from self._why_ranked(values)
        if values["wiring"] == PAIRS:
            yield say("Each of the two pairs needs a cure of its own; the load is that of both pairs.")
        if values["wiring"] == NOT_KNOWN:
            yield from _how_to_measure()
        yield say(
            "The load is lowest at {at}. The amplifier is made for loads rated {rated} or more, and such a load may "
            "fall to {lowest}.",
            at=FREQUENCY(GRID[np.argmin(self._impedance)]),
            rated=RESISTANCE(channel.amplifier.minimum_load),
            lowest=RESISTANCE(lowest_load(channel.amplifier)),
        )
        if self.is_tweeter(values):
            yield facts.printed_above(woofer, other)
        names = dict.fromkeys((values["woofer"], values["second"]))
        yield from (say(self._not_believed[one]) for one in names if one in self._not_believed)
        yield from facts.of_its_kind(*(self._drivers[one] for one in names))

    def _why_ranked(self, values):
        low, high = map(FREQUENCY, BODY)
        yield say(
            "The best is what the amplifier stands, with the smaller fault. That is the most that the woofer loses from "
            "{low} to {high}, or how far the tweeter is off the woofer beside {at}, whichever is worse.",
            low=low,
            high=high,
            at=FREQUENCY(CROSSING),
        )
        yield say(
            "Watts are those of a steady tone at the channel's full sine, at the worst frequency: take that or more. "
            "Resistors are of series E12, those of a pad E24."
        )
        if values["wiring"] == PARALLEL:
            return
        yield say(
            "A resistor in series with the woofer loosens the amplifier's hold on its cone. Near {fs} the bass falls "
            "less than beside it, and may boom.",
            fs=FREQUENCY(self._drivers[values["woofer"]].fs),
        )
        if (capacitor := self.capacitance(values)) is not None and np.all(self._drivers[values["woofer"]].Le > 0):
            yield self._suddenly_loud(values, capacitor)

    def _suddenly_loud(self, values, capacitor):
        """Say why a tweeter seems loud in series."""
        meet = 1 / (2 * np.pi * np.sqrt(float(self._drivers[values["woofer"]].Le) * capacitor))
        return say(
            "In series the tweeter seems loud since the woofer is gone. Besides, the capacitor and the woofer's coil "
            "resonate near {at}: around there it gets more than in parallel.",
            at=FREQUENCY(meet),
        )

    def _conditions(self, values):
        capacitor = self.capacitance(values)
        behind = say(" behind {C}", C=CAPACITANCE(capacitor)) if capacitor is not None else say("")
        guess = ", wiring as guessed" if values["wiring"] == NOT_KNOWN else ""
        return say(
            f"{{woofer}} and {{second}}{{behind}} in large panels, {CALLED[self.wiring(values)]}{guess}; {{voltage}} "
            "r.m.s., at 1 m, half space; watts at {full}",
            woofer=verbatim(values["woofer"]),
            second=verbatim(values["second"]),
            behind=behind,
            voltage=VOLTAGE(PRINTED_VOLTAGE),
            full=VOLTAGE(full_voltage(self.response.system.wired[0])),
        )


WOOFER_AT = f"woofer at {BASS:.0f} Hz"
REWIRED = {PARALLEL: SERIES, SERIES: PARALLEL, PAIRS: PARALLEL}
ORDER = ("parallel", "series", MIXED, ALONE)
SILENT = {PARALLEL: "the other plays on", SERIES: "both are silent", PAIRS: "its pair is silent"}


def _behind(speaker, network):
    """Return a loudspeaker with a network next to its driver."""
    return dataclasses.replace(speaker, network=speaker.network + network if speaker.network else network)


def _as_or_than(louder_by):
    """Return what follows on a level against another."""
    return "as" if abs(louder_by) < pads.NO_PAD else "than"


def _how_to_measure():
    yield say(
        "Touch the meter's leads together and note what they read. Take that off the reading at the pair of wires. A cheap "
        "meter is 0.3 ohm off."
    )
    yield say(
        "OL means that no direct current gets through: a capacitor in line, or a break. In parallel a capacitor hides its "
        "tweeter from the meter; then unplug one and listen. Falling silent together means in series."
    )
    yield say("A reading that drifts is a cone that moves; a negative one is a live wire.")


def change(level):
    """Say a change of level with its sign. [dB]"""
    return say("unchanged") if abs(level) < HARDLY else pads.signed(level)


def with_watts(ohms, watts):
    """Say resistors, each with its watts. [ohm], [W]"""
    if not ohms:
        return say("none")
    numbers, told = {}, []
    for place, (name, ohm) in enumerate(ohms.items()):
        numbers |= {f"ohm{place}": RESISTANCE(ohm), f"watts{place}": POWER(watts[name])}
        where = "" if len(ohms) == 1 else f" {name.removeprefix('resistor ')}"
        told.append(f"{{ohm{place}}}, {{watts{place}}}{where}")
    return say("; ".join(told), **numbers)


def curable(scene, values):
    """Whether a cure has a meaning: for a tweeter of a wiring that is known."""
    return scene.is_tweeter(values) and values["wiring"] != NOT_KNOWN


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

    def fitted(values):
        return scene.is_tweeter(values) and not scene.has_its_own(values)

    def unknown(values):
        return values["wiring"] == NOT_KNOWN

    def of_cure(*cures):
        return lambda values: scene.cure(values) in cures

    controls = [
        Choice("woofer", "Woofer", woofers, first_of("165 mm panel", woofers), left_out(missed, "driver"), "speakers"),
        Choice("second", "Second speaker", {**tweeters, **woofers}, first, group="speakers"),
        Choice("fitted", "Its capacitor", (IN_LINE, WITHOUT), IN_LINE, group="speakers", only=fitted),
        Slider(
            *("capacitor", "Capacitor", CAPACITANCE, 1 * uF, 47 * uF, 6.8 * uF, 0.1 * uF, "speakers"),
            lambda values: fitted(values) and values["fitted"] == IN_LINE,
        ),
        Choice("wiring", "Wiring", WIRINGS, SERIES, group="channel"),
        Choice("meter", "Ohmmeter shows", (OPEN, OHMS), OPEN, group="channel", only=unknown),
        Slider(
            *("reading", "Reading", RESISTANCE, 0.5, 20.0, 3.4, 0.1, "channel"),
            lambda values: unknown(values) and values["meter"] == OHMS,
        ),
        Choice(
            *("cure", "Cure", (NO_CURE, ACROSS, BEHIND, PAD), NO_CURE, "", "channel"),
            lambda values: curable(scene, values),
        ),
        Sold("resistor", "Resistor", RESISTANCE, 1.0, 47.0, 4.7, 0.1, "channel", of_cure(ACROSS, BEHIND)),
        Slider("pad", "Pad", LEVEL, 1.0, 15.0, 4.0, 0.5, "channel", of_cure(PAD)),
        Choice("amplifier", "Amplifier", amplifiers, first_of(AMPLIFIER, amplifiers), group="amplifier"),
    ]
    return Page(controls, scene, TITLE)
