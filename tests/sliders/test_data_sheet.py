"""What the page on data sheets answers, against the textbook's formulas and the sheets as they are printed."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Air, Driver
from lumpedbox.sliders.lessons.data_sheet import (
    AT_VOLTS,
    AT_WATT,
    NOW,
    RESONANCE,
    SHEET,
    TOTAL_Q,
    VAS,
    data_sheet,
)
from lumpedbox.tables import demo_sheets
from lumpedbox.tables.shipped import data_folder
from lumpedbox.units import litre
from tests.conftest import rows_of
from tests.sliders.conftest import detail, details

PANEL = demo_sheets()["165 mm panel"].driver


@pytest.fixture
def page():
    return data_sheet()


def by_hand(Mms, Cms, Bl, Re, Sd, Rms):
    """fs, Qts, Vas, and the level at 1 m in half space well above fs for one volt, by the textbook's formulas.

    Source: R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20 (1972), from memory.
    """
    air = Air()
    ws = 1 / np.sqrt(Mms * Cms)
    Qts = ws * Mms / (Rms + Bl**2 / Re)
    pressure = air.density * Sd * Bl / (2 * np.pi * Mms * Re)
    return ws / (2 * np.pi), Qts, air.density * air.sound_speed**2 * Sd**2 * Cms, 20 * np.log10(pressure / 20e-6)


def moved(driver, mass=1.0, compliance=1.0, motor=1.0, area=1.0, coil=1.0):
    """What the sliders make of a driver; a coil wound for k times the ohms has sqrt(k) times the force factor."""
    return {
        "Mms": driver.Mms * mass,
        "Cms": driver.Cms * compliance,
        "Bl": driver.Bl * motor * np.sqrt(coil),
        "Re": driver.Re * coil,
        "Sd": driver.Sd * area,
        "Rms": driver.Rms,
    }


STATES = [
    {},
    {"mass": 1.3, "compliance": 0.7, "motor": 1.2, "area": 0.9, "coil": 2.0},
    {"mass": 2.0},
    {"coil": 0.5},
    {"area": 2.0, "compliance": 0.5},
]


@pytest.mark.parametrize("places", STATES)
def test_facts_are_the_textbook_s(page, places):
    page.put(**places)
    made_of = moved(PANEL, **places)
    fs, Qts, Vas, level = by_hand(**made_of)
    now = {fact.name: fact[NOW]["now"] for fact in page.answer.facts}
    assert now[RESONANCE] == pytest.approx(fs, rel=1e-9)
    assert now[TOTAL_Q] == pytest.approx(Qts, rel=1e-9)
    assert now[VAS] == pytest.approx(Vas, rel=1e-9)
    assert now[AT_VOLTS] == pytest.approx(level + 20 * np.log10(2.83), abs=1e-9)
    rated = 4.0 * places.get("coil", 1.0)
    assert now[AT_WATT] == pytest.approx(level + 10 * np.log10(rated), abs=1e-9)
    assert page.answer.conditions["rated"] == pytest.approx(rated)
    told = detail(page, "The moving mass is")
    told = {"Mms": told["mass"], "Cms": told["compliance"], "Bl": told["force"], "Re": told["ohms"]}
    assert told == pytest.approx({name: made_of[name] for name in told})


PRINTED = {AT_VOLTS: "sensitivity 2V83 [dB]", RESONANCE: "fs [Hz]", TOTAL_Q: "Qts", VAS: "Vas [L]"}


def columns_of_the_file():
    return {row["name"]: row for row in rows_of(data_folder() / "drivers.csv")}


def test_beside_them_stands_what_the_sheet_prints(page):
    """As it stands in data/drivers.csv; what is not printed stays empty, and sliders change nothing of it."""
    rows, seen = columns_of_the_file(), 0
    for name in page.controls["sheet"].options:
        page.put(sheet=name, mass=1.5)
        for fact, column in PRINTED.items():
            printed, told = rows[name][column], page.answer[fact].values
            assert (SHEET in told) == bool(printed), (name, fact)
            if printed:
                value = float(printed) * (litre if fact == VAS else 1.0)
                assert told[SHEET]["printed"] == pytest.approx(value), (name, fact)
                seen += 1
    assert seen > 40


def test_the_headline_at_the_start(page):
    """165 mm panel: 92.6 dB are printed; the textbook's formula gives that from the other numbers."""
    level = by_hand(**moved(PANEL))[3] + 20 * np.log10(2.83)
    assert level == pytest.approx(92.6, abs=0.05)
    assert page.answer.headline.text("metric") == "92.6 dB at 2.83 V, as the sheet prints."


