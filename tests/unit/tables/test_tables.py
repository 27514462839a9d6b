"""Tables of drivers and cabins: every heading with its unit, every mistake named."""

import dataclasses
import subprocess
import sys

import numpy as np
import pytest

from lumpedbox import Cabin, InfiniteBaffle, Loudspeaker, solve
from lumpedbox.tables import demo_cabins, demo_drivers, read_drivers, read_levels, read_parts
from lumpedbox.tables.shipped import data_folder
from lumpedbox.units import cm2, cubic_foot, litre, mH, mm

HEADINGS = "name,fs [Hz],Qes,Qms,Vas [L],Sd [cm^2],Re [ohm],Le [mH],xmax [mm]"
ROW = "woofer,35,0.45,5,60,330,3.4,0.5,6"


@pytest.fixture
def table(tmp_path):
    def write(text, encoding="utf-8"):
        path = tmp_path / "mine.csv"
        path.write_text(text, encoding=encoding)
        return path

    return write


def test_a_table_in_its_own_units(table):
    driver = read_drivers(table(f"# a remark\n{HEADINGS}\n{ROW}\n"))["woofer"]
    assert driver.fs == pytest.approx(35, rel=1e-12)
    assert driver.Vas == pytest.approx(60 * litre, rel=1e-12)
    assert driver.Sd == pytest.approx(330 * cm2, rel=1e-12)
    assert driver.Le == pytest.approx(0.5 * mH, rel=1e-12)
    assert driver.xmax == pytest.approx(6 * mm, rel=1e-12)


@pytest.mark.parametrize(
    ("heading", "cell", "si"),
    [
        # International yard and pound agreement (1959): an inch is 25.4 mm, so a cubic foot 28.316846592 litres.
        ("Vas [ft^3]", "2.5", 2.5 * 28.316846592e-3),
        ("Vas [m^3]", "0.06", 0.06),
        ("Vas [litre]", "60", 0.06),
        ("Vas [cubic_foot]", "2.5", 2.5 * cubic_foot),
        ("Vas [cm^3]", "60000", 0.06),
    ],
)
def test_units_as_people_write_them(table, heading, cell, si):
    text = f"{HEADINGS}\n{ROW}\n".replace("Vas [L]", heading).replace(",60,", f",{cell},")
    assert read_drivers(table(text))["woofer"].Vas == pytest.approx(si, rel=1e-12)


def test_a_driver_by_what_it_is_made_of(table):
    text = "name,Re [ohm],Bl [N/A],Mms [g],Cms [mm/N],Rms [kg/s],Sd [cm^2]\nwoofer,3.4,9.4,53,0.39,2.3,330\n"
    driver = read_drivers(table(text))["woofer"]
    assert driver.Mms == pytest.approx(0.053)
    assert driver.fs == pytest.approx(1 / (2 * np.pi * np.sqrt(0.053 * 0.39e-3)))


def test_a_stand_in_may_not_take_the_name_of_another_row(table):
    rows = '"roof, stand-in",35,0.45,5,60,330,3.4,,\nroof,,,,,,,100,full range'
    with pytest.raises(ValueError, match=r"^mine\.csv: two rows would be named 'roof, stand-in'"):
        read_drivers(table(f"name,fs [Hz],Qes,Qms,Vas [L],Sd [cm^2],Re [ohm],size [mm],kind\n{rows}\n"))


def test_an_empty_cell_is_unknown(table):
    assert read_drivers(table(f"{HEADINGS}\n{ROW.removesuffix('6')}\n"))["woofer"].xmax is None


def test_spreadsheets_that_mark_their_encoding(table):
    assert list(read_drivers(table(f"{HEADINGS}\n{ROW}\n", encoding="utf-8-sig"))) == ["woofer"]


