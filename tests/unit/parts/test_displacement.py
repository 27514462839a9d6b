"""What a driver takes up in a box, where its sheet does not tell."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Driver
from lumpedbox.parts.displacement import assumed_from, depth, displacement
from lumpedbox.tables import demo_drivers
from lumpedbox.units import cm2, mm

CONES = {name: d for name, d in demo_drivers().items() if d.fs < 400}
STATED = {name: driver for name, driver in CONES.items() if driver.displacement is not None}
CYLINDER = 25 / 54  # share of a cylinder of the cone's area and the depth


def test_what_is_given_is_taken():
    for driver in STATED.values():
        assert displacement(driver) == driver.displacement
        assert assumed_from(driver) == ""


def test_a_cone_and_a_motor_worked_by_hand():
    """A cone of 180 mm that narrows to 60 mm over 60 mm of depth, before a motor of 120 mm by 60 mm.

    Source: volumes of a frustum and of a cylinder, by school geometry; the proportions are common practice, no source.
    """
    frustum = np.pi * 60 / 3 * (90**2 + 90 * 30 + 30**2)
    motor = np.pi * 60**2 * 60
    driver = dataclasses.replace(STATED["200 mm bass"], Sd=np.pi * (90 * mm) ** 2, depth=120 * mm, displacement=None)
    assert displacement(driver) == pytest.approx((frustum + motor) * mm**3, rel=1e-12)
    assert assumed_from(driver) == "its diameter and depth; common practice, no source"


def test_without_a_depth_it_is_taken_from_the_diameter():
    driver = dataclasses.replace(STATED["200 mm bass"], Sd=100 * cm2, depth=None, displacement=None)
    diameter = 112.838 * mm  # of a circle of 100 cm2
    assert depth(driver) == pytest.approx(0.6 * diameter, rel=1e-5)
    assert displacement(driver) == pytest.approx(CYLINDER * 100 * cm2 * 0.6 * diameter, rel=1e-5)
    assert assumed_from(driver) == "its diameter; common practice, no source"


@pytest.mark.parametrize("name", STATED)
def test_it_is_near_what_the_invented_sheets_state(name):
    """Within a factor of 1.5, either way.

    Source: data/drivers.csv, invented after ordinary sheets (ours): a check of the order of magnitude, no measurement.
    """
    known = dataclasses.replace(STATED[name], displacement=None)
    assert 1 / 1.5 < displacement(known) / STATED[name].displacement < 1.5
    if "shallow" not in name:  # a depth that nobody can tell from the diameter
        bare = dataclasses.replace(known, depth=None)
        assert 1 / 1.5 < displacement(bare) / STATED[name].displacement < 1.5


def test_it_grows_with_the_cube_of_the_size_and_keeps_the_shape_of_a_family():
    small = Driver.typical(size=0.165, kind="woofer")
    large = dataclasses.replace(small, Sd=4 * small.Sd)
    assert displacement(large) == pytest.approx(8 * displacement(small))
    family = dataclasses.replace(small, Sd=np.array([100, 200, 400]) * cm2, spread=None)
    assert displacement(family).shape == (3,)
    assert displacement(family)[2] == pytest.approx(8 * displacement(family)[0])
