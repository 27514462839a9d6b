"""What can be typed of each kind of part, entry by entry."""

from __future__ import annotations

from dataclasses import dataclass

from ...tables.entries import CLOSED, KINDS, STRUCTURED, value_of
from ...tables.feeds import NOT_KNOWN
from ...tables.quantity_text import with_unit
from ...tables.readings import AT_LINES, AT_WIRES
from ...tables.written import as_text, as_written
from .systems import SYSTEMS

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
    units : tuple of str
        The unit of a bare number, as sheets print it. If US customary units differ, theirs as well.
    options : tuple of (str, str)
        What is written and what it stands for, where only a few things can be said; the first one at the start.
    lines : bool
        Whether several lines may be typed.
    help : str
        What to type, where the label does not say it: it stands under the field.
    """

    key: str
    label: str
    example: str = ""
    units: tuple = ()
    options: tuple = ()
    lines: bool = False
    help: str = ""

    def unit(self, system):
        """Return the unit of a bare number for a reader of one of `SYSTEMS`; empty for a plain number."""
        return self.units[-1 if system == SYSTEMS[1] else 0] if self.units else ""

    def heading(self, system):
        """Return the label with that unit, as it stands before the field."""
        unit = self.unit(system)
        return f"{self.label} [{unit}]" if unit else self.label


# In the order of a printed data sheet.
DRIVER = (
    Entry("kind", "Kind", options=(NOT_TOLD, *((word, word) for word in KINDS["driver"]["kind"].words))),
    Entry("size", "Nominal size", "165 mm or 6x9 in", units=("mm", "in")),
    Entry("rated_impedance", "Rated impedance", "4 ohm", units=("ohm",)),
    Entry("power", "Power", "50 W", units=("W",)),
    Entry("power_counted", "Power is", options=(NOT_TOLD, ("r.m.s.", "r.m.s."), ("maximum", "maximum"))),
    Entry("sensitivity_2V83", "Sensitivity at 2.83 V", "92.6 dB", units=("dB",)),
    Entry("sensitivity_1W", "Sensitivity at 1 W", "89.5 dB", units=("dB",)),
    Entry("fs", "Resonance fs", "58 Hz", units=("Hz",)),
    Entry("Re", "Coil resistance Re", "3.4 ohm", units=("ohm",)),
    Entry("Le", "Coil inductance Le", "0.3 mH", units=("mH",)),
    Entry("Qms", "Mechanical Qms", "4.5"),
    Entry("Qes", "Electrical Qes", "0.6"),
    Entry("Qts", "Total Qts", "0.53"),
    Entry("Vas", "Vas", "15 L or 0.53 ft^3", units=("L", "ft³")),
    Entry("Sd", "Cone area Sd", "137 cm^2", units=("cm²", "in²")),
    Entry("diameter", "Effective diameter", "132 mm or 5.2 in", units=("mm", "in")),
    Entry("Mms", "Moving mass Mms", "13.4 g", units=("g",)),
    Entry("Mmd", "Mass without air Mmd", "11.5 g", units=("g",)),
    Entry("Cms", "Compliance Cms", "0.56 mm/N", units=("mm/N",)),
    Entry("Rms", "Resistance Rms", "1.08 kg/s", units=("kg/s",)),
    Entry("Bl", "Force factor Bl", "5.25 T m", units=("T m",)),
    Entry("xmax", "Linear travel xmax", "4 mm", units=("mm",)),
    Entry("xmax_counted", "xmax is", options=(NOT_TOLD, ("one way", "one way"), ("peak to peak", "peak to peak"))),
    Entry("depth", "Mounting depth", "66 mm", units=("mm", "in")),
    Entry("cutout", "Cutout diameter", "143 mm", units=("mm", "in")),
    Entry("displacement", "Driver takes up", "0.5 L", units=("L", "ft³")),
    Entry("L2", "Eddy currents L2", "0.4 mH", units=("mH",)),
    Entry("R2", "Eddy currents R2", "6 ohm", units=("ohm",)),
    Entry("semi_inductance", "Eddy currents K", "0.02, if measured", units=("ohm s^n",)),
    Entry("semi_exponent", "Eddy currents n", "0.65, if measured"),
    Entry("built_in_capacitance", "Built-in capacitor", "4.7 µF, if any", units=("µF",)),
    Entry("spread", "Measured to", "Re 0.3 %, Bl 0.5 %"),
)

BOX = (
    Entry("volume", "Net volume", "20 L or 0.7 ft^3", units=("L", "ft³")),
    Entry("tuning", "Tuning", "36 Hz, if vented", units=("Hz",)),
    Entry("port_area", "Port area", "50 cm^2", units=("cm²", "in²")),
    Entry("Ql", "Leakage Q", "7"),
    Entry("filling", "Filling factor", "1.2, if filled"),
    Entry("hole_area", "Hole area", "300 cm^2, if a door", units=("cm²", "in²")),
    Entry("crack_thickness", "Crack thickness", "0.5 mm, if a door", units=("mm", "in")),
    Entry("crack_length", "Crack length", "0.6 m, if a door", units=("m", "ft")),
    Entry("path", "Cone to hole", "0.35 m, if a door", units=("m", "ft")),
    Entry("longest_side", "Longest side", "1 m, if a door", units=("m", "ft")),
    Entry("opens_to", "Hole opens", options=(("no door", ""), ("into the cabin", "cabin"), ("outside", "outside"))),
)

AMPLIFIER = (
    Entry("power", "Power of a channel", "75 W", units=("W",)),
    Entry("rated_impedance", "into a load of", "4 ohm", units=("ohm",)),
    Entry("minimum_load", "Lowest load", "2 ohm", units=("ohm",)),
    Entry("output_resistance", "Output resistance", "0.02 ohm", units=("ohm",)),
    Entry("channels", "Channels", "4"),
)

HEAD_UNIT = (
    Entry("voltage", "Highest output", "9.1 V", units=("V",)),
    Entry("line_voltage", "Highest line output", "2 V", units=("V",)),
    Entry("minimum_load", "Lowest load", "4 ohm", units=("ohm",)),
    Entry("channels", "Channels", "4"),
)

LAWS = (
    ("its volume", "volume"),
    ("its length", "length"),
    ("its places", "modes"),
    ("what was measured", "measured"),
)
TAPE = "With only a tape, leave it empty."
CLAP = f"Until a clap has died away. {TAPE}"
OUTSIDE = "Only for a measured lift: how far from the loudspeaker you measured outside."
CABIN = (
    Entry("length", "Inner length", "5 m or 16 ft", units=("m", "ft")),
    Entry("width", "Inner width", "1.8 m", units=("m", "ft")),
    Entry("height", "Inner height", "1.6 m", units=("m", "ft")),
    Entry("volume", "Volume of air", "14 m^3, if measured", units=("m³", "ft³")),
    Entry("law", "It counts by", options=LAWS),
    Entry("flex", "Softening by panels", "1.5, if empty", help=f"Panels that give way act like more air. {TAPE}"),
    Entry("leak", "Air leaks below", "15 Hz, if empty", units=("Hz",), help=f"Lower tones escape through gaps. {TAPE}"),
    Entry("reverberation_time", "Reverberation time", "0.08 s, if empty", units=("s",), help=CLAP),
    Entry("ear", "Ear", "2.6, 0.5, 1.15 m", units=("m", "ft")),
    Entry("ear_box", "The ear moves within", "0.15 m, if empty", units=("m", "ft")),
    Entry("places", "Places", "step well left = 0.6, 0.1, 0.35 m", units=("m", "ft"), lines=True),
    Entry("boot", "Boot", options=(("none, or open to the seats", ""), ("closed by seat and shelf", CLOSED))),
    Entry("table", "Measured lift", "20 Hz, 12 dB; 40 Hz, 8 dB", units=("Hz",), lines=True),
    Entry("reference_distance", "Open air measured at", "1 m, if empty", units=("m", "ft"), help=OUTSIDE),
)

CHANNEL = (
    Entry("feeds", "It feeds", "165 mm panel + 25 mm pillar tweeter", lines=True),
    Entry(
        "wiring",
        "Wired",
        options=(
            ("one driver only", ""),
            ("in parallel", "parallel"),
            ("in series", "series"),
            (NOT_KNOWN, NOT_KNOWN),
        ),
    ),
    Entry("line", "Capacitors", "25 mm pillar tweeter = 6.8 µF", units=("µF",), lines=True),
    Entry("source", "Driven by", "head unit of the minibus"),
)

READ = "10 = 50 Hz, 0.86 V; 315 Hz, 0.45 V\n20 = 50 Hz, 2.27 V; 315 Hz, 1.80 V"  # for example
READINGS = (
    Entry("at_volumes", "Volts at volumes", READ, lines=True),
    Entry("read_at", "Read at", options=((AT_WIRES, ""), (AT_LINES, AT_LINES))),
)

CONVERTER = (
    Entry("ratio", "Volts out for 1 V in", "1 V, if its trim is up", units=("V",)),
    Entry("input_resistance", "Converter loads with", "470 ohm", units=("ohm",)),
    Entry("output_resistance", "Its output resistance", "1000 ohm", units=("ohm",)),
    Entry("voltage", "It clips at", "5 V, if known", units=("V",)),
    Entry("trim", "Its trim", "-20 dB, if set", units=("dB",)),
)

FORMS = {
    "driver": ("A driver", DRIVER),
    "box": ("A box", BOX),
    "amplifier": ("An amplifier", AMPLIFIER),
    "head_unit": ("A head unit", HEAD_UNIT),
    "cabin": ("A cabin", CABIN),
    "channel": ("A channel", CHANNEL),
    "readings": ("Readings of a head unit", READINGS),
    "converter": ("A converter", CONVERTER),
}


def several(kind, key):
    """Whether a field holds several numbers, or names, so that a comma is no decimal point."""
    return isinstance(KINDS[kind].get(key), STRUCTURED)


def tidy(kind, key, text, unit):
    """Return what is typed into a field, with the unit that its bare numbers take."""
    rule = KINDS[kind][key]
    if not several(kind, key):
        return with_unit(text, unit)
    try:
        return as_text(rule, as_written(rule, text, unit)) if text else ""
    except ValueError:  # it is told at the field
        return text


def typed_of(kind, table):
    """Return key: text of a table of the file, as a form shows it."""
    rules = KINDS[kind]
    return {key: as_text(rules[key], value) if several(kind, key) else str(value) for key, value in table.items()}


def labels_of(kind):
    """Return the labels of a form by key."""
    return {entry.key: entry.label for entry in FORMS[kind][1]}


def worded(kind, key, value):
    """Return the word of the form that stands for a value, where a few can be chosen; else the value."""
    options = next(entry.options for entry in FORMS[kind][1] if entry.key == key)
    return next((word for word, stands_for in options if stands_for == value), value)


def read_entry(kind, key, text):
    """Read what is typed into one field.

    Returns
    -------
    float, int, str or pair of float
        [SI]

    Raises
    ------
    ValueError
        In words for the person who typed it, without the label.
    """
    value = value_of(kind, key, KINDS[kind][key], text)
    if key == "displacement" and value == 0:
        raise ValueError("every driver takes up some room: leave this empty, and it is estimated from its size")
    return value


def as_sentence(text):
    """Return what is wrong with a capital letter at its start and a stop at its end."""
    return with_a_stop(text[:1].upper() + text[1:])


def with_a_stop(text):
    """Return a text with a stop at its end, if it has none."""
    return text if text.endswith((".", "?")) else f"{text}."


def in_labels(kind, text):
    """Return a message with the labels of the form for the keys of the file."""
    labels = labels_of(kind)
    for key in sorted(labels, key=len, reverse=True):
        if "_" in key:
            text = text.replace(key, labels[key])
    return text
