"""Exercises of the lesson on sealed and vented boxes."""

from __future__ import annotations

import numpy as np

from ...air import Air
from ...parts.box import SealedBox
from ...parts.driver import Driver
from ...parts.port import Port, end_correction
from ...units import cm2, mm
from ..closed_box import resonance
from ..drawn import Drawn, Follows
from ..exercises import Exercise, Misconception, Sheet
from ..systems import FREQUENCY, LENGTH, SPEED, VOLUME, same

DRIVER_AND_VOLUME = {
    "fs": Drawn(FREQUENCY, (28, 32, 36, 40, 45)),
    "Vas": Drawn(VOLUME, (24, 30, 36, 45, 60)),
    "volume": Drawn(VOLUME, (12, 15, 18, 20, 25)),
}
RADII = same("radii", decimals=2)


def sealed_or_vented_sheet():
    """Return the exercises of the lesson on sealed and vented boxes."""
    return Sheet((sealed_resonance(), port_length()))


def driver_of(given):
    """Return a driver with the fs and Vas of such numbers."""
    return Driver.from_thiele_small(fs=given["fs"], Qes=0.5, Qms=5.0, Vas=given["Vas"], Sd=200 * cm2, Re=3.4)


def sealed_resonance():
    """Ask for the resonance of a driver in a sealed box."""
    return Exercise(
        question="A driver has fs = {fs} and Vas = {Vas}. Where is its resonance in a sealed box of {volume}?",
        numbers=DRIVER_AND_VOLUME,
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
            "speed": Follows(SPEED, lambda given: Air().sound_speed),
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
        sensible=lambda given: 60 * mm < _length(given) < 600 * mm,
    )


def _length(given):
    return float(Port(diameter=given["diameter"], length=0.0).length_for(given["fb"], given["volume"]))
