"""What the page on two speakers of one channel says."""

from __future__ import annotations

import numpy as np

from ....design.shared_channel import BASS, CROSSING, VOICE, full_voltage, sharing
from ....design.wiring import ALONE, meter_reading
from ....parts.network import Resistor
from ....parts.small_signal import PRINTED_VOLTAGE
from ...kit import facts, pads
from ...kit.answer import Answer, Fact, say, verbatim
from ...kit.systems import CAPACITANCE, FREQUENCY, POWER, RESISTANCE, VOLTAGE
from ...kit.systems import LEVEL as DECIBELS
from ...kit.wirings import CALLED, METER_OFF, NOT_KNOWN, PAIRS, PARALLEL, SERIES, SILENT
from .details import full_sine, how_to_measure, suddenly_loud, why_ranked

NO_CURE, ACROSS, BEHIND = "none", "across tweeter and capacitor", "across tweeter alone"
PAD = "pad before the capacitor"
NOT_READ, OPEN, OHMS = "not measured yet", "OL", "a number"
REWIRED = {PARALLEL: SERIES, SERIES: PARALLEL, PAIRS: PARALLEL}
WOOFER_AT, VOICE_AT, ALL_AT = f"woofer, {BASS:.0f} Hz", f"woofer, {VOICE:.0f} Hz", f"all at {BASS:.0f} Hz"
AGAINST, DRIVEN = "tweeter", "amplifier can drive it"
FITS = {PARALLEL: "parallel wiring", SERIES: "series wiring", PAIRS: "series pairs", ALONE: "the woofer alone"}
RESISTORS = "buy"
HARDLY = 0.05  # dB; less than anybody hears
NOTHING, BEST = "nothing added", "best resistor"
OFF_PLASTIC = "Resistors can pass 200 °C: keep off plastic, foam, barrier."
TOO_LOW = "{least}, too low for this amplifier"
NO_CAPACITOR = "Give the tweeter a capacitor first: without one the bass goes through it, and can burn it."


