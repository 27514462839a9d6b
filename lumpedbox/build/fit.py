"""Does it all fit: in the box, in front of it, in its space, and through the way in."""

from __future__ import annotations

import itertools

import numpy as np

from ..arguments import Single, takes
from ..errors import Refused
from ..parts.displacement import depth
from ..quantity import Holds, OneOf
from .account import BOX, INSIDE, net_account
from .carcass import LEFT, RIGHT, Carcass
from .margin import Margin
from .space import Space, straight_in
from .workings.frustum import frustum_margins
from .workings.placing import basket_of, distance_ahead, edges_of, magnet_of, middle_of, place_driver, place_port
from .workings.room import room_to_move
from .workings.slots import Slot

CARCASS = Single(Holds((Carcass,)))
SPACE = Single(Holds((Space,)))
EXCURSION, GRILLE = 1.5, 10e-3  # of xmax, and m: room in front of a cone (common practice, no source)
ALONG, OFF = "along the panel", "off its panel"
INSIDE_BY = 1e-7  # m: from so far within a face, a wall that touches it lies ahead
PLUG = 30e-3  # m in front of a terminal: plug and bend of the wire (common practice, no source)


@takes(box=BOX, inside=INSIDE, space=SPACE)
def fit(box, inside, space=None):
    """Check what fits, and by how much. [m]

    Parameters
    ----------
    box : Carcass or Hopper
    inside : Inside
    space : Space, optional
        Without it, only what lies in the box is checked. For a Carcass only.

    Returns
    -------
    tuple of Margin
        Braces are not placed, and so not checked.

    Raises
    ------
    ValueError
        If `inside` or the gaps of `space` name a panel that the box does not have.

    Notes
    -----
    A round body clears walls along the width exactly as its silhouette does. A driver is taken as narrowing straight
    from its basket to its magnet, which is never less than it is. Two bodies are in each other's way if both their
    silhouettes and their places across meet.
    """
    net_account(box, inside)
    if not isinstance(box, Carcass):
        if space is not None:
            raise Refused("fit", "space", "is for a Carcass: a frustum is not placed in a space yet")
        return tuple(frustum_margins(box, inside))
    for placed in (*inside.drivers, *inside.ports):
        if placed.panel in (LEFT, RIGHT):
            problem = f"has a driver or a port in the {placed.panel}, which is not placed yet"
            raise Refused("fit", "inside", problem, ": use another panel")
    lined = box.with_layers(inside.layers)
    drivers = [place_driver(seat, box, lined.thickness_of(seat.panel)) for seat in inside.drivers]
    ports = [place_port(run, lined) for run in inside.ports]
    margins = []
    for seat, placing in zip(inside.drivers, drivers, strict=True):
        margins += [*_driver_margins(seat, placing, lined), *_cheek_margins(placing, lined, ())]
    for run, (placing, line, way) in zip(inside.ports, ports, strict=True):
        margins += [*_port_margins(run, placing, line, way, lined), *_cheek_margins(placing, lined, run.shares)]
    bodies = [*drivers, *(placing for placing, _, _ in ports)]
    margins += [_between(*pair) for pair in itertools.combinations(bodies, 2)]
    return tuple(margins + (_space_margins(box, inside, space, drivers) if space is not None else []))


def _ahead(starts, way, edges):
    """Return the least room ahead of some places, and what bounds it; none where they lie outside of all."""
    room, what = min((distance_ahead(start, way, edges) for start in starts), key=lambda found: found[0])
    return (0.0, "outside") if what is None else (room, what)


def _walls(box, left_out=()):
    return [edge for edge in edges_of(box.inside, box.profile.names) if edge[0] not in left_out]


def _driver_margins(seat, placing, box):
    deep, name = float(depth(seat.driver)), placing.name
    assumed = "" if seat.driver.depth is not None else " Its depth is assumed: 0.6 of its diameter."
    room, wall = _ahead([placing.middle], placing.into, _walls(box, (seat.panel,)))
    behind = f"From its flange to the {wall}: its depth and room to breathe."
    yield Margin(f"{name}: depth", deep + seat.breathing, room, behind + assumed)
    half = min(magnet_of(seat), basket_of(seat)) / 2
    backs = [placing.middle + deep * placing.into + side * half * placing.along for side in (-1, 0, 1)]
    room, wall = _ahead(backs, placing.into, _walls(box, (seat.panel,)))
    told = "as given" if seat.magnet is not None else "taken as two thirds of the cone; common practice, no source"
    words = f"From the rim of its magnet straight back to the {wall}; the magnet is {told}."
    yield Margin(f"{name}: behind the magnet", seat.breathing, room, words)
    along = _along_the_panel(placing, box, placing.radius)
    yield along
    if along.there >= -placing.radius:
        yield Margin(f"{name}: walls", 0.0, *_clearance(placing.outline, box, (seat.panel,)))


