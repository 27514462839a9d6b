"""What a measurement tells of a driver beyond its sheet: kept as typed, read back, and used for bands."""

import pytest

from lumpedbox.parts.spread import Spread
from lumpedbox.parts.stand_in import SPREAD, stands_in
from lumpedbox.tables.as_measured import in_percent, spread_in
from lumpedbox.tables.entries import known_of
from lumpedbox.tables.my_parts import keep, read, read_what_is_right

TYPED = {"Re": "3.4 ohm", "Bl": "5.6 N/A", "Mms": "14.5 g", "Cms": "0.52 mm/N", "Rms": "1.1 N s/m", "Sd": "137 cm²"}
BESIDE = {"semi_inductance": "0.02 ohm s^n", "semi_exponent": "0.62", "spread": "Bl 0.4 %, Mms 0.5 %, xmax 5 %"}


def test_a_measured_driver_has_its_coil_and_its_spread(tmp_path):
    keep("driver", "one", TYPED | BESIDE, tmp_path / "parts.toml")
    driver = read(tmp_path / "parts.toml").parts["driver"]["one"].driver
    assert (driver.semi_inductance, driver.semi_exponent) == (0.02, 0.62)
    assert driver.spread == Spread(Bl=0.004, Mms=0.005, xmax=0.05)
    assert not stands_in(driver)


def test_without_a_measurement_nothing_changes(tmp_path):
    keep("driver", "one", TYPED, tmp_path / "parts.toml")
    driver = read(tmp_path / "parts.toml").parts["driver"]["one"].driver
    assert (driver.semi_inductance, driver.spread) == (0.0, None)
    assert not stands_in(driver)


def test_a_stand_in_is_one_still(tmp_path):
    keep("driver", "one", {"size": "165 mm", "kind": "woofer", "xmax": "4 mm"}, tmp_path / "parts.toml")
    driver = read(tmp_path / "parts.toml").parts["driver"]["one"].driver
    assert stands_in(driver)
    assert driver.spread.Mms == SPREAD.Mms


def test_a_spread_in_words_is_read_back():
    spread = Spread(Re=0.02, Bl=0.00173, Cms=0.1)
    assert in_percent(spread) == "Re 2 %, Bl 0.173 %, Cms 10 %"
    back = spread_in(in_percent(spread))
    assert [back.Re, back.Bl, back.Cms, back.Mms] == pytest.approx([0.02, 0.00173, 0.1, 0.0])
    assert spread_in(" Bl 1%; Mms 2 %") == Spread(Bl=0.01, Mms=0.02)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("3 %", "write it as in Re 0.3 %"),
        ("Bl 3", "write it as in Re 0.3 %"),
        ("Bl 3 % and Mms 2 %", "write it as in Re 0.3 %"),
        ("Qts 3 %", "'Qts' has no spread; choose from Re, Bl"),
        ("Bl 300 %", "between 0 and 1"),
    ],
)
def test_a_slip_is_named(typed, said, tmp_path):
    with pytest.raises(ValueError, match=said):
        known_of("driver", {"spread": typed})
    path = tmp_path / "parts.toml"
    path.write_text(f'[driver.one]\nspread = "{typed}"\n', encoding="utf-8")
    assert said in read_what_is_right(path)[1][0]
