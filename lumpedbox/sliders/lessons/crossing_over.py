"""A woofer and a tweeter, each behind a network by the book: how they add up where they cross."""

from __future__ import annotations

import numpy as np

from ...air import Air
from ...circuit.build import flat, named_components
from ...design.ladders import ladder, zobel
from ...design.meeting import transfer
from ...design.ratings import MOUNT, ratings
from ...figures.stack import Panel
from ...parts.box import InfiniteBaffle
from ...parts.filters import Delay, Gain, HighPass, LowPass
from ...parts.loudspeaker import Loudspeaker
from ...parts.network import Capacitor, Inductor
from ...parts.small_signal import PRINTED_VOLTAGE
from ...parts.system import Channel, System
from ...response import frequencies, solve
from ...response.level import pressure_level, pressure_of
from ...units import mH, mm
from ..exercises.crossing_over import sheet as crossing_over_sheet
from ..kit import facts
from ..kit.answer import Answer, Fact, say, verbatim
from ..kit.controls import Choice, Slider
from ..kit.offered import AMPLIFIER, first_of, left_out, not_believed, offered, woofers_and_tweeters
from ..kit.pads import size_sold
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import ANGLE, CAPACITANCE, FREQUENCY, LENGTH, LEVEL, POWER, RESISTANCE, same
from ..kit.words import AS_MARKED, REVERSED

__all__ = ["QUESTION", "crossing_over", "crossing_over_sheet"]

GRID = frequencies(300, 15000, per_octave=24)
TITLE = "Do woofer and tweeter add up where they cross?"
FAMILIES = ((1, "Butterworth"), (2, "Butterworth"), (3, "Butterworth"), (4, "Butterworth"))
WAYS = {
    f"{6 * order} dB/octave, {family}": (order, family)
    for order, family in (*FAMILIES, (2, "Bessel"), (2, "Linkwitz-Riley"), (4, "Linkwitz-Riley"))
}
RESISTANCES, DRIVERS, FLATTENED = "resistors, as in the book", "the drivers", "the drivers, coils compensated"
LOWEST_ANGLE = -135.0  # degrees; no filter of the book leaves two at the edge of -135 to 225
SILENCE = -86.0  # dB re 20 uPa; two that cancel to the last digit
NEAR = 2.5 * mm  # half a step of the slider
WOOFER, TWEETER, BOTH = "woofer", "tweeter", "both"
AT_CORNER, TURNED, WITHIN, APART, BOOK, PARTS = (
    "at the corner",
    "wires swapped",
    "within an octave",
    "out of step",
    "against the book",
    "parts",
)
EVEN = 0.5  # dB, within which a sum is called even: ours
GONE = 10.0  # dB, by which two must fall together to be said to cancel: ours
FAR = 3.0  # dB, by which a sum must stray further beside the corner than at it, to be told of instead: ours
NONE = 0.05  # dB, that one decimal rounds to nothing
DEEPEST = 40.0  # dB, below which nobody tells how deep a hole is: ours
INDUCTANCE = same("mH", mH, 2)

QUESTION = Question(
    words="Two networks of 12 dB/octave meet at 3000 Hz, each driver 3 dB down there. How loud are both together?",
    options=("As loud as each plays in its own range", "3 dB louder than that", "Next to nothing is heard"),
    right="Next to nothing is heard",
    why="Such networks put the two half a period apart: while one pushes, the other pulls.",
    look="Read the sum at 3000 Hz. Then swap the tweeter's wires.",
)


