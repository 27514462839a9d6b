"""Wire and fuse in a plan: a feed as a stage's table holds it, what is on it, and whether it still serves that."""

from __future__ import annotations

from dataclasses import dataclass

from ..build.feed import Cable, Draw, Feed
from ..build.feed.draw import AMPLIFIER
from ..parts.amplifier import Amplifier
from ..quantity import shown
from ..tables.entries import near
from ..tables.quantity_text import number_in
from ..units import mm2, percent

NUMBERS = {  # as they are written: unit, and its size in SI
    "voltage": ("V", 1.0),
    "area": ("mm2", mm2),
    "length": ("m", 1.0),
    "current_rating": ("A", 1.0),
    "return_resistance": ("milliohm", 1e-3),
    "power": ("W", 1.0),
    "efficiency": ("%", percent),
    "maker_fuse": ("A", 1.0),
    "minimum_voltage": ("V", 1.0),
}
OF_CABLE = ("area", "length", "metal", "current_rating", "source")
OF_DRAW = ("name", "power", "efficiency", "maker_fuse", "minimum_voltage", "rated_voltage", "kind")
OF_BRANCH = ("name", *OF_CABLE, "return_resistance", "draws", "branches")
OF_FEED = ("voltage", "vehicle", *OF_BRANCH)
NEEDED = ("area", "length", "power", "efficiency")
OTHERWISE = {"series": "parallel", "parallel": "series"}
ANOTHER = 1.4  # times the volts that a feed was settled at, or less by as much: another system (ours)
SAME = 1.01  # times the power that a feed was settled for: less is not worth a word (ours)


def feed_of(table, trunk=None):
    """Return the `Feed` of a table of a file; of a branch, `trunk` has what holds for the whole.

    Raises
    ------
    ValueError
        If it cannot be read: it names the key, the value and the likely slip.
    """
    known = _known(table, OF_FEED if trunk is None else OF_BRANCH)
    whole = trunk or {key: known.pop(key) for key in ("voltage", "vehicle") if key in known}
    cable = Cable(**{key: known.pop(key) for key in OF_CABLE if key in known})
    draws = tuple(Draw(**_known(one, OF_DRAW)) for one in _listed(known.pop("draws", [])))
    branches = tuple(feed_of(one, whole) for one in _listed(known.pop("branches", [])))
    return Feed(cable=cable, draws=draws, branches=branches, **whole, **known)


def _listed(typed):
    if not isinstance(typed, list):
        raise ValueError(f"write them in brackets, as in [{{ ... }}], got {shown(typed)}")
    return typed


def _known(table, keys):
    """Return key: value of a table, numbers in SI units."""
    if not isinstance(table, dict):
        raise ValueError(f'write its values in braces, as in {{ area = "16 mm2" }}, got {shown(table)}')
    found = {}
    for key, typed in table.items():
        if key not in keys:
            raise ValueError(f"{key} is not known{near(key, keys)}")
        try:
            found[key] = _value(key, typed)
        except ValueError as error:
            raise ValueError(f"{key} = {shown(typed)}: {error}") from None
    if lacking := [key for key in NEEDED if key in keys and key not in found]:
        raise ValueError(f"add {' and '.join(lacking)}")
    return found


def _value(key, typed):
    if key == "rated_voltage" and isinstance(typed, list):
        return tuple(_value("voltage", one) for one in typed)
    if key in NUMBERS:
        if not isinstance(typed, str):
            raise ValueError(f'write it in quotes with its unit, as in "{typed} {NUMBERS[key][0]}"')
        return number_in(typed, *NUMBERS[key])
    return typed


def entries_of(feed, branch=False):
    """Return a feed as a file holds it, key by key; of a branch without what holds for the whole."""
    found = _written(feed, () if branch else ("voltage", "vehicle")) | _written(feed, ("name",))
    found |= _written(feed.cable, OF_CABLE) | _written(feed, ("return_resistance",))
    found["draws"] = [_written(draw, OF_DRAW) for draw in feed.draws]
    found["branches"] = [entries_of(one, branch=True) for one in feed.branches]
    return {key: value for key, value in found.items() if value != []}


