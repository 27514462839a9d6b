"""The published approximation of the flattest vented box, and how far off it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...arguments import Single, takes
from .named import vented_alignment
from .vented import LEAKAGE_Q, TOTAL_Q, VentedAlignment

# Vb/Vas = v1 QT**v2, fb/fs = h1 QT**h2, f3/fs = f1 QT**f2, constants from memory. Lossless: attributed to D. B. Keele,
# 1970s; for a leakage Q of 7: G. Margolis and R. H. Small, JAES 29(6) (1981) 421-441.
POWER_LAWS = {np.inf: (20.0, 3.3, 0.42, -0.96, 0.28, -1.4), 7.0: (15.0, 2.87, 0.42, -0.9, 0.26, -1.4)}


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """What a published approximation says, and how far it is from the exact alignment.

    Attributes
    ----------
    volume_over_vas, h, f3_over_fs : float
        By the approximation. [1]
    exact : VentedAlignment
    volume_error, tuning_error, f3_error : float
        Relative error of the approximation. [1]
    peak_db : float
        Highest peak over the pass-band of a box built by it. [dB]
    """

    volume_over_vas: float
    h: float
    f3_over_fs: float
    exact: VentedAlignment
    volume_error: float
    tuning_error: float
    f3_error: float
    peak_db: float


@takes(Qts=Single(TOTAL_Q), Ql=Single(LEAKAGE_Q))
def power_law(Qts, Ql=np.inf):
    r"""Return the published power-law approximation of the flattest vented box, with its error.

    Parameters
    ----------
    Qts : float
        Total Q of the driver. [1]
    Ql : float
        Leakage Q: inf (no leaks) or 7, the two that were published. [1]

    Returns
    -------
    PowerLaw

    Notes
    -----
    .. math:: V_b = v_1 V_{as} Q_T^{v_2}, \quad f_b = h_1 f_s Q_T^{h_2}, \quad f_3 = c_1 f_s Q_T^{c_2}

    The volume is off by up to a third, and by more above a Q of 0.5. We show these laws and use them nowhere.
    """
    if Ql not in POWER_LAWS:
        raise ValueError(f"power_law.Ql must be one of {', '.join(f'{known:g}' for known in POWER_LAWS)}, got {Ql!r}")
    exact = vented_alignment(Qts, Ql)
    v1, v2, h1, h2, c1, c2 = POWER_LAWS[Ql]
    volume, h, f3 = v1 * exact.Qts**v2, h1 * exact.Qts**h2, c1 * exact.Qts**c2
    return PowerLaw(
        volume_over_vas=volume,
        h=h,
        f3_over_fs=f3,
        exact=exact,
        volume_error=volume * exact.alpha - 1,
        tuning_error=h / exact.h - 1,
        f3_error=f3 / exact.f3_over_fs - 1,
        peak_db=VentedAlignment("", exact.Qts, h, 1 / volume, Ql).ripple_db,
    )
