"""Sheets: what fits by hand, and what is refused. Edge to edge and area: tests/property/test_boxes.py."""

import numpy as np
import pytest

from lumpedbox.build import Board, CutPart, Inside, Lining, Stock, cut_list, on_stock
from lumpedbox.units import mm
from tests.unit.build.test_carcass import STEPPED

SHEET = Stock(length=1000 * mm, width=500 * mm, thickness=18 * mm, kerf=3 * mm, trim=0)


def blank(length, breadth, count=1, thickness=18.0):
    outline = np.array([[0, 0], [length, 0], [length, breadth], [0, breadth]]) * mm
    board = Board(thickness=thickness * mm)
    return CutPart(name="p", board=board, length=length * mm, breadth=breadth * mm, outline=outline, count=count)


def test_four_parts_fill_a_sheet_to_the_kerf():
    """Two by two of 498.5 x 248.5 mm with a kerf of 3 mm each way are 1000 x 500 mm: nothing is left."""
    (sheet,) = on_stock([blank(498.5, 248.5, count=4)], SHEET)
    assert sheet.offcuts == ()
    assert sum(cut.area for cut in sheet.cuts) == pytest.approx((3 * 500 + 2 * 3 * 498.5) * mm**2)


def test_a_hair_too_large_takes_another_sheet():
    assert len(on_stock([blank(498.5, 248.6, count=4)], SHEET)) == 2


def test_a_part_is_turned_where_only_that_fits():
    (sheet,) = on_stock([blank(400, 900)], SHEET)
    assert sheet.placed[0].turned


def test_the_stepped_box_lies_on_one_sheet_of_1250_x_800():
    """Its blanks: 2 x 400 x 480, and 1628 mm of strips of 239 mm: 0.77 of 1.0 m2."""
    parts = cut_list(STEPPED)
    assert len(on_stock(parts, Stock(length=1250 * mm, width=800 * mm, thickness=18 * mm))) == 1


def test_each_thickness_comes_from_its_own_sheet():
    parts = cut_list(STEPPED, mm, Inside(others=Lining(panel="front", thickness=12 * mm)))
    thin = Stock(length=1250 * mm, width=800 * mm, thickness=12 * mm)
    sheets = on_stock(parts, (SHEET, thin))
    for sheet in sheets:
        assert {placed.part.thickness for placed in sheet.placed} == {sheet.stock.thickness}
    with pytest.raises(ValueError, match=r"stock has no board of 18 mm for 'cheek', nor any other"):
        on_stock(cut_list(STEPPED), ())
    with pytest.raises(ValueError, match=r"stock has no board of 12 mm for 'second layer on front', only 18 mm"):
        on_stock(parts, SHEET)


def test_a_part_larger_than_the_sheet_is_refused_by_name():
    with pytest.raises(ValueError, match=r"parts has 'p' of 1001 x 200 mm, more than the 1000 x 500 mm"):
        on_stock([blank(1001, 200)], SHEET)
    with pytest.raises(TypeError, match=r"on_stock\.parts must be the parts of a cut list"):
        on_stock(STEPPED, SHEET)
    with pytest.raises(ValueError, match=r"Stock\.trim of 60 mm leaves nothing of the sheet"):
        Stock(length=1, width=0.1, thickness=0.018, trim=0.06)


def test_the_same_parts_give_the_same_layout():
    parts = cut_list(STEPPED)
    assert [s.placed for s in on_stock(parts, SHEET)] == [s.placed for s in on_stock(parts, SHEET)]
