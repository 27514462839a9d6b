"""The pages that fit what a stage does, each opening with that stage's parts."""

from __future__ import annotations

from pathlib import Path

from ....parts.amplifier import Amplifier
from ....parts.box import Door
from ....plan.entries import fed
from ....plan.feeding import outgrown
from ...kit.boxes import in_a_box
from ...kit.demands import a_tweeter
from ...kit.offered import why_not
from ...kit.stages import AtStage, link_to

BOX, DRAW, TAME, LEVELS, WIRE, SHARED, BUILT = (
    "Choose the box for this place",
    "Draw the box",
    "Tame this tweeter",
    "Set the levels",
    "Wire and fuse",
    "Two speakers on one channel",
    "Did it come out as planned?",
)
NOTEBOOKS = {
    BOX: "which_box",
    DRAW: "draw_the_box",
    TAME: "loud_tweeter",
    LEVELS: "set_the_levels",
    WIRE: "wire_and_fuse",
    SHARED: "shared_channel",
    BUILT: "as_planned",
}


def pages(plan, name):
    """Return what is offered with a stage: pairs of a label and an address.

    Parameters
    ----------
    plan : Plan
    name : str
        Of the stage.
    """
    found = {label: place for label, place in _fitting(plan, plan.stages[name]) if _is_there(NOTEBOOKS[label])}
    return [[label, link_to(NOTEBOOKS[label], plan, name, place)] for label, place in found.items()]


def _is_there(notebook):
    return Path(f"{notebook}.ipynb").is_file()


def _fitting(plan, stage):
    """Yield the label of each page that fits, and the opening or channel that is meant: the first of several."""
    drivers = {place: driver for place, driver in (plan.have | stage.put).items() if driver is not None}
    boxed = [*stage.box, *(place for place in stage.put if _wants_a_box(plan, place, drivers.get(place)))]
    drawn = [place for place in boxed if not (isinstance(stage.box.get(place), Door) or _no_room(drivers.get(place)))]
    tweeters = [place for place in {**stage.put, **stage.line} if place in drivers and not a_tweeter(drivers[place])]
    bought = [channel for channel, source in stage.move.items() if isinstance(source, Amplifier)]
    shared = [channel for channel, said in plan.channels.items() if stage.places & _if_several(said)]
    state = AtStage(plan, stage.name).state
    playing = [speaker for line in state.playing for speaker in line.channel.each]
    built = [speaker.name for speaker in playing if in_a_box(speaker) and speaker.name in stage.places]
    grown = state.feed is not None and bool(outgrown(state))
    found = {BOX: boxed, DRAW: drawn, TAME: tweeters, LEVELS: bought or list(stage.box)}
    found |= {WIRE: [""] if bought or grown else [], SHARED: shared, BUILT: [*built, ""] if playing else []}
    yield from ((label, places[0]) for label, places in found.items() if places)


def _wants_a_box(plan, place, driver):
    return "space" in plan.openings[place] and driver is not None and not why_not("which_box", "driver", driver)


def _no_room(driver):
    """Return why a driver cannot be drawn in a box; empty if it can."""
    return why_not("draw_the_box", "driver", driver) if driver is not None else ""


def _if_several(channel):
    places = fed(channel["feeds"])
    return set(places) if len(places) > 1 else set()
