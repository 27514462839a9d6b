"""How far the panels of a profile can move within a space."""

from __future__ import annotations

from .lines import directions, left_of, moved, next_of
from .placing import distance_ahead, edges_of

FARTHEST, HALVINGS = 5.0, 32  # m; of that
NUDGE = 5e-4  # m: a panel that cannot move so far is held
TOUCH = 1e-7  # m: nearer than this is touching


def room_to_move(points, index, space):
    """Return how far an edge can move out before its profile leaves the space, and the side that stops it. [m]

    Negative, if the edge lies outside: by how far its farther end does. The edge or one beside it may shrink to nothing
    on the way. Then it is the way so far, and on from what is left, straight ahead.
    """
    import shapely

    room = shapely.Polygon(space.points).buffer(TOUCH, join_style="mitre")
    shapely.prepare(room)
    sides = edges_of(space.points, space.side_names)

    def inside(distance):
        P = moved(points, index, distance)
        return not turned_over(points, P) and room.covers(shapely.Polygon(P))

    if not inside(0.0):
        edge = shapely.LineString([points[index], points[(index + 1) % len(points)]])
        near, name = min((float(edge.distance(shapely.LineString([a, b]))), name) for name, a, b in sides)
        out = max(shapely.Point(end).distance(room) for end in edge.coords)
        return (-float(out) if out > 0 else near), name
    low, high = 0.0, FARTHEST
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if inside(middle) else (low, middle)
    beyond = moved(points, index, low + NUDGE)
    if turned_over(points, beyond):
        P, out = moved(points, index, low - NUDGE), -left_of(directions(points))[index]
        ahead, name = min(distance_ahead(start, out, sides) for start in (P[index], P[(index + 1) % len(P)]))
        return low - NUDGE + ahead, name
    return low, side_crossed(shapely.Polygon(beyond), room, space)


def side_crossed(outline, room, space):
    """Return the side of the space that an outline crosses most."""
    import shapely

    over = shapely.make_valid(outline).difference(room).buffer(2 * NUDGE)
    sides = edges_of(space.points, space.side_names)
    return max(sides, key=lambda side: over.intersection(shapely.LineString(side[1:])).length)[0]


def turned_over(points, after):
    """Tell whether an edge has lost its length or turned round."""
    return bool((((next_of(after) - after) * directions(points)).sum(axis=1) <= 0).any())
