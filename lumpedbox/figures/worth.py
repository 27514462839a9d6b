"""What each step of a plan is worth where it stands in two orders, beside its fair share over all of them."""

from __future__ import annotations

import numpy as np

from .style import LIGHT, PENS, paint_axes

ORDERS = ("first", "second")  # pens of the two orders, upper bar and lower bar
SHARE = "third"  # pen of the fair share
APART = 0.17  # of a row, from its middle to each bar
NAMES = 0.95  # inch, that the steps' names take from the left of the room


class WorthPicture:
    """Axes with two bars and a mark for each step.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
    steps : sequence of str
        What is written before each row.
    low, high : float
        Limits. [dB]
    colours : dict
        Of ink and paper.

    Attributes
    ----------
    moving : list of artists
        Bars and marks, which `show` moves.
    """

    def __init__(self, axes, steps, low, high, colours=LIGHT):
        self.axes, self.bars = axes, {}
        axes.set_xlim(low, high)
        axes.set_ylim(len(steps) - 0.5, -0.5)
        axes.set_yticks(range(len(steps)), steps)
        axes.set_xticks([-10, 0, 10])
        axes.set_xlabel("a step's worth; | fair share [dB]", fontsize=8, loc="right")
        axes.tick_params(labelsize=8)
        axes.tick_params(axis="y", length=0)
        axes.axvline(0.0, color=PENS["look"].color, linewidth=1.0)
        for pen in ORDERS:
            (self.bars[pen],) = axes.plot([], [], color=PENS[pen].color, linewidth=4, solid_capstyle="butt")
        mark = {"marker": "|", "markersize": 13, "markeredgewidth": 2.2, "linestyle": ""}
        (self.bars[SHARE],) = axes.plot([], [], color=PENS[SHARE].color, **mark)
        paint_axes(axes, colours)
        self.moving = list(self.bars.values())

    def place(self, bounds):
        """Put the axes and the names into their room: left, bottom, width and height, as shares of the figure."""
        left, bottom, width, height = bounds
        names = NAMES / self.axes.figure.get_size_inches()[0]
        self.axes.set_position((left + names, bottom, width - names, height))

    def show(self, worths, shares):
        """Show what each step is worth; one that an order leaves out has no bar.

        Parameters
        ----------
        worths : (dict, dict)
            Of either order, step: [dB].
        shares : dict
            Step: fair share, `nan` for one that is not marked. [dB]
        """
        rows = np.arange(len(shares))
        for pen, side, worth in zip(ORDERS, (-APART, APART), worths, strict=True):
            ends = [(0.0, worth.get(step, np.nan), np.nan) for step in shares]
            self.bars[pen].set_data(np.ravel(ends), np.repeat(rows + side, 3))
        self.bars[SHARE].set_data(list(shares.values()), rows)
