"""The room a box may take up, what drives it, and what matters."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...parts.amplifier import Amplifier, HeadUnit
from ...parts.box import USUAL_LEAKAGE
from ...parts.cabin import Cabin
from ...parts.port import NET_VOLUME
from ...quantity import Holds, OneOf, Part, Quantity, named_shapes, part, quantity, ruled
from ...response.limits import CAUTION_SPEED

SEALED, VENTED = "sealed", "vented"
KINDS = (SEALED, VENTED)
AIMS = ("f3", "volume", "ripple", "delay", "excursion", "port_speed")
LOWEST, HIGHEST = 8.0, 500.0  # Hz; the range that is looked at
BASS = HIGHEST / 2  # Hz; a box with a higher f3 plays no bass, and its peak would lie outside that range
LARGEST_PORT = 0.25  # m2; anything larger is not a port
ROUNDING = 1 + 1e-6  # over a limit: less than this is rounding


def _limit(unit, meaning, low, high):
    return Quantity(unit=unit, meaning=meaning, low=low, high=high, optional=True)


@part
class Brief(Part):
    """The room a box may take up, what drives it, and what matters.

    Parameters
    ----------
    volume : float
        Litres available: the whole inside of the box, port and driver included. [m3]
    amplifier : Amplifier or HeadUnit
        What drives it.
    voltage : float, optional
        Highest r.m.s. voltage to use; by default the amplifier's own. [V]
    port_area : float, optional
        Largest area of a port; without it the search tries sealed boxes only. [m2]
    port_length : float, optional
        Longest port; by default one that leaves its own diameter free behind it in a cube of the net volume. [m]
    lowest : float
        Lowest tone that is played at that voltage; a high-pass keeps lower ones from the amplifier. [Hz]
    f3 : float, optional
        Highest f3 allowed. [Hz]
    ripple : float, optional
        Highest peak over the pass-band allowed. [dB]
    droop : float, optional
        Largest droop allowed: how far the level above f3 may lie under a first-order high-pass of the same f3. Without
        it, f3 can rest on a shelf that is nearly 3 dB down itself. A little less volume then moves f3 by half an
        octave. [dB]
    delay : float, optional
        Longest group delay allowed, from the lowest tone up. [s]
    excursion : float, optional
        Largest cone travel allowed over xmax, at that voltage. [1]
    port_speed : float, optional
        Fastest air allowed in the port at that voltage, peak: 17 for caution, 10 for comfort (guidance, common
        practice, no source). [m/s]
    aim : {"f3", "volume", "ripple", "delay", "excursion", "port_speed"}
        What to make as low as possible.
    Ql : float
        Leakage Q of the box (7: Small 1973, from memory). [1]
    cabin : Cabin, optional
        The vehicle around it: f3, peak, droop and delay are then those heard inside.

    Examples
    --------
    >>> from lumpedbox import Amplifier
    >>> from lumpedbox.units import litre
    >>> brief = Brief(volume=30 * litre, amplifier=Amplifier(power=36, rated_impedance=4, minimum_load=2))
    >>> print(brief.kinds, f"{brief.drive:.1f} V")
    ('sealed',) 12.0 V
    """

    volume: float = ruled(NET_VOLUME)
    amplifier: Part = ruled(Holds((Amplifier, HeadUnit)))
    voltage: float = quantity("V", "highest r.m.s. voltage to use", 0.01, 1e3, default=None)
    port_area: float = quantity("m2", "largest area of a port", 1e-5, LARGEST_PORT, default=None, slips=("cm2", "mm2"))
    port_length: float = quantity("m", "longest port", 0.005, 3.0, default=None, slips=("mm", "cm", "inch"))
    lowest: float = quantity("Hz", "lowest tone that is played", LOWEST, 200.0, default=30.0)
    f3: float = quantity("Hz", "highest f3 allowed", LOWEST, BASS, default=None)
    ripple: float = ruled(_limit("dB", "highest peak allowed", 0.01, 20.0), 2.0)
    droop: float = ruled(_limit("dB", "largest droop allowed above f3", 0.01, 20.0), 0.5)
    delay: float = quantity("s", "longest group delay allowed", 1e-4, 1.0, default=None, slips=("ms",))
    excursion: float = ruled(_limit("", "largest cone travel allowed, as a share of xmax", 0.01, 3.0), 1.0)
    port_speed: float = ruled(_limit("m/s", "fastest air allowed in the port", 0.5, 100.0), CAUTION_SPEED)
    aim: str = ruled(OneOf(AIMS), "f3")
    Ql: float = quantity("", "leakage Q of the box", 1.0, np.inf, default=USUAL_LEAKAGE)
    cabin: Cabin = ruled(Holds((Cabin,), optional=True), None)

    def _check_together(self):
        for name, shape in named_shapes(self):
            raise ValueError(f"{name} must be a single number in a brief, got an array of shape {shape}")
        most = float(self.amplifier.voltage)
        if self.drive > most * ROUNDING:
            raise ValueError(
                f"Brief.voltage must be at most what the amplifier gives, {most:.4g} V, got {self.drive:.4g} V: "
                "for more, use another amplifier"
            )

    @property
    def drive(self):
        """Highest r.m.s. voltage to use. [V]"""
        return float(self.amplifier.voltage if self.voltage is None else self.voltage)

    @property
    def kinds(self):
        """The kinds of box to try, as a tuple of words."""
        return (SEALED,) if self.port_area is None else KINDS

    def with_limits(self, limits):
        """Return the brief with other limits, or None if one of them is out of its range.

        Parameters
        ----------
        limits : dict
            Field: value, in SI units.
        """
        rules = {field.name: field.metadata["rule"] for field in dataclasses.fields(self)}
        possible = all(rules[name].low <= value <= rules[name].high for name, value in limits.items())
        return dataclasses.replace(self, **limits) if possible else None


BRIEF = Holds((Brief,))