@pytest.mark.parametrize(
    ("change", "to", "said"),
    [
        (
            "Vas [L]",
            "Vas [m^3]",
            "mine.csv, row 2, column 'Vas \\[m\\^3\\]', '60': it must be .* m\\^3 .*did you mean 60 litre",
        ),
        ("Vas [L]", "Vas [Hz]", "row 1: in heading 'Vas \\[Hz\\]', 'Hz' cannot be converted to m3"),
        ("Vas [L]", "Vas", "row 1: heading 'Vas' has no unit: write it in brackets, as in \\[m3\\]"),
        ("Vas [L]", "Vas [liters per wish]", "row 1: in heading .*, 'liters per wish' is not a known unit"),
        ("Vas [L]", "Vass [L]", "row 1: heading 'Vass \\[L\\]' is not known: did you mean 'Vas'"),
        ("Qes", "Qes [Hz]", "row 1: heading 'Qes \\[Hz\\]' has a unit, but electrical Q"),
        ("Qms", "Qes", "'Qes' appears in two headings"),
        ("name,", "what,", "heading 'what' is not known"),
        (",60,", ',"60,5",', "row 2, column 'Vas \\[L\\]': '60,5' is not a number: did you mean 60.5"),
        (",60,", ",sixty,", "row 2, column 'Vas \\[L\\]': 'sixty' is not a number"),
        (",60,", ",,", "row 2 \\(woofer\\): .*\\(fs, Qes, Qms, Sd, Re\\) is not enough to .*: add Vas or"),
        (",60,", ",nan,", "row 2, column 'Vas \\[L\\]', 'nan'"),
        (",60,", ",-60,", "row 2, column 'Vas \\[L\\]', '-60'"),
        (",60,", ",60,7,", "row 2: there are 10 cells under 9 headings"),
        (",60,", ",60 L,", "'60 L' is not a number: leave the unit out of the cell: it belongs in the heading"),
        (",60,", ",6_0,", "row 2, column 'Vas \\[L\\]': '6_0' is not a number$"),
        (",60,", ",-,", "row 2, column 'Vas \\[L\\]': '-': leave the cell empty if the value is not known"),
        (",60,", ",N/A,", "'N/A': leave the cell empty if the value is not known"),
        (",60,", ",?,", "'\\?': leave the cell empty if the value is not known"),
        (",60,", ",60000,", "'60000': it must be between 0.0001 and 10000 L \\(volume .*did you mean 60000 cm3\\?"),
        ("xmax [mm]", "xmax [mm],", r"row 1: there is an empty heading \(a trailing comma\?\)$"),
        ("woofer,", ",", "row 2: the name is empty"),
        (ROW, f"{ROW}\n{ROW}", "row 3: the name 'woofer' is taken already"),
    ],
)
def test_mistakes_are_named(table, change, to, said):
    text = f"{HEADINGS}\n{ROW}\n"
    assert change in text
    with pytest.raises((ValueError, TypeError), match=said):
        read_drivers(table(text.replace(change, to, 1)))


SECOND = "panel,58,0.6,4.5,15,137,3.4,,"


