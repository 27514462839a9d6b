"""The lowest resonance of a rectangular plate."""

from __future__ import annotations

import numpy as np

CLAMPED = 22.3733  # (beta l)^2 of a clamped strip
SLOPE = 12.3026  # of the clamped strip's shape: the mean square of its slope, times its length squared


def simply_supported(a, b, root):
    r"""Return the lowest resonance on hinges, exact; `root` is of stiffness over mass. [Hz]

    .. math:: f = \frac{\pi}{2} (1/a^2 + 1/b^2) \sqrt{D/m''}
    """
    return np.pi / 2 * (1 / a**2 + 1 / b**2) * root


def clamped(a, b, root):
    r"""Return an upper bound of the lowest resonance with clamped edges: Rayleigh's quotient of strips. [Hz]

    .. math:: f = \frac{1}{2\pi} \sqrt{\frac{D}{m''} (k^2/a^4 + k^2/b^4 + 2 c^2/a^2 b^2)}
    """
    return root / (2 * np.pi) * np.sqrt(CLAMPED**2 * (1 / a**4 + 1 / b**4) + 2 * SLOPE**2 / (a * b) ** 2)
