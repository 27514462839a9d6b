"""Parts laid out on sheets of board, so that a saw can cut them from edge to edge."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ..arguments import takes
from ..errors import Refused, RefusedType
from ..quantity import Holds, Part, part, rule, shown
from .cut_list import CutPart
from .workings.fields import length_field

RESTARTS = 60
SAME = 0.3e-3  # m: board this near in thickness is the same


@part
class Stock(Part):
    """A sheet as it is sold.

    Parameters
    ----------
    length, width : float
        [m]
    thickness : float
        [m]
    kerf : float
        Width of the saw's cut. [m]
    trim : float
        Taken off all round, since edges come damaged. [m]
    """

    length: float = length_field("length of the sheet", 0.05, 10.0)
    width: float = length_field("width of the sheet", 0.05, 10.0)
    thickness: float = length_field("thickness of the sheet", 1e-3, 0.1)
    kerf: float = length_field("width of the saw's cut", 0.0, 0.02, default=3.2e-3)
    trim: float = length_field("taken off all round", 0.0, 0.1, default=5e-3)

    def _check_together(self):
        if min(self.length, self.width) <= 2 * self.trim:
            raise Refused("Stock", "trim", f"of {self.trim * 1e3:g} mm leaves nothing of the sheet")


class Rectangle(NamedTuple):
    """A place on a sheet. [m]"""

    x: float
    y: float
    length: float
    width: float

    @property
    def area(self):
        """[m2]"""
        return self.length * self.width


class Placed(NamedTuple):
    """A part in its place.

    Attributes
    ----------
    part : CutPart
    at : Rectangle
        [m]
    turned : bool
        Whether its length runs along the width of the sheet.
    """

    part: CutPart
    at: Rectangle
    turned: bool


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet, cut up.

    Attributes
    ----------
    stock : Stock
    placed : tuple of Placed
    offcuts : tuple of Rectangle
    cuts : tuple of Rectangle
        What the saw takes, in the order of the cuts; each runs from edge to edge of the piece in hand. [m]
    """

    stock: Stock
    placed: tuple
    offcuts: tuple
    cuts: tuple


@rule
class _CutParts:
    """What a cut list returns."""

    def accept(self, owner, name, value):
        """Return a tuple of parts, each as often as it is wanted."""
        try:
            parts = list(value)
        except TypeError:
            parts = [None]
        if not parts or not all(isinstance(each, CutPart) for each in parts):
            raise RefusedType(owner, name, f"must be the parts of a cut list, got {shown(value)}")
        return tuple(each for each in parts for _ in range(each.count))


@takes(parts=_CutParts(), stock=Holds((Stock,), several=True))
def on_stock(parts, stock):
    """Lay parts out on as few sheets as can be found. [m]

    Parameters
    ----------
    parts : sequence of CutPart
        Of `cut_list`; each lies as its blank, along the sheet or across it.
    stock : Stock or tuple of Stock
        One for each thickness of board; there are as many sheets of each as it takes.

    Returns
    -------
    tuple of Sheet
        Of several layouts with as few sheets, the one with the largest offcut.

    Raises
    ------
    ValueError
        If no sheet has the thickness of a part, or a part is larger than the sheet.

    Notes
    -----
    Each part goes into the corner of the free piece that it fills best. Two cuts, from edge to edge, part it from the
    rest. Several random orders are tried; the same parts always give the same layout.
    """
    by_stock = {}
    for each in parts:
        by_stock.setdefault(_sheet_for(each, stock), []).append(each)
    return tuple(sheet for sold, wanted in by_stock.items() for sheet in _best(wanted, sold))


def _sheet_for(each, stock):
    for sold in stock:
        if abs(sold.thickness - each.thickness) <= SAME:
            longest, shortest = sold.length - 2 * sold.trim, sold.width - 2 * sold.trim
            if not _fits(each, sold):
                size = f"{each.length * 1e3:.0f} x {each.breadth * 1e3:.0f} mm"
                room = f"{longest * 1e3:.0f} x {shortest * 1e3:.0f} mm that a trimmed sheet has"
                raise Refused("on_stock", "parts", f"has {each.name!r} of {size}, more than the {room}")
            return sold
    have = ", ".join(f"{sold.thickness * 1e3:g}" for sold in stock)
    thick = f"{each.thickness * 1e3:g} mm for {each.name!r}"
    raise Refused("on_stock", "stock", f"has no board of {thick}, {f'only {have} mm' if have else 'nor any other'}")


