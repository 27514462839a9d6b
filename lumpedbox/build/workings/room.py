"""How far the panels of a profile can move within a space."""

from __future__ import annotations

from .lines import directions, moved, next_of
from .placing import edges_of

FARTHEST, HALVINGS = 5.0, 32  # m; of that
NUDGE = 5e-4  # m: a panel that cannot move so far is held
TOUCH = 1e-7  # m: nearer than this is touching


def room_to_move(points, index, space):
    """Return how far an edge can move out before its profile leaves the space, and the side that stops it. [m]

    Negative, if the edge lies outside: by how far its farther end does.
    """
    import shapely

    room = shapely.Polygon(space.points).buffer(TOUCH, join_style="mitre")
    shapely.prepare(room)
    sides = [(name, shapely.LineString([a, b])) for name, a, b in edges_of(space.points, space.side_names)]

    def inside(distance):
        P = moved(points, index, distance)
        return not turned_over(points, P) and room.covers(shapely.Polygon(P))

    edge = shapely.LineString([points[index], points[(index + 1) % len(points)]])
    if not inside(0.0):
        nearest = min(sides, key=lambda side: edge.distance(side[1]))
        out = max(shapely.Point(end).distance(room) for end in edge.coords)
        return (-float(out) if out > 0 else float(edge.distance(nearest[1]))), nearest[0]
    low, high = 0.0, FARTHEST
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if inside(middle) else (low, middle)
    return low, side_crossed(shapely.Polygon(moved(points, index, low + NUDGE)), room, space)


def side_crossed(outline, room, space):
    """Return the side of the space that an outline crosses most."""
    import shapely

    over = outline.difference(room).buffer(2 * NUDGE)
    sides = edges_of(space.points, space.side_names)
    return max(sides, key=lambda side: over.intersection(shapely.LineString(side[1:])).length)[0]


def turned_over(points, after):
    """Tell whether an edge has lost its length or turned round."""
    return bool((((next_of(after) - after) * directions(points)).sum(axis=1) <= 0).any())
