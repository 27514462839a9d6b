"""Boxes that the reader has drawn, kept in a file."""

import dataclasses

import pytest

from lumpedbox.build import Board, Carcass, Cup, Drawn, Inside, Profile, Stock
from lumpedbox.tables.my_boxes import keep_box, read_boxes

WEDGE = Profile(points=((0, 0), (0.3, 0), (0.2, 0.4), (0, 0.4)), names=("floor", "front", "top", "back"))
BOX = Carcass(profile=WEDGE, width=0.4, board=Board(thickness=0.018))
DRAWN = Drawn(
    box=BOX,
    inside=Inside(others=(Cup(volume=1e-4), Cup(volume=2e-4, panel="back"))),
    stock=(Stock(length=2.5, width=1.25, thickness=0.018),),
)
WIDER = dataclasses.replace(DRAWN, box=dataclasses.replace(BOX, width=0.5), inside=Inside())


def test_what_is_kept_comes_back_and_what_it_replaces_is_told(tmp_path):
    path = tmp_path / "my_boxes.toml"
    assert read_boxes(path) == ({}, {})
    assert keep_box("wedge", DRAWN, path) is None
    assert keep_box("under the seat", WIDER, path) is None
    assert keep_box("wedge", WIDER, path) == DRAWN
    assert read_boxes(path) == ({"wedge": WIDER, "under the seat": WIDER}, {})


def test_remarks_of_the_reader_stay(tmp_path):
    path = tmp_path / "my_boxes.toml"
    keep_box("wedge", DRAWN, path)
    path.write_text(path.read_text().replace("width = 0.4", "width = 0.4  # measured twice") + "\n# mine\n")
    keep_box("wedge", WIDER, path)
    keep_box("second", DRAWN, path)
    text = path.read_text()
    assert "# measured twice" in text
    assert "# mine" in text
    assert read_boxes(path) == ({"wedge": WIDER, "second": DRAWN}, {})


def test_a_box_that_is_wrong_does_not_hide_the_others(tmp_path):
    path = tmp_path / "my_boxes.toml"
    keep_box("wedge", DRAWN, path)
    keep_box("second", WIDER, path)
    path.write_text(path.read_text().replace("width = 0.5", "width = 500"))
    found, wrong = read_boxes(path)
    assert found == {"wedge": DRAWN}
    assert list(wrong) == ["second"]
    assert "my_boxes.toml" in wrong["second"]
    assert "did you mean 500 * mm" in wrong["second"]


def test_a_name_is_asked_for(tmp_path):
    with pytest.raises(ValueError, match="give it a name first"):
        keep_box("  ", DRAWN, tmp_path / "my_boxes.toml")


def test_a_file_that_is_no_table_stays_as_it_is(tmp_path):
    path = tmp_path / "my_boxes.toml"
    path.write_text("drawn = [1, 2]\n")
    with pytest.raises(ValueError, match=r"my_boxes\.toml"):
        keep_box("wedge", DRAWN, path)
    assert path.read_text() == "drawn = [1, 2]\n"
