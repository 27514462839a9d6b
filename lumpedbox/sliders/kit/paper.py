"""Text and tables laid out on paper: lines are broken before anything is drawn, so that nothing is cut off."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.artist import Artist
from matplotlib.lines import Line2D

from ...figures.garage.page import text_width

POINT = 1 / 72  # inch
LEADING = 1.3  # height of a line, in sizes of its letters
ASCENT = 1.0  # from the top of a line to what its letters stand on, in sizes of its letters
INK, SOFT = "#111111", "#444444"  # both are read well in grey
GAP = 0.16  # inch, between columns


@dataclass(frozen=True, slots=True)
class Style:
    """How words look: the size of the letters in points, their weight and ink."""

    size: float
    bold: bool = False
    ink: str = INK

    @property
    def line(self):
        """Height of a line. [inch]"""
        return LEADING * self.size * POINT

    def width(self, text):
        """Return how wide a text is on one line. [inch]"""
        return text_width(text, self.bold) * self.size * POINT

    def fits(self, text, width):
        """Tell whether a text is no wider than a width [inch], but for the rounding of numbers."""
        return self.width(text) <= width * (1 + 1e-9)


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text at a place: inches from the left and from the top to what the letters stand on."""

    x: float
    y: float
    text: str
    style: Style
    link: str | None = None

    def draw_on(self, figure, order):
        """Draw it, in some order with what else there is: a reader of the text meets it so."""
        width, height = figure.get_size_inches()
        drawn = figure.text(
            *(self.x / width, 1 - self.y / height, self.text),
            size=self.style.size,
            weight="bold" if self.style.bold else "normal",
            color=self.style.ink,
            va="baseline",
            zorder=order,
            parse_math=False,  # else two dollar signs would make a formula of what is between them
        )
        drawn.set_url(self.link)


@dataclass(frozen=True, slots=True)
class Rule:
    """A thin line across the paper at a place. [inch]"""

    x: float
    y: float
    length: float

    def draw_on(self, figure, order):
        """Draw it, in some order with what else there is: a reader of the text meets it so."""
        width, height = figure.get_size_inches()
        ends, y = (self.x / width, (self.x + self.length) / width), 1 - self.y / height
        figure.add_artist(Line2D(ends, (y, y), color="#999999", linewidth=0.5, zorder=order))


@dataclass(frozen=True, slots=True)
class Block:
    """What takes up some height, with the words and rules in it. [inch]"""

    height: float
    marks: tuple = ()

    def at(self, x=0.0, y=0.0):
        """Return its marks, moved to the right and down. [inch]"""
        return tuple(replace(mark, x=mark.x + x, y=mark.y + y) for mark in self.marks)


def space(height):
    """Return a block with nothing in it. [inch]"""
    return Block(height)


def rule(width):
    """Return a thin line across, with a little room around it. [inch]"""
    return Block(0.07, (Rule(0.0, 0.03, width),))


def stacked(blocks):
    """Return blocks one under another as one."""
    height, marks = 0.0, []
    for block in blocks:
        marks += block.at(y=height)
        height += block.height
    return Block(height, tuple(marks))


def beside(places):
    """Return blocks side by side as one: (where from the left [inch], block)."""
    height = max((block.height for _, block in places), default=0.0)
    return Block(height, tuple(mark for x, block in places for mark in block.at(x=x)))


def lines(text, width, style, link=None):
    """Return a text, broken to a width [inch], as one block a line."""
    broken = _broken(text, width, style)
    return [Block(style.line, (Words(0.0, ASCENT * style.size * POINT, line, style, link),)) for line in broken]


def paragraph(text, width, style, link=None):
    """Return a text, broken to a width [inch], as one block."""
    return stacked(lines(text, width, style, link))


def balanced(text, width, style):
    """Return a text as one block whose lines are alike in length, in no more lines than its width [inch] asks for."""
    count = len(_broken(text, width, style))
    narrower = (share for share in np.arange(0.5, 1.0, 0.05) if len(_broken(text, share * width, style)) == count)
    return paragraph(text, next(narrower, 1.0) * width, style)


