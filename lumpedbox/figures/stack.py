"""Two or three stacked axes over one frequency axis, each with the same curves."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from matplotlib.patches import Polygon

from .style import FREQUENCY, LIGHT, PENS, even_axis, few_ticks, logarithmic_axis, new_figure, paint

SHADE = 3 / 16  # opacity of a band
LEFT, RIGHT, TOP, BOTTOM, GAP = 0.42, 0.2, 0.07, 0.4, 0.07  # inch: margins around the panels, and between them
LEGEND = 0.19  # inch, for a row of names above the panels
TALLEST = 1.8  # of the first panel, the others being 1
ASIDE = 0.62  # inch, between the panels and what stands beside or under them
NARROW = 5.5  # inch; in a narrower picture what would stand beside the panels stands under them
TITLE_GROUND = {"alpha": 0.85, "linewidth": 0, "pad": 1.5}  # a curve under a title is seen, but does not cross it out
NOTHING = np.full((1, 2), np.nan)


@dataclass(frozen=True, slots=True)
class Panel:
    """One of the stacked axes.

    Attributes
    ----------
    key : str
        What it shows.
    label : str
        Quantity and unit, as written beside the axis.
    low, high : float
        Limits, in that unit.
    factor : float
        What an SI value is divided by to be in that unit.
    tops : tuple of float
        Further upper limits, for curves that pass the first one; in that unit.
    rises : bool
        Whether its curves rise to the right: then the label stands in the upper left corner, out of their way.
    """

    key: str
    label: str
    low: float
    high: float
    factor: float = 1.0
    tops: tuple = ()
    rises: bool = False

    def top(self, highest):
        """Return the lowest upper limit that holds a value, else the last one; in the panel's unit."""
        tops = (self.high, *self.tops)
        return next((top for top in tops if highest <= top), tops[-1])

    @property
    def unit(self):
        """The unit, as it stands in the label's brackets."""
        return self.label.partition("[")[2].partition("]")[0].partition(" re ")[0]


