"""Sound in a rectangular room, from a source to an ear: its resonances summed in closed form."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..remembered import remembered

SMALLEST = 1e-6  # of what a cross mode adds at the source's own plane; later ones are left out
NEAREST = 0.05  # m between the edges of source and ear, for counting cross modes
NODES = 16  # on the circle from which the power series follows
AWAY = 3  # times the circle's radius: as far from its centre are the poles of the power series
LEAST_RADIUS = 0.01  # 1/m2
POWERS = np.arange(NODES)
CIRCLE = np.exp(1j * np.pi * (2 * np.arange(NODES // 2)[np.newaxis] + 1) / NODES)  # half of it; the other is its mirror
COEFFICIENTS = 2 / NODES * CIRCLE.T**-POWERS  # of the series, from the values on the circle
DECAY = 6 * np.log(10)  # the powers of e in 60 dB of energy: 13.816
POINTS = 20_000  # at a time: few enough for the processor's cache


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """A rectangular room with one source and one ear; every entry a number, or a column of shape (n, 1).

    Attributes
    ----------
    sizes, source, ear : tuple
        Along three axes; the origin is a corner. [m]
    source_width, ear_width : float or array
        Edge of the cube that source and ear are averaged over; 0 for a point. [m]
    softness : float or array
        Volume of air times how much softer the panels make it, for the uniform pressure. [m3]
    leak : float or array
        Angular corner frequency of the leak. [rad/s]
    damping : float or array
        2 delta, how fast the energy of a resonance dies away. [1/s]
    sound_speed : float or array
        [m/s]
    """

    sizes: tuple
    source: tuple
    ear: tuple
    source_width: object
    ear_width: object
    softness: object
    leak: object
    damping: object
    sound_speed: object

    @property
    def numbers(self):
        """Every number, or column of them, one after another."""
        widths = (self.source_width, self.ear_width)
        return (*self.sizes, *self.source, *self.ear, *widths, self.softness, self.leak, self.damping, self.sound_speed)

    def mapped(self, function):
        """Return a copy with `function` applied to every number."""
        names = [field.name for field in dataclasses.fields(self)]
        values = {name: getattr(self, name) for name in names}
        return dataclasses.replace(
            self,
            **{name: tuple(map(function, v)) if isinstance(v, tuple) else function(v) for name, v in values.items()},
        )

    def summed(self, s, upto=None):
        r"""Return the sum over all resonances, and its derivative by s. [1/m], [s/m]

        .. math::
            \Sigma = \frac{c^2}{flex\,V (s^2 + \omega_l s)} + \frac{1}{L_1 L_2 L_3} \sum_{n \neq 0}
            \frac{\epsilon_n \psi_n(source) \psi_n(ear)}{k_n^2 + (s^2 + 2\delta s)/c^2},
            \quad p = \rho s U \Sigma

        Parameters
        ----------
        s : array, shape (1, nf) or (n, nf)
            Complex frequency. [rad/s]
        upto : float or array, optional
            Angular frequency up to which more will be asked for: what all of it shares is worked out once. [rad/s]

        Returns
        -------
        tuple of array, shape (n, nf)
        """
        x, expansion = self._expanded(s, upto)
        by_x = (2 * s + self.damping) / np.square(self.sound_speed)
        uniform = self._uniform(s)
        slope = -uniform * (2 * s + self.leak) / (s * s + self.leak * s)
        return uniform + expansion.at(x) / self.volume, slope + expansion.slope_at(x) * by_x / self.volume

    def summed_alone(self, s, upto=None):
        """Return the same sum without its derivative. [1/m], shape (n, nf)"""
        x, expansion = self._expanded(s, upto)
        return self._uniform(s) + expansion.at(x) / self.volume

    @property
    def volume(self):
        """Volume of a box of these sizes. [m3]"""
        return self.sizes[0] * self.sizes[1] * self.sizes[2]

    def _uniform(self, s):
        return np.square(self.sound_speed) / (self.softness * (s * s + self.leak * s))

    def _expanded(self, s, upto):
        x = self._x(s)
        return x, Expansion(self, x if upto is None else self._x(1j * upto * np.array([[0.0, 1.0]])))

    def _x(self, s):
        return (s * s + self.damping * s) / np.square(self.sound_speed)


class Expansion:
    """The sum over all resonances but the uniform pressure, times the volume: a function of x = (s^2 + 2 delta s)/c^2.

    Resonances near the frequencies asked for are summed one by one. The poles of all others lie far from the x asked
    for. So the others are one power series in x. Its coefficients follow from the closed form at a few points on a
    circle around those x, less the resonances near by.
    """

    def __init__(self, room, x):
        self.center = (x.real.min() + x.real.max()) / 2
        self.radius = max(np.abs(x - self.center).max(), LEAST_RADIUS)
        *self.near, self.series = _near_and_rest(room, self.center, self.radius)

    def at(self, x):
        """Return the sum, shape (n, nf). [m2]"""
        return _one_by_one(*self.near, x) + _polynomial(self.series, (x - self.center) / self.radius)

    def slope_at(self, x):
        """Return its derivative by x, shape (n, nf). [m4]"""
        series = np.roll(POWERS * self.series, -1, axis=1) / self.radius  # what was constant is 0 now, and last
        return _slope_one_by_one(*self.near, x) + _polynomial(series, (x - self.center) / self.radius)


@remembered
def _near_and_rest(room, center, radius):
    """Return k^2 [1/m2] and weight of the resonances near a circle of x, shape (n, modes), and the series of the rest.

    The coefficients of the series have shape (n, nodes). None of these depends on the frequencies between the ends.
    """
    axes, circle = Axes(room, abs(center) + radius), center + radius * CIRCLE
    square, weight = axes.modes(AWAY * radius - center)
    near = (weight[:, np.newaxis] @ (1 / (square[..., np.newaxis] + circle)))[:, 0]
    return square, weight, ((axes.at(circle) - near) @ COEFFICIENTS).real


def _polynomial(coefficients, z):
    """Return a polynomial of z, its coefficients from the lowest power up: Horner's rule, four terms at a time."""
    square = z * z
    powers = np.empty((len(z), 4, z.shape[-1]), complex)
    powers[:, 0], powers[:, 1], powers[:, 2], powers[:, 3] = 1, z, square, square * z
    fours = (coefficients.reshape(len(coefficients), -1, 4) @ powers.view(float)).view(complex)
    value, fourth = fours[:, -1], square * square
    for part in range(fours.shape[1] - 2, -1, -1):
        value = value * fourth + fours[:, part]
    return value