def _broken(text, width, style):
    broken = []
    for piece in (piece for word in _words(text) for piece in _pieces(word, width, style)):
        longer = f"{broken[-1]} {piece}" if broken else piece
        if broken and style.fits(longer, width):
            broken[-1] = longer
        else:
            broken.append(piece)
    return broken


def _words(text):
    """Return the words of a text; a number and its unit are one, so that no line ends between them."""
    return re.split(r"(?<!\d)\s+|\s+(?=\d)", text.strip())


def _pieces(word, width, style):
    """Return a word, or as many pieces of it as are needed where it is wider than the paper, such as a long link."""
    pieces = [""]
    for letter in () if style.fits(word, width) else word:
        if pieces[-1] and not style.fits(pieces[-1] + letter, width):
            pieces.append("")
        pieces[-1] += letter
    return pieces if pieces[0] else [word]


def columns(blocks, width, gap=2 * GAP):
    """Return blocks in two columns that are as alike in height as can be; each was broken to `column_width(width)`."""
    heights = np.cumsum([0.0, *(block.height for block in blocks)])
    taller = np.maximum(heights, heights[-1] - heights)
    split = len(blocks) - int(np.argmin(taller[::-1]))  # of two alike, that with more on the left
    return beside([(0.0, stacked(blocks[:split])), (column_width(width, gap) + gap, stacked(blocks[split:]))])


def column_width(width, gap=2 * GAP):
    """Return the width of one of two columns. [inch]"""
    return (width - gap) / 2


def table(rows, width, style, *, head=None):
    """Return a table whose first column names the rows, or nothing where there is none.

    Parameters
    ----------
    rows : sequence of sequence of str
    width : float
        At most. [inch]
    style : Style
    head : sequence of str, optional
        Headings of the columns.
    """
    bold, named = replace(style, bold=True), replace(style, ink=SOFT)
    cells = [[(row[0], named), *((text, style) for text in row[1:])] for row in rows]
    cells = [[(text, bold) for text in head], *cells] if head else cells
    if not cells:
        return space(0)
    widths = _widths(list(zip(*cells, strict=True)), width)
    starts = [sum(widths[:n]) for n in range(len(widths))]
    drawn = []
    for row in cells:
        told = [paragraph(text, w - GAP, look) for (text, look), w in zip(row, widths, strict=True)]
        drawn += [beside(list(zip(starts, told, strict=True))), rule(sum(widths) - GAP)]
    return stacked(drawn[:-1])


def _widths(columns_of_cells, width):
    """Return the widths of columns, gaps with them: that of the longest word, and a share of what is left. [inch]"""
    least = [max(look.width(word) for text, look in cells for word in _words(text)) + GAP for cells in columns_of_cells]
    whole = [max(look.width(text) for text, look in cells) + GAP for cells in columns_of_cells]
    width += GAP  # after the last one there is none
    squeezed = min(1.0, width / sum(least))
    more = _shared([a - b for a, b in zip(whole, least, strict=True)], width - squeezed * sum(least))
    return [squeezed * a + b for a, b in zip(least, more, strict=True)]


def _shared(wanted, width):
    """Return the widths of columns that share a width: who wants less than an equal share gets it, and leaves more."""
    got, left = {}, width
    for n in sorted(range(len(wanted)), key=wanted.__getitem__):
        got[n] = min(wanted[n], left / (len(wanted) - len(got)))
        left -= got[n]
    return [got[n] for n in range(len(wanted))]


class Placed(Artist):
    """A figure drawn at a place of another, as lines and text, not as an image.

    Parameters
    ----------
    picture : matplotlib.figure.Figure
        It can be used for nothing else afterwards.
    x, y : float
        Its left and lower edge. [inch]
    order : float
        As in `Words.draw_on`.
    """

    def __init__(self, picture, x, y, order=0):
        super().__init__()
        self.set_zorder(order)
        if picture.get_layout_engine():
            picture.draw_without_rendering()
            picture.set_layout_engine("none")
        for artist in picture.findobj(lambda artist: artist.get_animated()):  # else it would be left out
            artist.set_animated(False)
        picture.bbox_inches.set_points(np.add(picture.bbox_inches.get_points(), (x, y)))
        self.picture = picture

    def draw(self, renderer):
        """Draw it, as fine as the figure that it stands on."""
        self.picture.dpi = self.get_figure().dpi
        self.picture.draw(renderer)
