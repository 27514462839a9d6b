"""What is not known of a state, and what is taken in its place."""

from __future__ import annotations

from ..circuit.build import flat, named_components
from ..parts.box import Door
from ..parts.network import Resistor
from ..tables.feeds import NOT_KNOWN, fed

OPEN_AIR = "all levels are those in open air at 1 m"


def gaps(state):
    """Yield a sentence for each thing that is not known."""
    plan = state.plan
    if not plan.channels:
        yield 'No channel is written, so nothing plays yet: write what drives what, as in [channel."front left"].'
    elif not any(line.source is not None for line in state.lines):
        yield "No channel has a source, so nothing plays yet: write what drives it."
    elif not state.playing:
        yield "No driver is in any opening that a channel drives: write what is there, below [have]."
    yield from _cabin(plan)
    for line in state.lines:
        if line.wiring in (None, NOT_KNOWN) and len(line.openings) > 1:
            yield f"How {line.name} is wired is not known: taken as parallel."
    for line in state.playing:
        for place in line.drivers:
            yield from _behind(state, place, line.openings[place])
    yield from _holes(state)
    yield from _watts(state)
    yield from _steady_tones(state)


def _watts(state):
    """Yield where a stage fits resistors of which nobody says what they may take: a hot one burns what it touches."""
    for name in (name for name in state.plan.ranked if name in state.done):
        stage = state.plan.stages[name]
        rated = any(state.plan.items[part].power is not None for part in stage.uses)
        places = [] if rated else [place for place in stage.line if place in _resisted(state)]
        if places:
            yield f"What the resistors at {', '.join(places)} may take is not written: add power to the part, in watts."


def _steady_tones(state):
    """Yield the resistors that stand music, which is half of the full sine at most, and not the full sine."""
    alike = {}
    for place, source, met, limit, part in state.rated:
        if met.quantity == "power" and met.rated <= limit < met.most:
            said = (
                f"{limit:.0f} W stand music. A steady tone at full power of {source} brings the {met.name} "
                f"{met.most:.0f} W, and can burn it."
            )
            alike.setdefault((part, said), []).append(place)
    yield from (f"{part} at {' and '.join(places)}: {said}" for (part, said), places in alike.items())


def _resisted(state):
    """Return the openings with a resistor in their line."""
    return {
        speaker.name
        for line in state.playing
        for speaker in line.channel.each
        if speaker.network is not None
        for _, components in named_components(speaker.network)
        for _, part in flat(components)
        if isinstance(part, Resistor)
    }


def _behind(state, place, known):
    """Yield what is not known behind a driver, and what is written of it but does not count."""
    boxed, infinite = "box" in known, "baffle" in known
    if not known.keys() & {"baffle", "volume", "box"}:
        yield f"What is behind {place} is not known: taken as a large panel."
    if infinite and "volume" in known and not boxed:
        yield f"The volume behind {place} does not count: its baffle is infinite. Write a box in its place."
    if known.get("hole") and not boxed and (infinite or "volume" not in known):
        yield f"The hole of {place} does not count: it needs a volume behind it, and no infinite baffle."
    if "box" in state.plan.openings[place]:
        for name in (name for name in state.plan.ranked if name in state.done):
            if state.plan.stages[name].set.get(place, {}).keys() & {"baffle", "volume", "hole"}:
                yield f"What {name} sets behind {place} does not count: a box stands there. Change the box."


def _holes(state):
    """Yield the leaking openings of which no place is written; their bass depends on it."""
    leaking = [
        speaker.name
        for line in state.playing
        for speaker in line.channel.each
        if isinstance(speaker.box, Door)
        and speaker.box.hole_area
        and not line.openings[speaker.name].keys() & {"box", "hole_place"}
    ]
    if leaking:
        told = f"Where {' and '.join(leaking)} leak{'s' * (len(leaking) == 1)} is not written"
        yield f"{told}: the hole is taken 0.35 m from the cone. The bass depends on it: look, and say where it is."


def _cabin(plan):
    if plan.cabin is None:
        yield f"The cabin is not known: {OPEN_AIR}."
    elif plan.cabin.ear is None:
        yield f"Where the ear sits is not known: {OPEN_AIR}."
    elif plan.channels and plan.heard_in is None:
        places = [place for channel in plan.channels.values() for place in fed(channel["feeds"])]
        lacking = [place for place in places if "place" not in plan.openings[place]]
        yield f"Where {', '.join(lacking) or 'anything'} sits is not known: {OPEN_AIR}."
