"""Colours, dashes and axes that mean the same in every figure."""

from __future__ import annotations

import base64
import html
import io
import math
from dataclasses import dataclass

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.path import Path
from matplotlib.textpath import TextPath
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullLocator


@dataclass(frozen=True, slots=True)
class Pen:
    """How a curve is drawn: its meaning is fixed in every notebook."""

    color: str
    dash: object
    width: float = 1.8
    marker: str = ""


# The palette of M. Okabe and K. Ito, "Color universal design" (2008), which colour-blind readers can tell apart;
# dashes differ too, so that the curves survive a grey print.
PENS = {
    "sealed": Pen("#0072B2", "-"),
    "vented": Pen("#D55E00", (0, (6, 2))),
    "first": Pen("#0072B2", "-"),
    "second": Pen("#D55E00", (0, (6, 2))),
    "third": Pen("#009E73", (0, (2, 1.5))),
    "limit": Pen("#CC79A7", (0, (1, 1.2)), 1.3),
    "port": Pen("#009E73", (0, (3, 1.2, 1, 1.2)), 1.3),
    "validity": Pen("#888888", (0, (4, 1.5, 1, 1.5)), 1.2),
    "look": Pen("#777777", (0, (2, 4)), 1.5),
    "start": Pen("#888888", "-", 0.9),
    "head": Pen("#888888", "-", 6.0),  # a band and no curve
}

# What is kept beside the curves is thin: its dash says which of four it is, its marks which curve.
KEPT_DASHES = ((0, (1, 1)), (0, (4, 1.5)), (0, (8, 2)), (0, (5, 1.5, 1, 1.5, 1, 1.5)))
KEPT_MARKS = ("", "o", "x")
PENS |= {
    f"kept {slot} {place}": Pen(PENS[name].color, dash, 1.0, mark)
    for slot, dash in enumerate(KEPT_DASHES)
    for place, (name, mark) in enumerate(zip(("first", "second", "third"), KEPT_MARKS, strict=True))
}

# Members of a family, thin beside the curve that is looked at.
FAMILY = (
    ("#D55E00", (0, (2, 2))),
    ("#009E73", (0, (6, 1.5, 1, 1.5))),
    ("#CC79A7", (0, (3, 1))),
    ("#9467BD", (0, (1, 2.5))),
    ("#888888", (0, (10, 2, 3, 2))),
)
PENS |= {f"family {place}": Pen(color, dash, 1.1) for place, (color, dash) in enumerate(FAMILY)}

LIGHT = {"paper": "#ffffff", "ink": "#222222", "grid": "#d8d8d8"}
DARK = {"paper": "#151515", "ink": "#e6e6e6", "grid": "#3c3c3c"}

FREQUENCY = "frequency [Hz]"
TICKS = (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000)


DECADE = 1.2  # inch; in less, labels such as 10000 and 20000 would overlap
MARGIN = 0.1  # inch, around what a cell shows


class Drawing(Figure):
    """A figure that shows itself at the end of a notebook's cell, although pyplot does not know it."""

    def _repr_html_(self):
        """Return the picture, with words for those who cannot see it."""
        file = io.BytesIO()
        self.savefig(file, format="png", bbox_inches="tight", pad_inches=MARGIN)  # else labels may be cut off
        words, width = html.escape(self.in_words()), round(100 * (self.get_tightbbox().width + 2 * MARGIN))
        picture = base64.b64encode(file.getvalue()).decode()
        return f'<img alt="{words}" width="{width}" style="max-width: 100%" src="data:image/png;base64,{picture}">'

    def in_words(self):
        """Say what is drawn: the label of each axes, or its two quantities and the names of its curves."""
        along = next((axes.get_xlabel() for axes in self.axes[::-1] if axes.get_xlabel()), "")
        told = [axes.get_label() or f"{axes.get_ylabel()} against {axes.get_xlabel() or along}" for axes in self.axes]
        named = [", ".join(axes.get_legend_handles_labels()[1]) for axes in self.axes]
        whole = [f"{what}: {names}" if names else what for what, names in zip(told, named, strict=True)]
        return "; ".join(whole).replace("\n", " ")


