"""How a head gets out of a dip, against the resonances summed at each of its places."""

import numpy as np
import pytest

from lumpedbox import Cabin, Loudspeaker, SealedBox, VentedBox, solve
from lumpedbox.response.dips import CLEAR, Dip, way_out
from lumpedbox.units import cm2, litre

EAR = (1.5, 0.5, 0.9)


def cabin(ear_box, ear=EAR):
    return Cabin(length=3, width=1.6, height=1.2, law="modes", ear=ear, ear_box=ear_box)


@pytest.mark.parametrize("ear_box", [0.0, 0.15, 0.6, 1.0])
def test_no_move_goes_into_a_cone(driver, ear_box):
    """A cube as large as the cabin allows leaves fewer places; each that is left is solved without an error."""
    speaker = Loudspeaker(
        driver=driver, box=SealedBox(volume=40 * litre), cabin=cabin(ear_box), position=(2.3, 0.5, 0.9)
    )
    before = solve(speaker, 60.0).level[0]
    move = way_out(speaker, Dip(60.0, 5.0))
    if move is not None:
        there = Loudspeaker(driver=driver, box=speaker.box, cabin=cabin(ear_box, move.ear), position=speaker.position)
        assert solve(there, 60.0).level[0] - before >= 2.0
        assert np.linalg.norm(np.subtract(move.ear, speaker.position)) >= CLEAR


def test_no_move_goes_into_a_port(driver):
    """The port stands where the shortest way out of the dip would end; the head stops before it, or goes elsewhere."""
    box, port = VentedBox(volume=40 * litre, fb=35, port_area=80 * cm2), (1.7, 0.5, 0.9 - 0.01)
    speaker = Loudspeaker(
        driver=driver, box=box, cabin=cabin(0.15, (1.2, 0.5, 0.9)), position=(2.6, 1.3, 0.2), port_position=port
    )
    for depth in (4.0, 6.0, 9.0, 12.0, 20.0):
        move = way_out(speaker, Dip(60.0, depth))
        assert move is None or np.linalg.norm(np.subtract(move.ear, port)) >= CLEAR
