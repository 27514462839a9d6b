"""From the source's volts to the amplifier's: gains, and a sheet to set them by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arguments import Several, Single, takes
from ..parts.amplifier import Amplifier, HeadUnit
from ..parts.line import OUTPUT
from ..quantity import Holds, Quantity, Text

POWER = Quantity(unit="W", meaning="power to set", low=1e-3, high=1e5)
LOAD = Quantity(unit="ohm", meaning="impedance that the power is for", low=0.1, high=1e3)
TEST = Quantity(unit="Hz", meaning="frequency of the test tone", low=10.0, high=2e4, slips=("kHz",))
RATIO = Quantity(unit="", meaning="output over input voltage of the converter", low=1e-3, high=1e3)
INPUT = Quantity(unit="V", meaning="r.m.s. voltage at the amplifier's input", low=1e-3, high=1e3)
METER = 400.0  # Hz; above, a multimeter reads too little unless its sheet says more: common practice, no source
BEFORE = (
    "Before you begin: disconnect the drivers, set tone controls flat, and turn the source to its highest volume that "
    "is still clean. A multimeter shows r.m.s. only near mains frequency: trust it up to some 400 Hz unless its sheet "
    "says more. Start with every gain at its lowest, and turn up slowly."
)


@dataclass(frozen=True, slots=True)
class Setting:
    """One line of a setting sheet.

    Attributes
    ----------
    output : str
        Which output of the amplifier.
    frequency : float
        Of the test tone. [Hz]
    voltage : float
        What a meter must read at that output, r.m.s. [V]
    """

    output: str
    frequency: float
    voltage: float

    def __str__(self):
        meter = " (use a meter that is good for that frequency)" if self.frequency > METER else ""
        return f"{self.output}: {self.voltage:.2f} V a.c. at {self.frequency:g} Hz{meter}"


@takes(output=Text(), power=Single(POWER), impedance=Single(LOAD), frequency=Single(TEST))
def setting(*, output, power, impedance, frequency):
    r"""Return the reading at an output that means the power you want.

    Parameters
    ----------
    output : str
        Its name.
    power : float
        [W]
    impedance : float
        Of the load that the power is meant for, which stays disconnected. [ohm]
    frequency : float
        Of the test tone: inside the band that the output plays. [Hz]

    Returns
    -------
    Setting

    Notes
    -----
    .. math:: V = \sqrt{P R}

    Examples
    --------
    >>> print(setting(output="panels, left", power=50, impedance=4, frequency=100))
    panels, left: 14.14 V a.c. at 100 Hz
    """
    return Setting(output, frequency, float(np.sqrt(power * impedance)))


@takes(settings=Several(Holds((Setting,)), "readings made by `setting`"))
def setting_sheet(settings):
    """Return a sheet to set an amplifier by, as text: what to do first, then the readings in order.

    Parameters
    ----------
    settings : sequence of Setting

    Returns
    -------
    str
    """
    return "\n".join([BEFORE, *(f"{number}. {entry}" for number, entry in enumerate(settings, start=1))])


@takes(head_unit=Holds((HeadUnit,)), output=OUTPUT, converter=Single(RATIO))
def input_voltage(head_unit, *, output, converter=1.0):
    """Highest r.m.s. voltage that a head unit gives the amplifier's input. [V]

    Parameters
    ----------
    head_unit : HeadUnit
    output : {"line", "loudspeaker"}
        Which of its outputs is used.
    converter : float
        Output over input voltage of a converter between them; less than one from loudspeaker to line level. [1]

    Raises
    ------
    ValueError
        If it has no line output.
    """
    if output == "loudspeaker":
        return head_unit.voltage * converter
    if head_unit.line_voltage is None:
        raise ValueError("HeadUnit.line_voltage is missing: it has no line output, so use its loudspeaker outputs")
    return head_unit.line_voltage * converter


@takes(amplifier=Holds((Amplifier,)), voltage=INPUT)
def gain_needed(amplifier, voltage):
    r"""Gain at which the highest input voltage drives an amplifier to its highest output voltage. [dB]

    Parameters
    ----------
    amplifier : Amplifier
    voltage : float
        Highest r.m.s. voltage at its input, see `input_voltage`. [V]

    Notes
    -----
    .. math:: 20 \log_{10}(V_{out} / V_{in})
    """
    return 20 * np.log10(amplifier.voltage / voltage)
