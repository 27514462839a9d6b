"""What the scenes of all pages share: stacked curves over frequency, of which the first stay as a thin reference."""

from __future__ import annotations

import numpy as np

from ...figures.stack import stack
from ...figures.style import FREQUENCY, KEPT_DASHES
from .systems import SYSTEMS

REFERENCE = " at the start"
LISTENS = 40.0  # Hz
SLOTS = len(KEPT_DASHES)  # states that can be kept for comparison
CURVES = {  # what a panel shows of a response, by the panel's key
    "level": "level",
    "reach": "level_within_travel",
    "excursion": "excursion",
    "delay": "group_delay",
    "impedance": "impedance",
}
BUILDS = "The bands hold four of five boxes and drivers of one type, at each frequency (common practice, no source)."
DRAWN, WHILE_MOVING = 200, 40  # members of a spread: what a slider can wait for, and until the hand rests


class Scene:
    """Curves over one frequency axis, and what they answer.

    A subclass has `grid` [Hz], `alternative_text` and three methods:

    * `panels(system)` returns the panels in a system of units.
    * `curves(values)` returns what each curve shows for the controls' SI values. That is a mapping of panel keys to
      values on the grid, or one frequency [Hz] for an upright line.
    * `answer(values)` returns the `Answer` to the page's question, once the curves stand.

    `responses` holds the responses that are shown, by the name of their curve. A driver with a spread gets a band. So
    does any other in a cabin by its places, since a head moves.
    `aside` is the share of the width that stands free for more axes. `beside(figure)` adds them, and returns what moves
    in them. `place(free)` puts them where the panels leave room, and `move` moves what is in them too. A scene that
    `refines` answers coarsely at first: `curves` then finds `self.coarse` set, until the hand rests. `drawn_to_scale`
    names the curves whose loudspeakers are shown as a section that moves. `plan(values)` returns a `Plan` from above,
    where places matter. `deepest` is the depth that there is for a box, where the page knows it. [m] `along` says what
    the axis under the curves shows, with its unit, where that is not frequency; the grid is in that unit.
    `reads_at` is where along it the values are told at first. `even` says that the axis is even, not logarithmic.
    `pointed` holds two sliders, first the one across, which move where one points on a `map` beside the panels. Each is
    a name, the ends of its axis [SI], and whether that is even.
    `feed(values)` returns the `Drawing` of a feed, piece by piece. `wired(values)` returns the `Wired` of a channel.

    Parameters
    ----------
    pens : dict
        Name of each curve: (name of its pen, text in the legend or "" for none).
    kept : sequence of str
        The one to three curves whose start stays as a thin reference, and which can be kept for comparison.
    cabins : Cabins, optional
        Where its loudspeakers may be: in a cabin by its places the level is that at the ear, not at 1 m.
    """

    aside = 0.0
    drawn_to_scale = ()
    deepest = None
    along, reads_at, even = FREQUENCY, LISTENS, False
    refines = False
    pointed = ()

    def __init__(self, pens, kept, cabins=None):
        texts = [""] * (len(kept) - 1) + ["where you started"]
        references = {name + REFERENCE: ("start", text) for name, text in zip(kept, texts, strict=True)}
        slots = {
            _slot(name, slot): (f"kept {slot} {place}", "") for slot in range(SLOTS) for place, name in enumerate(kept)
        }
        self.pens, self.kept = references | slots | pens, tuple(kept)
        self.stack = stack(
            *(self.panels(SYSTEMS[0]), self.pens, self.grid[0], self.grid[-1]),
            along=self.along,
            even=self.even,
            legend=False,
        )
        self.figure = self.stack.figure
        self.responses, self.coarse, self._heard_in = {}, False, cabins
        drawn = (*self.stack.lines.items(), *self.stack.bands.items())
        self.moving = [artist for (name, _), artist in drawn if name not in references | slots]
        self.moving += self.stack.titles.values()  # over the curves
        self.moving += self.beside(self.figure)
        self._first, self._start, self._slots, self._shown = None, {}, {}, {}

    @property
    def members(self):
        """How many are drawn from a spread."""
        return WHILE_MOVING if self.coarse else DRAWN

    def to_scale(self):
        """Return the responses whose loudspeakers are drawn to scale, by curve."""
        return {name: self.responses[name] for name in self.drawn_to_scale if name in self.responses}

    def plan(self, values):
        """Return the `Plan` of what has a place, or None."""
        return None

    def planned(self, values, system):
        """Return the plan as plain data and its levels as bytes; nothing of either where there is none."""
        plan = self.plan(values)
        return (plan.said(system), plan.levels) if plan else ({}, b"")

    def feed(self, values):
        """Return the `Drawing` of a feed, or None."""
        return None

    def wired(self, values):
        """Return the `Wired` of a channel, or None."""
        return None

    def louder(self, name):
        """Return how much more than its response a loudspeaker that is drawn to scale is driven: a factor, or many."""
        return 1.0

    def beside(self, figure):
        """Add nothing beside the panels."""
        return []

    def place(self, free):
        """Put what stands beside the panels where they leave room: left, bottom, width and height as shares."""

    def fit(self, width, height, legend=False):
        """Lay the picture out. [inch]"""
        free = self.stack.fit(width, height, legend=legend, aside=self.aside)
        if self.aside:
            self.place(free)

    def use(self, system):
        """Change the axes to another system of units."""
        self.stack.change(self.panels(system))
        self._show(self._start)
        for curves in self._slots.values():
            self._show(curves)

    def begin_at(self, values):
        """Take other values for the start, once the curves stand there. [SI]"""
        self._first = dict(values)

    def move(self, values):
        """Move the curves to what the controls stand at [SI]; return whether what does not move has changed."""
        self._shown = curves = self.curves(values)
        self._first = self._first or dict(values)
        begins = values == self._first and not self.coarse
        if begins:
            self._start = {name + REFERENCE: curves[name] for name in self.kept}
            self._show(self._start)
        self._show(curves)
        if self._heard_in:
            label = self.stack.panels["level"].label
            self.stack.name("level", self._heard_in.heard(label, values))
        for name, response in self.responses.items():
            self.stack.shade(name, self.grid, self._bands(response))
        return self.stack.reach() or begins

    def keep(self, slot, curves=None):
        """Keep the curves of now, or others, in one of the slots; return them."""
        kept = {_slot(name, slot): self._shown[name] for name in self.kept} if curves is None else curves
        self._slots[slot] = kept
        self._show(kept)
        return kept

    def drop(self, slot):
        """Empty a slot."""
        self._show({name: dict.fromkeys(self.stack.axes) for name in self._slots.pop(slot)})

    def _bands(self, response):
        """Return the edges of the bands around a response's curves, by panel."""
        if not response.varies:
            return {"level": response.band_of_ears()} if response.loudspeaker.by_places else {}
        shown = [key for key in self.stack.axes if key in CURVES]
        return {key: response.band(CURVES[key], members=self.members) for key in shown}

    def _show(self, curves):
        for name, shown in curves.items():
            if np.isscalar(shown):
                self.stack.upright(name, shown)
            else:
                self.stack.show(name, self.grid, shown)


def _slot(name, slot):
    return f"{name}, kept {slot}"