def _along_the_panel(placing, box, half):
    """Return how far a body of half a width is from the nearest neighbour, along the inner face of its panel."""
    i = box.profile.names.index(placing.panel)
    ends = [(box.inside[j % len(box.inside)] - placing.middle) @ placing.along for j in (i, i + 1)]
    near = [(-ends[0] - half, box.panel(placing.panel).start.to)]
    near.append((ends[1] - half, box.panel(placing.panel).end.to))
    there, wall = min(near)
    low, high = placing.centre[0] + ends[0] + half, placing.centre[0] + ends[1] - half
    what, words = ALONG, f"To the {wall}."
    if low > high:
        words = f"The {placing.panel} is too short for it."
    elif there < -half:
        what, words = OFF, f"Its middle lies beyond the end of the {placing.panel}."
    elif there < 0:
        words = f"It runs into the {wall}: move it along the {placing.panel}."
    return Margin(f"{placing.name}: {what}", 0.0, float(there), words, (float(low), float(high)))


def _clearance(outline, box, own):
    """Return how far a silhouette is from the nearest wall, negative by how far it runs into one, and words."""
    import shapely

    body, air = shapely.Polygon(outline), shapely.Polygon(box.inside)
    near = [(body.distance(shapely.LineString([a, b])), name) for name, a, b in _walls(box, own)]
    there, wall = min(near, default=(np.inf, "box"))
    if there > 0 and not air.buffer(1e-6).covers(body):
        there = 0.0
    if there == 0.0:
        out = max(shapely.Point(corner).distance(air) for corner in outline)
        return -float(out), f"It runs into the {wall}: move it, or take a smaller one."
    return float(there), f"The nearest wall is the {wall}." if near else "It runs along every wall."


def _cheek_margins(placing, box, shares):
    sides = {LEFT: placing.across[0] - box.thickness_of(LEFT)}
    sides[RIGHT] = box.width - box.thickness_of(RIGHT) - placing.across[1]
    sides = {name: room for name, room in sides.items() if name not in shares}
    if sides:
        name = min(sides, key=sides.get)
        words = f"To the {name}, at the widest."
        if sides[name] < 0:
            words = f"It runs into the {name}: move it across, or make the box wider."
        yield Margin(f"{placing.name}: across", 0.0, float(sides[name]), words)


def _port_margins(run, placing, line, way, box):
    yield _mouth(run, line[-1], way, box)
    half = run.outer_sides[0] / 2
    along = [] if run.shares else [_along_the_panel(placing, box, half)]
    yield from along
    if any(margin.there < -half for margin in along):
        return
    if np.ptp(placing.outline, axis=0).max() > 0:
        own = (run.panel, *run.shares, *([] if run.round else Slot(run, box).beside.values()))
        yield Margin("port: walls", 0.0, *_clearance(placing.outline, box, own))


def _mouth(run, mouth, way, box):
    """Return the room ahead of a port's inner end."""
    import shapely

    needed = float(run.port.diameter if run.round else min(run.sides))
    outside = shapely.Polygon(box.inside).distance(shapely.Point(mouth))
    if outside > 0:
        words = "It lies outside the box: make the port shorter, or bend it."
        return Margin("port: mouth", needed, -float(outside), words)
    room, wall = _ahead([mouth], way, _walls(box))
    words = f"From the mouth to the {wall}: one {'diameter' if run.round else 'height'}; common practice, no source."
    return Margin("port: mouth", needed, room, words)


