"""Numbers for a student's own questions."""

from __future__ import annotations

from ...parts.driver import Driver
from ...units import cm2, litre


def one_of(random, values):
    """Return one of some numbers."""
    return float(random.choice(values))


def driver_and_volume(random):
    """Return fs, Vas and the volume of a box, by name. [Hz], [m3], [m3]"""
    return {
        "fs": one_of(random, (28, 32, 36, 40, 45)),
        "Vas": one_of(random, (24, 30, 36, 45, 60)) * litre,
        "volume": one_of(random, (12, 15, 18, 20, 25)) * litre,
    }


def driver_of(given):
    """Return a driver with the fs and Vas of such numbers."""
    return Driver.from_thiele_small(fs=given["fs"], Qes=0.5, Qms=5.0, Vas=given["Vas"], Sd=200 * cm2, Re=3.4)
