"""Openings that are heard from places of their own, in half space."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Air, Loudspeaker, System, VentedBox, frequencies, poles_and_zeros, solve
from lumpedbox.circuit import listening
from lumpedbox.units import cm2, litre

EAR = (1.2, 0.3, 0.9)
VENTED = VentedBox(volume=30 * litre, fb=38, port_area=60 * cm2, Ql=10)


@pytest.fixture
def loudspeaker(driver):
    return Loudspeaker(driver=driver, box=VENTED, position=(0.1, 0.2, 0.3), port_position=(0.1, 0.9, 0.3))


def heard(loudspeaker, frequency, ear=EAR):
    return solve(System(channels=(loudspeaker,), ear=ear), frequency)


def test_each_opening_is_heard_from_its_own_place(loudspeaker):
    """p = sum s rho U_i e^{-s (r_i - r)/c} / (2 pi r_i), by hand from the outward flows (derived)."""
    f, air = frequencies(10, 400), Air()
    response = heard(loudspeaker, f).responses[0]
    s, cone = 2j * np.pi * f, np.hypot(np.hypot(1.1, 0.1), 0.6)
    expected = 0
    for aperture in response.apertures:
        place = (0.1, 0.9, 0.3) if aperture.name == "port" else (0.1, 0.2, 0.3)
        assert aperture.place == place
        r = np.sqrt(np.sum(np.square(np.subtract(place, EAR))))
        expected += s * air.density * aperture.flow / (2 * np.pi * r) * np.exp(-s * (r - cone) / air.sound_speed)
    assert [aperture.name for aperture in response.apertures] == ["cone", "port", "leak"]
    assert response.pressure == pytest.approx(expected, rel=1e-9)


def test_group_delay_of_several_openings_is_exact(loudspeaker):
    """Against differences of the phase, from frequencies 0.002 Hz apart."""
    f = np.array([20.0, 38.0, 60.0, 150.0])
    delay = heard(loudspeaker, f).responses[0].group_delay
    above, below = (heard(loudspeaker, f + step).pressure for step in (1e-3, -1e-3))
    assert delay == pytest.approx(-np.angle(above / below) / (2 * np.pi * 2e-3), rel=1e-6)


def test_a_port_at_the_cone_changes_no_bit(loudspeaker):
    f = frequencies(10, 400)
    at_the_cone = dataclasses.replace(loudspeaker, port_position=loudspeaker.position)
    plain = dataclasses.replace(loudspeaker, port_position=None)
    assert np.array_equal(heard(at_the_cone, f).pressure, heard(plain, f).pressure)
    assert np.array_equal(solve(loudspeaker, f).pressure, solve(plain, f).pressure), "without an ear, one distance"


def test_a_family_of_places(loudspeaker):
    f = frequencies(20, 200, 6)
    family = dataclasses.replace(loudspeaker, port_position=(0.1, np.array([0.2, 0.9]), 0.3))
    both = heard(family, f).pressure
    assert both.shape == (2, len(f))
    assert both[1] == pytest.approx(heard(loudspeaker, f).pressure, rel=1e-12)


def test_a_longer_path_of_the_box_itself(loudspeaker, monkeypatch):
    """A box may know how much further one of its openings is: r/(r + path), and path/c later; or that it is unheard."""
    f, air = np.array([30.0, 100.0]), Air()
    plain = solve(loudspeaker, f)
    flows = {aperture.name: aperture.flow for aperture in plain.apertures}
    s = 2j * np.pi * f
    further = np.exp(-s * 0.35 / air.sound_speed) / 1.35
    monkeypatch.setattr(listening, "path_of", lambda box, opening: {"port": 0.35}.get(opening, 0.0))
    expected = s * air.density / (2 * np.pi) * (flows["cone"] + flows["leak"] + flows["port"] * further)
    assert solve(loudspeaker, f).pressure == pytest.approx(expected, rel=1e-9)
    with pytest.raises(ValueError, match=r"^cone and port and leak are heard over paths of their own"):
        poles_and_zeros(loudspeaker)
    monkeypatch.setattr(listening, "path_of", lambda box, opening: {"port": None}.get(opening, 0.0))
    expected = s * air.density / (2 * np.pi) * (flows["cone"] + flows["leak"])
    assert solve(loudspeaker, f).pressure == pytest.approx(expected, rel=1e-9)


def test_a_port_position_needs_the_place_of_the_cone(driver):
    with pytest.raises(ValueError, match=r"^Loudspeaker\.position is missing \(where its cone is\)"):
        Loudspeaker(driver=driver, box=VENTED, port_position=(0, 0, 0))