class CrossingOver(Scene):
    """Level of a woofer and a tweeter, alone and together, and the angle between them, over one frequency axis."""

    alternative_text = "Level of a woofer, a tweeter and both, and the angle between the two, against frequency"
    grid = GRID

    def __init__(self, woofers, tweeters, amplifier, not_believed):
        self._drivers, self._not_believed = {**woofers, **tweeters}, not_believed
        self._amplifier = amplifier
        pens = {
            "sum": ("first", "both"),
            "woofer": ("second", "woofer"),
            "tweeter": ("third", "tweeter"),
            "corner": ("look", "their corner"),
        }
        super().__init__(pens, kept=("sum", "woofer", "tweeter"))

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level at 1 m [dB re 20 µPa]", 60.0, 105.0),
            Panel("angle", "tweeter ahead of woofer [degrees]", LOWEST_ANGLE, LOWEST_ANGLE + 440),
        )

    def networks(self, values):
        """Return the networks of the book, of woofer and tweeter, for what they are rated at, or for an evened coil."""
        order, family = WAYS[values["slope"]]
        found = []
        for arm, who in (("low-pass", "woofer"), ("high-pass", "tweeter")):
            driver = self._drivers[values[who]]
            evened = values["load"] == FLATTENED and driver.Le > 0
            load = float(driver.Re if evened else driver.nominal_resistance)
            network = ladder(arm=arm, family=family, order=order, frequency=values["corner"], load=load)
            found.append(network + zobel(driver) if evened else network)
        return tuple(found)

    def parts(self, values):
        """Return the system that the controls stand for: either driver behind its network, made equally loud."""
        woofer, tweeter = self._drivers[values["woofer"]], self._drivers[values["tweeter"]]
        low, high = self.networks(values)
        polarity = values["polarity"]
        speakers = (
            Loudspeaker(driver=woofer, name="woofer", network=low, box=InfiniteBaffle()),
            Loudspeaker(driver=tweeter, name="tweeter", network=high, box=InfiniteBaffle(), polarity=polarity),
        )
        gain = Gain(level=float(woofer.sensitivity - tweeter.sensitivity))
        filters = zip(((), (gain,)), _later(values["further"]), strict=True)
        channels = zip(speakers, filters, strict=True)
        return System(channels=tuple(Channel(loudspeakers=(s,), filters=(*g, *late)) for s, (g, late) in channels))

    def pressures(self, values, frequency):
        """Return the sound of woofer and tweeter, behind the networks that the controls stand for. [Pa]"""
        if values["load"] != RESISTANCES:
            return solve(self.parts(values), frequency, PRINTED_VOLTAGE).treble_pressures
        order, family = WAYS[values["slope"]]
        loud = float(pressure_of(self._drivers[values["woofer"]].sensitivity))
        sign = -1.0 if values["polarity"] == REVERSED else 1.0
        pairs = zip((LowPass, HighPass), (loud, sign * loud), _later(values["further"]), strict=True)
        return tuple(
            scale * transfer((kind(frequency=values["corner"], order=order, family=family), *late), frequency)
            for kind, scale, late in pairs
        )

    def curves(self, values):
        """Compute both, alone and together."""
        woofer, tweeter = self.pressures(values, GRID)
        return {
            "sum": {"level": level(woofer + tweeter), "angle": _without_jumps(ahead(tweeter, woofer))},
            "woofer": {"level": level(woofer)},
            "tweeter": {"level": level(tweeter)},
            "corner": values["corner"],
        }

    def answer(self, values):
        """Say whether the two add up at the corner, and whether swapped wires would be better."""
        corner, loud = values["corner"], self._loud(values)
        woofer, tweeter = (one[0] for one in self.pressures(values, np.array([corner])))
        together, turned = (float(level(woofer + sign * tweeter) - loud) for sign in (1, -1))
        around = frequencies(corner / 2, corner * 2, per_octave=48)
        low, high = self.pressures(values, around)
        strays, otherwise = (level(low + sign * high) - loud for sign in (1, -1))
        alone = {name: relative(float(level(one) - loud)) for name, one in ((WOOFER, woofer), (TWEETER, tweeter))}
        worst = int(np.argmax(np.abs(strays)))
        beside = abs(strays[worst]) > abs(together) + FAR
        return Answer(
            headline=headline(
                *((strays[worst], around[worst]) if beside else (together, corner)),
                better=_strays(otherwise) < _strays(strays) - EVEN,
            ),
            facts=(
                Fact(AT_CORNER, alone | {BOTH: relative(together)}),
                Fact(TURNED, {BOTH: relative(turned)}),
                Fact(WITHIN, {BOTH: spread(float(strays.min()), float(strays.max()))}),
                Fact(APART, {BOTH: say("{angle}", angle=ANGLE(apart(tweeter, woofer)))}),
                *self._against_the_book(values),
                Fact(PARTS, dict(zip((WOOFER, TWEETER), self._to_buy(values), strict=True))),
            ),
            details=tuple(self._details(values)),
            conditions=self._conditions(values),
        )

    def _conditions(self, values):
        words = "{woofer} and {tweeter}, {volts}, at 1 m, half space. The networks feed {load}."
        names = {who: verbatim(values[who]) for who in (WOOFER, TWEETER)}
        return say(words, volts=say(f"{PRINTED_VOLTAGE} V r.m.s."), load=say(values["load"]), **names)

    def _loud(self, values):
        """Return the level of the pass-band. [dB re 20 uPa]"""
        return float(self._drivers[values["woofer"]].sensitivity)

    def _to_buy(self, values):
        """Yield the parts of woofer and tweeter; resistors are there to even coils, with the watts of the full sine."""
        for speaker, network in zip(self.parts(values).loudspeakers, self.networks(values), strict=True):
            met = ratings(speaker, GRID, float(self._amplifier.voltage)) if values["load"] == FLATTENED else ()
            yield _to_buy(network, {one.name: one.most for one in met if one.quantity == "power"})

    def _against_the_book(self, values):
        """Tell how far the drivers are from what the book promises, an octave beyond the corner on either side."""
        if values["load"] == RESISTANCES:
            return
        beyond = np.array([2 * values["corner"], values["corner"] / 2])
        book, real = (self.pressures(values | {"load": load}, beyond) for load in (RESISTANCES, values["load"]))
        told = {
            who: say(
                "{off} at {beyond}",
                off=relative(float(level(real[place][place]) - level(book[place][place]))),
                beyond=FREQUENCY(beyond[place]),
            )
            for place, who in enumerate((WOOFER, TWEETER))
        }
        yield Fact(BOOK, told)

    def _details(self, values):
        names = (values["woofer"], values["tweeter"])
        yield say(
            "Levels are against the woofer's own range, {loud}. The tweeter is first made as loud.",
            loud=LEVEL(self._loud(values)),
        )
        yield say("Out of step: 180 degrees is half a period. There two that are equally loud cancel.")
        if abs(values["further"]) > NEAR:
            longer = TWEETER if values["further"] > 0 else WOOFER
            yield say(
                f"The longer way delays the {longer} by {{angle}} at {{corner}}.",
                angle=ANGLE(360 * values["corner"] * abs(values["further"]) / Air().sound_speed),
                corner=FREQUENCY(values["corner"]),
            )
        if values["load"] != RESISTANCES:
            yield say("The book's networks expect resistors. A driver's coil and resonance make them stray.")
        yield say('The parts are in order from the amplifier. "Across" is from wire to wire; all others are in series.')
        if values["load"] == FLATTENED:
            words = "A resistor's watts are those of a steady tone at {power} into {load}, the full power of {who}."
            source = self._amplifier
            full = {"power": POWER(float(source.power)), "load": RESISTANCE(float(source.rated_impedance))}
            yield say(f"{words} {MOUNT}", who=verbatim(source.name), **full)
        yield facts.NO_PLACE
        yield from self._own_capacitor(values)
        yield from (verbatim(self._not_believed[name]) for name in names if name in self._not_believed)
        yield from facts.of_its_kind(*(self._drivers[name] for name in names))
        if values["load"] != RESISTANCES:
            yield facts.printed_above(*solve(self.parts(values), values["corner"], PRINTED_VOLTAGE).responses)

    def _own_capacitor(self, values):
        """Say what a capacitor in the tweeter does behind a network that does not count on it."""
        own = self._drivers[values["tweeter"]].built_in_capacitance
        if own is None:
            return
        yield say(
            "The tweeter has its own capacitor of {own} in series, after its network. The book does not expect it: "
            "take it out, or leave out a capacitor of the network.",
            own=CAPACITANCE(own),
        )
        if values["load"] == FLATTENED:
            yield say("With it, the parts across the tweeter do not make up for its coil.")