@pytest.mark.parametrize(
    ("text", "names"),
    [
        (f"{HEADINGS}\n{ROW}\n#1 {SECOND}\n", ["woofer", "#1 panel"]),
        (f"{HEADINGS}\n{ROW}\n# more to come\n{SECOND}\n", ["woofer", "panel"]),
        (f"# a, b\n\n{HEADINGS}\n{ROW}\n# more,,,,,,,,\n{SECOND}\n", ["woofer", "panel"]),
        (f"\n{HEADINGS}\n\n{ROW}\n,,,,,,,,\n   \n{SECOND}\n\n", ["woofer", "panel"]),
        (f"{HEADINGS}\n{ROW},,\n{SECOND},\n", ["woofer", "panel"]),
        (f"{HEADINGS}\r\n{ROW}\r\n{SECOND}\r\n", ["woofer", "panel"]),
        (f"{HEADINGS}\r{ROW}\r{SECOND}\r", ["woofer", "panel"]),
        (f'{HEADINGS}\n"woofer, left"{ROW.removeprefix("woofer")}\n12" {SECOND}\n', ["woofer, left", '12" panel']),
    ],
)
def test_no_row_vanishes_and_nothing_empty_becomes_one(tmp_path, text, names):
    path = tmp_path / "mine.csv"
    path.write_bytes(text.encode())
    assert list(read_drivers(path)) == names


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_an_encoding_that_says_what_it_is(table, encoding):
    drivers = read_drivers(table(f"{HEADINGS}\nwöofer{ROW.removeprefix('woofer')}\n", encoding=encoding))
    assert list(drivers) == ["wöofer"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (f'{HEADINGS}\n"{ROW}\n{SECOND}\n', "mine.csv, row 2: a quote is not closed"),
        (f'{HEADINGS}\n{ROW}\n"{SECOND}\n"x, y",35,0.45,5,60,330,3.4,,\n', "mine.csv, row 3: a quote is not closed"),
        (f'{HEADINGS}\n"12" wide"{ROW.removeprefix("woofer")}\n', "or is inside another: quote a whole cell"),
        (f"{HEADINGS}\n{ROW}\n# later, more\n", "row 3: there are 2 cells under 9 headings: a remark below the"),
        (f"{HEADINGS}\n{ROW},8\n", "there are 10 cells under 9 headings: is there a comma in a number or a name?"),
        (f"{HEADINGS}\n{ROW}\n".replace(",", "\t"), r"commas, not '\t' (tabs), and write decimals with a point"),
        (
            f"{HEADINGS}\n{ROW}\nµ,".encode("latin-1"),
            "is not a CSV table in UTF-8: row 3 has characters in another encoding. Save it again",
        ),
        (f"{HEADINGS}\n{ROW}\n".encode("utf-16-le"), "is not a CSV table in UTF-8: save it again as 'CSV UTF-8'"),
    ],
)
def test_a_file_that_is_nearly_a_table(tmp_path, content, said):
    path = tmp_path / "mine.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    with pytest.raises(ValueError, match=r"^mine\.csv") as error:
        read_drivers(path)
    assert said in str(error.value)


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("1,200", "write 1200 or 1.2"),
        ("0,535", "did you mean 0.535?"),
        ("1,200.5", "write 1200.5"),
        ("1.200,5", "write 1200.5"),
        ("1,234,500", "write 1234500"),
        ("1 200", "write 1200"),
        ("1\u202f200", "write 1200"),
        ("1'200", "write 1200"),
        ("−60", "write -60"),
    ],
)
def test_a_number_with_signs_that_mean_two_things(table, cell, said):
    with pytest.raises(ValueError, match="is not a number") as error:
        read_drivers(table(f"{HEADINGS}\n{ROW}\n".replace(",60,", f',"{cell}",')))
    assert str(error.value).endswith(f"is not a number: {said}")


def test_what_is_no_table(table):
    with pytest.raises(ValueError, match=r"mine\.csv holds no table"):
        read_drivers(table("# nothing\n"))
    with pytest.raises(ValueError, match=r"mine\.csv is not a CSV table in UTF-8"):
        read_drivers(table(f"{HEADINGS}\nwoofer µ,", encoding="latin-1"))


def test_cabins(table):
    cabin = read_parts(table("name,length [ft],width [m],height [cm]\nvan,10,1.5,150\n"), Cabin)["van"]
    assert (cabin.length, cabin.width, cabin.height) == pytest.approx((3.048, 1.5, 1.5))
    with pytest.raises(ValueError, match=r"row 2 \(van\): height must be given"):
        read_parts(table("name,length [m],width [m]\nvan,3,1.5\n"), Cabin)


def test_a_cabin_holds_no_more_than_its_length_width_and_height(table):
    """5 m x 1.8 m x 1.6 m are 14.4 m3; 15 of them are within what a tape measure gives, 25 are a mistake."""
    text = "name,length [m],width [m],height [m],volume [m^3]\nvan,5,1.8,1.6,15\n"
    assert read_parts(table(text), Cabin)["van"].air_volume == 15
    with pytest.raises(ValueError, match=r"^mine\.csv, row 2 \(van\): a volume of 25 m3 is more than .* 14\.4 m3$"):
        read_parts(table(text.replace(",15", ",25")), Cabin)


