"""The pages that fit what a stage does, each opening with that stage's parts."""

from __future__ import annotations

from pathlib import Path

from ....parts.amplifier import Amplifier
from ....plan.entries import fed
from ...kit.demands import a_tweeter
from ...kit.offered import why_not
from ...kit.stages import link_to

BOX, TAME, LEVELS, WIRE, SHARED = (
    "Choose the box for this place",
    "Tame this tweeter",
    "Set the levels",
    "Wire and fuse",
    "Two speakers on one channel",
)
NOTEBOOKS = {
    BOX: "which_box",
    TAME: "loud_tweeter",
    LEVELS: "set_the_levels",
    WIRE: "wire_and_fuse",
    SHARED: "shared_channel",
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
    tweeters = [place for place in {**stage.put, **stage.line} if place in drivers and not a_tweeter(drivers[place])]
    bought = [channel for channel, source in stage.move.items() if isinstance(source, Amplifier)]
    shared = [channel for channel, said in plan.channels.items() if stage.places & _if_several(said)]
    found = {BOX: boxed, TAME: tweeters, LEVELS: bought or list(stage.box), WIRE: bought, SHARED: shared}
    yield from ((label, places[0]) for label, places in found.items() if places)


def _wants_a_box(plan, place, driver):
    return "space" in plan.openings[place] and driver is not None and not why_not("which_box", "driver", driver)


def _if_several(channel):
    places = fed(channel["feeds"])
    return set(places) if len(places) > 1 else set()
