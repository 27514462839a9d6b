"""Tables of drivers, cabins, amplifiers and measured levels, with the unit in every heading."""

from __future__ import annotations

import dataclasses
import functools
import math
import warnings
from pathlib import Path

from ..arguments import PATH, takes
from ..errors import RefusedType
from ..parts.amplifier import Amplifier, HeadUnit
from ..parts.cabin import Cabin
from ..parts.data_sheet.printed import PRINTED
from ..parts.filters import LevelTable
from ..parts.line import Converter
from ..parts.stand_in import KIND, SIZE
from ..quantity import LevelPoints, Text, shown
from .cells import (
    check_count,
    check_single,
    likely_number,
    name_and_unit,
    number_of,
    read_table,
    rows_of,
    unit_factor,
)
from .drivers import sheet_or_stand_in


class KindOfTable:
    """The class of the parts that a table holds."""

    def accept(self, owner, name, value):
        if not (isinstance(value, type) and issubclass(value, (Amplifier, HeadUnit, Cabin, Converter))):
            raise RefusedType(
                owner, name, f"must be Cabin, Amplifier, HeadUnit or Converter (the class), got {shown(value)}"
            )
        return value


KIND_OF_TABLE = KindOfTable()


def rules_of(kind):
    """Return name: rule of every field of a part that a table can hold."""
    rules = {spec.name: spec.metadata["rule"] for spec in dataclasses.fields(kind)}
    return {name: rule for name, rule in rules.items() if not isinstance(rule, LevelPoints)}


DRIVER_RULES = {"name": Text(), "size": SIZE, "kind": KIND} | PRINTED


@takes(path=PATH)
def read_drivers(path):
    """Read a table of drivers: see `read_sheets`.

    Parameters
    ----------
    path : str or path-like

    Returns
    -------
    dict
        Name: Driver, in the order of the table.

    Raises
    ------
    ValueError
        The message names file, row, column, value and the likely slip.

    Warns
    -----
    UserWarning
        If a row contradicts itself; the driver then agrees with the rest of it.
    """
    sheets = read_sheets(path)
    for name, sheet in sheets.items():
        if sheet.report.contradictory:
            said = "; ".join(map(str, sheet.report.contradictory))
            warnings.warn(f"{Path(path).name} ({name}): {said}", stacklevel=2)
    return {name: sheet.driver for name, sheet in sheets.items()}


@takes(path=PATH)
def read_sheets(path):
    """Read a table of drivers, one data sheet a row.

    Parameters
    ----------
    path : str or path-like
        A CSV file in UTF-8. Lines that begin with # are remarks. Below the headings, a line that fills another cell
        too is not a remark, so that a part may be called #1. Headings are the arguments of `Driver.from_data_sheet`,
        each with its unit in brackets (`Vas [L]`, `Sd [cm^2]`, `xmax [mm]`); any unit that pint reads will do. An
        empty cell is an unknown quantity. A row with `size [mm]` and `kind`, and none of the numbers of the driver
        itself, is a stand-in (`Driver.typical`).

    Returns
    -------
    dict
        Name: DataSheet, with `driver` and `report`, in the order of the table; the name of a stand-in says so.

    Raises
    ------
    ValueError
        The message names file, row, column, value and the likely slip.
    """
    sheets = {}
    for sheet in read_table(path, DRIVER_RULES, _sheet).values():
        name = sheet.driver.name  # of a stand-in, longer than in its row
        if name in sheets:
            raise ValueError(f"{Path(path).name}: two rows would be named {name!r}: rename one of them")
        sheets[name] = sheet
    return sheets


@takes(path=PATH, kind=KIND_OF_TABLE)
def read_parts(path, kind):
    """Read a table of cabins, amplifiers, head units or converters.

    Parameters
    ----------
    path : str or path-like
        As for `read_sheets`, with the fields of that part as headings (`length [m]`, `minimum load [ohm]`).
        A place holds its three lengths: "2.6, 0.5, 1.15" below `ear [m]`. Below `places [m]` each has its name before
        it, and a semicolon parts them: "step well = 0.6, 0.1, 0.35; wheel arch = 4.6, 1.55, 0.3".
    kind : type
        `Cabin`, `Amplifier`, `HeadUnit` or `Converter`.

    Returns
    -------
    dict
        Name: part, in the order of the table.

    Raises
    ------
    ValueError
        The message names file, row, column, value and the likely slip.
    """
    return read_table(path, rules_of(kind), functools.partial(_part, kind))


