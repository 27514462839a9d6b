"""What the browser must know to tell the values of the curves where one points, without asking the kernel."""

from __future__ import annotations

import numpy as np

from ...figures.style import KEPT_MARKS, PENS
from .scene import REFERENCE


def axes_of(scene):
    """Return where the panels lie in the picture, and what their axes show."""
    panels = []
    for key, axes in scene.stack.axes.items():
        low, high = axes.get_ylim()
        panels.append({"key": key, "unit": scene.stack.panels[key].unit, "low": low, "high": high, **_place(axes)})
    what, _, unit = scene.along.removesuffix("]").partition(" [")
    return {
        "low": float(scene.grid[0]),
        "high": float(scene.grid[-1]),
        "what": what,
        "unit": unit,
        "at": scene.reads_at,
        "even": scene.even,
        "panels": panels,
        "map": {"sliders": scene.pointed, **_place(scene.map.axes)} if scene.pointed else None,
    }


def _place(axes):
    """Return where axes lie in the picture, as shares from its upper left corner."""
    box = axes.get_position()
    return {"left": box.x0, "right": box.x1, "top": 1 - box.y1, "bottom": 1 - box.y0}


def legend_of(scene, kept_names, moved):
    """Return the entries of the legend: curves with their pens, and the states that are kept.

    Parameters
    ----------
    scene : Scene
    kept_names : dict
        Slot: name of the state.
    moved : bool
        Whether the page stands elsewhere than at its start.
    """
    named = [
        _entry(text, [pen], [name])
        for name, (pen, text) in sorted(scene.pens.items(), key=lambda item: item[0] not in scene.kept)
        if text and not name.endswith(REFERENCE) and is_drawn(scene, name)
    ]
    for slot, text in kept_names.items():
        pens = [f"kept {slot} {place}" for place, _ in enumerate(scene.kept)]
        named.append(_entry(text, pens, [f"{name}, kept {slot}" for name in scene.kept], kept=True))
    return [*named, _entry("where you started", ["start"], [], shown=moved)]


def _entry(text, pens, curves, kept=False, shown=True):
    """Return an entry of the legend; one that is not shown has its room nevertheless."""
    return {"text": text, "pens": [_pen(pen) for pen in pens], "curves": curves, "kept": kept, "shown": shown}


def values_of(scene, legend):
    """Return the curves of a legend as float32 bytes in the panels' units, curve by curve, panel by panel.

    An upright line and what is not shown are not a number all along.
    """
    nothing = np.full(len(scene.grid), np.nan)

    def drawn(name, key):
        frequency, values = scene.stack.values(name, key)
        return values if len(frequency) == len(scene.grid) else nothing

    rows = [drawn(name, key) for entry in legend for name in entry["curves"] for key in scene.stack.axes]
    return np.array(rows, dtype="<f4").tobytes()


def is_drawn(scene, name):
    """Return whether any panel shows a curve, or a band that has none."""
    drawn = ((scene.stack.values(name, key)[1], scene.stack.bands[name, key].get_xy()) for key in scene.stack.axes)
    return any(np.isfinite(line).any() or np.isfinite(band).any() for line, band in drawn)


def _pen(name):
    """Return a pen as the browser draws it: its dash in pixels."""
    pen = PENS[name]
    width = pen.width * 100 / 72
    dash = [] if pen.dash == "-" else [round(part * width, 1) for part in pen.dash[1]]
    return {"color": pen.color, "width": width, "dash": dash, "mark": KEPT_MARKS.index(pen.marker)}