WORDED = f"{HEADINGS},power [W],power counted\n{ROW},50,"


@pytest.mark.parametrize("word", ["r.m.s.", "RMS", "rms", "R.M.S"])
def test_power_that_the_coil_stands_for_long_is_known_by_its_usual_names(table, word):
    assert read_drivers(table(f"{WORDED}{word}\n"))["woofer"].power == 50


@pytest.mark.parametrize("word", ["maximum", "Max", "MAX."])
def test_a_maximum_is_no_power_for_long_however_it_is_written(table, word):
    assert read_drivers(table(f"{WORDED}{word}\n"))["woofer"].power is None


def test_a_word_that_is_not_known_is_told_with_its_heading_once(table):
    with pytest.raises(ValueError, match=r"^mine\.csv, row 2, column 'power counted': must be one of r\.m\.s\., maxi"):
        read_drivers(table(f"{WORDED}music\n"))


STAND_INS = "name,size [{unit}],kind,fs [Hz]\n"


@pytest.mark.parametrize(
    ("unit", "row", "said"),
    [
        ("mm", "250,subwoofer,", r"row 2, column 'kind': must be .*, got 'subwoofer': did you mean 'bass'\?$"),
        ("mm", "900,woofer,", r"row 2 \(x\): size must be between 95 and 320 mm .*, got 900 mm$"),
        ("mm", "9000,woofer,", r"column 'size \[mm\]', '9000': it must be between 10 and 1000 mm \(nominal size\)"),
        ("in", "60,woofer,", r"column 'size \[in\]', '60': it must be between 0\.3937 and 39\.37 in .* 60 mm\?$"),
        ("mm", "165,woofer,58", r"is not enough to work out a driver: .*; or leave fs out for a stand-in"),
    ],
)
def test_stand_ins_that_are_nearly_right(table, unit, row, said):
    with pytest.raises(ValueError, match=said):
        read_drivers(table(f"{STAND_INS.format(unit=unit)}x,{row}\n"))


def test_the_demonstration_says_that_it_is_invented():
    for path in data_folder().glob("*.*"):
        assert "Invented" in path.read_text(encoding="utf-8").splitlines()[0], path.name


def test_levels_of_a_source(table):
    """Straight lines over octaves between the points: half way from 100 to 400 Hz, at 200 Hz, half of the decibels."""
    text = "# mine\nfrequency [kHz],volume 10 [dB],phase [deg],loud [dB]\n0.1,6,10,0\n#0.2,5,12,1\n0.4,0,20,-3\n"
    levels = read_levels(table(text))
    assert list(levels) == ["volume 10", "loud"]
    assert levels["volume 10"].points == ((100.0, 6.0), (400.0, 0.0))
    speaker = Loudspeaker(driver=demo_drivers()["165 mm panel"], box=InfiniteBaffle())
    with_source = dataclasses.replace(speaker, filters=(levels["volume 10"],))
    added = solve(with_source, [50.0, 200.0, 1000.0]).level - solve(speaker, [50.0, 200.0, 1000.0]).level
    assert added == pytest.approx([6.0, 3.0, 0.0])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("level [dB],frequency [Hz]\n1,2\n", r"mine\.csv, row 1: the first heading must be 'frequency \[Hz\]', got"),
        ("frequency,level [dB]\n20,2\n", r"row 1: heading 'frequency' has no unit: write it in brackets, as in \[Hz\]"),
        ("frequency [m],level [dB]\n20,2\n", r"row 1: in heading 'frequency \[m\]', 'm' cannot be converted to Hz"),
        ("frequency [Hz]\n20\n40\n", r"row 1: there is no level beside the frequency: add one, as in 'level \[dB\]'"),
        ("frequency [Hz],level\n20,2\n40,1\n", r"row 1: 'level' must be in \[dB\], got no unit"),
        ("frequency [Hz],level [W]\n20,2\n40,1\n", r"row 1: 'level' must be in \[dB\], got \[W\]"),
        ("frequency [Hz],level [dB]\n20,x\n", r"row 2: level \[dB\] must be a number, got 'x'"),
        ("frequency [Hz],level [dB]\n20,1_0\n", r"row 2: level \[dB\] must be a number, got '1_0'"),
        ("frequency [Hz],level [dB],\n20,2,\n", r"row 1: there is an empty heading \(a trailing comma\?\)$"),
        ("frequency [Hz],level [dB]\n20\n", r"row 2: there are 1 cells under 2 headings"),
        ("frequency [Hz],level [dB]\n20,2\n", r"mine\.csv: LevelTable\.points must be two or more pairs"),
        ("frequency [Hz],level [dB]\n", r"mine\.csv: LevelTable\.points must be two or more pairs"),
        ("frequency [Hz],level [dB]\n40,2\n20,1\n", r"mine\.csv: LevelTable\.points must be in rising frequency"),
        ("frequency [Hz],level [dB]\n20,2\n40,300\n", r"\[1\] level must be between -120 and 140 dB"),
        ("frequency [Hz],level [dB],level [dB]\n20,2,3\n40,1,2\n", "row 1: 'level' appears in two headings"),
        ('frequency [Hz],level [dB]\n"1,200",2\n', "must be a number, got '1,200': write 1200 or 1.2$"),
        ("frequency [Hz];level [dB]\n20;2\n", "separate the cells with commas, not ';'"),
        ("frequency [Hz],]x[\n20,2\n", r"heading '\]x\[' is not a name with its unit in brackets"),
    ],
)
def test_levels_that_cannot_be_read(table, text, said):
    with pytest.raises(ValueError, match=said):
        read_levels(table(text))


