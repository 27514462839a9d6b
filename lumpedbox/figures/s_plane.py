"""Poles and zeros on the s-plane: the higher up, the faster they swing; the farther left, the faster they die away."""

from __future__ import annotations

import numpy as np

from .style import LIGHT, PENS, paint

RINGS = 6  # zeros on one spot that can be told apart
AROUND = np.linspace(0, 2 * np.pi, 181)


def s_plane(axes, left, right, height, unit, *, colours=LIGHT):
    """Draw an empty s-plane: both axes, and the circle on which everything swings at the unit's frequency.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
    left, right, height : float
        Limits: of the real part, and of the imaginary part on either side. [1]
    unit : str
        Unit that the poles are divided by.
    colours : dict
        Of ink and paper.

    Returns
    -------
    axes : matplotlib.axes.Axes
    artists : dict
        "poles" and "start" (a line each), "zeros" (lines: of the first, second ... zero on one spot, ever larger).
    """
    axes.set(xlim=(left, right), ylim=(-height, height), aspect="equal")
    axes.set_xlabel(f"real part [{unit}]", fontsize=8)
    axes.set_ylabel(f"imaginary part [{unit}]", fontsize=8, labelpad=1)
    axes.tick_params(labelsize=8)
    thin = {"color": PENS["start"].color, "linewidth": PENS["start"].width, "zorder": 1.85}
    axes.plot([left, right], [0, 0], **thin)
    axes.plot([0, 0], [-height, height], **thin)
    axes.plot(np.cos(AROUND), np.sin(AROUND), **thin, linestyle=(0, (1, 2)))
    pole, zero = PENS["first"], PENS["second"]
    bare = {"linestyle": "none", "fillstyle": "none"}
    (start,) = axes.plot([], [], "x", **bare, **thin, markersize=6, markeredgewidth=0.9)
    (poles,) = axes.plot([], [], "x", **bare, color=pole.color, markersize=7, markeredgewidth=pole.width, label="poles")
    rings = [
        axes.plot([], [], "o", **bare, color=zero.color, markersize=size, markeredgewidth=1.2, label="zeros")[0]
        for size in 5 + 3.5 * np.arange(RINGS)
    ]
    box = axes.get_position()
    axes.figure.legend(
        handles=[poles, rings[0]],
        loc="upper left",
        bbox_to_anchor=(box.x0 - 0.01, 1.0),
        ncols=2,
        fontsize=8,
        frameon=False,
        borderpad=0.2,
        handletextpad=0.2,
    )
    paint(axes.figure, colours)
    return axes, {"poles": poles, "start": start, "zeros": tuple(rings)}


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
