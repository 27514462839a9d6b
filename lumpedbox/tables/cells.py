"""The cells of a CSV table: rows, headings with their units, numbers, and what is often wrong with them."""

from __future__ import annotations

import codecs
import csv
import dataclasses
import difflib
import io
import itertools
import re
from pathlib import Path

from .. import units
from ..errors import Refused
from ..parts.cabin import NamedPlaces
from ..quantity import Position, Quantity, Text, Whole
from .quantity_text import NUMBER, factor
from .written import AXES, as_written

HEADING = re.compile(r"\s*([^\[\]]+?)\s*(?:\[([^\]]*)\])?\s*")  # a name, and its unit in brackets

EMPTY_HEADING = "there is an empty heading (a trailing comma?)"

UNKNOWN = ("-", "–", "—", "?", "n/a", "n.a.", "na", "none", "unknown")

SHORT = {"rms": "r.m.s.", "max": "maximum"}


def name_and_unit(heading, where):
    """Return the name and the unit of a heading."""
    if not heading.strip():
        raise ValueError(f"{where}: {EMPTY_HEADING}")
    match = HEADING.fullmatch(heading)
    if not match:
        likely = _other_separator(heading) or "write a name with its unit in brackets, as in 'level [dB]'"
        raise ValueError(f"{where}: heading {heading!r} is not a name with its unit in brackets: {likely}")
    return match[1], match[2]


def check_count(row, headings, where):
    if len(row) != len(headings):
        likely = ": is there a comma in a number or a name?" if len(row) > len(headings) else ""
        likely = ": a remark below the headings must not hold a comma" if row[0].startswith("#") else likely
        raise ValueError(f"{where}: there are {len(row)} cells under {len(headings)} headings{likely}")


def read_table(path, rules, build):
    """Read a table into what `build` makes of each row, by name."""
    path = Path(path)
    (number, headings), *rows = rows_of(path)
    columns = [_column(heading, rules, f"{path.name}, row {number}") for heading in headings]
    _check_headings(columns, f"{path.name}, row {number}")
    parts = {}
    for number, row in rows:
        where = f"{path.name}, row {number}"
        known = _known(columns, row, where)
        if known["name"] in parts:
            raise ValueError(f"{where}: the name {known['name']!r} is taken already")
        parts[known["name"]] = build(known, where)
    return parts


def rows_of(path):
    """Return the numbered rows of a file, headings first, without remarks and empty rows."""
    numbered = _numbered_rows(path)
    filled = ((number, row) for number, row in numbered if any(cell.strip() for cell in row))
    rows = list(itertools.dropwhile(lambda found: found[1][0].startswith("#"), filled))
    if not rows:
        raise ValueError(f"{path.name} holds no table: the first line without # must be the headings")
    (_, headings), *rest = rows
    return [rows[0], *((number, _cells(row, len(headings))) for number, row in rest if not _is_remark(row))]


def _numbered_rows(path):
    """Return the rows of a file, each with the number of the line on which it begins."""
    reader, rows = csv.reader(io.StringIO(_text(path), newline=""), strict=True), []
    while True:
        number = reader.line_num + 1
        try:
            rows.append((number, next(reader)))
        except StopIteration:
            return rows
        except csv.Error:
            raise ValueError(
                f"{path.name}, row {number}: a quote is not closed, or is inside another: quote a whole cell, as "
                'in "step well, left"; for inches, write in'
            ) from None


def _text(path):
    """Return the text of a file in UTF-8, or in UTF-16 that says so at its beginning."""
    content = path.read_bytes()
    encoding = "utf-16" if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else "utf-8-sig"
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as error:
        row = content[: error.start].count(b"\n") + 1
        raise ValueError(
            f"{path.name} is not a CSV table in UTF-8: row {row} has characters in another encoding. "
            "Save it again as 'CSV UTF-8'"
        ) from None
    if "\0" in text:
        raise ValueError(f"{path.name} is not a CSV table in UTF-8: save it again as 'CSV UTF-8'")
    return text


def _is_remark(row):
    """Tell whether a row below the headings is a remark: a row that fills other cells too is a part, called #1, say."""
    return row[0].startswith("#") and not any(cell.strip() for cell in row[1:])


def _cells(row, count):
    """Return a row without the empty cells that spreadsheets add after the last heading."""
    return row[:count] if not any(cell.strip() for cell in row[count:]) else row


@dataclasses.dataclass(frozen=True, slots=True)
class Column:
    """A heading, what it stands for and what its numbers are multiplied by."""

    heading: str
    name: str
    rule: object
    factor: float


def _column(heading, rules, where):
    if not heading.strip():
        raise ValueError(f"{where}: {EMPTY_HEADING}")
    match = HEADING.fullmatch(heading)
    name = match[1].replace(" ", "_") if match else heading
    if name not in rules:
        raise ValueError(f"{where}: heading {heading!r} is not known: {_likely_heading(heading, name, rules)}")
    rule = rules[name]
    measured = AXES[0] if isinstance(rule, (Position, NamedPlaces)) else rule
    return Column(
        heading, name, rule, unit_factor(match[2], measured, heading, where) if isinstance(measured, Quantity) else 1.0
    )