def _fits(each, sold):
    room = (sold.length - 2 * sold.trim + 1e-9, sold.width - 2 * sold.trim + 1e-9)
    sides = (each.length, each.breadth)
    return any(a <= room[0] and b <= room[1] for a, b in (sides, sides[::-1]))


def _best(parts, sold):
    """Return the best layout of several random ones; the first takes the largest parts first."""
    chance = np.random.default_rng(1)
    areas = np.array([each.length * each.breadth for each in parts])
    best, found = None, None
    for i in range(RESTARTS):
        weights = areas if i == 0 else areas * chance.uniform(0.4, 1.0, len(parts))
        layout = _Layout(sold, preferred=(None, False, True)[i % 3])
        for index in np.argsort(-weights, kind="stable"):
            layout.put(parts[index], bool(i) and chance.random() < 0.5)
        score = (len(layout.sheets), -max((free.area for _, free in layout.free), default=0.0))
        if best is None or score < best:
            best, found = score, layout
    return found.finished()


class _Layout:
    """Sheets while parts are put on them."""

    def __init__(self, sold, preferred):
        """`preferred`: whether parts are rather turned; None for whichever way fits best."""
        self.sold, self.preferred, self.free, self.sheets = sold, preferred, [], []

    def put(self, each, other_way):
        """Put a part into the free piece that it fills best, or on a new sheet."""
        chosen = self._choose(each)
        if chosen is None:
            self._new_sheet()
            chosen = self._choose(each)
        *_, number, turned = chosen
        sheet, piece = self.free.pop(number)
        length, width = (each.breadth, each.length) if turned else (each.length, each.breadth)
        at = Rectangle(piece.x, piece.y, length, width)
        self.sheets[sheet]["placed"].append(Placed(each, at, turned))
        self._cut(sheet, piece, at, other_way)

    def _choose(self, each):
        choices = []
        for number, (_, piece) in enumerate(self.free):
            for turned, (length, width) in enumerate([(each.length, each.breadth), (each.breadth, each.length)]):
                spare = piece.length - length, piece.width - width
                if min(spare) >= -1e-9:
                    unlike = self.preferred is not None and bool(turned) != self.preferred
                    choices.append((unlike, min(spare), number, bool(turned)))
        return min(choices, default=None)

    def _new_sheet(self):
        sold, trim = self.sold, self.sold.trim
        whole = Rectangle(trim, trim, sold.length - 2 * trim, sold.width - 2 * trim)
        self.free.append((len(self.sheets), whole))
        self.sheets.append({"placed": [], "cuts": []})

    def _cut(self, sheet, piece, at, other_way):
        """Part a piece from the rest by two cuts, the first across the whole piece."""
        right, above = max(piece.length - at.length, 0.0), max(piece.width - at.width, 0.0)
        kerfs = min(self.sold.kerf, right), min(self.sold.kerf, above)
        along_first = (right > above) == other_way
        high, wide = (at.width, piece.length) if along_first else (piece.width, at.length)
        beside = Rectangle(at.x + at.length + kerfs[0], at.y, right - kerfs[0], high)
        over = Rectangle(at.x, at.y + at.width + kerfs[1], wide, above - kerfs[1])
        upright = [Rectangle(at.x + at.length, at.y, kerfs[0], high)] if right > 1e-9 else []
        level = [Rectangle(at.x, at.y + at.width, wide, kerfs[1])] if above > 1e-9 else []
        self.sheets[sheet]["cuts"] += level + upright if along_first else upright + level
        self.free += [(sheet, rest) for rest in (beside, over) if min(rest[2:]) > 1e-9]

    def finished(self):
        return tuple(
            Sheet(
                self.sold,
                tuple(sheet["placed"]),
                tuple(free for at, free in self.free if at == number),
                tuple(sheet["cuts"]),
            )
            for number, sheet in enumerate(self.sheets)
        )
