"""The lowest resonance of a rectangular plate."""

from __future__ import annotations

import numpy as np
from numpy.polynomial import Polynomial

SHAPES = 3  # along each side, of the clamped plate


def simply_supported(a, b, root):
    r"""Return the lowest resonance on hinges, exact; `root` is of stiffness over mass. [Hz]

    .. math:: f = \frac{\pi}{2} (1/a^2 + 1/b^2) \sqrt{D/m''}
    """
    return np.pi / 2 * (1 / a**2 + 1 / b**2) * root


def _strip():
    r"""Return the slope and the bending of clamped shapes of a strip of length 1, orthonormal, as matrices.

    .. math:: \varphi_i = x^2 (1 - x)^2 (x - 1/2)^{2i}, \quad S_{ij} = \int \varphi_i' \varphi_j', \quad
              B_{ij} = \int \varphi_i'' \varphi_j''
    """
    x = Polynomial([0, 1])
    shapes = [(x * (1 - x)) ** 2 * (x - 0.5) ** (2 * i) for i in range(SHAPES)]
    mass, slope, bending = (
        np.array([[(p * q).integ()(1.0) for q in each] for p in each])
        for each in (shapes, [p.deriv(1) for p in shapes], [p.deriv(2) for p in shapes])
    )
    to_unit = np.linalg.inv(np.linalg.cholesky(mass))
    return to_unit @ slope @ to_unit.T, to_unit @ bending @ to_unit.T


SLOPE, BENDING = _strip()
ALONG, ACROSS, BOTH = np.kron(BENDING, np.eye(SHAPES)), np.kron(np.eye(SHAPES), BENDING), 2 * np.kron(SLOPE, SLOPE)


def clamped(a, b, root):
    r"""Return the lowest resonance with clamped edges, by Ritz: an upper bound, 2e-4 above at most. [Hz]

    .. math:: (2\pi f)^2 = \frac{D}{m''} \lambda_{min}\left(\frac{B \otimes 1}{a^4} + \frac{1 \otimes B}{b^4}
              + \frac{2\, S \otimes S}{a^2 b^2}\right)
    """
    stiffness = ALONG / a**4 + ACROSS / b**4 + BOTH / (a * b) ** 2
    return root / (2 * np.pi) * np.sqrt(np.linalg.eigvalsh(stiffness)[0])
