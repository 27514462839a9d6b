"""The invented data: what is in it, that its sheets agree with themselves, and that those that do not are caught.

Source of the level: p = rho Bl Sd V / (2 pi r Re Mms), R. H. Small, "Direct-radiator loudspeaker system analysis",
JAES 20(5) (1972), as derived; written out here in fs, Qes, Vas, Sd, Re without the library's formulas.
"""

import numpy as np
import pytest

from lumpedbox import Air
from lumpedbox.tables import demo_amplifiers, demo_cabins, demo_drivers, demo_head_units, demo_sheets, read_drivers
from lumpedbox.tables.shipped import data_folder
from tests.conftest import rows_of

# What is wrong on purpose: name: what the sheet misprints.
DOUBTFUL = {
    "120 mm roof, high hopes": "sensitivity_2V83",
    "200 mm bass, misprinted Q": "Qts",
    "165 mm panel, cone weighed dry": "Mms",
    "250 mm bass, generous suspension": "Vas",
}
PLACES = (
    *("19 mm", "25 mm", "75 mm", "100 mm", "120 mm", "130 mm", "165 mm", "200 mm panel", "oval"),
    *("200 mm bass", "250 mm bass", "300 mm bass", "shallow", "two coils"),
)


def printed_rows():
    return {row["name"]: row for row in rows_of(data_folder() / "drivers.csv")}


def level_by_formula(row):
    """2.83 V at 1 m, from the printed numbers."""
    number = {heading.split(" [")[0]: float(cell) for heading, cell in row.items() if cell.replace(".", "").isdigit()}
    rho, c = Air().density, Air().sound_speed
    ws, Sd = 2 * np.pi * number["fs"], number["Sd"] * 1e-4
    Qes = number.get("Qes") or 1 / (1 / number["Qts"] - 1 / number["Qms"])
    Mms = number["Mms"] * 1e-3 if "Mms" in number else rho * c**2 * Sd**2 / (number["Vas"] * 1e-3 * ws**2)
    Bl = np.sqrt(ws * Mms * number["Re"] / Qes)
    return 20 * np.log10(rho * Bl * Sd * 2.83 / (2 * np.pi * number["Re"] * Mms) / 20e-6)


def test_every_size_of_the_scenario_is_there():
    assert all(any(place in name for name in demo_drivers()) for place in PLACES)
    assert {"sixteen-seat minibus", "small hatchback"} <= demo_cabins().keys()
    assert demo_amplifiers()
    assert demo_head_units()


def test_consistent_sheets_print_the_sensitivity_that_follows():
    rows = {n: row for n, row in printed_rows().items() if row["sensitivity 2V83 [dB]"] and n not in DOUBTFUL}
    assert len(rows) >= 14
    for name, row in rows.items():
        assert float(row["sensitivity 2V83 [dB]"]) == pytest.approx(level_by_formula(row), abs=0.3), name


def test_the_doubtful_sheets_are_caught_and_only_those():
    caught = {name: sheet.report.contradictory for name, sheet in demo_sheets().items() if sheet.report.contradictory}
    assert {name: found[0].name for name, found in caught.items()} == DOUBTFUL


def test_a_table_with_contradictions_is_read_and_told():
    with pytest.warns(UserWarning, match=r"drivers\.csv \(.*\): .* is printed as") as told:
        drivers = read_drivers(data_folder() / "drivers.csv")
    assert len(told) == len(DOUBTFUL)
    assert list(drivers) == list(demo_drivers())


def test_printed_numbers_come_back_as_printed():
    """The sensitivity and the Qts that a maker works out and rounds do not bend what they were worked out from."""
    rows, drivers = printed_rows(), demo_drivers()
    for name in ("100 mm roof", "130 mm step well", "165 mm panel", "200 mm bass", "250 mm bass"):
        assert drivers[name].fs == pytest.approx(float(rows[name]["fs [Hz]"]), rel=1e-9)
        assert drivers[name].Qes == pytest.approx(float(rows[name]["Qes"]), rel=1e-9)
        assert drivers[name].Vas == pytest.approx(float(rows[name]["Vas [L]"]) * 1e-3, rel=1e-9)


def test_incomplete_sheets_leave_open_what_they_do_not_print():
    sheets = demo_sheets()
    assert sheets["150 x 230 mm oval shelf"].driver.xmax is None
    assert sheets["130 mm rear panel"].driver.power is None  # a maximum says nothing about heat
    assert sheets["250 mm bass, generous suspension"].driver.xmax == pytest.approx(9e-3)  # printed peak to peak


def test_rows_without_any_number_are_stand_ins():
    stand_ins = {name: driver for name, driver in demo_drivers().items() if driver.spread is not None}
    assert len(stand_ins) == 2
    assert all(name.endswith(", stand-in") for name in stand_ins)
    assert all("stand-in" in demo_sheets()[name].report.assumed[0] for name in stand_ins)
