"""Level of a volume source of known displacement.

Source: derived, p = rho (2 pi f)^2 V/(Omega r) (L. L. Beranek, "Acoustics", 1954; L. E. Kinsler, A. R. Frey,
"Fundamentals of Acoustics", chap. 7; from memory); data/spl_volume_displacement.csv for rho = 1.2041 kg/m3.
"""

import numpy as np
import pytest

from lumpedbox import Driver, InfiniteBaffle, Loudspeaker, SealedBox, solve
from lumpedbox.design.air_moved import air_moved

SOURCE = "volume source, derived"
BOXES = {"infinite baffle": InfiniteBaffle(), "sealed": SealedBox(volume=0.03)}


def solved(systems, box, frequency, air, solid_angle=2 * np.pi, displaced=None):
    """Return a loudspeaker solved at one frequency, with the voltage that displaces a wanted peak volume."""
    driver = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4, Le=0.5e-3, air=air)
    loudspeaker = Loudspeaker(driver=driver, box=BOXES[box], solid_angle=solid_angle)
    at_one_volt = solve(loudspeaker, frequency, voltage=1.0, air=air).excursion[..., 0] * driver.Sd
    return solve(loudspeaker, frequency, voltage=displaced / at_one_volt, air=air)


@pytest.mark.parametrize(("space", "solid_angle"), [("half", 2 * np.pi), ("full", 4 * np.pi)])
@pytest.mark.parametrize("box", BOXES)
def test_table(box, space, solid_angle, table, systems, reference_air, agreement):
    # Tolerance: half a unit of the fourth decimal.
    rows = table("spl_volume_displacement")
    for f in np.unique(rows["f_Hz"]):
        chosen = rows["f_Hz"] == f
        response = solved(systems, box, f, reference_air, solid_angle, rows["Vd_peak_cm3"][chosen] * 1e-6)
        reached = np.max(abs(response.level[:, 0] - rows[f"SPL_1m_{space}space_dB"][chosen]))
        agreement("level of a displaced volume, full to eighth space", SOURCE, reached, 5.1e-5, "dB")


def test_narrower_spaces(systems, reference_air, agreement):
    # Quoted (derived): 100 cm3 peak, 40 Hz, 1 m: 92.6283, 86.6077, 98.6489, 104.6695 dB in 2, 4, 1 and pi/2 sr.
    for angle, quoted in ((2, 92.6283), (4, 86.6077), (1, 98.6489), (0.5, 104.6695)):
        response = solved(systems, "sealed", 40.0, reference_air, angle * np.pi, 1e-4)
        reached = abs(response.level[0] - quoted)
        agreement("level of a displaced volume, full to eighth space", SOURCE, reached, 5.1e-5, "dB")


def test_pressure_and_power(systems, reference_air):
    # Quoted (derived): the same in half space has a peak pressure of 1.21049 Pa and radiates .0111395 W.
    response = solved(systems, "sealed", 40.0, reference_air, displaced=1e-4)
    peak = np.sqrt(2) * abs(response.pressure[0])
    assert abs(peak / 1.21049 - 1) <= 5e-6
    assert abs(response.radiated_power[0] / 0.0111395 - 1) <= 5e-6


def test_pressure_has_the_sign_of_the_acceleration(systems, reference_air):
    response = solved(systems, "sealed", 40.0, reference_air, displaced=1e-4)
    acceleration = 2j * np.pi * 40 * response.cone_velocity[0] * 0.033
    assert response.pressure[0] == pytest.approx(reference_air.density * acceleration / (2 * np.pi), rel=1e-9)


def test_the_air_that_a_level_takes(table, reference_air):
    # The table, read the other way round, to half a unit of its fourth decimal.
    rows = table("spl_volume_displacement")
    found = air_moved(rows["SPL_1m_halfspace_dB"], rows["f_Hz"], air=reference_air)
    assert np.max(abs(20 * np.log10(found / (rows["Vd_peak_cm3"] * 1e-6)))) <= 5.1e-5
    assert air_moved(90.0, 40.0, distance=2.0) == pytest.approx(2 * air_moved(90.0, 40.0), rel=1e-12)
