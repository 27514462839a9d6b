"""The way of a signal, stage by stage: how far its loudest tone stays below where each stage clips."""

from __future__ import annotations

from .style import LIGHT, PENS, paint_axes

LOW, HIGH = -40.0, 10.0  # dB against clipping; what is further below is drawn at the edge
OTHER = PENS["look"].color  # of stages that are no curve


class HeadroomPicture:
    """Axes with a bar for each stage, which ends at clipping or before it.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
    stages : dict
        Name of each stage from the source on: pen of its curve, or "" where it has none.
    colours : dict
        Of ink and paper.

    Attributes
    ----------
    moving : list of artists
        Bars and names, which `show` moves.
    """

    def __init__(self, axes, stages, colours=LIGHT):
        self.axes, self.bars, self.names = axes, {}, {}
        axes.set_xlim(LOW, HIGH)
        axes.set_ylim(len(stages) - 0.5, -0.95)
        axes.set_yticks([])
        axes.set_xticks([-40, -20, 0])
        axes.set_xlabel("against clipping [dB]", fontsize=8)
        axes.tick_params(labelsize=8)
        axes.axvline(0.0, color=PENS["limit"].color, linestyle=PENS["limit"].dash, linewidth=1.5)
        over = {"textcoords": "offset points", "xytext": (3, 3.5), "fontsize": 8, "va": "bottom"}
        for name, pen in stages.items():
            color = PENS[pen].color if pen else OTHER
            (self.bars[name],) = axes.plot([], [], color=color, linewidth=5, solid_capstyle="butt")
            self.names[name] = axes.annotate("", (LOW, 0.0), **over)
        paint_axes(axes, colours)
        self.moving = [artist for name in stages for artist in (self.bars[name], self.names[name])]

    def place(self, bounds):
        """Put the axes into their place: left, bottom, width and height, as shares of the figure."""
        self.axes.set_position(bounds)

    def show(self, margins):
        """Show how far the stages stay below clipping; one that is not there is left out.

        Parameters
        ----------
        margins : dict
            Name of a stage: [dB].
        """
        there = [name for name in self.bars if name in margins]
        for name in self.bars:
            self.names[name].set_text(name if name in there else "")
            self.bars[name].set_data([], [])
        for row, name in enumerate(there):
            place = row * len(self.bars) / len(there)
            self.names[name].xy = (LOW, place)
            self.bars[name].set_data([LOW, min(max(-margins[name], LOW), HIGH)], [place, place])