SIX = {"fs": 58, "Qes": 0.60, "Qms": 4.5, "Vas": 15 * litre, "Sd": 0.0137, "Re": 3.4, "rated_impedance": 4}


@pytest.mark.parametrize(("name", "at"), [("sensitivity_2V83", "2.83 V"), ("sensitivity_1W", "1 W")])
@pytest.mark.parametrize("off", [0.3, -0.2, 0.02])
def test_the_headline_tells_the_printed_sensitivity(name, at, off):
    """1 W into 4 ohm are 2 V. The level follows from the six numbers alone: a printed one changes none of them."""
    level = by_hand(**moved(Driver.from_data_sheet(**SIX).driver))[3] + 20 * np.log10(2.83 if at == "2.83 V" else 2.0)
    page = data_sheet({"mine": Driver.from_data_sheet(**SIX, **{name: level + off})})
    words, printed = page.answer.headline.text("metric"), f"{level:.1f} dB at {at}"
    if abs(off) < 0.05:
        assert words == f"{printed}, as the sheet prints."
    else:
        assert words == f"{printed}: {abs(off):.1f} dB {'below' if off > 0 else 'above'} what the sheet prints."


def test_a_sheet_without_a_sensitivity():
    sheet = Driver.from_data_sheet(**SIX)
    level = by_hand(**moved(sheet.driver))[3] + 20 * np.log10(2.83)
    words = data_sheet({"mine": sheet}).answer.headline.text("metric")
    assert words == f"{level:.1f} dB at 2.83 V; the sheet prints no sensitivity."


@pytest.mark.parametrize("slider", ["mass", "compliance", "coil", "motor", "area"])
@pytest.mark.parametrize("times", [0.5, 1.6, 2.0])
def test_what_decides_above_and_below(page, closed_form, slider, times):
    """Well above fs by the textbook's formula; below at a quarter of fs by its closed form of a driver in a panel.
    Twice the mass: 6 dB less above fs, next to nothing below; twice the compliance the other way round."""
    page.put(**{slider: times})
    made_of = moved(PANEL, **{slider: times})
    above = by_hand(**made_of)[3] - by_hand(**moved(PANEL))[3]
    low, inductance = PANEL.fs / 4, PANEL.Le * (times if slider == "coil" else 1.0)
    after = closed_form(dataclasses.replace(PANEL, **made_of, Le=inductance), low, 2.83).level
    below = after - closed_form(PANEL, low, 2.83).level
    words = page.answer.headline.text("metric")
    assert words == f"At 2.83 V, against its sheet: {told(above)} above fs, {told(below)} below it."
    assert detail(page, "The figure below fs")["low"] == pytest.approx(PANEL.fs / 4)
    expected = {"mass": (-6.02, 0.0), "compliance": (0.0, 6.02)}
    if times == 2.0 and slider in expected:
        assert (above, below) == pytest.approx(expected[slider], abs=2.0)


def told(change):
    if abs(change) < 0.05:
        return "as loud"
    return f"{abs(change):.1f} dB {'louder' if change > 0 else 'softer'}"


def test_the_printed_sensitivity_is_drawn(page):
    for name, level in (("120 mm roof, high hopes", 97.1), ("200 mm bass", 89.6)):
        page.put(sheet=name)
        assert np.all(page.scene.stack.values("printed for volts", "level")[1] == level)
    page.put(sheet="200 mm step well, tired")
    for name in ("printed for volts", "printed for a watt"):
        assert not np.isfinite(page.scene.stack.values(name, "level")[1]).any()


