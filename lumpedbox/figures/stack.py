"""Two or three stacked axes over one frequency axis, each with the same curves."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from matplotlib.patches import Polygon

from .style import LIGHT, PENS, frequency_axis, new_figure, paint

SHADE = 3 / 16  # opacity of a band
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
    """

    key: str
    label: str
    low: float
    high: float
    factor: float = 1.0


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
    """

    figure: object
    panels: dict
    axes: dict = field(default_factory=dict)
    lines: dict = field(default_factory=dict)
    bands: dict = field(default_factory=dict)

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
            line = self.lines[name, key]
            shown = np.full_like(frequency, np.nan) if values is None else values / self.panels[key].factor
            line.set_data(frequency, shown)

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
            self.axes[panel.key].set_ylabel(panel.label)

    def upright(self, name, frequency):
        """Turn a curve into an upright line at one frequency [Hz] in every panel."""
        for key, axes in self.axes.items():
            self.lines[name, key].set_data([frequency, frequency], axes.get_ylim())

    def _repr_html_(self):
        return self.figure._repr_html_()

    def values(self, name, key):
        """Return a curve as drawn: frequency [Hz] and values in the panel's unit."""
        return self.lines[name, key].get_data()


def draw_panel(axes, panel, curves):
    """Draw the limits, the label and the still empty curves of a panel.

    Returns
    -------
    axes : matplotlib.axes.Axes
    lines, bands : dict
        Curve name: line, and the shading around it.
    """
    axes.set_ylim(panel.low, panel.high)
    axes.set_ylabel(panel.label, fontsize=8)
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
            label=text or "_",
            zorder=1.85 if pen_name == "start" else 2,  # under the bands, which move
        )
        bands[name] = axes.add_patch(Polygon(NOTHING, facecolor=pen.color, alpha=SHADE, linewidth=0, zorder=1.9))
    return axes, lines, bands


def stack(panels, curves, low, high, *, colours=LIGHT, height=4.9, right=0.972):
    """Draw empty stacked panels.

    Parameters
    ----------
    panels : sequence of Panel
    curves : dict
        Name of each curve: (name of its pen in `PENS`, text in the legend or "" for none).
    low, high : float
        Limits of the frequency axis. [Hz]
    height : float
        [inch]
    right : float
        Where the panels end, as a share of the figure's width: what is beyond is free for something else. [1]

    Returns
    -------
    Stack
    """
    figure = new_figure(height=height)
    all_axes = figure.subplots(len(panels), 1, squeeze=False)[:, 0]
    drawn = Stack(figure, {panel.key: panel for panel in panels})
    for panel, axes in zip(panels, all_axes, strict=True):
        drawn.axes[panel.key], lines, bands = draw_panel(axes, panel, curves)
        frequency_axis(axes, low, high, labelled=axes is all_axes[-1])
        drawn.lines.update({(name, panel.key): line for name, line in lines.items()})
        drawn.bands.update({(name, panel.key): band for name, band in bands.items()})
    named = [line for (_, key), line in drawn.lines.items() if key == panels[0].key and line.get_label() != "_"]
    figure.legend(
        handles=named, loc="upper left", bbox_to_anchor=(0.082, 1.0), ncols=7, fontsize=8, frameon=False, borderpad=0.2
    )
    edge = 0.27 / height
    figure.subplots_adjust(left=0.09, right=right, top=1 - edge, bottom=0.42 / height, hspace=0.14)
    paint(figure, colours)
    return drawn
