"""The cabin against the uniform pressure law of a cavity.

Source: P. M. Morse, K. U. Ingard, "Theoretical Acoustics" (1968), chap. 9 (from memory): far below its first mode a
closed cavity has one pressure, p = rho c^2 dV/V. The numbers are derived for rho = 1.2041 kg/m3, c = 343.2 m/s.
"""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Cabin, Driver, Loudspeaker, SealedBox, frequencies, solve

SOURCE = "Morse & Ingard 1968, derived"
TIGHT = Cabin(length=2.5, width=1.2, height=1.0, volume=3.0, flex=1.0, leak=0.0)


@pytest.fixture(scope="module")
def loudspeaker(reference_air):
    driver = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4, air=reference_air)
    return Loudspeaker(driver=driver, box=SealedBox(volume=0.03))


def with_cabin(loudspeaker, cabin):
    return dataclasses.replace(loudspeaker, cabin=cabin)


def test_uniform_pressure(loudspeaker, reference_air, agreement):
    # |p| is (1 + (f/fc)^4)^(1/2) of the cavity's: 5e-10 at 0.4 Hz, 3e-6 in its phase, which is why f is so low.
    f = np.array([0.01, 0.1, 0.4])
    response = solve(with_cabin(loudspeaker, TIGHT), f, air=reference_air)
    volume = response.cone_velocity / (2j * np.pi * f) * loudspeaker.driver.Sd
    uniform = reference_air.density * reference_air.sound_speed**2 * volume / 3.0
    magnitude = np.max(abs(abs(response.pressure) / abs(uniform) - 1))
    agreement("pressure in a tight cabin, far below its corner", SOURCE, magnitude, 1e-9)
    assert np.max(abs(response.pressure / uniform - 1)) < 8e-3  # sqrt2 f/fc, out of phase: the sign is right
    assert np.all((response.pressure / uniform).real > 0)


def test_uniform_pressure_number(loudspeaker, reference_air, agreement):
    # Quoted (derived): 100 cm3 peak in 3 m3 make 4.7275 Pa peak, 104.462 dB.
    response = solve(with_cabin(loudspeaker, TIGHT), 0.1, air=reference_air)
    scale = 1e-4 / (response.excursion[0] * loudspeaker.driver.Sd)
    peak = np.sqrt(2) * abs(response.pressure[0]) * scale
    assert abs(peak - 4.7275) <= 6e-5
    level = response.level[0] + 20 * np.log10(scale)
    agreement("level of 100 cm3 in 3 m3", SOURCE, abs(level - 104.462), 6e-4, "dB")


@pytest.mark.parametrize(("solid_angle", "quoted"), [(2 * np.pi, 79.05), (4 * np.pi, 111.8)])
def test_corner(solid_angle, quoted, reference_air):
    # Quoted (derived): f = (c/2 pi) sqrt(2 pi r/V), 3 m3 and 1 m: 79.05 Hz; against a source in full space 111.8 Hz.
    corner = TIGHT.corner(1.0, reference_air, solid_angle)
    assert abs(corner / quoted - 1) <= 5e-4


def gain(loudspeaker, cabin, f, air):
    free, inside = (solve(with_cabin(loudspeaker, c), f, air=air) for c in (None, cabin))
    return inside.pressure / free.pressure


def test_gain(loudspeaker, reference_air, agreement):
    # |G|^2 = 1 + (fc/f)^4; the (fc/f)^4 alone is the cavity against the half space. 23.87 dB of it at 20 Hz (quoted).
    f = frequencies(1, 500)
    square = abs(gain(loudspeaker, TIGHT, f, reference_air)) ** 2
    fc = TIGHT.corner(1.0, reference_air)
    exact = 1 + (fc / f) ** 4
    agreement("gain of a tight cabin", SOURCE, np.max(abs(square / exact - 1)), 1e-9)
    at_20 = abs(gain(loudspeaker, TIGHT, 20.0, reference_air)[0]) ** 2
    assert abs(10 * np.log10(at_20 - 1) - 23.87) <= 6e-3


def test_gain_does_not_depend_on_what_plays(loudspeaker, reference_air):
    other = dataclasses.replace(loudspeaker, box=SealedBox(volume=0.05, Ql=5, Qa=20), source_resistance=1.0)
    f = frequencies(5, 200, 6)
    gains = [gain(ls, TIGHT, f, reference_air) for ls in (loudspeaker, other)]
    assert np.max(abs(gains[0] / gains[1] - 1)) < 1e-9


def test_soft_panels_and_leak(loudspeaker, reference_air):
    # Panels of flex k act as a volume k V; a leak of corner fl takes off 1/(1 + fl/(j f)) and nothing else.
    f = frequencies(2, 300, 12)
    soft = dataclasses.replace(TIGHT, flex=1.5)
    larger = dataclasses.replace(TIGHT, volume=4.5)
    assert np.allclose(*(gain(loudspeaker, c, f, reference_air) for c in (soft, larger)), rtol=1e-12)
    leaky = dataclasses.replace(TIGHT, leak=15.0)
    ratio = gain(loudspeaker, leaky, f, reference_air) / gain(loudspeaker, TIGHT, f, reference_air)
    assert np.max(abs(ratio * (1 + 15.0 / (1j * f)) - 1)) < 1e-9


def test_rule_by_length(loudspeaker, reference_air):
    # The rise starts where half a wave fits the length, c/2L: half power there; 12 dB an octave below it.
    # Quoted (derived): 2.5 m, 68.640 Hz.
    cabin = dataclasses.replace(TIGHT, law="length")
    corner = cabin.corner(1.0, reference_air)
    assert corner == pytest.approx(68.640, abs=6e-4)
    assert cabin.first_resonance(reference_air) == pytest.approx(68.640, abs=6e-4)
    square = abs(gain(loudspeaker, cabin, [corner, 0.01, 0.02], reference_air)) ** 2
    assert square[0] == pytest.approx(2, rel=1e-9)
    assert square[1] / square[2] == pytest.approx(16, rel=1e-6)
