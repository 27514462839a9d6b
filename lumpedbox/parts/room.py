"""Sound in a rectangular room, from a source to an ear: its resonances summed in closed form."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

SMALLEST = 1e-6  # of what a cross mode adds at the source's own plane; later ones are left out
NEAREST = 0.05  # m between the edges of source and ear, for counting cross modes
NODES = 16  # on the circle from which the power series follows
AWAY = 3  # times the circle's radius: as far from its centre are the poles of the power series
LEAST_RADIUS = 0.01  # 1/m2
DECAY = 6 * np.log(10)  # the powers of e in 60 dB of energy: 13.816
POINTS = 8000  # at a time: few enough for the processor's cache


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

    def summed(self, s):
        r"""Return the sum over all resonances, and its derivative by s. [1/m], [s/m]

        .. math::
            \Sigma = \frac{c^2}{flex\,V (s^2 + \omega_l s)} + \frac{1}{L_1 L_2 L_3} \sum_{n \neq 0}
            \frac{\epsilon_n \psi_n(source) \psi_n(ear)}{k_n^2 + (s^2 + 2\delta s)/c^2},
            \quad p = \rho s U \Sigma

        Parameters
        ----------
        s : array, shape (1, nf) or (n, nf)
            Complex frequency. [rad/s]

        Returns
        -------
        tuple of array, shape (n, nf)
        """
        uniform = np.square(self.sound_speed) / (self.softness * (s * s + self.leak * s))
        uniform_slope = -uniform * (2 * s + self.leak) / (s * s + self.leak * s)
        x = (s * s + self.damping * s) / np.square(self.sound_speed)
        others, by_x = self._resonances(x)
        volume = self.sizes[0] * self.sizes[1] * self.sizes[2]
        slope = uniform_slope + by_x * (2 * s + self.damping) / np.square(self.sound_speed) / volume
        return uniform + others / volume, slope

    def _resonances(self, x):
        r"""Return the sum over all but the uniform pressure, times the volume, and its derivative by x.

        Resonances near the frequencies asked for are summed one by one. The poles of all others lie far from the x
        asked for. So the others are one power series in x. Its coefficients follow from the closed form at a few
        points on a circle around those x, less the resonances near by.
        """
        center = (np.min(x.real) + np.max(x.real)) / 2
        radius = max(np.max(np.abs(x - center)), LEAST_RADIUS)
        square, weight = self._near(AWAY * radius - center)
        turns = np.pi * (2 * np.arange(NODES // 2) + 1) / NODES
        circle = center + radius * np.exp(1j * turns[np.newaxis])
        rest = Axes(self, abs(center) + radius).at(circle) - _one_by_one(square, weight, circle)[0]
        power = np.arange(NODES)[:, np.newaxis]
        series = 2 / NODES * np.real(np.exp(-1j * power * turns) @ rest.T)[..., np.newaxis]
        powers = np.cumprod(np.concatenate([[np.ones_like(x)], [(x - center) / radius] * (NODES - 1)]), axis=0)
        value, slope = _one_by_one(square, weight, x)
        value = value + np.sum(series * powers, axis=0)
        return value, slope + np.sum(power[1:, np.newaxis] * series[1:] * powers[:-1], axis=0) / radius

    def _near(self, below):
        """Return k^2 and the weight of every resonance with a k^2 below some number, shape (modes, n, 1)."""
        sizes, source, ear = (np.stack(np.broadcast_arrays(*map(np.atleast_2d, p))) for p in self._places)
        numbers = [np.arange(int(np.max(size) * np.sqrt(max(below, 0.0)) / np.pi) + 1) for size in sizes]
        n = np.stack(np.meshgrid(*numbers, indexing="ij")).reshape(3, -1, 1, 1)
        k = np.pi * n / sizes[:, np.newaxis]
        square = np.sum(k * k, axis=0)
        used = (square < below) & np.any(n > 0, axis=0)
        here = np.any(used, axis=(1, 2))
        weight = np.prod(_shapes(n[:, here], k[:, here], source, ear, self._widths), axis=0)
        return square[here], np.where(used[here], weight, 0.0)

    @property
    def _places(self):
        return self.sizes, self.source, self.ear

    @property
    def _widths(self):
        return self.source_width, self.ear_width


def _shapes(n, k, source, ear, widths):
    r"""Return what each axis adds to the weight of a mode: eps psi(source) psi(ear), averaged. [1]

    .. math:: \epsilon \cos(k x) \cos(k y) \prod_w \frac{\sin(k w/2)}{k w/2}, \quad \epsilon = 1\ (n = 0), 2\ (n > 0)
    """
    shapes = np.where(n == 0, 1.0, 2.0) * np.cos(k * source[:, np.newaxis]) * np.cos(k * ear[:, np.newaxis])
    for width in widths:
        shapes = shapes * np.sinc(k * width / (2 * np.pi))
    return shapes


def _one_by_one(square, weight, x):
    """Return the sum of weight / (k^2 + x) over resonances, and its derivative by x, shape (n, nf)."""
    total, slope = 0.0, 0.0
    step = max(1, POINTS // (weight.shape[1] * x.shape[-1]))
    for first in range(0, len(square), step):
        here = slice(first, first + step)
        inverse = 1 / (square[here] + x).transpose(1, 0, 2)
        weights = weight[here].astype(complex).transpose(1, 2, 0)
        total = total + np.matmul(weights, inverse)[:, 0]
        slope = slope - np.matmul(weights, inverse * inverse)[:, 0]
    return total, slope


class Axes:
    """A room with its axes in order: first the one along which source and ear are farthest apart."""

    def __init__(self, room, largest, smallest=SMALLEST):
        columns = np.broadcast_arrays(*map(np.atleast_2d, (*room.sizes, *room.source, *room.ear)))
        sizes, source, ear = (np.stack(columns[i : i + 3])[..., 0] for i in (0, 3, 6))  # (3, n)
        first = np.argmax(np.abs(source - ear), axis=0)
        order = (first + np.arange(3)[:, np.newaxis]) % 3
        self.sizes, source, ear = (np.take_along_axis(a, order, axis=0)[..., np.newaxis] for a in (sizes, source, ear))
        self.length, self.widths = self.sizes[0], (room.source_width, room.ear_width)
        self.low, self.high = np.minimum(source[0], ear[0]), np.maximum(source[0], ear[0])
        self.largest = largest  # of |x|
        self._cross_modes(source, ear, smallest)

    def at(self, x):
        """Return the sum over all but the uniform pressure, times the volume, for a few x, shape (n, nf)."""
        total = np.zeros((self.weight.shape[1], x.shape[-1]), x.dtype)
        for some in np.array_split(np.arange(len(self.weight)), 1 + len(self.weight) * total.size // POINTS):
            total += np.sum(self.weight[some] * self._along(self.square[some] + x), axis=0)
        return total - 1 / x

    def _cross_modes(self, source, ear, smallest):
        """Set k^2 and the weight of every cross mode, shape (modes, n, 1)."""
        gap = np.maximum(self.high - self.low - (self.widths[0] + self.widths[1]) / 2, NEAREST)
        highest = -np.log(smallest) / gap + np.sqrt(self.largest)
        numbers = [np.arange(int(np.max(highest * size) / np.pi) + 1) for size in self.sizes[1:]]
        pairs = np.stack(np.meshgrid(*numbers, indexing="ij")).reshape(2, -1, 1, 1)
        k = np.pi * pairs / self.sizes[1:, np.newaxis]  # (2, modes, n, 1)
        square = np.sum(k * k, axis=0)
        used = square <= np.square(highest)
        here = np.any(used, axis=(1, 2))
        k, used, self.square = k[:, here], used[here], square[here]
        shapes = _shapes(pairs[:, here], k, source[1:], ear[1:], self.widths)
        self.weight = np.where(used, np.prod(shapes, axis=0), 0.0)

    def _along(self, square):
        r"""Return the sum over the modes of the first axis. [m2]

        .. math::
            \sum_l \frac{\epsilon_l \cos(l \pi x/L) \cos(l \pi y/L)}{(l \pi/L)^2 + q^2}
            = \frac{L \cosh(q x) \cosh(q (L - y))}{q \sinh q L}, \quad x < y

        with exponentials that die away; the average over a width w is a factor sinh(q w/2) / (q w/2).
        """
        q = np.sqrt(square)
        A, B = np.exp(-2 * q * self.low), np.exp(-2 * q * (self.length - self.high))
        D = np.exp(-q * (self.high - self.low))
        value = self.length * D * (1 + A) * (1 + B) / (2 * q * (1 - A * B * D * D))
        for width in self.widths:
            if np.any(width):
                h = np.where(width, width, 1e-6) / 2
                value = value * np.sinh(q * h) / (q * h)
        return value


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
        outside = np.ravel((coordinate < 0) | (coordinate > np.multiply(size, 1 + 1e-9)))
        if outside.any():
            value, most = (np.ravel(v)[outside.argmax()] for v in np.broadcast_arrays(coordinate, size))
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
    between = np.max(np.broadcast_arrays(*(abs(a - b) for a, b in zip(place, ear, strict=True))), axis=0)
    return np.maximum((width + cabin.ear_box) / 2, NEAREST), between