def _one_by_one(square, weight, x):
    r"""Return the sum over resonances, shape (n, nf). [m2]

    .. math:: \sum \frac{weight}{k^2 + x}
    """
    total = np.zeros((1, 1, 1))
    for w, real, b, over in _inverses(square, weight, x):
        total = total + (w @ real - 1j * b * (w @ over))
    return total[:, 0]


def _slope_one_by_one(square, weight, x):
    r"""Return its derivative by x, shape (n, nf). [m4]

    .. math:: -\sum \frac{weight}{(k^2 + x)^2}
    """
    total = np.zeros((1, 1, 1))
    for w, real, b, over in _inverses(square, weight, x):
        total = total - (w @ (real * real) - b * b * (w @ (over * over)) - 2j * b * (w @ (real * over)))
    return total[:, 0]


def _inverses(square, weight, x):
    r"""Yield for some resonances at a time their weights, a/(a^2 + b^2), b, and 1/(a^2 + b^2).

    .. math:: \frac{1}{k^2 + x} = \frac{a - j b}{a^2 + b^2}, \quad k^2 + x = a + j b

    Complex numbers would take several times as long; b is the same for all resonances.
    """
    b = x.imag[:, np.newaxis]
    step = max(1, POINTS // max(x.size, len(square) * x.shape[-1]))
    for first in range(0, square.shape[1], step):
        here = slice(first, first + step)
        a = square[:, here, np.newaxis] + x.real[:, np.newaxis]
        over = a * a  # large: worked on in place
        over += b * b
        np.divide(1, over, out=over)
        a *= over
        yield weight[:, np.newaxis, here], a, b, over


class Axes:
    """A room with its axes in order: first the one along which source and ear are farthest apart.

    Its n members are rows; what they have in common has one row.
    """

    def __init__(self, room, largest, smallest=SMALLEST):
        columns = (*room.sizes, *room.source, *room.ear)
        rows = np.empty((9, np.broadcast(*columns).size, 1))
        for row, column in zip(rows, columns, strict=True):
            row[:] = column
        places = rows.reshape(3, 3, -1)
        first = np.argmax(np.abs(places[1] - places[2]), axis=0)
        order = (first + np.arange(3)[:, np.newaxis]) % 3
        self.sizes, self.source, self.ear = places[:, order, np.arange(len(first))]
        self.widths = np.atleast_2d(room.source_width), np.atleast_2d(room.ear_width)
        self.low, self.high = np.minimum(self.source[0], self.ear[0]), np.maximum(self.source[0], self.ear[0])
        gap = np.maximum(self.high - self.low - (self.widths[0] + self.widths[1])[:, 0] / 2, NEAREST)
        highest = -np.log(smallest) / gap + np.sqrt(largest)
        self._along_each(np.maximum(highest, np.sqrt(AWAY * largest)))
        self.cross = self.modes(np.square(highest)[:, np.newaxis], first=1)

    def _along_each(self, highest):
        r"""Set k^2 [1/m2] and what each axis adds to the weight of a mode, averaged [1], shape (3, n, modes).

        .. math::
            \epsilon \cos(k x) \cos(k y) \prod_w \frac{\sin(k w/2)}{k w/2}, \quad \epsilon = 1\ (n = 0), 2\ (n > 0)
        """
        n = np.arange(int((highest * self.sizes).max() / np.pi) + 1)
        k = np.pi * n / self.sizes[..., np.newaxis]
        self.squares = k * k
        self.shapes = 2 * np.cos(k * self.source[..., np.newaxis]) * np.cos(k * self.ear[..., np.newaxis])
        self.shapes[..., 0] = 1
        for width in filter(np.count_nonzero, self.widths):
            self.shapes = self.shapes * np.sinc(k * width / (2 * np.pi))

    def modes(self, below, first=0):
        """Return k^2 [1/m2] and the weight of the modes up to some k^2, shape (n, modes); with `first`, of later axes.

        The uniform pressure counts only where not all axes do.
        """
        start, *others = (self.squares[first:] <= below).any(axis=1).sum(axis=1).tolist()
        square, weight = self.squares[first, :, :start], self.shapes[first, :, :start]
        for axis, count in enumerate(others, first + 1):
            square = (square[:, :, np.newaxis] + self.squares[axis, :, np.newaxis, :count]).reshape(len(square), -1)
            weight = (weight[:, :, np.newaxis] * self.shapes[axis, :, np.newaxis, :count]).reshape(len(weight), -1)
        used = square <= below
        if not first:
            used[:, 0] = False
        here = used.any(axis=0)
        return square[:, here], np.where(used, weight, 0.0)[:, here]

    def at(self, x):
        """Return the sum over all but the uniform pressure, times the volume, for a few x, shape (n, nf)."""
        square, weight = self.cross
        kinds, kind = distinct((*self.sizes, self.low, self.high, *self.widths))
        total = np.zeros((len(weight), x.shape[-1]), x.dtype)
        step = max(1, POINTS // total.size)
        for first in range(0, weight.shape[1], step):
            some = slice(first, first + step)
            along = self._along(kinds, _of(kinds, square)[:, some, np.newaxis] + x[:, np.newaxis])
            total += (weight[:, some, np.newaxis] * along[kind]).sum(axis=1)
        return total - 1 / x

    def _along(self, kinds, square):
        r"""Return the sum over the modes of the first axis, for members at some places. [m2], shape (n, modes, nf)

        .. math::
            \sum_l \frac{\epsilon_l \cos(l \pi x/L) \cos(l \pi y/L)}{(l \pi/L)^2 + q^2}
            = \frac{L \cosh(q x) \cosh(q (L - y))}{q \sinh q L}, \quad x < y

        with exponentials that die away; the average over a width w is a factor sinh(q w/2) / (q w/2).
        """
        q = np.sqrt(square)
        columns = (_of(kinds, column) for column in (self.low, self.high, self.sizes[0]))
        low, high, length = (column[:, np.newaxis, np.newaxis] for column in columns)
        A, B = np.exp(-2 * q * low), np.exp(-2 * q * (length - high))
        D = np.exp(-q * (high - low))
        value = length * D * (1 + A) * (1 + B) / (2 * q * (1 - A * B * D * D))
        for width in filter(np.count_nonzero, self.widths):
            width = _of(kinds, width)
            h = np.where(width, width, 1e-6)[..., np.newaxis] / 2
            value = value * np.sinh(q * h) / (q * h)
        return value


def _of(members, rows):
    """Return the rows of some members; the one row that all have in common as it is."""
    return rows[members] if len(rows) > 1 else rows


def distinct(columns):
    """Return the places of members that differ in some numbers, and for each member the place of its like in these.

    Parameters
    ----------
    columns : sequence of float or array, shape (n,) or (n, 1)

    Returns
    -------
    (array, array)
        Of shape (members that differ,) and (n,).
    """
    if all(np.size(column) == 1 for column in columns):
        return np.zeros(1, int), np.zeros(1, int)
    rows = np.column_stack(np.broadcast_arrays(*map(np.ravel, columns)))
    _, places, alike = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    return places, alike.ravel()


def room_of(cabin, source, ear, air, source_width=0.0):
    """Return a cabin as a `Room` with a source of some width and an ear. [m]"""
    return Room(
        sizes=(cabin.length, cabin.width, cabin.height),
        source=source,
        ear=ear,
        source_width=source_width,
        ear_width=cabin.ear_box,
        softness=cabin.flex * cabin.air_volume,
        leak=2 * np.pi * cabin.leak,
        damping=DECAY / cabin.reverberation_time,
        sound_speed=air.sound_speed,
    )


def apart(place, other):
    r"""Distance between two places. [m]

    .. math:: r = \sqrt{(x - x_0)^2 + (y - y_0)^2 + (z - z_0)^2}

    Parameters
    ----------
    place, other : tuple of float or array
        x, y, z. [m]
    """
    return np.sqrt(sum(np.square(here - there) for here, there in zip(place, other, strict=True)))


def check_inside(cabin, who, place):
    """Refuse a place outside the cabin: `who` names it, as in "Cabin.ear". [m]"""
    sides = (("length", cabin.length), ("width", cabin.width), ("height", cabin.height))
    for i, (coordinate, (side, size)) in enumerate(zip(place, sides, strict=True)):
        outside = (coordinate < 0) | (coordinate > size * (1 + 1e-9))
        if np.count_nonzero(outside):
            value, most = (np.ravel(v)[np.argmax(outside)] for v in np.broadcast_arrays(coordinate, size))
            raise ValueError(
                f"{who}[{i}] must be between 0 and {most:.6g} m (inside the cabin, from its front, left, floor corner; "
                f"Cabin.{side}), got {value:.6g}"
            )


def check_apart(cabin, who, place, ear, width=0.0):
    """Refuse an opening of some width that reaches into the ear's cube, or is at one place with it. [m]"""
    if reaches(cabin, place, ear, width):
        least, between = _least_and_between(cabin, place, ear, width)
        raise ValueError(
            f"{who} lies within the ear: it must be at least {np.max(least):.3g} m away (half of the opening and of "
            f"Cabin.ear_box), got {np.min(between):.3g} m"
        )


def reaches(cabin, place, ear, width=0.0):
    """Whether an opening of some width reaches into the ear's cube, or is at one place with it. [m]"""
    least, between = _least_and_between(cabin, place, ear, width)
    return bool(np.any(between < least))


def _least_and_between(cabin, place, ear, width):
    """Return how far an opening must be from the ear along one axis, and how far it is along the longest. [m]"""
    x, y, z = (abs(here - there) for here, there in zip(place, ear, strict=True))
    between = np.maximum(np.maximum(x, y), z)
    return np.maximum((width + cabin.ear_box) / 2, NEAREST), between
