"""What stands behind the cone."""

from __future__ import annotations

import dataclasses
from typing import NamedTuple

import numpy as np

from ..air import AIR, Air
from ..arguments import takes
from ..quantity import Holds, Part, missing, part, quantity, ruled
from .driver import DRIVER, equivalent_volume
from .port import NET_VOLUME, PORT_AREA, TUNING, Port, cube_side
from .radiator import PassiveRadiator
from .spread import AXES, BOX_FACTORS, COUNT, SEED, BuildSpread, spread_of, varied

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
    """A box that one builds, and that comes out a little different each time."""

    def _check_together(self):
        if self.leak_resistance is not None and np.any(np.isfinite(self.Ql)):
            raise ValueError(f"{type(self).__name__} needs at most one of Ql and leak_resistance, got both")

    @property
    def longest_path(self):
        """Longest path of sound within it. [m]"""
        return inner_side(self)

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

        A leak that is given as `leak_resistance` stays what it is. The absorption is in series with the air.

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


@part
class InfiniteBaffle(Part):
    """A wall so large that the sound of the cone's rear never meets that of its front; it has no losses.

    Examples
    --------
    >>> InfiniteBaffle().longest_path
    0.0
    """

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
    :math:`\omega_c = \omega_s\sqrt{1 + C_{ms} S_d^2 / C_{ab}}`, with :math:`C_{ab}` after filling: see `resonance`.

    Examples
    --------
    >>> from lumpedbox.tables import demo_drivers
    >>> box, driver = SealedBox(volume=0.020), demo_drivers()["200 mm bass"]
    >>> print(f"{box.resonance(driver):.0f} Hz, Q {box.Qtc(driver):.2f}")
    51 Hz, Q 0.61
    """

    volume: float = ruled(NET_VOLUME)
    Ql: float = loss_field("by leakage")
    Qa: float = loss_field("by absorption")
    filling: float = filling_field()
    leak_resistance: float = quantity("Pa s/m3", "resistance of the leak", 1.0, np.inf, default=None)
    longest_side: float = side_field()
    spread: BuildSpread | None = spread_field()

    @takes(driver=DRIVER, air=AIR)
    def resonance(self, driver, air=Air()):
        r"""Resonance of a driver in this box, without losses. [Hz]

        .. math:: f_c = f_s \sqrt{1 + \frac{V_{as}}{k V}}

        References
        ----------
        R. H. Small, "Closed-box loudspeaker systems", JAES 20(10) (1972) 798-808 (from memory).
        """
        return driver.fs * np.sqrt(1 + equivalent_volume(driver, air) / (self.filling * self.volume))

    _own_resonance = resonance

    @takes(driver=DRIVER, air=AIR)
    def Qtc(self, driver, air=Air()):
        r"""Q of a driver in this box at that resonance, before leakage and absorption. [1]

        .. math:: Q_{tc} = Q_{ts} \frac{f_c}{f_s}
        """
        return driver.Qts * self.resonance(driver, air) / driver.fs


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
            raise ValueError("VentedBox.port_area goes with fb; a port has an area of its own: leave port_area out")

    @property
    def longest_path(self):
        """Longest path of sound within it: along the box or its port, whichever is longer. [m]"""
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
        r"""Acoustic mass of the air in the port: that of the port itself, or what the tuning asks for. [kg/m4]

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
    At the radiator's own resonance fp, below its `tuning`, it has a notch.

    References
    ----------
    R. H. Small, "Passive-radiator loudspeaker systems", JAES 22 (1974) 592-601, 683-689 (from memory).

    Examples
    --------
    >>> box = PassiveRadiatorBox(volume=0.050, radiator=PassiveRadiator(Mms=0.2, Cms=0.6e-3, Sd=0.033))
    >>> print(f"{box.tuning():.1f} Hz, a notch at {box.radiator.fp:.1f} Hz")
    24.5 Hz, a notch at 14.5 Hz
    """

    volume: float = ruled(NET_VOLUME)
    radiator: PassiveRadiator = ruled(Holds((PassiveRadiator,)))
    Ql: float = loss_field("by leakage")
    Qa: float = loss_field("by absorption")
    filling: float = filling_field()
    leak_resistance: float = quantity("Pa s/m3", "resistance of the leak", 1.0, np.inf, default=None)
    longest_side: float = side_field()
    spread: BuildSpread | None = spread_field()

    @takes(air=AIR)
    def tuning(self, air=Air()):
        r"""Resonance of the radiator with its suspension and the air of the box. [Hz]

        .. math:: f_b = f_p \sqrt{1 + C_{ap}/C_{ab}}
        """
        _, Cap, _ = self.radiator.acoustic
        return self.radiator.fp * np.sqrt(1 + Cap / self.compliance(air))

    def _own_resonance(self, driver, air):
        return self.tuning(air)
