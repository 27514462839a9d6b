"""Exercises of the lesson on small woofers."""

from __future__ import annotations

import numpy as np

from ...parts.box import InfiniteBaffle
from ...parts.driver import Driver
from ...parts.loudspeaker import Loudspeaker
from ...response import solve
from ...units import cm2
from ..kit.drawn import Drawn, Follows
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import AIR_MOVED, AREA, FREQUENCY, LEVEL, TRAVEL
from .kinds import NUMBER, PASCAL, SQUARE_METRE, converted

TRAVEL_AND_FREQUENCY = {"travel": Drawn(TRAVEL, (2, 3, 4, 5, 6)), "frequency": Drawn(FREQUENCY, (40, 50, 63, 80))}
AREA_OF_A_CONE = {"area": Drawn(AREA, (54, 88, 137, 214, 346))}
CONE_IN_METRES = (
    converted("area", "S", "The area in square metres", SQUARE_METRE),
    converted("travel", "x", "The travel in metres"),
)


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((air_of_a_cone(), octave_lower(), reach(), travel_of_a_smaller_cone()), "small_woofers")


def air_of_a_cone():
    """Ask how much air a cone moves."""
    return Exercise(
        question="A cone of {area} has {travel} of linear travel, one way. How much air does it move, one way?",
        numbers={**AREA_OF_A_CONE, "travel": Drawn(TRAVEL, (2, 3, 4, 5, 6))},
        answer=lambda given: float(_driver(given).Vd),
        kind=AIR_MOVED,
        misconceptions=(
            Misconception(
                "the way there and back was counted",
                lambda given: 2 * float(_driver(given).Vd),
                "Linear travel is counted one way, from rest.",
            ),
            Misconception(
                "the travel was turned into its r.m.s. value",
                lambda given: float(_driver(given).Vd) / np.sqrt(2),
                "Travel is counted to the peak, and so is the air here.",
            ),
        ),
        steps=(
            *CONE_IN_METRES,
            Step("Vd", AIR_MOVED, lambda at: at["S"] * at["x"], "Area times travel: {S} · {x} = {Vd}."),
        ),
    )


def octave_lower():
    """Ask for the travel that the same level takes an octave lower."""
    return Exercise(
        question="A cone moves {travel} at {frequency}. How far must it move to play {half} just as loud?",
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
        steps=(
            Step(
                "ratio",
                NUMBER,
                lambda at: at["frequency"] / at["half"],
                "How much lower is the tone? {frequency} / {half} = {ratio}.",
            ),
            Step(
                "needed",
                TRAVEL,
                lambda at: at["travel"] * at["ratio"] ** 2,
                "Pressure goes with travel times frequency squared: {travel} · {ratio}² = {needed}.",
            ),
        ),
    )


def reach():
    """Ask for the highest level that a cone reaches within its travel."""
    return Exercise(
        question=(
            "A cone of {area} has {travel} of linear travel, one way. How loud can it play a steady {frequency} in a "
            "large panel, at 1 m?"
        ),
        numbers={**AREA_OF_A_CONE, **TRAVEL_AND_FREQUENCY},
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
        steps=(
            *CONE_IN_METRES,
            Step(
                "p",
                PASCAL,
                lambda at: 1.20 * (2 * np.pi * at["frequency"]) ** 2 * at["S"] * at["x"] / (np.sqrt(2) * 2 * np.pi),
                "The pressure at 1 m: 1.20 kg/m³ · (2π · {frequency})² · {S} · {x} / (√2 · 2π · 1 m) = {p}.",
            ),
            Step(
                "L",
                LEVEL,
                lambda at: 20 * np.log10(at["p"] / 20e-6),
                "As a level: 20 · log({p} / 20 µPa) = {L}.",
            ),
        ),
        tolerance=0.4,
    )


def travel_of_a_smaller_cone():
    """Ask for the travel with which a smaller cone reaches as loud."""
    return Exercise(
        question=(
            "A woofer of {area} has {travel} of linear travel. The one that replaces it has {small}. How much linear "
            "travel must you look for, so that it reaches the same level?"
        ),
        numbers={
            "area": Drawn(AREA, (137, 214, 346)),
            "travel": Drawn(TRAVEL, (3, 4, 5, 6)),
            "small": Drawn(AREA, (54, 88, 120)),
        },
        answer=lambda given: given["travel"] * given["area"] / given["small"],
        kind=TRAVEL,
        misconceptions=(
            Misconception(
                "the diameters were compared",
                lambda given: given["travel"] * np.sqrt(given["area"] / given["small"]),
                "What counts is the air that is moved: area times travel.",
            ),
            Misconception(
                "the same travel was taken to be enough",
                lambda given: given["travel"],
                "The smaller cone moves less air with it.",
            ),
        ),
        steps=(
            Step(
                "ratio",
                NUMBER,
                lambda at: at["area"] / at["small"],
                "How many times the area did the old one have? {area} / {small} = {ratio}.",
            ),
            Step(
                "needed",
                TRAVEL,
                lambda at: at["travel"] * at["ratio"],
                "Area times travel must stay, so the travel grows by that: {travel} · {ratio} = {needed}.",
            ),
        ),
    )


def _driver(given):
    """Return a driver with the given area and travel; the rest is of no account."""
    return Driver(Re=4.0, Bl=6.0, Mms=0.02, Cms=1e-3, Rms=1.0, Sd=given["area"], xmax=given["travel"])


def _reach(given, frequency):
    """Highest level within the linear travel of such a driver. [dB]"""
    return float(solve(Loudspeaker(driver=_driver(given), box=InfiniteBaffle()), frequency).level_within_travel[0])


def _as_loud(given):
    cone = given | {"area": 100 * cm2}  # any will do
    return given["travel"] * 10 ** ((_reach(cone, given["frequency"]) - _reach(cone, given["half"])) / 20)
