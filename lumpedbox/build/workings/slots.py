"""Slots of boards: leg by leg, from bend to bend, the air in them and the boards that are their own walls.

Along a leg runs u, from where its middle starts on the outer face or at a bend. To its left, seen on the way in, runs
v, from its middle. [m]
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ...errors import Refused
from ..carcass import Carcass
from .ends import reaching, too_steep
from .lines import left_of

AGAINST = 2e-3  # m: a slot this near to a wall of the box has it for its own (ours)
THINNEST = 2e-3  # m, of a board
LEFT_SIDE, RIGHT_SIDE = 1, -1
SIDES = {LEFT_SIDE: "left", RIGHT_SIDE: "right"}
OVERLAP = 1e-8  # m2: less is rounding


class Strip(NamedTuple):
    """What lies between two lines along a leg: air, or a board.

    Attributes
    ----------
    name : str
    leg : int
    lower, upper : tuple of float
        Where each line starts and ends; the lower one of a board lies in the slot, or on the wall that it runs along.
        [m]
    v : tuple of float
        Of both lines. [m]
    deep : float
        Across the slot. [m]
    count : int
        How many alike.
    meets : tuple of (str, str)
        The joint and what it meets there, of its start and its end.
    is_side : bool
        Whether it is a board that closes the slot across.
    """

    name: str
    leg: int
    lower: tuple
    upper: tuple
    v: tuple
    deep: float
    count: int = 1
    meets: tuple = ()
    is_side: bool = False

    @property
    def high(self):
        """Between both lines. [m]"""
        return abs(self.v[1] - self.v[0])

    @property
    def lengths(self):
        """Of both lines. [m]"""
        return self.lower[1] - self.lower[0], self.upper[1] - self.upper[0]

    @property
    def ends(self):
        """How a board is sawn at its start and its end: a side aslant, with the saw upright."""
        if self.is_side:
            thickness, beyond = self.deep, (0.0, 0.0)
        else:
            thickness, beyond = self.high, (self.lower[0] - self.upper[0], self.upper[1] - self.lower[1])
        return [reaching(each, thickness, *meets) for each, meets in zip(beyond, self.meets, strict=True)]

    @property
    def area(self):
        r"""Seen from the side. [m2]

        .. math:: A = h\,(l_{lower} + l_{upper}) / 2
        """
        return self.high * sum(self.lengths) / 2

    @property
    def volume(self):
        """Of all that are alike. [m3]"""
        return self.area * self.deep * self.count


class Slot:
    """A slot in a box.

    Parameters
    ----------
    run : PortRun
    box : Carcass or Hopper
        With its second layers.

    Raises
    ------
    ValueError
        If its bends lie in no profile, or so near to each other that a board between them has no length. If it runs
        into itself.
    """

    def __init__(self, run, box):
        self.run, self.box, self.half = run, box, run.port.height / 2
        walls = [name for name in run.shares if not name.endswith("cheek")]
        bends = [(after, turn) for after, turn in run.bends if turn]
        places = [0.0, *(after for after, _ in bends), run.port.length]
        self.lengths, self.turns = np.diff(places), np.array([turn for _, turn in bends])
        self.lean, self.wall_side, self.beside = _lean(run.panel, walls, box), RIGHT_SIDE, {}
        if isinstance(box, Carcass) and run.panel in box.profile.names:
            self._lay_out(walls)
        elif bends:
            raise Refused("Inside", "ports", f"has a slot in {run.panel!r} with bends, which lie in no profile there")
        if walls:
            self.beside[0, self.wall_side] = walls[0]
        for leg in range(1, len(self.lengths)):
            self.beside |= {(leg, side): wall for side in SIDES if (wall := self._wall_beside(leg, side))}
        if bends:
            self._check()

    def _lay_out(self, walls):
        """Find where each leg starts, and its way, in the plane of the profile."""
        panel = self.box.panel(self.run.panel)
        x, y = axis_of(self.run, self.box)
        angles = np.concatenate([[0.0], np.cumsum(self.turns)]) + np.arctan2(y, x)
        self.ways = np.column_stack([np.cos(angles), np.sin(angles)])
        steps = self.ways[:-1] * self.lengths[:-1, np.newaxis]
        first = panel.origin[:2] + self.run.along * panel.axes[0][:2]
        self.starts = first + np.vstack([np.zeros(2), np.cumsum(steps, axis=0)])
        if walls and self.box.panel(walls[0]).axes[2][:2] @ left_of(self.ways)[0] < 0:
            self.wall_side = LEFT_SIDE

    def _wall_beside(self, leg, side):
        """Return the panel that a leg runs along on one side, or nothing."""
        v = side * self.half
        ends = self.place(leg, [self._start(leg, v), self._end(leg, v)], [v, v])
        P = self.box.inside
        near = zip(self.box.profile.names, P, np.roll(P, -1, axis=0), strict=True)
        return next((name for name, a, b in near if all(_apart(end, a, b) < AGAINST for end in ends)), "")

    def _start(self, leg, v):
        r"""Return where a line beside a leg starts: on the panel, at a mitre, or on the wall of the leg before. [m]

        .. math:: u = v \tan(\theta/2) \quad\text{or}\quad u = e \tan(\theta/2) - (v - e) / \tan\theta

        where e is the edge of the air, and theta the turn.
        """
        if leg == 0:
            thickness = self.box.thickness_of(self.run.panel)
            return thickness * float(np.hypot(1.0, self.lean)) - self.wall_side * self.lean * v
        return self._from_the_bend(leg - 1, v, leg - 1)

    def _end(self, leg, v):
        """Return where a line beside a leg ends: at the mouth, or as `_start` at the bend behind it. [m]"""
        last = leg == len(self.lengths) - 1
        return float(self.lengths[leg]) - (0.0 if last else self._from_the_bend(leg, v, leg + 1))

    def _from_the_bend(self, bend, v, other):
        """Return how far from a bend a line beside a leg ends; the other leg may have a wall of the box there. [m]"""
        turn, edge = self.turns[bend], float(np.clip(v, -self.half, self.half))
        if v == edge or (other, np.sign(v)) not in self.beside:
            return float(v * np.tan(turn / 2))
        return float(edge * np.tan(turn / 2) - (v - edge) / np.tan(turn))

    def _strip(self, name, leg, v, deep, meets=()):
        lower, upper = ((self._start(leg, each), self._end(leg, each)) for each in v)
        return Strip(name, leg, lower, upper, v, deep, meets=meets)

    @property
    def air(self):
        """Its air inside the panel, a `Strip` a leg."""
        v = (self.wall_side * self.half, -self.wall_side * self.half)
        return [self._strip("air", leg, v, self.run.port.width) for leg in range(len(self.lengths))]

    @property
    def shelves(self):
        """The boards beside it in the profile: left and right of each leg where no wall of the box is."""
        return [
            self._shelf(leg, side)
            for side in SIDES
            for leg in range(len(self.lengths))
            if (leg, side) not in self.beside
        ]

    def _shelf(self, leg, side):
        v = (side * self.half, side * (self.half + self.run.wall))
        meets = self._meeting(leg, lambda other: self._name_of_shelf(other, side), side)
        name, deep = self._name_of_shelf(leg, side), self.run.outer_sides[1]
        return self._strip(name, leg, v, deep, meets)

    @property
    def own_sides(self):
        """How many boards close it across: none where both cheeks do. [1]"""
        return 2 - sum(name.endswith("cheek") for name in self.run.shares)

    @property
    def sides(self):
        """The boards that close it across, between the shelves, where no cheek does."""
        if not self.own_sides:
            return []
        return [
            each._replace(
                name=self._numbered("side", each.leg),
                deep=self.run.wall,
                count=self.own_sides,
                is_side=True,
                meets=self._meeting(each.leg, lambda other: self._numbered("side", other)),
            )
            for each in self.air
        ]

    @property
    def boards(self):
        """All of them; those of a straight slot that are alike as one."""
        boards, alike = [*self.shelves, *self.sides], {}
        for each in boards:
            before = alike.get(each.name)
            alike[each.name] = each if before is None else each._replace(count=before.count + each.count)
        return list(alike.values())

    @property
    def seam_length(self):
        """Of all seams of its own boards: along its four edges, and across where each begins. [m]"""
        own, total = self.own_sides, 0.0
        for leg, air in enumerate(self.air):
            for side, length in zip((self.wall_side, -self.wall_side), air.lengths, strict=True):
                shelf = (leg, side) not in self.beside
                total += length * (2 if shelf else own) + self.run.outer_sides[1] * shelf
            total += self.run.port.height * own
        return float(total)

    def _name_of_shelf(self, leg, side):
        return self._numbered(f"{SIDES[side]} shelf" if len(self.turns) else "shelf", leg)

    def _numbered(self, kind, leg):
        return f"{kind} {leg + 1}" if len(self.turns) else kind

    def _meeting(self, leg, named, side=0):
        """Return what the start and the end of a board of a leg meet."""

        def at(other):
            wall = self.beside.get((other, side))
            return ("butt", wall) if wall else ("mitre" if side else "butt", named(other))

        start = at(leg - 1) if leg else ("butt", self.run.panel)
        return start, at(leg + 1) if leg < len(self.turns) else ("", "")

    def _check(self):
        if min(min(each.lengths) for each in (*self.air, *self.shelves)) <= 0:
            told = f"has a slot in {self.run.panel!r} with a bend too near for its boards"
            raise Refused("Inside", "ports", told, ": put its bends farther in and apart, or make it lower")
        for each in self.shelves:
            for end in each.ends:
                if too_steep(end.tilt):
                    tilt = f"tilt the saw by {np.rad2deg(end.tilt):.1f} degrees, over 45"
                    told = f"has a slot in {self.run.panel!r} whose {each.name} would {tilt}, at the {end.to}"
                    raise Refused("Inside", "ports", told, ": let it leave its wall by 45 degrees or more")

        if self._runs_into_itself():
            told = f"has a slot in {self.run.panel!r} that runs into itself"
            raise Refused("Inside", "ports", told, ": make it shorter, or bend it the other way")

    def _runs_into_itself(self):
        """Whether any two of its legs that are no neighbours overlap, with their boards."""
        import shapely

        legs = [shapely.Polygon(self.corners(self._whole(leg))) for leg in range(len(self.lengths))]
        pairs = ((one, other) for number, one in enumerate(legs) for other in legs[number + 2 :])
        return any(one.intersection(other).area > OVERLAP for one, other in pairs)

    def _whole(self, leg):
        """Return a leg with its boards."""
        v = [side * (self.half + self.run.wall * ((leg, side) not in self.beside)) for side in SIDES]
        return self._strip("leg", leg, tuple(v), self.run.outer_sides[1])

    def place(self, leg, u, v):
        """Return places beside a leg in the plane of the profile, shape (n, 2). [m]"""
        across = left_of(self.ways)
        return self.starts[leg] + np.outer(u, self.ways[leg]) + np.outer(v, across[leg])

    def corners(self, strip):
        """Return the corners of a strip in the plane of the profile, shape (4, 2). [m]"""
        u, v = (*strip.lower, *strip.upper[::-1]), np.repeat(strip.v, 2)
        return self.place(strip.leg, u, v)


def sawn_slots(box, inside):
    """Return the slots whose walls are sawn from board, each a `Slot`, by its number among all slots."""
    lined = box.with_layers(inside.layers)
    slots = enumerate((run for run in inside.ports if not run.round), start=1)
    return {number: Slot(run, lined) for number, run in slots if run.wall >= THINNEST}


def axis_of(run, box):
    """Return the way into the box in its profile: square to the panel, or along the wall that the slot runs along."""
    inwards = box.panel(run.panel).axes[2][:2]
    walls = [box.panel(name).axes[0][:2] for name in run.shares if not name.endswith("cheek")]
    return inwards if not walls else walls[0] * np.sign(walls[0] @ inwards)


def _lean(name, walls, box):
    """Return how far a panel comes in for each metre off the wall that a slot in it runs along."""
    across = float(box.panel(name).axes[2] @ box.panel(walls[0]).axes[2]) if walls else 0.0
    return -across / np.sqrt(1 - across**2)


def _apart(point, a, b):
    """Return how far a place is from a line between two others. [m]"""
    along = np.clip((point - a) @ (b - a) / ((b - a) @ (b - a)), 0.0, 1.0)
    return float(np.hypot(*(point - a - along * (b - a))))
