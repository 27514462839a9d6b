"""Places and measured levels as people write them: "2.6, 0.5, 1.15 m", and a line for each."""

from __future__ import annotations

import re

from ..arguments import takes
from ..parts.cabin import NamedPlaces
from ..quantity import Holds, LevelPoints, Position, Quantity, Text, shown
from .feeds import Names
from .quantity_text import NUMBER, with_point

WAYS = ("from the front", "from the left", "from the floor")
AXES = tuple(Quantity(unit="m", meaning=way, low=0.0, high=30.0, slips=("mm", "cm", "inch")) for way in WAYS)
LENGTH = rf"{NUMBER}(?:,\d+)?(?:\s*[a-zA-Z'\"′″]+)?"
THREE = f"write three lengths with their unit, {', '.join(WAYS)}, as in 2.6, 0.5, 1.15 m"
NAMED_PLACE = re.compile(rf"(?P<name>.*?[^\s=:])\s*(?:[=:]|\s)\s*(?P<place>{LENGTH}(?:(?:,\s*|\s+){LENGTH}){{2}})")
NAMED = "write a line for each place: its name, =, and three lengths, as in step well left = 0.6, 0.1, 0.35 m"
PAIRS = "write a line for each frequency and its level, as in 20 Hz, 12 dB"
BARE = re.compile(NUMBER)
SPACED = re.compile(rf"{LENGTH}(?:\s+{LENGTH}){{2}}")  # three lengths without commas between them

SEVERAL = Holds((Position, NamedPlaces, LevelPoints, Names))


@takes(rule=SEVERAL, unit=Text())
def as_written(rule, typed, unit=""):
    """Return what is typed of a place, named places, levels or names of parts, as it stands in a file: lists of texts.

    Parameters
    ----------
    rule : Position, NamedPlaces, LevelPoints or Names
    typed : str, list or dict
        A text, or what stands in a file already.
    unit : str
        That a frequency takes if it has none, or a length if none beside it has any; empty for none.

    Returns
    -------
    list of str, dict of name: list of str, or list of [str, str]

    Raises
    ------
    ValueError
        In words for the person who typed it.
    """
    if isinstance(rule, Names):
        return rule.as_written(typed, unit)
    if isinstance(rule, Position):
        return _coordinates(typed, unit)
    if isinstance(rule, NamedPlaces):
        named = _named(typed) if isinstance(typed, str) else typed
        if not isinstance(named, dict) or not all(name.strip() for name in named):
            raise ValueError(NAMED)
        return {name: _of(name, place, unit) for name, place in named.items()}
    pairs = [re.split(r"\s*[,:]\s*", line) for line in _lines(typed)] if isinstance(typed, str) else typed
    if not isinstance(pairs, (list, tuple)) or not all(isinstance(p, (list, tuple)) and len(p) == 2 for p in pairs):
        raise ValueError(PAIRS)
    return [[_with(pair[0], unit), _with(pair[1], "dB")] for pair in pairs]


@takes(rule=SEVERAL)
def as_text(rule, written):
    """Return what stands in a file as text, a line for each named place, level or group."""
    if isinstance(rule, Names):
        return rule.as_text(written)
    if isinstance(written, str):
        return written
    if isinstance(rule, NamedPlaces):
        return "\n".join(f"{name} = {_joined(place)}" for name, place in written.items())
    return _joined(written) if isinstance(rule, Position) else "\n".join(map(_joined, written))


def _joined(texts):
    return texts if isinstance(texts, str) else ", ".join(map(str, texts))


def _lines(text):
    return [line.strip() for line in re.split(r"[\n;]", text) if line.strip()]


def _named(text):
    named = {}
    for line in _lines(text):
        name, sign, place = (part.strip() for part in line.rpartition("="))
        if not sign and (match := NAMED_PLACE.fullmatch(line)):
            name, sign, place = match["name"], ":", match["place"]
        if not (name and sign):
            raise ValueError(f"{NAMED}, got {shown(line)}")
        if name in named:
            raise ValueError(f"{name} stands there twice: a name is for one place")
        named[name] = place
    return named


def _of(name, place, unit):
    try:
        return _coordinates(place, unit)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None


def _coordinates(typed, unit):
    """Return three texts; a bare number takes the one unit that stands beside it, or else the unit."""
    texts = _three(typed.strip()) if isinstance(typed, str) else typed
    if not isinstance(texts, (list, tuple)) or len(texts) != len(WAYS):
        raise ValueError(f"{THREE}, got {shown(typed)}")
    found = [BARE.match(text) for text in (_with(text, "") for text in texts)]
    beside = {match.string[match.end() :].strip() for match in found if match} - {""}
    several = len(beside) > 1 or any(re.search(r"\d", one) for one in beside)  # such as feet with inches
    if several and any(match and match.end() == len(match.string) for match in found):
        raise ValueError(f"write the unit of each length: one has none, got {shown(typed)}")
    return [_with(text, next(iter(beside), unit)) for text in texts]


def _three(text):
    """Split three lengths at their commas, or at blanks where no comma can stand between them."""
    if SPACED.fullmatch(text):
        return [with_point(part) for part in re.findall(LENGTH, text)]
    return [part.strip() for part in text.split(",")]


def _with(text, unit):
    """Return a bare number with a unit; anything else as it is."""
    if not isinstance(text, str):
        raise ValueError(f'write each as text with its unit, as in "{shown(text)} {unit or "m"}"')
    return f"{text.strip()} {unit}".strip() if BARE.fullmatch(text.strip()) else text.strip()
