"""A box from the side, to scale: its boards, the driver and the port in it, and where its space goes."""

from __future__ import annotations

import numpy as np
from matplotlib.patches import Polygon

from ..build.workings.placing import place_driver, place_port
from .style import PENS

BOARDS, DRIVER, PORT, AIR = "#D55E00", "#0072B2", "#009E73", "#888888"  # as in `style.PENS`
FADED = 6 / 16  # opacity of what is cut
NOWHERE = np.full((1, 2), np.nan)
SHARE = 0.16  # of the height: the bar above the side view
SMALLEST = 0.09  # of the bar: a narrower piece gets no words
PIECES = {"air": AIR, "boards": BOARDS, "driver": DRIVER, "rest": PORT}


class SideView:
    """Axes with a carcass as it is seen from the side, under a bar of where its outside volume goes.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
    reach : float
        Of the largest box, along both axes. [m]

    Attributes
    ----------
    moving : list of artists
        What `show` moves.
    """

    def __init__(self, figure, reach):
        self.axes = figure.add_axes((0, 0, 1, 1), label="the box from the side")
        self.bar = figure.add_axes((0, 0, 1, 1), label="where the space goes")
        self.axes.set(xlim=(-0.02 * reach, reach), ylim=(-0.02 * reach, reach), aspect="equal", anchor="SW")
        self.bar.set(xlim=(0, 1), ylim=(0, 1), xticks=[], yticks=[])
        self.axes.tick_params(labelsize=8)
        self.pieces, self.words = {}, {}
        # in the order in which they lie over each other, as in a full redraw
        self.boards = [self._body(self.axes, BOARDS) for _ in range(8)]
        self.driver, self.port = (self._body(self.axes, color) for color in (DRIVER, PORT))
        (self.outline,) = self.axes.plot([], [], color=BOARDS, linewidth=PENS["first"].width)
        for name, color in PIECES.items():
            self.pieces[name] = self._body(self.bar, color)
            self.words[name] = self.bar.text(0, 0.5, "", fontsize=7, ha="center", va="center")
        self.moving = [*self.boards, self.driver, self.port, self.outline]
        self.moving += [*self.pieces.values(), *self.words.values()]

    @staticmethod
    def _body(axes, color):
        return axes.add_patch(Polygon(NOWHERE, facecolor=color, alpha=FADED, linewidth=0, zorder=1.9))

    def label(self, unit, size):
        """Name the unit of the lengths, and put ticks at whole numbers of it.

        Parameters
        ----------
        unit : str
        size : float
            Of the unit that the ticks count. [m]
        """
        step = 0.2 if size < 2e-3 else 8 * size
        ticks = np.arange(0, self.axes.get_xlim()[1], step)
        for axis in (self.axes.xaxis, self.axes.yaxis):
            axis.set_ticks(ticks, [f"{tick / size:.0f}" for tick in ticks])
        self.axes.set_xlabel(f"from the wall [{unit}]", fontsize=8)

    def place(self, free):
        """Put both axes where there is room: left, bottom, width and height as shares of the figure."""
        left, bottom, width, height = free
        above = SHARE * height
        self.axes.set_position((left, bottom, width, height - above))
        self.bar.set_position((left, bottom + height - 0.7 * above, width, 0.7 * above))

    def show(self, box, inside, shares):
        """Show a box, or nothing.

        Parameters
        ----------
        box : Carcass or None
        inside : Inside
        shares : dict
            Of the outside volume, by the names of `PIECES`. [1]
        """
        for body in (*self.boards, self.driver, self.port):
            body.set_xy(NOWHERE)
        self.outline.set_data([], [])
        if box is not None:
            self._draw(box, inside)
        self._divide(shares)

    def _draw(self, box, inside):
        corners = box.profile.corners
        self.outline.set_data(*np.vstack([corners, corners[:1]]).T)
        for body, panel in zip(self.boards, box.panels[2:], strict=False):
            body.set_xy(np.concatenate([panel.corners[0][:2], panel.corners[1][:2][::-1]])[:, :2])
        for seat in inside.drivers:
            self.driver.set_xy(place_driver(seat, box, box.thickness_of(seat.panel)).outline)
        for run in inside.ports:
            self.port.set_xy(place_port(run, box)[0].outline)

    def _divide(self, shares):
        left = 0.0
        for name, body in self.pieces.items():
            share = shares.get(name, 0.0)
            body.set_xy([(left, 0), (left + share, 0), (left + share, 1), (left, 1)])
            told = f"{name} {100 * share:.0f} %" if share >= 2 * SMALLEST else name if share >= SMALLEST else ""
            self.words[name].set(x=left + share / 2, text=told)
            left += share