@takes(path=PATH)
def read_levels(path):
    """Read a table of measured levels over frequency, such as a source at several volumes, or noise in a cabin.

    Parameters
    ----------
    path : str or path-like
        A CSV file in UTF-8. Lines that begin with # are remarks. The first heading is `frequency [Hz]` or in kHz; the
        others name what was measured, with [dB] (`volume 20 [dB]`) or [V]: volts become dB re 1 V. A `phase [deg]` is
        ignored: each level gets its minimum phase.

    Returns
    -------
    dict
        Name: LevelTable, in the order of the table.

    Raises
    ------
    ValueError
        The message names file, row, column and value.

    Examples
    --------
    >>> from lumpedbox.tables import demo_levels
    >>> list(demo_levels())
    ['volume 10', 'volume 20', 'volume 30']
    """
    path = Path(path)
    (number, headings), *rows = rows_of(path)
    where = f"{path.name}, row {number}"
    (first, unit), *others = [name_and_unit(heading, where) for heading in headings]
    check_single([name for name, unit in others if unit != "deg"], where)
    if first != "frequency":
        raise ValueError(f"{where}: the first heading must be 'frequency [Hz]', got {headings[0]!r}")
    hertz = unit_factor(unit, LevelPoints.frequency, headings[0], where)
    for name, unit in others:
        if unit not in ("dB", "V", "deg"):
            raise ValueError(f"{where}: {name!r} must be in [dB], got {f'[{unit}]' if unit else 'no unit'}")
    if not others:
        raise ValueError(f"{where}: there is no level beside the frequency: add one, as in 'level [dB]'")
    rows = [(number, row) for number, row in rows if not row[0].startswith("#")]
    columns = zip(*[_numbers(row, headings, f"{path.name}, row {number}") for number, row in rows], strict=True)
    frequency, *levels = columns if rows else [()] * len(headings)
    try:
        return {
            name: LevelTable(points=tuple(zip((hertz * f for f in frequency), in_decibels(level, unit), strict=True)))
            for (name, unit), level in zip(others, levels, strict=True)
            if unit != "deg"
        }
    except (ValueError, TypeError) as error:
        raise ValueError(f"{path.name}: {error}") from None


def in_decibels(column, unit):
    r"""Return a column of levels; volts as dB re 1 V.

    .. math:: L = 20 \log_{10}(V / 1\,\mathrm{V})
    """
    if unit == "dB":
        return column
    if min(column, default=1.0) <= 0:
        raise ValueError(f"a reading in V must be above 0, got {min(column):g}: leave out what the meter did not show")
    return [20 * math.log10(volts) for volts in column]


def _numbers(row, headings, where):
    """Return the cells of a row as numbers."""
    check_count(row, headings, where)
    found = []
    for heading, cell in zip(headings, row, strict=True):
        try:
            found.append(number_of(cell))
        except ValueError:
            raise ValueError(f"{where}: {heading} must be a number, got {cell!r}{likely_number(cell)}") from None
    return found


def _sheet(known, where):
    try:
        return sheet_or_stand_in(known)
    except ValueError as error:
        raise ValueError(f"{where} ({known['name']}): {error}") from None


def _part(kind, known, where):
    """Make a part from a row."""
    needed = [spec.name for spec in dataclasses.fields(kind) if spec.default is dataclasses.MISSING]
    absent = [name for name in needed if name not in known]
    if absent:
        raise ValueError(f"{where} ({known['name']}): {', '.join(absent)} must be given")
    try:
        part = kind(**known)
        if isinstance(part, Cabin):
            part.check_as_measured()
    except ValueError as error:
        raise ValueError(f"{where} ({known['name']}): {error}") from None
    return part
