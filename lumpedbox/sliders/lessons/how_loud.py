"""How loud a box plays before something gives: travel, port, amplifier or heat."""

from __future__ import annotations

import numpy as np

from ...air import Air
from ...design.air_moved import air_moved
from ...figures.stack import Panel
from ...parts.amplifier import Amplifier, with_bridged
from ...parts.box import USUAL_LEAKAGE, SealedBox, VentedBox
from ...parts.loudspeaker import Loudspeaker, as_it_comes
from ...response import frequencies
from ...response.band import between
from ...response.hearing import LOUD_ANYWHERE, lowest_heard, noise_level
from ...response.limits import (
    CAUTION_SPEED,
    CLIPPING,
    CURRENT,
    HEAT,
    HIGHEST_CORNER,
    PORT,
    TRAVEL,
    in_words,
    maximum_level,
    protective_high_pass,
)
from ...tables import demo_noise
from ...units import cm2, litre, ms
from ..kit.controls import Choice, Slider
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Sheet
from ..kit.litres import Litres
from ..kit.offered import AMPLIFIER, first_of, fit_for, left_out, offered
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import BUILDS, DRAWN, Scene
from ..kit.systems import AIR_MOVED, AREA, FREQUENCY, LEVEL, POWER, RESISTANCE, VOLTAGE, VOLUME
from ..kit.words import OPEN_AIR

