"""The cut list as a table for a spreadsheet, and the boards as a drawing for a plotter or a workshop."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path
from xml.sax.saxutils import escape

from ...arguments import PATH, Single, takes
from ...build.account import BOX, INSIDE
from ...build.cut_list import cut_list, restated
from ...build.inside import Inside
from ...quantity import OneOf
from ...tables.atomic_write import write
from ...units import inch, mm
from .drawings import holes_of
from .lengths import CUSTOMARY, METRIC, grid_of

SYSTEM = Single(OneOf((METRIC, CUSTOMARY)))
APART, ACROSS, LETTERS, PEN = 20.0, 1200.0, 10.0, 0.3  # mm: between boards; width of a row; height of words; pen
WIDE = 0.62  # of a letter, of its height: most are narrower
ENDS = ("left end", "right end", "lower side", "upper side")


@takes(path=PATH, box=BOX, inside=INSIDE, system=SYSTEM)
def write_cut_list(path, box, inside=Inside(), *, system=METRIC):
    """Write the cut list as a table, CSV: a line for each part, the unit of each column in its heading. [mm], [in]

    Parameters
    ----------
    path : str or Path
    box : Carcass or Hopper
        Its lengths are rounded to 1 mm or 1/16 inch.
    inside : Inside
    system : {"metric", "US customary"}
        Lengths in mm, or in inches with decimals.

    Returns
    -------
    Path

    Raises
    ------
    ValueError
        If the box cannot hold what is inside.
    """
    write(Path(path), cut_list_as_csv(box, inside, system).encode("utf-8-sig"))
    return Path(path)


@takes(path=PATH, box=BOX, inside=INSIDE, system=SYSTEM)
def write_panels(path, box, inside=Inside(), *, system=METRIC):
    """Write the outer faces of all boards with their holes as one SVG drawing at full size. [mm]

    Parameters
    ----------
    path, box, inside
        As for `write_cut_list`.
    system : {"metric", "US customary"}
        What lengths are rounded to; the drawing itself is in mm.

    Returns
    -------
    Path

    Raises
    ------
    ValueError
        If the box cannot hold what is inside.
    """
    write(Path(path), panels_as_svg(box, inside, system).encode())
    return Path(path)


def cut_list_as_csv(box, inside, system):
    """Return the text of the table.

    Parameters
    ----------
    box, inside, system
        As in `write_cut_list`.
    """
    unit, size = ("mm", mm) if system == METRIC else ("in", inch)
    made = restated(box, inside, grid_of(system))
    head = ["glue [turn]", "count [1]", "part", *(f"{what} [{unit}]" for what in ("board", "length", "breadth"))]
    head += [f"{end}, {what}" for end in ENDS for what in ("tilt [degrees]", "longer face", "meets")]
    head += [f"corners from the lower left [{unit}]", f"holes: middle and size [{unit}]"]
    holes, file = holes_of(made.box, made.inside), io.StringIO()
    rows = (_row(part, holes.get(part.name, ()), size) for part in cut_list(made.box, grid_of(system), made.inside))
    csv.writer(file, lineterminator="\n").writerows([head, *rows])
    return file.getvalue()


def _row(part, holes, size):
    def told(lengths):
        return " ".join(f"{length / size:.6g}" for length in lengths)

    ends = [
        text
        for end in (part.start, part.end, *part.sides)
        for text in (f"{math.degrees(end.tilt):.2f}", end.longer, end.to)
    ]
    corners = "" if part.is_rectangle else "; ".join(map(told, part.outline))
    bored = "; ".join(f"{hole.name}: {told((hole.along, hole.across, *_sizes(hole)))}" for hole in holes)
    sides = told((part.thickness, part.length, part.breadth)).split()
    return [part.glued, part.count, part.name, *sides, *ends, corners, bored]


def _sizes(hole):
    return hole.sides[:1] if hole.round else hole.sides


def panels_as_svg(box, inside, system, across=ACROSS, letters=LETTERS, pen=PEN):
    """Return the text of the drawing: a group for each part, with its outline, its holes and its name.

    Parameters
    ----------
    box, inside, system
        As in `write_panels`.
    across, letters, pen : float
        Width of a row, height of the words, and width of the lines. [mm]
    """
    made = restated(box, inside, grid_of(system))
    parts, holes = cut_list(made.box, grid_of(system), made.inside), holes_of(made.box, made.inside)
    groups, x, y, row, wide = [], APART, APART, 0.0, 0.0
    for part in parts:
        name = f"{part.count} x {part.name}, {part.thickness / mm:.1f} mm"
        length, breadth = max(part.length / mm, WIDE * letters * len(name)), part.breadth / mm
        if x > APART and x + length > across:
            x, y, row = APART, y + row, 0.0
        groups.append(_group(part, name, holes.get(part.name, ()), (x, y + breadth), letters))
        x, row = x + length + APART, max(row, breadth + 1.5 * letters + APART)
        wide = max(wide, x)
    size = f'width="{wide:.3f}mm" height="{y + row:.3f}mm" viewBox="0 0 {wide:.3f} {y + row:.3f}"'
    style = f"fill: none; stroke: black; stroke-width: {pen:g}; font: {letters:g}px sans-serif"
    inner = "\n".join(groups)
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>\n<g style="{style}">\n{inner}\n</g>\n</svg>\n'


def _group(part, name, holes, corner, letters):
    """Return a part as a group, its lower left corner at a place; up is up. [mm]"""
    left, bottom = corner
    corners = " ".join(f"{left + x / mm:.3f},{bottom - y / mm:.3f}" for x, y in part.outline)
    drawn = [f'<polygon points="{corners}"/>', *(_bored(hole, left, bottom) for hole in holes)]
    place = f'x="{left:.3f}" y="{bottom + 1.1 * letters:.3f}" style="fill: black; stroke: none"'
    return f"<g><title>{escape(part.name)}</title>{''.join(drawn)}<text {place}>{escape(name)}</text></g>"


def _bored(hole, left, bottom):
    x, y = left + hole.along / mm, bottom - hole.across / mm
    if hole.round:
        return f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{hole.sides[0] / mm / 2:.3f}"/>'
    wide, high = (side / mm for side in hole.sides)
    return f'<rect x="{x - wide / 2:.3f}" y="{y - high / 2:.3f}" width="{wide:.3f}" height="{high:.3f}"/>'
