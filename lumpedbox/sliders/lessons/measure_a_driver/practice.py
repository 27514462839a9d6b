"""Invented drivers to practise on: the library reads the meters, with the noise of a cheap one."""

from __future__ import annotations

import dataclasses

import numpy as np

from ....parts.box import InfiniteBaffle, SealedBox
from ....parts.loudspeaker import Loudspeaker
from ....response import solve
from ....tables import demo_drivers
from ....units import gram, litre, mm
from .steps import AGAIN, BOX, MASS, PRACTICE, RESISTOR

SHEETS = ("165 mm panel", "130 mm step well", "200 mm bass")
NOISE, VOLTS = 0.01, 1.0
KNOWN, LINE, VOLUME = 8.2, 10.0, 15 * litre
WEIGHTS = (8 * gram, 5 * gram, 25 * gram)
WRONG_LINE, SOFTER = 1.05, 1.08  # what the second and the third hide: a resistor in line, a suspension that warmed up


def driver_of(name):
    """Return the driver of a name: not quite what its sheet says, and its coil as K s^n."""
    number = PRACTICE.index(name)
    sheet, draw = demo_drivers()[SHEETS[number]], np.random.default_rng(number)
    factors = {one: np.exp(0.06 * draw.standard_normal()) for one in ("Mms", "Cms", "Rms", "Bl")}
    return dataclasses.replace(
        sheet,
        **{one: getattr(sheet, one) * factor for one, factor in factors.items()},
        Le=0.0,
        semi_inductance=sheet.Re * 0.55 / (2 * np.pi * 1000) ** 0.65,
        semi_exponent=0.65,
        spread=None,
    )


def typed_for(name):
    """Return what stands in the fields for a practice driver, by key."""
    driver, number = driver_of(name), PRACTICE.index(name)
    return {
        "what": name,
        "line": f"{LINE:g}",
        "Re": f"{driver.Re:.2f}",
        "diameter": f"{2 * np.sqrt(driver.Sd / np.pi) / mm:.0f} mm",
        "sheet": SHEETS[number],
        "known": f"{KNOWN:g}",
        "mass": f"{WEIGHTS[number] / gram:g} g",
        "volume": f"{VOLUME / litre:g} L",
    }


def volts(name, key, frequency, count=0):
    """Return what the meter shows at driver and resistor, on one of the curves after some readings. [V]"""
    number, place = PRACTICE.index(name), (RESISTOR, "free_air", MASS, BOX, AGAIN).index(key)
    draw = np.random.default_rng((number, place, round(10 * frequency), count))
    line = LINE * (WRONG_LINE if number == 1 else 1.0)
    load = KNOWN if key == RESISTOR else _impedance(name, key, frequency)
    whole = abs(load + line)
    return tuple(
        VOLTS * abs(part) / whole * np.exp(NOISE / np.sqrt(2) * draw.standard_normal()) for part in (load, line)
    )


def _impedance(name, key, frequency):
    driver, box = driver_of(name), InfiniteBaffle()
    if PRACTICE.index(name) == 2 and key not in ("free_air", RESISTOR):
        driver = dataclasses.replace(driver, Cms=driver.Cms * SOFTER)
    if key == MASS:
        driver = dataclasses.replace(driver, Mms=driver.Mms + WEIGHTS[PRACTICE.index(name)])
    elif key == BOX:
        box = SealedBox(volume=VOLUME)
    return complex(solve(Loudspeaker(driver=driver, box=box), np.array([frequency])).impedance[0])
