"""The inside of a vehicle, as simply as a low-frequency model allows."""

from __future__ import annotations

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, takes
from ..quantity import OneOf, Part, Quantity, Text, part, quantity, ruled

SOLID_ANGLE = Quantity(unit="sr", meaning="solid angle that it radiates into", low=0.1, high=4 * np.pi)
FITS = 1.05  # volume of air over length x width x height, as measured: more is a mistake; ours


def side(which):
    return quantity("m", f"inner {which}", 0.3, 30.0, slips=("mm", "cm", "inch"))


def apart(place, other):
    r"""Distance between two places. [m]

    .. math:: r = \sqrt{(x - x_0)^2 + (y - y_0)^2 + (z - z_0)^2}

    Parameters
    ----------
    place, other : tuple of float or array
        x, y, z. [m]
    """
    return np.sqrt(sum(np.square(here - there) for here, there in zip(place, other, strict=True)))


@part
class Cabin(Part):
    r"""A vehicle's cabin: what it adds to a source in half space.

    Parameters
    ----------
    length, width, height : float or array
        Inner dimensions. [m]
    law : {"volume", "length"}
        "volume": the cabin is one volume of air under pressure. "length": by rule of thumb, the rise starts where
        half a wavelength fits the longest dimension.
    volume : float or array, optional
        Volume of air, if it is not length x width x height. [m3]
    flex : float or array
        How much softer the panels make the volume (1: rigid; 1.5 is common practice, no source). [1]
    leak : float or array
        Corner frequency below which air escapes; 0 for a cabin without leaks (15 is common practice, no source). [Hz]
    reverberation_time : float or array
        How long sound takes to fall by 60 dB (0.08 in a small car is common practice, no source). [s]
    name : str
        What to call it.

    Notes
    -----
    .. math:: p = p_{half}(r) \, G, \quad G = \frac{s^2 + \sqrt{2}\,\omega_c s + \omega_c^2}{s (s + \omega_l)}

    with :math:`\omega_c = c\sqrt{\Omega r / V_{eff}}`, :math:`V_{eff} = flex \cdot V` ("volume") or
    :math:`\omega_c = 2\pi c / 2 L` ("length"). Without a leak :math:`|G|^2 = 1 + (\omega_c/\omega)^4`:
    the exact law of a cavity far below the corner, and 3 dB at the corner. Resonances of the cabin are left out. So it
    holds well below the first one (c / 2 L); elsewhere only on average.

    References
    ----------
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
    law: str = ruled(OneOf(("volume", "length")), "volume")
    volume: float = quantity(
        "m3", "volume of air in the cabin", 0.3, 200.0, default=None, slips=("litre", "cubic_foot")
    )
    flex: float = quantity("", "factor by which the panels soften the volume", 1.0, 5.0, default=1.5)
    leak: float = quantity("Hz", "corner frequency of the leak", 0.0, 200.0, default=15.0)
    reverberation_time: float = quantity("s", "reverberation time", 0.01, 5.0, default=0.08, slips=("ms",))
    name: str = ruled(Text(), "")

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
