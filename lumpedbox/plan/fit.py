"""What does not fit once some stages are done. Everything that stays is rated anew."""

from __future__ import annotations

from collections import Counter

import numpy as np

from ..design.level_matching import GRID
from ..design.ratings import ratings_of
from ..parts.amplifier import lowest_load
from ..parts.box import Door, InfiniteBaffle
from ..parts.system import System
from ..response.system_limits import CURRENT, HEAT
from ..units import litre, mm
from .feeding import outgrown
from .solved import PLAYED, quietly_solved

# What does not fit.
DEPTH, CUTOUT, LITRES, LOAD, AMPLIFIER_CURRENT = "depth", "cutout", "litres", "load", "amplifier current"
NO_SOURCE, OUTPUTS, POWER, VOLTAGE, ORDER, FEED = "no source", "outputs", "power", "voltage", "order", "feed"
BOARD = 18 * mm  # of a box whose board nobody knows (common practice, no source)
OVER = 1.25  # times the rated power: 1 dB, less is not worth a word (ours)


class Unfit(str):
    """One thing that does not fit, as a sentence that begins with what it is.

    Attributes
    ----------
    what : str
        "depth", "cutout", "litres", "load", "amplifier current", "no source", "outputs", "power", "voltage", "order",
        "feed".
    where : str
        The opening, the channel, the amplifier or the stage.
    """

    def __new__(cls, what, where, sentence):
        made = super().__new__(cls, f"{what}: {sentence}")
        made.what, made.where = what, where
        return made


def unfit(state):
    """Return all that does not fit in a state, as a tuple of `Unfit`."""
    checks = (_order, _places, _boxes, _sources, _outputs, _loads, _current, _powers, _components, _feed)
    return tuple(found for check in checks for found in check(state))


def _order(state):
    for name in state.plan.ranked:
        missing = [other for other in state.plan.stages[name].after if other not in state.done]
        if name in state.done and missing:
            yield Unfit(ORDER, name, f"{name} comes after {' and '.join(missing)}, which is not done.")


def _places(state):
    """Yield drivers that are too deep, or too wide, for their opening."""
    for place, driver in state.drivers.items():
        known = state.openings[place]
        for what, hole in ((DEPTH, "is {:.0f} mm deep"), (CUTOUT, "is {:.0f} mm wide")):
            room, needed = known.get(what), getattr(driver, what)
            if room is not None and needed is not None and needed > room and not ("box" in known and what == DEPTH):
                has = hole.format(room / mm)
                yield Unfit(what, place, f"{place} {has}, and the {driver.name} needs {needed / mm:.0f} mm.")


def largest_inside(space):
    r"""Return how much a box holds that takes up some space: a cube of the usual board, as nothing holds more. [m3]

    .. math:: \left(\sqrt[3]{V} - 2 t\right)^3

    Parameters
    ----------
    space : float
        What it takes up outside. [m3]
    """
    return float(max(np.cbrt(space) - 2 * BOARD, 0.0) ** 3)


def _boxes(state):
    r"""Yield boxes that cannot stand where they should: even a cube of the usual board takes more.

    .. math:: \left(\sqrt[3]{V + V_{driver}} + 2 t\right)^3
    """
    for place, known in state.openings.items():
        box, space = known.get("box"), known.get("space")
        if box is None or space is None or isinstance(box, (Door, InfiniteBaffle)):
            continue
        inside = box.volume + (getattr(state.drivers.get(place), "displacement", None) or 0.0)
        outside = (np.cbrt(inside) + 2 * BOARD) ** 3
        if outside > space:
            yield Unfit(
                LITRES,
                place,
                f"{place} has {space / litre:.0f} litres, and a box of {box.volume / litre:.0f} litres inside takes "
                f"at least {outside / litre:.0f} outside, with {BOARD / mm:.0f} mm board.",
            )


def _sources(state):
    fed = {place: line for line in state.lines for place in line.openings}
    for place, driver in state.drivers.items():
        if place not in fed or fed[place].source is None:
            yield Unfit(NO_SOURCE, place, f"Nothing drives the {driver.name} at {place} yet: say there what drives it.")


