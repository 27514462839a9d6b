"""The boxes that the reader has drawn, in a plain file beside the parts."""

from __future__ import annotations

from pathlib import Path

from ..arguments import PATH, takes
from ..build.drawn import DRAWN, as_table, from_table
from ..quantity import Text
from .atomic_write import alone, write
from .text_file import IN_AN_EDITOR, as_saved, tables_of, text_of
from .toml import TOMLKitError, with_table

FILE = "my_boxes.toml"
KIND = "drawn"
NEW = (
    "# My boxes: what I drew on the pages of lumpedbox. Lengths are in m, volumes in m3, angles in radians.\n"
    "# Lines that begin with # are remarks. Copy the file beside the lessons on another machine.\n"
)
NAME = Text()


@takes(path=PATH)
def read_boxes(path=FILE):
    """Read the boxes that are kept.

    Parameters
    ----------
    path : str or path-like
        The file in the current folder by default.

    Returns
    -------
    (dict, dict)
        Name: Drawn of those that can be read, and name: what is wrong with each of the others, in words. Both are empty
        if there is no file.

    Raises
    ------
    ValueError
        If the file cannot be read at all.
    """
    where, found, wrong = Path(path).name, {}, {}
    for name, table in _tables(path).items():
        try:
            found[name] = from_table(table)
        except (ValueError, TypeError) as error:
            wrong[name] = f'{where}, [{KIND}."{name}"]: {error}'
    return found, wrong


@takes(name=NAME, drawn=DRAWN, path=PATH)
def keep_box(name, drawn, path=FILE):
    """Keep a drawing; it replaces one of the same name, and nothing else in the file changes.

    Parameters
    ----------
    name : str
    drawn : Drawn
    path : str or path-like

    Returns
    -------
    Drawn or None
        The one that it replaces, if that can be read.

    Raises
    ------
    ValueError
        If it has no name, or the file cannot be read or written: it then stays as it is.
    """
    name, path = " ".join(name.split()), Path(path)
    if not name:
        raise ValueError("give it a name first")
    before = read_boxes(path)[0].get(name)
    with alone(path):
        write(path, as_saved(path, _with(path, name, as_table(drawn))))
    return before


def _tables(path):
    tables = tables_of(text_of(path, NEW), Path(path).name).get(KIND, {})
    if not isinstance(tables, dict):
        raise ValueError(f'{Path(path).name}, {KIND}: put each box under a heading such as [{KIND}."wedge"]')
    return tables


def _with(path, name, table):
    """Return the text of the file with one table changed, once it is certain that nothing else changes."""
    wanted = _tables(path) | {name: table}
    try:
        after = with_table(text_of(path, NEW), (KIND, name), table, only=True)
    except TOMLKitError:
        after = ""
    if tables_of(after, path.name).get(KIND) != wanted:
        raise ValueError(f"{path.name} {IN_AN_EDITOR}")
    return after
