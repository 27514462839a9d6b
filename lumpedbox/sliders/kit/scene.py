"""What the scenes of all pages share: stacked curves over frequency, of which the first stay as a thin reference."""

from __future__ import annotations

import numpy as np

from ...figures.stack import stack
from .systems import SYSTEMS

REFERENCE = " at the start"
CURVES = {  # what a panel shows of a response, by the panel's key
    "level": "level",
    "reach": "level_within_travel",
    "excursion": "excursion",
    "delay": "group_delay",
    "impedance": "impedance",
}
BUILDS = "Bands: four of five at each frequency, boxes and drivers of one type (common practice, no source)."
DRAWN = 200  # members of a spread: what a slider can wait for
STAND_IN = "A stand-in is drawn with a band that holds four of five such drivers (common practice, no source)."


class Scene:
    """Curves over one frequency axis, and what they amount to in words.

    A subclass has `grid` [Hz], `height` [inch], `alternative_text` and four methods. `panels(system)` returns them
    in a system of units; `curves(values)` what each curve shows for the controls' SI values: a mapping of panel keys
    to values on the grid, or one frequency [Hz] for an upright line; `conditions(values, system)` the line over the
    picture; `sentences(values, system)` the sentences under it. `responses` holds by name of their curve the
    responses that are shown: a driver with a spread gets a band. Where the panels leave room (`right`, a share of the
    width), `beside(figure)` may add axes with fixed limits, and return what moves in them; `move` then moves it too.

    Parameters
    ----------
    pens : dict
        Name of each curve: (name of its pen, text in the legend or "" for none).
    kept : sequence of str
        The curves whose start stays as a thin reference.
    """

    height = 4.3
    right = 0.972
    band_words = STAND_IN

    def __init__(self, pens, kept):
        texts = [""] * (len(kept) - 1) + ["where you started"]
        references = {name + REFERENCE: ("start", text) for name, text in zip(kept, texts, strict=True)}
        size = {"height": self.height, "right": self.right}
        self.stack = stack(self.panels(SYSTEMS[0]), references | pens, self.grid[0], self.grid[-1], **size)
        self.figure = self.stack.figure
        self.responses = {}
        drawn = (*self.stack.lines.items(), *self.stack.bands.items())
        self.moving = [artist for (name, _), artist in drawn if name not in references]
        self.moving += self.beside(self.figure)
        self._kept, self._start = kept, {}

    def beside(self, figure):
        """Add nothing beside the panels."""
        return []

    def use(self, system):
        """Change the axes to another system of units."""
        self.stack.change(self.panels(system))
        self._show(self._start)

    def move(self, values):
        """Move the curves to what the controls stand at. [SI]"""
        curves = self.curves(values)
        if not self._start:
            self._start = {name + REFERENCE: curves[name] for name in self._kept}
            self._show(self._start)
        self._show(curves)
        for name, response in self.responses.items():
            self.stack.shade(name, self.grid, self._bands(response))

    def said(self, values, system):
        """Return the sentences under the picture, and what a band means where there is one."""
        bands = any(response.varies for response in self.responses.values())
        return " ".join([*self.sentences(values, system), *([self.band_words] if bands else [])])

    def _bands(self, response):
        """Return the edges of the bands around a response's curves, by panel."""
        if not response.varies:
            return {}
        shown = [key for key in self.stack.axes if key in CURVES]
        return {key: response.band(CURVES[key], members=DRAWN) for key in shown}

    def _show(self, curves):
        for name, shown in curves.items():
            if np.isscalar(shown):
                self.stack.upright(name, shown)
            else:
                self.stack.show(name, self.grid, shown)
