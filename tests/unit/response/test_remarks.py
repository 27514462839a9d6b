"""What a reader of a system, of a family or of a loudest level is told."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Amplifier, Cabin, Driver, Loudspeaker, SealedBox, System, frequencies, maximum_level, solve
from lumpedbox.parts.spread import USUAL


def speaker(Re=3.4, **more):
    driver = Driver.from_thiele_small(fs=45, Qes=0.5, Qms=5, Vas=0.03, Sd=0.021, Re=Re, xmax=0.005)
    return Loudspeaker(driver=driver, box=SealedBox(volume=0.02), **more)


def amplifier(minimum_load):
    return Amplifier(power=50, rated_impedance=4, minimum_load=minimum_load)


def about_load(least, wanted):
    remarks = maximum_level(speaker(np.array(least)), [50.0], amplifier=amplifier(np.array(wanted))).remarks
    return [remark for remark in remarks if "sees a load" in remark]


def test_each_member_is_held_against_its_own_lowest_load():
    assert about_load([2.5, 4.5], [2.0, 4.0]) == []
    (said,) = about_load([2.5, 4.5], [4.0, 2.0])
    assert "sees a load as low as 2.5 ohm; its maker asks for at least 4 ohm: too little" in said


def test_a_loudest_level_is_not_said_to_have_a_band():
    one = speaker()
    varied = dataclasses.replace(one, driver=dataclasses.replace(one.driver, spread=USUAL))
    assert any("`band`" in remark for remark in solve(varied, [50.0]).remarks)
    assert not any("`band`" in remark for remark in maximum_level(varied, [50.0], amplifier=amplifier(2.0)).remarks)


def test_a_system_says_from_where_on_powers_are_added():
    cabin = Cabin(length=2.3, width=1.35, height=1.15)
    inside = System(channels=(speaker(cabin=cabin), speaker(cabin=dataclasses.replace(cabin, name="the same"))))
    response = solve(inside, frequencies(20, 1000))
    (said,) = (remark for remark in response.remarks if "powers" in remark)
    assert f"From about {response.modal_limit:.0f} Hz up" in said
    outside = solve(System(channels=(speaker(), speaker())), frequencies(20, 1000))
    assert not any("powers" in remark for remark in outside.remarks)


@pytest.mark.parametrize("unlike", [0.0, 1e-13])
def test_two_that_cancel_have_no_group_delay(unlike):
    """All that is left of the sum is rounding."""
    pair = System(channels=(speaker(), speaker(3.4 * (1 + unlike), polarity="reversed")))
    assert np.all(np.isnan(solve(pair, frequencies(20, 200, 3)).group_delay))
