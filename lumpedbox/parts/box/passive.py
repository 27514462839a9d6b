"""The box with a passive radiator."""

from __future__ import annotations

import numpy as np

from ...air import AIR, Air
from ...arguments import takes
from ...quantity import Holds, part, quantity, ruled
from ..port import NET_VOLUME
from ..radiator import PassiveRadiator
from ..spread import BuildSpread
from .enclosure import Enclosure, filling_field, loss_field, side_field, spread_field


@part
class PassiveRadiatorBox(Enclosure):
    r"""A box with a passive radiator.

    Parameters
    ----------
    volume : float or array
        Net internal volume. [m3]
    radiator : PassiveRadiator
        Give n equal ones as one: n times the area, n times the mass, 1/n of the compliance.
    Ql, Qa : float or array
        Q of leakage and absorption at the tuning. [1]
    filling : float or array
        Factor by which filling enlarges the compliance: 1 (empty) to 1.4 (isothermal). [1]
    leak_resistance : float or array, optional
        The leak itself instead of Ql. [Pa s/m3]
    longest_side : float or array, optional
        Longest inner side, for the validity limit; a cube is assumed without it. [m]
    spread : BuildSpread, optional
        How far boxes of this drawing differ: `members` draws some, and curves get a band.

    Notes
    -----
    The response has a notch at the radiator's own resonance fp, below the `tuning`.

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
