"""Up to where the phases of several loudspeakers in a cabin count."""

import numpy as np
import pytest

from lumpedbox import Cabin, Driver, Loudspeaker, SealedBox, System, solve

WOOFER = Driver.from_thiele_small(fs=58, Qes=0.6, Qms=4.5, Vas=0.015, Sd=0.0137, Re=3.4, Le=0.3e-3)


def test_the_lowest_modal_limit_of_several_counts():
    """Schroeder (1962, from memory): 2000 sqrt(T60/V). Of two descriptions of the cabin the lower limit ends the sum of
    phasors: between both limits two alike are 3 dB more, not 6."""
    dry, live = (Cabin(length=2.3, width=1.35, height=1.15, reverberation_time=T60) for T60 in (0.02, 0.32))
    limits = [2000 * np.sqrt(T60 / (2.3 * 1.35 * 1.15)) for T60 in (0.02, 0.32)]
    pair = [Loudspeaker(driver=WOOFER, box=SealedBox(volume=0.015), cabin=cabin) for cabin in (dry, live)]
    for channels in (pair, pair[::-1]):
        response = solve(System(channels=channels), np.sqrt(limits[0] * limits[1]))
        assert response.modal_limit == pytest.approx(limits[0], rel=1e-12)
        assert response.level[0] - response.levels[0][0] == pytest.approx(10 * np.log10(2), abs=1e-9)
