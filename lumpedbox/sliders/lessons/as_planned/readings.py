"""What was measured, read from a few lines or a file: an impedance, or a level curve."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np

from ....errors import Refused, RefusedType
from ....measure import Measured, read_impedance
from ....measure.curves import FEWEST, Curve
from ....plan.checks import Reading, read
from ....tables.quantity_text import number_in, with_point
from ....tables.read import read_levels
from ...kit.readings_file import with_commas
from ..measure_a_driver.bench import LABELS, VOLTS

IMPEDANCE, LEVEL = "impedance of the box", "level in the vehicle"
HERTZ = Reading(unit="Hz", low=1.0, high=30e3)
FIELDS = {  # of one reading, by what is measured: key, label, what it must be
    IMPEDANCE: (
        ("frequency", "Frequency", HERTZ),
        ("driver", "Across the box", VOLTS),
        ("resistor", LABELS["resistor"], VOLTS),
    ),
    LEVEL: (("frequency", "Frequency", HERTZ), ("level", "Level", None)),
}
HEADINGS = {IMPEDANCE: "frequency [Hz], driver [V], resistor [V]", LEVEL: "frequency [Hz], level [dB]"}
INVENTED = "# invented: "  # begins the lines of an example
# Hz that are used. Above, the coil's eddy currents, the panels of a cabin and its resonances say more than the box.
LOWEST, HIGHEST = 10.0, {IMPEDANCE: 400.0, LEVEL: 200.0}
MOST = 120  # readings that are used: more tell hardly more, and take longer
OCTAVE = 2.0  # ratio of neighbours, from which on a gap is told
GAP_BELOW = 150.0  # Hz, above which a box shows little
IN_KILOHERTZ = 3.0  # Hz; who measures a box goes higher
OHMS_FOR_LEVELS = "That is an impedance: choose it under “Measured”."
LEVELS_FOR_OHMS = f"Choose “{LEVEL}” under “Measured”."


def as_read(kind, text, line, name="readings.csv"):
    """Return the lines of a curve, in rising frequency, as `Measured` or as pairs of frequency and level.

    Parameters
    ----------
    kind : {IMPEDANCE, LEVEL}
    text : str
        Headings, and a reading a line.
    line : float
        The resistor in line. [ohm]
    name : str
        What the text is called in a complaint.

    Returns
    -------
    Measured, array of shape (n, 2) or None
        None where there are no readings. [Hz], [ohm] or [dB]

    Raises
    ------
    ValueError
        That names the row, the column and the likely slip.
    """
    if not text.strip() or text.strip() == HEADINGS[kind]:
        return None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / (Path(name).stem + ".csv")
        lines = with_commas(text)
        path.write_text(_in_order(lines) if kind == LEVEL else lines, encoding="utf-8")
        measured = _ohms(path, line) if kind == IMPEDANCE else _levels(path)
    _check_frequencies(frequencies_of(measured))
    if kind == IMPEDANCE:
        return _checked(measured)
    return measured


def _in_order(text):
    """Return lines in rising frequency, where that can be read."""
    heading, *lines = (line for line in text.strip().splitlines() if line.strip())

    def frequency(line):
        try:
            return float(line.partition(",")[0])
        except ValueError:  # it is told as it stands
            return -np.inf

    return "\n".join([heading, *sorted(lines, key=frequency)])


def _ohms(path, line):
    """Return the impedance of a file; say where levels belong."""
    heading, *_ = path.read_text(encoding="utf-8").splitlines()
    try:
        return read_impedance(path, resistor=line)
    except ValueError as error:
        hint = f". {LEVELS_FOR_OHMS}" if "dB]" in heading else ""
        raise ValueError(f"{error}{hint}") from None


def _levels(path):
    """Return the first level curve of a file, as pairs of frequency and level."""
    heading, *lines = path.read_text(encoding="utf-8").splitlines()
    if "V]" in heading and "resistor" in heading:
        raise ValueError(f"{path.name} holds the volts of a meter. {OHMS_FOR_LEVELS}")
    alone = len(lines) == 1 and not lines[0].startswith("#")
    if alone:  # one reading is a beginning, but no table: it is read as a flat one
        frequency, _, rest = lines[0].partition(",")
        path.write_text("\n".join([heading, lines[0], f"{_ten_times(frequency)},{rest}"]), encoding="utf-8")
    try:
        points = next(iter(read_levels(path).values())).points
    except ValueError as error:
        hint = f". {OHMS_FOR_LEVELS}" if "ohm]" in heading else ""
        raise ValueError(f"{error}{hint}") from None
    return np.array(points[:1] if alone else points)


def _ten_times(text):
    """Return ten times a number as text; what is none stays, to be told as it stands."""
    try:
        return f"{10 * float(text):.10g}"
    except ValueError:
        return text


def _check_frequencies(frequency):
    if np.max(frequency) < IN_KILOHERTZ:
        end = f"{np.max(frequency):.3g}"
        raise ValueError(f"The frequencies end at {end} Hz: are they kHz? Then write frequency [kHz] on top.")
    frequency = np.sort(frequency)
    again = frequency[1:][np.diff(frequency) == 0]
    if len(again):
        raise ValueError(f"{again[0]:.4g} Hz stands there twice: keep one of its readings.")


def _checked(measured):
    """Return an impedance in rising frequency; refuse what can be none."""
    if len(measured.frequency) < FEWEST:
        order = np.argsort(measured.frequency)
        return Measured(measured.frequency[order], measured.impedance[order])
    try:
        return Curve().accept("readings", "impedance", measured)
    except (Refused, RefusedType) as error:
        raise ValueError(f"This impedance {error.sentence}") from None


def frequencies_of(measured):
    """Return where there are readings. [Hz]"""
    return measured.frequency if isinstance(measured, Measured) else measured[:, 0]


def values_of(measured):
    """Return the readings: ohm of an impedance, dB of a level."""
    return measured.magnitude if isinstance(measured, Measured) else measured[:, 1]


def used(kind, measured):
    """Return what is compared: the readings in range, thinned evenly over the octaves where there are very many."""
    frequency = frequencies_of(measured)
    kept = np.flatnonzero((frequency >= LOWEST) & (frequency <= HIGHEST[kind]))
    if len(kept) > MOST:
        wanted = np.geomspace(frequency[kept[0]], frequency[kept[-1]], MOST)
        kept = kept[np.unique(np.abs(np.log(frequency[kept] / wanted[:, np.newaxis])).argmin(axis=1))]
    if isinstance(measured, Measured):
        return Measured(measured.frequency[kept], measured.impedance[kept])
    return measured[kept]


def gap_in(frequency):
    """Return the ends of the widest gap where a box shows, if it is an octave or more; else None. [Hz]"""
    inside = np.sort(frequency[frequency < OCTAVE * GAP_BELOW])
    if len(inside) < 2:
        return None
    ratios = np.where(inside[:-1] < GAP_BELOW, inside[1:] / inside[:-1], 1.0)
    at = int(np.argmax(ratios))
    return (float(inside[at]), float(inside[at + 1])) if ratios[at] >= OCTAVE else None


def is_invented(text):
    """Whether lines are those of an example."""
    return text.startswith(INVENTED)


def with_a_reading(kind, text, typed):
    """Return the lines of a curve with one more reading.

    Raises
    ------
    ValueError
        That names the field and what is wrong with it.
    """
    numbers = []
    for key, label, reading in FIELDS[kind]:
        written = typed.get(key, "")
        if not written.strip():
            raise ValueError(f"{label}: nothing is typed yet.")
        try:
            number = read(reading, written) if reading else number_in(with_point(written), "dB", 1.0)
            numbers.append(f"{number:.6g}")
        except ValueError as error:
            raise ValueError(f"{label}: {error}") from None
    if is_invented(text):
        raise ValueError("The readings that stand here are invented: clear them first.")
    lines = text.strip().splitlines() or [HEADINGS[kind]]
    if lines[0].strip() != HEADINGS[kind]:
        raise ValueError("These readings came from a file: type a line of the same kind below them, or clear them.")
    return "\n".join([*lines, ", ".join(numbers)])


def as_lines(kind, measured):
    """Return a measured curve as the page shows it: headings, and a reading a line."""
    frequency, values = frequencies_of(measured), values_of(measured)
    if kind == LEVEL:
        return "\n".join([HEADINGS[LEVEL], *(f"{f:.5g}, {v:.2f}" for f, v in zip(frequency, values, strict=True))])
    if not np.iscomplexobj(measured.impedance):
        rows = (f"{f:.5g}, {z:.4g}" for f, z in zip(frequency, values, strict=True))
        return "\n".join(["frequency [Hz], impedance [ohm]", *rows])
    phase = np.degrees(np.angle(measured.impedance))
    rows = (f"{f:.5g}, {z:.4g}, {p:.2f}" for f, z, p in zip(frequency, values, phase, strict=True))
    return "\n".join(["frequency [Hz], impedance [ohm], phase [deg]", *rows])
