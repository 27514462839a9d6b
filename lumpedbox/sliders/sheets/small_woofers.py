"""Exercises of the lesson on small woofers."""

from __future__ import annotations

import numpy as np

from ...parts.box import InfiniteBaffle
from ...parts.driver import Driver
from ...parts.loudspeaker import Loudspeaker
from ...response import solve
from ...units import cm2, mm
from ..exercises import Exercise, Misconception, Sheet
from ..systems import AREA, LEVEL, TRAVEL
from .draw import one_of


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


def _reach(given, frequency):
    """Highest level within the linear travel of a driver with the given area and travel. [dB]"""
    driver = Driver(Re=4.0, Bl=6.0, Mms=0.02, Cms=1e-3, Rms=1.0, Sd=given["area"], xmax=given["travel"])
    speaker = Loudspeaker(driver=driver, box=InfiniteBaffle())
    return float(solve(speaker, frequency).level_within_travel[0])


def _cone(random):
    return {
        "area": one_of(random, (54, 88, 137, 214, 346)) * cm2,
        "travel": one_of(random, (2, 3, 4, 5, 6)) * mm,
        "frequency": one_of(random, (40, 50, 63, 80)),
    }
