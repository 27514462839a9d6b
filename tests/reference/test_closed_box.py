"""Sealed boxes against Small's closed-box function.

Source: R. H. Small, "Closed-box loudspeaker systems", Part I JAES 20(10) (1972) 798-808, Part II 21(1) (1973) 11-18
(citation from memory); data/closed_box.csv and the numbers below are derived from his function, apart from lumpedbox.
"""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from scipy.optimize import brentq

from lumpedbox import Driver, Loudspeaker, SealedBox, frequencies, reference_efficiency, solve

SOURCE = "Small 1972, derived"
FC, ALPHA = 45.0, 2.0
SIX_DECIMALS = 1e-6  # half a unit of the sixth decimal, and as much again for what that of Qtc moves


@pytest.fixture(scope="module")
def rows(table):
    return table("closed_box")


@pytest.fixture(scope="module")
def family(systems, rows, reference_air):
    return systems.sealed(rows["Qtc"], ALPHA, reference_air, FC)


@pytest.mark.parametrize("name", ["f3", "f6", "f10"])
def test_cutoffs(name, rows, family, reference_air, agreement):
    # lumpedbox solves for a cutoff to 1e-9, far closer than the table tells it.
    response = solve(family, frequencies(10, 400), air=reference_air)
    reached = np.max(abs(getattr(response, name) / FC - rows[f"{name}_over_fc"]))
    agreement("f3, f6 and f10 of sealed boxes over fc, Qtc 0.4 to 2", SOURCE, reached, SIX_DECIMALS)


def test_peaks(rows, family, reference_air, agreement):
    peaked = np.isfinite(rows["fpeak_over_fc"])
    dense = solve(family, frequencies(10, 2000, 96), air=reference_air)
    above = dense.level.max(axis=-1) - dense.reference_level
    there = solve(family, FC * rows["fpeak_over_fc"][peaked], air=reference_air)
    peak = np.diagonal(there.level[peaked]) - there.reference_level[peaked]
    agreement("peak of sealed boxes", SOURCE, np.max(abs(peak - rows["peak_dB"][peaked])), SIX_DECIMALS, "dB")
    assert (above[peaked] <= peak + 1e-9).all()
    assert (above[peaked] >= peak - 2e-3).all()
    assert (above[~peaked] <= 1e-9).all()  # no hump


def test_excursion(rows, family, reference_air, agreement):
    # At 0 Hz the force Bl V/Re meets the suspension and the air: x = sqrt2 V Bl Cms/(Re (1 + alpha)).
    d = family.driver
    at_rest = np.sqrt(2) * 2.83 * d.Bl * d.Cms / (d.Re * (1 + ALPHA))
    largest = np.maximum(rows["fxmax_over_fc"], 1e-4)
    there = solve(family, FC * largest, air=reference_air)
    reached = np.max(abs(np.diagonal(there.excursion) / at_rest - rows["peak_excursion_ratio_to_dc"]))
    agreement("largest excursion of sealed boxes over that at 0 Hz", SOURCE, reached, SIX_DECIMALS)
    dense = solve(family, frequencies(1, 200, 96), air=reference_air)
    assert (dense.excursion.max(axis=-1) <= np.diagonal(there.excursion) * (1 + 1e-9)).all()


def test_group_delay_at_fc(rows, family, reference_air, agreement):
    delay = solve(family, FC, air=reference_air).group_delay[:, 0]
    reached = np.max(abs(delay * FC - rows["group_delay_at_fc_times_fc"]))
    agreement("group delay of sealed boxes at fc, times fc", SOURCE, reached, SIX_DECIMALS)


def test_cutoff_in_closed_form(systems, reference_air, agreement):
    # f3/fc = sqrt((b + sqrt(b^2 + 4))/2), b = 1/Q^2 - 2
    Q = np.geomspace(0.3, 3, 40)
    b = 1 / Q**2 - 2
    exact = np.sqrt((b + np.sqrt(b**2 + 4)) / 2)
    response = solve(systems.sealed(Q, ALPHA, reference_air, FC), frequencies(10, 1000), air=reference_air)
    agreement("f3 of sealed boxes", "Small 1972, closed form", systems.difference(response.f3 / FC, exact), 1e-8)


def test_chebyshev_alignments(systems, reference_air):
    # Quoted (derived): ripple dB, Qtc, f3/fc. Five decimals; dripple/dQ is at most 9 dB, 4.5e-5 dB for half a unit.
    ripple, Q, f3 = np.array(
        [
            (0.1, 0.76736, 0.92760),
            (0.5, 0.86372, 0.85041),
            (1.0, 0.95652, 0.80282),
            (2.0, 1.12865, 0.75005),
            (3.0, 1.30469, 0.71972),
        ]
    ).T
    response = solve(systems.sealed(Q, ALPHA, reference_air, FC), frequencies(10, 1000, 480), air=reference_air)
    hump = response.level.max(axis=-1) - response.reference_level
    assert np.max(abs(hump - ripple)) <= 1e-4
    assert np.max(abs(response.f3 / FC - f3)) <= 1.1e-5


