"""Exercises of the lesson on closed boxes."""

from __future__ import annotations

import numpy as np

from ...parts.box import SealedBox
from ...units import litre
from ..closed_box import resonance
from ..exercises import Exercise, Misconception, Sheet
from ..systems import FREQUENCY, QUALITY, VOLUME
from .draw import driver_and_volume, driver_of, one_of


def closed_box_sheet():
    """Return the exercises of the lesson on closed boxes."""
    return Sheet((volume_for_q(), filled(), vas_from_a_box()))


def volume_for_q():
    """Ask for the volume that gives a Qtc."""
    return Exercise(
        draw=lambda random: {
            "Qts": one_of(random, (0.35, 0.4, 0.45, 0.5)),
            "Qtc": one_of(random, (0.6, 0.7, 0.8, 0.9)),
            "Vas": one_of(random, (24, 30, 36, 45, 60)) * litre,
        },
        ask=lambda given, system: (
            f"A driver has Qts = {QUALITY.metric.text(given['Qts'])} and "
            f"Vas = {VOLUME.shown(system).text(given['Vas'])}. How big must a tight closed box be for "
            f"Qtc = {QUALITY.metric.text(given['Qtc'])}?"
        ),
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
        draw=lambda random: driver_and_volume(random) | {"filling": one_of(random, (1.2, 1.3, 1.4))},
        ask=lambda given, system: (
            f"A driver has fs = {given['fs']:.0f} Hz and Vas = {VOLUME.shown(system).text(given['Vas'])}. In a closed "
            f"box of {VOLUME.shown(system).text(given['volume'])} filling makes the air seem {given['filling']:.1f} "
            "times as large. Where is the resonance?"
        ),
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
        draw=_measured,
        ask=lambda given, system: (
            f"The impedance of a driver peaks at {given['fs']:.0f} Hz in free air, and at {given['fc']:.1f} Hz on a "
            f"tight test box of {VOLUME.shown(system).text(given['volume'])}. What is its Vas?"
        ),
        answer=lambda given: given["Vas"],
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


def _measured(random):
    given = driver_and_volume(random)
    return given | {"fc": _resonance(given, 1.0)}


def _resonance(given, filling):
    return float(resonance(driver_of(given), SealedBox(volume=given["volume"], filling=filling)))
