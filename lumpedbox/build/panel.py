"""One board of a box, as it is sawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from .board import Board
from .workings.lines import area

OUTSIDE, INSIDE, SQUARE = "outside", "inside", "square"


class End(NamedTuple):
    """How one end of a board is sawn.

    Attributes
    ----------
    tilt : float
        Of the saw, from square. [rad]
    longer : {"outside", "inside", "square"}
        The face that is the longer one at this end.
    joint : {"butt", "mitre", ""}
        Empty for an end that only follows the outline of a cheek.
    to : str
        The panel that it meets there.
    """

    tilt: float = 0.0
    longer: str = SQUARE
    joint: str = ""
    to: str = ""


SAWN_SQUARE = End()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Panel:
    """One board of a box.

    Attributes
    ----------
    name : str
    board : Board
    outer, inner : array, shape (n, 2)
        Corners of both faces: along, across. [m]
    start, end : End
        Of its length.
    sides : tuple of End
        The same of its breadth.
    origin : array, shape (3,)
        Where along = across = 0 of its outer face lies. [m]
    axes : array, shape (3, 3)
        Directions along, across, and into the box.
    """

    name: str
    board: Board
    outer: np.ndarray
    inner: np.ndarray
    start: End = SAWN_SQUARE
    end: End = SAWN_SQUARE
    sides: tuple = (SAWN_SQUARE, SAWN_SQUARE)
    origin: np.ndarray
    axes: np.ndarray

    @property
    def thickness(self):
        """[m]"""
        return self.board.thickness

    @property
    def outline(self):
        """Corners of the outer face. [m]"""
        return self.outer

    def _extent(self, axis):
        along = np.concatenate([self.outer[:, axis], self.inner[:, axis]])
        return float(along.max() - along.min())

    @property
    def length(self):
        """From long point to long point. [m]"""
        return self._extent(0)

    @property
    def breadth(self):
        """From long point to long point. [m]"""
        return self._extent(1)

    @property
    def inside_area(self):
        """Of the inner face. [m2]"""
        return float(area(self.inner))

    @property
    def volume(self):
        r"""By the prismoid formula, with the section M half way. [m3]

        .. math:: V = \frac{t}{6} (A_{out} + 4 A_M + A_{in})
        """
        middle = area((self.outer + self.inner) / 2)
        return float(self.thickness / 6 * (area(self.outer) + 4 * middle + area(self.inner)))

    @property
    def mass(self):
        r"""Without its holes, or None where the density of the board is not known. [kg]

        .. math:: m = \rho V
        """
        return None if self.board.density is None else self.board.density * self.volume

    @property
    def corners(self):
        """Corners of the outer face, then of the inner face, in space; shape (2, n, 3). [m]"""
        deep = [np.zeros(len(self.outer)), np.full(len(self.inner), self.thickness)]
        faces = zip((self.outer, self.inner), deep, strict=True)
        return np.stack([self.origin + np.column_stack([face, depth]) @ self.axes for face, depth in faces])
