"""How loud a box plays before something gives: travel, port, amplifier or heat."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...figures.stack import Panel
from ...parts.amplifier import with_bridged
from ...parts.box import USUAL_LEAKAGE, SealedBox, VentedBox
from ...parts.loudspeaker import Loudspeaker, as_it_comes
from ...response import frequencies, solve
from ...response.band import between
from ...response.hearing import lowest_heard, noise_level
from ...response.limits import (
    CAUTION_SPEED,
    CLIPPING,
    CURRENT,
    HEAT,
    HIGHEST_CORNER,
    PORT,
    TRAVEL,
    maximum_level,
    protected,
)
from ...tables import demo_noise
from ...units import cm2, litre
from ..exercises.how_loud import sheet as how_loud_sheet
from ..kit import facts
from ..kit.answer import ONLY, Answer, Fact, say, verbatim
from ..kit.controls import Choice, Slider
from ..kit.litres import Litres
from ..kit.offered import AMPLIFIER, first_of, fit_for, left_out, offered
from ..kit.page import Page
from ..kit.places import Cabins
from ..kit.predict import Question
from ..kit.scene import BUILDS, Scene
from ..kit.systems import AREA, DELAY, FREQUENCY, LEVEL, POWER, SPEED, VOLTAGE, VOLUME

__all__ = ["QUESTION", "how_loud", "how_loud_sheet"]

GRID = frequencies(15, 300, per_octave=24)
TITLE = "How loud before something gives?"
LISTEN = 40.0  # Hz
SEALED, VENTED = "sealed", "vented"
NOISE = "80 km/h"
HEAD = "moving head"  # its band: of places of the ear, not of boxes
TOLD = 2  # spans above the lowest, of which a headline of 20 words can tell
GIVES = {TRAVEL: "cone", HEAT: "coil", CLIPPING: "amplifier", CURRENT: "amplifier", PORT: "port"}

QUESTION = Question(
    words="A 200 mm bass driver in 30 litres, tuned to 33 Hz, on 75 W. What keeps it from playing louder at 20 Hz?",
    options=("The amplifier", "The travel of the cone", "The heat of the coil"),
    right="The travel of the cone",
    why="Far below the tuning the air hardly holds the cone, so it runs out of travel long before the amplifier clips.",
    look="Look for the curve that the blue one follows at 20 Hz, at 33 Hz, and at 100 Hz.",
)


class HowLoud(Scene):
    """Level of the loudest steady tone and of each limit, and the volts it takes, over one frequency axis."""

    alternative_text = "Loudest steady tone, what each limit allows, and the volts it takes, against frequency"
    grid = GRID
    drawn_to_scale = ("loudest",)
    refines = True

    def __init__(self, drivers, amplifiers, cabins):
        self._drivers, self._amplifiers, self._cabins = drivers, amplifiers, cabins
        self._noise = demo_noise()[NOISE].points
        pens = {
            HEAD: ("head", "moving head"),
            "travel": ("second", "cone"),
            "amplifier": ("third", "amplifier"),
            "port": ("port", "port"),
            "heat": ("limit", "coil"),
            "noise": ("look", "noise"),
            "loudest": ("first", "loudest tone"),
        }
        super().__init__(pens, kept=("loudest",), cabins=cabins)

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level [dB re 20 µPa] at 1 m", 60.0, 130.0, rises=True),
            Panel("volts", "voltage, r.m.s. [V]", 0.0, 40.0),
        )

    def parts(self, values):
        """Return the loudspeaker that the controls stand for."""
        box = SealedBox(volume=values["volume"], Ql=USUAL_LEAKAGE)
        if values["kind"] == VENTED:
            box = VentedBox(volume=values["volume"], fb=values["fb"], port_area=values["port_area"], Ql=USUAL_LEAKAGE)
        return Loudspeaker(driver=self._drivers[values["driver"]], box=box, **self._cabins.at(values))

    def curves(self, values):
        """Find the loudest steady tone and every limit."""
        amplifier, speaker = self._amplifiers[values["amplifier"]], self.parts(values)
        self.loudest = found = maximum_level(speaker, GRID, amplifier=amplifier)
        behind = dataclasses.replace(speaker, source_resistance=getattr(amplifier, "output_resistance", 0.0))
        self.responses = {"loudest": solve(behind, GRID, amplifier.voltage)}
        allowed = found.levels
        return {
            "loudest": {"level": found.level, "volts": found.voltage},
            "travel": {"level": allowed.get(TRAVEL), "volts": found.voltages.get(TRAVEL)},
            "amplifier": {"level": np.minimum(allowed[CLIPPING], allowed[CURRENT])},
            "port": {"level": allowed.get(PORT)},
            "heat": {"level": allowed.get(HEAT)},
            "noise": {"level": noise_level(self._noise, GRID) if speaker.cabin else None},
        }

    def louder(self, name):
        """Return the loudest tone's volts over the amplifier's: so loud the loudspeaker is drawn. shape (nf,) [1]"""
        return self.loudest.voltage / self.responses[name].voltage

    def move(self, values):
        """Move the curves, and the band of what drivers and boxes of one type play at most."""
        changed = super().move(values)
        drawn = as_it_comes(self.parts(values)).members(self.members)
        found = maximum_level(drawn, GRID, amplifier=self._amplifiers[values["amplifier"]])
        self.stack.shade("loudest", GRID, {"level": between(found.level), "volts": between(found.voltage)})
        self.stack.shade(HEAD, GRID, self._where_the_head_may_be())
        return changed

    def _where_the_head_may_be(self):
        """Return the edges of the loudest tone's level at four of five places of the ear; nothing without places."""
        plain = self.responses["loudest"]
        if not plain.loudspeaker.by_places:
            return {}
        return {"level": self.loudest.level + plain.band_of_ears() - plain.level}

    def load(self, values):
        """Return the load that the watts are counted into. [ohm]"""
        return float(self._drivers[values["driver"]].nominal_resistance)

    def answer(self, values):
        """Say how loud it plays, and what gives first."""
        amplifier, speaker = self._amplifiers[values["amplifier"]], self.parts(values)
        at, spans = maximum_level(speaker, [LISTEN], amplifier=amplifier), spans_of(self.loudest)
        ways, volts = protections(speaker, float(amplifier.voltage)), float(at.voltage[0])
        told = {
            **({"gives first": along(spans)} if len(spans) > TOLD + 1 else {}),  # else the headline tells it
            f"power at {LISTEN:.0f} Hz": say(
                "{watts} ({volts})", watts=POWER(volts**2 / self.load(values)), volts=VOLTAGE(volts)
            ),
            f"next limit at {LISTEN:.0f} Hz": next_limit(at),
            f"cone gives at {LISTEN:.0f} Hz": cone_gives(at),
            "high-pass for full power": for_full_power(speaker, ways),
        }
        if speaker.cabin:
            told["lowest tone above the noise"] = self._lowest_heard()
        return Answer(
            headline=headline(float(at.level[0]), GIVES[at.gives[0]], spans),
            facts=tuple(Fact(name, {ONLY: said}) for name, said in told.items()),
            details=(*self._details(speaker, ways), *self._about_port(values)),
            conditions=self._conditions(values, speaker),
            cautions=tuple(self._cautions(amplifier, speaker.driver)),
        )

    def _about_port(self, values):
        if values["kind"] == VENTED:
            yield say("The port: {port}.", port=facts.port(values["port_area"], values["fb"], values["volume"]))

    def _lowest_heard(self):
        heard = lowest_heard(GRID, self.loudest.level, self._noise)
        if np.isnan(heard):
            return say("none")
        return say("below {heard}" if heard == GRID[0] else "{heard}", heard=FREQUENCY(heard))

    def _details(self, speaker, ways):
        for words, way in zip(("To use full power, set a high-pass at", "Or one at"), filter(None, ways), strict=False):
            yield protection(way, words)
        if self.loudest.unknown:
            yield say(f"Not known, so no limit here: {'; '.join(self.loudest.unknown)}.")
        if PORT in self.loudest.levels:
            words = "The port counts as noisy from {speed} up (common practice, no source)."
            yield say(words, speed=SPEED(CAUTION_SPEED))
        if short := facts.where(GRID, self.loudest.gives == CURRENT):
            yield say("The amplifier runs out of current {short}; elsewhere it clips.", short=short)
        if not speaker.cabin:
            yield say("Choose a vehicle to see which tones are heard above the noise in it.")
        yield from self._cabins.about(self.responses["loudest"])
        if not self.coarse:
            yield from facts.head_moves(solve(speaker, LISTEN), "grey band")
        yield say(BUILDS)

    def _conditions(self, values, speaker):
        noise = f", noise as in the minibus at {NOISE} (invented)" if speaker.cabin else ""
        return say(
            f"{{driver}}, {{box}} in {{volume}}, {{amplifier}}; a steady tone {{place}}{noise}.",
            driver=verbatim(values["driver"]),
            box=verbatim(values["kind"]),
            volume=VOLUME(values["volume"]),
            amplifier=verbatim(values["amplifier"]),
            place=self._cabins.told(values),
        )

    def _cautions(self, amplifier, driver):
        yield from facts.hot_coil(facts.coil_heat(self.responses["loudest"]), driver, "All of the amplifier's power")
        yield from facts.protect_ears(GRID, [self.loudest.level])
        yield from facts.low_load(self.responses["loudest"].lowest_impedance, amplifier)


