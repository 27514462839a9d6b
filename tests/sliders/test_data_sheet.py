"""What the page on data sheets says and draws, against closed forms."""

import re

import numpy as np
import pytest

from lumpedbox import Air
from lumpedbox.sliders.lessons.data_sheet import data_sheet
from lumpedbox.tables import demo_sheets

CONTRADICTORY = [name for name, sheet in demo_sheets().items() if sheet.report.contradictory]


@pytest.fixture
def page():
    return data_sheet()


def by_hand(Mms, Cms, Bl, Re, Sd, Rms):
    """fs, Qts, Vas [L], and the level at 1 m in half space well above fs for one volt, by the textbook's formulas.

    Source: R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20 (1972), from memory.
    """
    air = Air()
    ws = 1 / np.sqrt(Mms * Cms)
    Qts = ws * Mms / (Rms + Bl**2 / Re)
    pressure = air.density * Sd * Bl / (2 * np.pi * Mms * Re)
    return ws / (2 * np.pi), Qts, 1e3 * air.density * air.sound_speed**2 * Sd**2 * Cms, 20 * np.log10(pressure / 20e-6)


def test_the_sentence_is_computed_anew(page):
    moved = {"mass": 1.3, "compliance": 0.7, "motor": 1.2, "area": 0.9, "coil": 2.0}
    for name, value in moved.items():
        page.controls[name].value = value
    sheet = demo_sheets()["165 mm panel"].driver
    Bl, Re = sheet.Bl * 1.2 * np.sqrt(2), sheet.Re * 2
    fs, Qts, Vas, level = by_hand(sheet.Mms * 1.3, sheet.Cms * 0.7, Bl, Re, sheet.Sd * 0.9, sheet.Rms)
    assert f"A moving mass of {1300 * sheet.Mms:.1f} g, a compliance of {700 * sheet.Cms:.3f} mm/N" in page.sentence
    assert f"a force factor of {Bl:.1f} N/A and a coil of {Re:.1f} ohm" in page.sentence
    assert f"fs = {fs:.1f} Hz, Qts = {Qts:.2f} and Vas = {Vas:.1f} litres" in page.sentence
    at_volts, at_watt = level + 20 * np.log10(2.83), level + 10 * np.log10(8)  # 1 W into twice 4 ohm
    assert f"{at_volts:.1f} dB at 2.83 V and {at_watt:.1f} dB at 1 W into 8.0 ohm" in page.sentence
    before = by_hand(sheet.Mms, sheet.Cms, sheet.Bl, sheet.Re, sheet.Sd, sheet.Rms)[3]
    assert f"that is {level - before:+.1f} dB well above fs" in page.sentence


@pytest.mark.parametrize(("slider", "above", "below"), [("mass", -6.02, 0.0), ("compliance", 0.0, 6.02)])
def test_what_decides_above_and_below(page, slider, above, below):
    """Twice the mass: 6 dB less above fs, next to nothing below; twice the compliance the other way round. The motor's
    brake blunts what the suspension does at a quarter of fs, by 20 lg of |1 - x^2 + jx / Qts|."""
    page.controls[slider].value = 2.0
    said = re.search(
        r"that is ([-+][\d.]+) dB well above fs and ([-+][\d.]+) dB well below it, at (\d+) Hz", page.sentence
    )
    assert float(said[1]) == pytest.approx(above, abs=0.051)
    sheet = demo_sheets()["165 mm panel"].driver
    drag = 1j * 0.25 / sheet.Qts
    before, after = abs(1 - 0.25**2 + drag), abs((1 - 2 * 0.25**2 if slider == "mass" else 0.5 - 0.25**2) + drag)
    assert float(said[2]) == pytest.approx(20 * np.log10(before / after), abs=0.06)
    assert float(said[2]) == pytest.approx(below, abs=2.0)
    assert int(said[3]) == round(sheet.fs / 4)


def test_the_printed_sensitivity_is_drawn(page):
    for name, level in (("120 mm roof, high hopes", 97.1), ("200 mm bass", 89.6)):
        page.controls["sheet"].value = name
        assert np.all(page.scene.stack.values("printed for volts", "level")[1] == level)
    page.controls["sheet"].value = "200 mm step well, tired"
    assert np.all(np.isnan(page.scene.stack.values("printed for volts", "level")[1]))
    assert np.all(np.isnan(page.scene.stack.values("printed for a watt", "level")[1]))


def test_contradictions_are_said(page):
    assert "Nothing on the sheet contradicts the rest of it" in page.sentence
    assert len(CONTRADICTORY) >= 3
    for name in CONTRADICTORY:
        page.controls["sheet"].value = name
        entry = demo_sheets()[name].report.contradictory[0]
        assert f"The sheet contradicts itself: {entry}." in page.sentence


def test_too_good_an_efficiency_is_said(page):
    """Without a warning on the page of who moved three sliders."""
    for name, value in {"mass": 0.5, "motor": 2.0, "area": 2.0}.items():
        page.controls[name].value = value
    assert page.message == ""
    assert "efficiency is above 5 %" in page.sentence


def test_stand_ins_and_tweeters_are_left_out(page):
    offered = page.controls["sheet"].widget.options
    assert not [name for name in offered if "stand-in" in name or "tweeter" in name]
    assert len(offered) >= 14
