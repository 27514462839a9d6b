"""What stands behind the cone."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..air import Air
from ..arguments import takes
from ..quantity import Holds, Part, missing, part, quantity, ruled
from .driver import equivalent_volume
from .port import NET_VOLUME, TUNING, Port
from .radiator import PassiveRadiator
from .spread import AXES, BOX_FACTORS, COUNT, SEED, BuildSpread, spread_of, varied

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
    """A box that one builds, and that comes out a little different each time."""

    @takes(count=COUNT, seed=SEED, axes=AXES)
    def members(self, count, seed=1, axes=None):
        """Draw boxes as they come, each quantity by itself, from this one's `spread`.

        Losses that are given as a Q are of each member's own resonance, so that with the driver they change a little;
        a leak that is given by its resistance stays.

        Parameters
        ----------
        count, seed : int
            How many; the same seed draws the same boxes.
        axes : int, optional
            How many axes follow the first: as many as this box has, or what it is to be combined with.

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
        """Return what becomes of the port."""
        return {}


def cube_side(box):
    """Longest inner side, that of a cube where it is not known. [m]"""
    return np.cbrt(box.volume) if box.longest_side is None else box.longest_side


def closed_resonance(driver, volume, air=Air()):
    r"""Resonance of a driver in a closed, empty box without losses. [Hz]

    .. math:: f_c = f_s\sqrt{1 + V_{as} / V}

    Parameters
    ----------
    driver : Driver
    volume : float or array
        Net. [m3]
    air : Air
    """
    return driver.fs * np.sqrt(1 + equivalent_volume(driver, air) / volume)


@part
class InfiniteBaffle(Part):
    """A wall so large that the sound of the cone's rear never meets that of its front; it has no losses."""

    @property
    def longest_path(self):
        """Longest path of sound within it. [m]"""
        return 0.0


@part
class SealedBox(Enclosure):
    r"""A closed box.

    Parameters
    ----------
    volume : float or array
        Net internal volume. [m3]
    Ql : float or array
        Q of leakage at :math:`\omega_c`. [1]
    Qa : float or array
        Q of absorption at :math:`\omega_c`. [1]
    filling : float or array
        Factor by which filling enlarges the compliance: 1 (empty) to 1.4 (isothermal). [1]
    leak_resistance : float or array, optional
        The leak itself instead of Ql, so that it stays the same leak whichever driver is in the box. [Pa s/m3]
    longest_side : float or array, optional
        Longest inner side, for the validity limit; a cube is assumed without it. [m]
    spread : BuildSpread, optional
        How far boxes of this drawing differ: `members` draws some, and curves have a band.

    Notes
    -----
    Losses are given at the *lossless* resonance of driver and box,
    :math:`\omega_c = \omega_s\sqrt{1 + C_{ms} S_d^2 / C_{ab}}`, with :math:`C_{ab}` after filling.
    """

    volume: float = ruled(NET_VOLUME)
    Ql: float = loss_field("by leakage")
    Qa: float = loss_field("by absorption")
    filling: float = filling_field()
    leak_resistance: float = quantity("Pa s/m3", "resistance of the leak", 1.0, np.inf, default=None)
    longest_side: float = side_field()
    spread: BuildSpread | None = spread_field()

    def _check_together(self):
        check_leak(self)

    @property
    def longest_path(self):
        """Longest path of sound within it. [m]"""
        return cube_side(self)


