"""How the ear, and the meters made after it, weigh frequencies."""

from __future__ import annotations

import numpy as np

from .quantity import Quantity

FREQUENCY = Quantity(unit="Hz", meaning="frequency of the tone", low=1e-3, high=1e6)
# Pole frequencies of IEC 61672-1 [Hz].
LOWEST, LOW, MIDDLE, HIGH = 20.598997, 107.65265, 737.86223, 12194.217
A_AT_1_KHZ, C_AT_1_KHZ = -2.000, -0.062  # dB, so that both read 0 dB at 1 kHz; as the standard prints them


def a_weighting(frequency):
    r"""What an A-weighting meter adds to a level. [dB]

    .. math:: A(f) = 20 \log_{10}
              \frac{f_4^2 f^4}{(f^2 + f_1^2)\sqrt{(f^2 + f_2^2)(f^2 + f_3^2)}(f^2 + f_4^2)} - A_{1000}

    Made for soft sounds in the middle of the range, it takes away most of a low tone. Valid 10 Hz to 20 kHz.

    Parameters
    ----------
    frequency : float or array
        [Hz]

    Returns
    -------
    float or array

    References
    ----------
    IEC 61672-1:2013, annex E (from memory).

    Examples
    --------
    >>> print(f"{a_weighting(40.0):.1f} dB")
    -34.5 dB
    """
    f2 = np.square(FREQUENCY.accept("a_weighting", "frequency", frequency))
    roots = np.sqrt((f2 + LOW**2) * (f2 + MIDDLE**2))
    return 20 * np.log10(HIGH**2 * f2**2 / ((f2 + LOWEST**2) * roots * (f2 + HIGH**2))) - A_AT_1_KHZ


def c_weighting(frequency):
    r"""What a C-weighting meter adds to a level. [dB]

    .. math:: C(f) = 20 \log_{10} \frac{f_4^2 f^2}{(f^2 + f_1^2)(f^2 + f_4^2)} - C_{1000}

    Nearly flat from 50 Hz to 5 kHz; peak limits for hearing are stated with it.

    Parameters
    ----------
    frequency : float or array
        [Hz]

    Returns
    -------
    float or array

    References
    ----------
    IEC 61672-1:2013, annex E (from memory).
    """
    f2 = np.square(FREQUENCY.accept("c_weighting", "frequency", frequency))
    return 20 * np.log10(HIGH**2 * f2 / ((f2 + LOWEST**2) * (f2 + HIGH**2))) - C_AT_1_KHZ