def spans_of(loudest):
    """Return what gives first along the frequency axis: (name, lowest, highest frequency) of each span. [Hz]"""
    gives, frequency = [GIVES[name] for name in loudest.gives], loudest.frequency
    first = [i for i in range(len(gives)) if i == 0 or gives[i] != gives[i - 1]]
    last = [i - 1 for i in (*first[1:], len(gives))]
    return [(gives[i], frequency[i], frequency[j]) for i, j in zip(first, last, strict=True)]


def headline(level, who, spans):
    """Say how loud it plays [dB re 20 uPa] and what gives first along the frequency axis: three spans, or the nearest.

    Of more, the lowest is told and what gives first where one listens; or, where that is the lowest, what does mostly.
    """
    (first, _, low), *others = spans
    there, numbers = f"{{level}} at {LISTEN:.0f} Hz", {"level": LEVEL(level), "low": FREQUENCY(low)}
    if not others:
        return say(f"{there}; the {first} gives first at every frequency.", **numbers)
    if len(others) > TOLD:
        if low < LISTEN:
            too = " too" if first == who else ""
            return say(f"{there}, where the {who} gives first; below {{low}} the {first}{too}.", **numbers)
        return say(f"{there}; the {first} gives first below {{low}}, mostly the {widest(others)} above.", **numbers)
    *between, (last, _, _) = others
    told = [f"the {first} gives first below {{low}}", *(f"the {name} to {{high}}" for name, _, _ in between)]
    numbers["high"] = FREQUENCY(between[0][2] if between else low)
    return say(f"{there}; {', '.join([*told, f'the {last} above'])}.", **numbers)


