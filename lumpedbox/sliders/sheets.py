"""The exercises of each lesson."""

from __future__ import annotations

import numpy as np

from ..hearing import a_weighting
from ..parts.box import InfiniteBaffle
from ..parts.driver import Driver
from ..parts.loudspeaker import Loudspeaker
from ..parts.port import Port
from ..response import solve
from ..units import cm2, litre, mm
from .exercises import Exercise, Misconception, Sheet
from .systems import AREA, FREQUENCY, LENGTH, LEVEL, TRAVEL, VOLUME


def _one_of(random, values):
    return float(random.choice(values))


def decibel_sheet():
    """Return the exercises of the lesson on decibels."""
    return Sheet((more_power(), meter()))


def more_power():
    """Ask for decibels from a ratio of powers."""
    return Exercise(
        draw=lambda random: {"times": _one_of(random, (2, 3, 4, 5, 6, 8, 12, 15, 20))},
        ask=lambda given, system: (
            f"An amplifier gives way to one of {given['times']:.0f} times the power. "
            "By how many dB does the highest level rise?"
        ),
        answer=lambda given: 10 * np.log10(given["times"]),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "power was taken for pressure",
                lambda given: 20 * np.log10(given["times"]),
                "Ten times the power is ten decibels; ten times the pressure is twenty.",
            ),
            Misconception(
                "the ratio itself was taken for decibels",
                lambda given: given["times"],
                "Decibels are a logarithm: twice the power is about three of them.",
            ),
        ),
        tolerance=0.1,
    )


def meter():
    """Ask for what a meter set to A reads of a low tone."""
    return Exercise(
        draw=lambda random: {
            "level": random.integers(80, 111) * 1.0,
            "frequency": _one_of(random, (31.5, 40, 50, 63, 80)),
        },
        ask=lambda given, system: (
            f"A tone of {given['frequency']:g} Hz has a level of {given['level']:.0f} dB. "
            "What does a meter set to A read? (Read it off the page above, or use the formula.)"
        ),
        answer=lambda given: given["level"] + float(a_weighting(given["frequency"])),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the meter was taken as unweighted",
                lambda given: given["level"],
                "Set to A, the meter takes something off every low tone.",
            ),
            Misconception(
                "the weighting was taken with the wrong sign",
                lambda given: given["level"] - float(a_weighting(given["frequency"])),
                "The weighting is negative at low frequencies: the meter reads less.",
            ),
        ),
        tolerance=0.5,
    )


def _reach(given, frequency):
    """Highest level within the linear travel of a driver with the given area and travel. [dB]"""
    driver = Driver(Re=4.0, Bl=6.0, Mms=0.02, Cms=1e-3, Rms=1.0, Sd=given["area"], xmax=given["travel"])
    speaker = Loudspeaker(driver=driver, box=InfiniteBaffle())
    return float(solve(speaker, frequency).level_within_travel[0])


def _cone(random):
    return {
        "area": _one_of(random, (54, 88, 137, 214, 346)) * cm2,
        "travel": _one_of(random, (2, 3, 4, 5, 6)) * mm,
        "frequency": _one_of(random, (40, 50, 63, 80)),
    }


def small_woofer_sheet():
    """Return the exercises of the lesson on small woofers."""
    return Sheet((reach(), octave_lower()))


def reach():
    """Ask for the highest level that a cone reaches within its travel."""
    return Exercise(
        draw=_cone,
        ask=lambda given, system: (
            f"A cone of {AREA.shown(system).text(given['area'])} has {TRAVEL.shown(system).text(given['travel'])} "
            f"of linear travel, one way. How loud can it play a steady {given['frequency']:.0f} Hz "
            "in a large panel, at 1 m?"
        ),
        answer=lambda given: _reach(given, given["frequency"]),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the peak travel was taken as an r.m.s. value",
                lambda given: _reach(given, given["frequency"]) + 20 * np.log10(np.sqrt(2)),
                "Travel is counted to the peak; a level is made of r.m.s. values.",
            ),
            Misconception(
                "the sound was sent into the space behind the panel too",
                lambda given: _reach(given, given["frequency"]) - 20 * np.log10(2),
                "The panel sends all of it to the front: half space, 2 pi.",
            ),
        ),
        tolerance=0.4,
    )


