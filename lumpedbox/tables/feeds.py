"""What a channel feeds, as people write it: "165 mm panel + 25 mm pillar tweeter", and a line for each group."""

from __future__ import annotations

import re

from ..quantity import shown
from .quantity_text import with_point

NOT_KNOWN = "not known yet"  # how it is wired
IN_SERIES = "in series"
NAMES = "write the names of the drivers, as in 165 mm panel + 25 mm pillar tweeter, and a line for each group"
LIST = 'write each name in quotes, as in feeds = ["165 mm panel", "25 mm pillar tweeter"]'
TOO_DEEP = 'a group holds names only, as in feeds = [["a", "b"], ["c", "d"]]'
LONE_GROUP = "there is one group only: leave out the inner brackets, and write how its drivers are wired"
CAPACITORS = "write a line for each driver: its name, =, and its capacitor, as in 25 mm pillar tweeter = 6.8 µF"
PAD = re.compile(r"dB|ohm|Ω|pad")
ONE_EACH = 'each driver has one capacitor here, as in ["6.8 uF in series"]; nothing else is kept in its line'


class Names:
    """Base of what refers to other parts by their names, or is written line by line.

    `as_written(typed, unit)` returns what stands in a file, of text or of what stands there already; `as_text(written)`
    returns it as a form shows it.
    """


class Called(Names):
    """The name of one part."""

    def as_written(self, typed, unit):
        if not isinstance(typed, str):
            raise ValueError(f"write its name in quotes, got {shown(typed)}")
        return " ".join(typed.split())

    def as_text(self, written):
        return written


class Feeds(Names):
    """Names of drivers in order; an inner list is a group, wired the other way."""

    def as_written(self, typed, unit):
        members = _groups(typed) if isinstance(typed, str) else typed
        if not isinstance(members, (list, tuple)) or not members:
            raise ValueError(f"{NAMES}, got {shown(typed)}")
        written = [_names(member) for member in members]
        if len(written) == 1 and isinstance(written[0], list):
            raise ValueError(LONE_GROUP)
        return written

    def as_text(self, written):
        groups = [written] if isinstance(written, str) else [_names(member) for member in written]
        if any(isinstance(group, list) for group in groups):
            return "\n".join(group if isinstance(group, str) else " + ".join(group) for group in groups)
        return " + ".join(groups)


def fed(members):
    """Return the names in all groups of what a channel feeds, one after another."""
    return [name for member in members for name in ((member,) if isinstance(member, str) else member)]


def _groups(text):
    """Return the names of a text, those of several lines in groups."""
    lines = [re.split(r"\s+\+\s+", line.strip()) for line in re.split(r"[\n;]", text) if line.strip()]
    return lines[0] if len(lines) == 1 else lines


def _names(member):
    """Return a name, or the names of a group of several."""
    if not isinstance(member, (list, tuple)):
        return _name(member, LIST)
    if not member:
        raise ValueError("a group is empty: name the drivers in it, or leave it out")
    names = [_name(name, TOO_DEEP) for name in member]
    return names if len(names) > 1 else names[0]


def _name(name, otherwise):
    if not isinstance(name, str) or not name.strip():
        raise ValueError(f"{otherwise}, got {shown(name)}")
    return " ".join(name.split())


class Line(Names):
    """The capacitor in series with each of some drivers, by the driver's name."""

    def as_written(self, typed, unit):
        named = _by_driver(typed) if isinstance(typed, str) else typed
        if not isinstance(named, dict) or not named or not all(name.strip() for name in named):
            raise ValueError(f"{CAPACITORS}, got {shown(typed)}")
        return {
            name: [f"{_with(with_point(one_capacitor(fitted)), unit)} {IN_SERIES}"] for name, fitted in named.items()
        }

    def as_text(self, written):
        if isinstance(written, str):
            return written
        return "\n".join(f"{name} = {one_capacitor(fitted)}" for name, fitted in written.items())


def _by_driver(text):
    named = {}
    for line in filter(None, map(str.strip, re.split(r"[\n;]", text))):
        name, sign, fitted = (part.strip() for part in line.rpartition("=" if "=" in line else ":"))
        if not (name and sign and fitted):
            raise ValueError(f"{CAPACITORS}, got {shown(line)}")
        if name in named:
            raise ValueError(f"{name} stands there twice: write one capacitor for it")
        named[name] = fitted
    return named


def one_capacitor(fitted):
    """Return what is fitted in series with a driver, as text: "6.8 uF" of "6.8 uF in series", or of a list of it."""
    texts = [fitted] if isinstance(fitted, str) else fitted
    if not isinstance(texts, (list, tuple)) or len(texts) != 1 or not isinstance(texts[0], str) or PAD.search(texts[0]):
        raise ValueError(f"{ONE_EACH}, got {shown(fitted)}")
    return texts[0].strip().removesuffix(IN_SERIES).strip()


def _with(text, unit):
    return f"{text} {unit}".strip() if re.fullmatch(r"[\d.]+", text) else text
