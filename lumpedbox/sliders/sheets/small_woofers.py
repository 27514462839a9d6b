"""Exercises of the lesson on small woofers."""

from __future__ import annotations

import numpy as np

from ...parts.box import InfiniteBaffle
from ...parts.driver import Driver
from ...parts.loudspeaker import Loudspeaker
from ...response import solve
from ...units import cm2
from ..drawn import Drawn, Follows
from ..exercises import Exercise, Misconception, Sheet
from ..systems import AREA, FREQUENCY, LEVEL, TRAVEL

TRAVEL_AND_FREQUENCY = {"travel": Drawn(TRAVEL, (2, 3, 4, 5, 6)), "frequency": Drawn(FREQUENCY, (40, 50, 63, 80))}


def small_woofer_sheet():
    """Return the exercises of the lesson on small woofers."""
    return Sheet((reach(), octave_lower()))


def reach():
    """Ask for the highest level that a cone reaches within its travel."""
    return Exercise(
        question=(
            "A cone of {area} has {travel} of linear travel, one way. How loud can it play a steady {frequency} in a "
            "large panel, at 1 m?"
        ),
        numbers={"area": Drawn(AREA, (54, 88, 137, 214, 346)), **TRAVEL_AND_FREQUENCY},
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
        question="A cone moves {travel} at {frequency}. How far must it move to play {half} as loud?",
        numbers=TRAVEL_AND_FREQUENCY | {"half": Follows(FREQUENCY, lambda given: given["frequency"] / 2)},
        answer=_as_loud,
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


def _as_loud(given):
    cone = given | {"area": 100 * cm2}  # any will do
    return given["travel"] * 10 ** ((_reach(cone, given["frequency"]) - _reach(cone, given["half"])) / 20)
