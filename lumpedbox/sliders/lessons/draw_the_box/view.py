"""The side view as plain data: what `side_view.js` draws, and what of it can be dragged."""

from __future__ import annotations

import numpy as np

from ....build.carcass import LEFT, RIGHT
from ....build.workings.linings import fitted_layers
from ....build.workings.placing import middle_of, place_driver, place_port
from ...kit.thing import tape
from .drawing import ROOM
from .outlines import handles, read_corners
from .ports import lies_free

CORNER, ROOM_CORNER, DRIVER, PORT = "corner", "room corner", "driver", "port"


def side_view(looked, values, system):
    """Return the side view of a drawing.

    Parameters
    ----------
    looked : Looked
    values : dict
        [SI]
    system : str

    Returns
    -------
    dict
        Boards, bodies, labels of the edges, handles, the room with its gaps; all points in m.
    """
    box, space = looked.box, looked.drawn.space
    lined = box.with_layers(looked.inside.layers)
    layers = {name: thick for name, thick in looked.inside.layers.items() if not name.endswith("cheek")}
    boards = [_board(panel) for panel in (*box.panels[2:], *fitted_layers(box, layers))]
    drivers = [place_driver(seat, box, lined.thickness_of(seat.panel)) for seat in looked.inside.drivers]
    ports = [place_port(run, lined)[0] for run in looked.inside.ports]
    bodies = [_body(DRIVER, placed, looked) for placed in drivers]
    bodies += [_body(PORT, placed, looked, run) for placed, run in zip(ports, looked.inside.ports, strict=True)]
    bodies += [_cup(cup, box) for cup in looked.inside.cups if cup.panel in box.profile.names]
    held = [(DRIVER, placed) for placed in drivers[:1]]  # the others have no controls
    held += [(PORT, placed) for placed in ports[:1] if lies_free(values)]
    return {
        "seen": values["view"],
        "note": _undrawn(looked.inside),
        "boards": boards,
        "outline": box.profile.corners.tolist(),
        "edges": _edges(looked, system),
        "bodies": bodies,
        "room": np.array(space.points).tolist() if space else [],
        "keepOuts": [{"name": name, "points": np.array(at).tolist()} for name, at in space.keep_outs] if space else [],
        "handles": [
            *_corner_handles(values, box, system),
            *_room_handles(values, system),
            *(_body_handle(kind, placed, system) for kind, placed in held),
        ],
    }


def _board(panel):
    faces = panel.corners[:, :2, :2]
    return {"name": panel.name, "points": np.concatenate([faces[0], faces[1][::-1]]).tolist()}


def _body(kind, placed, looked, run=None):
    tight = [m for m in looked.margins if not m.fits and m.name.startswith(placed.name)]
    told = {"kind": kind, "name": placed.name, "points": placed.outline.tolist(), "tight": bool(tight)}
    return told | ({"at": (placed.middle + run.bends[0][0] / 2 * placed.into).tolist()} if run and run.bends else {})


def _cup(cup, box):
    """Return a terminal cup as a square of its size, in the middle of its panel: its shape is not known."""
    panel, side = box.panel(cup.panel), np.cbrt(cup.volume)
    middle = middle_of(panel)
    along, into = side / 2 * panel.axes[0][:2], side * panel.axes[2][:2]
    points = np.array([middle - along, middle - along + into, middle + along + into, middle + along])
    return {"kind": "cup", "name": "terminal", "points": points.tolist(), "tight": False}


def _undrawn(inside):
    """Say what is not drawn, and why."""
    count = sum(brace.count for brace in inside.braces)
    braces = [f"{count} braces" if count > 1 else "1 brace"] if count else []
    cups = ["a terminal"] if any(not cup.panel for cup in inside.cups) else []
    told = f"Counted, but not drawn, for no place is told: {' and '.join(braces + cups)}." if braces or cups else ""
    cheeks = " and ".join(sorted({cup.panel for cup in inside.cups if cup.panel in (LEFT, RIGHT)}))
    return f"{told} The terminal in the {cheeks} is not seen from here.".strip() if cheeks else told


def _edges(looked, system):
    """Return name, length and gap of each edge."""
    gaps = {margin.name.removesuffix(": gap"): margin for margin in looked.margins if margin.name.endswith(": gap")}
    told = []
    for name, length in zip(looked.box.profile.names, looked.box.profile.lengths, strict=True):
        gap = gaps.get(name)
        free = (
            "" if gap is None else f"{tape(max(gap.there, 0.0), system)} free" if gap.there >= 0 else "outside the room"
        )
        told.append({"text": f"{name} {tape(length, system)}", "gap": free, "tight": bool(gap) and not gap.fits})
    return told


def _corner_handles(values, box, system):
    points = box.profile.points
    return [
        _handle(f"{CORNER} {i}", f"Corner where the {box.profile.names[i]} starts", points[i], moves, system)
        for i, moves in handles(values).items()
    ]


def _room_handles(values, system):
    if values["room"] != ROOM:
        return []
    points, names = read_corners(values["room_corners"])
    return [
        _handle(f"{ROOM_CORNER} {i}", f"Corner of the room where its {name} starts", point, (True, True), system)
        for i, (point, name) in enumerate(zip(points, names, strict=True))
    ]


def _body_handle(kind, placed, system):
    return _handle(kind, f"The {placed.name}, along its panel", placed.middle.tolist(), (True, True), system)


def _handle(name, label, point, moves, system):
    x, y = point
    text = f"{tape(x, system)} along, {tape(y, system)} up"
    return {"name": name, "label": label, "x": float(x), "y": float(y), "moves": list(moves), "text": text}


def along_panel(box, panel, x, y):
    """Return how far along its panel a point lies. [m]"""
    found = box.panel(panel)
    return float(np.dot(np.array([x, y]) - found.origin[:2], found.axes[0][:2]))
