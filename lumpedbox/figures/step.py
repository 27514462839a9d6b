"""What follows a step, over time."""

from __future__ import annotations

from .style import LIGHT, PENS, few_ticks, paint_axes


def step_axes(axes, pens, low, high, *, colours=LIGHT):
    """Draw an empty time axis, and on it a still empty curve for each pen.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
    pens : dict
        Name of each curve: name of its pen in `PENS`.
    low, high : float
        Limits of the pressure, over that of the pass-band. [1]
    colours : dict
        Of ink and paper.

    Returns
    -------
    axes : matplotlib.axes.Axes
    lines : dict
        Name: line.
    """
    axes.set_ylim(low, high)
    axes.set_xlabel("time [ms]", fontsize=8)
    axes.set_ylabel("after a step [1]", fontsize=8, rotation=0, ha="right", va="top")
    axes.yaxis.set_label_coords(0.98, 0.97, transform=axes.transAxes)
    axes.tick_params(labelsize=8)
    few_ticks(axes.xaxis)
    few_ticks(axes.yaxis)
    axes.axhline(0, color=PENS["start"].color, linewidth=PENS["start"].width, zorder=1.85)
    lines = {}
    for name, pen in pens.items():
        pen = PENS[pen]
        (lines[name],) = axes.plot([], [], color=pen.color, linestyle=pen.dash, linewidth=pen.width, zorder=2)
    paint_axes(axes, colours)
    return axes, lines
