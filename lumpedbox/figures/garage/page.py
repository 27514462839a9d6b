"""A sheet of paper in millimetres, on which no text is put over another."""

from __future__ import annotations

import functools

from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import Polygon
from matplotlib.textpath import text_to_path

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm, upright
MARGIN = 12.0  # mm
POINT = 25.4 / 72  # mm
LINE = 1.35  # height of a line, in sizes of its letters
INK, SOFT, WOOD, CUT = "#111111", "#555555", "#e9dcc3", "#444444"


@functools.lru_cache(maxsize=20000)
def text_width(text, bold):
    """Return how wide a text is, in sizes of its letters."""
    font = FontProperties(weight="bold" if bold else "normal", size=1)
    return text_to_path.get_text_width_height_descent(text, font, ismath=False)[0]


def broken(text, width, size, bold=False):
    """Return the lines of a text that is to be no wider than so many mm."""
    lines, line = [], ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and text_width(longer, bold) * size * POINT > width:
            lines, line = [*lines, line], word
        else:
            line = longer
    return [*lines, line] if line else lines


class Page:
    """One sheet: x to the right and y up, in mm from the lower left corner."""

    def __init__(self, paper):
        self.width, self.height = PAPERS[paper]
        self.figure = Figure(figsize=(self.width / 25.4, self.height / 25.4))
        self.axes = self.figure.add_axes((0, 0, 1, 1))
        self.axes.set(xlim=(0, self.width), ylim=(0, self.height))
        self.axes.axis("off")
        self.taken, self.y = [], self.height - MARGIN

    def text(self, x, y, text, size=9.0, bold=False, ink=INK, ha="left", ground=None):
        """Put a line of text with its baseline at a place, and keep its room."""
        named = {"fontsize": size, "color": ink, "ha": ha, "va": "baseline", "parse_math": False, "zorder": 5}
        named |= {"bbox": {"facecolor": ground, "edgecolor": "none", "pad": 0.4}} if ground else {}
        self.axes.text(x, y, text, weight="bold" if bold else "normal", **named)
        self.taken.append(room_of(x, y, text, size, bold, ha))

    def label(self, places, text, size=8.0, bold=False, ink=INK, ground=None):
        """Put a text, centred, at the first of some places where no other is in its way; tell whether there was one."""
        for x, y in places:
            room = room_of(x, y - 0.35 * size * POINT, text, size, bold, "center")
            if self.is_free(room):
                self.text(x, y - 0.35 * size * POINT, text, size, bold, ink, "center", ground)
                return True
        return False

    def is_free(self, room):
        """Tell whether a room lies on the paper and meets no other."""
        x0, y0, x1, y1 = room
        on = MARGIN / 2 <= x0 and x1 <= self.width - MARGIN / 2 and MARGIN / 2 <= y0 and y1 <= self.height - MARGIN / 2
        return on and not any(x0 < c and a < x1 and y0 < d and b < y1 for a, b, c, d in self.taken)

    def shape(self, points, face="none", edge=CUT, width=0.6, dash="-", order=1):
        """Draw a polygon."""
        drawn = Polygon(points, closed=True, facecolor=face, edgecolor=edge, linewidth=width, linestyle=dash)
        drawn.set_zorder(order)
        self.axes.add_patch(drawn)
        return drawn

    def line(self, xs, ys, width=0.5, ink=CUT, dash="-", order=2):
        """Draw a line."""
        return self.axes.plot(xs, ys, color=ink, linewidth=width, linestyle=dash, zorder=order, solid_capstyle="butt")


def room_of(x, y, text, size, bold, ha):
    """Return the room that a line of text takes up: left, bottom, right, top. [mm]"""
    wide = text_width(text, bold) * size * POINT
    left = x - {"left": 0.0, "center": 0.5, "right": 1.0}[ha] * wide
    return left, y - 0.25 * size * POINT, left + wide, y + 0.85 * size * POINT


class Paper:
    """Sheets, filled from the top; what does not fit goes on the next one."""

    def __init__(self, paper, title, foot):
        self.paper, self.title, self.foot, self.pages = paper, title, foot, []

    @property
    def page(self):
        """The sheet that is being filled."""
        return self.pages[-1]

    @property
    def width(self):
        """Between the margins. [mm]"""
        return PAPERS[self.paper][0] - 2 * MARGIN

    def new_page(self, heading):
        """Begin another sheet."""
        self.pages.append(Page(self.paper))
        page = self.page
        page.text(MARGIN, page.y - 4, heading, 14, bold=True)
        page.text(page.width - MARGIN, page.y - 4, f"{self.title}, sheet {len(self.pages)}", 8, ink=SOFT, ha="right")
        for i, line in enumerate(reversed(broken(self.foot, self.width, 7))):
            page.text(MARGIN, MARGIN - 4 + 3.2 * i, line, 7, ink=SOFT)
        page.y -= 11
        self.heading = heading
        return page

    def room(self, height):
        """Make sure that so many mm are left, on a new sheet if need be; return the sheet."""
        if self.page.y - height < MARGIN + 6:
            self.new_page(f"{self.heading}, continued".replace(", continued, continued", ", continued"))
        return self.page

    def title_line(self, text):
        """Put a heading within a sheet."""
        page = self.room(16)
        page.y -= 7
        page.text(MARGIN, page.y, text, 10.5, bold=True)
        page.y -= 2

    def paragraph(self, text, size=9.0, indent=0.0):
        """Put a text, broken into lines."""
        for line in broken(text, self.width - indent, size):
            page = self.room(size * POINT * LINE)
            page.y -= size * POINT * LINE
            page.text(MARGIN + indent, page.y, line, size)
        self.page.y -= 0.8

    def table(self, head, rows, widths, size=8.5):
        """Put rows under a heading; columns are so many mm wide, and cells are broken into lines."""
        starts = [MARGIN + sum(widths[:i]) for i in range(len(widths))]
        for number, row in enumerate([head, *rows]):
            bold = number == 0
            cells = [broken(str(cell), wide - 2, size, bold) for cell, wide in zip(row, widths, strict=True)]
            high = max(1, *map(len, cells)) * size * POINT * LINE
            page = self.room(high + 2)
            for start, lines in zip(starts, cells, strict=True):
                for i, line in enumerate(lines):
                    page.text(start, page.y - (i + 1) * size * POINT * LINE, line, size, bold)
            page.y -= high + 1.2
            page.line([MARGIN, MARGIN + sum(widths)], [page.y - 0.2] * 2, 0.25, "#bbbbbb")
        self.page.y -= 2
