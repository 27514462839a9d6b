"""What the coil stands behind a pad, how warm it settles, and a high-pass for little: by Ohm's law and by trial."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import InfiniteBaffle, Loudspeaker, VentedBox, frequencies, l_pad, maximum_level, solve
from lumpedbox.response.heat import temperature_rise
from lumpedbox.response.limits import protective_high_pass
from lumpedbox.tables import demo_drivers

BASS = demo_drivers()["200 mm bass"]


def test_a_pad_takes_its_share_of_the_heat():
    """Far above the resonance a driver without inductance is its Re. The textbook's pad of 6 dB for that load leaves
    the coil half of the volts, so it stands twice as many: 2 sqrt(P Re), warm or cold by the same Ohm's law."""
    driver = dataclasses.replace(BASS, Le=0.0, Mms=5.0)
    pad = l_pad(attenuation=20 * np.log10(2), impedance=driver.Re)
    padded = Loudspeaker(driver=driver, box=InfiniteBaffle(), network=pad)
    found = maximum_level(padded, [2000.0]).voltages["heat of the coil"]
    assert found == pytest.approx(2 * np.sqrt(driver.power * driver.Re), rel=1e-6)
    Re = driver.Re * (1 + 0.00393 * 1.5 * driver.power)
    Rs, Rp = driver.Re / 2, driver.Re
    both = Rp * Re / (Rp + Re)
    warm = maximum_level(padded, [2000.0], thermal_resistance=1.5).voltages["heat of the coil"]
    assert warm == pytest.approx((Rs + both) / both * np.sqrt(driver.power * Re), rel=1e-6)


def test_a_warm_coil_settles_where_what_it_takes_keeps_it_warm():
    """Rise = Rth V^2 / Re(rise): the quadratic has one positive root, found here by going round and round."""
    volts, thermal = 12.0, 2.0
    rise = 0.0
    for _ in range(200):
        rise = thermal * volts**2 / (BASS.Re * (1 + 0.00393 * rise))
    assert temperature_rise(BASS, volts, thermal) == pytest.approx(rise, rel=1e-9)


def test_a_protective_high_pass_may_stand_below_all_that_is_played():
    """Where little is lacking, a corner far under the lowest tone takes just that little."""
    vented = Loudspeaker(driver=BASS, box=VentedBox(volume=0.03, fb=36, port_area=50e-4, Ql=7))
    most = solve(vented, frequencies(20, 400, 48), 1.0).excursion.max()
    found = protective_high_pass(vented, 1.02 * BASS.xmax / most, order=2, low=20.0)
    assert 5.0 <= found.corner < 20.0
    assert found.travel == pytest.approx(BASS.xmax, rel=1e-6)
