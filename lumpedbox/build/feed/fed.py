"""What a feed leaves of an amplifier."""

from __future__ import annotations

import dataclasses

from ...arguments import takes
from ...parts.amplifier import Amplifier
from ...quantity import Holds
from .feed import Feed


@takes(amplifier=Holds((Amplifier,)), feed=Holds((Feed,)))
def fed(amplifier, feed):
    r"""Return an amplifier without a regulated supply as it is at the volts that arrive.

    .. math:: P' = P\,(V' / V)^2

    Its highest output follows its supply. A regulated one keeps its power, and draws more instead.

    Parameters
    ----------
    amplifier : Amplifier
        With the power that it has at the feed's own voltage.
    feed : Feed
        At whose end it is.

    Raises
    ------
    ValueError
        If the way back was not measured: nothing tells what arrives.

    Examples
    --------
    >>> from lumpedbox import Amplifier
    >>> from lumpedbox.build import Cable, Draw, Feed
    >>> cable = Cable(area=4e-6, length=6)
    >>> draw = Draw(power=300, efficiency=0.65)
    >>> feed = Feed(voltage=13.8, cable=cable, draws=draw, return_resistance=5e-3)
    >>> print(f"{fed(Amplifier(power=300, rated_impedance=4, minimum_load=2), feed).power:.0f} W")
    252 W
    """
    share = feed.voltage_at_load / feed.voltage
    return dataclasses.replace(amplifier, power=amplifier.power * share**2)