def new_figure(width=8.2, height=4.9, dpi=200):
    """Return a figure that draws on its own, without pyplot's global state. Size in inch."""
    figure = Drawing(figsize=(width, height), dpi=dpi)
    FigureCanvasAgg(figure)
    return figure


def logarithmic_axis(axes, low, high, *, along=FREQUENCY, labelled=True):
    """Make the x axis logarithmic, with limits that stay put and ticks that read 20 50 100 200."""
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    axes.xaxis.set_major_locator(FixedLocator([f for f in TICKS if low <= f <= high]))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.xaxis.set_major_formatter(FuncFormatter(lambda f, _: _tick(axes, f) if labelled else ""))
    axes.grid(True, linewidth=0.6)
    if labelled:
        axes.set_xlabel(along, fontsize=8)
    return axes


def even_axis(axes, low, high, *, along, labelled=True):
    """Make the x axis even, with limits that stay put and round ticks."""
    axes.set_xlim(low, high)
    few_ticks(axes.xaxis, 6)
    axes.grid(True, linewidth=0.6)
    axes.tick_params(labelbottom=labelled)
    if labelled:
        axes.set_xlabel(along, fontsize=8)
    return axes


class _LocatorInside(MaxNLocator):
    """Round ticks without those right outside the limits: matplotlib would make them, and never draw them."""

    def tick_values(self, vmin, vmax):
        low, high = sorted((vmin, vmax))
        ticks, rounding = super().tick_values(vmin, vmax), 1e-9 * (high - low)
        return ticks[(ticks >= low - rounding) & (ticks <= high + rounding)]


def few_ticks(axis, most=4, prune=None, steps=(1, 2, 5, 10)):
    """Give an axis a few round ticks, with room between them: in a picture that is drawn live each tick takes time."""
    axis.set_major_locator(_LocatorInside(most, steps=steps, prune=prune))


def _tick(axes, frequency):
    """Return the label of a tick: thousands as 1k where a decade is too narrow for all digits."""
    low, high = axes.get_xlim()
    decade = axes.get_position().width * axes.figure.get_size_inches()[0] / math.log10(high / low)
    return f"{frequency / 1000:g}k" if frequency >= 1000 and decade < DECADE else f"{frequency:g}"


def marker_of(text):
    """Return a text as the outline of a marker; as a formula, "$1$", it would wait for matplotlib's parser to load."""
    drawn = TextPath((0.0, 0.0), text)
    corners = drawn.vertices[drawn.codes != Path.CLOSEPOLY]  # whose point lies on no outline
    low, high = corners.min(axis=0), corners.max(axis=0)
    return Path((drawn.vertices - (low + high) / 2) / max(high - low), drawn.codes)


def paint(figure, colours):
    """Give a figure the colours of paper, ink and grid."""
    for axes in figure.axes:
        paint_axes(axes, colours)
    for legend in figure.legends:
        for text in legend.get_texts():
            text.set_color(colours["ink"])
    return figure


def paint_axes(axes, colours):
    """Give axes, and the paper that they stand on, the colours of paper, ink and grid."""
    axes.figure.set_facecolor(colours["paper"])
    axes.set_facecolor(colours["paper"])
    axes.tick_params(colors=colours["ink"])
    axes.grid(True, color=colours["grid"], linewidth=0.6)
    for item in (axes.xaxis.label, axes.yaxis.label, axes.title, *axes.texts):
        item.set_color(colours["ink"])
    for ground in filter(None, (text.get_bbox_patch() for text in axes.texts)):
        ground.set_facecolor(colours["paper"])
    for spine in axes.spines.values():
        spine.set(color=colours["ink"], zorder=1.8)  # under the curves, so that it can stay while they move
