"""Change one table of a TOML text: tomlkit leaves all other lines as they are, and no remark is ever lost."""

from __future__ import annotations

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import InlineTable, Table, Whitespace

__all__ = ["TOMLKitError", "with_table", "without_table"]


def with_table(text, keys, filled, only):
    """Return the text with a table changed, or added after the last one at the same place.

    Parameters
    ----------
    text : str
    keys : sequence of str
        Where the table is, such as ("driver", "165 mm") or ("choices",).
    filled : dict
        Key: text, number, list, or dict of what stands in a table below. A line
        whose value does not change stays as it is; a changed one keeps its remark.
    only : bool
        Whether other keys of the table are removed; if such a line has a remark, it becomes one.

    Returns
    -------
    str
    """
    document = tomlkit.parse(text)
    table = _found(document, keys)
    if table is None:
        return _with_new(document, keys, filled)
    _fill(table, filled, only)
    return document.as_string()


def _fill(table, filled, only):
    """Change what differs in a table, and in those below it."""
    for key, value in filled.items():
        if key not in table:
            _add(table, key, value)
        elif isinstance(value, dict) and isinstance(table[key], (Table, InlineTable)):
            _fill(table[key], value, only)
        elif table[key] != value:
            table[key] = value
    if only and isinstance(table, InlineTable):
        for key in [key for key in table if key not in filled]:
            table.remove(key)
        return
    for place, (key, item) in enumerate(_body(table) if only else ()):
        if key is not None and key.key not in filled:
            _body(table)[place] = (None, Whitespace(_remarks(key, item)))


def without_table(text, keys):
    """Return the text without a table; the remarks in it, above it and below it stay.

    Parameters
    ----------
    text : str
    keys : (str, str)
        Where the table is.

    Returns
    -------
    str
    """
    document = tomlkit.parse(text)
    for kind in _tables(document, keys[0]):
        for place, (key, table) in enumerate(_body(kind)):
            if key is None or key.key != keys[1]:
                continue
            if isinstance(kind, InlineTable):
                kind.remove(keys[1])
                break
            left = _remarks(key, table)
            _body(kind)[place] = (None, Whitespace(left if left.strip() else ""))
    return document.as_string().rstrip("\n") + "\n"


def _tables(document, kind):
    """Return all tables that hold parts of a kind: those of another kind may come between."""
    return [item for key, item in document.body if key is not None and key.key == kind]


def _body(table):
    """Return the lines of a table: (key, value), or (None, remark or blank)."""
    return table.value.body


def _found(document, keys):
    """Return a table, or None."""
    for table in _tables(document, keys[0]):
        if len(keys) == 1:
            return table
        if keys[1] in table:
            return table[keys[1]]
    return None


def _add(table, key, value):
    """Add a line before the remarks at the end of a table: they may be about the next one."""
    _before_the_end(table, lambda: table.add(key, value))


def _with_new(document, keys, filled):
    """Add a table after the last one beside it, or else at the end."""
    table = {keys[-1]: filled} if len(keys) == 2 else filled
    new = tomlkit.dumps({keys[0]: table})
    beside = [kind for kind in _tables(document, keys[0]) if isinstance(kind, Table)] if len(keys) == 2 else []
    last = next((item for _, item in reversed(_body(beside[-1])) if isinstance(item, Table)), None) if beside else None
    if last is None or last.is_super_table():
        text = document.as_string().rstrip("\n")
        return f"{text}\n\n{new}" if text else new
    _before_the_end(last, lambda: _body(last).append((None, Whitespace(f"\n{new}"))))
    return document.as_string()


def _before_the_end(table, add):
    """Add something to a table before the remarks and blank lines at its end."""
    body, end = _body(table), []
    while body and body[-1][0] is None:
        end.insert(0, body.pop())
    add()
    body.extend(end)


def _remarks(key, item):
    """Return what stays of a removed item: its remarks, each with the line that it is on."""
    if key is None:
        return item.as_string()
    if isinstance(item, Table):
        inner = "".join(_remarks(*line) for line in _body(item))
        return _as_remark(f"[{item.display_name}]", item) + inner
    return _as_remark(f"{key.as_string().strip()} = {item.as_string()}", item)


def _as_remark(line, item):
    """Return a line that has a remark as a remark of its own."""
    if not item.trivia.comment:
        return ""
    return "".join(f"# {part}\n" for part in f"{line}{item.trivia.comment_ws}{item.trivia.comment}".split("\n"))
