"""The door of a vehicle: a box with a hole that nobody meant."""

from __future__ import annotations

import numpy as np

from ...air import AIR, Air
from ...arguments import takes
from ...errors import RefusedType
from ...quantity import OneOf, Part, Position, Quantity, part, quantity, ruled, shown
from ..port import NET_VOLUME
from .enclosure import side_field

SEAM = 0.02  # m, how deep a crack is between folded sheets: ours
END = 0.85  # radii that the air beyond each end adds: 8 / (3 pi), a disc in a wide wall (Rayleigh 1896, from memory)


class Crack:
    """Height and length of a crack, or none."""

    sides = (
        Quantity(unit="m", meaning="height of the crack", low=1e-5, high=0.02, slips=("mm", "cm")),
        Quantity(unit="m", meaning="length of the crack", low=1e-3, high=20.0, slips=("mm", "cm")),
    )

    def accept(self, owner, name, value):
        if value is None:
            return None
        if not isinstance(value, (tuple, list)) or len(value) != len(self.sides):
            raise RefusedType(owner, name, f"must be height and length of the crack in m, got {shown(value)}")
        pairs = enumerate(zip(self.sides, value, strict=True))
        return tuple(side.accept(owner, f"{name}[{i}]", size) for i, (side, size) in pairs)


@part
class Door(Part):
    r"""A vehicle's door with a driver in it: a volume of air that leaks through a hole or a crack.

    Parameters
    ----------
    volume : float or array
        Of the air in the door. [m3]
    hole_area : float or array, optional
        Of all its holes together; 0 is a sealed door. [m2]
    hole_depth : float or array
        Thickness of the sheet around the hole, or depth of the crack. [m]
    hole_Q : float or array
        Q of the hole at its resonance with the air in the door; it has no effect on a crack. No source: show a band
        of 1 to 10 around 3. [1]
    path : float or array
        How much further away from the ear the hole is than the cone, where their places do not say. [m]
    hole_position : tuple of float, optional
        Where the hole is: x, y, z. [m]
    opens_to : {"cabin", "outside"}
        Where the hole leads. Outside the vehicle nobody hears it.
    crack : tuple of float, optional
        Height and length of a thin crack instead of a hole. [m]
    longest_side : float or array, optional
        Longest side of the door's cavity, for the validity limit; without it that limit is not known. [m]

    Notes
    -----
    The air of the door lies parallel to the hole,

    .. math:: Z = R + s \frac{\rho (l + 2 \cdot 0.85\,a)}{S} + \frac{\rho \omega^2}{2\pi c}, \quad a = \sqrt{S/\pi}

    The last term is what the hole radiates. R follows from `hole_Q`, or from the drag of the air in a crack. Valid for
    a cavity much smaller than a wavelength. The drag is right for a crack of up to about 1 mm; a wider one has more.
    Fast air leaves a small opening as a jet, and loses more: `Response.jet_share` tells where that matters.

    At low frequencies the hole moves nearly as much air as the cone, and against it. What is left depends on how much
    further away it is: `path`, or what the places of cone, hole and ear say. In a cabin of law "volume" or "length" one
    pressure everywhere follows from both flows together. Only the direct sounds differ by the path there.

    References
    ----------
    Lord Rayleigh, "The theory of sound" II (1896), sections 307 and 312; for the crack, the flow between two planes as
    in L. D. Landau, E. M. Lifshitz, "Fluid mechanics" (1959), section 17 (both from memory).

    Examples
    --------
    >>> door = Door(volume=0.030, hole_area=300e-4)
    >>> print(f"{door.hole_resonance():.0f} Hz")
    134 Hz
    """

    volume: float = ruled(NET_VOLUME)
    hole_area: float = quantity("m2", "area of the hole", 0.0, 10.0, default=None, slips=("cm2", "mm2"))
    hole_depth: float = quantity("m", "depth of the hole", 0.0, 0.3, default=0.002, slips=("mm", "cm"))
    hole_Q: float = quantity("", "Q of the hole at its resonance with the air in the door", 0.05, np.inf, default=3.0)
    path: float = quantity("m", "how much further away the hole is", 0.0, 10.0, default=0.35, slips=("mm", "cm"))
    hole_position: tuple = ruled(Position(), None)
    opens_to: str = ruled(OneOf(("cabin", "outside")), "cabin")
    crack: tuple = ruled(Crack(), None)
    longest_side: float = side_field()

    def _check_together(self):
        if (self.hole_area is None) == (self.crack is None):
            given = "neither" if self.crack is None else "both"
            ways = "hole_area (m2) and crack (its height and length in m)"
            raise ValueError(f"Door needs exactly one of {ways}, got {given}; a sealed door has hole_area=0")

    @property
    def longest_path(self):
        """Longest path of sound inside it; 0 where it is not known, so that the limit is that of the cone. [m]"""
        return 0.0 if self.longest_side is None else self.longest_side

    @takes(air=AIR)
    def compliance(self, air=Air()):
        r"""Acoustic compliance of the air inside. [m3/Pa]

        .. math:: C_{ab} = \frac{V}{\rho c^2}
        """
        return self.volume / air.stiffness

    @property
    def opening_area(self):
        r"""Area of the hole, or of the crack. [m2]

        .. math:: S = h w
        """
        if self.crack is None:
            return self.hole_area
        height, length = self.crack
        return height * length

    @takes(air=AIR)
    def hole_mass(self, air=Air()):
        r"""Acoustic mass of the air that moves in the hole and beyond its ends; `inf` if sealed. [kg/m4]

        .. math:: M = \frac{\rho (l + 2 \cdot 0.85\,a)}{S}, \quad a = \sqrt{S/\pi}
        """
        S = np.asarray(self.opening_area)
        with np.errstate(divide="ignore"):
            return np.divide(air.density * (self.hole_depth + 2 * END * np.sqrt(S / np.pi)), S)[()]

    @takes(air=AIR)
    def hole_resonance(self, air=Air()):
        r"""Resonance of the hole with the air in the door; 0 if sealed. [Hz]

        .. math:: f_h = \frac{1}{2\pi\sqrt{M C_{ab}}}
        """
        return 1 / (2 * np.pi * np.sqrt(self.hole_mass(air) * self.compliance(air)))

    @takes(air=AIR)
    def hole_resistance(self, air=Air()):
        r"""Loss in the hole, without what it radiates; `inf` if sealed. [Pa s/m3]

        Of a hole, and of a crack of height h, length w and depth l in air of viscosity :math:`\mu`:

        .. math:: R = \frac{\omega_h M}{Q}, \quad R = \frac{12 \mu l}{h^3 w}
        """
        if self.crack is not None:
            height, length = self.crack
            return 12 * air.viscosity * self.hole_depth / (np.square(height) * height * length)
        return np.sqrt(self.hole_mass(air) / self.compliance(air)) / self.hole_Q
