"""Right data sheets are not doubted, and wrong ones are asked about with the likely slip.

The drivers are built from what they are made of, and the bounds of the library are not used: paper or cloth by its mass
on an area, a coil whose share of that mass is wound of copper or aluminium (resistivity times density 1.54e-4 and
7.2e-5 ohm kg/m2, handbook values, from memory), so that Bl is the field times sqrt(Re m / (resistivity x density)),
derived; resonances by size (common practice, no source). Square inch and cubic foot: NIST SP 811.
"""

from collections import Counter

import numpy as np
import pytest

from lumpedbox import Air, Driver
from lumpedbox.tables import demo_drivers
from lumpedbox.units import litre, mm

AIR = Air()
COPPER, ALUMINIUM = 1.54e-4, 7.2e-5
# Effective diameter [mm], mass on area but for coil and air [kg/m2], mass of the coil over that, fs times diameter
# [m/s], field in the gap over all of the coil [T], Qms, Qes, what the coil may be wound of.
KINDS = {
    "dome": ((14, 44), (0.12, 0.5), (0.3, 0.6), (15, 48), (0.8, 1.5), (0.8, 5), (0.4, 3), (COPPER, ALUMINIUM)),
    "small full range": (
        (24, 62),
        (0.3, 1),
        (0.2, 0.5),
        (5.5, 13),
        (0.5, 1.1),
        (1.5, 7),
        (0.2, 1.6),
        (COPPER, ALUMINIUM),
    ),
    "light cone": ((60, 180), (0.3, 1.2), (0.1, 0.35), (5.5, 14), (0.45, 1), (1.5, 9), (0.2, 1.6), (COPPER,)),
    "small bass": ((60, 110), (2, 5), (0.1, 0.3), (3.2, 6), (0.5, 1), (2, 9), (0.2, 1.6), (COPPER,)),
    "bass": ((150, 395), (1.4, 5), (0.08, 0.3), (4.5, 10), (0.45, 1), (2.5, 12), (0.2, 1.6), (COPPER,)),
    "stage": ((165, 395), (0.4, 1.4), (0.1, 0.3), (9, 20), (0.6, 1.2), (2.5, 12), (0.2, 1.6), (COPPER, ALUMINIUM)),
}
SIX = ("fs", "Qes", "Qms", "Vas", "Sd", "Re")
FULL = (*SIX, "Qts", "Bl", "Mms", "Cms")


def built(kind, random):
    """A driver of a kind, by what it is made of."""
    size, body, share, pitch, field, Qms, Qes, metals = KINDS[kind]
    while True:
        diameter, on_area, share_, pitch_, field_, Qms_ = (
            np.exp(random.uniform(*np.log(span))) for span in (size, body, share, pitch, field, Qms)
        )
        radius = diameter * mm / 2
        coil = on_area * np.pi * radius**2 * share_
        Mms = on_area * np.pi * radius**2 + coil + 16 / 3 * AIR.density * radius**3
        ws = 2 * np.pi * pitch_ / (2 * radius)
        Re = random.choice([1.7, 3.4, 3.5, 5.6, 6.6]) * random.uniform(0.93, 1.07)
        Bl = field_ * np.sqrt(coil * Re / random.choice(metals))
        if Qes[0] <= ws * Mms * Re / Bl**2 <= Qes[1]:
            return Driver(Re=Re, Bl=Bl, Mms=Mms, Cms=1 / (ws**2 * Mms), Rms=ws * Mms / Qms_, Sd=np.pi * radius**2)


def drivers(count, seed):
    """So many drivers of each kind, with the name of the kind."""
    random = np.random.default_rng(seed)
    return [(kind, built(kind, random)) for kind in KINDS for _ in range(count)]


def sheet(driver, names=SIX, digits=2, **changed):
    """What its sheet prints, in so many digits; what is changed is multiplied."""
    values = {name: getattr(driver, name) * changed.get(name, 1.0) for name in names}
    return {name: float(f"{value:.{digits}g}") for name, value in values.items()}


def doubt(printed):
    """The question about a sheet that is unusual, or the refusal of one that cannot be; empty if there is neither."""
    try:
        questions = Driver.from_data_sheet(**printed).report.questions
    except ValueError as error:
        return str(error)
    return next((line for line in questions if line.startswith("Is that right?")), "")