def _outputs(state):
    used = {}
    for line in state.playing:
        used.setdefault(line.source, []).append(line.name)
    bought = Counter()
    for item in state.plan.items.values():
        bought[item.amplifier] += item.count
    for source, names in used.items():
        outputs = source.channels * (bought[source] or 1)
        if len(names) > outputs:
            said = f"{source.name} has {outputs} outputs, and {len(names)} are used: {', '.join(names)}."
            yield Unfit(OUTPUTS, source.name, said)


def _loads(state):
    for line, each in zip(state.playing, state.together.solved, strict=True):
        allowed = lowest_load(line.source)
        if each.lowest_load < allowed:
            yield Unfit(
                LOAD,
                line.name,
                f"{line.name} falls to {each.lowest_load:.2g} ohm, and {line.source.name} wants loads rated "
                f"{line.source.minimum_load:g} ohm, which may fall to {allowed:.2g}.",
            )


def _current(state):
    """Yield the amplifier that runs out of current before anything else gives."""
    what, who, at = state.together.gives(state.gains)
    if what == CURRENT:
        yield Unfit(AMPLIFIER_CURRENT, who, f"The amplifier of {who} runs out of current first, at {at:.0f} Hz.")


def _powers(state):
    r"""Yield drivers that their source can overheat: with a steady tone that drives it to its highest voltage.

    .. math:: P = P_{rated}\,V^2 / v_{heat}^2
    """
    for line, each in zip(state.playing, state.together.solved, strict=True):
        for place, driver in line.drivers.items():
            if (place, HEAT) not in each.limits:
                continue
            given = driver.power * (line.source.voltage / each.limits[place, HEAT][PLAYED].min()) ** 2
            if given > OVER * driver.power:
                said = f"The {driver.name} at {place} takes {driver.power:.0f} W"
                yield Unfit(POWER, place, f"{said}, and {line.source.name} can give it {given:.0f} W.")


def _components(state):
    """Yield resistors and capacitors that meet more than they are rated for."""
    for place, source, met, limit, part in state.rated:
        if met.rated > limit:
            unit = {POWER: "W", VOLTAGE: "V"}[met.quantity]
            said = f"{part} at {place}: the {met.name} needs {met.rated:.0f} {unit} on {source}"
            steady = f" ({met.most:.0f} W in a steady tone)" if met.quantity == POWER else ""
            yield Unfit(met.quantity, place, f"{said}{steady}, and is rated {limit:.0f} {unit}.")


def _feed(state):
    """Yield a feed that was settled for something else than is on it now."""
    if state.feed is not None and (why := outgrown(state)):
        yield Unfit(FEED, "the battery", f"{why}: settle it anew.")


def rated_components(state):
    """Yield (opening, name of its source, what a component meets at most, what it is rated for, name of the part)."""
    for line in state.playing:
        rated = {place: _rated(state, place) for place in line.openings if line.openings[place].get("line")}
        if not any(rated.values()):
            continue
        system = System(channels=(line.channel,), ear=state.plan.ear)
        at_full = quietly_solved(system, GRID, float(line.source.voltage))
        for response in at_full.responses:
            place = response.loudspeaker.name
            for met in ratings_of(response) if rated.get(place) else ():
                if met.quantity in rated[place]:
                    yield place, line.source.name, met, *rated[place][met.quantity]


def _rated(state, place):
    """Return {"power" or "voltage": (least that is rated, name of the part)} of what is in an opening's line."""
    found = {}
    for name in state.plan.ranked:
        stage = state.plan.stages[name]
        if name in state.done and place in stage.line:
            found = {}
            for item in (state.plan.items[part] for part in stage.uses):
                for quantity in (POWER, VOLTAGE):
                    if getattr(item, quantity) is not None:
                        rated = getattr(item, quantity), item.name
                        found[quantity] = min(rated, found.get(quantity, rated))
    return found
