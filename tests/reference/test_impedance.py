"""Impedance at the terminals: what a driver's parameters are measured from.

Sources (from memory): R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) (1972) 383-395;
A. N. Thiele, "Loudspeakers in vented boxes", Proc. IRE Australia 22 (1961) 487-508.
The synthetic driver and its numbers are derived; no real product is meant.
"""

import dataclasses

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from lumpedbox import Driver, InfiniteBaffle, Loudspeaker, SealedBox, VentedBox, solve

SOURCE = "Small 1972, derived"


def impedance(driver, box, frequency, air):
    return solve(Loudspeaker(driver=driver, box=box), frequency, air=air).impedance


def resonance(driver, box, air, low, high):
    return brentq(lambda f: impedance(driver, box, f, air)[0].imag, low, high, xtol=1e-11)


def test_peak_and_flanks(driver, reference_air, agreement):
    # Quoted (derived): r0 = Zmax/Re = 12.11111; |Z| = Re sqrt(r0) at 24.878529 and 49.239245 Hz. The flanks fall at up
    # to .9 ohm/Hz, so that half a microhertz is 5e-7 ohm.
    at_fs, *flanks = abs(impedance(driver, InfiniteBaffle(), [35.0, 24.878529, 49.239245], reference_air))
    assert abs(at_fs / 3.4 - 12.11111) <= 6e-6
    agreement("impedance on the flanks of resonance", SOURCE, max(abs(flanks / (3.4 * np.sqrt(109 / 9)) - 1)), 1e-7)


def test_added_mass(driver, reference_air, agreement):
    # Quoted (derived): +30 g moves fs to 27.990006 Hz.
    heavier = dataclasses.replace(driver, Mms=driver.Mms + 0.03)
    found = resonance(heavier, InfiniteBaffle(), reference_air, 20, 34)
    agreement("resonance with an added mass and in a known volume", SOURCE, abs(found - 27.990006), 6e-7, "Hz")


def test_known_volume(driver, reference_air, agreement):
    # Quoted (derived): in 30 l fct = 60.621778 Hz, Qect = .779423; Vas = Vt (fct Qect/(fs Qes) - 1).
    box = SealedBox(volume=0.03)
    fct = resonance(driver, box, reference_air, 40, 90)
    agreement("resonance with an added mass and in a known volume", SOURCE, abs(fct - 60.621778), 6e-7, "Hz")
    r0 = abs(impedance(driver, box, fct, reference_air)[0]) / driver.Re
    Qmct = driver.Qms * fct / 35  # same mass and loss
    Qect = Qmct / (r0 - 1)
    assert abs(Qect - 0.779423) <= 6e-7
    assert 0.03 * (fct * Qect / (35 * 0.45) - 1) == pytest.approx(0.06, rel=1e-8)


@pytest.mark.parametrize(
    ("Le", "Qms", "Qes", "middle"), [(0.5e-3, 5.0304, 0.45274, 34.888), (1.5e-3, 5.0875, 0.45785, 34.672)]
)
def test_inductance_biases_the_recipe(Le, Qms, Qes, middle, driver, reference_air, agreement):
    # Quoted (derived): reading r0, f1, f2 off |Z| of a coil with inductance gives these. Five figures.
    coil = dataclasses.replace(driver, Le=Le)

    def size(f):
        return abs(impedance(coil, InfiniteBaffle(), f, reference_air)[0])

    peak = minimize_scalar(lambda f: -size(f), bounds=(30, 40), method="bounded", options={"xatol": 1e-9})
    r0 = -peak.fun / coil.Re
    f1, f2 = (brentq(lambda f: size(f) - coil.Re * np.sqrt(r0), *span, xtol=1e-11) for span in ((20, 34), (36, 70)))
    # its Qms uses fs where |Z| is largest
    read_Qms = peak.x * np.sqrt(r0) / (f2 - f1)
    reached = max(abs(read_Qms / Qms - 1), abs(read_Qms / (r0 - 1) / Qes - 1), abs(np.sqrt(f1 * f2) / middle - 1))
    agreement("what the recipe reads off a coil with inductance", SOURCE, reached, 2e-5)


def test_vented_box(reference_air, agreement):
    # Thiele 1961 (derived anew), lossless: fL^2 + fH^2 - fb^2 = (1 + alpha) fs^2, fL fH = fb fs, at the two peaks.
    driver = Driver.from_thiele_small(fs=30, Qes=0.4, Qms=1000, Vas=0.06, Sd=0.03, Re=6, air=reference_air)
    box, fb, alpha = VentedBox(volume=0.04, fb=33.0), 33.0, 1.5
    low, high = (resonance(driver, box, reference_air, *span) for span in ((10, 30), (36, 90)))
    agreement("impedance peaks of a vented box", "Thiele 1961, derived", abs(low * high / (fb * 30) - 1), 1e-9)
    reached = abs((low**2 + high**2 - fb**2) / ((1 + alpha) * 30**2) - 1)
    agreement("impedance peaks of a vented box", "Thiele 1961, derived", reached, 1e-9)
    at_fb = impedance(driver, box, fb, reference_air)[0]
    assert at_fb == pytest.approx(6.0, rel=1e-12)  # the cone stands still
