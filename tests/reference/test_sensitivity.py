"""Level of the pass-band.

Source: R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) (1972) 383-395 (from memory): eta0 and
the pass-band; the synthetic driver and its numbers are derived, for rho = 1.2041 kg/m3 and c = 343.2 m/s.
No real product is meant.
"""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Driver,
    InfiniteBaffle,
    Loudspeaker,
    SealedBox,
    equivalent_volume,
    reference_efficiency,
    solve,
    voltage_for_power,
)

SOURCE = "Small 1972, derived"


def test_parameters(driver, reference_air, agreement):
    # Quoted (derived), six figures: Qts .412844, Cms .388478 mm/N, Mms 53.2277 g, Rms 2.34108, Bl 9.40429,
    # eta0 .00558291.
    ours = [driver.Qts, driver.Cms, driver.Mms, driver.Rms, driver.Bl, reference_efficiency(driver, reference_air)]
    quoted = [0.412844, 0.388478e-3, 53.2277e-3, 2.34108, 9.40429, 0.00558291]
    agreement("driver from its Thiele/Small parameters", SOURCE, np.max(abs(np.divide(ours, quoted) - 1)), 3e-6)
    assert equivalent_volume(driver, reference_air) == pytest.approx(0.06, rel=1e-12)


@pytest.mark.parametrize("box", [InfiniteBaffle(), SealedBox(volume=0.03)])
def test_level_of_the_passband(box, driver, reference_air, agreement):
    # Quoted (derived): p = rho Bl Sd V/(2 pi r Re Mms): 93.3444 dB at sqrt8 V, 89.6283 dB at 1 W in Re. Half a unit of
    # the fourth decimal; at 20 kHz the response itself is up to (60/20000)^2 x 5, 4e-4 dB, from flat.
    loudspeaker = Loudspeaker(driver=driver, box=box)
    for voltage, quoted in ((np.sqrt(8), 93.3444), (voltage_for_power(driver, 1.0), 89.6283)):
        response = solve(loudspeaker, 20e3, voltage=voltage, air=reference_air)
        agreement("reference level of a driver", SOURCE, abs(response.reference_level - quoted), 6e-5, "dB")
        assert abs(response.level[0] - quoted) <= 5e-4


# 10 lg(rho c/(2 pi)/(20 uPa)^2): level of one acoustic watt in half space at 1 m. Quoted (derived).
@pytest.mark.parametrize(
    ("density", "sound_speed", "quoted"),
    [(1.18, 345.0, 112.0946), (1.2041, 343.2, 112.1597), (1.20458, 343.344, 112.1633)],
)
def test_level_of_one_acoustic_watt(density, sound_speed, quoted, systems, agreement):
    air = systems.air_with(density, sound_speed)
    driver = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4, air=air)
    voltage = np.sqrt(driver.Re / reference_efficiency(driver, air))  # eta0 of V^2/Re is one watt
    response = solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), 100.0, voltage=voltage, air=air)
    agreement("level of one acoustic watt", SOURCE, abs(response.reference_level - quoted), 6e-5, "dB")


def test_both_forms_of_the_efficiency(small_air, reference_air, agreement):
    # eta0 = (4 pi^2/c^3) fs^3 Vas/Qes = rho/(2 pi c) (Bl Sd/Mms)^2/Re. 4 pi^2/c^3: 9.61396e-7 for c = 345 m/s,
    # 9.7660e-7 for 343.2 m/s (quoted; half a unit of the fifth figure is 5.2e-6).
    for air, constant in ((small_air, 9.61396e-7), (reference_air, 9.7660e-7)):
        driver = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4, air=air)
        reached = abs(reference_efficiency(driver, air) * 0.45 / (35**3 * 0.06) / constant - 1)
        agreement("reference efficiency from fs, Vas, Qes", SOURCE, reached, 6e-6)


def test_radiated_power_is_the_efficiency_times_the_nominal_input(driver, reference_air):
    # far above resonance, V^2/Re; (60/20000)^2 is 1e-5
    loudspeaker = Loudspeaker(driver=driver, box=InfiniteBaffle())
    response = solve(loudspeaker, 20e3, voltage=2.0, air=reference_air)
    nominal = 2.0**2 / driver.Re * reference_efficiency(driver, reference_air)
    assert response.radiated_power[0] == pytest.approx(nominal, rel=1e-4)


@pytest.mark.parametrize(("rated", "offset"), [(2, 6.0206), (4, 3.0103), (6, 1.2494), (8, 0.0), (16, -3.0103)])
def test_one_watt_and_sqrt8_volts(rated, offset, driver, reference_air, agreement):
    # Quoted (derived): level at sqrt8 V minus level at 1 W in the rated impedance, 10 lg(8/R). 2.83 V adds .0048 dB.
    rated_driver = dataclasses.replace(driver, rated_impedance=float(rated))
    loudspeaker = Loudspeaker(driver=rated_driver, box=InfiniteBaffle())
    one_watt, sqrt8, usual = (
        solve(loudspeaker, 100.0, voltage=v, air=reference_air).level[0]
        for v in (voltage_for_power(rated_driver, 1.0), np.sqrt(8), 2.83)
    )
    what = "level at √8 V over level at 1 W in the rated impedance"
    agreement(what, "10 lg(8/R), derived", abs(sqrt8 - one_watt - offset), 5.1e-5, "dB")
    assert usual - sqrt8 == pytest.approx(0.0048, abs=5e-5)