def test_right_sheets_of_six_numbers_are_not_doubted():
    """At most 1 in 30; of 300 drivers from 14 to 395 mm, and of every one of the demonstration."""
    doubted = [kind for kind, driver in drivers(50, seed=11) if doubt(sheet(driver))]
    assert len(doubted) <= 10, Counter(doubted)
    for name, driver in demo_drivers().items():
        assert doubt(sheet(driver)) == "", name


@pytest.mark.parametrize("digits", [2, 3])
def test_right_sheets_that_print_more_do_not_contradict_themselves(digits):
    """At most 1 in 30; with the level as printed to half or to a twentieth of a decibel."""
    found = 0
    cases = [*drivers(25, seed=12), *demo_drivers().items()]
    for _, driver in cases:
        printed = sheet(driver, FULL, digits)
        level = 20 * np.log10(2.83 * AIR.density * driver.Bl * driver.Sd / (2 * np.pi * driver.Re * driver.Mms) / 20e-6)
        report = Driver.from_data_sheet(**printed, sensitivity_2V83=round(level, digits - 2), rated_impedance=4).report
        found += bool(report.contradictory)
    assert found <= len(cases) / 30


# What is printed over what is right, what is named, the least share that is asked about, and of those the least share
# where that is among the one or two places named. Measured over 180 others: 96 and 98 %, 100 and 94, 100 and 100, 100
# and 99, 100 and 96, 99 and 88, 95 and 92, 84 and 91. The floors leave room for the chance of 60 drivers.
SLIPS = [
    ({"Sd": 1 / 6.4516}, "Sd, as if square inches had been taken for cm²", 0.8, 0.7),
    ({"Vas": 1 / 28.3168}, "Vas, as if cubic feet had been taken for litres", 0.9, 0.75),
    ({"fs": 0.1}, "fs, as if the decimal point had slipped", 0.95, 0.9),
    ({"fs": 10}, "fs, as if the decimal point had slipped", 0.95, 0.8),
    ({"Sd": 0.1}, "Sd, as if the decimal point had slipped", 0.95, 0.75),
    ({"Sd": 10}, "Sd, as if the decimal point had slipped", 0.9, 0.65),
    ({"Vas": 0.1}, "Vas, as if the decimal point had slipped", 0.8, 0.65),
    ({"Vas": 10}, "Vas, as if the decimal point had slipped", 0.7, 0.65),
]


@pytest.mark.parametrize(("changed", "named", "seen_at_least", "named_at_least"), SLIPS, ids=lambda value: str(value))
def test_a_slip_in_six_numbers_is_asked_about_and_named(changed, named, seen_at_least, named_at_least):
    said = [doubt(sheet(driver, **changed)) for _, driver in drivers(10, seed=13)]
    seen = [text for text in said if text]
    assert len(seen) >= seen_at_least * len(said)
    assert sum(named in text for text in seen) >= named_at_least * len(seen)


@pytest.mark.parametrize("names", [SIX, FULL])
def test_exchanged_q_is_recognised(names):
    """Of cones; of domes Qms lies so near to Qes that six numbers do not tell."""
    cones = [driver for kind, driver in drivers(8, seed=14) if kind != "dome"]
    told = 0
    for driver in cones:
        right = sheet(driver, names)
        wrong = right | {"Qes": right["Qms"], "Qms": right["Qes"]}
        report = Driver.from_data_sheet(**wrong).report
        if names is SIX:
            told += "Look first at Qes, as if Qes and Qms had been exchanged" in doubt(wrong)
        elif report.contradictory:
            assert {entry.name for entry in report.contradictory} == {"Qes", "Qms"}
            assert all("as if Qes and Qms had been exchanged" in str(entry) for entry in report.contradictory)
            assert report.contradictory[0].implied == pytest.approx(right["Qes"], rel=0.05)
            told += 1
    assert told >= 0.9 * len(cones)


