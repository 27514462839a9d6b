"""Plans that come with lumpedbox, and changes of a plan's file: written whole or not at all, and nothing is lost."""

from __future__ import annotations

import re
from pathlib import Path

from ..arguments import Named, takes
from ..quantity import OneOf, Text
from ..tables.atomic_write import alone, write
from ..tables.my_parts import FILE
from ..tables.shipped import data_folder
from ..tables.text_file import IN_AN_EDITOR, as_saved, tables_of, text_of
from ..tables.toml import TOMLKitError, with_table, without_table
from .library import Library
from .reading import HEADINGS, TABLES, plan_of, read_plan
from .search import PLAN

PLAN_FILE = "my_plan.toml"  # one's own plan, beside one's own parts
TABLE, ENTRIES = OneOf(TABLES), Named(None, "what stands in a file")
QUOTED = re.compile(r'"""(?:\\.|[^\\])*?"""|\'\'\'.*?\'\'\'|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'', re.DOTALL)


def demo_plan():
    """Return the invented plan of the demonstration: the minibus of a technical college."""
    return read_plan(data_folder() / "upgrade_plan.toml", data_folder() / FILE)


@takes(plan=PLAN, table=TABLE, filled=ENTRIES, name=Text())
def keep(plan, table, filled, name=""):
    """Write one table of a plan's file; everything else in it stays as it is, remarks and blank lines too.

    Parameters
    ----------
    plan : Plan
        As it was read.
    table : {"plan", "cabin", "opening", "channel", "have", "part", "stage", "orders"}
        Which kind of table.
    filled : dict
        Key: text, number, list or dict, as they stand in a file; other keys of the table go.
    name : str
        Of the opening, channel, part or stage; empty for the other tables.

    Returns
    -------
    Plan
        As it is now, with what was changed in the file meanwhile.

    Raises
    ------
    ValueError
        If that table was changed meanwhile, or the plan could not be read any more. The file then stays as it is.
    """
    return keep_together(plan, [(table, name, filled)])


@takes(plan=PLAN, table=OneOf(HEADINGS), name=Text())
def drop(plan, table, name):
    """Take an opening, a channel, a part or a stage out of a plan's file; the remarks around it stay.

    Parameters
    ----------
    plan : Plan
        As it was read.
    table : {"opening", "channel", "part", "stage"}
        Which kind of table.
    name : str

    Returns
    -------
    Plan
        As it is now.

    Raises
    ------
    ValueError
        As for `keep`.
    """
    return keep_together(plan, [(table, name, None)])


def keep_together(plan, changes):
    """Write several tables of a plan's file, all or none; else as `keep`.

    Parameters
    ----------
    plan : Plan
        As it was read.
    changes : sequence of (str, str, dict or None)
        Kind of table, its name, and what stands in it then; None takes it out.

    Returns
    -------
    Plan
        As it is now.
    """
    for table, name, _ in changes:
        if (table in HEADINGS) != bool(name):
            needs = "needs the name of one" if table in HEADINGS else "has no names"
            raise ValueError(f"[{table}] {needs}, got {name!r}")

    def after(now):
        for table, name, filled in changes:
            keys = (table, name) if name else (table,)
            _check_untouched(plan, now, keys)
            now = _with(plan.path.name, now, keys, filled)
        return now

    return _written(plan, after)


def put_back(plan, text):
    """Write a plan's file as it was before a change, unless it was changed once more meanwhile.

    Parameters
    ----------
    plan : Plan
        As it is after the change.
    text : str
        As it was before: `Plan.text`.

    Returns
    -------
    Plan
        As it is now.
    """

    def before(now):
        if now != plan.text:
            raise ValueError(f"{plan.path.name} was changed meanwhile, in another tab or an editor: read it again")
        return text

    return _written(plan, before)


def begin(path, text, my_parts=None):
    """Write a new plan into a file that is not there yet, and return it.

    Parameters
    ----------
    path : path-like
    text : str
    my_parts : path-like, optional
        As for `read_plan`.

    Returns
    -------
    Plan

    Raises
    ------
    ValueError
        If there is such a file already, or the text is not a plan.
    """
    path = Path(path)
    library = Library(path.with_name(FILE) if my_parts is None else my_parts)
    found = plan_of(text, path.name, library, path=path)
    with alone(path):
        if path.exists():
            raise ValueError(f"{path.name} is there already: nothing was written")
        write(path, text.encode())
    return found


def _written(plan, change):
    """Change a plan's text while nobody else does, and return the plan as it is then."""
    path = plan.path
    if path is None:
        raise ValueError("this plan is not kept in a file: write one first, and read it")
    with alone(path):
        after = change(text_of(path))
        found = plan_of(after, path.name, Library(plan.my_parts), path=path, levels=plan.levels)
        write(path, as_saved(path, after))
    return found


def _check_untouched(plan, now, keys):
    """Refuse to change a table that was changed since it was read, in another tab or in an editor."""
    before, after = (_at(tables_of(text, plan.path.name), keys) for text in (plan.text, now))
    if before != after:
        table = f'[{keys[0]}."{keys[1]}"]' if len(keys) > 1 else f"[{keys[0]}]"
        raise ValueError(f"{plan.path.name}, {table} was changed meanwhile, in another tab or an editor: read it again")


def _at(tables, keys):
    for key in keys:
        tables = tables.get(key) if isinstance(tables, dict) else None
    return tables


def _with(where, text, keys, filled):
    """Return the text with one table changed, once it is certain that nothing else changes and no remark is lost."""
    try:
        after = without_table(text, keys) if filled is None else with_table(text, keys, filled, only=True)
        tables = tables_of(after, where)
    except (TOMLKitError, TypeError, ValueError):  # what tomlkit cannot write, or writes wrongly
        raise ValueError(f"{where} {IN_AN_EDITOR}") from None
    if filled is None and len(tables_of(text, where).get(keys[0], {})) == 1:
        tables.setdefault(keys[0], {})
    if tables != _wanted(tables_of(text, where), keys, filled) or not _kept(_remarks(text), _remarks(after)):
        raise ValueError(f"{where} {IN_AN_EDITOR}")
    return after


def _wanted(tables, keys, filled):
    """Return what the tables should be after a change."""
    if len(keys) == 1:
        return tables | {keys[0]: filled}
    named = {name: table for name, table in tables.get(keys[0], {}).items() if filled is not None or name != keys[1]}
    return tables | {keys[0]: named if filled is None else named | {keys[1]: filled}}


def _kept(before, after):
    """Whether every remark is still there; that of a line that is gone stands behind what the line was."""
    return all(_count(after, remark) >= _count(before, remark) for remark in before)


def _count(remarks, remark):
    """Return how many remarks are one, or end with it behind a mark of its own."""
    ending = re.compile(rf"(?:^|#\s*){re.escape(remark)}$")
    return sum(ending.search(one) is not None for one in remarks)


def _remarks(text):
    """Return the remarks of a text."""
    lines = QUOTED.sub("", text).split("\n")
    return [line[line.index("#") :].strip("# ") for line in lines if "#" in line]
