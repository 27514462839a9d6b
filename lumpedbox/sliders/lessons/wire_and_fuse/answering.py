"""What the page on wire and fuse answers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ....build.feed import NoFuse, words
from ....build.feed.feed import BLADE, HIGH_VOLTAGE, MILD, MUCH, UNKNOWN
from ....build.feed.fuses import CABLE, CONTINUOUS, MAKER
from ...kit.answer import Answer, fact, say, verbatim
from ...kit.feed import sized
from ...kit.systems import LEVEL, VOLTAGE, WAY
from .drawing import CURRENT, DROP

DRAWN, LOST, ARRIVES, LEVEL_LOST, FUSE = "draws", "lost on the way there", "arrives", "highest level", "fuse"
LATER = "later stages"
HOLDS, THIN, CHANGED = "wire and fuse hold", "too thin a wire", "another fuse"
OVER, TOO_MUCH, UNKNOWN_WIRE = "over the maker's figure", "a feed of its own for what is new", "a wire is not rated"
UNKNOWN_MAKER = "another amplifier, whose maker's fuse is not known"
AS_OPENED = "engine", 13.8  # V: what the page stands at before anybody has said what there is


VEHICLES = {
    UNKNOWN: "Find out first what vehicle it is: a hybrid or electric one may burn or kill.",
    MILD: "Stop: of a mild hybrid only the 12 V side may be used. The rest is for its maker.",
    HIGH_VOLTAGE: "Stop here: only the maker or a qualified person wires a high-voltage vehicle.",
}
STOP = {
    "voltage": "Stop: the amplifier is made for {made_for}, and the battery has {volts}.",
    "taken_from": "An accessory tap only switches: run a fused wire from the battery.",
    "cable": "This wire loses all of the volts: take a thicker or shorter one.",
    "source": "A table of copper does not hold for clad wire: read this wire's own data sheet.",
}
OTHERWISE = "Nothing is told for these numbers: read why."
WHY = {
    "vehicle": "Orange cables carry hundreds of volts, and their battery cannot be switched off by taking off a pole.",
    "voltage": "Many minibuses have 24 V: measure between the poles. 27.6 V destroys an amplifier made for 12.",
    "taken_from": "The tap's own fuse and wire are made for a small current: that limit stands.",
    "cable": "With such a wire nothing would arrive at full power.",
}


@dataclass(frozen=True, slots=True)
class Telling:
    """A feed, or why there is none, and how it is told.

    Attributes
    ----------
    feed : Feed or None
        None where it must not even be drawn.
    fuses : tuple of float
        One a cable; empty where one of them has none. [A]
    refusal : Refused or None
    values : dict
        What the controls stand at. [SI]
    later : tuple of (AfterStage, Feed, tuple of float, Refused)
        The chosen stage of the upgrade and those after it, with this wire: its feed and its fuses, [A], or None
        and what stands against them.
    """

    feed: object
    fuses: tuple
    refusal: object
    values: dict
    later: tuple = ()

    def answer(self):
        """Say which fuse, what is lost, and what must be found out first."""
        return Answer(
            headline=self.headline(),
            facts=tuple(self._facts()) if self.feed else (),
            details=tuple(self._details()) if self.feed else (verbatim(WHY.get(self.refusal.name, str(self.refusal))),),
            conditions=self._conditions(),
            cautions=tuple(self._cautions()),
        )

    def headline(self):
        """Say which fuse and what is lost, or what stands against it."""
        if self.refusal is not None:
            return self._refused()
        lost, fuse = DROP(self._there()), CURRENT(self.fuses[0])
        if (most := self._doubtful()) is not None:
            return say(
                "Fuse it at {fuse} only if this wire's own sheet allows it: {rating} is much for its size.",
                fuse=fuse,
                rating=CURRENT(most.current_rating),
            )
        told = {"fuse": fuse, "lost": lost, "volts": VOLTAGE(self.feed.voltage)}
        if (hot := self._hot_way_back()) is not None:
            back = DROP(hot.lost_back)
            return say(
                "Mend the way back first: it loses {back}, and a bad joint burns. Then fuse it at {fuse}.",
                back=back,
                **told,
            )
        if self.feed.voltage > BLADE:
            return say(
                "Fuse it at {fuse}, made for {volts}, close to the battery. The wire loses {lost} on the way there.",
                **told,
            )
        if self._there() > MUCH * self.feed.voltage:
            return say("Fuse it at {fuse}. Thicker or shorter wire pays: {lost} are lost on the way there.", **told)
        return say("Fuse it at {fuse}, close to the battery. The wire loses {lost} on the way there.", **told)

    def _hot_way_back(self):
        """Return the place whose way back loses much, if there is one."""
        return next((place for place in self.feed.places if place.hot_way_back), None)

    def _doubtful(self):
        """Return the cable whose rating is more than usual insulation carries, if there is one."""
        return next((place.feed.cable for place in self.feed.places if place.feed.cable.doubtful), None)

    def _there(self):
        """Volts that the wire to the amplifier loses, the way back left out. [V]"""
        through = [self.feed, *self.feed.branches[:1]]
        return sum(feed.current * feed.cable.resistance for feed in through)

    def _refused(self):
        error, values = self.refusal, self.values
        whose = "The branch's wire" if "branches[1]" in error.owner else "The wire"
        if isinstance(error, NoFuse):
            return self._no_fuse(error, whose)
        if error.name == "vehicle":
            return say(VEHICLES[values["vehicle"]])
        numbers = {"made_for": verbatim(values["made_for"]), "volts": VOLTAGE(values["battery"])}
        if error.name != "current_rating":
            return say(STOP.get(error.name, OTHERWISE), **numbers)
        if self._unrated(error):
            return say("No fuse without the wire's rating: read in its data sheet what it may carry.")
        return say(f"{whose} is too thin for such a rating: read its data sheet again.")

    def _unrated(self, error):
        of = "branch_" if "branches[1]" in error.owner else ""
        return self.values["source"] == "nobody yet" or not self.values[f"{of}rating"]

    def _no_fuse(self, error, whose):
        of = "branch_" if "branches[1]" in error.owner else ""
        needed = CURRENT(error.needed)
        most = {CABLE: CURRENT(self.values[f"{of}rating"]), MAKER: CURRENT(self.values[f"{of}maker"])}
        if error.binds == (CABLE,):
            words_ = f"No fuse fits: {{needed}} are needed. {whose} may carry {{most}}: take thicker wire."
            return say(words_, needed=needed, most=most[CABLE])
        if error.binds == (MAKER,):
            words_ = (
                "No fuse fits: {needed} are needed, and the maker allows {most}. Draw less; thicker wire is no help."
            )
            return say(words_, needed=needed, most=most[MAKER])
        if error.binds == (CABLE, MAKER):
            return say(
                "No fuse fits: neither wire nor maker allows the {needed} that are needed. Draw less.", needed=needed
            )
        return say("No fuse that is sold carries {needed}: split the feed in two.", needed=needed)

    def _facts(self):
        yield fact(DRAWN, "{current}", current=CURRENT(self.feed.current))
        yield fact(LOST, "{lost}", lost=DROP(self._there()))
        place = self.feed.places[1 if self.feed.branches else 0]  # of the amplifier
        if not place.measured:
            yield fact(ARRIVES, "not known: measure the way back")
        else:
            yield fact(ARRIVES, "{volts}", volts=DROP(place.voltage))
            lower = -20 * np.log10(place.voltage / self.feed.voltage)
            yield fact(LEVEL_LOST, "{lost} lower", lost=LEVEL(lower))
        if self.fuses:
            told = "; ".join(f"{{fuse{i}}} {_where(place.feed)}" for i, place in enumerate(self.feed.places))
            yield fact(FUSE, told, **{f"fuse{i}": CURRENT(fuse) for i, fuse in enumerate(self.fuses)})

            if self.later:
                yield fact(LATER, self._holds())

    def _holds(self):
        """Say up to which stage this wire and this fuse are right."""
        wrong = [(stage.number, told) for stage, *rest in self.later if (told := self._verdict(stage, *rest)) != HOLDS]
        if not wrong:
            return "wire and fuse hold"
        first = [(number, told) for number, told in wrong if told != wrong[0][1]][:1]
        return "; ".join(f"{told} from stage {number} on" for number, told in [wrong[0], *first])

    def _verdict(self, stage, feed, fuses, refusal):
        """Return what this wire and this fuse are to a stage."""
        if isinstance(refusal, NoFuse):
            return OVER if refusal.binds == (MAKER,) else THIN
        if feed is None:
            return THIN if refusal is not None else TOO_MUCH
        if not fuses:
            return UNKNOWN_WIRE
        each = zip(feed.places, fuses, self.fuses, strict=False)
        fits = len(fuses) <= len(self.fuses) and all(a <= b <= place.most for place, a, b in each)
        if not fits:
            return CHANGED
        now = self.later[0][0]
        new = [draw for i, draw in enumerate(feed.amplifiers) if stage.amplifier(i) != now.amplifier(i)]
        return HOLDS if all(draw.maker_fuse for draw in new) else UNKNOWN_MAKER

    def _by_stage(self):
        """Say of each stage what it draws, and whether wire and fuse are right for it."""
        for stage, feed, fuses, refusal in self.later:
            who = verbatim(f"Stage {stage.number}, {stage.name}")
            told = verbatim(self._verdict(stage, feed, fuses, refusal)) if self.fuses else verbatim("no fuse now")
            if feed is None:
                yield say("{who}: {told}.", who=who, told=told)
            else:
                fuse = say("; its fuse {fuse}", fuse=CURRENT(fuses[0])) if fuses else say("")
                yield say(
                    "{who}: draws {current}{fuse}: {told}.",
                    who=who,
                    current=CURRENT(feed.current),
                    fuse=fuse,
                    told=told,
                )
        if self.later:
            yield say("A stage counts the channels that play, each at its sheet's power, or more into a lower load.")

    def _details(self):
        yield from self._by_stage()
        yield from self._on_branches()
        yield from self._between()
        yield say(
            "A fuse carries {share} % of its rating for long, and the wire burns above its own (common practice, no "
            "source).",
            share=verbatim(f"{100 * CONTINUOUS:.0f}"),
        )
        yield say("The fuse protects the wire, not the amplifier. The maker's own figure protects the amplifier.")
        if self.values["maker"] and len(self.feed.amplifiers) == 1:
            yield say("The maker's figure bounds the fuse of the wire on which the amplifier is alone.")
        yield say(
            "Each volt lost costs level: full power goes with the square of the volts that arrive, if unregulated."
        )
        for remark in self.feed.remarks:
            yield verbatim(remark)

    def _on_branches(self):
        """Say what is lost up to the end of what else is on the feed."""
        for place in self.feed.places[2:]:
            lost = sum(feed.current * feed.cable.resistance for feed in (self.feed, place.feed))
            yield say(f"Up to {place.feed.name}, {{lost}} are lost on the way there.", lost=DROP(lost))

    def _between(self):
        """Say between which currents each fuse must lie, where there is anything between."""
        for place in self.feed.places:
            least = place.feed.current / CONTINUOUS
            if place.feed.cable.rating_that_holds is not None and least <= place.most:
                yield say(
                    f"The fuse {_where(place.feed)} must lie between {{least}} and {{most}}.",
                    least=CURRENT(least),
                    most=CURRENT(place.most),
                )

    def to_buy(self):
        """Say what to buy, with a fuse for every wire."""
        for place, fuse in zip(self.feed.places, self.fuses, strict=False):
            cable = place.feed.cable
            yield say(
                f"{{length}} of {{size}} {self.values['metal']}, a holder with a fuse of {{fuse}}"
                f"{', both made for {volts}' if self.feed.voltage > BLADE else ''}"
                f"{f' for the {place.feed.name}'.replace('the a ', 'the ') if place.feed.name else ''}.",
                length=WAY(cable.length),
                size=sized(cable.area),
                fuse=CURRENT(fuse),
                volts=VOLTAGE(self.feed.voltage),
            )
        if self.fuses:
            yield say("A grommet for every metal edge, and the way back as its maker asks for.")

    def _conditions(self):
        if self.feed is None:
            return say("Nothing is computed for this.")
        return say(
            "Steady sines at full power, {volts} at the battery, wire at 20 °C. Stranded copper by IEC 60228, class 5; "
            "gauges and clad wire by the metal. Ratings from {source}.",
            volts=VOLTAGE(self.feed.voltage),
            source=verbatim(self.values["source"]),
        )

    def _cautions(self):
        yield verbatim(words.DEFER)
        if self.values["vehicle"] == AS_OPENED[0]:
            yield say(
                "Taken: an engine alone, and {volts}. Say what yours is, and measure.",
                volts=VOLTAGE(self.values["battery"]),
            )
        if self.values["vehicle"] in ("start-stop", "mild hybrid"):
            yield verbatim(words.BY_VEHICLE[self.values["vehicle"]])
        if self.values["metal"] != "copper":
            yield verbatim(words.CLAD)
        if self.feed is not None:
            yield from self._of_the_feed()

    def _of_the_feed(self):
        cables = [place.feed.cable for place in self.feed.places]
        if any(cable.doubtful for cable in cables):
            yield verbatim(words.DOUBTFUL)
        if any(cable.by_table for cable in cables):
            yield verbatim(words.BY_TABLE)
        if self.feed.voltage > BLADE:
            yield verbatim(words.OVER_BLADE)
        for place in self.feed.places:
            yield from (verbatim(said) for said in (place.hot_way_back, place.slow) if said)


def _where(feed):
    """Say where the fuse of a cable is."""
    return f"for the {feed.name.removeprefix('a ')}" if feed.name else "at the battery"
