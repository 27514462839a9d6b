"""What stands between a source and an amplifier: its input with the gain's knob, and a converter before it."""

from __future__ import annotations

import numpy as np

from ..arguments import takes
from ..quantity import Holds, OneOf, Part, Quantity, Text, Whole, missing, part, quantity, ruled
from .amplifier import HeadUnit
from .filters import Gain, LevelTable

LOAD = Quantity(unit="ohm", meaning="resistance of what is connected to the output", low=1.0, high=1e7)
INPUTS = Whole(meaning="number of inputs", allowed=tuple(range(1, 17)))
LINE, LOUDSPEAKER = "line", "loudspeaker"
OUTPUT = OneOf(words=(LINE, LOUDSPEAKER))


@part
class LineInput(Part):
    """The input of an amplifier, with the knob that sets its gain.

    The knob is marked in volts: so many at the input drive the amplifier to its full power.

    Parameters
    ----------
    lowest, highest : float
        Ends of the knob, as printed beside it: turned up all the way, and down. From 0.2 to 4 V is common practice, no
        source. [V]
    resistance : float
        What it loads the wires before it with; about 20 kilohm is common practice, no source. [ohm]

    Examples
    --------
    >>> knob = LineInput(lowest=0.2, highest=4)
    >>> f"{knob.range_db:.0f} dB from one end to the other"
    '26 dB from one end to the other'
    """

    lowest: float = quantity("V", "volts for full power with the gain turned up", 0.001, 100.0, default=0.2)
    highest: float = quantity("V", "volts for full power with the gain turned down", 0.001, 100.0, default=4.0)
    resistance: float = quantity("ohm", "resistance of the input", 10.0, 1e7, default=20e3)

    def _check_together(self):
        if np.any(self.lowest >= self.highest):
            raise ValueError(
                f"LineInput.lowest must be less than highest, got {self.lowest:g} and {self.highest:g} V: "
                "the gain is turned up all the way at the lowest"
            )

    @property
    def range_db(self):
        r"""How far the knob reaches. [dB]

        .. math:: 20 \log_{10}(V_{highest} / V_{lowest})
        """
        return 20 * np.log10(self.highest / self.lowest)


@part
class Converter(Part):
    """What brings the volts of loudspeaker wires down to what an amplifier's input takes.

    Parameters
    ----------
    ratio : float
        Output over input volts at the trim that it is set to, with nothing connected. [1]
    input_resistance : float
        What it loads the loudspeaker wires with. [ohm]
    output_resistance : float
        [ohm]
    voltage : float, optional
        Highest clean r.m.s. voltage of its output with nothing connected; if None, it is not known. [V]
    name : str

    Examples
    --------
    >>> converter = Converter(ratio=0.1, input_resistance=1000, output_resistance=5000)
    >>> f"{converter.passes(load=20e3):.3f}"
    '0.080'
    """

    ratio: float = quantity("", "output over input volts", 1e-4, 10.0)
    input_resistance: float = quantity("ohm", "load that it is to the wires before it", 1.0, np.inf, default=np.inf)
    output_resistance: float = quantity("ohm", "output resistance", 0.0, 1e6, default=0.0)
    voltage: float = quantity("V", "highest clean output", 0.01, 100.0, default=None)
    name: str = ruled(Text(), "")

    @takes(load=LOAD)
    def passes(self, load):
        r"""Output over input volts with a load connected. [1]

        .. math:: k\,R / (R + R_o)

        Parameters
        ----------
        load : float or array
            Its resistance: of all inputs that are connected, side by side. [ohm]
        """
        return self.ratio * load / (load + self.output_resistance)


@part
class Feed(Part):
    """A source at one setting of its volume, and what brings its signal to the amplifier's inputs.

    Parameters
    ----------
    source : HeadUnit
    output : {"line", "loudspeaker"}
        Which of its outputs is used.
    reading : LevelTable
        What a meter reads across that output of a full-scale test tone, with nothing connected. [Hz], [dB re 1 V]
    source_resistance : float
        Of that output. [ohm]
    converter : Converter, optional
        What stands between them.
    input : LineInput
        Of the amplifier, alike at each of its inputs.
    inputs : int
        How many of them one output feeds.

    Examples
    --------
    >>> from lumpedbox import HeadUnit, LevelTable
    >>> source, reading = HeadUnit(voltage=9.1, line_voltage=2), LevelTable(points=((50, 12), (315, 18)))
    >>> feed = Feed(source=source, output="loudspeaker", reading=reading, converter=Converter(ratio=0.1))
    >>> f"{feed.passes:.2f} of its volts arrive; it clips at {feed.clips_at:.1f} V"
    '0.10 of its volts arrive; it clips at 9.1 V'
    """

    source: HeadUnit = ruled(Holds((HeadUnit,)))
    output: str = ruled(OUTPUT)
    reading: LevelTable = ruled(Holds((LevelTable,)))
    source_resistance: float = quantity("ohm", "resistance of the source's output", 0.0, 1e5, default=0.0)
    converter: Converter = ruled(Holds((Converter,), optional=True), None)
    input: LineInput = ruled(Holds((LineInput,)), LineInput())
    inputs: int = ruled(INPUTS, 1)

    def _check_together(self):
        if self.output == LINE and self.source.line_voltage is None:
            raise missing(
                "Feed.source.line_voltage", "highest voltage of a line output", "or use its loudspeaker outputs"
            )

    @property
    def clips_at(self):
        """Highest clean r.m.s. voltage of the output. [V]"""
        return self.source.line_voltage if self.output == LINE else self.source.voltage

    @property
    def load(self):
        r"""What loads the source's output. [ohm]

        .. math:: R_a / n

        of n inputs side by side, or the converter's own.
        """
        return self.converter.input_resistance if self.converter else self.input.resistance / self.inputs

    @property
    def to_converter(self):
        r"""Loaded over open volts of the source's output. [1]

        .. math:: R / (R + R_s) = 1 / (1 + R_s / R)
        """
        return 1 / (1 + self.source_resistance / self.load)

    @property
    def passes(self):
        r"""Volts at the amplifier's input over the source's reading. [1]

        .. math:: \frac{R}{R + R_s}\,k\,\frac{R_a / n}{R_a / n + R_o}
        """
        if self.converter is None:
            return self.to_converter
        return self.to_converter * self.converter.passes(self.input.resistance / self.inputs)

    @property
    def filters(self):
        r"""What makes of a signal of 1 V the volts at the amplifier's input, as filters.

        .. math:: 20 \log_{10}(passes)

        after the reading.
        """
        return self.reading, Gain(level=20 * np.log10(self.passes))
