"""Exercises of the lesson on sealed and vented boxes."""

from __future__ import annotations

import numpy as np

from ...parts.box import SealedBox
from ...parts.port import Port
from ...units import litre, mm
from ..closed_box import resonance
from ..exercises import Exercise, Misconception, Sheet
from ..systems import FREQUENCY, LENGTH, VOLUME
from .draw import driver_and_volume, driver_of, one_of


def sealed_or_vented_sheet():
    """Return the exercises of the lesson on sealed and vented boxes."""
    return Sheet((sealed_resonance(), port_length()))


def sealed_resonance():
    """Ask for the resonance of a driver in a sealed box."""
    return Exercise(
        draw=driver_and_volume,
        ask=lambda given, system: (
            f"A driver has fs = {given['fs']:.0f} Hz and Vas = {VOLUME.shown(system).text(given['Vas'])}. "
            f"Where is its resonance in a sealed box of {VOLUME.shown(system).text(given['volume'])}?"
        ),
        answer=lambda given: float(resonance(driver_of(given), SealedBox(volume=given["volume"]))),
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
            "diameter": one_of(random, (50, 60, 68, 75)) * mm,
            "volume": one_of(random, (15, 20, 25, 30)) * litre,
            "fb": one_of(random, (32, 36, 40, 44)),
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


def _port(given):
    return Port(diameter=given["diameter"], length=0.0).tuned(given["fb"], given["volume"])
