"""Sums of several loudspeakers whose parts differ in phase, in place, and in the cabin they are given."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Gain, InfiniteBaffle, LevelTable, Loudspeaker, SealedBox, System, solve
from tests.unit.conftest import WOOFER

LOW = Loudspeaker(driver=WOOFER, box=SealedBox(volume=0.015), position=(0.0, 0.0, 0.0))
FAR = dataclasses.replace(LOW, box=InfiniteBaffle(), position=(0.0, 0.4, 0.0))
EAR = (1.0, 0.0, 0.0)


def slope_of_phase(system, f, step=1e-5):
    """Group delay by a central difference of the phase of the sum. [s]"""
    below, above = (solve(system, f * (1 + side * step)).pressure for side in (-1, 1))
    return -np.angle(above / below) / (2 * np.pi * f * 2 * step)


@pytest.mark.parametrize(
    "changed",
    [
        {"angle": 60.0},
        {"filters": (LevelTable(points=((300.0, 0.0), (1000.0, -12.0), (3000.0, 3.0))),)},
        {"filters": (LevelTable(points=((1000.0, -20.0), (2000.0, 0.0))),), "angle": 30.0},
    ],
)
def test_group_delay_of_a_sum_knows_how_each_level_changes(changed):
    """In a sum the *size* of each part moves the phase too. Central differences, good to 1e-9 of a second here."""
    system = System(channels=(LOW, dataclasses.replace(FAR, **changed)), ear=EAR)
    f = np.array([500.0, 870.0, 1400.0, 1900.0])
    assert solve(system, f).group_delay == pytest.approx(slope_of_phase(system, f), rel=1e-5, abs=1e-9)


@pytest.mark.parametrize("less", [6.0, 12.0, 20.0])
def test_cancellation_of_two_against_each_other(less):
    """1 and -k: 20 log10((1 + k)/(1 - k)), in decibels of the pressure."""
    k = 10 ** (-less / 20)
    against = dataclasses.replace(LOW, polarity="reversed", filters=(Gain(level=-less),))
    found = solve(System(channels=(LOW, against)), [40.0, 200.0]).cancellation
    assert found == pytest.approx([20 * np.log10((1 + k) / (1 - k))] * 2, abs=1e-9)
