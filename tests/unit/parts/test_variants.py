"""Drivers made otherwise, against what Thiele and Small say of their numbers, and against solved levels."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Driver, InfiniteBaffle, Loudspeaker, solve
from lumpedbox.parts.driver import level_of_a_watt
from lumpedbox.parts.variants import louder, scaled, with_total_q
from lumpedbox.units import cm2, litre

DRIVER = Driver.from_thiele_small(
    fs=35, Qes=0.45, Qms=5, Vas=60 * litre, Sd=330 * cm2, Re=3.4, Le=5e-4, rated_impedance=4
)
MADE_OF = ("Re", "Bl", "Mms", "Cms", "Rms", "Sd", "Le")


def level(driver, frequency, voltage=2.83):
    return solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), frequency, voltage).level


def differ(one, other):
    return {name for name in MADE_OF if getattr(one, name) != getattr(other, name)}


def test_another_motor_leaves_all_but_its_force():
    """Small 1972 (from memory): 1/Qts = 1/Qes + 1/Qms, and Qes = 2 pi fs Mms Re / Bl^2."""
    for Qts in (0.2, 0.4128, 1.5):
        other = with_total_q(DRIVER, Qts)
        assert other.Qts == pytest.approx(Qts, rel=1e-12)
        assert differ(DRIVER, other) <= {"Bl"}
    assert with_total_q(DRIVER, float(DRIVER.Qts)).Bl == pytest.approx(DRIVER.Bl, rel=1e-12)
    assert with_total_q(DRIVER, [0.3, 0.5]).Qts == pytest.approx([0.3, 0.5], rel=1e-12)


@pytest.mark.parametrize("Qts", [5.0, 5.1, [0.3, 6.0]])
def test_no_motor_takes_the_suspensions_brake_away(Qts):
    with pytest.raises(ValueError, match=r"^with_total_q\.Qts must be below Qms, .* Q = 5\.00, and no motor can"):
        with_total_q(DRIVER, Qts)


def test_a_lighter_cone_is_louder_by_so_much():
    """Above the resonance the level goes with 1/Mms (Small 1972, from memory): solved; the resonance and Qms stay."""
    bare = dataclasses.replace(DRIVER, Le=0.0, sensitivity=90.0)
    lighter = louder(bare, 8.0)
    assert level(lighter, 1e5) - level(bare, 1e5) == pytest.approx(8.0, abs=1e-4)  # 1 / (Q x)^2 off, x = 2857
    assert lighter.sensitivity == 98.0
    assert louder(DRIVER, 8.0).sensitivity is None
    assert (lighter.fs, lighter.Qms) == pytest.approx((bare.fs, bare.Qms), rel=1e-12)
    assert lighter.Qes == pytest.approx(bare.Qes / 10 ** (8 / 20), rel=1e-12)
    assert differ(bare, lighter) == {"Mms", "Rms", "Cms"}
    assert louder(louder(bare, 5.0), -5.0).Mms == pytest.approx(bare.Mms, rel=1e-12)


def test_a_coil_of_more_ohms_changes_the_impedance_and_nothing_else():
    """Derived: the same copper in the same gap. At one watt every level stays, at one voltage it falls by 10 log k;
    the impedance is k times as large at every frequency."""
    other, frequency = scaled(DRIVER, coil=3.0), np.geomspace(10, 5000, 40)
    assert other.rated_impedance == 12
    assert level(other, frequency, np.sqrt(12)) == pytest.approx(level(DRIVER, frequency, 2.0), abs=1e-9)
    assert level(DRIVER, frequency) - level(other, frequency) == pytest.approx(10 * np.log10(3), abs=1e-9)
    impedances = [
        solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), frequency).impedance for driver in (DRIVER, other)
    ]
    assert impedances[1] == pytest.approx(3 * impedances[0], rel=1e-12)


def test_each_factor_acts_on_its_own_part():
    factors = {"mass": "Mms", "motor": "Bl", "compliance": "Cms", "area": "Sd"}
    for factor, name in factors.items():
        other = scaled(DRIVER, **{factor: 1.25})
        assert differ(DRIVER, other) == {name}
        assert getattr(other, name) == pytest.approx(1.25 * getattr(DRIVER, name), rel=1e-15)
    assert scaled(DRIVER) == DRIVER


def test_one_watt_against_2_83_volts():
    """Into 8 ohm 2.83 V are a watt, but for what 2.83 is rounded; into 4 ohm a watt is 2 V (by hand)."""
    eight = dataclasses.replace(DRIVER, rated_impedance=8)
    assert level_of_a_watt(eight) == pytest.approx(0.0, abs=0.005)
    assert level_of_a_watt(DRIVER) == pytest.approx(20 * np.log10(2 / 2.83), abs=1e-12)
    gap = level(DRIVER, 300.0, 2.0) - level(DRIVER, 300.0)
    assert gap == pytest.approx(level_of_a_watt(DRIVER), abs=1e-9)
