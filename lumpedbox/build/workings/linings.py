"""Second layers of board, fitted between the neighbours of the panel they lie on."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..carcass import Carcass
from .ends import Unsawable, reaching, too_steep
from .lines import at_depths, directions


def fitted_layers(box, layers):
    """Return the layers of a carcass as panels; `layers` tells their thickness by panel. [m]"""
    return [_layer(box, name, thickness) for name, thickness in layers.items()] if isinstance(box, Carcass) else []


def _layer(box, name, thickness):
    panel = box.panel(name)
    board = dataclasses.replace(panel.board, thickness=thickness)
    named = {"name": f"second layer on {name}", "board": board, "axes": panel.axes}
    if name.endswith("cheek"):
        deep = panel.origin + panel.axes[2] * panel.thickness
        return dataclasses.replace(panel, outer=box.inside, inner=box.inside, origin=deep, **named)
    i, P = box.profile.names.index(name), box.profile.corners
    e, last, own = directions(P)[i], (i + 1) % len(P), panel.thickness
    around = np.array([box.thickness_of(each) for each in box.profile.names])
    faces = []
    for depth in (own, own + thickness):
        depths = np.where(np.arange(len(P)) == i, depth, around)
        corners = at_depths(P, np.roll(depths, 1), depths)[[i, last]]
        start, end = (corners - P[i]) @ e
        faces.append(np.array([[start, 0.0], [end, 0.0], [end, box.clear_width], [start, box.clear_width]]))
    outer, inner = faces
    start = reaching(outer[0, 0] - inner[0, 0], thickness, "butt", panel.start.to)
    end = reaching(inner[1, 0] - outer[1, 0], thickness, "butt", panel.end.to)
    for sawn in start, end:
        if too_steep(sawn.tilt):
            saw = f"at {sawn.to!r} a saw would tilt by {np.rad2deg(sawn.tilt):.1f} degrees, over 45"
            raise Unsawable("cut_list", "inside", f"has a second layer on {name!r} that cannot be sawn: {saw}")
    return dataclasses.replace(
        panel,
        outer=outer,
        inner=inner,
        start=start,
        end=end,
        origin=np.array([*P[i], box.thickness_of("left cheek")]) + panel.axes[2] * own,
        **named,
    )
