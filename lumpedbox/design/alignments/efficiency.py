"""Bass, size and efficiency: two of them and the shape of the response fix the third."""

from __future__ import annotations

import functools

import numpy as np

from ...air import AIR, Air
from ...arguments import takes
from ...families import common_shape
from ...quantity import OneOf, Quantity
from .closed import LOWEST, closed_alignment
from .named import named_alignment

EFFICIENCY = Quantity(unit="", meaning="reference efficiency of the driver", low=1e-9, high=0.25)
BOX = Quantity(unit="m3", meaning="volume of the box", low=1e-6, high=25.0, slips=("litre",))
BOX_KIND = OneOf(words=("sealed", "vented"))


@takes(efficiency=EFFICIENCY, f3=LOWEST, volume=BOX)
def efficiency_constant(efficiency, f3, volume):
    r"""Return how much efficiency a system gets from its size and its lower limit. [s3/m3]

    Parameters
    ----------
    efficiency : float or array
        Reference efficiency of the driver. [1]
    f3 : float or array
        Lower frequency limit. [Hz]
    volume : float or array
        Net volume of the box. [m3]

    Notes
    -----
    .. math:: k_\eta = \frac{\eta_0}{f_3^3 V}

    Of bass, small size and efficiency, a design can choose two. `best_constant` is what the best closed and vented
    boxes without losses reach (Small 1972, 1973, from memory; derived anew).
    """
    return efficiency / (np.power(f3, 3) * volume)


@takes(kind=BOX_KIND, efficiency=EFFICIENCY, volume=BOX, air=AIR)
def best_f3(kind, efficiency, volume, air=Air()):
    r"""Return the lowest f3 that the named shapes reach with a volume and an efficiency, without losses. [Hz]

    Parameters
    ----------
    kind : {"sealed", "vented"}
        Which box.
    efficiency : float or array
        Reference efficiency of the driver. [1]
    volume : float or array
        Net volume of the box. [m3]
    air : Air

    Notes
    -----
    .. math:: f_3 = \left(\frac{\eta_0}{k_\eta V}\right)^{1/3}

    The constant is the `best_constant`: what the best driver of that efficiency could do. A given driver suits one
    volume, and stays above this f3 at any other.
    """
    common_shape([("best_f3.efficiency", np.shape(efficiency)), ("best_f3.volume", np.shape(volume))])
    return np.cbrt(efficiency / (best_constant(kind, air) * volume))


@takes(kind=BOX_KIND, air=AIR)
def best_constant(kind, air=Air()):
    r"""Return the highest `efficiency_constant` of the named shapes of a kind of box, without losses. [s3/m3]

    Parameters
    ----------
    kind : {"sealed", "vented"}
        Which box.
    air : Air

    Notes
    -----
    Closed: :math:`4\pi^2 / (c^3 Q_{tc} (f_3/f_c)^3)` is highest at Qtc = 1.13.
    Vented: :math:`4\pi^2 \alpha / (c^3 Q_{ts} (f_3/f_s)^3)` is highest for C4 near k = 0.51. A vented box that
    droops by 2 to 3 dB above its f3 scores higher, but has none of these shapes.
    """
    return _best_shape(kind) * 4 * np.pi**2 / air.sound_speed**3


@functools.cache
def _best_shape(kind):
    """Return the highest value of the shape's factor in the efficiency constant. [1]"""
    from scipy.optimize import minimize_scalar

    def closed(Qtc):
        return -1 / (Qtc * closed_alignment(Qtc).f3_over_fc ** 3)

    def vented(k):
        box = named_alignment("C4", k)
        return -box.alpha / (box.Qts * box.f3_over_fs**3)

    shape, bounds = {"sealed": (closed, (0.8, 1.5)), "vented": (vented, (0.3, 0.8))}[kind]
    found = minimize_scalar(shape, bounds=bounds, method="bounded", options={"xatol": 1e-9})
    return float(-found.fun)
