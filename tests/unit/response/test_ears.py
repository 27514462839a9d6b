"""A map of ears and a band of ears in a cabin by its resonances."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Air, Cabin, Loudspeaker, System, VentedBox, solve
from lumpedbox.parts.room import room_of
from lumpedbox.parts.room_map import summed_at_ears
from lumpedbox.response.band import between
from lumpedbox.units import cm2, litre
from tests.unit.conftest import BUS, EAR

HATCH = Cabin(length=2.3, width=1.35, height=1.15, law="modes", leak=15, ear=(1.15, 0.4, 0.9))
F = np.array([12.0, 25.0, 40.0, 63.0, 100.0, 140.0])


@pytest.fixture
def loudspeaker(driver):
    box = VentedBox(volume=50 * litre, fb=35, port_area=80 * cm2, Ql=7)
    return Loudspeaker(driver=driver, box=box, cabin=BUS, position=(0.3, 0.2, 0.4), port_position=(0.6, 0.2, 0.2))


def ears_apart(cabin, place, count, seed=1):
    sizes = (cabin.length, cabin.width, cabin.height)
    ears = np.random.default_rng(seed).uniform(0, sizes, (count, 3))
    return ears[np.max(abs(ears - place), axis=1) > 0.4]


@pytest.mark.parametrize("cabin", [BUS, HATCH])
def test_a_map_against_the_closed_form_at_every_ear(cabin):
    """Explicit modes and two terms against the closed form: within 0.25 dB in the deepest dip, 0.01 dB for 95 %."""
    source, f = (0.2, 0.3, 0.25), np.geomspace(10, cabin.modal_limit, 60)
    ears = ears_apart(cabin, source, 150)
    room = room_of(dataclasses.replace(cabin, ear_box=0.0), source, EAR, Air(), 0.15)
    found = summed_at_ears(room, tuple(ears.T), 2j * np.pi * f, cabin.modal_limit)
    columns = dataclasses.replace(room, ear=tuple(axis[:, np.newaxis] for axis in ears.T))
    exact = columns.summed(2j * np.pi * f[np.newaxis])[0]
    miss = abs(20 * np.log10(abs(found / exact)))
    assert miss.max() < 0.25
    assert np.quantile(miss, 0.95) < 0.01


def test_a_map_is_what_is_solved_ear_by_ear(loudspeaker):
    """Below, in and above the fade, at points; for one loudspeaker, one reversed, and several."""
    f = np.array([*F, 160.0, 204.0, 250.0, 300.0, 800.0])
    point = dataclasses.replace(BUS, ear_box=0.0)
    one = dataclasses.replace(loudspeaker, cabin=point)
    other = dataclasses.replace(one, position=(4.5, 1.6, 0.4), port_position=None, polarity="reversed")
    ears = np.array([(2.6, 0.5, 1.15), (1.4, 1.3, 1.1), (3.8, 0.9, 1.2)])
    for heard in (one, other, System(channels=(one, other))):
        found = solve(heard, f).levels_at(ears)
        for ear, levels in zip(ears, found, strict=True):
            system = heard if isinstance(heard, System) else System(channels=(heard,))
            exact = solve(dataclasses.replace(system, ear=tuple(ear)), f).level
            assert levels == pytest.approx(exact, abs=0.02)


def test_a_map_counts_the_angle_as_what_is_solved_does(loudspeaker):
    """2 J1(x) / x of a rigid piston: at 1 kHz and 60 degrees some decibels, at 5 kHz more than 20."""
    point = dataclasses.replace(loudspeaker, cabin=dataclasses.replace(BUS, ear_box=0.0), angle=60)
    response = solve(point, [40.0, 100.0, 1000.0, 5000.0])
    assert response.levels_at(EAR) == pytest.approx(response.level, abs=0.02)


def test_shape_and_slices_of_a_map(loudspeaker):
    ears = ears_apart(BUS, loudspeaker.position, 300)[:200].reshape(10, 20, 3)
    found = solve(loudspeaker, F).levels_at(ears)
    assert found.shape == (10, 20, len(F))
    assert found[7, 3] == pytest.approx(solve(loudspeaker, F).levels_at(ears[7, 3]), abs=1e-3)


@pytest.mark.parametrize("cabin", [BUS, HATCH])
def test_a_band_of_64_ears_is_that_of_2000_drawn_ones(loudspeaker, cabin):
    """A head that moves within 15 cm: little below 40 Hz, more above. Edges within 0.15 dB below 100 Hz, 0.5 above."""
    place = {"position": (0.3, 0.2, 0.3), "port_position": (0.6, 0.2, 0.2)}
    response = solve(dataclasses.replace(loudspeaker, cabin=cabin, **place), F)
    low, high = response.band_of_ears()
    ears = np.array(cabin.ear) + np.random.default_rng(2).uniform(-0.075, 0.075, (2000, 3))
    drawn = between(response.levels_at(ears), 0.8)
    assert np.max(abs(np.array([low, high]) - drawn)[:, F < 100]) < 0.15
    assert np.max(abs(np.array([low, high]) - drawn)) < 0.5
    assert np.all(low < high)
    assert (high - low)[0] < 0.2


def test_what_many_ears_cannot_be(loudspeaker, driver):
    bare = dataclasses.replace(loudspeaker, cabin=None)
    with pytest.raises(ValueError, match=r'^many ears need Cabin\.law "modes", got \'none\''):
        solve(bare, 40).levels_at([EAR])
    family = dataclasses.replace(loudspeaker, position=(np.array([0.3, 0.5]), 0.2, 0.4))
    with pytest.raises(ValueError, match=r"^many ears need one loudspeaker or system, got a family of shape \(2,\)"):
        solve(family, 40).band_of_ears()
    with pytest.raises(ValueError, match=r"^levels_at\.ears\[2\] must be between 0 and 1\.6 m"):
        solve(loudspeaker, 40).levels_at([(1, 1, 1.7)])
    with pytest.raises(ValueError, match=r"^levels_at\.ears: the cone of a loudspeaker lies within the ear"):
        solve(loudspeaker, 40).levels_at([(0.35, 0.2, 0.4)])
    with pytest.raises(TypeError, match=r"^Response\.levels_at\.ears must be places"):
        solve(loudspeaker, 40).levels_at((1, 2))
