"""The closed box."""

from __future__ import annotations

import numpy as np

from ...air import AIR, Air
from ...arguments import takes
from ...quantity import part, quantity, ruled
from ..driver import DRIVER, equivalent_volume
from ..port import NET_VOLUME
from ..spread import BuildSpread
from .enclosure import Enclosure, filling_field, loss_field, side_field, spread_field


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
        How far boxes of this drawing differ: `members` draws some, and curves get a band.

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
