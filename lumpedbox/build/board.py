"""The board that a box is made of."""

from __future__ import annotations

from ..quantity import Part, Text, part, ruled
from .workings.fields import one

# Of wood-based board, taken where nobody has weighed or bent it (common practice, no source).
USUAL_DENSITY = 680.0  # kg/m3
USUAL_MODULUS = 3e9  # Pa, along and across alike
POISSON = 0.3  # of wood-based board, along and across alike (common practice, no source)


@part
class Board(Part):
    r"""A board, by its thickness.

    Parameters
    ----------
    thickness : float
        As measured; a board sold as 18 mm may have 17.4. [m]
    name : str
        What to ask for in the shop.
    density : float, optional
        [kg/m3]
    modulus : float, optional
        Young's modulus in bending. [Pa]

    Examples
    --------
    >>> from lumpedbox.units import mm
    >>> print(f"{Board(thickness=18 * mm, density=680).weight:.2f} kg/m2")
    12.24 kg/m2
    """

    thickness: float = one("m", "thickness of the board", 2e-3, 0.06, slips=("mm", "inch"))
    name: str = ruled(Text(), "")
    density: float = one("kg/m3", "density of the board", 20.0, 9000.0, default=None)
    modulus: float = one("Pa", "Young's modulus of the board", 1e8, 1e12, default=None)

    @property
    def weight(self):
        r"""Mass of a square metre, or None where the density is not known. [kg/m2]

        .. math:: m'' = \rho\,t
        """
        return None if self.density is None else self.density * self.thickness

    @property
    def stiffness(self):
        r"""Bending stiffness of a strip one metre wide, or None where the modulus is not known. [N m]

        .. math:: D = \frac{E\,t^3}{12 (1 - \nu^2)}
        """
        return None if self.modulus is None else self.modulus * self.thickness**3 / (12 * (1 - POISSON**2))
