"""What one capacitor before a small driver really does."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import FREQUENCY, VOLTAGE, Single, takes
from ..parts.loudspeaker import LOUDSPEAKER
from ..parts.network import Capacitor, in_series, joined
from ..quantity import Quantity
from ..response import frequencies, solve
from .ratings import slope

CAPACITANCE = Quantity(unit="F", meaning="capacitance", low=1e-9, high=0.01, slips=("uF",))
CORNER = Quantity(unit="Hz", meaning="textbook corner", low=1e-3, high=1e6, slips=("kHz",))
RESISTANCE = Quantity(unit="ohm", meaning="resistance behind the capacitor", low=0.01, high=1e4)
OCTAVES = 3  # looked at on either side of the corner


@dataclass(frozen=True, slots=True)
class OneCapacitor:
    """A driver behind a capacitor, compared with the textbook's 6 dB per octave.

    Attributes
    ----------
    corner : float
        Where the textbook, with the rated impedance as a resistance, is 3 dB down. [Hz]
    slope : float
        What the capacitor takes off in the octave below the corner; the textbook says 4. [dB]
    excess : float
        Most that the level is above the textbook's. [dB]
    excess_at : float
        Frequency of that excess. [Hz]
    travel, travel_without : float
        Largest peak excursion, with the capacitor and without. [m]
    power, power_without : float
        Largest power in the voice coil, with the capacitor and without. [W]
    """

    corner: float
    slope: float
    excess: float
    excess_at: float
    travel: float
    travel_without: float
    power: float
    power_without: float

    def __str__(self):
        return (
            f"The textbook's corner is {self.corner:.0f} Hz. At {self.excess_at:.0f} Hz the sound is "
            f"{self.excess:.1f} dB louder than it says. In the octave below the corner it falls {self.slope:.1f} dB. "
            f"The cone moves {self.travel * 1e3:.2g} mm, without the capacitor {self.travel_without * 1e3:.2g} mm. "
            f"The coil takes {self.power:.3g} W, without it {self.power_without:.3g} W."
        )


@takes(resistance=RESISTANCE, capacitance=CAPACITANCE)
def corner_of(resistance, capacitance):
    r"""Return the textbook corner of a capacitor before a resistance, 3 dB down. [Hz]

    .. math:: f_c = \frac{1}{2\pi R C}

    Parameters
    ----------
    resistance : float or array
        [ohm]
    capacitance : float or array
        [F]

    Examples
    --------
    >>> print(f"{corner_of(4.0, 10e-6):.0f} Hz")
    3979 Hz
    """
    return 1 / (2 * np.pi * capacitance * resistance)


@takes(one=CAPACITANCE, other=CAPACITANCE)
def in_series_of(one, other):
    r"""Return the capacitance of two capacitors in series. [F]

    .. math:: C = \frac{C_1 C_2}{C_1 + C_2}

    Parameters
    ----------
    one, other : float or array
        [F]

    Examples
    --------
    >>> print(f"{1e6 * in_series_of(4.7e-6, 10e-6):.2f} uF")
    3.20 uF
    """
    return one * other / (one + other)


@takes(corner=CORNER, frequency=FREQUENCY)
def textbook_loss(corner, frequency):
    r"""Return what a capacitor before a resistance takes off, by the textbook. [dB]

    .. math:: 10 \log_{10}(1 + f_c^2 / f^2)

    3 dB at the corner, and 6 dB per octave far below it.

    Parameters
    ----------
    corner : float or array
        [Hz]
    frequency : float or array
        [Hz]
    """
    return 10 * np.log10(1 + (corner / frequency) ** 2)


@takes(loudspeaker=Single(LOUDSPEAKER), capacitance=Single(CAPACITANCE), voltage=Single(VOLTAGE), air=Single(AIR))
def one_capacitor(loudspeaker, *, capacitance, voltage=2.83, air=Air()):
    r"""Compare a driver behind one capacitor with the textbook, and with the driver alone.

    Parameters
    ----------
    loudspeaker : Loudspeaker
        A single one, without that capacitor; any network it has stays between capacitor and driver.
    capacitance : float
        [F]
    voltage : float
        r.m.s. EMF of a steady tone. [V]
    air : Air

    Returns
    -------
    OneCapacitor

    Notes
    -----
    The textbook treats the rated impedance R as a resistance:

    .. math:: H = \frac{j\omega R C}{1 + j\omega R C}, \quad f_c = \frac{1}{2\pi R C}

    At its resonance a driver's impedance is several times that, and the capacitor takes little off. We look at
    `OCTAVES` octaves on either side of the corner, or down to half the driver's resonance if that is lower.
    """
    corner = corner_of(float(loudspeaker.driver.nominal_resistance), capacitance)
    low = min(corner / 2**OCTAVES, float(loudspeaker.driver.fs) / 2)
    grid = frequencies(low, corner * 2**OCTAVES, per_octave=48)
    network = joined(in_series(Capacitor(capacitance=capacitance)), loudspeaker.network)
    behind, alone = (
        solve(speaker, grid, voltage, air=air)
        for speaker in (dataclasses.replace(loudspeaker, network=network), loudspeaker)
    )
    above = behind.level - alone.level + textbook_loss(corner, grid)
    most = int(np.argmax(above))
    return OneCapacitor(
        corner=float(corner),
        slope=slope(behind, corner / 2, corner) - slope(alone, corner / 2, corner),
        excess=float(above[most]),
        excess_at=float(grid[most]),
        travel=float(behind.excursion.max()),
        travel_without=float(alone.excursion.max()),
        power=float(behind.dissipation["coil resistance"].max()),
        power_without=float(alone.dissipation["coil resistance"].max()),
    )