def level(pressure):
    """Level of a sound, of silence one far below the picture. [dB re 20 uPa]"""
    return np.maximum(pressure_level(pressure), SILENCE)


def ahead(one, other):
    """By which angle one sound is ahead of another, from `LOWEST_ANGLE` to a turn more. [degrees]"""
    angle = np.degrees(np.angle(one / other))
    return np.mod(angle - LOWEST_ANGLE, 360) + LOWEST_ANGLE


def apart(one, other):
    """How far two sounds are out of step, from 0 to 180. [degrees]"""
    return float(np.abs(np.degrees(np.angle(one / other))))


def _without_jumps(angle):
    """Leave out the points where an angle goes over the edge."""
    return np.where(np.abs(np.diff(angle, prepend=angle[0])) > 180, np.nan, angle)


def _later(further):
    """Return the filters of woofer and tweeter that stand for the tweeter's longer way."""
    late = (Delay(time=abs(further) / Air().sound_speed),) if abs(further) > NEAR else ()
    return ((), late) if further > 0 else (late, ())


def relative(decibels):
    """Say how a level is to another: down or up."""
    if decibels < -DEEPEST:
        return say("over {deepest} down", deepest=LEVEL(DEEPEST))
    if abs(decibels) < NONE:
        return say("{none}", none=LEVEL(0.0))
    return say(f"{{by}} {'down' if decibels < 0 else 'up'}", by=LEVEL(abs(decibels)))


