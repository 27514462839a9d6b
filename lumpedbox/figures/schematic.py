"""The network before a driver, drawn from the same object that is solved."""

from __future__ import annotations

import numpy as np

from ..circuit.build import flat, named_components
from ..parts.network import Capacitor, Inductor, Resistor
from .style import LIGHT

# Symbols between 0 and 1 along the wire: polylines of (along, aside).
TURN = np.linspace(np.pi, 0, 13)
TURNS = [(0.275 + 0.15 * n + 0.075 * np.cos(a), 0.13 * np.sin(a)) for n in range(4) for a in TURN]
SYMBOLS = {
    Resistor: (
        ((0, 0), (0.2, 0)),
        ((0.2, -0.1), (0.8, -0.1), (0.8, 0.1), (0.2, 0.1), (0.2, -0.1)),
        ((0.8, 0), (1, 0)),
    ),
    Inductor: (((0, 0), (0.2, 0), *TURNS, (1, 0)),),
    Capacitor: (((0, 0), (0.45, 0)), ((0.45, -0.2), (0.45, 0.2)), ((0.55, -0.2), (0.55, 0.2)), ((0.55, 0), (1, 0))),
}
# A magnet and a cone, beside a wire.
SPEAKER = (
    ((0, 0), (0.3, 0)),
    ((0.3, -0.12), (0.7, -0.12), (0.7, 0.12), (0.3, 0.12), (0.3, -0.12)),
    ((0.3, 0.12), (0.1, 0.42), (0.9, 0.42), (0.7, 0.12)),
    ((0.7, 0), (1, 0)),
)
STEP = 1.5  # from one branch to the next
LEG = 0.8  # from one to the next of several side by side
RIGHT, DOWN = np.array([[1, 0], [0, 1]]), np.array([[0, -1], [1, 0]])  # rows: along, aside


def schematic(axes, loudspeaker, colours=LIGHT):
    """Draw the network of a loudspeaker and its driver, amplifier to the left.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
    loudspeaker : Loudspeaker
        A single one. Components that are not fitted are not drawn.
    colours : dict
        Of ink and paper.

    Returns
    -------
    axes : matplotlib.axes.Axes
    artists : dict
        Name of each component, as in `ratings`, and "driver": its lines and its text.
    """
    if loudspeaker.shape:
        raise ValueError(
            f"schematic needs a single loudspeaker, got a family of shape {loudspeaker.shape}: take a member"
        )
    branches = fitted_branches(loudspeaker.network)
    across = [len(components) for branch, components in branches if branch.placed == "across"]
    pen = Pencil(axes, colours["ink"], depth=max([1, *across]))
    artists = {}
    for branch, components in branches:
        draw = pen.in_line if branch.placed == "in series" else pen.across
        artists.update(draw(components))
    artists["driver"] = pen.driver(loudspeaker)
    pen.finish()
    axes.set_label(in_words(loudspeaker, branches))
    return axes, artists


def in_words(loudspeaker, branches):
    """Say what is drawn, from the amplifier on."""
    told = [f"{name}, {value_in_words(part)}" for _, components in branches for name, part in flat(components)]
    return "; ".join(["Circuit from the amplifier", *told, f"then the driver, {_name(loudspeaker)}"])


def _name(loudspeaker):
    return loudspeaker.driver.name or loudspeaker.name or "driver"


def fitted_branches(network):
    """Return (branch, named components) of what is fitted, in order from the amplifier."""
    found = []
    for branch, components in named_components(network):
        components = [(name, legs_left(part) if isinstance(part, tuple) else part) for name, part in components]
        if branch.placed == "in series":
            components = [(name, part) for name, part in components if not absent(part, short=True)]
        elif any(absent(part, short=False) for _, part in components):
            continue
        found += [(branch, components)] if components else []
    return found


def legs_left(legs):
    """Return those of several side by side that let anything through."""
    return tuple((name, part) for name, part in legs if not absent(part, short=False))


def absent(part, short):
    """Whether a component is a plain wire (`short`), or lets nothing through."""
    if isinstance(part, tuple):
        return any(absent(leg, short) for _, leg in part) if short else not part
    if isinstance(part, Resistor):
        return part.resistance == (0.0 if short else np.inf)
    if isinstance(part, Inductor):
        return (part.inductance, part.resistance) == (0.0, 0.0) if short else np.isinf(part.inductance)
    return (part.capacitance, part.resistance) == (np.inf, 0.0) if short else part.capacitance == 0.0


