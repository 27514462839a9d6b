"""The reader's own parts and choices, in a plain file that a person can read, edit and copy to another machine."""

from __future__ import annotations

import contextlib
import functools
import re
import tomllib
from pathlib import Path

from ..arguments import PATH, takes
from ..errors import Incomplete
from .atomic_write import alone, write
from .channels import channel_of
from .entries import ENTRIES, KIND, KINDS, NAME, STRUCTURED, in_words, known_of, near, part_of
from .kept import Kept
from .text_file import COMPLAINTS, IN_AN_EDITOR, as_saved, tables_of, text_of
from .toml import TOMLKitError, with_table, without_table
from .written import as_written

FILE = "my_parts.toml"

HEADING = (
    "My parts: what I typed on the pages of lumpedbox. Values carry their units; lines that begin with # are remarks.",
    "Edit it with any text editor, or copy it beside the lessons on another machine.",
)

NEW = "".join(f"# {line}\n" for line in HEADING)

HEAD = re.compile(r"""\s*\[+(?!\s*["'\[])""")  # of a table; a line of a list begins with quotes or another bracket


@takes(path=PATH)
def read(path=FILE):
    """Read all that is kept.

    Parameters
    ----------
    path : str or path-like
        The file in the current folder by default.

    Returns
    -------
    Kept
        Empty if there is no file. Do not change it.

    Raises
    ------
    ValueError
        If it cannot be read, or holds a value that makes no sense: the message names file, table, key, value and the
        likely slip.
    """
    kept, wrong = _read(text_of(path, NEW), Path(path).name)
    if wrong:
        raise ValueError(wrong[0])
    return kept


@takes(path=PATH)
def read_what_is_right(path=FILE):
    """Read all that is kept and can be understood.

    Parameters
    ----------
    path : str or path-like
        The file in the current folder by default.

    Returns
    -------
    (Kept, tuple of str)
        What is right, and what is wrong with each of the other tables, as `read` would say it. Do not change it.

    Raises
    ------
    ValueError
        If the file cannot be read at all.
    """
    return _read(text_of(path, NEW), Path(path).name)


@functools.lru_cache(maxsize=4)
def _read(text, where):
    try:
        return _understood(tables_of(text, where), where, [])
    except ValueError as error:
        tables, wrong = _one_by_one(text, where)
        return _understood(tables, where, wrong or [str(error)])


def _one_by_one(text, where):
    """Return the tables of a file that is not TOML as a whole, and what is wrong with those that are not."""
    lines, found, wrong = text.split("\n"), {}, []
    starts = [0, *(number for number, line in enumerate(lines) if number and HEAD.match(line))]
    for start, end in zip(starts, [*starts[1:], None], strict=True):
        try:
            for kind, table in tables_of("\n" * start + "\n".join(lines[start:end]), where).items():
                _join(found, kind, table, f"{where} is not written as TOML: line {start + 1} ({lines[start].strip()})")
        except ValueError as error:
            wrong.append(str(error))
    return found, wrong


def _join(found, kind, table, here):
    """Put a table among those that were found, or below the one of its name, unless it is there."""
    _check_table(f"{here}: [{kind}]", table)
    there = found.setdefault(kind, {})
    for name, entries in table.items():
        below = isinstance(entries, dict) and entries and all(isinstance(value, dict) for value in entries.values())
        if name in there and not (below and not there[name].keys() & entries.keys()):
            raise ValueError(f"{here}: {COMPLAINTS['Cannot declare']}")
        there[name] = there.get(name, {}) | entries if below else entries


def _understood(tables, where, wrong):
    """Return (Kept, what is wrong), of tables and of what is known to be wrong already."""
    kept, channels, wrong = Kept(), {}, list(wrong)
    for kind, table in tables.items():
        with _collected(wrong):
            _check_kind(where, kind, table)
            if kind == "choices":
                kept.choices.update(_known_in(f"{where}, [choices]", "choices", table))
                continue
            for name, entries in table.items():
                with _collected(wrong):
                    _check_heading(where, kind, name, entries)
                    known = _known_in(f'{where}, [{kind}."{name}"]', kind, entries)
                    kept.typed[kind][name] = entries
                    if kind == "channel":
                        channels[name] = known
                    else:
                        _add(kept, kind, name, known)
    _add_channels(where, channels, kept)
    return kept, tuple(wrong)


@contextlib.contextmanager
def _collected(wrong):
    """Put what is wrong to the rest of it, and go on with the next."""
    try:
        yield
    except ValueError as error:
        wrong.append(str(error))