def _written(part, keys):
    return {key: _text(key, value) for key in keys if (value := getattr(part, key)) not in (None, "")}


def _text(key, value):
    if isinstance(value, tuple):
        return [_text("voltage", one) for one in value]
    unit, size = NUMBERS.get(key, ("", None))
    return value if size is None else f"{value / size:.10g} {unit}"


@dataclass(frozen=True, slots=True)
class Supplied:
    """One thing on the feed.

    Attributes
    ----------
    name, kind : str
        Kind as of a `Draw`.
    power : float
        What it gives with a steady sine, or takes if it is no amplifier. [W]
    efficiency, maker_fuse : float or None
        As the plan tells them. [1], [A]
    source : Amplifier or None
        None for what is none.
    """

    name: str
    kind: str
    power: float
    efficiency: float | None = None
    maker_fuse: float | None = None
    source: object = None


def rated_load(members, wiring):
    """Return the rated load of loudspeakers on a channel; an inner tuple is wired the other way. [ohm]"""
    ohms = [
        rated_load(one, OTHERWISE[wiring]) if isinstance(one, tuple) else float(one.driver.nominal_resistance)
        for one in members
    ]
    return sum(ohms) if wiring == "series" else 1 / sum(1 / ohm for ohm in ohms)


def power_of(line):
    r"""Return the power of a steady sine at an amplifier's highest voltage, never less than its sheet says. [W]

    .. math:: V^2 / \min(R, R_{rated})
    """
    source, channel = line.source, line.channel
    load = min(rated_load(channel.loudspeakers, channel.wiring), float(source.rated_impedance))
    return float(source.voltage) ** 2 / load


def supplied(state):
    """Return what is on the feed in a `State`: its amplifiers by the channels that play, then what else takes power."""
    plan, playing = state.plan, {}
    for line in state.playing:
        if isinstance(line.source, Amplifier):
            playing.setdefault(line.source, []).append(power_of(line))
    bought = {item.amplifier: item for item in plan.items.values() if item.amplifier is not None}
    found = []
    for source, powers in playing.items():
        item, each = bought.get(source), source.channels
        told = (item.efficiency, item.maker_fuse) if item else (None, None)
        parts = [powers[first : first + each] for first in range(0, len(powers), each)]
        found += [Supplied(source.name, AMPLIFIER, sum(part), *told, source) for part in parts]
    used = {name for stage in state.done for name in plan.stages[stage].uses}
    others = [item for name, item in plan.items.items() if name in used and item.takes is not None]
    return (*found, *(Supplied(item.name, "other", item.takes * item.count) for item in others))


def outgrown(state):
    """Return in words how there is something else on the feed of a `State` than it was settled for; empty if not."""
    battery, volts = state.plan.battery, state.feed.voltage
    if battery is not None and not 1 / ANOTHER < battery / volts < ANOTHER:
        return f"the battery reads {battery:.3g} V, and wire and fuse were settled at {volts:.3g} V"
    settled = [draw for place in state.feed.places for draw in place.feed.draws]
    now = supplied(state)
    for what, is_one in (("amplifiers", True), ("the rest", False)):
        old, new = ([one for one in all_ if (one.kind == AMPLIFIER) == is_one] for all_ in (settled, now))
        before, after = (sum(one.power for one in some) for some in (old, new))
        if after > SAME * before:
            return f"{after:.0f} W of {what} are on it now, and wire and fuse were settled for {before:.0f} W"
        named = all(one.name for one in old)
        others = [one.name for one in new if one.name not in {each.name for each in old}]
        if is_one and named and others:
            return f"{' and '.join(others)} {'is' if len(others) == 1 else 'are'} on it now, and it was settled without"
    return ""
