"""The box with a tuned port."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...air import AIR, Air
from ...arguments import takes
from ...quantity import Holds, missing, part, quantity, ruled
from ..port import NET_VOLUME, PORT_AREA, TUNING, Port
from ..spread import BuildSpread, varied
from .enclosure import Enclosure, filling_field, inner_side, loss_field, side_field, spread_field


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
        How far boxes of this drawing differ: `members` draws some, and curves get a band.

    References
    ----------
    R. H. Small, "Vented-box loudspeaker systems", Part I, JAES 21(5) (1973) 363-372 (from memory).

    Examples
    --------
    >>> print(f"{VentedBox(volume=0.050, port=Port(diameter=0.100, length=0.200)).tuning():.1f} Hz")
    41.6 Hz
    """

    volume: float = ruled(NET_VOLUME)
    fb: float = ruled(dataclasses.replace(TUNING, optional=True), None)
    port: Port = ruled(Holds((Port,), optional=True), None)
    port_area: float = ruled(dataclasses.replace(PORT_AREA, optional=True), None)
    Ql: float = loss_field("by leakage")
    Qa: float = loss_field("by absorption")
    Qp: float = loss_field("in the port")
    filling: float = filling_field()
    leak_resistance: float = quantity("Pa s/m3", "resistance of the leak", 1.0, np.inf, default=None)
    longest_side: float = side_field()
    spread: BuildSpread | None = spread_field()

    def _check_together(self):
        Enclosure._check_together(self)
        if (self.fb is None) == (self.port is None):
            given = "neither" if self.fb is None else "both"
            raise ValueError(f"VentedBox needs exactly one of fb (tuning, Hz) and port (a Port), got {given}")
        if self.port is not None and self.port_area is not None:
            raise ValueError("VentedBox.port_area goes with fb, but a port has its own area: leave port_area out")

    @property
    def longest_path(self):
        """Longest path of sound inside it: along the box or its port, whichever is longer. [m]"""
        return np.maximum(inner_side(self), 0.0 if self.port is None else self.port.length)[()]

    @takes(air=AIR)
    def tuning(self, air=Air()):
        r"""Resonance of port and air, as built. [Hz]

        .. math:: f_b = \frac{1}{2\pi\sqrt{M_{ap} C_{ab}}}
        """
        return self.fb if self.port is None else self.port.tuning(self.volume, air) / np.sqrt(self.filling)

    def _own_resonance(self, driver, air):
        return self.tuning(air)

    @takes(air=AIR)
    def port_mass(self, air=Air()):
        r"""Acoustic mass of the air in the port: of the port itself, or as the tuning requires. [kg/m4]

        .. math:: M_{ap} = \frac{1}{(2\pi f_b)^2 C_{ab}}
        """
        if self.port is not None:
            return self.port.mass(air)
        return 1 / (np.square(2 * np.pi * self.fb) * self.compliance(air))

    @takes(air=AIR)
    def port_loss(self, air=Air()):
        r"""Acoustic resistance of the port's loss, in series with its mass; 0 for none. [Pa s/m3]

        .. math:: R_{ap} = \frac{1}{\omega_b C_{ab} Q_p}
        """
        return self._reactance(self.tuning(air), air) / self.Qp

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