def test_worked_example(reference_air, agreement):
    # Quoted (derived): fs 30 Hz, Qts 0.4, Vas 60 l, Vb 30 l: fc 51.9615 Hz, Qtc 0.692820, f3 53.0551 Hz.
    driver = Driver.from_thiele_small(fs=30, Qes=0.5, Qms=2, Vas=0.06, Sd=0.03, Re=6, air=reference_air)
    loudspeaker = Loudspeaker(driver=driver, box=SealedBox(volume=0.03))
    response = solve(loudspeaker, frequencies(10, 1000), air=reference_air)
    agreement("fc and f3 of the worked sealed example", SOURCE, abs(response.f3 - 53.0551), 6e-5, "Hz")
    fc = resonance(loudspeaker, reference_air)
    agreement("fc and f3 of the worked sealed example", SOURCE, abs(fc - 51.9615), 6e-5, "Hz")
    # pressure over that of the pass-band is Qtc at fc
    Qtc = 10 ** ((solve(loudspeaker, fc, air=reference_air).level[0] - response.reference_level) / 20)
    assert abs(Qtc - 0.692820) <= 6e-7


def resonance(loudspeaker, air):
    """Return the frequency at which the impedance is real. [Hz]"""
    fs = loudspeaker.driver.fs
    return brentq(lambda f: solve(loudspeaker, f, air=air).impedance[0].imag, 1.01 * fs, 200 * fs, xtol=1e-12)


def test_isothermal_limit_of_filling(reference_air, agreement):
    # Filling at most makes the air isothermal, gamma times as compliant. gamma is 1.402 (CoolProp); lumpedbox stops at
    # a round 1.4, 0.14 % of compliance and 0.07 % of fc short of it, hence the tolerance.
    gamma = PropsSI("CPMASS", "T", 293.15, "P", 101325, "Air") / PropsSI("CVMASS", "T", 293.15, "P", 101325, "Air")
    driver = Driver.from_thiele_small(fs=20, Qes=0.5, Qms=2, Vas=1, Sd=0.02, Re=6, air=reference_air)
    empty, full = (
        resonance(Loudspeaker(driver=driver, box=SealedBox(volume=0.0005, filling=k)), reference_air)
        for k in (1.0, 1.4)
    )
    reached = abs(full / empty * np.sqrt(gamma) - 1)
    agreement("fc in a box that dominates, filled to the isothermal limit", "CoolProp, cp/cv", reached, 1e-3)
    with pytest.raises(ValueError, match="filling"):
        SealedBox(volume=0.01, filling=1.41)


# Efficiency and displacement-limited power. Small 1972 gives 2.0e-6 and 0.85 for Qtc = 1.1 (from memory); the numbers
# below are derived for his air, rho 1.18 kg/m3 and c 345 m/s, and confirm him.
K_EFFICIENCY = {1 / np.sqrt(2): 1.35962e-6, 1 / np.sqrt(3): 8.0906e-7, 1.0: 1.97872e-6, 1.13171: 2.0187e-6}
K_POWER = {1 / np.sqrt(2): 0.42420, 1.0: 0.83293, 1.1: 0.84815}


def test_efficiency_constant(systems, small_air, agreement):
    # eta0 = k(Q) k(C) k(G) f3^3 Vb with k(Q) = Qtc/Qec and k(C) = alpha/(1 + alpha); half a unit of the fifth figure.
    Qtc, constants = np.array(list(K_EFFICIENCY)), np.array(list(K_EFFICIENCY.values()))
    loudspeaker = systems.sealed(Qtc, ALPHA, small_air, FC)
    response = solve(loudspeaker, frequencies(10, 1000), air=small_air)
    d = loudspeaker.driver
    eta0 = reference_efficiency(d, small_air)
    k = eta0 / (response.f3**3 * loudspeaker.box.volume) * d.Qes / d.Qts * (1 + ALPHA) / ALPHA
    agreement("efficiency constant of sealed boxes", SOURCE, systems.difference(k, constants), 8e-5)


def test_displacement_limited_power(systems, small_air, agreement):
    # P_AR = k_P f3^4 Vd^2: acoustic power of the pass-band when the largest excursion fills Vd. Five figures; the
    # excursion is taken from a grid of 480 points an octave, whose miss of the maximum is below 2e-5.
    Qtc, constants = np.array(list(K_POWER)), np.array(list(K_POWER.values()))
    loudspeaker = systems.sealed(Qtc, ALPHA, small_air, FC)
    response = solve(loudspeaker, frequencies(0.1, 1000, 480), air=small_air)
    displaced = loudspeaker.driver.Sd * response.excursion.max(axis=-1)
    pressure = 20e-6 * 10 ** (response.reference_level / 20)
    power = 2 * np.pi * pressure**2 / (small_air.density * small_air.sound_speed)
    reached = systems.difference(power / (response.f3**4 * displaced**2), constants)
    agreement("displacement-limited power of sealed boxes", SOURCE, reached, 6e-5)
