"""Poles and zeros: what a loudspeaker's response is made of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, FREQUENCY, Single, takes
from ..circuit.build import circuit
from ..circuit.polynomial import Unknown
from ..circuit.solver import Network
from ..parts.loudspeaker import LOUDSPEAKER

ALIKE = 1e-6  # relative; a pole and a zero closer than this cancel


@dataclass(frozen=True, slots=True, eq=False)
class PolesAndZeros:
    r"""Pressure over source voltage as a ratio of polynomials.

    .. math:: H(s) = gain \frac{(s - z_1)(s - z_2) ...}{(s - p_1)(s - p_2) ...}

    Attributes
    ----------
    poles, zeros : array, complex
        Ordered by their distance from the origin. [rad/s]
    gain : float
        The factor in front. [Pa/V times rad/s to the power of poles less zeros]
    """

    poles: np.ndarray
    zeros: np.ndarray
    gain: float

    @takes(frequency=FREQUENCY)
    def transfer(self, frequency):
        """Return pressure over source voltage. [Pa/V], of the shape of `frequency`

        Parameters
        ----------
        frequency : float or array
            [Hz]
        """
        s = 2j * np.pi * np.asarray(frequency)[..., np.newaxis]
        return self.gain * np.prod(s - self.zeros, axis=-1) / np.prod(s - self.poles, axis=-1)

    @property
    def resonances(self):
        r"""Frequency and Q of every pair of poles, lowest first; a real pole has a Q of a half. [Hz], [1]

        .. math:: f = |p| / 2\pi, \quad Q = -|p| / (2\,\mathrm{Re}\,p)

        Two real poles are two entries, since each decays by itself.
        """
        upper = self.poles[self.poles.imag >= 0]
        with np.errstate(divide="ignore"):
            return [(float(abs(p) / (2 * np.pi)), float(-abs(p) / (2 * p.real))) for p in upper]

    @property
    def time_to_a_tenth(self):
        r"""How long the pole that lasts longest takes to die away to a tenth; `inf` without damping. [s]

        .. math:: t = \frac{\ln 10}{|\max \mathrm{Re}\,p|}
        """
        with np.errstate(divide="ignore"):
            return float(np.log(10) / abs(np.max(self.poles.real)))


@takes(loudspeaker=Single(LOUDSPEAKER), distance=Single(DISTANCE), air=Single(AIR))
def poles_and_zeros(loudspeaker, distance=1.0, air=Air()):
    """Return the poles and zeros of a loudspeaker, from the amplifier's voltage to the pressure.

    Parameters
    ----------
    loudspeaker : Loudspeaker
        A single one, with network, filters and cabin as they are.
    distance : float
        [m]
    air : Air

    Returns
    -------
    PolesAndZeros

    Raises
    ------
    ValueError
        If a part is not a ratio of polynomials in s. Examples are a coil with K s^n, a delay, a measured table, a
        piston off its axis, and a cabin by its resonances.

    Notes
    -----
    The equations that solve the circuit in numbers also solve it in polynomials. Poles and zeros that cancel are left
    out, such as those of a flattening network across an amplifier without resistance.

    Examples
    --------
    >>> from lumpedbox import Driver, Loudspeaker, SealedBox
    >>> from lumpedbox.units import cm2, litre
    >>> driver = Driver.from_thiele_small(fs=30, Qes=0.45, Qms=3.6, Vas=60 * litre, Sd=330 * cm2, Re=3.4)
    >>> found = poles_and_zeros(Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre)))
    >>> [f"{frequency:.2f} Hz, Q {Q:.3f}" for frequency, Q in found.resonances], len(found.zeros)
    (['51.96 Hz, Q 0.693'], 2)
    """
    if loudspeaker.cabin is not None and not loudspeaker.cabin.lumped:
        raise ValueError(
            f'poles_and_zeros.loudspeaker has Cabin.law "{loudspeaker.cabin.law}", which is known only as numbers: '
            "leave the cabin out"
        )
    w0 = 2 * np.pi * float(loudspeaker.driver.fs)
    top, bottom = _ratio(circuit(loudspeaker, 1.0, distance, air), Unknown(w0))
    (power, zeros), (power_below, poles) = top.roots, bottom.roots
    at_origin = power - power_below
    zeros, poles = _cancelled(
        np.append(zeros, np.zeros(max(at_origin, 0))), np.append(poles, np.zeros(max(-at_origin, 0)))
    )
    gain = float(top.leading / bottom.leading * w0 ** (len(poles) - len(zeros)))
    return PolesAndZeros(_ordered(poles) * w0, _ordered(zeros) * w0, gain)


def _ratio(built, s):
    """Return pressure over source voltage as two polynomials."""
    opening, *others = built.openings
    if others:
        names = " and ".join(dict.fromkeys(o.name for o in built.openings))
        raise ValueError(f"{names} are heard over paths of their own, whose travel times have neither poles nor zeros")
    network = Network(built, s)
    top, bottom = network.flow(opening.address), network.total
    for transfer in (*built.before, *opening.transfers):
        above, below = transfer.top_and_bottom(s)
        top, bottom = top * above, bottom * below
    return top, bottom


def _cancelled(zeros, poles):
    """Remove the poles and zeros that cancel."""
    left = list(poles)
    kept = []
    for zero in zeros:
        nearest = min(range(len(left)), key=lambda i: abs(left[i] - zero), default=None)
        if nearest is not None and abs(left[nearest] - zero) <= ALIKE * abs(zero):
            del left[nearest]
        else:
            kept.append(zero)
    return np.array(kept, complex), np.array(left, complex)


def _ordered(roots):
    return roots[np.lexsort((roots.imag, np.abs(roots)))]
