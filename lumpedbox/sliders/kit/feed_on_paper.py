"""A feed on paper: the symbol of each piece, the line between them, and what to buy."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from matplotlib.patches import Polygon

from .feed import BACK, BATTERY, BUY, FUSE, GROMMET, LOAD, SPLIT, WIRE
from .paper import GAP, INK, SOFT, Block, beside, paragraph, space, stacked

PIXEL = 1 / 130  # inch, of the drawing on the page
TRUNK, BRANCH, WIDE = 16 * PIXEL, 44 * PIXEL, 66 * PIXEL  # inch: where the lines are, and the symbols' room
HIGH, MIDDLE = 34 * PIXEL, 17 * PIXEL  # inch, of a symbol
THIN, THICK = 0.9, 0.45  # points of a line, and more for each mm of a wire's width
BOX = "☐"
ROUND = np.linspace(0, 2 * np.pi, 24, endpoint=False)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line or a shape at a place: its corners in inches from there, to the right and down."""

    x: float
    y: float
    corners: tuple
    width: float = THIN
    closed: bool = False
    filled: bool = False
    known: bool = True

    def draw_on(self, figure, order):
        """Draw it, in some order with what else there is."""
        size = figure.get_size_inches()
        places = np.add(self.corners, (self.x, self.y)) / size
        shape = Polygon(
            np.column_stack([places[:, 0], 1 - places[:, 1]]),
            closed=self.closed,
            facecolor="white" if self.filled else "none",
            edgecolor=INK if self.known else SOFT,
            linewidth=self.width,
            linestyle="-" if self.known else (0, (3, 2)),
            transform=figure.transFigure,
            zorder=order,
        )
        figure.add_artist(shape)


def _across(x, y, half):
    return ((x - half * PIXEL, y * PIXEL), (x + half * PIXEL, y * PIXEL))


def _box(x, high, wide):
    half, tall = wide / 2 * PIXEL, high / 2 * PIXEL
    return tuple((x + a * half, MIDDLE + b * tall) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1)))


def _circle(x, radius):
    return tuple((x + radius * PIXEL * np.cos(t), MIDDLE + radius * PIXEL * np.sin(t)) for t in ROUND)


def _symbol(piece, x, height):
    """Yield the strokes of one piece; the line goes on as far down as the words beside it."""
    kind, down = piece["kind"], ((x, 0.0), (x, height))
    if kind == BATTERY:
        yield Stroke(0, 0, _across(x, 10, 12), width=2.0)
        yield Stroke(0, 0, _across(x, 16, 6), width=2.0)
        yield Stroke(0, 0, ((x, 16 * PIXEL), (x, height)))
    elif kind == BACK:
        yield Stroke(0, 0, ((x, 0.0), (x, 14 * PIXEL)))
        for y, half in ((14, 12), (19, 8), (24, 4)):
            yield Stroke(0, 0, _across(x, y, half))
    elif kind == LOAD:
        yield Stroke(0, 0, down if not piece["branch"] else ((x, 0.0), (x, MIDDLE)))
        yield Stroke(0, 0, _box(x, 20, 22), closed=True, filled=True)
    else:
        yield Stroke(0, 0, down, width=THIN + THICK * piece["thick"] if kind == WIRE else THIN)
        if kind == FUSE:
            yield Stroke(0, 0, _box(x, 24, 11), closed=True)
        if kind in (GROMMET, SPLIT):
            yield Stroke(0, 0, _circle(x, 6 if kind == GROMMET else 4), width=2.0, closed=True)


def _row(pieces, at, width, style):
    """Return one piece with its symbol, its words and what to mind there."""
    piece = pieces[at]
    words_wide = 0.46 * (width - WIDE)
    told = paragraph(piece["text"], words_wide - GAP, style)
    note = paragraph(piece["note"], width - WIDE - words_wide, replace(style, ink=SOFT))
    height = max(HIGH, told.height, note.height)
    branch = piece["branch"]
    strokes = list(_symbol(piece, BRANCH if branch else TRUNK, height))
    if branch and any(later["branch"] not in (0, branch) for later in pieces[at + 1 :]):
        strokes.append(Stroke(0, 0, ((TRUNK, 0.0), (TRUNK, height))))
    if branch and pieces[at - 1]["branch"] != branch:
        strokes.append(Stroke(0, 0, ((TRUNK, 0.0), (BRANCH, 0.0))))
    drawn = Block(height, tuple(replace(stroke, known=piece["known"]) for stroke in strokes))
    texts = [
        (x, stacked([space((height - one.height) / 2), one])) for x, one in ((WIDE, told), (WIDE + words_wide, note))
    ]
    return beside([(0.0, drawn), *texts])


def feed_block(pieces, width, style):
    """Return a feed with its symbols, and what to buy, as one block.

    Parameters
    ----------
    pieces : sequence of dict
        As `Drawing.said` tells.
    width : float
        [inch]
    style : Style
    """
    drawn = [piece for piece in pieces if piece["kind"] != BUY]
    buy = [piece["text"] for piece in pieces if piece["kind"] == BUY]
    bold = replace(style, bold=True)
    rows = [
        paragraph("The feed, piece by piece", width, bold),
        *(_row(drawn, at, width, style) for at in range(len(drawn))),
    ]
    bought = [paragraph(f"{BOX} {text}", width, style) for text in buy]
    return stacked([*rows, *([space(0.05), paragraph("To buy", width, bold), *bought] if buy else [])])
