"""Places, the ear and measured levels of a cabin among one's own parts."""

import re

import pytest

from lumpedbox import Cabin
from lumpedbox.tables import read_parts
from lumpedbox.tables.my_parts import forget, keep, read, read_what_is_right
from lumpedbox.units import foot

SIZES = {"length": "5 m", "width": "1.8 m", "height": "1.6 m"}
PLACES = "step well = 0.6 m, 10 cm, 0.35 m\nrear = 15, 3, 1 ft"


@pytest.fixture
def path(tmp_path):
    return tmp_path / "my_parts.toml"


def test_places_are_kept_in_lists_with_the_units_as_typed(path):
    keep("cabin", "bus", {**SIZES, "law": "modes", "ear": "2.6, 0.5, 1.15 m", "places": PLACES}, path)
    text = path.read_text()
    assert 'ear = ["2.6 m", "0.5 m", "1.15 m"]' in text
    assert '[cabin.bus.places]\n"step well" = ["0.6 m", "10 cm", "0.35 m"]' in text
    assert 'rear = ["15 ft", "3 ft", "1 ft"]' in text


def test_they_are_read_in_metres(path):
    keep("cabin", "bus", {**SIZES, "ear": "2.6 m, 0.5 m, 115 cm", "places": "rear = 15, 3, 1 ft"}, path)
    cabin = read(path).parts["cabin"]["bus"]
    assert cabin.ear == pytest.approx((2.6, 0.5, 1.15))
    assert dict(cabin.places)["rear"] == pytest.approx((15 * foot, 3 * foot, foot))


