"""From a stage with an amplifier to the page on wire and fuse, and the feed back to the stage."""

from __future__ import annotations

import dataclasses
import math

from ....build.feed.draw import AMPLIFIER
from ....build.workings.gauge import in_both_sizes
from ....plan.checks.battery import FULL, LOW, supply
from ....plan.feeding import entries_of, outgrown, supplied
from ...kit.returning import Result, Way
from .options import ALONE, KINDS, MADE_FOR, METALS, OWN, SECOND, SOURCES
from .upgrade import BY_HAND

AS_SETTLED = "It stands as it was settled. Choose the stage under Draws to rate it anew."
ENGINE_OFF = "The plan's battery was read with the engine off: read it once more with the engine running."
NOT_DRAWN = "The plan has a feed that this page does not draw: settle one here, and it takes its place."


class FeedOfStage(Way):
    """The draws after a stage, and the feed that was settled before; the feed, to be given back.

    Parameters
    ----------
    scene : WireAndFuse
    stages : Stages
    step : str
        Under which option of the page's steps the draws are chosen.
    """

    def __init__(self, scene, stages, step):
        self._scene, self._stages, self._step = scene, stages, step

    def settings(self, at, tell):
        """Return name of a control: value for a stage. [SI]"""
        found, battery = {"step": self._step, "stage_done": BY_HAND}, at.plan.battery
        if battery is not None:
            found["battery"] = battery
            if supply(battery) in (FULL, LOW):
                tell(ENGINE_OFF)
        feed = at.state.feed
        settled, grown = (settled_values(feed), bool(outgrown(at.state))) if feed is not None else ({}, False)
        if settled is None:
            tell(NOT_DRAWN)
        self._stages.begin(at.plan)
        offered = self._stages.offered
        chosen = next((one for one in self._stages.stages if one.name == at.name and one.option in offered), None)
        if chosen is None:
            tell(f"No draws of {at.name} are offered here: choose by hand.")
        elif settled and not grown and _differs(settled, offered[chosen.option]):
            tell(AS_SETTLED)
        else:
            found["stage_done"] = chosen.option
        return (settled or {}) | found if grown else found | (settled or {})

    def results(self, at):
        """Return the feed with its fuses, if every cable has one."""
        scene, amplifiers = self._scene, [one.name for one in supplied(at.state) if one.kind == AMPLIFIER]
        if not (scene.fuses and amplifiers):
            return {}
        feed = scene.feed_found
        label = f"fuse {scene.fuses[0]:g} A, wire {in_both_sizes(feed.cable.area)}"
        return {"feed": Result(label, "feed", entries_of(named(feed, amplifiers)))}


def named(feed, names):
    """Return a feed with the names of its amplifiers, if there are as many; else without, since nobody knows which."""
    names = iter(names if len(names) == len(feed.amplifiers) else [""] * len(feed.amplifiers))

    def of(one):
        draws = tuple(dataclasses.replace(d, name=next(names)) if d.kind == AMPLIFIER else d for d in one.draws)
        return dataclasses.replace(one, draws=draws, branches=tuple(map(of, one.branches)))

    return of(feed)


def settled_values(feed):
    """Return where the page's controls stand for a feed; None if the page does not draw such a one. [SI]"""
    ends = feed.branches or (feed,)
    drawn = [len(end.draws) == 1 and not (feed.branches and end.branches) for end in ends]
    if not all(drawn) or len(ends) > 2 or (feed.branches and (feed.draws or len(ends) < 2)):
        return None
    (amplifier,), *others = (end.draws for end in ends)
    found = {
        "vehicle": feed.vehicle,
        "battery": feed.voltage,
        "metal": _called(METALS, feed.cable.metal),
        "source": _called(SOURCES, feed.cable.source) or OWN,
        "made_for": _called(MADE_FOR, amplifier.rated_voltage) or next(iter(MADE_FOR)),
        "back": feed.return_resistance or 0.0,
        "more": ALONE,
    }
    found |= {name: getattr(feed.cable, name) for name in ("area", "length")}
    found |= {"rating": feed.cable.current_rating or 0.0, "maker": amplifier.maker_fuse or 0.0}
    found |= {name: getattr(amplifier, name) for name in ("power", "efficiency")}
    for (other,) in others:
        cable = ends[1].cable
        found |= {"more": _called(KINDS, other.kind), "branch_power": other.power, "branch_area": cable.area}
        found |= {"branch_length": cable.length, "branch_rating": cable.current_rating or 0.0}
        if found["more"] == SECOND:
            found |= {"branch_efficiency": other.efficiency, "branch_maker": other.maker_fuse or 0.0}
    return found


def _differs(settled, draws):
    """Return whether a feed was settled for other draws than a stage's. [SI]"""
    numbers = {name for name, value in draws.items() if not isinstance(value, str)}
    near = all(math.isclose(settled.get(name, math.inf), draws[name], rel_tol=1e-6) for name in numbers)
    return not near or any(settled[name] != draws[name] for name in draws.keys() - numbers)


def _called(options, value):
    """Return the option that stands for a value; None if none does."""
    return next((option for option, one in options.items() if one == value), None)