def _other_separator(heading):
    """Return what to do about a row of headings that uses something other than commas; empty if it does not."""
    signs = {";": "semicolons", "\t": "tabs"}
    sign = next((sign for sign in signs if sign in heading), None)
    return (
        f"separate the cells with commas, not {sign!r} ({signs[sign]}), and write decimals with a point" if sign else ""
    )


def _likely_heading(heading, name, rules):
    if _other_separator(heading):
        return _other_separator(heading)
    in_brackets = re.fullmatch(r"(\S+)\s*\((.*)\)", heading.strip())
    if in_brackets and in_brackets[1] in rules:
        return f"did you mean '{in_brackets[1]} [{in_brackets[2]}]'?"
    alike = {known.lower(): known for known in rules}
    near = difflib.get_close_matches(name.lower(), alike, n=1, cutoff=0.4)
    return f"did you mean {alike[near[0]]!r}?" if near else f"choose from {', '.join(rules)}"


def unit_factor(unit, rule, heading, where):
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
    check_single(names, where)
    if "name" not in names:
        raise ValueError(f"{where}: there is no heading 'name'")


def check_single(names, where):
    double = next((name for name in names if names.count(name) > 1), None)
    if double:
        raise ValueError(f"{where}: {double!r} appears in two headings")


def _known(columns, row, where):
    """Return the filled cells of a row, by name, in SI units."""
    check_count(row, columns, where)
    cells = [(column, cell.strip()) for column, cell in zip(columns, row, strict=True)]
    known = {column.name: _value(column, cell, where) for column, cell in cells if cell}
    if "name" not in known:
        raise ValueError(f"{where}: the name is empty")
    return known


def _value(column, cell, where):
    """Return what a cell that is not empty holds, in SI units."""
    where, rule = f"{where}, column {column.heading!r}", column.rule
    if isinstance(rule, Text):
        return cell
    if cell.lower() in UNKNOWN:
        raise ValueError(f"{where}: {cell!r}: leave the cell empty if the value is not known")
    if isinstance(rule, Quantity):
        return _number(column, cell, where)
    if isinstance(rule, (Position, NamedPlaces)):
        return _places(column, cell, where)
    if isinstance(rule, Whole) and not re.fullmatch(r"\d{1,9}", cell):
        raise ValueError(f"{where}: {cell!r} is not a whole number")
    try:
        return rule.accept("table", column.name, int(cell) if isinstance(rule, Whole) else word_of(rule, cell))
    except Refused as error:
        raise ValueError(f"{where}: {error.sentence}") from None


def _places(column, cell, where):
    """Return a place, or places by name. [m]"""

    def place(lengths):
        columns = (dataclasses.replace(column, rule=axis) for axis in AXES)
        return tuple(_number(one, length, where) for one, length in zip(columns, lengths, strict=True))

    try:
        written = as_written(column.rule, cell)
    except ValueError as error:
        raise ValueError(f"{where}: {error} (the unit stands in the heading)") from None
    return {name: place(p) for name, p in written.items()} if isinstance(written, dict) else place(written)


def word_of(rule, text):
    """Return the known word that is written, in any capitals or cut short; else the text."""
    known = {word.lower(): word for word in rule.words}
    word = SHORT.get(text.lower().replace(".", ""), text.lower())
    return known.get(word, text)


def _number(column, cell, where):
    try:
        number = number_of(cell)
    except ValueError:
        raise ValueError(f"{where}: {cell!r} is not a number{likely_number(cell)}") from None
    rule = column.rule
    if not rule.low <= number * column.factor <= rule.high:
        unit = HEADING.fullmatch(column.heading)[2] or ""
        bounds = f"{rule.low / column.factor:.5g} and {rule.high / column.factor:.5g} {unit}".rstrip()
        meant = next((name for name in rule.slips if rule.low <= number * getattr(units, name) <= rule.high), "")
        slip = f": did you mean {cell} {meant.replace('_', ' ')}?" if meant else ""
        raise ValueError(f"{where}, {cell!r}: it must be between {bounds} ({rule.meaning}){slip}")
    return number * column.factor


def number_of(cell):
    """Return a cell as a number; an underscore between digits, as in programs, counts as a slip."""
    if "_" in cell:
        raise ValueError
    return float(cell)


def likely_number(cell):
    """Return what is likely wrong with a cell that is not a number."""
    if re.fullmatch(r"[-+]?[1-9]\d{0,2},\d{3}", cell):
        return f": write {cell.replace(',', '')} or {float(cell.replace(',', '.')):g}"
    if re.fullmatch(r"[-+]?\d+,\d+", cell):
        return f": did you mean {cell.replace(',', '.')}?"
    plain = _without_thousands(cell.replace("−", "-"))
    if re.fullmatch(NUMBER, plain):
        return f": write {plain}"
    if re.fullmatch(rf"{NUMBER}\s*[A-Za-zµμΩ%°\"'”″].*", cell):
        return ": leave the unit out of the cell: it belongs in the heading"
    return ""


def _without_thousands(text):
    """Return a number without its thousands separators: a blank, an apostrophe, a comma or a point."""
    text = re.sub(r"(?<=\d)[\s'’](?=\d{3}(?!\d))", "", text)
    marks = re.sub(r"[^.,]", "", text)
    if len(marks) > 1 and marks[-1] not in marks[:-1]:
        return text.replace(marks[0], "").replace(marks[-1], ".")
    return text.replace(marks[0], "") if len(marks) > 1 else text
