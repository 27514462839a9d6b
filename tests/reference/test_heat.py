"""Warm voice coils against worked numbers.

Source: copper's temperature coefficient 0.00393 at 20 degrees (NBS Handbook 100, "Copper Wire Tables", 1966); the
worked numbers are derived from it, apart from lumpedbox. C. A. Henricksen, JAES 35 (1987) 778-791, on heat in
loudspeakers (from memory).
"""

import numpy as np
import pytest

from lumpedbox import InfiniteBaffle, Loudspeaker, solve
from lumpedbox.response.heat import heated, temperature_rise

# K: dB softer at a fixed voltage, where the coil is all of the impedance
SOFTER = {50: 1.558, 100: 2.879, 150: 4.025, 200: 5.038, 250: 5.944}
# W into the cold coil, K/W: K, W into the warm one, dB softer
SETTLED = {(100, 1.5): (105.914, 70.609, 3.0228), (400, 1.0): (216.238, None, 5.3426)}


def softer(driver, warm):
    """How much less a warm driver plays where the coil is all of its impedance: far above the resonance. [dB]"""
    cold, hot = (solve(Loudspeaker(driver=d, box=InfiniteBaffle()), 19_000.0).level[0] for d in (driver, warm))
    return cold - hot


@pytest.mark.parametrize("rise", SOFTER)
def test_softer_by_the_temperature(driver, rise):
    assert softer(driver, heated(driver, rise / 2.0, 2.0)) == pytest.approx(SOFTER[rise], abs=6e-4)


@pytest.mark.parametrize(("power", "thermal"), SETTLED)
def test_where_a_steady_voltage_settles(driver, power, thermal):
    rise, into_warm, less = SETTLED[power, thermal]
    found = float(temperature_rise(driver, np.sqrt(power * 3.4), thermal))
    assert found == pytest.approx(rise, abs=6e-4)
    warm = heated(driver, found / thermal, thermal)
    assert into_warm is None or power * 3.4 / warm.Re == pytest.approx(into_warm, abs=6e-4)
    assert found == pytest.approx(thermal * power * 3.4 / warm.Re, rel=1e-9), "what comes in goes out"
    assert softer(driver, warm) == pytest.approx(less, abs=6e-4)


def test_a_warm_coil_brakes_less(driver):
    """A quarter more resistance takes Qts from .41284 to .50562."""
    warm = heated(driver, 0.25 / 0.00393, 1.0)
    assert warm.Re / driver.Re == pytest.approx(1.25)
    assert (driver.Qts, warm.Qts) == pytest.approx((0.41284, 0.50562), abs=6e-6)
