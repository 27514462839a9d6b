"""The box itself, from the ratios that alignments are written in."""

from __future__ import annotations

import numpy as np

from ...air import AIR, Air
from ...arguments import Single, takes
from ...parts.box import SealedBox, VentedBox
from ...parts.driver import DRIVER, equivalent_volume
from .vented import LEAKAGE_Q, RATIO, TUNING


@takes(driver=Single(DRIVER), alpha=Single(RATIO), h=Single(TUNING), Ql=Single(LEAKAGE_Q), air=AIR)
def box_of(driver, alpha, *, h=None, Ql=np.inf, air=Air()):
    r"""Return a driver's box from the ratios of an alignment.

    Parameters
    ----------
    driver : Driver
        A single one.
    alpha : float
        Vas over the volume of the box. [1]
    h : float, optional
        Tuning over the driver's resonance; a closed box without it. [1]
    Ql : float
        Leakage Q. [1]
    air : Air

    Returns
    -------
    SealedBox or VentedBox

    Notes
    -----
    .. math:: V = V_{as} / \alpha, \quad f_b = h f_s

    Examples
    --------
    >>> from lumpedbox import Driver
    >>> from lumpedbox.design.alignments import vented_alignment
    >>> driver = Driver.from_thiele_small(fs=30, Qes=0.44, Qms=5, Vas=0.06, Sd=0.033, Re=3.4)
    >>> shape = vented_alignment(driver.Qts)
    >>> box = box_of(driver, shape.alpha, h=shape.h)
    >>> print(f"{1e3 * box.volume:.1f} litres, tuned to {box.fb:.1f} Hz")
    51.9 litres, tuned to 28.5 Hz
    """
    volume = equivalent_volume(driver, air) / alpha
    return SealedBox(volume=volume, Ql=Ql) if h is None else VentedBox(volume=volume, fb=h * driver.fs, Ql=Ql)