def value_in_words(part):
    """Return the value of a component with its unit, and its loss."""
    if isinstance(part, Resistor):
        return f"{part.resistance:.3g} Ω"
    coil = isinstance(part, Inductor)
    value = f"{part.inductance * 1e3:.3g} mH" if coil else f"{part.capacitance * 1e6:.3g} µF"
    return f"{value}\n{part.resistance:.2g} Ω" if part.resistance else value


class Pencil:
    """Draws from the amplifier to the driver; the return is the line at height 0."""

    def __init__(self, axes, ink, depth):
        self.axes, self.ink, self.depth, self.x = axes, ink, float(depth), 0.0
        self.top = self.depth  # of what is drawn above the line
        self.path([(0.0, self.depth), (0.4, self.depth)])
        for height, sign in ((self.depth, "+"), (0.0, "−")):
            self.dot(0.0, height, filled=False)
            self.text(-0.15, height, f"amplifier {sign}", "right", "center")
        self.x = 0.4

    def in_line(self, components):
        """Draw components one after another in the line."""
        drawn = {}
        for name, part in components:
            legs = part if isinstance(part, tuple) else ((name, part),)
            for rank, (leg, one) in enumerate(legs):
                height = self.depth + LEG * rank
                lines = self.symbol(SYMBOLS[type(one)], (self.x, height), RIGHT)
                text = self.text(self.x + 0.5, height + 0.28, value_in_words(one), "center", "bottom")
                drawn[leg] = (*lines, text)
            top = self.depth + LEG * (len(legs) - 1)
            for end in (self.x, self.x + 1) if top > self.depth else ():
                self.path([(end, self.depth), (end, top)])
            self.x, self.top = self.x + 1, max(self.top, top)
        self.wire(0.3)
        return drawn

    def across(self, components):
        """Draw components one below the other, from the line to its return."""
        drawn, y = {}, self.depth
        self.wire(0.2)
        self.dot(self.x, self.depth)
        self.dot(self.x, 0.0)
        widest = 1
        for name, part in components:
            legs = part if isinstance(part, tuple) else ((name, part),)
            for rank, (leg, one) in enumerate(legs):
                x = self.x + STEP * rank
                lines = self.symbol(SYMBOLS[type(one)], (x, y), DOWN)
                drawn[leg] = (*lines, self.text(x + 0.28, y - 0.5, value_in_words(one), "left", "center"))
            for end in (y, y - 1) if len(legs) > 1 else ():
                self.path([(self.x, end), (self.x + STEP * (len(legs) - 1), end)])
            y, widest = y - 1, max(widest, len(legs))
        if y:
            self.path([(self.x, y), (self.x, 0.0)])
        self.wire(STEP * widest - 0.2)
        return drawn

    def driver(self, loudspeaker):
        """Draw the driver at the end of the line, with the sign of its upper terminal."""
        middle = self.depth / 2 + 0.5
        self.path([(self.x, self.depth), (self.x, middle)])
        lines = self.symbol(SPEAKER, (self.x, middle), DOWN)
        self.path([(self.x, middle - 1), (self.x, 0.0)])
        sign = "+" if loudspeaker.polarity == "as marked" else "−"
        self.text(self.x - 0.2, middle - 0.12, sign, "right", "center")
        return (*lines, self.text(self.x + 0.55, middle - 0.5, _name(loudspeaker), "left", "center"))

    def finish(self):
        """Draw the return, and show the whole without axes."""
        self.path([(0.0, 0.0), (self.x, 0.0)])
        self.axes.set_xlim(-1.6, self.x + 2.6)
        self.axes.set_ylim(-0.4, self.top + 0.9)
        self.axes.set_aspect("equal")
        self.axes.set_axis_off()

    def symbol(self, polylines, start, turned):
        """Draw polylines of (along, aside) from a point on, to the right or down."""
        return [self.path(np.array(polyline) @ turned + start) for polyline in polylines]

    def wire(self, length):
        """Draw the line a little further."""
        self.path([(self.x, self.depth), (self.x + length, self.depth)])
        self.x += length

    def path(self, points):
        x, y = zip(*points, strict=True)
        return self.axes.plot(x, y, color=self.ink, linewidth=1.3, solid_capstyle="round")[0]

    def dot(self, x, y, filled=True):
        face = self.ink if filled else "none"
        self.axes.plot([x], [y], "o", color=self.ink, markerfacecolor=face, markersize=3.5 if filled else 5)

    def text(self, x, y, words, horizontal, vertical):
        looks = {"color": self.ink, "fontsize": 8, "parse_math": False}  # dollar signs in a name make no formula
        return self.axes.text(x, y, words, ha=horizontal, va=vertical, **looks)