@part
class VentedBox(Enclosure):
    r"""A box with a tuned port.

    Parameters
    ----------
    volume : float or array
        Net internal volume. [m3]
    fb : float or array, optional
        Tuning as built, that is with the filling in place. [Hz]
    port : Port, optional
        The port itself, instead of `fb`.
    port_area : float or array, optional
        Area of the port where only `fb` is given; port speed needs it. [m2]
    Ql, Qa, Qp : float or array
        Q of leakage, absorption and port at the tuning. [1]
    filling : float or array
        Factor by which filling enlarges the compliance: 1 (empty) to 1.4 (isothermal). [1]
    leak_resistance : float or array, optional
        The leak itself instead of Ql. [Pa s/m3]
    longest_side : float or array, optional
        Longest inner side, for the validity limit; a cube is assumed without it. [m]
    spread : BuildSpread, optional
        How far boxes of this drawing differ: `members` draws some, and curves have a band.

    References
    ----------
    R. H. Small, "Vented-box loudspeaker systems", Part I, JAES 21(5) (1973) 363-372 (from memory).
    """

    volume: float = ruled(NET_VOLUME)
    fb: float = ruled(dataclasses.replace(TUNING, optional=True), None)
    port: Port = ruled(Holds((Port,), optional=True), None)
    port_area: float = quantity("m2", "area of the port", 1e-6, 1.0, default=None, slips=("cm2", "mm2"))
    Ql: float = loss_field("by leakage")
    Qa: float = loss_field("by absorption")
    Qp: float = loss_field("in the port")
    filling: float = filling_field()
    leak_resistance: float = quantity("Pa s/m3", "resistance of the leak", 1.0, np.inf, default=None)
    longest_side: float = side_field()
    spread: BuildSpread | None = spread_field()

    def _check_together(self):
        check_leak(self)
        if (self.fb is None) == (self.port is None):
            given = "neither" if self.fb is None else "both"
            raise ValueError(f"VentedBox needs exactly one of fb (tuning, Hz) and port (a Port), got {given}")
        if self.port is not None and self.port_area is not None:
            raise ValueError("VentedBox.port_area goes with fb; a port has an area of its own: leave port_area out")

    @property
    def longest_path(self):
        """Longest path of sound within it: along the box or its port. [m]"""
        return np.maximum(cube_side(self), 0.0 if self.port is None else self.port.length)[()]

    def _ported(self, factors, axes):
        if self.port is not None:
            return {
                "port": dataclasses.replace(self.port, **varied(self.port, {"length": factors["port_length"]}, axes))
            }
        return varied(self, {"fb": (factors["volume"] * factors["port_length"]) ** -0.5}, axes)

    @property
    def opening_area(self):
        """Area of the port. [m2]"""
        if self.port is not None:
            return self.port.area
        if self.port_area is None:
            raise missing("VentedBox.port_area", "area of the port", "give port_area, or a port instead of fb")
        return self.port_area


@part
class PassiveRadiatorBox(Enclosure):
    r"""A box with a passive radiator.

    Parameters
    ----------
    volume : float or array
        Net internal volume. [m3]
    radiator : PassiveRadiator
        Several alike count as one of all their area: mass times the number, compliance over it.
    Ql, Qa : float or array
        Q of leakage and absorption at the tuning. [1]
    filling : float or array
        Factor by which filling enlarges the compliance: 1 (empty) to 1.4 (isothermal). [1]
    leak_resistance : float or array, optional
        The leak itself instead of Ql. [Pa s/m3]
    longest_side : float or array, optional
        Longest inner side, for the validity limit; a cube is assumed without it. [m]
    spread : BuildSpread, optional
        How far boxes of this drawing differ: `members` draws some, and curves have a band.

    Notes
    -----
    Tuned to :math:`\omega_b = \omega_p \sqrt{1 + C_{ap}/C_{ab}}`; at the radiator's own resonance fp it has a notch.

    References
    ----------
    R. H. Small, "Passive-radiator loudspeaker systems", JAES 22 (1974) 592-601, 683-689 (from memory).
    """

    volume: float = ruled(NET_VOLUME)
    radiator: PassiveRadiator = ruled(Holds((PassiveRadiator,)))
    Ql: float = loss_field("by leakage")
    Qa: float = loss_field("by absorption")
    filling: float = filling_field()
    leak_resistance: float = quantity("Pa s/m3", "resistance of the leak", 1.0, np.inf, default=None)
    longest_side: float = side_field()
    spread: BuildSpread | None = spread_field()

    def _check_together(self):
        check_leak(self)

    @property
    def longest_path(self):
        """Longest path of sound within it. [m]"""
        return cube_side(self)


def check_leak(box):
    if box.leak_resistance is not None and np.any(np.isfinite(box.Ql)):
        raise ValueError(f"{type(box).__name__} needs at most one of Ql and leak_resistance, got both")