def widest(spans):
    """Return what gives first over the most octaves of some spans."""
    octaves = {name: sum(np.log2(high / low) for who, low, high in spans if who == name) for name, _, _ in spans}
    return max(octaves, key=octaves.get)


def along(spans):
    """Say what gives first along the frequency axis."""
    *lower, (highest, _, _) = spans
    if not lower:
        return say(f"{highest} at every frequency")
    told = [f"{who} {'to' if i else 'below'} {{end{i}}}" for i, (who, _, _) in enumerate(lower)]
    ends = {f"end{i}": FREQUENCY(high) for i, (_, _, high) in enumerate(lower)}
    return say(", ".join([*told, f"{highest} above"]), **ends)


def next_limit(at):
    """Say what would give once the first limit at a frequency is mended, and how much louder that is."""
    first, level = GIVES[at.gives[0]], float(at.level[0])
    others = {name: float(levels[0]) for name, levels in at.levels.items() if GIVES[name] != first}
    if not others:
        return say("none that is known")
    name = min(others, key=others.get)
    return say(f"{GIVES[name]}, {{more}} higher", more=LEVEL(others[name] - level))


def cone_gives(at):
    """Say at which level the cone is at the end of its travel at a frequency."""
    return say("{level}", level=LEVEL(at.levels[TRAVEL][0])) if TRAVEL in at.levels else facts.NOT_KNOWN


