"""A drawing of a box as a table, and back."""

import json

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from lumpedbox import Port
from lumpedbox.build import (
    Board,
    Brace,
    Carcass,
    Cup,
    Inside,
    Lining,
    PortRun,
    Profile,
    Seat,
    Space,
    Stock,
    net_account,
)
from lumpedbox.build.drawn import Drawn, as_table, from_table
from lumpedbox.tables import demo_drivers
from lumpedbox.units import mm

WEDGE = Profile(points=((0, 0), (0.4, 0), (0.3, 0.5), (0, 0.5)), names=("floor", "front", "top", "back"))
DRAWN = Drawn(
    box=Carcass(
        profile=WEDGE,
        width=0.5,
        board=Board(thickness=18 * mm, density=680.0),
        boards={"front": Board(thickness=25 * mm, name="plywood"), "left cheek": Board(thickness=12 * mm)},
        order=("cheeks", "front"),
        joints={("front", "top"): "butt"},
    ),
    inside=Inside(
        drivers=Seat(driver=demo_drivers()["200 mm bass"], panel="front", along=0.2, printed_from="inner face"),
        ports=PortRun(port=Port(length=0.25, diameter=0.06), panel="back", along=0.4, wall=3 * mm, bends=((0.1, 0.7),)),
        others=(
            Brace(length=0.3, breadth=0.06, thickness=18 * mm, windows=((0.05, 0.03),)),
            Cup(volume=1.5e-4, panel="back"),
            Lining(panel="front", thickness=18 * mm),
        ),
    ),
    space=Space(
        points=((0, 0), (0.6, 0), (0.6, 0.6), (0, 0.6)),
        width=1.0,
        opening=(0.7, 0.6),
        gaps={"front": 0.02},
        keep_outs={"belt": ((0.55, 0.5), (0.6, 0.5), (0.6, 0.6))},
    ),
    stock=Stock(length=2.44, width=1.22, thickness=18 * mm),
)


def test_a_drawing_comes_back_from_a_file_as_it_was():
    through_json = json.loads(json.dumps(as_table(DRAWN)))
    through_toml = tomlkit.parse(tomlkit.dumps(as_table(DRAWN))).unwrap()
    for table in (as_table(DRAWN), through_json, through_toml):
        found = from_table(table)
        assert found == DRAWN
        assert net_account(found.box, found.inside) == net_account(DRAWN.box, DRAWN.inside)


@given(st.floats(0.2, 1.5), st.floats(6e-3, 30e-3), st.floats(0.0, 0.09))
def test_no_length_is_rounded_on_the_way(width, thickness, lean):
    points = ((0.0, 0.0), (0.4, 0.0), (0.4 - lean, 0.5), (0.0, 0.5))
    profile = Profile(points=points, names=WEDGE.names)
    drawn = Drawn(box=Carcass(profile=profile, width=width, board=Board(thickness=thickness)))
    found = from_table(tomlkit.parse(tomlkit.dumps(as_table(drawn))).unwrap())
    assert found.box.profile.points == points
    assert (found.box.width, found.box.board.thickness) == (width, thickness)


def changed(path, value):
    table = json.loads(json.dumps(as_table(DRAWN)))
    *above, last = path
    inner = table
    for key in above:
        inner = inner[key]
    if value is None:
        del inner[last]
    else:
        inner[last] = value
    return table


@pytest.mark.parametrize(
    ("path", "value", "told"),
    [
        (("box",), None, "from_table.table says nothing of its box"),
        (("box", "profile"), 3, "from_table.table.box.profile must be a table"),
        (("box", "widht"), 0.5, "did you mean 'width'"),
        (("box", "width"), 500, r"Carcass.width must be .* did you mean 500 \* mm"),
        (("box", "joints"), [["front"]], "table.box.joints must be a list such as"),
        (("inside", "others", 0, "kind"), "Brase", "did you mean 'Brace'"),
        (("inside", "drivers"), {}, "table.inside.drivers must be a list of tables"),
        (("inside", "drivers", 0, "driver", "Sd"), None, r"drivers\[0\].driver says nothing of its Sd"),
    ],
)
def test_what_is_wrong_in_a_file_is_named(path, value, told):
    with pytest.raises((ValueError, TypeError), match=told):
        from_table(changed(path, value))
