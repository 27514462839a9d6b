"""Exercises of the lesson on closed boxes."""

from __future__ import annotations

import numpy as np

from ...design.alignments import closed_volume
from ...parts.box import SealedBox
from ...parts.driver import Driver
from ...parts.variants import with_total_q
from ...units import cm2
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import FREQUENCY, PLAIN, QUALITY, VOLUME
from .kinds import NUMBER

DRIVER_AND_VOLUME = {
    "fs": Drawn(FREQUENCY, (28, 32, 36, 40, 45)),
    "Vas": Drawn(VOLUME, (24, 30, 36, 45, 60)),
    "volume": Drawn(VOLUME, (12, 15, 18, 20, 25)),
}
SPRINGS = Step(
    "alpha",
    NUMBER,
    lambda at: at["Vas"] / at["volume"],
    "Compare the two springs, air and suspension: α = Vas / V = {Vas} / {volume} = {alpha}.",
)


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((q_in_a_box(), filled(), vas_from_a_box(), volume_for_q()), "closed_box")


def q_in_a_box():
    """Ask for Qtc in a box."""
    return Exercise(
        question="A driver has Qts = {Qts} and Vas = {Vas}. What is Qtc in a tight closed box of {volume}?",
        numbers={
            "Qts": Drawn(QUALITY, (0.35, 0.4, 0.45, 0.5)),
            "Vas": DRIVER_AND_VOLUME["Vas"],
            "volume": DRIVER_AND_VOLUME["volume"],
        },
        answer=lambda given: float(SealedBox(volume=given["volume"]).Qtc(_of_total_q(given))),
        kind=QUALITY,
        misconceptions=(
            Misconception(
                "the square root was forgotten",
                lambda given: given["Qts"] * (1 + given["Vas"] / given["volume"]),
                "Q grows as the resonance does: with the root of the stiffness.",
            ),
            Misconception(
                "the suspension's own spring was forgotten",
                lambda given: given["Qts"] * np.sqrt(given["Vas"] / given["volume"]),
                "The air's spring comes on top of the suspension's: 1 + Vas / V.",
            ),
        ),
        steps=(
            SPRINGS,
            Step(
                "Qtc",
                QUALITY,
                lambda at: at["Qts"] * np.sqrt(1 + at["alpha"]),
                "Qtc = Qts · √(1 + α) = {Qts} · √(1 + {alpha}) = {Qtc}.",
            ),
        ),
    )


STEPS_OF_FILLED = (
    Step(
        "seems",
        VOLUME,
        lambda at: at["filling"] * at["volume"],
        "The box seems larger: {filling} · {volume} = {seems}.",
    ),
    Step(
        "alpha",
        NUMBER,
        lambda at: at["Vas"] / at["seems"],
        "Compare the two springs, air and suspension: α = {Vas} / {seems} = {alpha}.",
    ),
    Step(
        "fc",
        FREQUENCY,
        lambda at: at["fs"] * np.sqrt(1 + at["alpha"]),
        "fc = fs · √(1 + α) = {fs} · √(1 + {alpha}) = {fc}.",
    ),
)


def filled():
    """Ask for the resonance in a box with filling."""
    return Exercise(
        question=(
            "A driver has fs = {fs} and Vas = {Vas}. In a closed box of {volume} filling makes the air seem {filling} "
            "times as large. Where is the resonance?"
        ),
        numbers=DRIVER_AND_VOLUME | {"filling": Drawn(PLAIN, (1.2, 1.3, 1.4))},
        answer=closed_box_resonance,
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the suspension was taken to grow softer too",
                lambda given: closed_box_resonance(given | {"filling": 1.0}) / np.sqrt(given["filling"]),
                "Filling softens the spring of the air, and nothing else.",
            ),
            Misconception(
                "the filling was taken to make the box smaller",
                lambda given: driver_of(given).fs * np.sqrt(1 + given["filling"] * given["Vas"] / given["volume"]),
                "Filling keeps the air from warming when it is squeezed: it gives way more easily.",
            ),
        ),
        steps=STEPS_OF_FILLED,
        tolerance=0.01,
    )


