"""A woofer and a tweeter, each behind a network by the book: how they add up where they cross."""

from __future__ import annotations

import numpy as np

from ...air import Air
from ...circuit.build import flat, named_components
from ...design.ladders import ladder, zobel
from ...design.meeting import transfer
from ...figures.schematic import value_in_words
from ...figures.stack import Panel
from ...parts.box import InfiniteBaffle
from ...parts.filters import Delay, Gain, HighPass, LowPass
from ...parts.loudspeaker import Loudspeaker
from ...parts.small_signal import PRINTED_VOLTAGE
from ...parts.system import Channel, System
from ...response import frequencies, solve
from ...response.level import pressure_level, pressure_of
from ...units import mm, uF
from ..exercises.crossing_over import sheet as crossing_over_sheet
from ..kit.controls import Choice, Slider
from ..kit.offered import first_of, left_out, not_believed, offered, woofers_and_tweeters
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import FREQUENCY, LENGTH
from ..kit.words import AS_MARKED, REVERSED, of_its_kind
from .loud_tweeter import chosen, printed_above

__all__ = ["QUESTION", "crossing_over", "crossing_over_sheet"]

GRID = frequencies(300, 15000, per_octave=24)
FAMILIES = ((1, "Butterworth"), (2, "Butterworth"), (3, "Butterworth"), (4, "Butterworth"))
WAYS = {
    f"{6 * order} dB/octave, {family}": (order, family)
    for order, family in (*FAMILIES, (2, "Bessel"), (2, "Linkwitz-Riley"), (4, "Linkwitz-Riley"))
}
RESISTANCES, DRIVERS = "resistances, as in the book", "the drivers themselves"
FLATTENED = "the drivers, their coils made up for"
LOWEST_ANGLE = -135.0  # degrees; no filter of the book leaves two at the edge of -135 to 225
SILENCE = -86.0  # dB re 20 uPa; two that cancel to the last digit
NEAR = 2.5 * mm  # half a step of the slider

QUESTION = Question(
    words="Two networks of 12 dB/octave meet at 3000 Hz, where either driver is 3 dB down. How loud are both there?",
    options=("As loud as either plays in its own range", "3 dB louder than that", "Next to nothing is heard"),
    right="Next to nothing is heard",
    why="Such networks turn the two half a period against each other: what one pushes, the other pulls.",
    look='Read the sum at 3000 Hz. Then, under "More to change", reverse the tweeter.',
)


class CrossingOver(Scene):
    """Level of a woofer and a tweeter, alone and together, and the angle between them, over one frequency axis."""

    alternative_text = "Level of a woofer, a tweeter and both, and the angle between the two, against frequency"
    grid = GRID

    def __init__(self, woofers, tweeters, not_believed):
        self._drivers, self._not_believed = {**woofers, **tweeters}, not_believed
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
            Panel("level", "level at 1 m\n[dB re 20 µPa]", 60.0, 105.0),
            Panel("angle", "tweeter ahead of\nthe woofer [degrees]", LOWEST_ANGLE, LOWEST_ANGLE + 360),
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

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        return (
            f"{values['woofer']} and {values['tweeter']}, made equally loud; "
            f"{PRINTED_VOLTAGE} volts r.m.s., 1 m, half space; behind the networks: {values['load']}"
        )

    def sentences(self, values, system):
        """Say what the curves amount to."""
        corner = values["corner"]
        woofer, tweeter = (one[0] for one in self.pressures(values, np.array([corner])))
        loud = self._drivers[values["woofer"]].sensitivity
        yield _crossing(woofer, tweeter, corner, loud)
        other = level(woofer - tweeter) - loud
        yield f"With the tweeter's polarity turned it would be {_of(other)}."
        around = frequencies(corner / 2, corner * 2, per_octave=48)
        strays = level(sum(self.pressures(values, around))) - loud
        yield (
            f"From {around[0]:.0f} to {around[-1]:.0f} Hz both together lie between {_of(strays.min())} and "
            f"{_of(strays.max())}."
        )
        if values["load"] != RESISTANCES:
            yield self._against_the_book(values)
        if abs(values["further"]) > NEAR:
            turned, who = 360 * corner * abs(values["further"]) / Air().sound_speed, "tweeter"
            longer = who if values["further"] > 0 else "woofer"
            yield f"The longer way turns the {longer} back by {turned:.0f} degrees at {corner:.0f} Hz."
        yield _to_buy(self.networks(values))
        yield from self._own_capacitor(values)
        yield from (self._not_believed[name] for name in chosen(values) if name in self._not_believed)
        yield from of_its_kind(*(self._drivers[name] for name in chosen(values)))
        if values["load"] != RESISTANCES:
            yield printed_above(solve(self.parts(values), values["corner"], PRINTED_VOLTAGE))

    def _own_capacitor(self, values):
        """Say what a capacitor in the tweeter does behind a network that does not count on it."""
        own = self._drivers[values["tweeter"]].built_in_capacitance
        if own is None:
            return
        told = f"The tweeter has its own capacitor of {own / uF:.1f} µF in line, behind its network"
        evened = " With it, the parts across do not make up for the coil." if values["load"] == FLATTENED else ""
        yield f"{told}: the book does not count on it. Take it out, or leave out a capacitor of the network.{evened}"

    def _against_the_book(self, values):
        """Say how far the drivers are from what the book promises, an octave beyond the corner on either side."""
        corner = values["corner"]
        beyond = np.array([2 * corner, corner / 2])
        book, real = (self.pressures(values | {"load": load}, beyond) for load in (RESISTANCES, values["load"]))
        told = [
            f"the {who} at {beyond[i]:.0f} Hz is {level(real[i][i]) - level(book[i][i]):+.1f} dB from it"
            for i, who in enumerate(("woofer", "tweeter"))
        ]
        return f"Behind the same networks resistances would follow the book; {told[0]}, {told[1]}."


