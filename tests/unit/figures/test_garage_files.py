"""The cut list and the boards as files, read back."""

import csv
import dataclasses
import math
import re
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely

from lumpedbox import Port
from lumpedbox.build import Hopper, Inside, cut_list, restated, write_cut_list, write_panels
from lumpedbox.units import inch, mm
from tests.unit.build.test_account import INSIDE, RUN, SEAT
from tests.unit.build.test_carcass import BOARD, STEPPED, TABLE

METRIC, CUSTOMARY = "metric", "US customary"
UNITS = {METRIC: ("mm", mm, mm), CUSTOMARY: ("in", inch, inch / 16)}
SVG = "{http://www.w3.org/2000/svg}"
FRUSTUM = Hopper(bottom=(0.5, 0.35), top=(0.4, 0.25), height=0.3, board=BOARD)


def rows(path):
    with open(path, encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("system", UNITS)
def test_the_table_says_what_is_sawn(tmp_path, system):
    """Each number with the unit of its heading is the library's, rounded as it is sawn."""
    unit, size, grid = UNITS[system]
    made = restated(STEPPED, INSIDE, grid)
    parts = cut_list(made.box, grid, made.inside)
    read = rows(write_cut_list(tmp_path / "cut.csv", STEPPED, INSIDE, system=system))
    assert [row["part"] for row in read] == [part.name for part in parts]
    for row, part in zip(read, parts, strict=True):
        assert (int(row["count [1]"]), int(row["glue [turn]"])) == (part.count, part.glued)
        for name in ("length", "breadth"):
            assert float(row[f"{name} [{unit}]"]) * size == pytest.approx(getattr(part, name), rel=1e-5)
            sixteenths = float(row[f"{name} [{unit}]"]) * size / grid
            assert sixteenths == pytest.approx(round(sixteenths), abs=1e-3)
        for which, end in zip(("left end", "right end"), (part.start, part.end), strict=True):
            assert float(row[f"{which}, tilt [degrees]"]) == pytest.approx(math.degrees(end.tilt), abs=0.005)
            assert (row[f"{which}, longer face"], row[f"{which}, meets"]) == (end.longer, end.to)


def test_the_table_is_the_worked_example(tmp_path):
    """Blanks and tilts as worked by hand (tests/unit/build/test_carcass.py), to the millimetre that is sawn."""
    read = {row["part"]: row for row in rows(write_cut_list(tmp_path / "cut.csv", STEPPED, INSIDE))}
    for name, (length, breadth, _, _, start, longer, end, _) in TABLE.items():
        row = read[name]
        assert float(row["length [mm]"]) == pytest.approx(length, abs=0.5)
        assert float(row["breadth [mm]"]) == breadth
        assert float(row["left end, tilt [degrees]"]) == pytest.approx(start, abs=0.01)
        assert float(row["right end, tilt [degrees]"]) == pytest.approx(end, abs=0.01)
        assert row["left end, longer face"] == longer
    corners = read["cheek"]["corners from the lower left [mm]"]
    assert corners == "180 0; 400 0; 360 480; 0 480; 0 260; 150 260"
    assert read["front"]["holes: middle and size [mm]"] == "200 mm bass: 150 119.5 181; port: 395 119.5 66"


def test_every_column_of_a_number_has_its_unit(tmp_path):
    for system, (unit, _, _) in UNITS.items():
        (first, *_) = rows(write_cut_list(tmp_path / "cut.csv", STEPPED, system=system))
        for heading, cell in first.items():
            if re.fullmatch(r"[\d.]+", cell):
                assert re.search(rf"\[({unit}|degrees|1|turn)\]$", heading)


def groups(path):
    """Each part of a drawing: name: (polygon, holes as (x, y, sizes)), in mm."""
    root = ElementTree.parse(path).getroot()
    found = {}
    for group in root.iter(f"{SVG}g"):
        title = group.find(f"{SVG}title")
        if title is None:
            continue
        points = np.array([pair.split(",") for pair in group.find(f"{SVG}polygon").get("points").split()], float)
        holes = [tuple(float(one.get(key)) for key in ("cx", "cy", "r")) for one in group.iter(f"{SVG}circle")]
        holes += [
            tuple(float(one.get(key)) for key in ("x", "y", "width", "height")) for one in group.iter(f"{SVG}rect")
        ]
        found[title.text] = shapely.Polygon(points), holes
    return root, found


@pytest.mark.parametrize("system", UNITS)
@pytest.mark.parametrize("box", [STEPPED, FRUSTUM], ids=["step", "frustum"])
def test_the_drawing_has_every_board_at_its_size(tmp_path, box, system):
    """Full size: the width in mm is that of the view box. No board lies on another or outside."""
    grid = UNITS[system][2]
    inside = INSIDE if box is STEPPED else Inside(drivers=dataclasses.replace(SEAT, along=0.25))
    root, found = groups(write_panels(tmp_path / "boards.svg", box, inside, system=system))
    wide, high = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    assert root.get("viewBox") == f"0 0 {wide:.3f} {high:.3f}"
    made = restated(box, inside, grid)
    parts = {part.name: part for part in cut_list(made.box, grid, made.inside)}
    assert set(found) == set(parts)
    for name, (drawn, _) in found.items():
        wanted = shapely.Polygon(parts[name].outline / mm)
        assert drawn.area == pytest.approx(wanted.area, rel=1e-5)
        assert shapely.box(0, 0, wide, high).contains(drawn)
    bodies = [drawn for drawn, _ in found.values()]
    assert shapely.unary_union(bodies).area == pytest.approx(sum(one.area for one in bodies), rel=1e-9)


def test_holes_lie_where_they_are_bored(tmp_path):
    """Of the front 483 x 239: the driver's 181 mm hole 150 along, the port's 66 mm one 395 along, both half way up."""
    _, found = groups(write_panels(tmp_path / "boards.svg", STEPPED, INSIDE))
    front, holes = found["front"]
    left, _, _, bottom = front.bounds
    low = [(x - left, bottom - y, 2 * r) for x, y, r in holes]
    outer = min(STEPPED.panel("front").inner[:, 0].min(), 0.0) / mm
    assert low == [
        pytest.approx((150 - outer, 119.5, 181), abs=1.6),  # the blank begins up to 1.5 mm before the outer face
        pytest.approx((395 - outer, 119.5, 66), abs=1.6),
    ]
    slot = dataclasses.replace(RUN, port=Port(length=0.2, width=0.12, height=0.03), wall=0.012)
    _, found = groups(write_panels(tmp_path / "boards.svg", STEPPED, dataclasses.replace(INSIDE, ports=slot)))
    (rectangle,) = [hole for hole in found["front"][1] if len(hole) == 4]
    assert rectangle[2:] == pytest.approx((30, 120))


@pytest.mark.parametrize("make", [write_cut_list, write_panels])
def test_a_wrong_file_is_refused_by_name(tmp_path, make):
    for changed, words in (
        ({"system": "imperial"}, rf"{make.__name__}\.system"),
        ({"box": None}, rf"{make.__name__}\.box"),
    ):
        with pytest.raises((ValueError, TypeError), match=words):
            make(**{"path": tmp_path / "file", "box": STEPPED, "inside": INSIDE} | changed)
    assert not (tmp_path / "file").exists()
