"""Exercises of the lesson on sealed and vented boxes."""

from __future__ import annotations

import numpy as np

from ...parts.port import Port, end_correction
from ...units import mm
from ..kit.drawn import SPEED_OF_SOUND, Drawn, Follows
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import FREQUENCY, LENGTH, LEVEL, VOLUME
from .closed_box import DRIVER_AND_VOLUME, SPRINGS, closed_box_resonance
from .kinds import METRE, NUMBER, OCTAVES, RADII, VOLUME_AND_AREA


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((sealed_resonance(), steeper(), port_in_another_box(), port_length()), "sealed_or_vented")


def sealed_resonance():
    """Ask for the resonance of a driver in a sealed box."""
    return Exercise(
        question="A driver has fs = {fs} and Vas = {Vas}. Where is its resonance in a sealed box of {volume}?",
        numbers=DRIVER_AND_VOLUME,
        answer=closed_box_resonance,
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
        steps=(
            SPRINGS,
            Step(
                "fc",
                FREQUENCY,
                lambda at: at["fs"] * np.sqrt(1 + at["alpha"]),
                "fc = fs · √(1 + α) = {fs} · √(1 + {alpha}) = {fc}.",
            ),
        ),
    )


def steeper():
    """Ask by how much a vented box is softer than a sealed one far down."""
    return Exercise(
        question=(
            "Far down a sealed box falls by 12 dB an octave, a vented one by 24. Both play alike at {high}. How much "
            "softer is the vented one at {low}? (Take the slopes as straight.)"
        ),
        numbers={"high": Drawn(FREQUENCY, (28, 30, 32, 36, 40)), "low": Drawn(FREQUENCY, (12, 14, 16, 18, 20))},
        answer=lambda given: 12 * float(np.log2(given["high"] / given["low"])),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "all of the vented box's fall was given",
                lambda given: 24 * float(np.log2(given["high"] / given["low"])),
                "The sealed box falls as well. What lies between the two slopes?",
            ),
            Misconception(
                "the ratio of the frequencies was taken for octaves",
                lambda given: 12 * given["high"] / given["low"],
                "An octave is a doubling: count how often you can halve.",
            ),
        ),
        steps=(
            Step(
                "octaves",
                OCTAVES,
                lambda at: float(np.log2(at["high"] / at["low"])),
                "How many octaves is it down? log({high} / {low}) / log(2) = {octaves}.",
            ),
            Step(
                "softer",
                LEVEL,
                lambda at: (24 - 12) * at["octaves"],
                "Each octave adds the difference of the slopes: (24 − 12) dB · {octaves} = {softer}.",
            ),
        ),
        tolerance=0.3,
    )


def port_in_another_box():
    """Ask where the same port tunes a box of another volume."""
    return Exercise(
        question="A port tunes a box of {volume} to {fb}. Where does the same port tune a box of {other}?",
        numbers={
            "volume": Drawn(VOLUME, (20, 25, 30, 40)),
            "fb": Drawn(FREQUENCY, (32, 36, 40, 45)),
            "other": Drawn(VOLUME, (12, 15, 18, 35, 50)),
        },
        answer=lambda given: float(_some_port().tuned(given["fb"], given["volume"]).tuning(given["other"])),
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the square root was forgotten",
                lambda given: given["fb"] * given["volume"] / given["other"],
                "A resonance follows the square root of the stiffness.",
            ),
            Misconception(
                "the ratio was turned round",
                lambda given: given["fb"] * np.sqrt(given["other"] / given["volume"]),
                "Less air is a stiffer spring, and that resonates higher.",
            ),
        ),
        steps=(
            Step(
                "stiffer",
                NUMBER,
                lambda at: at["volume"] / at["other"],
                "How many times as stiff is the air in the other box? {volume} / {other} = {stiffer}.",
            ),
            Step(
                "tuning",
                FREQUENCY,
                lambda at: at["fb"] * np.sqrt(at["stiffer"]),
                "The tuning follows the root of that: {fb} · √{stiffer} = {tuning}.",
            ),
        ),
    )


STEPS_OF_PORT_LENGTH = (
    *VOLUME_AND_AREA,
    Step(
        "L",
        METRE,
        lambda at: (at["c"] / (2 * np.pi * at["fb"])) ** 2 * at["S"] / at["V"],
        "Solve the equation of fb for the length with the air at both ends: "
        "L′ = ({c} / (2π · {fb}))² · {S} / {V} = {L}.",
    ),
    Step(
        "ends",
        METRE,
        lambda at: (at["flush"] + at["free"]) * at["d"] / 2,
        "The air at both ends: ({flush} + {free}) · {d} / 2 = {ends}.",
    ),
    Step("length", LENGTH, lambda at: at["L"] - at["ends"], "The tube is what is left: {L} − {ends} = {length}."),
)


def port_length():
    """Ask for the length of a port that is neither a mere hole nor longer than a box."""
    return Exercise(
        question=(
            "How long is a round port, {diameter} wide, that tunes {volume} to {fb}? Its outer end is flush with the "
            "wall, its inner end stands free. Sound travels at {speed}. The air that moves along makes the port seem "
            "longer: by {flush} at the flush end, and by {free} at the free end."
        ),
        numbers={
            "diameter": Drawn(LENGTH, (50, 60, 68, 75)),
            "volume": Drawn(VOLUME, (15, 20, 25, 30)),
            "fb": Drawn(FREQUENCY, (32, 36, 40, 44)),
            "speed": SPEED_OF_SOUND,
            "flush": Follows(RADII, lambda given: end_correction("flush", 1.0, np.inf)),
            "free": Follows(RADII, lambda given: end_correction("free", 1.0, np.inf)),
        },
        answer=_length,
        kind=LENGTH,
        misconceptions=(
            Misconception(
                "the air that moves along at both ends was forgotten",
                lambda given: Port(diameter=given["diameter"], length=_length(given)).effective_length,
                "Some air outside either end moves along: the tube itself is shorter.",
            ),
            Misconception(
                "the diameter was taken for the radius",
                lambda given: _length(given | {"diameter": 2 * given["diameter"]}),
                "The area is pi d squared over four.",
            ),
        ),
        steps=STEPS_OF_PORT_LENGTH,
        sensible=lambda given: 60 * mm < _length(given) < 600 * mm,
    )


def _some_port():
    return Port(diameter=100 * mm, length=0.0)


def _length(given):
    return float(Port(diameter=given["diameter"], length=0.0).length_for(given["fb"], given["volume"]))
