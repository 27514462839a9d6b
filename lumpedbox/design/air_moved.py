"""How much air a level takes."""

from __future__ import annotations

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, FREQUENCY, takes
from ..families import common_shape
from ..quantity import Quantity
from ..response.level import pressure_of

LEVEL = Quantity(unit="dB re 20 uPa", meaning="level of a steady tone", low=-100.0, high=200.0)


@takes(level=LEVEL, frequency=FREQUENCY, distance=DISTANCE, air=AIR)
def air_moved(level, frequency, distance=1.0, air=Air()):
    r"""Volume of air that a small source in a large wall moves one way, at the peak, for a level. [m3]

    Parameters
    ----------
    level : float or array
        r.m.s., of a steady tone. [dB re 20 uPa]
    frequency : float or array
        [Hz]
    distance : float or array
        [m]
    air : Air

    Returns
    -------
    float or array

    Notes
    -----
    .. math:: V = \frac{2\pi r \sqrt{2}\,p_0\,10^{L/20}}{\rho\,(2\pi f)^2}

    This is a cone's area times its travel. It holds while the cone is small against the wavelength.

    References
    ----------
    L. L. Beranek, "Acoustics" (1954), of a simple source (from memory).

    Examples
    --------
    >>> print(f"{air_moved(90, 40) * 1e6:.0f} cm3")
    74 cm3
    """
    common_shape([(f"air_moved.{name}", np.shape(x)) for name, x in (("level", level), ("frequency", frequency))])
    acceleration = 2 * np.pi * distance * np.sqrt(2) * pressure_of(level) / air.density
    return acceleration / np.square(2 * np.pi * frequency)
