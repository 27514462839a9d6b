"""The impedance of a driver in free air, with a mass on its cone, and on a box, as one formula for fits.

The engine solves any circuit; a fit needs this one a few dozen times with all its slopes. The tests hold the formula to
the engine, and to ngspice.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

# Natural logarithms, but for the exponent.
FITTED = ("Re", "fs", "Qes", "Qms", "reactance", "exponent", "Mms", "Le", "L2", "R2")
FARTHEST = 100.0  # in logarithms: where a fit runs away
KNEE = 2 * np.pi * 1000.0  # rad/s at which the size of the eddy-current impedance is fitted


class Points(NamedTuple):
    """All points of all curves, one after another.

    Attributes
    ----------
    frequency : array, shape (n,)
        [Hz]
    impedance : array of complex, shape (n,)
        Its phase means nothing where it was not measured. [ohm]
    phased : array of bool, shape (n,)
        Whether the phase was measured.
    mass : array, shape (n,)
        What lies on the cone. [kg]
    stiffness : array, shape (n,)
        Of the air behind it. [N/m]
    curve : array of int, shape (n,)
        The curve that a point belongs to.
    """

    frequency: np.ndarray
    impedance: np.ndarray
    phased: np.ndarray
    mass: np.ndarray
    stiffness: np.ndarray
    curve: np.ndarray

    def taken(self, mask):
        """Return some of the points."""
        return Points(*(column[mask] for column in self))


def impedance_and_slopes(x, frequency, mass, stiffness):
    r"""Return the impedance, shape (n,), and its derivatives by `FITTED`, shape (n, 10). [ohm]

    .. math:: Z = R_e + \frac{R_e / Q_{es}}{1/Q_{ms} + j [(1 + \mu) w - (1 + \kappa) / w]} + X (j \omega / \omega_1)^n
              + j \omega L_e + (j \omega L_2 \parallel R_2)

    with :math:`w = f / f_s`, :math:`\mu = m / M_{ms}` of an added mass, :math:`\kappa = C_{ms} k` of added stiffness.

    References
    ----------
    R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) (1972) 383-395; for the coil W. M. Leach,
    JAES 50(6) (2002) 442-450 (both from memory).
    """
    Re, fs, Qes, Qms, reactance, _, Mms, Le, L2, R2 = np.exp(np.clip(x, -FARTHEST, FARTHEST))
    exponent = x[5]
    w = frequency / fs
    added, stiffened = mass / Mms, stiffness / (np.square(2 * np.pi * fs) * Mms)
    admittance = 1 / Qms + 1j * ((1 + added) * w - (1 + stiffened) / w)
    moved = Re / Qes / admittance
    jw = 2j * np.pi * frequency
    turn = np.log(2 * np.pi * frequency / KNEE) + 0.5j * np.pi
    eddy = reactance * np.exp(exponent * turn)
    beside = R2 + jw * L2
    pair = jw * L2 * R2 / beside
    slope = -moved / admittance
    by = np.empty((len(frequency), len(FITTED)), dtype=complex)
    by[:, 0] = Re + moved
    by[:, 1] = slope * 1j * (-(1 + added) * w + (stiffened - 1) / w)
    by[:, 2] = -moved
    by[:, 3] = -slope / Qms
    by[:, 4] = eddy
    by[:, 5] = eddy * turn
    by[:, 6] = slope * 1j * (-added * w + stiffened / w)
    by[:, 7] = jw * Le
    by[:, 8] = pair * R2 / beside
    by[:, 9] = pair * jw * L2 / beside
    return Re + moved + eddy + jw * Le + pair, by


class LogImpedance:
    """Misses of the logarithm of impedance, and of the phase where it was measured; for `least_squares.fit`.

    Attributes
    ----------
    points : Points
    free : list of int
        Which of `FITTED` are fitted; the others stay as in `x`.
    together : array of int
        The point that each miss belongs to.
    """

    def __init__(self, points, x, free):
        self.points, self.x, self.free = points, np.array(x, dtype=float), list(free)
        self._logarithm = np.log(points.impedance)
        self._phased = np.flatnonzero(points.phased)
        self.together = np.concatenate([np.arange(len(points.frequency)), self._phased])

    def whole(self, x):
        """Return all of `FITTED` for the free ones."""
        full = self.x.copy()
        full[self.free] = x
        return full

    def __call__(self, x):
        """Return model minus data in logarithms, shape (n,), and their slopes, shape (n, p)."""
        points = self.points
        impedance, by = impedance_and_slopes(self.whole(x), points.frequency, points.mass, points.stiffness)
        misses = np.log(impedance) - self._logarithm
        slopes = by[:, self.free] / impedance[:, np.newaxis]
        return self._stacked(misses), self._stacked(slopes)

    def _stacked(self, values):
        return np.concatenate([values.real, values.imag[self._phased]])
