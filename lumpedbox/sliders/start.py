"""Where the reader's own parts stand, as the start tells it."""

from __future__ import annotations

from dataclasses import dataclass

from ..tables.my_parts import FILE
from .kit.offered import kept_or_wrong, to_add
from .kit.words import as_html

NAMES = {
    "driver": ("driver", "drivers"),
    "box": ("box", "boxes"),
    "amplifier": ("amplifier", "amplifiers"),
    "head_unit": ("head unit", "head units"),
    "cabin": ("cabin", "cabins"),
    "channel": ("channel", "channels"),
    "readings": ("set of readings", "sets of readings"),
    "converter": ("converter", "converters"),
}
SELDOM = ("readings", "converter")  # missed by nobody who does not set levels
NOTHING = "Nothing of yours is kept yet. The pages begin with the parts of an invented minibus."


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the reader's own parts stand; it shows itself at the end of a notebook's cell.

    Attributes
    ----------
    lines : tuple of str
        A line for each kind of part of which there is one, and one for those of which there is none.
    """

    lines: tuple

    def _repr_html_(self):
        items = "".join(f"<li>{as_html(line)}</li>" for line in self.lines)
        return f"<ul>{items}</ul>"


def standing(path=FILE):
    """Say which of the reader's own parts are known, and what the others still lack.

    Parameters
    ----------
    path : str or path-like
        The reader's own parts; by default the file of the current folder.

    Returns
    -------
    Standing
        Its first line is the complaint, if some of the file cannot be read.
    """
    kept, wrong = kept_or_wrong(path)
    told = {kind: _told(kind, kept) for kind in NAMES}
    lines = [line for line in told.values() if line]
    absent = [NAMES[kind][0] for kind, line in told.items() if not line and kind not in SELDOM]
    if wrong:
        return Standing((wrong, *lines))
    if not lines:
        return Standing((NOTHING,))
    return Standing((*lines, f"No {_either(absent)} yet.") if absent else tuple(lines))


def _told(kind, kept):
    """Say which parts of a kind are complete, and what the others lack; nothing if there is none."""
    complete = list(kept.parts[kind])
    lacking = [f"{name} ({to_add(of, error)})" for (of, name), error in kept.unfinished.items() if of == kind]
    counted = [f"{_count(kind, complete)} kept: {', '.join(complete)}"] if complete else []
    if lacking:
        number = len(lacking) if complete else _count(kind, lacking)
        counted.append(f"{number} not complete: {', '.join(lacking)}")
    return f"{'; '.join(counted)}." if counted else ""


def _count(kind, parts):
    return f"{len(parts)} {NAMES[kind][len(parts) != 1]}"


def _either(words):
    *others, last = words
    return f"{', '.join(others)} or {last}" if others else last