def _check_kind(where, kind, table):
    if kind not in (kinds := (*KINDS, "choices")):
        raise ValueError(f"{where}: {kind!r} is not known{near(kind, kinds)}")
    _check_table(f"{where}, [{kind}]", table)


def _add(kept, kind, name, known):
    try:
        kept.parts[kind][name] = part_of(kind, name, known)
    except ValueError as error:
        kept.unfinished[kind, name] = error


def _add_channels(where, channels, kept):
    """Make the channels once all that they name is made; one that names what is not kept is unfinished.

    So nobody is locked out of the file who forgets or renames a driver.
    """
    for name, known in channels.items():
        try:
            kept.parts["channel"][name] = channel_of(name, known, kept)
        except Incomplete as error:
            kept.unfinished["channel", name] = error
        except ValueError as error:
            kept.unfinished["channel", name] = ValueError(f'{where}, [channel."{name}"]: {error}')


def _check_heading(where, kind, name, table):
    """Refuse a heading whose name has a point and no quotes: TOML takes the point for a step into a table."""
    whole = name
    while isinstance(table, dict):
        inner = next((key for key, value in table.items() if isinstance(value, dict) and key not in KINDS[kind]), None)
        if inner is None:
            break
        whole, table = f"{whole}.{inner}", table[inner]
    if whole != name:
        raise ValueError(f'{where}, [{kind}.{whole}]: put the name in quotes: [{kind}."{whole}"]')


def _known_in(where, kind, table):
    _check_table(where, table)
    try:
        return known_of(kind, table)
    except ValueError as error:
        raise ValueError(f"{where}: {error}") from None


def _check_table(where, table):
    if not isinstance(table, dict):
        raise ValueError(f'{where} must be a table, such as [driver."165 mm"] with a line for each value')


@takes(kind=KIND, name=NAME, typed=ENTRIES, path=PATH)
def keep(kind, name, typed, path=FILE):
    """Keep one part; it replaces one of the same name.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    name : str
    typed : dict
        Key: text or number as typed; empty ones are left out.
    path : str or path-like

    Raises
    ------
    ValueError
        If a value cannot be read, or if the file cannot be read or written: it then stays as it is.
    """
    name = " ".join(name.split())
    if not name:
        raise ValueError("give it a name first")
    filled = {key: value for key, value in typed.items() if value != ""}
    known_of(kind, filled)
    _change(path, kind, name, {key: _as_in_file(kind, key, value) for key, value in filled.items()})


def _as_in_file(kind, key, value):
    """Return a place, or what else has several numbers, as lists."""
    rule = KINDS[kind][key]
    return as_written(rule, value) if isinstance(rule, STRUCTURED) else value


@takes(kind=KIND, name=NAME, path=PATH)
def forget(kind, name, path=FILE):
    """Take one part out of the file."""
    _change(path, kind, name, None)


@takes(values=ENTRIES, path=PATH)
def keep_choices(values, path=FILE):
    """Keep the choices made on a page, by role, in SI units or as typed; those of other roles stay as they are."""
    filled = {key: in_words("choices", key, value) for key, value in values.items()}
    known_of("choices", filled)
    _change(path, "choices", None, filled)


def _change(path, kind, name, filled):
    """Change one table of the file, while no other page does."""
    path = Path(path)
    with alone(path):
        write(path, as_saved(path, _changed(path, kind, name, filled)))


def _changed(path, kind, name, filled):
    """Return the text of the file with one table changed, once it is certain that nothing else changes."""
    where, text = path.name, text_of(path, NEW)
    read(path)
    tables = tables_of(text, where)
    keys = [kind] if name is None else [kind, name]
    try:
        after = without_table(text, keys) if filled is None else with_table(text, keys, filled, only=name is not None)
    except TOMLKitError:
        after = text
    if not _holds(after, _wanted(tables, kind, name, filled)):
        raise ValueError(f"{where} {IN_AN_EDITOR}")
    return after


def _wanted(tables, kind, name, filled):
    """Return what the tables should be after a change."""
    if name is None:
        return tables | {kind: tables.get(kind, {}) | filled}
    named = {key: table for key, table in tables.get(kind, {}).items() if key != name}
    return tables | {kind: named if filled is None else named | {name: filled}}


def _holds(text, wanted):
    """Return whether a text holds the wanted tables; an empty one may be left out."""
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return all(found.get(kind, {}) == wanted.get(kind, {}) for kind in found | wanted)
