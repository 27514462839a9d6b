"""Changes one table of a TOML text, and leaves every other line, remarks and all, as it is."""

from __future__ import annotations

import json
import tomllib


def with_table(text, keys, filled, only):
    """Return the text with a table changed, or added at its end.

    Parameters
    ----------
    text : str
    keys : sequence of str
        Where the table hangs, such as ("driver", "165 mm").
    filled : dict
        Key: text or number. A line whose value does not change stays as it is; a changed one keeps its remark.
    only : bool
        Whether other keys of the table go.

    Returns
    -------
    str
        For a table written in another way than by a heading and a line for each value, it may mean something else:
        the caller compares.
    """
    lines = text.split("\n")
    start = next((i for i, line in enumerate(lines) if _heading(line) == tuple(keys)), None)
    if start is None:
        return _with_new(text, keys, filled)
    end = _end(lines, start)
    found = {_key(line): line for line in lines[start + 1 : end] if _key(line) is not None}
    body = [_changed(line, filled, only) for line in lines[start + 1 : end]]
    new = [f"{_written_key(key)} = {_written(value)}" for key, value in filled.items() if key not in found]
    return "\n".join([*lines[: start + 1], *(line for line in body if line is not None), *new, *lines[end:]])


def without_table(text, keys):
    """Return the text without a table and the remarks right above its heading."""
    lines = text.split("\n")
    start = next((i for i, line in enumerate(lines) if _heading(line) == tuple(keys)), None)
    if start is None:
        return text
    end = _end(lines, start)
    while start and lines[start - 1].lstrip().startswith("#"):
        start -= 1
    while end < len(lines) - 1 and not lines[end].strip():
        end += 1
    return "\n".join([*lines[:start], *lines[end:]]).rstrip("\n") + "\n"


def _with_new(text, keys, filled):
    """Add a table, behind the last one that hangs at the same place or else at the end."""
    lines = text.rstrip("\n").split("\n") if text.strip() else []
    beside = [i for i, line in enumerate(lines) if (_heading(line) or ())[:-1] == tuple(keys[:-1]) and keys[:-1]]
    end = _end(lines, beside[-1]) if beside else len(lines)
    before = [""] if end else []
    heading = f"[{'.'.join([keys[0], *map(_quoted, keys[1:])])}]"
    new = [*before, heading, *(f"{_written_key(key)} = {_written(value)}" for key, value in filled.items())]
    return "\n".join([*lines[:end], *new, *lines[end:], ""])


def _end(lines, start):
    """Return where a table ends: behind its last value; what remarks follow may be about the next one."""
    end = start + 1
    for i in range(start + 1, len(lines)):
        if _heading(lines[i]) is not None:
            break
        if _key(lines[i]) is not None:
            end = i + 1
    return end


def _heading(line):
    """Return where the table of a heading hangs, or None if the line is no heading."""
    if not line.lstrip().startswith("["):
        return None
    found, keys = _parsed(line), []
    while isinstance(found, dict) and found:
        ((key, found),) = found.items()
        keys.append(key)
    return tuple(keys)


def _key(line):
    """Return the key of a line with a value, or None."""
    found = {} if line.lstrip().startswith("[") else _parsed(line)
    return next(iter(found), None)


def _parsed(line):
    try:
        return tomllib.loads(line)
    except tomllib.TOMLDecodeError:
        return {}


def _changed(line, filled, only):
    """Return the line with its new value, as it is, or None if it goes."""
    key = _key(line)
    if key is None:
        return line
    if key not in filled:
        return None if only else line
    if _parsed(line)[key] == filled[key]:
        return line
    return f"{_written_key(key)} = {_written(filled[key])}{_remark(line)}"


def _remark(line):
    """Return the remark at the end of a line with a value."""
    for place in (i for i, sign in enumerate(line) if sign == "#"):
        if _parsed(line[:place]):
            return line[len(line[:place].rstrip()) :]
    return ""


def _written_key(key):
    return key if key.isascii() and key.replace("_", "").isalnum() else _quoted(key)


def _written(value):
    return _quoted(value) if isinstance(value, str) else repr(value)


def _quoted(text):
    return json.dumps(text, ensure_ascii=False)