def level(pressure):
    """Level of a sound, of silence one far below the picture. [dB re 20 uPa]"""
    return np.maximum(pressure_level(pressure), SILENCE)


def ahead(one, other):
    """By which angle one sound is ahead of another, from `LOWEST_ANGLE` to a turn more. [degrees]"""
    angle = np.degrees(np.angle(one / other))
    return np.mod(angle - LOWEST_ANGLE, 360) + LOWEST_ANGLE


def _without_jumps(angle):
    """Leave out the points where an angle goes over the edge."""
    return np.where(np.abs(np.diff(angle, prepend=angle[0])) > 180, np.nan, angle)


def _later(further):
    """Return the filters of woofer and tweeter that stand for the tweeter's longer way."""
    late = (Delay(time=abs(further) / Air().sound_speed),) if abs(further) > NEAR else ()
    return ((), late) if further > 0 else (late, ())


def _of(relative):
    """Say how a level is to the one of either side."""
    if relative < -40:
        return "more than 40 dB under the pass-band"
    return f"{relative:+.1f} dB"


def _crossing(woofer, tweeter, corner, loud):
    each = [_of(level(one) - loud) for one in (woofer, tweeter)]
    angle, both = float(ahead(tweeter, woofer)), _of(level(woofer + tweeter) - loud)
    apart = abs(angle) if angle <= 180 else 360 - angle
    return (
        f"At {corner:.0f} Hz, against the level of the pass-band, the woofer plays {each[0]} and the tweeter "
        f"{each[1]}, {apart:.0f} degrees apart; both together are {both}."
    )


def _to_buy(networks):
    told = [
        ", ".join(f"{name} {value_in_words(part)}" for _, parts in named_components(one) for name, part in flat(parts))
        for one in networks
    ]
    return f"The networks of the book: for the woofer {told[0]}; for the tweeter {told[1]}."


def crossing_over(drivers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers : dict, optional
        Name: Driver; your own and the invented ones of the demonstration by default.
        Drivers without a printed sensitivity are left out.
    """
    doubted = not_believed(offered().sheets) if drivers is None else {}
    woofers, tweeters, missed = woofers_and_tweeters(offered().drivers if drivers is None else drivers)
    controls = [
        Slider("corner", "Corner of both networks", FREQUENCY, 1500.0, 8000.0, 3000.0, 50.0),
        Choice("slope", "Slope of both networks", WAYS, "12 dB/octave, Butterworth"),
        Choice("polarity", "Polarity of the tweeter", (AS_MARKED, REVERSED), AS_MARKED),
        Choice("load", "Behind the networks", (RESISTANCES, DRIVERS, FLATTENED), RESISTANCES),
        Slider("further", "Tweeter further away by", LENGTH, -150 * mm, 150 * mm, 0.0, 2 * NEAR),
        Choice("woofer", "Woofer", woofers, first_of("130 mm step well", woofers), left_out(missed, "driver")),
        Choice("tweeter", "Tweeter", tweeters, first_of("25 mm pillar tweeter", tweeters)),
    ]
    return Page(controls, CrossingOver(woofers, tweeters, doubted), first=2)
