"""Sound in a rectangular room, from a source to an ear: its resonances summed in closed form."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

SMALLEST = 1e-6  # of what a cross mode adds at the source's own plane; later ones are left out
NEAREST = 0.05  # m between the edges of source and ear, for counting cross modes
NODES = 24  # on the circle over which the cross modes that die away are expanded
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
        others, by_x = Axes(self, np.max(np.abs(x))).summed(x)
        volume = self.sizes[0] * self.sizes[1] * self.sizes[2]
        slope = uniform_slope + by_x * (2 * s + self.damping) / np.square(self.sound_speed) / volume
        return uniform + others / volume, slope


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
        """Return the same as `summed`, for a few x away from the resonances, without its derivative, shape (n, nf)."""
        total = np.zeros((self.weight.shape[1], x.shape[-1]), x.dtype)
        for some in np.array_split(np.arange(len(self.weight)), 1 + len(self.weight) * total.size // POINTS):
            total += np.sum(self.weight[some] * self._along(self.square[some] + x)[0], axis=0)
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
        eps = np.where(pairs[:, here] == 0, 1.0, 2.0)
        shape = eps * np.cos(k * source[1:, np.newaxis]) * np.cos(k * ear[1:, np.newaxis])
        for width in self.widths:
            shape = shape * np.sinc(k * width / (2 * np.pi))
        self.weight = np.where(used, np.prod(shape, axis=0), 0.0)

    def summed(self, x):
        """Return the sum of all but the uniform pressure, times the volume, and its derivative by x, shape (n, nf)."""
        fading = self.square >= 2 * self.largest
        total, slope = self._expanded(np.where(fading, self.weight, 0.0), x)
        near = np.flatnonzero(np.any(~fading, axis=(1, 2)))
        step = max(1, POINTS // (self.weight.shape[1] * x.shape[-1]))
        for start in range(0, len(near), step):
            some = near[start : start + step]
            weight = np.where(fading[some], 0.0, self.weight[some])
            along, by_x = self._along(self.square[some] + x)
            total, slope = total + np.sum(weight * along, axis=0), slope + np.sum(weight * by_x, axis=0)
        return total - 1 / x, slope + 1 / (x * x)

    def _expanded(self, weight, x):
        r"""Return what the cross modes that die away add, and its derivative by x.

        Their poles lie beyond twice the largest \|x\|. So they are one power series in x, whose coefficients follow
        from a few points on the circle \|x\| = largest.
        """
        here = np.flatnonzero(np.any(weight != 0, axis=(1, 2)))
        circle = self.largest * np.exp(2j * np.pi / NODES * np.arange(NODES // 2 + 1))
        values = np.zeros((weight.shape[1], len(circle)), complex)
        for some in np.array_split(here, 1 + len(here) * values.size // POINTS):
            square = np.maximum(self.square[some], 2 * self.largest)
            values += np.sum(weight[some] * self._along(square + circle)[0], axis=0)
        coefficients = np.fft.hfft(values, NODES, axis=-1) / NODES
        u, value, slope = x / self.largest, 0.0, 0.0
        for c in coefficients.T[::-1, :, np.newaxis]:
            slope = slope * u + value
            value = value * u + c
        return value, slope / self.largest

    def _along(self, square):
        r"""Return the sum over the modes of the first axis, and its derivative by q^2. [m2]

        .. math::
            \sum_l \frac{\epsilon_l \cos(l \pi x/L) \cos(l \pi y/L)}{(l \pi/L)^2 + q^2}
            = \frac{L \cosh(q x) \cosh(q (L - y))}{q \sinh q L}, \quad x < y

        with exponentials that die away; the average over a width w is a factor sinh(q w/2) / (q w/2).
        """
        q = np.sqrt(square)
        a, b, g, L = self.low, self.length - self.high, self.high - self.low, self.length
        A, B, D = np.exp(-2 * q * a), np.exp(-2 * q * b), np.exp(-q * g)
        E = A * B * D * D
        value = L * D * (1 + A) * (1 + B) / (2 * q * (1 - E))
        bent = -g - 1 / q - 2 * (a * A / (1 + A) + b * B / (1 + B) + L * E / (1 - E))
        for width in self.widths:
            if np.any(width):
                h = np.where(width, width, 1e-6) / 2
                value, bent = value * np.sinh(q * h) / (q * h), bent + h / np.tanh(q * h) - 1 / q
        return value, value * bent / (2 * q)


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
        coordinate, size = map(np.ravel, np.broadcast_arrays(coordinate, size))
        outside = (coordinate < 0) | (coordinate > size * (1 + 1e-9))
        if outside.any():
            value, most = coordinate[outside.argmax()], size[outside.argmax()]
            raise ValueError(
                f"{who}[{i}] must be between 0 and {most:.6g} m (inside the cabin, from its front, left, floor corner; "
                f"Cabin.{side}), got {value:.6g}"
            )


def check_apart(cabin, who, place, ear, width=0.0):
    """Refuse an opening of some width that reaches into the ear's cube, or is at one place with it. [m]"""
    between = np.max(np.broadcast_arrays(*(abs(a - b) for a, b in zip(place, ear, strict=True))), axis=0)
    least = np.maximum((width + cabin.ear_box) / 2, NEAREST)
    if np.any(between < least):
        raise ValueError(
            f"{who} lies within the ear: it must be at least {np.max(least):.3g} m away (half of the opening and of "
            f"Cabin.ear_box), got {np.min(between):.3g} m"
        )
