"""A passive radiator instead of a port."""

from __future__ import annotations

import numpy as np

from ...air import AIR, Air
from ...arguments import Single, takes
from ...parts.box import PassiveRadiatorBox
from ...parts.driver import DRIVER
from ...parts.radiator import AREA, PassiveRadiator
from ...quantity import Holds, Quantity
from .boxes import box_of
from .vented import VentedAlignment

DELTA = Quantity(unit="", meaning="Vap of the passive radiator over the volume of the box", low=0.05, high=1e4)


@takes(driver=Single(DRIVER), alignment=Holds((VentedAlignment,)), delta=Single(DELTA), Sd=Single(AREA), air=AIR)
def radiator_box(driver, alignment, *, delta, Sd, air=Air()):
    r"""Return a box with a passive radiator and the values of a vented alignment.

    Parameters
    ----------
    driver : Driver
        A single one.
    alignment : VentedAlignment
        Its compliance ratio, tuning and leakage are kept.
    delta : float
        Vap of the radiator over the volume of the box: the softer the radiator, the nearer to a port. [1]
    Sd : float
        Area of the radiator. [m2]
    air : Air

    Returns
    -------
    PassiveRadiatorBox
        The radiator itself has no loss.

    Notes
    -----
    .. math:: V = V_{as} / \alpha, \quad V_{ap} = \delta V, \quad f_p = h f_s / \sqrt{1 + \delta}

    Because of the notch at fp the response falls faster below the tuning than that of the vented box. A stiffer
    radiator makes it fall faster still. With the values of B4 and a delta of 1 or more, f3 equals the tuning, as in
    the vented box.

    References
    ----------
    R. H. Small, "Passive-radiator loudspeaker systems", JAES 22 (1974) 592-601, 683-689 (from memory; derived anew).
    """
    vented = box_of(driver, alignment.alpha, h=alignment.h, air=air)
    fp = vented.fb / np.sqrt(1 + delta)
    radiator = PassiveRadiator.from_resonance(fp=fp, Vap=delta * vented.volume, Sd=Sd, air=air)
    return PassiveRadiatorBox(volume=vented.volume, radiator=radiator, Ql=alignment.Ql)