GRID = frequencies(15, 300, per_octave=24)
LISTEN = 40.0  # Hz
SEALED, VENTED = "sealed", "vented"
NOISE = "80 km/h"

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

    def __init__(self, drivers, amplifiers, cabins):
        self._drivers, self._amplifiers, self._cabins = drivers, amplifiers, {OPEN_AIR: None, **cabins}
        self._noise = demo_noise()[NOISE].points
        pens = {
            "travel": ("second", "travel"),
            "amplifier": ("third", "amplifier"),
            "port": ("port", "port"),
            "heat": ("limit", "heat"),
            "noise": ("look", "noise"),
            "loudest": ("first", "loudest"),
        }
        super().__init__(pens, kept=("loudest",))

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level at 1 m\n[dB re 20 µPa]", 60.0, 130.0),
            Panel("volts", "amplifier,\nr.m.s. [volts]", 0.0, 40.0),
        )

    def parts(self, values):
        """Return the loudspeaker that the controls stand for."""
        box = SealedBox(volume=values["volume"], Ql=USUAL_LEAKAGE)
        if values["kind"] == VENTED:
            box = VentedBox(volume=values["volume"], fb=values["fb"], port_area=values["port_area"], Ql=USUAL_LEAKAGE)
        return Loudspeaker(driver=self._drivers[values["driver"]], box=box, cabin=self._cabins[values["cabin"]])

    def curves(self, values):
        """Find the loudest steady tone and every limit."""
        self.loudest = found = self._loudest(values, GRID)
        allowed, cabin = found.levels, self._cabins[values["cabin"]]
        return {
            "loudest": {"level": found.level, "volts": found.voltage},
            "travel": {"level": allowed.get(TRAVEL), "volts": found.voltages.get(TRAVEL)},
            "amplifier": {"level": np.minimum(allowed[CLIPPING], allowed[CURRENT])},
            "port": {"level": allowed.get(PORT)},
            "heat": {"level": allowed.get(HEAT)},
            "noise": {"level": self._drawn_noise() if cabin else None},
        }

    def _drawn_noise(self):
        return noise_level(self._noise, GRID)

    def _loudest(self, values, frequency):
        return maximum_level(self.parts(values), frequency, amplifier=self._amplifiers[values["amplifier"]])

    def move(self, values):
        """Move the curves, and the band of what drivers and boxes of one type play at most."""
        super().move(values)
        drawn = as_it_comes(self.parts(values)).members(DRAWN)
        found = maximum_level(drawn, GRID, amplifier=self._amplifiers[values["amplifier"]])
        self.stack.shade("loudest", GRID, {"level": between(found.level), "volts": between(found.voltage)})

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        volume = VOLUME.shown(system).text(values["volume"])
        tuned = f", tuned to {values['fb']:.1f} Hz" if values["kind"] == VENTED else ""
        noise = f"; noise at {NOISE} (invented)" if self._cabins[values["cabin"]] else ""
        return (
            f"{values['driver']} in {volume}, {values['kind']}{tuned}; {values['amplifier']}; steady tone, 1 m, "
            f"{values['cabin']}; {CAUTION_SPEED:.0f} m/s in the port{noise}"
        )

    def _protected(self, values):
        """Say which high-pass keeps the cone within its travel at all of the amplifier's volts, and what it costs."""
        speaker, volts = self.parts(values), float(self._amplifiers[values["amplifier"]].voltage)
        if speaker.driver.xmax is None:
            return
        ways = []
        for order in (2, 4):
            try:
                found = protective_high_pass(speaker, volts, order=order, low=GRID[0])
            except ValueError:
                continue
            if found is None:
                return
            half_power = ""  # a vehicle may lift the level so that there is none
            lowest = found.f3_without if np.isfinite(found.f3_without) else GRID[0]
            if np.isfinite([found.f3, found.f3_without]).all():
                half_power = f"half power then at {found.f3:.0f} in place of {found.f3_without:.0f} Hz, "
            ways.append(
                f"{6 * order} dB an octave at {found.corner:.0f} Hz ({half_power}the longest group delay from "
                f"{lowest:.0f} Hz up {found.delay / ms:.0f} in place of {found.delay_without / ms:.0f} ms)"
            )
        told = " or ".join(ways) or f"none up to {HIGHEST_CORNER:.0f} Hz"
        yield f"What keeps the cone within its travel at all of {volts:.1f} volts is a high-pass: {told}."

    def sentences(self, values, system):
        """Say what the curves amount to."""
        found, at = self.loudest, self._loudest(values, [LISTEN])
        yield f"What gives first: {in_words(found)}."
        volts = VOLTAGE.metric.text(float(at.voltage[0]))
        yield f"At {LISTEN:.0f} Hz the loudest steady tone is {float(at.level[0]):.1f} dB, with {volts}: {at.gives[0]}."
        yield from self._protected(values)
        if found.unknown:
            yield f"Not known, and so no limit here: {'; '.join(found.unknown)}."
        yield self._heard(values)
        loud = GRID[found.level >= LOUD_ANYWHERE]
        if len(loud):
            yield f"From {loud[0]:.0f} Hz it passes {LOUD_ANYWHERE:.0f} dB: protect your ears, at any frequency."
        yield BUILDS

    def _heard(self, values):
        """Say which tone is the lowest that is heard inside: the noise of a vehicle counts in a vehicle only."""
        if not self._cabins[values["cabin"]]:
            return "Choose a vehicle to see what is heard above the noise in it."
        heard = lowest_heard(GRID, self.loudest.level, self._noise)
        told = f"is {heard:.0f} Hz" if np.isfinite(heard) else "does not exist"
        return f"In a noise like the minibus's at {NOISE} (invented) the lowest tone that can be heard {told}."


