"""The driver through both of its doors, and what follows from it."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Air, Driver, equivalent_volume, reference_efficiency, voltage_for_power
from lumpedbox.units import cm2, litre, mm

# An invented driver worked out by hand from the definitions (derived; R. H. Small, JAES 20(5) 1972, from memory):
# fs 35 Hz, Qes .45, Qms 5, Re 3.4 ohm, Sd 330 cm2, Vas 60 l in air of 1.2041 kg/m3 and 343.2 m/s.
SHEET = {"fs": 35, "Qes": 0.45, "Qms": 5, "Vas": 60 * litre, "Sd": 330 * cm2, "Re": 3.4}
MADE_OF = {"Re": 3.4, "Bl": 9.40429, "Mms": 53.2277e-3, "Cms": 0.388478e-3, "Rms": 2.34108, "Sd": 0.033}
PRINTED = 2e-6  # the six digits above


def test_sheet_values_follow_from_what_a_driver_is_made_of():
    made = Driver(**MADE_OF)
    assert made.fs == pytest.approx(35, rel=PRINTED)
    assert made.Qes == pytest.approx(0.45, rel=4 * PRINTED)
    assert made.Qms == pytest.approx(5, rel=2 * PRINTED)
    assert made.Qts == pytest.approx(0.412844, rel=4 * PRINTED)


def test_both_doors_lead_to_the_same_driver():
    sheet = Driver.from_thiele_small(**SHEET)
    made = Driver(**{name: getattr(sheet, name) for name in MADE_OF})
    assert made == sheet
    for name in ("fs", "Qes", "Qms", "Vas"):
        assert getattr(made, name) == pytest.approx(SHEET[name], rel=1e-12)


def test_the_air_of_a_sheet_fixes_the_compliance_alone():
    thin = Air(pressure=7e4)
    sheet = Driver.from_thiele_small(**SHEET, air=thin)
    assert equivalent_volume(sheet, thin) == pytest.approx(60 * litre, rel=1e-12)
    assert equivalent_volume(sheet) == pytest.approx(60 * litre * Air().stiffness / thin.stiffness, rel=1e-12)
    assert (sheet.fs, sheet.Qes, sheet.Qms) == pytest.approx((35, 0.45, 5), rel=1e-12)
    assert sheet.Cms != Driver.from_thiele_small(**SHEET).Cms


def test_everything_else_passes_through_the_sheet_door():
    rest = {
        "Le": 5e-4,
        "L2": 7e-4,
        "R2": 2.5,
        "semi_inductance": 0.02,
        "semi_exponent": 0.6,
        "xmax": 6 * mm,
        "power": 150.0,
        "rated_impedance": 4.0,
        "name": "invented",
    }
    sheet = Driver.from_thiele_small(**SHEET, **rest)
    assert {name: getattr(sheet, name) for name in rest} == rest


def test_a_family_of_sheets():
    family = Driver.from_thiele_small(**{**SHEET, "fs": [30, 35], "Qes": [[0.3], [0.4], [0.5]]})
    assert family.shape == (3, 2)
    assert family.Mms.shape == (2,)
    assert family.member((2, 1)) == Driver.from_thiele_small(**{**SHEET, "Qes": 0.5})


def test_without_mechanical_loss_only_the_motor_damps():
    assert Driver.from_thiele_small(**{**SHEET, "Qms": 1000}).Qts == pytest.approx(0.45 / (1 + 0.45 / 1000), rel=1e-12)


def test_displaced_volume_and_radius():
    known = Driver(**MADE_OF, xmax=6 * mm)
    assert known.Vd == pytest.approx(198e-6)
    assert np.pi * known.radius**2 == pytest.approx(0.033)


def test_the_displaced_volume_of_an_unknown_travel_is_not_infinite_but_refused():
    with pytest.raises(ValueError, match=r"^Driver\.xmax is missing \(linear travel, one way\): the displaced volume"):
        _ = Driver(**MADE_OF).Vd


def test_one_watt_is_into_the_rated_impedance_or_else_into_the_coil():
    made = Driver(**MADE_OF)
    rated = dataclasses.replace(made, rated_impedance=4.0)
    assert (made.nominal_resistance, rated.nominal_resistance) == (3.4, 4.0)
    assert voltage_for_power(rated, 100) == pytest.approx(20.0)
    assert voltage_for_power(rated, np.array([1, 4])).tolist() == pytest.approx([2.0, 4.0])


def test_efficiency_in_its_two_published_forms():
    """Small 1972 (from memory): eta0 = 4 pi^2/c^3 fs^3 Vas/Qes; the code has the form with Bl, Sd and Mms."""
    air = Air(temperature=300, humidity=0.2)
    sheet = Driver.from_thiele_small(**SHEET, air=air)
    assert reference_efficiency(sheet, air) == pytest.approx(
        4 * np.pi**2 / air.sound_speed**3 * 35**3 * 60 * litre / 0.45, rel=1e-12
    )
    assert sheet.eta0 == reference_efficiency(sheet, Air())


# Two coils: in series twice the force factor and resistance, in parallel half the resistance (derived).


@pytest.mark.parametrize(
    ("wiring", "Re", "Bl", "Qes"), [("series", 6.8, 2, 0.5), ("parallel", 1.7, 1, 0.5), ("one alone", 3.4, 1, 1.0)]
)
def test_two_coils(wiring, Re, Bl, Qes):
    one = Driver(**MADE_OF)
    both = one.with_two_coils(wiring)
    assert both.Re == pytest.approx(Re)
    assert both.Bl == pytest.approx(Bl * one.Bl)
    assert both.Qes == pytest.approx(Qes * one.Qes)
    assert (both.Mms, both.Cms, both.Rms, both.Sd) == (one.Mms, one.Cms, one.Rms, one.Sd)


@pytest.mark.parametrize(("wiring", "turns"), [("series", 2), ("parallel", 1), ("one alone", 1)])
def test_inductances_go_with_the_square_of_the_turns(wiring, turns):
    one = Driver(**MADE_OF, Le=1e-3, L2=2e-3, R2=3.0, semi_inductance=0.1)
    both = one.with_two_coils(wiring)
    for name in ("Le", "L2", "R2", "semi_inductance"):
        assert getattr(both, name) == turns**2 * getattr(one, name)


def test_rated_power_and_impedance_of_two_coils():
    one = Driver(**MADE_OF, power=100, rated_impedance=4)
    assert [one.with_two_coils(w).power for w in ("series", "parallel", "one alone")] == [200, 200, 100]
    assert [one.with_two_coils(w).rated_impedance for w in ("series", "parallel", "one alone")] == [8, 2, 4]
    assert Driver(**MADE_OF).with_two_coils("series").power is None


def test_printed_level_of_two_coils():
    """At one voltage the pressure goes with Bl / Re: twice with both in parallel, the same in series."""
    one = dataclasses.replace(Driver.from_thiele_small(**SHEET), sensitivity=86.7)
    assert one.with_two_coils("parallel").sensitivity == pytest.approx(86.7 + 20 * np.log10(2))
    assert one.with_two_coils("series").sensitivity == pytest.approx(86.7)
    assert one.with_two_coils("one alone").sensitivity == pytest.approx(86.7)


def test_two_coils_of_a_family():
    family = Driver(**{**MADE_OF, "Re": [3.4, 3.6]}).with_two_coils("series")
    assert family.Re.tolist() == [6.8, 7.2]


def test_a_misspelt_wiring_is_answered_with_the_nearest():
    with pytest.raises(ValueError, match=r"Driver\.with_two_coils\.wiring must be one of .* did you mean 'parallel'\?"):
        Driver(**MADE_OF).with_two_coils("paralel")


@pytest.mark.parametrize("name", ["name"])
def test_a_name_must_be_text(name):
    with pytest.raises(TypeError, match=r"^Driver\.name must be text, got int 5$"):
        Driver(**MADE_OF, **{name: 5})


@pytest.mark.parametrize("name", sorted(MADE_OF))
def test_nothing_that_a_driver_is_made_of_may_be_left_out(name):
    rest = {key: value for key, value in MADE_OF.items() if key != name}
    with pytest.raises(TypeError, match=f"missing 1 required keyword-only argument: '{name}'"):
        Driver(**rest)
