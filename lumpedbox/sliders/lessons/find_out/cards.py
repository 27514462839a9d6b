"""The twelve checks as they are described: question, tools, how, caution, and what to fill in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from . import fields as f
from .fields import Field

DRAWINGS = Path(__file__).with_name("drawings")
GATES = "gates"
TWELVE, TWENTY_FOUR, FORTY_EIGHT = "12 V", "24 V", "48 V"
NO, YES, NOT_KNOWN = "no", "yes", "not known"
NONE, FITTED = "none, says the maker", "fitted"
ONE_WOOFER, A_TWEETER = "woofer", "tweeter"
OUT, IN, STILL = "out", "in", "it did not move"
AS_IT_WAS, SWAPPED = "as it was", "with one pair swapped"
DOWN, UP, NO_WINDOW = "down", "up", "there is none"
BOOT_OPEN, BOOT_CLOSED = "open to the seats", "closed behind seat and shelf"
QUIET, HISSES, BLOWS = "it hangs still", "it flutters at one spot", "it moves a little at a large gap"
ONE_PEAK, TWO_PEAKS = "one, above fs", "two"
RANGES = {"meter, automatic or 20 V": 20.0, "meter, 2 V": 2.0, "meter, 200 V only": 200.0}
PHONE = "phone at the cone, in dB"
VOLUMES = {"third": ("Volume one third", 1 / 3), "half": ("Half", 1 / 2), "most": ("Three quarters", 3 / 4)}
CHANNELS = ("front left", "front right", "rear left", "rear right")
TONES = (50, 63, 80, 100, 160, 315)
SILENT, FAINT = "they are silent", "they play faintly"

# No advice before they are answered.
GATE_FIELDS = (
    Field(key="voltage", label="Battery system", options=(TWELVE, TWENTY_FOUR, FORTY_EIGHT)),
    Field(key="high", label="Hybrid or electric, high voltage", options=(NO, YES, NOT_KNOWN)),
    Field(key="doors", label="Sensors in the doors", options=(NONE, FITTED, NOT_KNOWN)),
    Field(key="seats", label="Sensors or airbags in the seats", options=(NONE, FITTED, NOT_KNOWN)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One check.

    Attributes
    ----------
    number : int
    title, tools, how, caution : str
        `how` has a line for each step.
    alternative : str
        What is drawn, for those who cannot see it.
    fields : tuple of Field
    wires : bool
        Whether it touches wires: in a high-voltage vehicle nobody but a qualified person does that.
    """

    number: int
    title: str
    tools: str
    how: tuple
    caution: str
    alternative: str
    fields: tuple
    wires: bool = False

    @property
    def drawing(self):
        """The drawing, as SVG."""
        return (DRAWINGS / f"check_{self.number}.svg").read_text(encoding="utf-8")


def _tones():
    for key, (row, _) in VOLUMES.items():
        for tone in TONES:
            yield Field(
                key=f"{key} {tone}",
                label=f"{tone} Hz",
                reading=f.AC,
                units=("V",),
                row=row,
                instead=("range", PHONE, f.BY_PHONE),
            )


def _length(key, label):
    return Field(key=key, label=label, reading=f.CABIN, units=("m", "ft"))


def _side(key, label, reading=f.SIDE):
    return Field(key=key, label=label, reading=reading, units=("mm", "in"))