def how_loud(drivers=None, amplifiers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, amplifiers, cabins : dict, optional
        Name: Driver, name: Amplifier or HeadUnit, name: Cabin; your own and the invented ones of the demonstration
        by default. Stand-ins are left out, and so are drivers that resonate above 100 Hz; an amplifier that can be
        bridged is offered so too.
    """
    drivers = offered().drivers if drivers is None else drivers
    amplifiers = offered().amplifiers | offered().head_units if amplifiers is None else amplifiers
    cabins = offered().cabins if cabins is None else cabins
    deep, missed = fit_for("how_loud", "driver", drivers)
    sources = with_bridged(amplifiers)
    controls = [
        Slider("volume", "Net volume", VOLUME, 6 * litre, 80 * litre, 30 * litre, 0.5 * litre),
        Slider("fb", "Tuning of the vented box", FREQUENCY, 20.0, 80.0, 33.0, 0.5),
        Choice("kind", "Box", (VENTED, SEALED), VENTED),
        Choice("driver", "Driver", deep, first_of("200 mm bass", deep), left_out(missed, "driver")),
        Choice("amplifier", "Amplifier", sources, first_of(AMPLIFIER, sources), left_out({}, "amplifier", "head_unit")),
        Slider("port_area", "Port area", AREA, 10 * cm2, 150 * cm2, 50 * cm2, 1 * cm2),
        Choice("cabin", "Where it plays", (OPEN_AIR, *cabins), OPEN_AIR, left_out({}, "cabin")),
    ]
    return Page(controls, HowLoud(deep, sources, cabins), first=2, helpers=[Litres(controls[0], controls[3], deep)])


DENSITY = round(float(Air().density), 2)  # kg/m3, as the lesson prints it


def how_loud_sheet():
    """Return the exercises of the lesson on how loud a box plays."""
    return Sheet((half_the_frequency(), volts_of_an_amplifier(), volume_for_a_level()))


def half_the_frequency():
    """Ask how loud a closed box may play at half the frequency within its travel."""
    return Exercise(
        question=(
            "Within its linear travel a driver in a tight closed box reaches {level} at 60 Hz. How much does it reach "
            "at 30 Hz?"
        ),
        numbers={"level": Drawn(LEVEL, tuple(range(94, 110)))},
        answer=lambda given: given["level"] - 20 * np.log10(4),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "half the frequency was taken for half the pressure",
                lambda given: given["level"] - 20 * np.log10(2),
                "Pressure follows the acceleration of the cone, and that goes with the square of the frequency.",
            ),
            Misconception(
                "the travel was taken to double",
                lambda given: given["level"] + 20 * np.log10(4),
                "The travel is used up already: what it makes at half the frequency is less.",
            ),
        ),
        tolerance=0.2,
    )


def volts_of_an_amplifier():
    """Ask for the highest voltage of an amplifier."""
    return Exercise(
        question="An amplifier gives {power} into {load}. How many volts r.m.s. is that at its output?",
        numbers={"power": Drawn(POWER, (25, 40, 50, 60, 75, 80, 100, 150)), "load": Drawn(RESISTANCE, (2, 4))},
        answer=lambda given: float(_amplifier(given).voltage),
        kind=VOLTAGE,
        misconceptions=(
            Misconception(
                "watts were divided by ohms",
                lambda given: np.sqrt(given["power"] / given["load"]),
                "That is the current. Power is voltage squared over resistance.",
            ),
            Misconception(
                "the peak of the tone was given",
                lambda given: float(_amplifier(given).voltage) * np.sqrt(2),
                "The peak is 1.41 times the r.m.s. value that was asked for.",
            ),
        ),
    )


def volume_for_a_level():
    """Ask for the volume of air that a level at some frequency takes."""
    return Exercise(
        question=(
            "{level} at {frequency}, at 1 m before a large wall: how much air must the cone move one way, at the peak "
            "(area times travel)?"
        ),
        numbers={
            "level": Drawn(LEVEL, (88, 90, 92, 95, 98, 100)),
            "frequency": Drawn(FREQUENCY, (30, 35, 40, 50)),
        },
        answer=lambda given: _moved(given, 1.0),
        kind=AIR_MOVED,
        misconceptions=(
            Misconception(
                "the level was taken for that of the peak",
                lambda given: _moved(given, 1 / np.sqrt(2)),
                "Levels are r.m.s.: the peak pressure is 1.41 times as much.",
            ),
            Misconception(
                "the frequency was not squared",
                lambda given: _moved(given, 1.0) * 2 * np.pi * given["frequency"],
                "Pressure follows the acceleration: (2 pi f) squared times the volume.",
            ),
        ),
        tolerance=0.03,
    )


def _amplifier(given):
    return Amplifier(power=given["power"], rated_impedance=given["load"], minimum_load=given["load"])


def _moved(given, factor):
    """Volume of air for a level whose pressure is multiplied by a factor, with the density as printed. [m3]"""
    return factor * float(air_moved(given["level"], given["frequency"]) * Air().density) / DENSITY
