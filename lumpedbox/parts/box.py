"""What stands behind the cone."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..quantity import Holds, Part, missing, part, quantity, ruled
from .port import NET_VOLUME, TUNING, Port
from .radiator import PassiveRadiator

LOSS = "Q of the losses {}, at the box's own resonance"


def loss_field(kind):
    return quantity("", LOSS.format(kind), 0.1, np.inf, default=np.inf)


def filling_field():
    return quantity("", "factor by which filling enlarges the air's compliance, 1 to 1.4", 1.0, 1.4, default=1.0)


def side_field():
    return quantity("m", "longest inner side", 0.01, 5.0, default=None, slips=("mm", "cm", "inch"))


def cube_side(box):
    """Longest inner side, that of a cube where it is not known. [m]"""
    return np.cbrt(box.volume) if box.longest_side is None else box.longest_side


@part
class InfiniteBaffle(Part):
    """A wall so large that the sound of the cone's rear never meets that of its front; it has no losses."""

    @property
    def longest_path(self):
        """Longest path of sound within it. [m]"""
        return 0.0


@part
class SealedBox(Part):
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

    def _check_together(self):
        check_leak(self)

    @property
    def longest_path(self):
        """Longest path of sound within it. [m]"""
        return cube_side(self)


@part
class VentedBox(Part):
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

    @property
    def opening_area(self):
        """Area of the port. [m2]"""
        if self.port is not None:
            return self.port.area
        if self.port_area is None:
            raise missing("VentedBox.port_area", "area of the port", "give port_area, or a port instead of fb")
        return self.port_area


@part
class PassiveRadiatorBox(Part):
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

    def _check_together(self):
        check_leak(self)

    @property
    def longest_path(self):
        """Longest path of sound within it. [m]"""
        return cube_side(self)


def check_leak(box):
    if box.leak_resistance is not None and np.any(np.isfinite(box.Ql)):
        raise ValueError(f"{type(box).__name__} needs at most one of Ql and leak_resistance, got both")
