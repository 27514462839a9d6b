"""Kinds of quantity that only exercises print, and steps that several of them begin with."""

from __future__ import annotations

import numpy as np

from ..kit.exercises import Step
from ..kit.systems import same

METRE = same("m")
SQUARE_METRE = same("m²")
CUBIC_METRE = same("m³")
PASCAL = same("Pa")
NUMBER = same("")
METRE_PER_SECOND = same("m/s")
METRE_PER_NEWTON = same("m/N")
SECOND = same("s", decimals=4)
RADII = same("radii", decimals=2)
SLOPE = same("dB/octave", decimals=0)
STIFFNESS = same("kPa", 1e3, 0)
KILOHM = same("kilohm", 1e3, 1)
MILLIVOLT = same("mV", 1e-3, 1)
INDUCTANCE = same("mH", 1e-3, 2)
OCTAVES = same("octaves", decimals=2)
AMPERE = same("A", decimals=1)
MILLIOHM = same("mΩ", 1e-3, 1)
OHM_PER_KILOMETRE = same("Ω/km", 1e-3, 2)
PERCENT = same("%", 1e-2, 0)


def converted(name, found, what, kind=METRE):
    """Return the step that turns a number into another unit; where both read alike there is nothing to say."""
    return Step(found, kind, lambda at: at[name], f"{what}: {{{name}}} = {{{found}}}.", same_as=name)


SPEED_AS_C = converted("speed", "c", "The speed of sound in metres a second", METRE_PER_SECOND)
VOLUME_AND_AREA = (
    converted("volume", "V", "The volume in cubic metres", CUBIC_METRE),
    converted("diameter", "d", "The diameter in metres"),
    SPEED_AS_C,
    Step("S", SQUARE_METRE, lambda at: np.pi * at["d"] ** 2 / 4, "The area: π · ({d})² / 4 = {S}."),
)