def spread(low, high):
    """Say from where to where levels go, against another: down or up."""
    if max(abs(low), abs(high)) < NONE:
        return relative(0.0)
    if low < 0 < high or min(abs(low), abs(high)) < NONE:
        nearer, further = sorted((low, high), key=abs)
        return say("{nearer} to {further}", nearer=relative(nearer), further=relative(further))
    least, most = sorted((abs(low), abs(high)))
    return say("{least} to {most}", least=LEVEL(least), most=relative(most if high > 0 else -most))


def headline(decibels, frequency, better):
    """Say how two add up where that matters most, and whether to turn the tweeter's wires.

    Parameters
    ----------
    decibels : float
        Both together, against the pass-band. [dB]
    frequency : float
        [Hz]
    better : bool
        Whether they add up better with the wires turned.
    """
    if decibels < -GONE:
        words = "At {frequency} the two cancel"
    elif decibels < -EVEN:
        words = "At {frequency} both together are {by} down"
    elif decibels > EVEN:
        words = "They add up, but {by} too loud at {frequency}"
    else:
        words = "They add up evenly at {frequency}"
    if better:
        words += ": swap the tweeter's wires"
    elif decibels < -EVEN:
        words += "; swapping the tweeter's wires is no cure"
    return say(f"{words}.", frequency=FREQUENCY(float(f"{frequency:.3g}")), by=LEVEL(abs(decibels)))


def _strays(decibels):
    """r.m.s. of a row of levels. [dB]"""
    return float(np.sqrt(np.mean(np.maximum(decibels, -DEEPEST) ** 2)))


def _to_buy(network, watts):
    """Say of which parts a network is made, in their order.

    Parameters
    ----------
    network : Network
    watts : dict
        Name of a resistor: what it takes at most. [W]
    """
    told, numbers = [], {}
    for branch, parts in named_components(network):
        names = []
        for called, part in flat(parts):
            names.append(f"part{len(numbers)}")
            numbers[names[-1]] = _value(part)
            if called in watts:
                numbers[f"{names[-1]}_watts"] = POWER(size_sold(watts[called]))
                names[-1] += f"}}, {{{names[-1]}_watts"
        told.append(" and ".join(f"{{{name}}}" for name in names) + (" across" if branch.placed == "across" else ""))
    return say(", ".join(told), **numbers)


def _value(part):
    if isinstance(part, Inductor):
        return INDUCTANCE(part.inductance)
    return CAPACITANCE(part.capacitance) if isinstance(part, Capacitor) else RESISTANCE(part.resistance)


def crossing_over(drivers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers : dict, optional
        Name: Driver; your own and the invented ones of the demonstration by default.
        Drivers without a printed sensitivity are left out.
    """
    doubted = not_believed(offered().sheets) if drivers is None else {}
    woofers, tweeters, missed = woofers_and_tweeters("crossing_over", drivers)
    amplifiers = offered().amplifiers
    amplifier = amplifiers[first_of(AMPLIFIER, amplifiers)]
    woofer, tweeter = first_of("130 mm step well", woofers), first_of("25 mm pillar tweeter", tweeters)
    controls = [
        Slider("corner", "Corner", FREQUENCY, 1500.0, 8000.0, 3000.0, 50.0, "crossover"),
        Choice("slope", "Slope", WAYS, "12 dB/octave, Butterworth", group="crossover"),
        Choice("load", "Networks feed", (RESISTANCES, DRIVERS, FLATTENED), RESISTANCES, group="crossover"),
        Choice("polarity", "Tweeter's wires", (AS_MARKED, REVERSED), AS_MARKED, group="tweeter"),
        Slider("further", "Further away than the woofer", LENGTH, -150 * mm, 150 * mm, 0.0, 2 * NEAR, "tweeter"),
        Choice("tweeter", "Tweeter", tweeters, tweeter, group="drivers"),
        Choice("woofer", "Woofer", woofers, woofer, left_out(missed, "driver"), "drivers"),
    ]
    return Page(controls, CrossingOver(woofers, tweeters, amplifier, doubted), TITLE)
