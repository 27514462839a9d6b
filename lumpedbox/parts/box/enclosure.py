"""What every built box has: its air, its losses, and how far such boxes differ."""

from __future__ import annotations

import dataclasses
from typing import NamedTuple

import numpy as np

from ...air import AIR, Air
from ...arguments import takes
from ...quantity import Holds, Part, quantity, ruled
from ..driver import DRIVER
from ..port import cube_side
from ..spread import AXES, BOX_FACTORS, COUNT, SEED, BuildSpread, spread_of, varied

USUAL_LEAKAGE = 7.0  # Q of a box that is made with care; R. H. Small, JAES 21 (1973), from memory

LOSS = "Q of the losses {}, at the box's own resonance"


def loss_field(kind):
    return quantity("", LOSS.format(kind), 0.1, np.inf, default=np.inf)


def filling_field():
    return quantity("", "factor by which filling enlarges the air's compliance, 1 to 1.4", 1.0, 1.4, default=1.0)


def side_field():
    return quantity("m", "longest inner side", 0.01, 5.0, default=None, slips=("mm", "cm", "inch"))


def spread_field():
    return ruled(Holds((BuildSpread,), optional=True), None)


class Enclosure(Part):
    """A box that somebody builds: it comes out a little different each time."""

    def _check_together(self):
        if self.leak_resistance is not None and np.any(np.isfinite(self.Ql)):
            raise ValueError(f"{type(self).__name__} may have Ql or leak_resistance, got both")

    @property
    def longest_path(self):
        """Longest path of sound inside it. [m]"""
        return inner_side(self)

    @takes(count=COUNT, seed=SEED, axes=AXES)
    def members(self, count, seed=1, axes=None):
        """Draw boxes at random from this one's `spread`, each quantity independently.

        Losses given as a Q refer to each member's own resonance, so they change a little with the driver. A leak given
        by its resistance stays the same.

        Parameters
        ----------
        count, seed : int
            How many; the same seed draws the same boxes.
        axes : int, optional
            How many axes follow the first: those of this box by default; else of what it is combined with.

        Returns
        -------
        SealedBox, VentedBox or PassiveRadiatorBox
            A family of shape (count, ...).

        Raises
        ------
        ValueError
            If the box has no spread.
        """
        factors = spread_of(self, "how far such boxes differ").factors(count, seed)
        return self.varied(factors, len(self.shape) if axes is None else axes)

    @takes(factors=BOX_FACTORS, axes=AXES)
    def varied(self, factors, axes=0):
        """Return a family in which volume, port length and losses are multiplied by factors, without a spread.

        Parameters
        ----------
        factors : dict
            "volume", "port_length" and "losses": array of shape (count,), or (1,) for all alike; 1 where it is left
            out. [1]
        axes : int
            How many axes follow that of the members.
        """
        factors = dict.fromkeys(("volume", "port_length", "losses"), np.ones(1)) | factors
        losses = {name: factors["losses"] for name in ("Ql", "Qa", "Qp", "leak_resistance") if hasattr(self, name)}
        changed = varied(self, {"volume": factors["volume"], **losses}, axes)
        return dataclasses.replace(self, **changed, **self._ported(factors, axes), spread=None)

    def _ported(self, factors, axes):
        """Return the changed fields of the port."""
        return {}

    @takes(air=AIR)
    def compliance(self, air=Air()):
        r"""Acoustic compliance of the air inside, after filling. [m3/Pa]

        .. math:: C_{ab} = \frac{k V}{\rho c^2}
        """
        return self.filling * self.volume / air.stiffness

    @takes(driver=DRIVER, air=AIR)
    def losses(self, driver, air=Air()):
        r"""Return the acoustic resistances that stand for the losses, with a driver in the box. [Pa s/m3]

        Returns
        -------
        Losses
            Without a leak `inf`, without absorption 0.

        Notes
        -----
        With the reactance :math:`X = 1 / (\omega_0 C_{ab})` of the air at the box's own resonance,

        .. math:: R_{leak} = Q_l X, \quad R_{absorption} = X / Q_a

        A leak that is given as `leak_resistance` stays as it is. The absorption is in series with the air.

        References
        ----------
        R. H. Small, "Vented-box loudspeaker systems", Part I, JAES 21(5) (1973) 363-372 (from memory).
        """
        X = self._reactance(self._own_resonance(driver, air), air)
        return Losses(self.Ql * X if self.leak_resistance is None else self.leak_resistance, X / self.Qa)

    def _reactance(self, frequency, air):
        """Reactance of the air inside, 1 / (w Cab). [Pa s/m3]"""
        return 1 / (2 * np.pi * frequency * self.compliance(air))


class Losses(NamedTuple):
    """Acoustic resistances that stand for the losses of a box. [Pa s/m3]"""

    leak: float
    absorption: float


def inner_side(box):
    """Longest inner side, that of a cube where it is not known. [m]"""
    return cube_side(box.volume) if box.longest_side is None else box.longest_side
