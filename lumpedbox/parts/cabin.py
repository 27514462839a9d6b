"""The inside of a vehicle, as simply as a low-frequency model allows."""

from __future__ import annotations

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, FREQUENCIES, Places, takes
from ..errors import Refused, RefusedType
from ..families import common_shape
from ..quantity import (
    LevelPoints,
    OneOf,
    Part,
    Position,
    Quantity,
    Text,
    frozen,
    missing,
    part,
    quantity,
    ruled,
    shown,
)
from .room import POINTS, check_apart, check_inside, room_of

SOLID_ANGLE = Quantity(unit="sr", meaning="solid angle that it radiates into", low=0.1, high=4 * np.pi)
FITS = 1.05  # volume of air over length x width x height, as measured: more is a mistake; ours


LAWS = ("volume", "length", "modes", "measured")
HIGHEST = 10  # times the modal limit: as far as `Cabin.transfer` sums resonances


class NamedPlaces:
    """Places by name, each x, y, z: a mapping, or pairs; kept as pairs."""

    place = Position()

    def accept(self, owner, name, value):
        try:
            places = None if isinstance(value, str) else dict(value)
        except (TypeError, ValueError):
            places = None
        if places is None or any(place is None for place in places.values()):
            raise RefusedType(owner, name, f"must be names, each with its place x, y, z in m, got {shown(value)}")
        name_of = Text()
        return tuple(
            (name_of.accept(owner, name, who), self.place.accept(owner, f"{name}[{who!r}]", place))
            for who, place in places.items()
        )


def side(which):
    return quantity("m", f"inner {which}", 0.3, 30.0, slips=("mm", "cm", "inch"))


