"""Tables in and out, the unit in every heading."""

from __future__ import annotations

import csv
import dataclasses
import difflib
import re
from pathlib import Path

from .parts.cabin import Cabin
from .parts.driver import ELECTRICAL_Q, EQUIVALENT_VOLUME, MECHANICAL_Q, RESONANCE, Driver
from .quantity import Quantity
from .shipped import data_folder
from .written import factor

SMALL_SIGNAL = {"fs": RESONANCE, "Qes": ELECTRICAL_Q, "Qms": MECHANICAL_Q, "Vas": EQUIVALENT_VOLUME}
MADE_OF = ("Re", "Bl", "Mms", "Cms", "Rms", "Sd")
SHEET = ("fs", "Qes", "Qms", "Vas", "Sd", "Re")


def rules_of(kind):
    """Return name: rule of every field of a part that a table can hold."""
    rules = {spec.name: spec.metadata["rule"] for spec in dataclasses.fields(kind)}
    # the unit of a semi-inductance, ohm s^n, depends on another column
    return {name: rule for name, rule in rules.items() if not name.startswith("semi_")}


DRIVER_RULES = {**SMALL_SIGNAL, **rules_of(Driver)}
CABIN_RULES = rules_of(Cabin)


def demo_drivers():
    """Return the invented drivers of the demonstration, by name."""
    return read_drivers(data_folder() / "drivers.csv")


def read_drivers(path):
    """Read a table of drivers.

    Parameters
    ----------
    path : str or path-like
        A CSV file in UTF-8. Lines that begin with # are remarks. Headings are those of `Driver.from_thiele_small` or
        `Driver`, each with its unit in brackets (`Vas [L]`, `Sd [cm^2]`, `xmax [mm]`); any unit that pint reads will
        do. An empty cell is a quantity that is not known.

    Returns
    -------
    dict
        Name: Driver, in the order of the table.

    Raises
    ------
    ValueError
        The message names file, row, column, value and the likely slip.
    """
    return _read(path, DRIVER_RULES, _driver)


def demo_cabins():
    """Return the invented cabins of the demonstration, by name."""
    return read_cabins(data_folder() / "cabins.csv")


def read_cabins(path):
    """Read a table of cabins.

    Parameters
    ----------
    path : str or path-like
        As for `read_drivers`, with the headings of `Cabin` (`length [m]`, `leak [Hz]`).

    Returns
    -------
    dict
        Name: Cabin, in the order of the table.

    Raises
    ------
    ValueError
        The message names file, row, column, value and the likely slip.
    """
    return _read(path, CABIN_RULES, _cabin)


def _read(path, rules, build):
    """Read a table into parts by name: one row, one part."""
    path = Path(path)
    (number, headings), *rows = _rows(path)
    columns = [_column(heading, rules, f"{path.name}, row {number}") for heading in headings]
    _check_headings(columns, f"{path.name}, row {number}")
    parts = {}
    for number, row in rows:
        where = f"{path.name}, row {number}"
        part = build(_known(columns, row, where), where)
        if part.name in parts:
            raise ValueError(f"{where}: there is one named {part.name!r} already")
        parts[part.name] = part
    return parts


def _rows(path):
    """Return the numbered rows of a file, headings first, without remarks and empty lines."""
    try:
        with open(path, newline="", encoding="utf-8-sig") as file:
            rows = [(n, row) for n, row in enumerate(csv.reader(file), start=1) if row and not row[0].startswith("#")]
    except (UnicodeDecodeError, csv.Error) as error:
        raise ValueError(f"{path.name} is not a CSV table in UTF-8: {error}") from None
    if not rows:
        raise ValueError(f"{path.name} holds no table: the first line without # must be the headings")
    return rows


@dataclasses.dataclass(frozen=True, slots=True)
class Column:
    """A heading, what it stands for and what its numbers are multiplied by."""

    heading: str
    name: str
    rule: object
    factor: float