def test_the_rated_impedance_printed_for_the_resistance_is_recognised():
    """A coil of 3.2 to 3.6 ohm in a sheet that says 4 of both: a full sheet of three digits tells, of six numbers it is
    asked about."""
    random = np.random.default_rng(15)
    cases = [driver for _, driver in drivers(10, seed=15)]
    for driver in cases:
        Re = random.uniform(3.2, 3.6)
        driver = Driver(Re=Re, Bl=driver.Bl, Mms=driver.Mms, Cms=driver.Cms, Rms=driver.Rms, Sd=driver.Sd)
        report = Driver.from_data_sheet(**sheet(driver, FULL, 3) | {"Re": 4.0}, rated_impedance=4).report
        assert report.contradictory[0].name == "Re"
        assert "as if the rated impedance had been printed instead" in str(report.contradictory[0])
        assert report.contradictory[0].implied == pytest.approx(Re, rel=0.02)
        asked = Driver.from_data_sheet(**sheet(driver) | {"Re": 4.0}, rated_impedance=4).report.questions
        assert any("or the rated impedance again?" in line for line in asked)
        asked = Driver.from_data_sheet(**sheet(driver), rated_impedance=4).report.questions
        assert not any("rated impedance again" in line for line in asked)


@pytest.mark.parametrize(
    ("driver", "said"),
    [
        # 636 g on 330 cm2; and a small bass with a motor too weak for its cone
        ({"fs": 35, "Qes": 0.45, "Qms": 5, "Vas": 5.02 * litre, "Sd": 0.033, "Re": 3.4}, "would be 636"),
        ({"fs": 60, "Qes": 4.5, "Qms": 5, "Vas": 0.1 * litre, "Sd": 0.0035, "Re": 3.4}, "of the power would become"),
    ],
)
def test_what_no_maker_would_sell_is_asked_about(driver, said):
    assert said in doubt(driver)


def test_a_question_tells_what_would_fit():
    """137 cm2 are 21.2 square inches."""
    asked = doubt({"fs": 58, "Qes": 0.6, "Qms": 4.5, "Vas": 15 * litre, "Sd": 21.2e-4, "Re": 3.4})
    assert "Sd, as if square inches had been taken for cm² (136.8 cm² would fit)" in asked
    assert "(Common practice, no source.)" in asked


def test_a_level_is_no_slipped_point():
    """Printed 20 dB too high it is ten times the pressure, and yet no level loses its point."""
    sheet = {"fs": 58, "Qes": 0.6, "Qms": 4.5, "Sd": 0.0137, "Re": 3.4, "rated_impedance": 4}
    report = Driver.from_data_sheet(**sheet, sensitivity_2V83=112.6).report
    asked = next(line for line in report.questions if line.startswith("Is that right?"))
    assert "sensitivity" not in asked
    assert "Look first at" in asked


def test_a_sheet_that_cannot_be_is_refused_with_the_likely_slip():
    """A tenth of the resonance makes a hundred times the mass: 31 kg here, by 1 / ((2 pi fs)^2 Cms)."""
    with pytest.raises(
        ValueError, match=r"Mms would be 3\.0\d+e\+04 g.* Look first at fs, as if the decimal point had slipped"
    ):
        Driver.from_data_sheet(fs=2.5, Qes=0.45, Qms=7, Vas=45 * litre, Sd=0.049, Re=3.4)


@pytest.mark.parametrize(
    ("wrong", "sheet"),
    [
        ("Sd", {"Qts": 0.4545, "Qes": 0.5, "Sd": 0.137, "Bl": 5.91, "Mms": 0.01487, "Cms": 0.563e-3, "Rms": 1.03}),
        ("Mms", {"Sd": 0.0137, "Bl": 5.9, "Mms": 0.149}),
    ],
)
def test_of_two_slips_that_explain_it_the_more_usual_driver_is_believed(wrong, sheet):
    """A cone of 137 cm2 and 14.9 g, 92.7 dB at 2.83 V; the point of one value slipped."""
    report = Driver.from_data_sheet(fs=55, Qms=5, Vas=0.015, Re=3.4, **sheet).report
    assert [doubt.name for doubt in report.contradictory] == [wrong]
    assert report.implied["sensitivity_2V83"] == pytest.approx(92.7, abs=0.1)
