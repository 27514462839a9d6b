"""The litres inside a box, by hand."""

import numpy as np
import pytest

from lumpedbox.build.volume import net_volume


def test_a_cube_of_three_decimetres_within_boards_of_twenty_millimetres():
    """26 cm a side are 17.576 litres; the driver takes 2 and the port 1.5 of them."""
    assert net_volume(0.3, 0.3, 0.3, 0.02) == pytest.approx(17.576e-3, rel=1e-12)
    assert net_volume(0.3, 0.3, 0.3, 0.02, driver=2e-3, port=1.5e-3) == pytest.approx(14.076e-3, rel=1e-12)


def test_every_side_loses_two_boards():
    sides = np.array([0.4, 0.5, 0.7])
    inside = (sides - 0.036).prod()
    for order in ([0, 1, 2], [2, 0, 1], [1, 2, 0]):
        assert net_volume(*sides[order], 0.018) == pytest.approx(inside, rel=1e-12)


def test_a_box_that_is_full_is_refused():
    with pytest.raises(ValueError, match=r"driver and port take up 18 litres, but the box has only 17\.6 litres"):
        net_volume(0.3, 0.3, 0.3, 0.02, driver=10e-3, port=8e-3)
    with pytest.raises(ValueError, match=r"net_volume\.height of 40 mm leaves no room between two boards of 20 mm"):
        net_volume(0.3, 0.04, 0.3, 0.02)


def test_one_box_of_several_without_room_is_enough_to_refuse_them():
    with pytest.raises(ValueError, match=r"net_volume\.depth of .* leaves no room"):
        net_volume(0.3, 0.3, np.array([0.3, 0.03]), 0.02)


def test_a_box_that_is_full_to_the_brim_is_none():
    """Half a metre a side, without boards, is an eighth of a cubic metre, in binary numbers too."""
    with pytest.raises(ValueError, match="driver and port take up 125 litres, but the box has only 125 litres"):
        net_volume(0.5, 0.5, 0.5, 0.0, driver=0.0625, port=0.0625)