def test_the_demonstration_is_plausible():
    """Bounds are common practice, no source: efficiencies, force factors and moving masses that such drivers have."""
    for name, driver in demo_drivers().items():
        assert 0.001 < driver.eta0 < 0.03, name
        assert 1.5 < driver.Bl < 15, name
        assert 0.4 < driver.Mms / driver.Sd < 4, name
        assert 0.4 < 2 * driver.radius / (driver.cutout or 2 * driver.radius) < 1.05, name
    minibus, hatchback = demo_cabins().values()
    assert minibus.length == 5.0
    assert hatchback.air_volume < minibus.air_volume / 3


def test_the_demonstration_is_read_without_pint():
    """It takes longer to load than all of the demonstration does, and every page would wait for it."""
    read = "lumpedbox.tables.demo_sheets(); lumpedbox.plan.demo_plan()"
    asked = f"import lumpedbox.plan, lumpedbox.tables, sys; {read}; print('pint' in sys.modules)"
    assert subprocess.check_output([sys.executable, "-c", asked], text=True).strip() == "False"


def test_common_units_are_those_of_pint():
    import pint

    from lumpedbox.tables.quantity_text import COMMON, WRITTEN

    registry = pint.UnitRegistry()
    for (unit, si), size in COMMON.items():
        given = registry.Quantity(1.0, registry.parse_units(WRITTEN.get(unit, unit)))
        assert given.to(WRITTEN.get(si, si)).magnitude == pytest.approx(size, rel=1e-15), unit


@pytest.mark.parametrize(
    ("heading", "said"),
    [
        ("FS [Hz]", "heading 'FS [Hz]' is not known: did you mean 'fs'?"),
        ("fs (Hz)", "heading 'fs (Hz)' is not known: did you mean 'fs [Hz]'?"),
        ("fs [rad/s]", "in heading 'fs [rad/s]', 'rad/s' is a rotation speed, not a frequency"),
        ("fs [rpm]", "in heading 'fs [rpm]', 'rpm' is a rotation speed, not a frequency"),
        ("fs [Hz];Qes", "separate the cells with commas, not ';'"),
    ],
)
def test_a_heading_that_is_nearly_right(table, heading, said):
    text = f"{HEADINGS}\n{ROW}\n".replace("fs [Hz]", heading)
    with pytest.raises(ValueError, match=r"^mine\.csv, row 1") as error:
        read_drivers(table(text))
    assert said in str(error.value)
