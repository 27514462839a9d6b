"""What a cabin adds, by both of its laws."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Air, Cabin, Loudspeaker, SealedBox, solve
from lumpedbox.units import litre


@pytest.fixture
def cabin():
    return Cabin(length=2.5, width=1.4, height=1.15, leak=0, flex=1)


def gain(driver, cabin, frequency, **conditions):
    """Level in the cabin over the level of the same loudspeaker in half space. [dB]"""
    bare = Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre))
    inside = dataclasses.replace(bare, cabin=cabin)
    return solve(inside, frequency, **conditions).level - solve(bare, frequency, **conditions).level


def test_the_corner_of_the_rule_of_thumb(cabin):
    """c/2L (common practice, no source): 343.2 m/s over 5 m is 68.64 Hz, so 1/5 of the sound speed."""
    assert cabin.length_corner(Air(temperature=290)) == pytest.approx(Air(temperature=290).sound_speed / 5)
    assert cabin.first_resonance() == cabin.length_corner()


def test_the_corner_of_the_volume():
    """f = (c/2 pi) sqrt(2 pi r/V): 3 m3 at 1 m gives 79.05 Hz in half space and 111.8 Hz in full space at 343.2 m/s
    (derived)."""
    cabin = Cabin(length=2, width=1.5, height=1, flex=1)
    scale = 343.2 / Air().sound_speed
    assert cabin.volume_corner() * scale == pytest.approx(79.05, abs=0.005)
    assert cabin.volume_corner(solid_angle=4 * np.pi) * scale == pytest.approx(111.8, abs=0.05)


def test_softer_panels_and_a_given_volume_lower_the_corner(cabin):
    corner = cabin.volume_corner()
    assert dataclasses.replace(cabin, flex=2).volume_corner() == pytest.approx(corner / np.sqrt(2))
    assert dataclasses.replace(cabin, volume=4 * 2.5 * 1.4 * 1.15).volume_corner() == pytest.approx(corner / 2)


def test_the_law_chooses_the_corner(cabin):
    assert cabin.corner() == cabin.volume_corner()
    assert dataclasses.replace(cabin, law="length").corner() == cabin.length_corner()


@pytest.mark.parametrize("law", ["volume", "length"])
def test_without_a_leak_the_gain_is_3_db_at_the_corner_and_12_db_per_octave_below(driver, cabin, law):
    """|G|^2 = 1 + (wc/w)^4 (derived)."""
    cabin = dataclasses.replace(cabin, law=law)
    corner = cabin.corner()
    frequency = corner * np.array([1 / 8, 1 / 4, 1, 16])
    expected = 10 * np.log10(1 + np.array([8.0, 4.0, 1.0, 1 / 16]) ** 4)
    assert gain(driver, cabin, frequency) == pytest.approx(expected, abs=1e-9)
    assert gain(driver, cabin, corner)[0] == pytest.approx(3.0103, abs=1e-4)


def test_a_leak_takes_6_db_per_octave_below_its_own_corner(driver, cabin):
    leaky = dataclasses.replace(cabin, leak=15)
    frequency = np.array([1.0, 15.0, 1000.0])
    difference = gain(driver, cabin, frequency) - gain(driver, leaky, frequency)
    assert difference == pytest.approx(10 * np.log10(1 + (15 / frequency) ** 2), abs=1e-9)


def test_far_below_the_corner_the_pressure_is_that_of_a_closed_volume(driver, cabin):
    """p = rho c^2 U/(s V) whatever the distance (adiabatic compression)."""
    bare = Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre), cabin=cabin)
    for distance in (0.5, 1.0, 3.0):
        response = solve(bare, 0.05, distance=distance)
        volume = response.cone_velocity * driver.Sd / (2j * np.pi * 0.05)
        assert response.pressure == pytest.approx(Air().stiffness * volume / cabin.air_volume, rel=3e-3)


def test_a_family_of_cabins(driver):
    family = Cabin(length=[2.0, 3.0, 5.0], width=1.4, height=[[1.1], [1.2]])
    assert family.shape == (2, 3)
    assert family.longest.tolist() == [[2.0, 3.0, 5.0]] * 2
    found = gain(driver, family, [30.0, 60.0])
    assert found.shape == (2, 3, 2)
    assert np.array_equal(found[1, 2], gain(driver, family.member((1, 2)), [30.0, 60.0]))


def test_a_misspelt_law_is_refused():
    with pytest.raises(
        ValueError,
        match=r"^Cabin\.law must be one of volume, length, modes, measured, got 'lenght': did you mean 'length'",
    ):
        Cabin(length=2, width=1, height=1, law="lenght")
    with pytest.raises(TypeError, match=r"^Cabin\.law must be one of volume, length, modes, measured, got None$"):
        Cabin(length=2, width=1, height=1, law=None)


def test_in_a_cabin_the_reference_is_the_mean_square_of_a_band(driver, cabin):
    inside = Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre), cabin=cabin)
    response = solve(inside, np.geomspace(5, 500, 400))
    band = solve(inside, np.geomspace(100, 315, 2000)).pressure
    expected = 10 * np.log10(np.mean(np.abs(band) ** 2) / 4e-10)
    assert response.reference_level == pytest.approx(expected, abs=0.02)
    assert np.isnan(response.f3) or response.f3 < 100


def test_a_cabin_as_measured_holds_no_more_air_than_its_dimensions(cabin):
    """Length x width x height is the most there can be; five hundredths are left for how one measures (ours)."""
    most = 2.5 * 1.4 * 1.15
    dataclasses.replace(cabin, volume=1.04 * most).check_as_measured()
    with pytest.raises(ValueError, match=r"a volume of 4\.428 m3 is more than .* height, 4\.025 m3"):
        dataclasses.replace(cabin, volume=1.1 * most).check_as_measured()
