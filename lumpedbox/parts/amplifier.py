"""What drives a loudspeaker: an amplifier, or the head unit's own outputs."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..arguments import Named, takes
from ..quantity import Holds, Part, Quantity, Text, Whole, part, quantity, ruled

# A loudspeaker's impedance may fall to this share of what it is rated by (IEC 60268-5, from memory), and the lowest
# load of an amplifier is printed for rated impedances (common practice, no source).
LOWEST_SHARE = 0.8
NEARLY = 0.03  # of a lowest load: a load less than that below counts as at it, as parts are no closer (ours)
LOAD = Quantity(unit="ohm", meaning="impedance of what is connected", low=0.1, high=1e3)
CHANNELS = Whole(meaning="number of channels", allowed=tuple(range(1, 17)))


@part
class Amplifier(Part):
    """An amplifier, described by one of its equal channels.

    Parameters
    ----------
    power : float or array
        Continuous power of one channel into `rated_impedance`. [W]
    rated_impedance : float or array
        The impedance at which that power is given. [ohm]
    minimum_load : float or array
        The lowest *rated* impedance that a channel may be loaded with. [ohm]
    output_resistance : float or array
        [ohm]
    channels : int
    name : str

    Examples
    --------
    >>> amplifier = Amplifier(power=75, rated_impedance=4, minimum_load=2, channels=4)
    >>> print(f"{amplifier.voltage:.1f} V, bridged {amplifier.bridged().voltage:.1f} V")
    17.3 V, bridged 34.6 V
    """

    power: float = quantity("W", "continuous power of one channel", 0.01, 1e5)
    rated_impedance: float = quantity("ohm", "impedance at which the power is given", 0.1, 1e3)
    minimum_load: float = quantity("ohm", "lowest impedance that a channel may be loaded with", 0.1, 1e3)
    output_resistance: float = quantity("ohm", "output resistance", 0.0, 100.0, default=0.0)
    channels: int = ruled(CHANNELS, 1)
    name: str = ruled(Text(), "")

    @property
    def voltage(self):
        r"""Highest r.m.s. voltage of a steady tone. [V]

        .. math:: V = \sqrt{P R}
        """
        return np.sqrt(self.power * self.rated_impedance)

    def bridged(self):
        r"""Return the amplifier with its channels bridged in pairs.

        Returns
        -------
        Amplifier
            With twice the voltage, minimum load and output resistance. The current stays the same, so the power
            doubles too, into twice the impedance.

        Raises
        ------
        ValueError
            If the channels do not pair off.

        Notes
        -----
        .. math:: V_b = 2 V, \quad R_b = 2 R, \quad P_b = V_b^2 / R_b = 2 P
        """
        if self.channels % 2:
            raise ValueError(f"Amplifier.bridged needs an even number of channels, got {self.channels}")
        return dataclasses.replace(
            self,
            power=2 * self.power,
            rated_impedance=2 * self.rated_impedance,
            minimum_load=2 * self.minimum_load,
            output_resistance=2 * self.output_resistance,
            channels=self.channels // 2,
        )


@part
class HeadUnit(Part):
    """The vehicle's own source of sound, described by its outputs.

    Parameters
    ----------
    voltage : float or array
        Highest r.m.s. voltage of one loudspeaker output. [V]
    line_voltage : float or array, optional
        Highest r.m.s. voltage of its line outputs, if it has any. [V]
    minimum_load : float or array
        The lowest *rated* impedance that a loudspeaker output may be loaded with. [ohm]
    channels : int
        Loudspeaker outputs.
    name : str

    Notes
    -----
    Its loudspeaker outputs are bridged across the battery. From 14.4 V they give about 9.1 V r.m.s. (common practice,
    no source).

    Examples
    --------
    >>> unit = HeadUnit(voltage=9.1)
    >>> print(f"{unit.power_into(unit.minimum_load):.0f} W into {unit.minimum_load:.0f} ohm")
    21 W into 4 ohm
    """

    voltage: float = quantity("V", "highest r.m.s. voltage of a loudspeaker output", 0.1, 100.0)
    line_voltage: float = quantity("V", "highest r.m.s. voltage of a line output", 0.01, 20.0, default=None)
    minimum_load: float = quantity("ohm", "lowest impedance that an output may be loaded with", 0.1, 1e3, default=4.0)
    channels: int = ruled(CHANNELS, 4)
    name: str = ruled(Text(), "")

    @takes(load=LOAD)
    def power_into(self, load):
        r"""Return the highest power of one loudspeaker output into a load. [W]

        .. math:: P = V^2 / R

        Parameters
        ----------
        load : float or array
            Its impedance; below `minimum_load` an output is overloaded. [ohm]
        """
        return np.square(self.voltage) / load


SOURCE = Holds((Amplifier, HeadUnit))


@takes(source=SOURCE)
def lowest_load(source):
    r"""Lowest impedance that a loudspeaker may fall to on a channel. [ohm]

    .. math:: 0.8\,R_{min}

    The `minimum_load` is a rated impedance. A loudspeaker's own impedance may dip a fifth below its rating.

    Parameters
    ----------
    source : Amplifier or HeadUnit

    References
    ----------
    IEC 60268-5 for the share (from memory). Printing an amplifier's lowest load as a rated one is common practice.
    """
    return LOWEST_SHARE * source.minimum_load


@takes(source=SOURCE, load=LOAD)
def can_drive(source, load):
    r"""Whether an amplifier can drive a load that falls so low, shape of the load.

    .. math:: Z \ge (1 - 0.03)\,0.8\,R_{min}

    A load a little below the lowest one counts as at it: no part is known more closely.

    Parameters
    ----------
    source : Amplifier or HeadUnit
    load : float or array
        Lowest impedance. [ohm]
    """
    return load >= (1 - NEARLY) * lowest_load(source)


@takes(sources=Named(SOURCE, "an Amplifier or HeadUnit"))
def with_bridged(sources):
    """Return sources by name; each amplifier whose channels pair off is followed by itself, bridged.

    Parameters
    ----------
    sources : dict
        Name: Amplifier or HeadUnit.

    Returns
    -------
    dict
        Name: Amplifier or HeadUnit; the names of bridged ones end in ", bridged".
    """
    named = {}
    for name, source in sources.items():
        named[name] = source
        if isinstance(source, Amplifier) and source.channels % 2 == 0:
            named[f"{name}, bridged"] = dataclasses.replace(source.bridged(), name=f"{name}, bridged")
    return named
