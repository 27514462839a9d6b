"""Reading by reading with a multimeter: which frequency comes next, and what it would win."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..arguments import FREQUENCY, Axis, Single, takes
from ..errors import Refused
from ..quantity import Holds, OneOf
from .curves import MAGNITUDE, SoFar
from .fitting import AT
from .model import impedance_and_slopes
from .result import MeasuredDriver

FIRST = (20.0, 40.0, 80.0, 160.0, 315.0)  # Hz: every woofer's peak is between two of them
STEPS_OF_A_PHONE = 24  # frequencies in an octave to choose from
CLOSE = 1.02  # ratio of two frequencies that are as good as one
WON = ("fs", "Qes", "Qms", "Mms")
CURVE = OneOf(("free_air", "added_mass", "known_box", "free_air_again"))


class Next(NamedTuple):
    """The reading that would win most.

    Attributes
    ----------
    frequency : float
        [Hz]
    shrinks : dict
        Name of a number: its standard deviation by the noise with that reading over the one without it. [1]
    """

    frequency: float
    shrinks: dict


@takes(frequency=SoFar(Axis(FREQUENCY)), magnitude=SoFar(Axis(MAGNITUDE)))
def next_in_search(frequency=(), magnitude=()):
    r"""Return the frequency to measure next while the peak is being looked for. [Hz]

    Parameters
    ----------
    frequency : array, shape (nf,)
        Measured so far, in any order; none at the start. [Hz]
    magnitude : array, shape (nf,)
        Of the impedance there. [ohm]

    Notes
    -----
    First come a few tones an octave apart. Then the wider gap beside the highest reading is halved, on a logarithmic
    scale: :math:`\sqrt{f_1 f_2}`.

    Examples
    --------
    >>> print(f"{next_in_search([20, 40, 80, 160, 315], [4, 7, 9, 5, 5]):.1f} Hz")
    56.6 Hz
    """
    if len(frequency) != len(magnitude):
        counts = f"{len(frequency)} and {len(magnitude)}"
        raise Refused("next_in_search", "magnitude", f"must have one value for each frequency, got {counts}")
    near = np.log(CLOSE)
    absent = [one for one in FIRST if not np.any(np.abs(np.log(np.divide(frequency, one))) < near)]
    if absent:
        return absent[0]
    order = np.argsort(frequency)
    f = np.asarray(frequency)[order]
    highest = int(np.argmax(np.asarray(magnitude)[order]))
    if highest in (0, len(f) - 1):
        return float(f[highest] * (0.5 if highest == 0 else 2.0))
    gaps = f[highest] / f[highest - 1], f[highest + 1] / f[highest]
    lower = highest - 1 if gaps[0] >= gaps[1] else highest
    return float(np.sqrt(f[lower] * f[lower + 1]))


@takes(
    found=Holds((MeasuredDriver,)),
    curve=CURVE,
    low=Single(FREQUENCY),
    high=Single(FREQUENCY),
)
def next_reading(found, curve="free_air", low=20.0, high=400.0):
    r"""Return which further reading would make a measured driver surer, and by how much.

    Parameters
    ----------
    found : MeasuredDriver
    curve : str
        The curve to add the reading to: "free_air", "added_mass", "known_box" or "free_air_again".
    low, high : float
        Lowest and highest frequency to choose from. [Hz]

    Returns
    -------
    Next
        The frequency [Hz], and by which factor each standard deviation shrinks. [1]

    Raises
    ------
    ValueError
        If that curve was not measured.

    Notes
    -----
    A reading with slopes :math:`j` changes the covariance :math:`C` to :math:`(C^{-1} + j j^T / \sigma^2)^{-1}`. The
    frequency is chosen that makes the sum of the variances of fs, Qes, Qms and Mms least.

    Examples
    --------
    >>> import numpy as np
    >>> from lumpedbox.measure import driver_from_impedance
    >>> f = np.array([20, 30, 40, 48, 55, 63, 75, 100, 150, 250])
    >>> Z = np.array([3.8, 4.3, 6.1, 10.7, 15.2, 9.6, 6.1, 4.7, 4.5, 4.9])
    >>> found = driver_from_impedance(free_air=(f, Z), Sd=0.0137, Re=3.4)
    >>> coming = next_reading(found)
    >>> coming.shrinks["Qms"] < 1
    True
    """
    solved = found.solution
    if curve not in solved.setup.curves:
        raise Refused(
            "next_reading", "curve", f"{curve} was not measured", f": choose {', '.join(solved.setup.curves)}"
        )
    if not low < high:
        raise Refused("next_reading", "low", f"must be below high, got {low:g} and {high:g} Hz")
    frequency = np.geomspace(low, high, int(np.ceil(STEPS_OF_A_PHONE * np.log2(high / low))) + 1)
    after = _covariances(solved, curve, frequency)
    told = [AT[name] for name in WON if solved.covariance[AT[name], AT[name]] > 0]
    variances = np.diagonal(after, axis1=1, axis2=2)[:, told]
    best = int(np.argmin(variances.sum(axis=1)))
    before = np.diagonal(solved.covariance)[told]
    names = [name for name in WON if AT[name] in told]
    return Next(float(frequency[best]), dict(zip(names, np.sqrt(variances[best] / before).tolist(), strict=True)))


def _covariances(solved, curve, frequency):
    r"""Return the covariance with one more reading at each frequency, shape (nf, 10, 10).

    .. math:: C - \frac{C j\, (C j)^T}{\sigma^2 + j^T C j}

    one after another for the magnitude and, where it is measured, the phase.
    """
    mass, stiffness = (kind.get(curve, 0.0) for kind in (solved.setup.mass, solved.setup.stiffness))
    impedance, by = impedance_and_slopes(solved.x, frequency, np.full(len(frequency), mass), stiffness)
    slopes = by / impedance[:, np.newaxis]
    phased = np.iscomplexobj(solved.setup.curves[curve].impedance)
    after = np.broadcast_to(solved.covariance, (len(frequency), *solved.covariance.shape))
    for row in (slopes.real, slopes.imag)[: 2 if phased else 1]:
        gain = np.einsum("fij,fj->fi", after, row)
        spread = solved.fitted.noise**2 + np.einsum("fi,fi->f", row, gain)
        after = after - gain[:, :, np.newaxis] * gain[:, np.newaxis, :] / spread[:, np.newaxis, np.newaxis]
    return after
