"""What fits in a frustum: planes in space instead of lines in a profile."""

from __future__ import annotations

import itertools

import numpy as np

from ...errors import Refused
from ...parts.displacement import depth
from ..margin import Margin
from .placing import basket_of, magnet_of

RIM = np.linspace(0, 2 * np.pi, 32, endpoint=False)


def frustum_margins(box, inside):
    """Yield the margins of drivers and straight round ports; bodies on different panels are not compared."""
    walls = _walls(box.with_layers(inside.layers))
    for seat in inside.drivers:
        yield from _driver(seat, box, walls)
    for run in inside.ports:
        if run.bends or not run.round:
            problem = "has a bent port or a slot, which is not placed in a frustum yet"
            raise Refused("fit", "inside", problem, ": use a straight tube")
        yield from _port(run, box, walls)
    places = [(seat, basket_of(seat) / 2, seat.driver.name or "driver") for seat in inside.drivers]
    places += [(run, run.outer_sides[0] / 2, "port") for run in inside.ports]
    for (one, r, name), (other, s, other_name) in itertools.combinations(places, 2):
        if one.panel == other.panel:
            apart = np.linalg.norm(_middle(one, box) - _middle(other, box))
            words = "Side by side in one panel."
            yield Margin(f"{name} and {other_name}", 0.0, float(apart - r - s), words)


def _walls(box):
    """Return (normal, offset) of each inner plane by panel: inside, normal times place is more than the offset."""
    return {p.name: (p.axes[2], float(p.axes[2] @ p.origin) + p.thickness) for p in box.panels}


def _middle(place, box):
    """Return the middle of a driver or port on the outer face; half way across if not told. [m]"""
    panel = box.panel(place.panel)
    across = panel.outer[:, 1].mean() if place.across is None else place.across
    return panel.origin + place.along * panel.axes[0] + across * panel.axes[1]


def _ahead(start, way, walls, own):
    """Return how far a ray runs to the nearest wall, and which. [m]"""
    found = [
        ((offset - normal @ start) / (normal @ way), name)
        for name, (normal, offset) in walls.items()
        if name != own and normal @ way < -1e-12
    ]
    return min(found)


def _driver(seat, box, walls):
    panel, name, deep = box.panel(seat.panel), seat.driver.name or "driver", float(depth(seat.driver))
    a, b, into = panel.axes
    middle = _middle(seat, box)
    room, wall = _ahead(middle, into, walls, seat.panel)
    words = f"From its flange to the {wall}: its depth and room to breathe."
    yield Margin(f"{name}: depth", deep + seat.breathing, float(room), words)
    half = min(magnet_of(seat), basket_of(seat)) / 2
    rim = [middle + deep * into + half * (np.cos(t) * a + np.sin(t) * b) for t in RIM]
    room, wall = min(_ahead(point, into, walls, seat.panel) for point in rim)
    words = f"From the rim of its magnet straight back to the {wall}."
    yield Margin(f"{name}: behind the magnet", seat.breathing, float(room), words)
    yield _beside(name, seat.panel, middle, basket_of(seat) / 2, box, walls)


def _beside(name, panel, middle, radius, box, walls):
    """Return how far a hole is from the nearest neighbour, along the inner face of its panel."""
    into, offset = walls[panel]
    start = middle + (offset - into @ middle) * into
    near = []
    for other, (normal, bound) in walls.items():
        slope = _across(normal, into)
        if slope > 0.5:  # a neighbour, not the panel across
            near.append(((normal @ start - bound) / slope - radius, other))
    there, wall = min(near)
    return Margin(f"{name}: along the panel", 0.0, float(there), f"To the {wall}.")


def _across(normal, into):
    """Return the sine of the angle between two unit vectors."""
    return float(np.linalg.norm(np.cross(normal, into)))


def _port(run, box, walls):
    into = box.panel(run.panel).axes[2]
    middle = _middle(run, box)
    mouth = middle + run.port.length * into
    room, wall = _ahead(mouth, into, walls, run.panel)
    words = f"From the mouth to the {wall}: one diameter; common practice, no source."
    yield Margin("port: mouth", float(run.port.diameter), float(room), words)
    radius = run.outer_sides[0] / 2
    yield _beside("port", run.panel, middle, radius, box, walls)
    near = [((n @ mouth - c) - radius * _across(n, into), w) for w, (n, c) in walls.items() if w != run.panel]
    there, wall = min(near)
    yield Margin("port: walls", 0.0, float(there), f"From its inner end to the {wall}.")
