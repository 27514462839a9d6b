"""What is done to the signal before the amplifier."""

from __future__ import annotations

import numpy as np

from ..quantity import OneOf, Part, Whole, part, quantity, ruled

ORDERS = (1, 2, 4)
FAMILIES = ("Butterworth", "Linkwitz-Riley")


def corner_field():
    return quantity("Hz", "corner frequency", 0.1, 1e5, slips=("kHz",))


def order_field():
    return ruled(Whole("order of the filter", ORDERS), 2)


def sections(order, family):
    r"""Return the Q of each second-order section and how many first-order ones there are.

    Butterworth poles stand evenly on a circle; a Linkwitz-Riley filter is a Butterworth of half the order, twice.

    .. math:: Q_k = 1 / (2 \cos\theta_k)
    """
    if family == "Linkwitz-Riley":
        qs, singles = sections(order // 2, "Butterworth")
        return (*qs, *qs, *(0.5 for _ in range(singles))), 0
    angles = [np.pi * (2 * k + 1 + order % 2) / (2 * order) for k in range(order // 2)]
    return tuple(float(1 / (2 * np.cos(a))) for a in angles), order % 2


@part
class HighPass(Part):
    """A high-pass filter of order 1, 2 or 4.

    Parameters
    ----------
    frequency : float or array
        Corner frequency: -3 dB (Butterworth) or -6 dB (Linkwitz-Riley). [Hz]
    order : {1, 2, 4}
    family : {"Butterworth", "Linkwitz-Riley"}
        Linkwitz-Riley filters have even orders.
    """

    frequency: float = corner_field()
    order: int = order_field()
    family: str = ruled(OneOf(FAMILIES), "Butterworth")

    def _check_together(self):
        check_family(self)


@part
class LowPass(Part):
    """A low-pass filter of order 1, 2 or 4.

    Parameters
    ----------
    frequency : float or array
        Corner frequency: -3 dB (Butterworth) or -6 dB (Linkwitz-Riley). [Hz]
    order : {1, 2, 4}
    family : {"Butterworth", "Linkwitz-Riley"}
        Linkwitz-Riley filters have even orders.
    """

    frequency: float = corner_field()
    order: int = order_field()
    family: str = ruled(OneOf(FAMILIES), "Butterworth")

    def _check_together(self):
        check_family(self)


def check_family(filter_):
    if filter_.family == "Linkwitz-Riley" and filter_.order % 2:
        raise ValueError(
            f"{type(filter_).__name__}.order must be even for a Linkwitz-Riley filter "
            f"(two equal Butterworth filters in a row), got {filter_.order}"
        )


@part
class Gain(Part):
    """A change of level.

    Parameters
    ----------
    level : float or array
        Positive is louder. [dB]
    """

    level: float = quantity("dB", "change of level", -120.0, 60.0)


@part
class Inverted(Part):
    """A reversed polarity."""


@part
class Delay(Part):
    """A pure delay.

    Parameters
    ----------
    time : float or array
        By how much. [s]
    """

    time: float = quantity("s", "delay", 0.0, 1.0, slips=("ms",))


Filter = (HighPass, LowPass, Gain, Inverted, Delay)