@dataclass(slots=True)
class Stack:
    """A figure of stacked panels and its curves.

    Attributes
    ----------
    figure : matplotlib.figure.Figure
    axes : dict
        Panel key: axes.
    lines, bands : dict
        (curve name, panel key): line, and the shading around it.
    titles : dict
        Panel key: its label, which stands over the curves, in an upper corner.
    uprights : dict
        Name of a curve that is an upright line: its frequency. [Hz]
    """

    figure: object
    panels: dict
    axes: dict = field(default_factory=dict)
    lines: dict = field(default_factory=dict)
    bands: dict = field(default_factory=dict)
    titles: dict = field(default_factory=dict)
    uprights: dict = field(default_factory=dict)

    def show(self, name, frequency, curves):
        """Give a curve new values.

        Parameters
        ----------
        name : str
        frequency : array, shape (nf,)
            [Hz]
        curves : dict
            Panel key: array of shape (nf,) in SI units (levels in dB), or None to show nothing.
        """
        for key in self.axes:
            values = curves.get(key)
            nothing = values is None or not np.isfinite(values).any()
            self.lines[name, key].set_data(*([], []) if nothing else (frequency, values / self.panels[key].factor))

    def shade(self, name, frequency, edges):
        """Shade a band around a curve.

        Parameters
        ----------
        name : str
        frequency : array, shape (nf,)
            [Hz]
        edges : dict
            Panel key: array of shape (2, nf) in SI units (levels in dB); what is absent is not shaded.
        """
        for key in self.axes:
            outline = NOTHING
            if key in edges:
                low, high = np.asarray(edges[key]) / self.panels[key].factor
                outline = np.column_stack([np.append(frequency, frequency[::-1]), np.append(low, high[::-1])])
            self.bands[name, key].set_xy(outline[np.isfinite(outline[:, 1])] if len(outline) > 1 else outline)
            self.bands[name, key].set_animated(len(outline) > 1)  # what is not shown need not be drawn again

    def change(self, panels):
        """Change the units and limits of the panels to those of others with the same keys."""
        for panel in panels:
            self.panels[panel.key] = panel
            self.axes[panel.key].set_ylim(panel.low, panel.high)
            self.name(panel.key, panel.label)

    def name(self, key, label):
        """Give a panel another label."""
        self.panels[key] = replace(self.panels[key], label=label)
        self.axes[key].yaxis.label.set_text(label)  # set_ylabel would show it too
        self.titles[key].set_text(label)

    def reach(self):
        """Raise the limits of the panels that have further ones to what the curves need.

        Returns
        -------
        bool
            Whether any limit has changed.
        """
        changed = False
        for key, panel in self.panels.items():
            if panel.tops:
                drawn = [
                    line.get_ydata()
                    for (name, of), line in self.lines.items()
                    if of == key and name not in self.uprights
                ]
                top = panel.top(np.nanmax(np.concatenate([[panel.low], *drawn])))
                changed |= top != self.axes[key].get_ylim()[1]
                self.axes[key].set_ylim(panel.low, top)
        for name, frequency in self.uprights.items():
            self.upright(name, frequency)
        return changed

    def fit(self, width, height, *, legend=False, aside=0.0):
        """Lay the panels out in a picture of some size, with margins that stay as they are.

        Parameters
        ----------
        width, height : float
            [inch]
        legend : bool
            Whether room is left for the names of the curves, above the panels.
        aside : float
            What share of the width is left free for something beside the panels, or under them in a narrow picture.

        Returns
        -------
        (float, float, float, float)
            What is left free: left, bottom, width and height, as shares of the picture.
        """
        self.figure.set_size_inches(width, height)
        above = LEGEND * _legend_rows(self.named(), width) if legend else 0.0
        top, bottom, right = TOP + above, BOTTOM, width - RIGHT
        free = (0.0, 0.0, 0.0, 0.0)
        if aside and width >= NARROW:
            right -= aside * width
            free = (right + ASIDE, bottom, width - RIGHT - right - ASIDE, height - top - bottom)
        elif aside:
            bottom = height / 2
            free = (ASIDE, BOTTOM, right - ASIDE, bottom - 2 * BOTTOM)
        shares = np.array([TALLEST, *[1.0] * (len(self.axes) - 1)])
        heights = (height - top - bottom - GAP * (len(shares) - 1)) * shares / shares.sum()
        upper = height - top
        for axes, high in zip(self.axes.values(), heights, strict=True):
            axes.set_position((LEFT / width, (upper - high) / height, (right - LEFT) / width, high / height))
            upper -= high + GAP
        return free[0] / width, free[1] / height, free[2] / width, free[3] / height

    def named(self):
        """Return the lines that have a name, one for each, thick ones first."""
        first = next(iter(self.axes))
        lines = [line for (_, key), line in self.lines.items() if key == first and line.get_label()[:1] != "_"]
        return sorted(lines, key=lambda line: -line.get_linewidth())

    def legend(self):
        """Write the names of the curves above the panels; return the legend."""
        width, lines = self.figure.get_size_inches()[0], self.named()
        columns = -(-len(lines) // _legend_rows(lines, width))
        place = {"loc": "upper left", "bbox_to_anchor": (LEFT / width, 1.0), "borderaxespad": 0.1}
        return self.figure.legend(
            handles=lines, ncols=columns, fontsize=8, frameon=False, borderpad=0.2, columnspacing=1.0, **place
        )

    def upright(self, name, frequency):
        """Turn a curve into an upright line at one frequency [Hz] in every panel."""
        self.uprights[name] = frequency
        for key, axes in self.axes.items():
            self.lines[name, key].set_data([frequency, frequency], axes.get_ylim())

    def _repr_html_(self):
        return self.figure._repr_html_()

    def values(self, name, key):
        """Return a curve as drawn: frequency [Hz] and values in the panel's unit."""
        return self.lines[name, key].get_data()


def _legend_rows(lines, width):
    """Return in how few rows the names of lines fit into a picture, when they are set column by column. [inch]"""
    needed = [0.45 + 0.062 * len(line.get_label()) for line in lines]  # of the letters of 8 points, on the average
    for rows in range(1, len(lines)):
        if sum(max(needed[first : first + rows]) for first in range(0, len(needed), rows)) <= width - LEFT:
            return rows
    return len(lines)


def draw_panel(axes, panel, curves):
    """Draw the limits, the label and the still empty curves of a panel.

    Returns
    -------
    axes : matplotlib.axes.Axes
    lines, bands : dict
        Curve name: line, and the shading around it.
    title : matplotlib.text.Text
    """
    axes.set_ylim(panel.low, panel.high)
    axes.set_ylabel(panel.label, visible=False)  # for whoever asks: an axis draws its own under the curves
    side, inwards, at = ("left", 4, 0) if panel.rises else ("right", -4, 1)
    corner = {"xycoords": "axes fraction", "textcoords": "offset points", "ha": side, "va": "top"}
    title = axes.annotate(panel.label, (at, 1), (inwards, -3), fontsize=8, zorder=3, bbox=TITLE_GROUND, **corner)
    few_ticks(axes.yaxis, prune="upper")
    axes.tick_params(labelsize=8)
    lines, bands = {}, {}
    for name, (pen_name, text) in curves.items():
        pen = PENS[pen_name]
        (lines[name],) = axes.plot(
            [],
            [],
            color=pen.color,
            linestyle=pen.dash,
            linewidth=pen.width,
            marker=pen.marker,
            markersize=3,
            markevery=0.12,
            label=text or "_",
            zorder=1.85 if pen_name == "start" else 2,  # under the bands, which move
        )
        bands[name] = axes.add_patch(Polygon(NOTHING, facecolor=pen.color, alpha=SHADE, linewidth=0, zorder=1.9))
    return axes, lines, bands, title


def stack(panels, curves, low, high, *, along=FREQUENCY, even=False, colours=LIGHT, height=4.9, legend=True):
    """Draw empty stacked panels.

    Parameters
    ----------
    panels : sequence of Panel
    curves : dict
        Name of each curve: (name of its pen in `PENS`, text in the legend or "" for none).
    low, high : float
        Limits of the axis that all of them stand on: in Hz, if it is one of frequency.
    along : str
        What that axis shows, with its unit in brackets.
    even : bool
        Whether that axis is even, not logarithmic.
    height : float
        [inch]
    legend : bool
        Whether the names of the curves stand above the panels.

    Returns
    -------
    Stack
    """
    figure = new_figure(height=height)
    drawn = Stack(figure, {panel.key: panel for panel in panels})
    for panel in panels:
        axes, lines, bands, title = draw_panel(figure.add_axes((0, 0, 1, 1)), panel, curves)
        drawn.axes[panel.key], drawn.titles[panel.key] = axes, title
        axis = even_axis if even else logarithmic_axis
        axis(drawn.axes[panel.key], low, high, along=along, labelled=panel is panels[-1])
        drawn.lines.update({(name, panel.key): line for name, line in lines.items()})
        drawn.bands.update({(name, panel.key): band for name, band in bands.items()})
    drawn.fit(*figure.get_size_inches(), legend=legend)
    if legend:
        drawn.legend()
    paint(figure, colours)
    return drawn