def _column(heading, rules, where):
    match = re.fullmatch(r"\s*([^\[\]]+?)\s*(?:\[([^\]]*)\])?\s*", heading)
    name = match[1].replace(" ", "_") if match else heading
    if name not in rules:
        raise ValueError(f"{where}: heading {heading!r} is not known: {_likely_heading(heading, name, rules)}")
    rule = rules[name]
    return Column(heading, name, rule, _factor(match[2], rule, heading, where) if isinstance(rule, Quantity) else 1.0)


def _likely_heading(heading, name, rules):
    separator = next((sign for sign in (";", "\t") if sign in heading), None)
    if separator:
        return f"separate the cells by commas, not by {separator!r}"
    in_brackets = re.fullmatch(r"(\S+)\s*\((.*)\)", heading.strip())
    if in_brackets and in_brackets[1] in rules:
        return f"did you mean '{in_brackets[1]} [{in_brackets[2]}]'?"
    alike = {known.lower(): known for known in rules}
    near = difflib.get_close_matches(name.lower(), alike, n=1, cutoff=0.4)
    return f"did you mean {alike[near[0]]!r}?" if near else f"known are {', '.join(rules)}"


def _factor(unit, rule, heading, where):
    """Return what a number in `unit` is multiplied by to be in SI units."""
    if not rule.unit:
        if unit:
            raise ValueError(f"{where}: heading {heading!r} has a unit, but {rule.meaning} is a plain number")
        return 1.0
    if not unit:
        raise ValueError(f"{where}: heading {heading!r} has no unit: write it in brackets, as in [{rule.unit}]")
    try:
        return factor(unit, rule.unit)
    except ValueError as error:
        raise ValueError(f"{where}: in heading {heading!r}, {error}") from None


def _check_headings(columns, where):
    names = [column.name for column in columns]
    double = next((name for name in names if names.count(name) > 1), None)
    if double:
        raise ValueError(f"{where}: {double!r} stands in two headings")
    if "name" not in names:
        raise ValueError(f"{where}: there is no heading 'name'")


def _known(columns, row, where):
    """Return the filled cells of a row, by name, in SI units."""
    if len(row) != len(columns):
        raise ValueError(f"{where}: there are {len(row)} cells under {len(columns)} headings")
    cells = [(column, cell.strip()) for column, cell in zip(columns, row, strict=True)]
    known = {column.name: _value(column, cell, where) for column, cell in cells if cell}
    if "name" not in known:
        raise ValueError(f"{where}: the name is empty")
    return known


def _driver(known, where):
    if set(MADE_OF) <= set(known):
        return Driver(**{name: value for name, value in known.items() if name not in SMALL_SIGNAL})
    _demand(SHEET, known, where)
    given = {name: value for name, value in known.items() if name in SHEET or name not in MADE_OF}
    try:
        return Driver.from_thiele_small(**given)
    except ValueError as error:
        raise ValueError(f"{where} ({known['name']}): fs, Vas and Sd do not go together: {error}") from None


def _cabin(known, where):
    _demand(("length", "width", "height"), known, where)
    return Cabin(**known)


def _demand(names, known, where):
    absent = [name for name in names if name not in known]
    if absent:
        raise ValueError(f"{where} ({known['name']}): {', '.join(absent)} must be given")


def _value(column, cell, where):
    where = f"{where}, column {column.heading!r}"
    if not isinstance(column.rule, Quantity):
        return column.rule.accept(where, column.name, cell)
    try:
        number = float(cell)
    except ValueError:
        comma = f": did you mean {cell.replace(',', '.')}?" if re.fullmatch(r"-?\d+,\d+", cell) else ""
        raise ValueError(f"{where}: {cell!r} is not a number{comma}") from None
    try:
        return column.rule.accept("table", column.name, number * column.factor)
    except ValueError as error:
        raise ValueError(f"{where}, {cell!r}: {error}") from None