class Answering:
    """The words of the scene."""

    def answer(self, values):
        """Say what the wiring does, and what cures it; or how to find out which it is."""
        compared, self.now = {}, self._now(values)
        if values["wiring"] == NOT_KNOWN:
            headline, told, cautions = self._find_out(values), self._each_way(values), [METER_OFF]
        elif self.is_tweeter(values):
            compared = self._compared(values, self.now)
            headline, told = self._about_tweeter(values, self.now), _of_tweeter(self._beside(values, compared))
            cautions = [OFF_PLASTIC] * any(got.watts for got, _ in compared.values())
        else:
            headline, told, cautions = self._about_woofers(values), self._of_woofers(values), []
        channel = self.response.system.wired[0]
        return Answer(
            headline=headline,
            facts=_as_facts(told),
            details=tuple(self._details(values, channel, compared)),
            conditions=self._conditions(values, channel),
            cautions=(
                *map(say, cautions),
                *self._hot_coils(channel),
                *facts.low_load(np.min(self._impedance), channel.amplifier),
            ),
        )

    def _now(self, values):
        """Return what each gets of the channel with the cure in place."""
        if self.cure(values) == NO_CURE:
            return self.got(values, self.wiring(values))
        return sharing(self.response.system.wired[0], woofer="woofer", other=self.other(values))

    def _find_out(self, values):
        if values["meter"] == NOT_READ:
            return say("Unplug one speaker: if the other falls silent, they are in series. Or measure the pair's ohms.")
        reading = say(OPEN) if values["meter"] == OPEN else say("{ohms}", ohms=RESISTANCE(values["reading"]))
        ways = [FITS[wiring] for wiring in self.fitting(values)]
        if not ways:
            words = "{reading} fits no wiring of these two: take off what the leads read, and try again."
            return say(words, reading=reading)
        return say(f"{{reading}} fits {_either(ways)}. Make sure: unplug one speaker, and listen.", reading=reading)

    def _each_way(self, values):
        """Return the facts that tell the wirings apart, by column."""
        told, fitting = {}, self.fitting(values)
        for wiring in SILENT:
            got, reads = self.got(values, wiring), meter_reading(self.bare(values, wiring))
            told[CALLED[wiring]] = {
                "meter reads": say(OPEN) if np.isinf(reads) else say("{ohms}", ohms=RESISTANCE(reads)),
                "fits yours": say(NOT_READ if values["meter"] == NOT_READ else "yes" if wiring in fitting else "no"),
                "one unplugged": say(SILENT[wiring]),
                WOOFER_AT: change(got.bass),
                "lowest load": say("{least}", least=RESISTANCE(got.least)),
            }
        return told

    def _about_tweeter(self, values, now):
        if self.capacitance(values) is None:
            return say(NO_CAPACITOR)
        if values["cure"] == BEHIND and self.cure(values) == NO_CURE:
            return say("The tweeter's capacitor is built in: no resistor fits behind it. Put one across its wires.")
        if self.cure(values) != NO_CURE:
            return self._with_a_cure(values, now)
        return _in_parallel(now) if values["wiring"] == PARALLEL else self._in_series(values)

    def _in_series(self, values):
        found = self.candidates(values)
        cures = {"Rewire in parallel.": found.rewired, "Put {ohm}, {watts} across tweeter and capacitor.": found.best}
        better = (do for do, got in cures.items() if got.fits and got.rank < found.nothing.rank)
        do = next(better, "Nothing here is better.")
        fault = "The tweeter's capacitor blocks the woofer's bass: {taken} less"
        if not found.nothing.fits:
            fault = f"{CALLED[values['wiring']].capitalize()} the load falls to {TOO_LOW}"
        return say(
            f"{fault}. {do}",
            taken=DECIBELS(-found.nothing.bass),
            least=RESISTANCE(found.nothing.least),
            ohm=RESISTANCE(found.ohm),
            watts=to_buy(*found.best.watts.values()),
        )

    def _with_a_cure(self, values, now):
        cure, in_parallel = self.cure(values), values["wiring"] == PARALLEL
        if not now.fits:
            return say(f"With that cure the load falls to {TOO_LOW}.", least=RESISTANCE(now.least))
        numbers = {
            "ohm": RESISTANCE(values["resistor"]),
            "watts": to_buy(max(now.watts.values())),
            "down": DECIBELS(-now.bass),
            "more": DECIBELS(-now.voice),
            "at": FREQUENCY(BASS),
            "above": FREQUENCY(VOICE),
            "by": pads.against(now.off),
        }
        ends = f"the tweeter is {{by}} {_as_or_than(now.off)} it."
        if in_parallel and cure == PAD:
            return say(f"With that pad the woofer keeps its bass; {ends}", **numbers)
        if in_parallel and cure == ACROSS:
            return say("In parallel {ohm}, {watts} only loads the amplifier: leave it out.", **numbers)
        if in_parallel:
            words = f"With {{ohm}}, {{watts}} across it the tweeter is {{by}} {_as_or_than(now.off)} the woofer."
            return say(words, **numbers)
        if cure == BEHIND:
            words = "Across the tweeter alone {ohm}, {watts} brings no bass back: put it across tweeter and capacitor."
            return say(words, **numbers)
        what = "{ohm}, {watts}" if cure == ACROSS else "that pad"
        rewire = ": rewire if you can" if self.candidates(values).rewired.fits else ""
        return say(f"With {what} the woofer loses {{down}} at {{at}}, but {{more}} at {{above}}{rewire}.", **numbers)

    def _compared(self, values, now):
        """Return what each candidate for a tweeter does, and its resistors where they are placed [ohm], by column."""
        found, cure = self.candidates(values), self.cure(values)
        columns = {NOTHING: (found.nothing, {})}
        if cure != NO_CURE:
            columns[cure] = (now, self._resistors())
        if cure != ACROSS and values["wiring"] != PARALLEL:
            columns[BEST] = (found.best, {"across": found.ohm})
        return columns | {CALLED[REWIRED[values["wiring"]]]: (found.rewired, {})}

    def _beside(self, values, compared):
        """Return the candidates that have a column: beside a cure that was chosen, only the rewired one."""
        left_out = {NOTHING, BEST} if self.cure(values) != NO_CURE else set()
        return {column: told for column, told in compared.items() if column not in left_out}

    def _resistors(self):
        """Return the resistors of the tweeter's network, by where they are placed. [ohm]"""
        network = self.response.responses[1].loudspeaker.network
        parts = [(branch.placed, part) for branch in network.branches for part in branch.components]
        return {placed: float(one.resistance) for placed, one in parts if isinstance(one, Resistor)}

    def _about_woofers(self, values):
        found, wiring = self.candidates(values), values["wiring"]
        now, rewired = found.nothing, found.rewired
        numbers = {
            "more": DECIBELS(abs(rewired.together - now.together)),
            "gained": DECIBELS(now.together),
            "at": FREQUENCY(BASS),
            "least": RESISTANCE(now.least),
            "other": RESISTANCE(rewired.least),
        }
        if not now.fits and not rewired.fits:
            words = f"The load falls to {{least}}, and {{other}} {CALLED[REWIRED[wiring]]}: too low for this amplifier."
            return say(words, **numbers)
        if wiring == PARALLEL and now.fits:
            return say("In parallel both get all the volts: {gained} louder at {at} than one alone.", **numbers)
        if wiring == PARALLEL:
            words = f"The load falls to {TOO_LOW}: wire them in series, {{more}} softer."
            return say(words, **numbers)
        if not rewired.fits:
            return say("Leave it so: in parallel the load falls to {other}, too low for this amplifier.", **numbers)
        return say("Rewire in parallel: {more} louder at {at}, and the amplifier can drive {other}.", **numbers)

    def _of_woofers(self, values):
        """Return the facts of two woofers, by column."""
        found, wiring = self.candidates(values), values["wiring"]
        columns = {f"{CALLED[wiring]}, now": found.nothing, CALLED[REWIRED[wiring]]: found.rewired}
        return {
            column: {
                WOOFER_AT: change(got.bass),
                ALL_AT: change(got.together),
                "lowest load": say("{least}", least=RESISTANCE(got.least)),
                DRIVEN: say("yes" if got.fits else "no"),
            }
            for column, got in columns.items()
        }

    def _hot_coils(self, channel):
        scale = (full_voltage(channel) / PRINTED_VOLTAGE) ** 2
        for response in self.response.responses[:2]:
            speaker, heat = response.loudspeaker, float(scale * facts.coil_heat(response))
            yield from facts.hot_coil(heat, speaker.driver, "A steady tone at full power", f"the {speaker.name}'s coil")

    def _details(self, values, channel, compared):
        woofer, other, *_ = self.response.responses
        wiring = values["wiring"]
        yield from self._who_gets_what(values, channel)
        if self.curable(values):
            yield from why_ranked({column: got for column, (got, _) in compared.items()})
            yield from full_sine({column: got.watts for column, (got, _) in compared.items() if got.watts})
            if wiring != PARALLEL:
                yield from suddenly_loud(woofer.loudspeaker.driver, self.capacitance(values))
        if wiring == PAIRS:
            yield say("Each of the two pairs needs a cure of its own. The load is that of both pairs.")
        if wiring == NOT_KNOWN:
            yield from how_to_measure()
        yield facts.lowest_at(self.grid, self._impedance, channel.amplifier)
        if self.is_tweeter(values):
            yield facts.printed_above(woofer, other)
            yield say("So the woofer is drawn as loud as its sheet far up. A real one falls off in the treble.")
        names = dict.fromkeys((values["woofer"], values["second"]))
        yield from (say(self._not_believed[one]) for one in names if one in self._not_believed)
        yield from facts.of_its_kind(*(self._drivers[one] for one in names))

    def _who_gets_what(self, values, channel):
        """Say how the volts are shared out, in the bass and in the treble."""
        volts, pair = float(full_voltage(channel)), self.response.responses[:2]
        for at in (BASS, CROSSING):
            of = [np.interp(at, self.grid, abs(one.driver_voltage)) * volts / PRINTED_VOLTAGE for one in pair]
            yield say(
                f"Of the channel's {{volts}} at {{at}} the woofer gets {{woofer}}, the {self.other(values)} {{other}}.",
                volts=VOLTAGE(volts),
                at=FREQUENCY(at),
                woofer=VOLTAGE(of[0]),
                other=VOLTAGE(of[1]),
            )
        if self.wiring(values) != PARALLEL:
            yield say("They are out of step, so the two do not simply add up to the channel's volts.")
        yield say(
            "In series, what reaches one passes the other too. In parallel each gets all the volts. The woofer is "
            "compared with itself alone on the channel."
        )

    def _conditions(self, values, channel):
        capacitor = self.capacitance(values)
        suggests = "drawn until you measure" if values["meter"] == NOT_READ else "as the reading suggests"
        guess = f", {suggests}" if values["wiring"] == NOT_KNOWN else ""
        return say(
            f"{{woofer}} and {{second}}{{behind}} in large panels, {CALLED[self.wiring(values)]}{guess}; {{voltage}} "
            "r.m.s., at 1 m, half space; watts for a full sine of {full}.",
            woofer=verbatim(values["woofer"]),
            second=verbatim(values["second"]),
            behind=say("") if capacitor is None else say(" behind {C}", C=CAPACITANCE(capacitor)),
            voltage=VOLTAGE(PRINTED_VOLTAGE),
            full=VOLTAGE(full_voltage(channel)),
        )


