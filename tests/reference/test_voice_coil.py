"""The blocked impedance of the voice coil against published models.

Sources (from memory; check numbers derived): J. Vanderkooy, "A model of loudspeaker driver impedance incorporating eddy
currents in the pole structure", JAES 37(3) (1989) 119-128, Z = K sqrt(jw); J. R. Wright, "An empirical model for
loudspeaker motor impedance", JAES 38(10) (1990) 749-754; W. M. Leach, "Loudspeaker voice-coil inductance losses",
JAES 50(6) (2002) 442-450, Z = K (jw)^n (seen in the page); M. Dodd, W. Klippel, J. Oclee-Brown, "Voice coil impedance
as a function of frequency and displacement", AES 117th Convention (2004), Z = jw Le + (jw L2 || R2) (seen in the page).
"""

import numpy as np
import pytest

from lumpedbox import Driver, InfiniteBaffle, Loudspeaker, frequencies, solve

RE = 3.4


def blocked(frequency, air, **coil):
    """Return Ze - Re: the impedance in an infinite baffle without what the moving cone adds, Bl^2/Zm."""
    driver = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=RE, air=air, **coil)
    s = 2j * np.pi * np.atleast_1d(frequency)
    mechanical = s * driver.Mms + driver.Rms + 1 / (s * driver.Cms)
    impedance = solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), frequency, air=air).impedance
    return impedance - driver.Bl**2 / mechanical - RE


def test_inductance_beside_a_damped_inductance(reference_air, agreement):
    # Quoted (derived): Le .5 mH, L2 1 mH, R2 5 ohm: 100 Hz .077729 + j.932710; 795.775 Hz 2.5 + j5;
    # 20 kHz 4.992097 + j63.030482. Six decimals, but 795.775 Hz is R2/(2 pi L2) rounded: 2e-6 ohm more.
    f = np.array([100.0, 795.775, 20e3])
    quoted = np.array([0.077729 + 0.932710j, 2.5 + 5j, 4.992097 + 63.030482j])
    ours = blocked(f, reference_air, Le=0.5e-3, L2=1e-3, R2=5.0)
    parts = max(np.max(abs((ours - quoted).real)), np.max(abs((ours - quoted).imag)))
    agreement("coil with L2 across R2", "Dodd, Klippel & Oclee-Brown 2004, derived", parts, 2.6e-6, "ohm")


@pytest.mark.parametrize("n", [0.5, 0.6, 0.75])
def test_power_law(n, reference_air, agreement):
    # Phase 90 n degrees, slope 20 n dB a decade, at every frequency; K at 1 rad/s. n = 0.5 is Vanderkooy's.
    f = np.array([20.0, 200.0, 2e3, 20e3])
    ours = blocked(f, reference_air, semi_inductance=0.05, semi_exponent=n)
    assert np.max(abs(np.degrees(np.angle(ours)) - 90 * n)) < 1e-6
    assert np.max(abs(np.diff(20 * np.log10(abs(ours))) - 20 * n)) < 1e-6
    reached = np.max(abs(abs(ours) / (0.05 * (2 * np.pi * f) ** n) - 1))
    agreement("coil with K sⁿ", "Vanderkooy 1989, Leach 2002", reached, 1e-9)


def test_wrights_form(reference_air, agreement):
    # Kr w^n + j Ki w^n is the same for Kr = K cos(n pi/2), Ki = K sin(n pi/2) (derived).
    f, n, K = frequencies(20, 20e3, 3), 0.68, 0.03
    ours = blocked(f, reference_air, semi_inductance=K, semi_exponent=n)
    w = 2 * np.pi * f
    real, imaginary = K * np.cos(n * np.pi / 2) * w**n, K * np.sin(n * np.pi / 2) * w**n
    reached = np.max(abs(ours - (real + 1j * imaginary)) / abs(ours))
    agreement("coil with K sⁿ", "Wright 1990, derived", reached, 1e-9)


def test_exponent_from_two_points(reference_air):
    # n = ln(Z2/Z1)/ln(f2/f1) (derived)
    ours = abs(blocked(np.array([1e3, 10e3]), reference_air, semi_inductance=0.02, semi_exponent=0.63))
    assert np.log(ours[1] / ours[0]) / np.log(10) == pytest.approx(0.63, abs=1e-9)


def test_all_terms_stand_in_series(reference_air):
    terms = {"Le": {"Le": 0.5e-3}, "L2": {"L2": 1e-3, "R2": 5.0}, "K": {"semi_inductance": 0.02, "semi_exponent": 0.6}}
    f = frequencies(10, 20e3, 3)
    together = blocked(f, reference_air, **{name: value for term in terms.values() for name, value in term.items()})
    one_by_one = sum(blocked(f, reference_air, **term) for term in terms.values())
    assert np.max(abs(together / one_by_one - 1)) < 1e-9
