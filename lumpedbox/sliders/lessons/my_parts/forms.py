"""What can be typed of each kind of part, entry by entry."""

from __future__ import annotations

from dataclasses import dataclass

from ....tables.entries import KINDS

NOT_TOLD = ("the sheet does not tell", "")


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a form.

    Attributes
    ----------
    key : str
        As in the file.
    label, example : str
        What stands before it, and in it while it is empty.
    options : tuple of (str, str)
        What is written and what it stands for, where only a few things can be said; the first one at the start.
    """

    key: str
    label: str
    example: str = ""
    options: tuple = ()


# In the order of a printed data sheet.
DRIVER = (
    Entry("kind", "Kind", options=(NOT_TOLD, *((word, word) for word in KINDS["driver"]["kind"].words))),
    Entry("size", "Nominal size", "165 mm or 6 1/2 in"),
    Entry("rated_impedance", "Rated impedance", "4 ohm"),
    Entry("power", "Power", "50 W"),
    Entry("power_counted", "Power is", options=(NOT_TOLD, ("r.m.s.", "r.m.s."), ("maximum", "maximum"))),
    Entry("sensitivity_2V83", "Sensitivity at 2.83 V", "92.6 dB"),
    Entry("sensitivity_1W", "Sensitivity at 1 W", "89.5 dB"),
    Entry("fs", "Resonance fs", "58 Hz"),
    Entry("Re", "Coil resistance Re", "3.4 ohm"),
    Entry("Le", "Coil inductance Le", "0.3 mH"),
    Entry("Qms", "Mechanical Qms", "4.5"),
    Entry("Qes", "Electrical Qes", "0.6"),
    Entry("Qts", "Total Qts", "0.53"),
    Entry("Vas", "Vas", "15 L or 0.53 ft^3"),
    Entry("Sd", "Cone area Sd", "137 cm^2"),
    Entry("diameter", "Effective diameter", "132 mm or 5.2 in"),
    Entry("Mms", "Moving mass Mms", "13.4 g"),
    Entry("Mmd", "Mass without air Mmd", "11.5 g"),
    Entry("Cms", "Compliance Cms", "0.56 mm/N"),
    Entry("Rms", "Resistance Rms", "1.08 kg/s"),
    Entry("Bl", "Force factor Bl", "5.25 T m"),
    Entry("xmax", "Linear travel xmax", "4 mm"),
    Entry("xmax_counted", "xmax is", options=(NOT_TOLD, ("one way", "one way"), ("peak to peak", "peak to peak"))),
    Entry("depth", "Mounting depth", "66 mm"),
    Entry("cutout", "Cutout diameter", "143 mm"),
    Entry("displacement", "Driver takes up", "0.5 L"),
    Entry("L2", "Eddy currents L2", "0.4 mH"),
    Entry("R2", "Eddy currents R2", "6 ohm"),
    Entry("built_in_capacitance", "Built-in capacitor", "4.7 µF, if any"),
)

BOX = (
    Entry("volume", "Net volume", "20 L or 0.7 ft^3"),
    Entry("tuning", "Tuning", "36 Hz, if vented"),
    Entry("port_area", "Port area", "50 cm^2"),
    Entry("Ql", "Leakage Q", "7"),
    Entry("filling", "Filling factor", "1.2, if filled"),
)

AMPLIFIER = (
    Entry("power", "Power of a channel", "75 W"),
    Entry("rated_impedance", "into a load of", "4 ohm"),
    Entry("minimum_load", "Lowest load", "2 ohm"),
    Entry("output_resistance", "Output resistance", "0.02 ohm"),
    Entry("channels", "Channels", "4"),
)

HEAD_UNIT = (
    Entry("voltage", "Highest output", "9.1 V"),
    Entry("line_voltage", "Highest line output", "2 V"),
    Entry("minimum_load", "Lowest load", "4 ohm"),
    Entry("channels", "Channels", "4"),
)

CABIN = (
    Entry("length", "Inner length", "5 m or 16 ft"),
    Entry("width", "Inner width", "1.8 m"),
    Entry("height", "Inner height", "1.6 m"),
    Entry("volume", "Volume of air", "14 m^3"),
    Entry("law", "The lift begins by", options=(("its volume", "volume"), ("its length", "length"))),
    Entry("flex", "Softening by panels", "1.5"),
    Entry("leak", "Air leaks below", "15 Hz"),
    Entry("reverberation_time", "Reverberation time", "0.08 s"),
)

FORMS = {
    "driver": ("A driver", DRIVER),
    "box": ("A box", BOX),
    "amplifier": ("An amplifier", AMPLIFIER),
    "head_unit": ("A head unit", HEAD_UNIT),
    "cabin": ("A cabin", CABIN),
}
