"""A file with a measured impedance."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from ..arguments import FREQUENCIES, PATH, Single, takes
from ..errors import Refused
from ..quantity import Quantity
from ..tables.cells import check_count, check_single, likely_number, name_and_unit, number_of, rows_of, unit_factor
from .curves import MAGNITUDE, RESISTANCE, Measured, in_radians

PHASE = Quantity(unit="rad", meaning="phase of the impedance", low=-7.0, high=7.0)
VOLTS = Quantity(unit="V", meaning="reading of the meter", low=1e-6, high=1e3)
COLUMNS = {
    "frequency": FREQUENCIES.quantity,
    "impedance": MAGNITUDE,
    "magnitude": MAGNITUDE,
    "phase": PHASE,
    "driver": VOLTS,
    "resistor": VOLTS,
}


@takes(path=PATH, resistor=Single(RESISTANCE))
def read_impedance(path, resistor=None):
    r"""Read a measured impedance.

    Parameters
    ----------
    path : str or path-like
        A CSV file in UTF-8, with the unit in each heading. Lines that begin with # are remarks. It holds
        `frequency [Hz], impedance [ohm], phase [deg]`; the phase may be left out. Or it holds the volts of one meter,
        at the driver and at a resistor in line with it: `frequency [Hz], driver [V], resistor [V]`.
    resistor : float, optional
        Of that resistor, by the ohmmeter. [ohm]

    Returns
    -------
    Measured
        Frequency and impedance, as `driver_from_impedance` takes them; complex if there is a phase. [Hz], [ohm]

    Raises
    ------
    ValueError
        The message names file, row, column, value and the likely slip.

    Notes
    -----
    .. math:: |Z| = R\,\frac{V_{driver}}{V_{resistor}}

    Only the ratio of the two voltages counts. So the meter may be wrong, if it is wrong alike for both: cheap ones are
    specified from about 45 to 400 Hz only.

    Examples
    --------
    >>> from lumpedbox.tables.shipped import data_folder
    >>> read = read_impedance(data_folder() / "impedance_readings.csv", resistor=10.0)
    >>> print(f"{read.frequency[0]:.0f} Hz: {read.impedance[0]:.1f} ohm")
    20 Hz: 10.4 ohm
    """
    path = Path(path)
    if not path.is_file():
        raise ValueError(f"{path.name} is not there: check the name and the folder")
    (number, headings), *rows = rows_of(path)
    where = f"{path.name}, row {number}"
    factors = _factors(headings, where)
    table = [_row(row, headings, f"{path.name}, row {number}") for number, row in rows if not row[0].startswith("#")]
    if not table:
        raise ValueError(f"{path.name} has headings but no readings below them")
    cells = np.array(table).T
    columns = {name: factor * column for (name, factor), column in zip(factors.items(), cells, strict=True)}
    try:
        checked = {name: COLUMNS[name].accept(path.name, name, column) for name, column in columns.items()}
        return Measured(checked["frequency"], _impedance(checked, resistor, headings, path.name))
    except Refused as error:
        raise ValueError(f"{path.name}, column {error.name}: {error.sentence}") from None


def _factors(headings, where):
    """Return what each column is multiplied by to be in SI, by its name."""
    if headings[0].strip()[:1].isdigit():
        raise ValueError(f"{where}: headings come first: write 'frequency [Hz], impedance [ohm]' above the readings")
    pairs = [name_and_unit(heading, where) for heading in headings]
    check_single([name for name, _ in pairs], where)
    factors = {}
    for heading, (name, unit) in zip(headings, pairs, strict=True):
        if unit in ("dB", "dBSPL"):
            raise ValueError(f"{where}: {heading.strip()!r} is a level curve: an impedance is in [ohm]")
        if name not in COLUMNS:
            raise ValueError(f"{where}: heading {heading!r} is not known: choose from {', '.join(COLUMNS)}")
        factors[name] = unit_factor(unit, COLUMNS[name], heading, where)
    _check_ways(factors, where)
    return factors


def _check_ways(names, where):
    """Refuse headings that make no impedance, or two."""
    if "frequency" not in names:
        raise ValueError(f"{where}: there is no heading 'frequency [Hz]'")
    ways = [way for way in (("impedance",), ("magnitude",), ("driver", "resistor")) if set(way) <= set(names)]
    if len(ways) != 1:
        wanted = "'impedance [ohm]', or 'driver [V]' and 'resistor [V]'"
        raise ValueError(f"{where}: beside the frequency there must be {wanted}: exactly one of these")


def _row(row, headings, where):
    check_count(row, headings, where)
    numbers = []
    for heading, cell in zip(headings, row, strict=True):
        if not cell.strip():
            raise ValueError(f"{where}: {heading} is empty: leave the whole row out")
        try:
            numbers.append(number_of(cell))
        except ValueError:
            raise ValueError(f"{where}: {heading} must be a number, got {cell!r}{likely_number(cell)}") from None
    return numbers


def _impedance(columns, resistor, headings, name):
    if "driver" in columns:
        if resistor is None:
            raise ValueError(f"{name} holds volts: give read_impedance.resistor, its resistor by the ohmmeter in ohm")
        return resistor * columns["driver"] / columns["resistor"]
    magnitude = columns.get("impedance", columns.get("magnitude"))
    if "phase" not in columns:
        return magnitude
    phase, in_degrees = columns["phase"], any("[deg" in heading or "[°" in heading for heading in headings)
    if in_degrees and in_radians(magnitude, phase):
        raise ValueError(f"{name}: the phase never exceeds {np.degrees(phase).max():.2g} deg: is it in [rad]?")
    return magnitude * np.exp(1j * phase)