# The faults that were put into data/drivers.csv, by the names of the sheets; the rest of each is consistent, so what it
# makes of the number follows from closed forms: 1/Qts = 1/0.44 + 1/5.2; the passband's level; the mass by fs and Cms;
# Vas by rho c^2 Sd^2 Cms.
CONTRADICTORY = {
    "120 mm roof, high hopes": ("sensitivity at 2.83 V", "97.1 dB"),
    "200 mm bass, misprinted Q": ("Qts", "0.55"),
    "165 mm panel, cone weighed dry": ("Mms", "11.3 g"),
    "250 mm bass, generous suspension": ("Vas", "80 litres"),
}


@pytest.mark.parametrize(("name", "printed"), CONTRADICTORY.items())
def test_what_disagrees_comes_first(page, name, printed):
    assert "Nothing on the sheet contradicts the rest of it." in details(page)
    page.put(sheet=name)
    what, value = printed
    words = page.answer.headline.text("metric")
    assert words.startswith(f"The sheet contradicts itself: {what} is printed as {value}, but the rest implies ")
    driver = demo_sheets()[name].driver
    implied = page.answer.headline.numbers["it"]["implied"]
    exact = {
        "sensitivity at 2.83 V": by_hand(**moved(driver))[3] + 20 * np.log10(2.83),
        "Qts": 1 / (1 / 0.44 + 1 / 5.2),
        "Mms": 1 / ((2 * np.pi * 62) ** 2 * 0.488e-3),
        "Vas": Air().stiffness * driver.Sd**2 * 0.324e-3,
    }[what]
    assert implied == pytest.approx(exact, rel=3e-3)
    assert "Nothing on the sheet" not in details(page)
    assert f"On the sheet {what} is printed as {value}" in details(page)
    page.put(mass=1.5)
    assert page.answer.headline.text("metric").startswith("At 2.83 V, against its sheet:"), "the sliders come first"


def test_a_slip_and_its_likes_are_told(page):
    page.put(sheet="120 mm roof, high hopes")
    assert "most of the other numbers would explain it as well" in details(page)
    sheet = {"fs": 58, "Qes": 0.60, "Qms": 4.5, "Vas": 15 * litre, "Sd": 0.0137, "Re": 3.4, "Bl": 5.27, "Mms": 0.0134}
    found = Driver.from_data_sheet(**sheet | {"Vas": 150 * litre}, rated_impedance=4, sensitivity_2V83=92.6)
    page = data_sheet({"mine": found})
    assert page.answer.headline.text("metric").startswith("The sheet contradicts itself: Vas is printed as 150 litres")
    assert "That looks as if the decimal point had slipped." in details(page)


def test_too_good_an_efficiency_is_said(page):
    """4 pi^2 fs^3 Vas / (c^3 Qes) above 5 % (Small 1972, from memory); without a warning on the page."""
    assert "more than 5 %" not in details(page)
    page.put(mass=0.5, motor=2.0, area=2.0)
    driver = page.scene.responses["volts"].loudspeaker.driver
    assert 4 * np.pi**2 * driver.fs**3 * driver.Vas / (Air().sound_speed ** 3 * driver.Qes) > 0.05
    assert page.message == ""
    assert "This driver turns more than 5 % of the power into sound." in details(page)


@pytest.mark.parametrize("places", [{}, {"compliance": 2.0}, {"motor": 2.0, "mass": 0.5}, {"sheet": "75 mm roof"}])
def test_where_the_cone_passes_its_travel(page, closed_form, places):
    page.put(**places)
    sheet = demo_sheets()[page.values["sheet"]].driver
    sliders = {name: value for name, value in places.items() if name != "sheet"}
    grid = np.geomspace(10, 1000, 4000)
    over = closed_form(dataclasses.replace(sheet, **moved(sheet, **sliders)), grid, 2.83).excursion > sheet.xmax
    told = detail(page, "cone within its travel").numbers["within"]
    if not over.any():
        assert told.text("metric") == "always"
        return
    edges = grid[:-1][over[:-1] != over[1:]]
    said = [told.numbers["over"][name] for name in ("to0", "from1", "to1") if name in told.numbers["over"].numbers]
    assert said == pytest.approx(edges[: len(said)], rel=0.03)  # the grid has 24 steps an octave


def test_stand_ins_and_tweeters_are_left_out(page):
    offered = page.controls["sheet"].options
    assert not [name for name in offered if "stand-in" in name or "tweeter" in name]
    assert len(offered) >= 14
