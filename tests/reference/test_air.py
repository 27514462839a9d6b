"""Air against CoolProp, CIPM-2007 and Cramer.

Sources: CoolProp (live), dry: E. W. Lemmon et al., J. Phys. Chem. Ref. Data 29 (2000); humid: S. Herrmann et al.,
HVAC&R Research 15 (2009) (both from memory, as what CoolProp builds on). CIPM-2007 and Cramer: data/air.csv.
"""

import numpy as np
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI

from lumpedbox import Air

DRY = "CoolProp, dry air"
HUMID = "CoolProp, humid air"
CELSIUS = np.arange(-20.0, 61.0, 5.0)
PRESSURES = (70e3, 101325.0, 105e3)


def states(keep):
    """List (T, p, humidity) of air at sea level from -20 to 60 C; `keep` takes temperature and dew point in C."""
    found = []
    for kelvin in CELSIUS + 273.15:
        for humidity in (0.0, 0.1, 0.2, 0.3, 0.5, 0.75, 1.0):
            dew = HAPropsSI("D", "T", kelvin, "P", 101325, "R", humidity) - 273.15 if humidity else -100.0
            if keep(kelvin - 273.15, dew):
                found.append((kelvin, 101325.0, humidity))
    return found


def density_difference(kelvin, p, humidity):
    ours = Air(temperature=kelvin, pressure=p, humidity=humidity).density
    return abs(ours * HAPropsSI("Vha", "T", kelvin, "P", p, "R", humidity) - 1)


def sound_speed_difference(kelvin, p, humidity):
    ours = Air(temperature=kelvin, pressure=p, humidity=humidity).sound_speed
    return abs(ours - HAPropsSI("speed_of_sound", "T", kelvin, "P", p, "R", humidity))


def test_dry_air(agreement):
    # Density: CIPM-2007 and CoolProp are different equations of state, each good to about 2e-5.
    # Sound speed: 0.1 m/s is 0.03 %, 0.003 dB of level; CoolProp itself is up to 0.02 m/s from Cramer.
    air = [(Air(temperature=t, pressure=p, humidity=0.0), t, p) for t in CELSIUS + 273.15 for p in PRESSURES]
    density = [abs(a.density / PropsSI("D", "T", t, "P", p, "Air") - 1) for a, t, p in air]
    speed = [abs(a.sound_speed - PropsSI("A", "T", t, "P", p, "Air")) for a, t, p in air]
    agreement("density of dry air, -20 to 60 °C", DRY, max(density), 3e-5)
    agreement("sound speed in dry air, -20 to 60 °C", DRY, max(speed), 0.1, "m/s")


def test_humid_air_of_any_weather(agreement):
    # Dew points up to 30 C hold outdoor air nearly everywhere. CIPM-2007 is a fit for 15 to 27 C.
    chosen = states(lambda celsius, dew: celsius >= 0 and dew <= 30.1)
    what = "humid air, 0 to 60 °C, dew point up to 30 °C"
    agreement(f"density of {what}", HUMID, max(density_difference(*s) for s in chosen), 6e-5)
    agreement(f"sound speed in {what}", HUMID, max(sound_speed_difference(*s) for s in chosen), 0.1, "m/s")


def test_humid_air_in_frost():
    # Below 0 C CoolProp counts humidity against ice, CIPM-2007 against water. At -10 C the vapour over water has 27 Pa
    # more than over ice, which makes the air 0.378 x 27/101325 = 1e-4 lighter, on top of the 4e-5 found above 0 C.
    chosen = states(lambda celsius, dew: celsius < 0)
    assert max(density_difference(*s) for s in chosen) <= 1.5e-4
    assert max(sound_speed_difference(*s) for s in chosen) <= 0.1


def test_density_of_saturated_hot_air():
    # Far outside the range of CIPM-2007 its fit of the saturation pressure is extrapolated: 5e-4 is 0.004 dB.
    chosen = states(lambda celsius, dew: dew > 30.1)
    assert max(density_difference(*s) for s in chosen) <= 5e-4


def test_sound_speed_of_saturated_hot_air():
    assert max(sound_speed_difference(*s) for s in states(lambda celsius, dew: dew > 30.1)) <= 0.1


def test_cipm_rows(table, agreement):
    # Tolerance: the rows have six figures, half a unit of the last is 5e-6 kg/m3. The paper rounds 1 - Mv/Ma to 0.3780
    # where lumpedbox takes 0.37804: 4.3e-5 of the share of vapour, 20 % in the wettest row, 8.5e-6 kg/m3.
    rows = table("air")
    for percent in (0, 50, 100):
        printed = rows[f"rho_CIPM_{percent}"]
        ours = Air(temperature=rows["t_C"] + 273.15, humidity=percent / 100).density
        agreement(
            "density of humid air, -20 to 60 °C",
            "CIPM-2007, computed apart",
            np.max(abs(ours - printed)),
            1.4e-5,
            "kg/m3",
        )


def test_dry_rows(table):
    # Six figures again; the differences of the two equations of state as in test_dry_air.
    rows, air = table("air"), Air(temperature=table("air")["t_C"] + 273.15, humidity=0.0)
    assert np.max(abs(air.density / rows["rho_dry_CoolProp"] - 1)) <= 3e-5
    assert np.max(abs(air.sound_speed - rows["c_dry_CoolProp"])) <= 0.1


def test_cramer_rows(table, agreement):
    # Cramer states 0 to 30 C; his formula is a fit to within 0.03 % (from memory), 0.1 m/s.
    rows = table("air")
    within = (rows["t_C"] >= 0) & (rows["t_C"] <= 30)
    assert within.sum() >= 5
    for percent in (0, 50, 100):
        ours = Air(temperature=rows["t_C"][within] + 273.15, humidity=percent / 100).sound_speed
        reached = np.max(abs(ours - rows[f"c_Cramer_{percent}"][within]))
        agreement("sound speed in humid air, 0 to 30 °C", "Cramer 1993", reached, 0.1, "m/s")


def test_sound_speed_hardly_depends_on_pressure():
    # Derived with CoolProp: 343.34 m/s at sea level, 343.32 m/s at 2000 m (79.5 kPa), 20 C, dry.
    low, high = (Air(temperature=293.15, pressure=p, humidity=0.0).sound_speed for p in (79495.0, 101325.0))
    assert 0.005 < high - low < 0.035


def test_viscosity(agreement):
    # ISO 2533 rounds the constants of dry air to 0.5 %. Vapour, which it leaves out, takes off 2 % at 40 C and 100 %.
    kelvin = [t for t in CELSIUS + 273.15 if 273 < t < 314]
    dry = [abs(Air(temperature=t).viscosity / PropsSI("V", "T", t, "P", 101325, "Air") - 1) for t in kelvin]
    humid = [
        abs(Air(temperature=t).viscosity / HAPropsSI("mu", "T", t, "P", 101325, "R", humidity) - 1)
        for t in kelvin
        for humidity in (0.5, 1.0)
    ]
    agreement("viscosity of dry air, 0 to 40 °C", DRY, max(dry), 0.005)
    agreement("viscosity of humid air, 0 to 40 °C", HUMID, max(humid), 0.025)
