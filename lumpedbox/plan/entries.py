"""What may stand in each table of a plan, and how it is read."""

from __future__ import annotations

from functools import partial

from ..build.feed.draw import SHARE
from ..build.feed.fuses import RATING as FUSE
from ..parts.box import Door
from ..parts.loudspeaker import Loudspeaker
from ..parts.network import ATTENUATION
from ..parts.system import WIRINGS
from ..quantity import OneOf, Position, Quantity, shown
from ..tables.entries import BOX_RULES, CAPACITOR, DOOR_RULES, KINDS, known_of, part_of, value_of
from ..tables.feeds import NOT_KNOWN, Feeds, fed
from ..tables.read import rules_of
from .feeding import feed_of
from .wires import filter_of, fitted_of

INFINITE = "infinite"  # baffle: so large a panel that front and back do not meet
MONEY = Quantity(unit="", meaning="what it costs, in the currency of the plan", low=0.0, high=1e9)
AT_EVERY_CHANNEL = Quantity(unit="V", meaning="r.m.s. voltage at every channel", low=0.001, high=1e4)
BATTERY = Quantity(unit="V", meaning="what a meter reads at the battery", low=1.0, high=60.0)
DROP = Quantity(unit="V", meaning="what the feed loses under load", low=0.0, high=10.0)
RATED = Quantity(unit="V", meaning="rated voltage", low=0.1, high=1e4)
TAKEN = Quantity(unit="W", meaning="power taken from the battery", low=0.1, high=2e4)
DRIVER, SPEAKER, POWER = KINDS["driver"], rules_of(Loudspeaker), KINDS["amplifier"]["power"]
MOST = 100  # of one part


def _text(typed):
    if not isinstance(typed, str):
        raise ValueError("write it in quotes")
    return typed


def _money(typed):
    return value_of("box", "", MONEY, typed)


def _count(typed):
    if isinstance(typed, bool) or not isinstance(typed, int) or not 1 <= typed <= MOST:
        raise ValueError(f"write how many, from 1 to {MOST}, without quotes")
    return typed


def names(typed):
    """Read a list of names."""
    if not isinstance(typed, list) or not all(isinstance(name, str) for name in typed):
        raise ValueError('write names in quotes and brackets, as in ["one", "another"]')
    return _once([" ".join(name.split()) for name in typed])


def _once(found):
    if twice := next((name for name in found if found.count(name) > 1), None):
        raise ValueError(f"{twice!r} stands there twice")
    return tuple(found)


def _feeds(typed):
    """Read the openings that a channel feeds; an inner list is a group, wired the other way."""
    if not isinstance(typed, list):
        raise ValueError('write the openings in brackets, as in feeds = ["roof left"]')
    written = Feeds().as_written(typed, "") if typed else ()
    members = tuple(tuple(member) if isinstance(member, list) else member for member in written)
    _once(fed(members))
    return members


def _box(typed):
    if not isinstance(typed, dict):
        raise ValueError('write its numbers in braces, as in { volume = "40 litres", Ql = 7 }')
    return part_of("box", "box", known_of("box", typed))


def _several(one, typed):
    """Read a list of texts, each by a function; a lone text will do."""
    items = [typed] if isinstance(typed, str) else typed
    if not isinstance(items, list):
        raise ValueError(f'write texts in brackets, as in ["6.8 uF in series"], got {shown(typed)}')
    return tuple(map(one, items))


def _of(kind, key, rule):
    """Return what reads a number with its unit, a word, or a place."""
    return partial(value_of, kind, key, rule)


filters, fitted, REMARK = partial(_several, filter_of), partial(_several, fitted_of), {"remark": _text}

PLAN = {
    "name": _text,
    "currency": _text,
    "voltage": _of("choices", "voltage", AT_EVERY_CHANNEL),
    "battery": _of("choices", "voltage", BATTERY),
    "feed_drop": _of("choices", "voltage", DROP),
} | REMARK

OPENING = {
    "place": _of("cabin", "place", Position()),
    "cutout": _of("driver", "cutout", DRIVER["cutout"]),
    "depth": _of("driver", "depth", DRIVER["depth"]),
    "volume": _of("box", "volume", BOX_RULES["volume"]),
    "hole": _of("box", "hole_area", DOOR_RULES["hole_area"]),
    "hole_place": _of("cabin", "place", Position()),
    "hole_Q": _of("box", "hole_Q", rules_of(Door)["hole_Q"]),
    "longest_side": _of("box", "longest_side", DOOR_RULES["longest_side"]),
    "space": _of("box", "volume", BOX_RULES["volume"]),
    "baffle": _of("box", "baffle", OneOf((INFINITE,))),
    "angle": _of("driver", "angle", SPEAKER["angle"]),
    "polarity": _of("driver", "polarity", SPEAKER["polarity"]),
    "box": _box,
    "line": fitted,
} | REMARK

SET = {key: reader for key, reader in OPENING.items() if key not in ("box", "line", "remark")}  # those go by themselves

# The source is read with the parts that a plan may name.
CHANNEL = {
    "feeds": _feeds,
    "wiring": _of("channel", "wiring", OneOf((*WIRINGS, NOT_KNOWN))),
    "wire": _of("driver", "source_resistance", SPEAKER["source_resistance"]),
    "filter": filters,
} | REMARK

PART = {
    "count": _count,
    "cost": _money,
    "capacitor": _of("driver", "built_in_capacitance", CAPACITOR),
    "pad": _of("driver", "pad", ATTENUATION),
    "power": _of("amplifier", "power", POWER),
    "voltage": _of("choices", "voltage", RATED),
    "efficiency": _of("amplifier", "efficiency", SHARE),
    "maker_fuse": _of("amplifier", "maker_fuse", FUSE),
    "takes": _of("amplifier", "takes", TAKEN),
} | REMARK

STAGE = {"uses": names, "after": names, "cost": _money, "feed": feed_of} | REMARK
