"""The power of the sound, the edge of a step, and how the model goes over into the printed sensitivity."""

import dataclasses

import numpy as np
import pytest
from scipy.special import sici

from lumpedbox import Air, InfiniteBaffle, Loudspeaker, SealedBox, VentedBox, frequencies, solve
from lumpedbox.tables import demo_drivers
from tests.unit.conftest import HEAVY


@pytest.mark.parametrize("solid_angle", [np.pi, 2 * np.pi, 4 * np.pi])
@pytest.mark.parametrize("box", [SealedBox(volume=0.03, Ql=7), VentedBox(volume=0.04, fb=35)])
def test_the_power_of_the_sound_passes_through_a_far_sphere(solid_angle, box, driver):
    """Intensity p^2/(rho c) times the area Omega r^2 that it passes through (P. M. Morse, "Vibration and Sound" (1948),
    from memory): whatever the angle, energy is conserved."""
    speaker = Loudspeaker(driver=driver, box=box, solid_angle=solid_angle)
    response = solve(speaker, frequencies(15, 300, 6), distance=3.0)
    passing = abs(response.pressure) ** 2 / (Air().density * Air().sound_speed) * solid_angle * 3.0**2
    assert response.radiated_power == pytest.approx(passing, rel=1e-9)


def test_the_edge_of_a_step_is_that_of_a_raised_cosine():
    """A flat spectrum under 1/2 (1 + cos(pi f/B)) has the step response 1/2 + Si(2 pi B t)/2 pi + (Si(2 pi B t + pi) +
    Si(2 pi B t - pi))/4 pi (its inverse transform, by hand). A mass far above its resonance is flat."""
    B = 1000.0
    time, pressure = solve(Loudspeaker(driver=HEAVY, box=InfiniteBaffle()), 100.0).step_response(1.0, B)
    height = Air().density * HEAVY.Sd * HEAVY.Bl * 2.83 / HEAVY.Re / HEAVY.Mms / (2 * np.pi)
    edge = time < 4 / B
    angle = 2 * np.pi * B * time[edge]
    Si = [sici(angle + turn)[0] for turn in (0.0, np.pi, -np.pi)]
    expected = 0.5 + Si[0] / (2 * np.pi) + (Si[1] + Si[2]) / (4 * np.pi)
    assert pressure[edge] / height == pytest.approx(expected, abs=1e-3)


def test_the_model_goes_over_into_the_printed_sensitivity_within_an_octave():
    """A raised cosine in dB over the octave around the limit: at 2^(1/4) of it the print counts (1 + sin 45)/2, at
    2^(-1/4) the rest to one, and half an octave off only one of the two counts."""
    sheet = dataclasses.replace(demo_drivers()["165 mm panel"], sensitivity=90.0)
    speaker = Loudspeaker(driver=sheet, box=InfiniteBaffle())
    limit = float(solve(speaker, 100.0).validity_limit)
    share = np.array([0.0, (1 - np.sqrt(0.5)) / 2, 0.5, (1 + np.sqrt(0.5)) / 2, 1.0])
    response = solve(speaker, limit * 2.0 ** np.array([-0.5, -0.25, 0.0, 0.25, 0.5]))
    assert np.min(abs(response.level - 90.0)) > 0.5, "they differ, so that it shows"
    assert response.treble_level == pytest.approx((1 - share) * response.level + share * 90.0, abs=1e-9)


@pytest.mark.parametrize("duration", [0.02, 0.5, 6.0])
def test_a_step_is_followed_for_as_long_as_asked(duration, driver):
    time, pressure = solve(Loudspeaker(driver=driver, box=SealedBox(volume=0.03)), 50.0).step_response(duration, 100.0)
    assert time[0] == 0
    assert time[-1] == pytest.approx(duration, abs=1 / 100)
    assert pressure.shape == time.shape