def protections(speaker, volts):
    """Return the high-passes that keep the cone within its travel at all of an amplifier's volts [V].

    None stands where none is needed; the list is empty where none is enough, or the travel is not known.
    """
    ways = []
    if speaker.driver.xmax is None:
        return ways
    without = solve(speaker, frequencies(GRID[0], 2 * HIGHEST_CORNER, per_octave=48), volts)
    for order in (2, 4):
        try:
            ways.append(protected(without, order))
        except ValueError:
            continue
    return ways


def for_full_power(speaker, ways):
    """Say which high-pass lets one use all of the amplifier's volts."""
    if speaker.driver.xmax is None:
        return facts.UNKNOWN
    if not ways:
        return say("none up to {highest} is enough", highest=FREQUENCY(HIGHEST_CORNER))
    if ways[0] is None:
        return say("none needed")
    return say(f"{{corner}}, {6 * ways[0].order} dB/octave", corner=FREQUENCY(ways[0].corner))


def protection(way, words):
    """Say what a high-pass for full power does to the bass."""
    told = [f"{words} {{corner}} ({6 * way.order} dB/octave)."]
    if np.isfinite([way.f3, way.f3_without]).all():  # a vehicle may lift the level so that there is none
        told.append("The bass is then 3 dB down at {f3}, without it at {f3_without}.")
    told.append("The longest group delay from {lowest} up is then {delay}, without it {delay_without}.")
    return say(
        " ".join(told),
        corner=FREQUENCY(way.corner),
        f3=FREQUENCY(way.f3),
        f3_without=FREQUENCY(way.f3_without),
        lowest=FREQUENCY(way.f3_without if np.isfinite(way.f3_without) else GRID[0]),
        delay=DELAY(way.delay),
        delay_without=DELAY(way.delay_without),
    )


def how_loud(drivers=None, amplifiers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, amplifiers, cabins : dict, optional
        Name: Driver, name: Amplifier or HeadUnit, name: Cabin; your own and the invented ones of the demonstration
        by default. Stand-ins are left out, and so are drivers that resonate above 100 Hz; an amplifier that can be
        bridged is offered so too.
    """
    amplifiers = offered().amplifiers | offered().head_units if amplifiers is None else amplifiers
    cabins = Cabins(cabins)
    deep, missed = fit_for("how_loud", "driver", drivers)
    sources = with_bridged(amplifiers)
    scene = HowLoud(deep, sources, cabins)

    def vented(values):
        return values["kind"] == VENTED

    volume = Slider("volume", "Net volume", VOLUME, 6 * litre, 80 * litre, 30 * litre, 0.5 * litre, "box")
    source = first_of(AMPLIFIER, sources)
    controls = [
        Choice("driver", "Driver", deep, first_of("200 mm bass", deep), left_out(missed, "driver"), "driver"),
        Choice("kind", "Box", (VENTED, SEALED), VENTED, group="box"),
        volume,
        Slider("fb", "Tuning", FREQUENCY, 20.0, 80.0, 33.0, 0.5, "box", vented),
        Slider("port_area", "Port area", AREA, 10 * cm2, 150 * cm2, 50 * cm2, 1 * cm2, "box", vented),
        Choice("amplifier", "Amplifier", sources, source, left_out({}, "amplifier", "head_unit"), "amplifier"),
        *cabins.controls("Where it plays"),
    ]
    return Page(controls, scene, TITLE, helpers=[Litres(volume, "driver", deep)])
