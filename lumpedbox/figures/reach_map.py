"""A map of how low the bass reaches, over the volume of a box and its tuning."""

from __future__ import annotations

import numpy as np
from matplotlib.colors import to_rgb
from matplotlib.ticker import FixedLocator, FuncFormatter

from .stack import TITLE_GROUND
from .style import LIGHT, PENS, few_ticks, paint_axes

UP_TO = (25, 30, 35, 40, 50, 60)  # Hz: the upper ends of what is drawn alike
SHADES = (10, 8, 7, 5, 4, 2, 1, 0)  # sixteenths of full colour, which a page's picture keeps apart; then no colour
TUNINGS = (20, 80)  # Hz: the limits of the axis
STRIP, ROOM = 0.14, 0.2  # inch: height of the scale over the map, and the room that it takes
SIZE = 7  # points, of its words
WORDS = "bass reaches down to [Hz]\n■ your box   ○ best tuning of its volume"
BLUE = np.array(to_rgb(PENS["first"].color))
INKS = np.array([[*np.round(255 * BLUE), 255 * share // 16] for share in SHADES], np.uint8)  # bytes are drawn quickest


class ReachMap:
    """Axes of tuning over volume, in which a stronger colour is deeper bass, and a scale above them.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
    colours : dict
        Of ink and paper.

    Attributes
    ----------
    moving : list of artists
        The map and its marks, which `show` and `mark` set.
    """

    def __init__(self, figure, colours=LIGHT):
        self.figure, self.size = figure, 1.0
        self.scale, self.axes = figure.add_axes((0, 0.9, 1, 0.1)), figure.add_axes((0, 0, 1, 0.8))
        self._draw_scale()
        looks = {"origin": "lower", "aspect": "auto", "interpolation": "nearest", "zorder": 1.9}  # over grid and frame
        self.image = self.axes.imshow(np.zeros((1, 1, 4)), **looks)
        (self.here,) = self.axes.plot([], [], "s", color=PENS["second"].color, markersize=7, zorder=3)
        (self.best,) = self.axes.plot([], [], "o", color=PENS["first"].color, markersize=7, zorder=3)
        self.best.set(markerfacecolor="white", markeredgewidth=2)
        self.axes.set_ylim(*TUNINGS)
        self.axes.set_ylabel("tuning [Hz]", fontsize=8, labelpad=1)
        self.axes.tick_params(labelsize=8)
        few_ticks(self.axes.yaxis)
        inwards = {"xycoords": "axes fraction", "xytext": (-3, -4), "textcoords": "offset points"}
        words = self.axes.annotate(WORDS, (1, 1), **inwards, fontsize=SIZE, ha="right", va="top")
        words.set(bbox=TITLE_GROUND, zorder=2.5)
        paint_axes(self.axes, colours)
        self.moving = [self.image, words, self.here, self.best]

    def _draw_scale(self):
        self.scale.imshow([INKS[:-1]], aspect="auto", interpolation="nearest", extent=(0, len(UP_TO) + 1, 0, 1))
        for place, words in enumerate((f"{UP_TO[0]} Hz", *UP_TO[1:], "more")):
            self.scale.text(place + 0.5, 0.47, words, fontsize=SIZE, ha="center", va="center")
        self.scale.set_axis_off()

    def place(self, bounds):
        """Put map and scale into their place.

        Parameters
        ----------
        bounds : (float, float, float, float)
            Left, bottom, width and height, as shares of the figure.
        """
        left, bottom, width, height = bounds
        inch = 1 / self.figure.get_size_inches()[1]
        self.axes.set_position((left, bottom, width, height - ROOM * inch))
        self.scale.set_position((left, bottom + height - STRIP * inch, width, STRIP * inch))

    def change(self, volumes, label, size):
        """Set the limits of the volume axis, its label and its unit.

        Parameters
        ----------
        volumes : (float, float)
            Smallest and largest. [m3]
        label : str
        size : float
            Of the unit. [m3]
        """
        self.size = size
        self.axes.set_xlim(*np.log10(np.divide(volumes, size)))
        _ticks(self.axes.xaxis, [tick for tick in _round_numbers() if volumes[0] <= tick * size <= volumes[1]])
        self.axes.set_xlabel(label, fontsize=8)

    def show(self, volume, tuning, f3, uneven):
        """Show a map.

        Parameters
        ----------
        volume : array, shape (v,)
            Evenly spaced on a logarithmic scale. [m3]
        tuning : array, shape (t,)
            Evenly spaced. [Hz]
        f3 : array, shape (v, t)
            What is `nan` stays blank. [Hz]
        uneven : array of bool, shape (v, t)
            What stays blank too.
        """
        shades = np.where(uneven | np.isnan(f3), len(UP_TO) + 1, np.searchsorted(UP_TO, f3))
        self.image.set_data(INKS[shades.T])
        self.image.set_extent((*_edges(np.log10(volume / self.size)), *_edges(tuning)))

    def mark(self, here, best):
        """Mark the box that is looked at, and the best one of its volume.

        Parameters
        ----------
        here, best : (float, float)
            Volume [m3] and tuning [Hz]; `nan` marks nothing.
        """
        for mark, (volume, tuning) in ((self.here, here), (self.best, best)):
            mark.set_data([np.log10(volume / self.size)], [tuning])


def _edges(places):
    """Return the outer edges of the first and the last of evenly spaced cells."""
    half = (places[1] - places[0]) / 2
    return places[0] - half, places[-1] + half


def _round_numbers():
    return [digit * 10.0**power for power in range(-3, 4) for digit in (1, 2, 5)]


def _ticks(axis, numbers):
    """Label an axis of powers of ten at some numbers."""
    axis.set_major_locator(FixedLocator(np.log10(numbers)))
    axis.set_major_formatter(FuncFormatter(lambda place, _: f"{10**place:.3g}"))
