"""A room heard at many ears at once: most of its resonances one by one, the rest as a power series."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..remembered import remembered
from .room import Axes

REACH = 3  # times the modal limit: resonances up to there are summed one by one
NODES = (0.2, 1.0)  # times the largest |x|: where the rest is compared with the closed form
BETA = 1.3  # the rest is fitted as one resonance above those summed one by one, and infinitely many far above
EARS = 32  # at a time
SMALLEST = 1e-3  # of what a cross mode adds at the source's own plane, for the rest; the level moves by 0.01 dB


class ManyEars:
    """A room of one source heard at many ears: what `Resonances` asks of a `Room`, but for the derivative.

    Parameters
    ----------
    room : Room
        Its own ear is not used.
    ears : tuple of array, shape (n,)
        [m]
    limit : float
        The modal limit of the cabin. [Hz]
    """

    def __init__(self, room, ears, limit):
        self._room, self._ears, self._limit = room, ears, limit
        self.leak, self.damping, self.sound_speed = room.leak, room.damping, room.sound_speed
        self.numbers = (*room.numbers, *ears, limit)

    def mapped(self, function):
        """Return the room of some ears, in closed form: `function` takes and returns a column, shape (n, 1)."""
        heard = dataclasses.replace(self._room, ear=tuple(axis[:, np.newaxis] for axis in self._ears))
        return heard.mapped(function)

    def summed_alone(self, s, upto=None):
        """Return the sum over all resonances at every ear. [1/m], shape (n, nf)"""
        return summed_at_ears(self._room, self._ears, s[0], self._limit)


@remembered
def summed_at_ears(room, ears, s, limit):
    r"""Return the sum over all resonances (`Room.summed`) at many ears. [1/m], shape (n, nf)

    .. math:: \Sigma(x) = \sum_{k \le 3 k_x} + a + \frac{b}{\beta (3 k_x)^2 + x}, \quad x = (s^2 + 2\delta s)/c^2

    The two terms of the rest follow from the closed form at two real x, less the resonances summed one by one.

    Parameters
    ----------
    room : Room
        Of one source; its own ear is not used.
    ears : tuple of array, shape (n,)
        [m]
    s : array, shape (nf,)
        Complex frequency, up to sqrt 2 times the limit. [rad/s]
    limit : float
        The modal limit of the cabin. [Hz]
    """
    x = (s * s + room.damping * s) / np.square(room.sound_speed)
    largest = np.max(np.abs(x))
    nodes = largest * np.array(NODES)
    uniform = np.square(room.sound_speed) / (room.softness * (s * s + room.leak * s))
    volume = room.sizes[0] * room.sizes[1] * room.sizes[2]
    reach = REACH * 2 * np.pi * limit / room.sound_speed
    modes = _modes(room, reach)
    fit = np.linalg.inv(_two_terms(nodes, reach)) @ _two_terms(x, reach)
    found = np.empty((len(ears[0]), len(s)), complex)
    apart = np.abs(np.subtract(ears, np.reshape(room.source, (3, 1))))
    alike = np.lexsort((np.max(apart, axis=0), np.argmax(apart, axis=0)))  # in how many cross modes they need
    for first in range(0, len(alike), EARS):
        some = alike[first : first + EARS]
        here = [axis[some, np.newaxis] for axis in ears]
        shapes = _heard(room, modes, here)
        rest = Axes(dataclasses.replace(room, ear=tuple(here)), largest, SMALLEST).at(nodes[np.newaxis])
        rest = rest - shapes @ (1 / (modes[0][:, np.newaxis] + nodes))
        found[some] = _real_times(shapes, 1 / (modes[0][:, np.newaxis] + x)) + _real_times(rest, fit)
    return uniform + found / volume


def _two_terms(x, reach):
    """Return the two functions of x that the rest is made of, shape (2, nf)."""
    return np.stack([np.ones_like(x), 1 / (BETA * np.square(reach) + x)])


def _modes(room, highest):
    """Return k^2 [1/m2] and the three numbers of every resonance up to a wave number [1/m]."""
    numbers = [np.arange(int(highest * size / np.pi) + 1) for size in room.sizes]
    n = np.stack(np.meshgrid(*numbers, indexing="ij")).reshape(3, -1)
    square = np.sum(np.square(np.pi * n / np.reshape(room.sizes, (3, 1))), axis=0)
    used = (square <= np.square(highest)) & (square > 0)
    return square[used], n[:, used]


def _heard(room, modes, ears):
    """Return how strongly each ear hears each resonance of the source, shape (ears, modes)."""
    weight = 1.0
    for size, place, ear, n in zip(room.sizes, room.source, ears, modes[1], strict=True):
        k = np.pi * np.arange(np.max(n) + 1) / size
        averages = np.sinc(k * room.source_width / (2 * np.pi)) * np.sinc(k * room.ear_width / (2 * np.pi))
        along = np.where(k == 0, 1.0, 2.0) * np.cos(k * place) * averages * np.cos(k * ear)
        weight = weight * along[:, n]
    return weight


def _real_times(matrix, values):
    """Return a real matrix times a complex one, without making the first complex."""
    values = np.ascontiguousarray(values, complex)
    return (matrix @ values.view(float)).view(complex)
