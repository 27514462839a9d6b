"""What is not known of a state, and what is taken in its place."""

from __future__ import annotations

from ..tables.feeds import NOT_KNOWN
from .entries import fed

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
    for name, channel in plan.channels.items():
        if channel.get("wiring", NOT_KNOWN) == NOT_KNOWN and len(fed(channel["feeds"])) > 1:
            yield f"How {name} is wired is not known: taken as parallel."
    for line in state.playing:
        for place in line.drivers:
            if not line.openings[place].keys() & {"baffle", "volume", "box"}:
                yield f"What is behind {place} is not known: taken as a large panel."


def _cabin(plan):
    if plan.cabin is None:
        yield f"The cabin is not known: {OPEN_AIR}."
    elif plan.cabin.ear is None:
        yield f"Where the ear sits is not known: {OPEN_AIR}."
    elif plan.channels and plan.heard_in is None:
        places = [place for channel in plan.channels.values() for place in fed(channel["feeds"])]
        lacking = [place for place in places if "place" not in plan.openings[place]]
        yield f"Where {', '.join(lacking) or 'anything'} sits is not known: {OPEN_AIR}."
