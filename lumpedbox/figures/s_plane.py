"""Poles and zeros on the s-plane: the higher up, the faster they swing; the farther left, the faster they die away."""

from __future__ import annotations

import numpy as np

from .style import LIGHT, PENS, few_ticks, paint_axes

RINGS = 6  # zeros on one spot that can be told apart
AROUND = np.linspace(0, 2 * np.pi, 181)
BARE = {"linestyle": "none", "fillstyle": "none"}


def s_plane(axes, left, right, low, high, unit, *, colours=LIGHT):
    """Draw an empty s-plane: both axes, and the circle on which everything swings at the unit's frequency.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
    left, right, low, high : float
        Limits of the real and of the imaginary part. [1]
    unit : str
        Unit that the poles are divided by.
    colours : dict
        Of ink and paper.

    Returns
    -------
    axes : matplotlib.axes.Axes
    artists : dict
        "poles" and "start" (a line each), "zeros" (lines: of the first, second ... zero on one spot, ever larger), and
        "key" (text: which mark is what).
    """
    axes.set(xlim=(left, right), ylim=(low, high), aspect="equal", anchor="W")
    axes.set_xlabel(f"real part [{unit}]", fontsize=8)
    axes.set_ylabel(f"imaginary part [{unit}]", fontsize=8, labelpad=1)
    axes.tick_params(labelsize=8)
    few_ticks(axes.xaxis)
    few_ticks(axes.yaxis)
    thin = {"color": PENS["start"].color, "linewidth": PENS["start"].width, "zorder": 1.85}
    axes.plot([left, right], [0, 0], **thin)
    axes.plot([0, 0], [low, high], **thin)
    axes.plot(np.cos(AROUND), np.sin(AROUND), **thin, linestyle=(0, (1, 2)))
    zero = PENS["second"]
    (start,) = axes.plot([], [], "x", **BARE, **thin, markersize=6, markeredgewidth=0.9)
    poles = crosses(axes, PENS["first"], 7, zorder=2)
    rings = [
        axes.plot([], [], "o", **BARE, color=zero.color, markersize=size, markeredgewidth=1.2, label="zeros")[0]
        for size in 5 + 3.5 * np.arange(RINGS)
    ]
    key = axes.text(0.04, 0.985, "x poles\no zeros", transform=axes.transAxes, fontsize=8, va="top", zorder=1.8)
    paint_axes(axes, colours)
    return axes, {"poles": poles, "start": start, "zeros": tuple(rings), "key": key}


def crosses(axes, pen, size=5.0, zorder=1.95):
    """Draw a line of crosses for poles, still without any; return it."""
    inked = {"color": pen.color, "markersize": size, "markeredgewidth": pen.width}
    (line,) = axes.plot([], [], "x", **BARE, **inked, label="poles", zorder=zorder)
    return line


def mark(line, points):
    """Put the marks of a line on the points of the plane.

    Parameters
    ----------
    line : matplotlib.lines.Line2D
    points : array, complex
        [1]
    """
    line.set_data(np.real(points), np.imag(points))


def ring(lines, points):
    """Put rings on the points of the plane, one around the other where several lie on one spot.

    Parameters
    ----------
    lines : sequence of matplotlib.lines.Line2D
    points : array, complex
        [1]
    """
    ranks = [sum(abs(earlier - point) < 1e-6 for earlier in points[:i]) for i, point in enumerate(points)]
    for rank, line in enumerate(lines):
        mark(line, [point for point, own in zip(points, ranks, strict=True) if own == rank])
