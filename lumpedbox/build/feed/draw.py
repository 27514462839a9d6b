"""What draws current from a feed: amplifiers, converters, lights."""

from __future__ import annotations

import numpy as np

from ...arguments import Row, Single, one, takes
from ...errors import Refused
from ...quantity import OneOf, Part, Quantity, Text, part, ruled

VOLTS = Quantity(unit="V", meaning="direct voltage", low=1.0, high=60.0)
CREST = Single(Quantity(unit="dB", meaning="peak over r.m.s. of the programme", low=3.01, high=30.0))
SHARE = Quantity(unit="", meaning="power out over power in", low=0.05, high=1.0, slips=("percent",))
AMPLIFIER = "amplifier"


@part
class Draw(Part):
    """One thing that draws current.

    Parameters
    ----------
    power : float
        What it gives with a steady sine: of all channels together. [W]
    efficiency : float
        Power out over power in, there. Lights and the like that give nothing out have 1. [1]
    maker_fuse : float, optional
        Largest fuse that its maker allows before it. [A]
    minimum_voltage : float, optional
        Below this it switches off. [V]
    rated_voltage : tuple of two floats
        Lowest and highest voltage that it is made for. [V]
    kind : {"amplifier", "converter", "lights", "other"}
    name : str

    Examples
    --------
    >>> amplifier = Draw(power=550, efficiency=0.65)
    >>> print(f"{amplifier.current(13.8):.1f} A")
    61.3 A
    """

    power: float = ruled(one("W", "sine power out", 0.1, 2e4))
    efficiency: float = ruled(Single(SHARE))
    maker_fuse: float = ruled(one("A", "largest fuse that the maker allows", 0.1, 2e3, optional=True), None)
    minimum_voltage: float = ruled(one("V", "voltage below which it switches off", 1.0, 60.0, optional=True), None)
    rated_voltage: tuple = ruled(Row((VOLTS, VOLTS), "lowest and highest voltage, in V"), (10.8, 16.0))
    kind: str = ruled(OneOf((AMPLIFIER, "converter", "lights", "other")), AMPLIFIER)
    name: str = ruled(Text(), "")

    def _check_together(self):
        low, high = self.rated_voltage
        if low >= high:
            raise Refused("Draw", "rated_voltage", f"must be lowest first, then highest, got {low:g} and {high:g} V")
        if self.minimum_voltage is not None and self.minimum_voltage > high:
            problem = f"must not be above the highest rated_voltage of {high:g} V, got {self.minimum_voltage:g} V"
            raise Refused("Draw", "minimum_voltage", problem)

    @takes(voltage=Single(VOLTS))
    def current(self, voltage):
        r"""Return the current of a steady sine at full power. [A]

        .. math:: I = P / (\eta V)

        Parameters
        ----------
        voltage : float
            At which the power is given: within `rated_voltage`. [V]

        Raises
        ------
        ValueError
            If it is not made for that voltage.
        """
        self.check_voltage("Draw.current", voltage)
        return self.power / (self.efficiency * voltage)

    @takes(voltage=Single(VOLTS), crest=CREST, efficiency=Single(SHARE))
    def music_current(self, voltage, crest, efficiency):
        r"""Return the mean current with music, for a battery; a fuse is never chosen by it. [A]

        .. math:: \bar I = 10^{-(c - 3.01)/10}\,P / (\eta_m V)

        Parameters
        ----------
        voltage : float
            Within `rated_voltage`. [V]
        crest : float
            Crest factor of the music: 12 is common practice, no source. [dB]
        efficiency : float
            Power out over power in at that mean output: lower than at full power, or the same. [1]

        Raises
        ------
        ValueError
            If it is not made for that voltage, or would be more efficient than at full power.
        """
        self.check_voltage("Draw.music_current", voltage)
        if efficiency > self.efficiency:
            problem = f"at low output must be at most that at full power ({self.efficiency:g}), got {efficiency:g}"
            raise Refused("Draw.music_current", "efficiency", problem)
        return share_of_sine(crest) * self.power / (efficiency * voltage)

    @takes(owner=Text(), voltage=Single(VOLTS))
    def check_voltage(self, owner, voltage):
        """Refuse a system's voltage that it is not made for.

        Parameters
        ----------
        owner : str
            What the refusal begins with.
        voltage : float
            [V]

        Raises
        ------
        ValueError
            If the voltage lies outside `rated_voltage`.
        """
        low, high = self.rated_voltage
        if not low <= voltage <= high:
            who = f"{self.name!r} is" if self.name else "it is"
            problem = f"must be between {low:g} and {high:g} V, which {who} made for, got {voltage:g} V"
            raise Refused(owner, "voltage", problem, _another_system(voltage, high))


def _another_system(voltage, high):
    if voltage <= high:
        return ""
    return ". Measure the system first: a 24 or 48 V vehicle destroys an amplifier made for 12"


@takes(crest=CREST)
def share_of_sine(crest):
    r"""Mean power of music over that of a sine with the same peaks. [1]

    .. math:: 10^{-(c - 3.01)/10}

    Parameters
    ----------
    crest : float
        Peak over r.m.s. of the music; a sine has 3.01. [dB]
    """
    return float(10 ** (-(crest - 20 * np.log10(np.sqrt(2))) / 10))