def test_measured_levels_are_read_in_pairs(path):
    keep("cabin", "bus", {**SIZES, "law": "measured", "table": "20 Hz, 12 dB\n0.04 kHz, 8"}, path)
    assert 'table = [["20 Hz", "12 dB"], ["0.04 kHz", "8 dB"]]' in path.read_text()
    assert read(path).parts["cabin"]["bus"].table == ((20.0, 12.0), (40.0, 8.0))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"ear": "2.6, 0.5"}, "ear = '2.6, 0.5': write three lengths"),
        ({"ear": "2.6, 0.5, 1.15"}, "Write the unit too"),
        ({"ear": "0.6, 10 cm, 0.35 m"}, "write the unit of each length: one has none"),
        ({"ear": "2,6, 0,5, 1,15 m"}, "write three lengths"),
        ({"ear": "2600, 500, 1150 m"}, "got 2600 m: did you mean 2600 mm?"),
        (
            {"ear": "0.5, 2.6, 1.15 m"},
            "2.6 m from the left is outside, since this cabin has 1.8 m there. Did you mean 2.6, 0.5",
        ),
        ({"ear": [2.6, 0.5, 1.15]}, 'write each as text with its unit, as in "2.6 m"'),
        ({"places": "roof = 1, 1, 20 m"}, "Did you mean 1, 1, 0.2 m"),
        ({"places": "roof = 1, 1, -1 m"}, "between 0 and 30 m (from the floor)"),
        ({"places": "roof 1, 1 m"}, "write a line for each place"),
        ({"places": "roof = 1, 1, 1 m\nroof = 2, 1, 1 m"}, "stands there twice"),
        ({"places": ["roof"]}, "write a line for each place"),
        ({"table": "20 Hz"}, "write a line for each frequency"),
        ({"table": "40 Hz, 8 dB; 20 Hz, 12 dB"}, "must be in rising frequency"),
        ({"boot": "shut"}, "must be one of open, closed"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_the_likely_slip(path, typed, said):
    with pytest.raises(ValueError, match=re.escape(said)):
        keep("cabin", "bus", SIZES | typed, path)
    assert not path.exists()


@pytest.mark.parametrize(
    "text",
    [
        "bass box = 4.3, 0.3, 0.35 m",
        "bass box: 4.3, 0.3, 0.35 m",
        "bass box:4.3,0.3,0.35 m",
        "bass box 4.3 m, 30 cm, 350 mm",
        "bass box 4.3 0.3 0.35 m",
        "bass box: 4,3 0,3 0,35 m",
    ],
)
def test_a_place_is_read_as_people_write_it(path, text):
    keep("cabin", "bus", SIZES | {"places": text}, path)
    ((name, at),) = read(path).parts["cabin"]["bus"].places
    assert (name, at) == ("bass box", pytest.approx((4.3, 0.3, 0.35)))


def test_feet_with_inches_are_no_unit_for_the_numbers_beside_them(path):
    keep("cabin", "bus", SIZES | {"ear": "8 ft 6 in, 1' 8\", 3 ft"}, path)
    assert read(path).parts["cabin"]["bus"].ear == pytest.approx((8.5 * foot, 20 / 12 * foot, 3 * foot))
    with pytest.raises(ValueError, match="write the unit of each length"):
        keep("cabin", "bus", SIZES | {"ear": "8 ft 6 in, 2, 3"}, path)


def test_metres_are_not_taken_for_centimetres(path):
    with pytest.raises(ValueError, match="is outside, since this cabin has 5 m there") as error:
        keep("cabin", "bus", SIZES | {"places": "rear = 6, 0.3, 0.3 m"}, path)
    assert "0.06" not in str(error.value)


def test_a_slip_in_the_file_names_file_table_key_and_value(path):
    path.write_text(
        '[cabin.bus]\nlength = "5 m"\nwidth = "1.8 m"\n\n[cabin.bus.places]\nroof = ["1 m", "2 m", "1.5 m"]\n'
    )
    said = r'my_parts.toml, \[cabin."bus"\]: roof = 1, 2, 1.5 m: 2 m from the left is outside'
    with pytest.raises(ValueError, match=said):
        read(path)


def test_a_closed_boot_is_no_part_of_one_volume_unless_it_was_measured(path):
    keep("cabin", "saloon", SIZES | {"boot": "closed"}, path)
    assert "nothing here holds for two spaces" in str(read(path).unfinished["cabin", "saloon"])
    keep("cabin", "saloon", SIZES | {"boot": "closed", "law": "measured", "table": "20 Hz, 3; 80 Hz, 0"}, path)
    assert read(path).parts["cabin"]["saloon"].law == "measured"


def test_a_measured_cabin_needs_its_table(path):
    keep("cabin", "bus", SIZES | {"law": "measured"}, path)
    assert str(read(path).unfinished["cabin", "bus"]) == "add table"


def test_a_remark_at_a_place_stays_when_another_changes_or_all_go(path):
    keep("cabin", "bus", {**SIZES, "places": "step = 0.6, 0.1, 0.35 m\nroof = 1, 1, 1.5 m"}, path)
    path.write_text(path.read_text().replace('"0.35 m"]', '"0.35 m"] # by tape'))
    keep("cabin", "bus", {**SIZES, "places": "step = 0.6, 0.1, 0.35 m\nroof = 1, 1, 1.4 m"}, path)
    assert 'step = ["0.6 m", "0.1 m", "0.35 m"] # by tape' in path.read_text()
    assert dict(read(path).parts["cabin"]["bus"].places)["roof"] == (1.0, 1.0, 1.4)
    keep("cabin", "bus", SIZES, path)
    forget("cabin", "bus", path)
    assert "# by tape" in path.read_text()
    assert read(path).typed["cabin"] == {}


def test_places_below_their_cabin_are_read_though_another_table_is_broken(path):
    keep("cabin", "bus", {**SIZES, "places": "roof = 1, 1, 1.5 m"}, path)
    path.write_text(path.read_text() + "\n[driver.x]\nfs = 58 Hz\n")
    kept, wrong = read_what_is_right(path)
    assert dict(kept.parts["cabin"]["bus"].places) == {"roof": (1.0, 1.0, 1.5)}
    assert len(wrong) == 1


def test_a_table_of_cabins_holds_ear_and_places(tmp_path):
    file = tmp_path / "cabins.csv"
    file.write_text(
        "name,length [m],width [m],height [m],ear [cm],places [m]\n"
        'bus,5,1.8,1.6,"260, 50, 115","step = 0.6, 0.1, 0.35; roof = 2, 1, 1.5"\n'
    )
    cabin = read_parts(file, Cabin)["bus"]
    assert cabin.ear == pytest.approx((2.6, 0.5, 1.15))
    assert dict(cabin.places) == {"step": (0.6, 0.1, 0.35), "roof": (2.0, 1.0, 1.5)}
    file.write_text(file.read_text().replace("260, 50, 115", "260, 50"))
    with pytest.raises(ValueError, match=r"column 'ear .cm.': write three lengths"):
        read_parts(file, Cabin)


@pytest.mark.parametrize("places", [5, {"roof": None}, {"roof": (1, 1)}, {7: (1, 1, 1)}, [("roof",)]])
def test_what_is_no_named_place_is_refused_by_the_cabin(places):
    with pytest.raises((TypeError, ValueError), match=r"Cabin\.places"):
        Cabin(length=5, width=1.8, height=1.6, places=places)


def test_places_outside_are_refused_where_they_matter():
    with pytest.raises(ValueError, match=r"Cabin\.places\['roof'\]\[2\] must be between 0 and 1.6 m"):
        Cabin(length=5, width=1.8, height=1.6, law="modes", places={"roof": (1, 1, 2)})