@part
class Cabin(Part):
    r"""A vehicle's cabin: what it adds to a source in half space.

    Parameters
    ----------
    length, width, height : float or array
        Inner dimensions. [m]
    law : {"volume", "length", "modes", "measured"}
        "volume": the cabin is one volume of air under pressure. "length": by rule of thumb, the rise starts where
        half a wavelength fits the longest dimension. "modes": a box with its resonances, every opening and the ear at
        its own place. "measured": by `table`.
    volume : float or array, optional
        Volume of air, if it is not length x width x height. [m3]
    flex : float or array
        How much softer the panels make the volume (1: rigid; 1.5 is common practice, no source). [1]
    leak : float or array
        Corner frequency below which air escapes; 0 for a cabin without leaks (15 is common practice, no source). [Hz]
    reverberation_time : float or array
        How long sound takes to fall by 60 dB (0.08 in a small car is common practice, no source). [s]
    ear : tuple of float, optional
        Where the listener is, for "modes": x, y, z from the front, left, floor corner. `System.ear` wins. [m]
    ear_box : float or array
        Edge of the cube of places that the ear is averaged over, for "modes"; 0 for a point. [m]
    places : dict or tuple of (str, tuple of float)
        Where loudspeakers can stand, by name: x, y, z. A page offers them; they change no result. [m]
    table : tuple of (float, float), optional
        For "measured": rising frequencies, and levels over the same source in half space at `reference_distance`.
        Straight lines join them on a logarithmic axis; beyond, the end levels stay. [Hz], [dB]
    reference_distance : float or array
        Of the source in half space that `table` compares with. [m]
    name : str
        What to call it.

    Notes
    -----
    .. math:: p = p_{half}(r) \, G, \quad G = \frac{s^2 + \sqrt{2}\,\omega_c s + \omega_c^2}{s (s + \omega_l)}

    with :math:`\omega_c = c\sqrt{\Omega r / V_{eff}}`, :math:`V_{eff} = flex \cdot V` ("volume") or
    :math:`\omega_c = 2\pi c / 2 L` ("length"). Without a leak :math:`|G|^2 = 1 + (\omega_c/\omega)^4`:
    the exact law of a cavity far below the corner, and 3 dB at the corner. Resonances of the cabin are left out. So it
    holds well below the first one (c / 2 L); elsewhere only on average.

    "modes" sums the resonances of a box with these sizes: `transfer` has the equation. Around `modal_limit` the level
    and the unwrapped phase over half space fade, as a raised cosine from :math:`f_x/\sqrt 2` to
    :math:`f_x \sqrt 2`. Above, it is half space at the true distance. A box of these sizes has its first resonances
    within perhaps 10 to 20 % of the cabin's (ours, no source). Seats, slope, trim and people are not in it.
    The cabin's load on the cone is left out: it changes the cone's velocity by at most 0.22 dB (derived).

    "measured" assumes minimum phase.

    References
    ----------
    For the resonances: P. M. Morse, K. U. Ingard, "Theoretical Acoustics" (1968), chap. 9 (from memory).
    For the frequency above which resonances crowd: M. R. Schroeder, K. H. Kuttruff, "On frequency response curves in
    rooms", JASA 34 (1962) 76-80 (from memory). The rest is derived.

    Examples
    --------
    >>> cabin = Cabin(length=3, width=1.6, height=1.2)
    >>> print(f"{cabin.corner():.0f} Hz by its volume, {cabin.length_corner():.0f} Hz by its length")
    47 Hz by its volume, 57 Hz by its length
    """

    length: float = side("length")
    width: float = side("width")
    height: float = side("height")
    law: str = ruled(OneOf(LAWS), "volume")
    volume: float = quantity(
        "m3", "volume of air in the cabin", 0.3, 200.0, default=None, slips=("litre", "cubic_foot")
    )
    flex: float = quantity("", "factor by which the panels soften the volume", 1.0, 5.0, default=1.5)
    leak: float = quantity("Hz", "corner frequency of the leak", 0.0, 200.0, default=15.0)
    reverberation_time: float = quantity("s", "reverberation time", 0.01, 5.0, default=0.08, slips=("ms",))
    ear: tuple = ruled(Position(), None)
    ear_box: float = quantity(
        "m", "edge of the cube around the ear", 0.0, 1.0, default=0.15, slips=("cm", "mm", "inch")
    )
    places: tuple = ruled(NamedPlaces(), ())
    table: tuple = ruled(LevelPoints(optional=True), None)
    reference_distance: float = ruled(DISTANCE, 1.0)
    name: str = ruled(Text(), "")

    def _check_together(self):
        if (self.law == "measured") != (self.table is not None):
            if self.table is None:
                raise missing("Cabin.table", "measured levels over frequency", 'Cabin.law "measured" needs it')
            raise Refused("Cabin", "table", f'goes with law "measured", but law is {self.law!r}', ": leave one out")
        if self.by_places and self.ear is not None:
            check_inside(self, "Cabin.ear", self.ear)
        for name, place in self.places if self.by_places else ():
            check_inside(self, f"Cabin.places[{name!r}]", place)

    @property
    def by_places(self):
        """Whether it matters where in the cabin sound comes from, and where the ear is."""
        return self.law == "modes"

    @property
    def lumped(self):
        """Whether it is a circuit of a few elements: by its volume or by its length."""
        return self.law in ("volume", "length")

    @property
    def listener(self):
        """Where the ear is: x, y, z. [m]"""
        if self.ear is None:
            raise missing("Cabin.ear", "where the listener is", "give it, or System.ear")
        return self.ear

    @takes(frequency=FREQUENCIES, source=Places(), ear=Places(), air=AIR)
    def transfer(self, frequency, source, ear, air=Air()):
        r"""Return sound pressure at an ear over the volume flow of a source, for "modes". [Pa s/m3], shape (..., nf)

        .. math::
            \frac{p}{U} = \rho s \left[\frac{c^2}{flex\,V (s^2 + \omega_l s)} + \frac{1}{L W H} \sum_{n \neq 0}
            \frac{\epsilon_n \psi_n(source) \psi_n(ear)}{k_n^2 + (s^2 + 2\delta s)/c^2}\right],
            \quad 2\delta = \frac{13.816}{T_{60}}

        with :math:`\psi` a product of cosines. It holds the travel time. It does not fade to half space, as a solved
        loudspeaker does around `modal_limit`. The softer panels act on the uniform pressure alone.

        Parameters
        ----------
        frequency : float or array, shape (nf,)
            Up to ten times `modal_limit`. [Hz]
        source : array, shape (..., 3)
            A point: x, y, z from the front, left, floor corner. [m]
        ear : array, shape (..., 3)
            Averaged over a cube of edge `ear_box`. [m]
        air : Air

        Raises
        ------
        ValueError
            If the law is another, a place is outside, or source and ear are at one place.

        Examples
        --------
        >>> bus = Cabin(length=5, width=1.8, height=1.6, law="modes", leak=12, reverberation_time=0.15)
        >>> p = bus.transfer([20, 40], source=(0.2, 0.2, 0.4), ear=(2.6, 0.5, 1.15))
        >>> [f"{level:.1f} dB" for level in 20 * np.log10(abs(p))]
        ['35.2 dB', '33.7 dB']
        """
        if not self.by_places:
            raise ValueError(f'Cabin.transfer needs Cabin.law "modes", got {self.law!r}: the others know no places')
        for who, place in (("source", source), ("ear", ear)):
            check_inside(self, f"Cabin.transfer.{who}", place)
        check_apart(self, "Cabin.transfer.source", source, ear)
        highest = HIGHEST * np.min(self.modal_limit)
        if np.max(frequency) > highest:
            raise ValueError(
                f"Cabin.transfer.frequency must be at most {highest:.0f} Hz ({HIGHEST} x modal_limit; above, "
                f"resonances crowd: take half space), got {np.max(frequency):.6g}"
            )
        shapes = [(name, np.broadcast(*p).shape) for name, p in (("source", source), ("ear", ear))]
        shape = common_shape([("Cabin", self.shape), ("air", air.shape), *shapes])
        s = 2j * np.pi * frequency[np.newaxis]
        room = room_of(self, source, ear, air)
        total = np.concatenate(list(_in_slices(room, s, shape))) if shape else room.summed_alone(s)
        density = np.asarray(air.density)[..., np.newaxis]
        return frozen(density * s[0] * total.reshape((*shape, -1)))

    @property
    def modal_limit(self):
        r"""Frequency above which resonances crowd, and phases between places mean nothing. [Hz]

        .. math:: f_x = 2000 \sqrt{T_{60} / V}

        M. R. Schroeder's frequency (1962, from memory), T60 in s, V in m3.
        """
        return 2000 * np.sqrt(self.reverberation_time / self.air_volume)

    @property
    def air_volume(self):
        r"""Volume of air in the cabin. [m3]

        .. math:: V = L \cdot W \cdot H

        unless it is given.
        """
        return self.length * self.width * self.height if self.volume is None else self.volume

    def check_as_measured(self):
        """Refuse a volume [m3] that does not fit into length x width x height [m]: one of them is wrong.

        A cabin that is only calculated with may have any volume.
        """
        within = self.length * self.width * self.height
        if np.any(self.air_volume > FITS * within):
            raise ValueError(
                f"a volume of {np.max(self.air_volume):.4g} m3 is more than length x width x height, "
                f"{np.min(within):.4g} m3"
            )

    @property
    def longest(self):
        r"""Longest inner dimension. [m]

        .. math:: \max(L, W, H)
        """
        return np.maximum(np.maximum(self.length, self.width), self.height)[()]

    @takes(air=AIR)
    def length_corner(self, air=Air()):
        r"""Corner frequency by the rule of thumb. [Hz]

        .. math:: f_c = c / (2 L)
        """
        return air.sound_speed / (2 * self.longest)

    @takes(distance=DISTANCE, air=AIR, solid_angle=SOLID_ANGLE)
    def volume_corner(self, distance=1.0, air=Air(), solid_angle=2 * np.pi):
        r"""Corner frequency by the volume, against the same source at `distance` in `solid_angle`. [Hz]

        .. math:: f_c = \frac{c}{2\pi}\sqrt{\Omega r / V_{eff}}
        """
        return air.sound_speed / (2 * np.pi) * np.sqrt(solid_angle * distance / (self.flex * self.air_volume))

    @takes(distance=DISTANCE, air=AIR, solid_angle=SOLID_ANGLE)
    def corner(self, distance=1.0, air=Air(), solid_angle=2 * np.pi):
        """Corner frequency by the cabin's own `law`, for a source at `distance` in `solid_angle`. [Hz]"""
        return self.length_corner(air) if self.law == "length" else self.volume_corner(distance, air, solid_angle)

    @takes(air=AIR)
    def first_resonance(self, air=Air()):
        r"""Lowest resonance of the air between two end walls. [Hz]

        .. math:: f_1 = c / (2 L)
        """
        return self.length_corner(air)


def _in_slices(room, s, shape):
    """Yield the sums over the resonances of a family, few members at a time, shape (n, nf)."""
    columns = room.mapped(lambda v: np.broadcast_to(v, shape).reshape(-1, 1))
    step = max(1, POINTS // s.shape[-1])
    for first in range(0, len(columns.leak), step):
        yield columns.mapped(lambda v, here=slice(first, first + step): v[here]).summed_alone(s)