STEPS_OF_VAS_FROM_A_BOX = (
    Step(
        "stiffer",
        NUMBER,
        lambda at: (at["fc"] / at["fs"]) ** 2,
        "How many times as stiff is it in the box? ({fc} / {fs})² = {stiffer}.",
    ),
    Step(
        "alpha",
        NUMBER,
        lambda at: at["stiffer"] - 1,
        "One of that is the suspension's own. The rest is the air's: α = {stiffer} − 1 = {alpha}.",
    ),
    Step(
        "Vas",
        VOLUME,
        lambda at: at["alpha"] * at["volume"],
        "α = Vas / V, so Vas = {alpha} · {volume} = {Vas}.",
    ),
)


def vas_from_a_box():
    """Ask for Vas from the two frequencies where the impedance peaks."""
    return Exercise(
        question=(
            "The impedance of a driver peaks at {fs} in free air, and at {fc} on a tight test box of {volume}. What is "
            "its Vas?"
        ),
        numbers={
            "fs": Drawn(FREQUENCY, (28, 32, 36, 40)),
            "fc": Drawn(FREQUENCY, (58, 61.5, 65, 68.5)),
            "volume": DRIVER_AND_VOLUME["volume"],
        },
        answer=lambda given: given["volume"] * ((given["fc"] / given["fs"]) ** 2 - 1),
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the square was forgotten",
                lambda given: given["volume"] * (given["fc"] / given["fs"] - 1),
                "The stiffness grows with the square of the frequency.",
            ),
            Misconception(
                "all of the stiffness was put down to the air",
                lambda given: given["volume"] * (given["fc"] / given["fs"]) ** 2,
                "Part of it is the suspension's own: it was there in free air.",
            ),
        ),
        steps=STEPS_OF_VAS_FROM_A_BOX,
    )


STEPS_OF_VOLUME_FOR_Q = (
    Step(
        "stiffer",
        NUMBER,
        lambda at: (at["Qtc"] / at["Qts"]) ** 2,
        "How many times as stiff must it be? (Qtc / Qts)² = ({Qtc} / {Qts})² = {stiffer}.",
    ),
    Step(
        "alpha",
        NUMBER,
        lambda at: at["stiffer"] - 1,
        "The air's share of that: α = {stiffer} − 1 = {alpha}.",
    ),
    Step(
        "volume",
        VOLUME,
        lambda at: at["Vas"] / at["alpha"],
        "α = Vas / V, so V = {Vas} / {alpha} = {volume}.",
    ),
)


def volume_for_q():
    """Ask for the volume that gives a Qtc."""
    return Exercise(
        question="A driver has Qts = {Qts} and Vas = {Vas}. How big must a tight closed box be for Qtc = {Qtc}?",
        numbers={
            "Qts": Drawn(QUALITY, (0.35, 0.4, 0.45, 0.5)),
            "Qtc": Drawn(QUALITY, (0.6, 0.7, 0.8, 0.9)),
            "Vas": DRIVER_AND_VOLUME["Vas"],
        },
        answer=lambda given: closed_volume(_of_total_q(given), Qtc=given["Qtc"]),
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the square was forgotten",
                lambda given: given["Vas"] / (given["Qtc"] / given["Qts"] - 1),
                "Q grows with the square root of 1 + Vas / V.",
            ),
            Misconception(
                "the suspension's own spring was forgotten",
                lambda given: given["Vas"] / (given["Qtc"] / given["Qts"]) ** 2,
                "The air's spring comes on top of the suspension's: 1 + Vas / V.",
            ),
        ),
        steps=STEPS_OF_VOLUME_FOR_Q,
    )


def driver_of(given):
    """Return a driver with the fs and Vas of such numbers."""
    return Driver.from_thiele_small(fs=given["fs"], Qes=0.5, Qms=5.0, Vas=given["Vas"], Sd=200 * cm2, Re=3.4)


def _of_total_q(given):
    return with_total_q(driver_of(given | {"fs": 30.0}), given["Qts"])  # whatever fs


def closed_box_resonance(given):
    """Return the resonance of such a driver in a closed box of such a volume, filled or not. [Hz]"""
    box = SealedBox(volume=given["volume"], filling=given.get("filling", 1.0))
    return float(box.resonance(driver_of(given)))
