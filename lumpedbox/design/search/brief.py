"""What a box may take up, what drives it, and what matters."""

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
LOWEST, HIGHEST = 8.0, 500.0  # Hz; what is looked at
BASS = HIGHEST / 2  # Hz; a box whose f3 is higher plays no bass, and its hump would lie beyond what is looked at
LARGEST_PORT = 0.25  # m2; beyond it nothing is a port
ROUNDING = 1 + 1e-6  # of a limit: what is not more over it is rounding


def _limit(unit, meaning, low, high):
    return Quantity(unit=unit, meaning=meaning, low=low, high=high, optional=True)


@part
class Brief(Part):
    """What a box may take up, what drives it, and what matters.

    Parameters
    ----------
    volume : float
        Litres that exist: the inside of the box, of which port and driver take up some. [m3]
    amplifier : Amplifier or HeadUnit
        What drives it.
    voltage : float, optional
        Highest r.m.s. voltage that is used; the amplifier's own without it. [V]
    port_area : float, optional
        Largest area of a port; without it only sealed boxes are looked for. [m2]
    port_length : float, optional
        Longest port; without it one that leaves its own diameter free behind it in a cube of the net volume. [m]
    lowest : float
        Lowest tone that is played at that voltage; a high-pass keeps what is lower from the amplifier. [Hz]
    f3 : float, optional
        Lower frequency limit, at most. [Hz]
    ripple : float, optional
        Highest hump over the pass-band, at most. [dB]
    sag : float, optional
        How far the level above f3 may lie under a first-order high-pass of the same f3. Without it f3 can rest on a
        shelf that nearly is half power itself, and a little less volume moves it by half an octave. [dB]
    delay : float, optional
        Largest group delay from the lowest tone up, at most. [s]
    excursion : float, optional
        Largest travel of the cone over xmax, at that voltage, at most. [1]
    port_speed : float, optional
        Peak speed of the air in the port at that voltage, at most: 17 for caution, 10 for comfort (guidance, common
        practice, no source). [m/s]
    aim : {"f3", "volume", "ripple", "delay", "excursion", "port_speed"}
        What is to be as low as it can.
    Ql : float
        Leakage Q of the box (7: Small 1973, from memory). [1]
    cabin : Cabin, optional
        The vehicle around it: f3, hump, sag and delay are then of what is heard inside.

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
    voltage: float = quantity("V", "highest r.m.s. voltage that is used", 0.01, 1e3, default=None)
    port_area: float = quantity("m2", "largest area of a port", 1e-5, LARGEST_PORT, default=None, slips=("cm2", "mm2"))
    port_length: float = quantity("m", "longest port", 0.005, 3.0, default=None, slips=("mm", "cm", "inch"))
    lowest: float = quantity("Hz", "lowest tone that is played", LOWEST, 200.0, default=30.0)
    f3: float = quantity("Hz", "lower frequency limit, at most", LOWEST, BASS, default=None)
    ripple: float = ruled(_limit("dB", "highest hump, at most", 0.01, 20.0), 2.0)
    sag: float = ruled(_limit("dB", "sag above f3, at most", 0.01, 20.0), 0.5)
    delay: float = quantity("s", "largest group delay, at most", 1e-4, 1.0, default=None, slips=("ms",))
    excursion: float = ruled(_limit("", "travel of the cone as a share of xmax, at most", 0.01, 3.0), 1.0)
    port_speed: float = ruled(_limit("m/s", "speed of the air in the port, at most", 0.5, 100.0), CAUTION_SPEED)
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
                "for more, take another amplifier"
            )

    @property
    def drive(self):
        """Highest r.m.s. voltage that is used. [V]"""
        return float(self.amplifier.voltage if self.voltage is None else self.voltage)

    @property
    def kinds(self):
        """The kinds of box that are looked for, as a tuple of words."""
        return (SEALED,) if self.port_area is None else KINDS

    def with_limits(self, limits):
        """Return the brief with other limits, or None where one of them cannot be what it is to be.

        Parameters
        ----------
        limits : dict
            Field: value, in SI units.
        """
        rules = {field.name: field.metadata["rule"] for field in dataclasses.fields(self)}
        possible = all(rules[name].low <= value <= rules[name].high for name, value in limits.items())
        return dataclasses.replace(self, **limits) if possible else None


BRIEF = Holds((Brief,))
