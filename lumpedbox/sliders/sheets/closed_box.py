"""Exercises of the lesson on closed boxes."""

from __future__ import annotations

import numpy as np

from ...parts.box import SealedBox
from ..closed_box import resonance
from ..drawn import Drawn
from ..exercises import Exercise, Misconception, Sheet
from ..systems import FREQUENCY, PLAIN, QUALITY, VOLUME
from .sealed_or_vented import DRIVER_AND_VOLUME, driver_of


def closed_box_sheet():
    """Return the exercises of the lesson on closed boxes."""
    return Sheet((volume_for_q(), filled(), vas_from_a_box()))


def volume_for_q():
    """Ask for the volume that gives a Qtc."""
    return Exercise(
        question="A driver has Qts = {Qts} and Vas = {Vas}. How big must a tight closed box be for Qtc = {Qtc}?",
        numbers={
            "Qts": Drawn(QUALITY, (0.35, 0.4, 0.45, 0.5)),
            "Qtc": Drawn(QUALITY, (0.6, 0.7, 0.8, 0.9)),
            "Vas": Drawn(VOLUME, (24, 30, 36, 45, 60)),
        },
        answer=lambda given: given["Vas"] / ((given["Qtc"] / given["Qts"]) ** 2 - 1),
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
    )


def filled():
    """Ask for the resonance in a box with filling."""
    return Exercise(
        question=(
            "A driver has fs = {fs} and Vas = {Vas}. In a closed box of {volume} filling makes the air seem {filling} "
            "times as large. Where is the resonance?"
        ),
        numbers=DRIVER_AND_VOLUME | {"filling": Drawn(PLAIN, (1.2, 1.3, 1.4))},
        answer=lambda given: _resonance(given, given["filling"]),
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the suspension was taken to grow softer too",
                lambda given: _resonance(given, 1.0) / np.sqrt(given["filling"]),
                "Filling softens the spring of the air, and nothing else.",
            ),
            Misconception(
                "the filling was taken to make the box smaller",
                lambda given: driver_of(given).fs * np.sqrt(1 + given["filling"] * given["Vas"] / given["volume"]),
                "Filling keeps the air from warming when it is squeezed: it gives way more easily.",
            ),
        ),
        tolerance=0.01,
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
            "volume": Drawn(VOLUME, (12, 15, 18, 20, 25)),
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
    )


def _resonance(given, filling):
    return float(resonance(driver_of(given), SealedBox(volume=given["volume"], filling=filling)))