def _of_tweeter(compared):
    """Return the facts of the candidates for a tweeter, by column."""
    return {
        column: {
            RESISTORS: with_watts(ohms, got.watts),
            WOOFER_AT: change(got.bass),
            VOICE_AT: change(got.voice),
            AGAINST: pads.against(got.off),
            "lowest load": say("{least}", least=RESISTANCE(got.least)),
        }
        for column, (got, ohms) in compared.items()
    }


def _as_facts(told):
    """Return facts from what is told by column, by name."""
    names = next(iter(told.values()))
    return tuple(Fact(name, {column: cells[name] for column, cells in told.items()}) for name in names)


def _in_parallel(now):
    if not now.fits:
        return say("In parallel the load falls to {least}: too low for this amplifier.", least=RESISTANCE(now.least))
    cure = ": a pad cures that" if now.off > pads.RIGHT else ""
    words = f"In parallel the woofer keeps its bass; the tweeter is {{by}} {_as_or_than(now.off)} it{cure}."
    return say(words, by=pads.against(now.off))


def _as_or_than(louder_by):
    """Return what follows on a level against another."""
    return "as" if abs(louder_by) < pads.NO_PAD else "than"


def _either(ways):
    *others, last = ways
    return f"{', '.join(others)} or {last}" if others else last


def change(level):
    """Say a change of level with its sign. [dB]"""
    return say("unchanged") if abs(level) < HARDLY else pads.signed(level)


def to_buy(watts):
    """Return watts as the size of resistor that is sold for them. [W]"""
    return POWER(pads.size_sold(watts))


def with_watts(ohms, watts):
    """Say resistors, each with the watts to buy.

    Parameters
    ----------
    ohms : dict
        Where it is placed: resistance. [ohm]
    watts : dict
        Its name, "resistor" and where it is placed: most that it takes. [W]

    Raises
    ------
    ValueError
        If the watts of one are not known.
    """
    if absent := [placed for placed in ohms if f"resistor {placed}" not in watts]:
        raise ValueError(f"with_watts.watts lacks the resistor {absent[0]}: without its watts it may burn")
    if not ohms:
        return say("none")
    numbers, told = {}, []
    for place, (placed, ohm) in enumerate(ohms.items()):
        numbers |= {f"ohm{place}": RESISTANCE(ohm), f"watts{place}": to_buy(watts[f"resistor {placed}"])}
        told.append(f"{{ohm{place}}}, {{watts{place}}}" + (f" {placed}" if len(ohms) > 1 else ""))
    return say("; ".join(told), **numbers)
