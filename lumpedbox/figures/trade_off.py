"""Bass against size: f3 over the volume of the box, with the volumes that are out and why."""

from __future__ import annotations

import numpy as np
from matplotlib.patches import Rectangle

from ..response.grid import runs
from .style import LIGHT, PENS, few_ticks, paint_axes

SIZE, STRIP = 7, 11  # points: of the words on a strip of the volumes that are out, and its height


class TradeOffPicture:
    """Axes of f3 over volume, whose limits stay put while the curves move.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
    low, high : float
        Limits of f3. [Hz]
    colours : dict
        Of ink and paper.

    Attributes
    ----------
    moving : list of artists
        Curves, points and strips, whose values `show` sets.
    """

    def __init__(self, axes, low, high, colours=LIGHT):
        self.axes, self.low, self.high = axes, low, high
        axes.set_ylim(low, high)
        axes.set_ylabel("bass reaches down to [Hz]", fontsize=8, rotation=0, ha="right", va="top")
        axes.yaxis.set_label_coords(0.985, 0.97, transform=axes.transAxes)
        axes.tick_params(labelsize=8)
        few_ticks(axes.xaxis)
        few_ticks(axes.yaxis, steps=(1, 4, 10))  # 40 Hz tells more of bass than 50
        self.curves, self.bounds, self.points, self.strips, self.reasons = {}, {}, {}, {}, {}
        for rank, kind in enumerate(("sealed", "vented")):
            pen = PENS[kind]
            looks = {"color": pen.color, "linestyle": pen.dash}
            (self.curves[kind],) = axes.plot([], [], linewidth=pen.width, **looks)
            (self.bounds[kind],) = axes.plot([], [], linewidth=0.8, alpha=0.6, **looks)
            (self.points[kind],) = axes.plot([], [], "os"[rank], color=pen.color, markersize=7)
            strip = Rectangle((0, low), 0, 0, facecolor=pen.color, alpha=0.25, linewidth=0, zorder=1.9)
            self.strips[kind] = axes.add_patch(strip)
            self.reasons[kind] = axes.text(0, low, "", fontsize=SIZE, va="center")
        (self.available,) = axes.plot([], [], color=PENS["look"].color, linestyle=PENS["look"].dash, linewidth=1.2)
        drawn = (self.curves, self.bounds, self.points, self.strips, self.reasons)
        paint_axes(axes, colours)
        # in the order they were added, so that they overlap as in a full redraw
        self.moving = [*(artists[kind] for kind in self.curves for artists in drawn), self.available]

        self.place(axes.get_position().bounds)

    def place(self, bounds):
        """Put the axes into their place, with strips that are as high as their words need.

        Parameters
        ----------
        bounds : (float, float, float, float)
            Left, bottom, width and height, as shares of the figure.
        """
        self.axes.set_position(bounds)
        points = 72 * bounds[3] * self.axes.figure.get_size_inches()[1]
        height = (self.high - self.low) * STRIP / points
        for rank, kind in enumerate(self.strips):
            bottom = self.low + height * (1 - rank)
            self.strips[kind].set(y=bottom, height=height)
            self.reasons[kind].set_y(bottom + height / 2)

    def change(self, high, label, size):
        """Set the limit of the volume axis, its label and its unit.

        Parameters
        ----------
        high : float
            [m3]
        label : str
        size : float
            Of the unit. [m3]
        """
        self.size = size
        self.axes.set_xlim(0.0, high / size)
        self.axes.set_xlabel(label, fontsize=8)

    def show(self, found, words, available, points):
        """Show what was found.

        Parameters
        ----------
        found : sequence of TradeOff
        words : dict
            Limit: what to call it.
        available : float
            Litres available. [m3]
        points : dict
            Kind of box: (volume that it takes up [m3], f3 [Hz]) of the chosen design, or None.
        """
        by_kind = {entry.kind: entry for entry in found}
        for kind in self.curves:
            entry = by_kind.get(kind)
            volume = np.array([]) if entry is None else entry.volume / self.size
            self.curves[kind].set_data(volume, volume if entry is None else entry.f3)
            self.bounds[kind].set_data(volume, volume if entry is None else entry.bound)
            self.points[kind].set_data(*([[x] for x in self._scaled(points.get(kind))]))
            self._out(kind, entry, words)
        self.available.set_data([available / self.size] * 2, [self.low, self.high])

    def _scaled(self, point):
        return (np.nan, np.nan) if point is None else (point[0] / self.size, point[1])

    def _out(self, kind, entry, words):
        """Show the longest run of volumes that are out, and why."""
        first, after = (0, 0) if entry is None else longest_run([bool(limit) for limit in entry.limits])
        strip, reason = self.strips[kind], self.reasons[kind]
        if first == after:
            strip.set_width(0)
            reason.set_text("")
            return
        edges = entry.volume / self.size
        left = 0.0 if first == 0 else edges[first]
        strip.set_x(left)
        strip.set_width(edges[after - 1] - left)
        limits = entry.limits[first:after]
        most = max(dict.fromkeys(limits), key=limits.count)
        right = self.axes.get_xlim()[1]
        beyond = left > right / 2  # where words to the right would run out of the axes
        reason.set_x(0.99 * right if beyond else left + 0.01 * right)
        reason.set_ha("right" if beyond else "left")
        reason.set_text(f"{kind}: {words[most]}")


def longest_run(true):
    """Return the start of the longest run of True and the place after its end."""
    found = runs(true)
    return tuple(int(edge) for edge in found[np.argmax(np.diff(found, axis=1))]) if len(found) else (0, 0)
