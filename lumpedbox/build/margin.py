"""What must fit, and by how much it does."""

from __future__ import annotations

from typing import NamedTuple

HAIR = 5e-5  # m: nobody saws to a twentieth of a millimetre (common practice, no source)


class Margin(NamedTuple):
    """One thing that must fit.

    Attributes
    ----------
    name : str
    needed, there : float
        [m]
    words : str
        What it means, and what to do if it does not fit.
    between : tuple of float or None
        Where along its panel the middle of a driver or a port may lie. [m]
    must : bool
        Whether the box is no good without it.
    """

    name: str
    needed: float
    there: float
    words: str
    between: tuple | None = None
    must: bool = True

    @property
    def fits(self):
        """Whether there is as much as is needed, but for a hair."""
        return self.there >= self.needed - HAIR

    @property
    def blocks(self):
        """Whether the box is no good so."""
        return self.must and not self.fits