def octave_lower():
    """Ask for the travel that the same level takes an octave lower."""
    return Exercise(
        draw=_cone,
        ask=lambda given, system: (
            f"A cone moves {TRAVEL.shown(system).text(given['travel'])} at {given['frequency']:.0f} Hz. "
            f"How far must it move to play {given['frequency'] / 2:g} Hz as loud?"
        ),
        answer=lambda given: (
            given["travel"] * 10 ** ((_reach(given, given["frequency"]) - _reach(given, given["frequency"] / 2)) / 20)
        ),
        kind=TRAVEL,
        misconceptions=(
            Misconception(
                "the travel was taken to grow as the period does",
                lambda given: 2 * given["travel"],
                "The pressure follows the acceleration of the cone, not its speed.",
            ),
            Misconception(
                "the same travel was taken to give the same pressure",
                lambda given: given["travel"],
                "The same travel at half the frequency is much softer.",
            ),
        ),
    )


def sealed_or_vented_sheet():
    """Return the exercises of the lesson on sealed and vented boxes."""
    return Sheet((sealed_resonance(), port_length()))


def sealed_resonance():
    """Ask for the resonance of a driver in a sealed box."""
    return Exercise(
        draw=lambda random: {
            "fs": _one_of(random, (28, 32, 36, 40, 45)),
            "Vas": _one_of(random, (24, 30, 36, 45, 60)) * litre,
            "volume": _one_of(random, (12, 15, 18, 20, 25)) * litre,
        },
        ask=lambda given, system: (
            f"A driver has fs = {given['fs']:.0f} Hz and Vas = {VOLUME.shown(system).text(given['Vas'])}. "
            f"Where is its resonance in a sealed box of {VOLUME.shown(system).text(given['volume'])}?"
        ),
        answer=_sealed_resonance,
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the suspension's own spring was forgotten",
                lambda given: given["fs"] * np.sqrt(given["Vas"] / given["volume"]),
                "The air's spring comes on top of the suspension's: 1 + Vas / V.",
            ),
            Misconception(
                "the square root was forgotten",
                lambda given: given["fs"] * (1 + given["Vas"] / given["volume"]),
                "A resonance follows the square root of the stiffness.",
            ),
        ),
    )


def port_length():
    """Ask for the length of a port."""
    return Exercise(
        draw=lambda random: {
            "diameter": _one_of(random, (50, 60, 68, 75)) * mm,
            "volume": _one_of(random, (15, 20, 25, 30)) * litre,
            "fb": _one_of(random, (32, 36, 40, 44)),
        },
        ask=lambda given, system: (
            f"How long is a round port, {LENGTH.shown(system).text(given['diameter'])} wide, that tunes "
            f"{VOLUME.shown(system).text(given['volume'])} to {given['fb']:.0f} Hz? "
            "Its outer end is flush with the wall, its inner end stands free."
        ),
        answer=lambda given: _port(given).length,
        kind=LENGTH,
        misconceptions=(
            Misconception(
                "the air that moves along at both ends was forgotten",
                lambda given: _port(given).effective_length,
                "Some air outside either end moves along: the tube itself is shorter.",
            ),
            Misconception(
                "the diameter was taken for the radius",
                lambda given: _port({**given, "diameter": 2 * given["diameter"]}).length,
                "The area is pi d squared over four.",
            ),
        ),
    )


def _sealed_resonance(given):
    driver = Driver.from_thiele_small(fs=given["fs"], Qes=0.5, Qms=5.0, Vas=given["Vas"], Sd=200 * cm2, Re=3.4)
    return float(driver.fs * np.sqrt(1 + driver.Vas / given["volume"]))


def _port(given):
    return Port(diameter=given["diameter"], length=0.0).tuned(given["fb"], given["volume"])