CARDS = (
    Card(
        number=1,
        title="Series or parallel?",
        tools="Meter on ohms.",
        how=(
            "Power off. Unplug the pair of wires at the amplifier.",
            "Touch the two leads together, and note what they read.",
            "Read the pair. Unplug one loudspeaker, and read again.",
        ),
        caution="Never measure ohms on a live output: negative ohms mean volts. If it drifts, the cone moves.",
        alternative="A meter on a pair of wires to two loudspeakers; one of them is unplugged.",
        fields=(
            Field(key="leads", label="Leads, touched", reading=f.LEADS, units=("ohm",)),
            Field(key="pair", label="The pair", reading=f.OHMS, units=("ohm",)),
            Field(key="without", label="With one unplugged", reading=f.OHMS, units=("ohm",)),
            Field(key="rated", label="Printed on them", options=("2 ohm", "3 ohm", "4 ohm", "6 ohm", "8 ohm")),
        ),
        wires=True,
    ),
    Card(
        number=2,
        title="Which way round?",
        tools="AA cell of 1.5 V, two wires.",
        how=(
            "Unplug the loudspeaker. Touch + of the cell to its + for a moment.",
            "The cone moves out: it is connected right.",
            "No access? Play 50 Hz in mono, swap one pair, and listen from your seat.",
        ),
        caution="Woofers only: a cell tells nothing about a tweeter, so leave it. Never use 9 or 12 V.",
        alternative="An AA cell touches the two tabs of a woofer; an arrow shows its cone moving out.",
        fields=(
            Field(key="kind", label="It is a", options=(ONE_WOOFER, A_TWEETER)),
            Field(key="moved", label="The cone moved", options=(OUT, IN, STILL)),
            Field(key="louder", label="Or: 50 Hz is louder", options=(AS_IT_WAS, SWAPPED)),
        ),
        wires=True,
    ),
    Card(
        number=3,
        title="Who shares a channel?",
        tools="Phone with a noise track, your hand, labels.",
        how=(
            "Park. Play noise softly, and turn balance and fader to one corner.",
            "Lay a hand on each cone. Label what plays.",
            "Write the names with + between them. Do the next corner.",
        ),
        caution="Keep it short and soft. Never turn balance and fader on the move.",
        alternative="A vehicle from above; only the loudspeaker at its front left corner plays, under a hand.",
        fields=(
            *(Field(key=key, label=f"Plays at {key}", takes=f.WORDS) for key in CHANNELS),
            Field(key="others", label="The others", options=(SILENT, FAINT)),
        ),
    ),
    Card(
        number=4,
        title="Does the source cut bass?",
        tools="Phone with tones, meter on AC volts.",
        how=(
            "Tone controls flat. Play the tones at one volume, then at a higher one.",
            "Read across both wires of the loudspeaker.",
            "No meter? Phone 2 cm from the cone, if 6 dB less there reads 6 dB less. Fill in 315 Hz too.",
        ),
        caution=(
            "Both wires carry about half the battery's volts: never ground a meter or an oscilloscope. "
            "Unplug the loudspeakers, or keep it short: tones harm hearing."
        ),
        alternative="A meter across both wires of a loudspeaker; a bar for each of six tones, the lowest ones shorter.",
        fields=(Field(key="range", label="Read with", options=(*RANGES, PHONE)), *_tones()),
        wires=True,
    ),
    Card(
        number=5,
        title="How many volts before it clips?",
        tools="Phone with a tone of 100 to 200 Hz, meter on AC volts.",
        how=(
            "Unplug the loudspeaker. Read across its wires.",
            "Turn the volume up step by step, and write each reading.",
            "Stop when a step is clearly smaller than the ones before.",
        ),
        caution="Unplug the loudspeaker: this volume harms ears and coils. Both wires are live; never ground a meter.",
        alternative="Readings of a meter rise in equal steps with the volume; the last step is smaller.",
        fields=(
            Field(key="steps", label="Readings, lowest first", reading=f.AC, units=("V",), takes=f.SEVERAL),
            Field(key="rated", label="Loudspeaker's rating", options=("2 ohm", "3 ohm", "4 ohm", "6 ohm", "8 ohm")),
        ),
        wires=True,
    ),
    Card(
        number=6,
        title="Battery, and what the feed loses",
        tools="Meter on DC volts; a lead with a 1 A fuse at its clip.",
        how=(
            "Read the battery with the engine off, then running.",
            "Play loud bass, ears protected. Read from + of the battery to + of the amplifier, on the 2 V range.",
        ),
        caution=(
            "A long lead on a battery can burn: fuse it with 1 A at the battery. Keep it off belts and fans. "
            "Never put an ampere range across a battery."
        ),
        alternative="A meter from the battery's plus, by a fuse, to the amplifier's plus.",
        fields=(
            Field(key="off", label="Engine off", reading=f.DC, units=("V",)),
            Field(key="running", label="Engine running", reading=f.DC, units=("V",)),
            Field(key="drop", label="Lost in the feed", reading=f.DROP, units=("V",)),
        ),
        wires=True,
    ),
    Card(
        number=7,
        title="How deep, really?",
        tools="Modelling clay on a stick, tape, cardboard.",
        how=(
            "Door: window down. Push clay through the hole, close, take it out, measure. Three spots.",
            "Seat: a cardboard mock-up with clay on it. Someone sits down; move the seat all the way.",
        ),
        caution="Keep hands clear of window and seat while they move. Leave yellow plugs and sensors alone.",
        alternative="A stick with clay reaches through a door's hole to the window inside.",
        fields=(
            Field(key="window", label="Window", options=(DOWN, UP, NO_WINDOW)),
            Field(key="spots", label="Depths", reading=f.DEPTH, units=("mm", "in"), takes=f.SEVERAL),
            _side("driver", "The driver needs", f.DEPTH),
            _side("sag", "Cushion comes down by", f.SAG),
            _side("length", "Length under it"),
            _side("width", "Width under it"),
        ),
    ),
    Card(
        number=8,
        title="How many litres?",
        tools="Tape, foam chips, a measure.",
        how=(
            "A block: length, width and height outside, and the board.",
            "An odd shape: fill it with foam chips, and pour them into a measure.",
        ),
        caution="Never fill it with water. Keep off airbags and wiring; a box must not move in a crash.",
        alternative="A box with its length, width and height, and foam chips poured into a measure.",
        fields=(
            _side("length", "Length"),
            _side("width", "Width"),
            _side("height", "Height"),
            _side("board", "Board", f.BOARD),
            Field(key="poured", label="Poured", reading=f.VOLUME, units=("L", "ft³")),
            Field(key="maker", label="Maker asks, from to", reading=f.VOLUME, units=("L", "ft³"), takes=f.FROM_TO),
            Field(key="size", label="Or only the driver's size", reading=f.SIDE, units=("mm", "in")),
        ),
    ),
    Card(
        number=9,
        title="The cabin, by tape",
        tools="Tape, and someone to hold its end.",
        how=(
            "Inside: length from windscreen to tailgate, width, height of the air.",
            "The ear of the one who matters: from the front, from the left, from the floor.",
        ),
        caution="Measure with the vehicle parked and the key out: airbags stay armed.",
        alternative="A vehicle from the side with its inner length and height, and an ear.",
        fields=(
            _length("length", "Length"),
            _length("width", "Width"),
            _length("height", "Height"),
            Field(key="ear", label="Ear", reading=f.LENGTH, units=("m", "ft"), takes=f.PLACE),
            Field(key="boot", label="Boot", options=(BOOT_OPEN, BOOT_CLOSED)),
        ),
    ),
    Card(
        number=10,
        title="Where does it leak or rattle?",
        tools="Tissue, torch, a tone of 30 Hz. Only after check 12.",
        how=(
            "Play 30 Hz softly. Look with the torch for holes behind the loudspeaker.",
            "Hold the tissue at each. Then sweep softly, and press on what rattles.",
        ),
        caution="Softly: low tones harm ears without sounding loud. Seal nothing yet; a sensor may read that air.",
        alternative="A tissue flutters before a small hole beside a loudspeaker, and hangs still before a large one.",
        fields=(
            Field(key="tissue", label="The tissue", options=(QUIET, HISSES, BLOWS)),
            Field(key="hole", label="Holes, all together", reading=f.HOLE, units=("cm²", "in²")),
            Field(key="peaks", label="Peaks of impedance", options=(ONE_PEAK, TWO_PEAKS)),
        ),
    ),
    Card(
        number=11,
        title="What wakes it, what drains it?",
        tools="Clamp meter for DC, or meter on mV across a fuse.",
        how=(
            "Lock the vehicle, take the key away, wait 30 minutes.",
            "Read the remote wire's volts, the amplifier's lamp, and the current.",
            "Engine idling, lamps on: read the battery.",
        ),
        caution="Never an ampere range in line while you lock or crank, or across a battery. Open no loaded feed.",
        alternative="A clamp round the battery's cable of a locked vehicle, and a clock at thirty minutes.",
        fields=(
            Field(key="waited", label="Waited", reading=f.MINUTES, units=("minute",)),
            Field(key="remote", label="Remote wire", reading=f.DC, units=("V",)),
            Field(key="current", label="Current", reading=f.CURRENT, units=("A",)),
            Field(key="fuse", label="Or over its fuse", reading=f.MILLIVOLTS, units=("mV",)),
            Field(key="usable", label="Usable charge", reading=f.CHARGE, units=("Ah",)),
            Field(key="idle", label="Idling, lamps on", reading=f.DC, units=("V",)),
        ),
        wires=True,
    ),
    Card(
        number=12,
        title="Sensors, noise cancelling, emergency call",
        tools="Handbook, dealer.",
        how=(
            "Ask whether doors and seats hold sensors. Answer at the top of this page.",
            "Ask whether noise cancelling or an emergency call plays through the factory loudspeakers.",
            "After each stage try chimes and hands-free.",
        ),
        caution="Never test by sealing, unplugging or calling. What is not known counts as fitted.",
        alternative="A door with a pressure sensor in its cavity, and an open handbook.",
        fields=(
            Field(key="cancelling", label="Noise cancelling", options=(NONE, FITTED, NOT_KNOWN)),
            Field(key="call", label="Emergency call", options=(NONE, FITTED, NOT_KNOWN)),
        ),
    ),
)