def _between(one, other):
    """Return the room between two bodies: in the profile, or else across; on one panel between two round holes."""
    import shapely

    apart = shapely.Polygon(one.outline).distance(shapely.Polygon(other.outline))
    across = max(one.across[0] - other.across[1], other.across[0] - one.across[1])
    ways = [across, *([apart] if apart > 0 else [])]
    if one.panel == other.panel:
        ways.append(float(np.hypot(*np.subtract(one.centre, other.centre))) - one.radius - other.radius)
    there = max(ways)
    words = "They pass each other." if there >= 0 else "They are in each other's way: move one of them."
    return Margin(f"{one.name} and {other.name}", 0.0, float(there), words)


def _space_margins(box, inside, space, drivers):
    import shapely

    names = (*box.panel_names, *dict(space.keep_outs))
    for name in dict(space.gaps):
        OneOf(names).accept("Space", "gaps", name)
    obstacles = edges_of(space.points, space.side_names)
    for name, corners in space.keep_outs:
        near = shapely.Polygon(corners).buffer(space.gap(name), join_style="mitre").exterior.coords[:-1]
        obstacles += edges_of(near, (name,) * len(near))
    margins = [*_panel_margins(box, space), _across_margin(box, space)]
    margins += [_keep_out_margin(box, space, name, corners) for name, corners in space.keep_outs]
    for seat, placing in zip(inside.drivers, drivers, strict=True):
        margins += _front_margins(seat, placing, obstacles)
    margins += [_terminal_margin(box, cup, obstacles) for cup in inside.cups if cup.panel in box.profile.names]
    return margins + ([_opening_margin(box, space)] if space.opening is not None else [])


def _panel_margins(box, space):
    """Return for each panel how far it could move out, parallel to itself, before the box leaves the space."""
    P, needs = box.profile.corners, [space.gap(name) for name in box.profile.names]
    for i, (name, needed) in enumerate(zip(box.profile.names, needs, strict=True)):
        there, side = room_to_move(P, i, space)
        words = f"To {side}." if there >= needed else f"Too near to {side}: move the {name} in."
        yield Margin(f"{name}: gap", needed, there, words)


def _across_margin(box, space):
    gaps = space.gap(LEFT) + space.gap(RIGHT)
    return Margin("across: gaps", gaps, space.width - box.width, "What the space is wider than the box.")


def _keep_out_margin(box, space, name, corners):
    import shapely

    body, obstacle = shapely.Polygon(box.profile.points), shapely.Polygon(corners)
    there = (
        body.distance(obstacle) if not body.intersects(obstacle) else -float(np.sqrt(body.intersection(obstacle).area))
    )
    words = f"The box stays clear of the {name}." if there >= space.gap(name) else f"The box is too near to the {name}."
    return Margin(f"{name}: clear", space.gap(name), float(there), words)


def _front_margins(seat, placing, obstacles):
    """Return the room for the cone and its grille, and for taking the driver out, straight out of its hole."""
    wide = placing.radius
    out = [placing.middle + side * wide * placing.along + INSIDE_BY * placing.into for side in (-1, 0, 1)]
    room, what = _ahead(out, -placing.into, obstacles)
    travel = f"{EXCURSION} times its travel, and room for a grille; common practice, no source."
    if seat.driver.xmax is None:
        travel = "its travel is not known, so only the grille is counted."
    needed = EXCURSION * (seat.driver.xmax or 0.0) + GRILLE
    yield Margin(f"{placing.name}: in front", needed, room, f"To {what}: {travel}")
    words = f"To {what}: its depth. With less, the box must come out first."
    yield Margin(f"{placing.name}: out again", float(depth(seat.driver)), room, words, must=False)


def _terminal_margin(box, cup, obstacles):
    panel = box.panel(cup.panel)
    start = middle_of(panel) + INSIDE_BY * panel.axes[2][:2]
    room, what = _ahead([start], -panel.axes[2][:2], obstacles)
    words = f"From the middle of the {cup.panel} to {what}: plug and wire; common practice, no source."
    return Margin("terminal: in front", PLUG, room, words)


def _opening_margin(box, space):
    way = straight_in(box.profile.corners, box.width, space.opening)
    push = "side first" if way.push is None else "pushed along its profile"
    words = "Not shown to go in. Try it in cardboard: it may go in by turning on the way."
    if way.spare >= 0:
        turned = f"turned by {np.rad2deg(way.turn) % 180:.0f} degrees"
        words = f"It goes straight in, {push}, {turned}. Room to turn inside is not shown."
    return Margin("through the opening", 0.0, way.spare, words)
