"""What a stage changes, in words: what one hears, what limits it, what it costs, what to buy, what to look at first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arguments import takes
from ..design.ratings import MOUNT
from ..quantity import OneOf, Text
from ..units import mm
from .checks.battery import system_of
from .figures import figures
from .state import STATE
from .table import in_order

HEARD = 1.0  # dB; a smaller change of a band is hardly heard (common practice, no source)
SPARE = 5 * mm  # to keep behind a driver (common practice, no source)
WHICH_SYSTEM = "Is the system 12 V? An amplifier for 12 V must not meet 24."
EARS = "Stay within the minutes a day that stand beside each clean level, and start low."


@dataclass(frozen=True, slots=True)
class Change:
    """What a stage changes.

    Attributes
    ----------
    stage : str
    heard : tuple of str
        A sentence for each band that changes, and for treble against bass.
    clean : float
        By how much the highest clean level from 40 to 80 Hz changes. [dB]
    limit : str
        What gives first before and after.
    cost : float
        In the plan's currency. [1]
    buy : tuple of str
    undo : tuple of str
        What can be undone, and what not.
    check : tuple of str
        What to look at before and after: common practice, no source; one's own remark comes first.
    """

    stage: str
    heard: tuple
    clean: float
    limit: str
    cost: float
    buy: tuple
    undo: tuple
    check: tuple


@takes(state=STATE, stage=Text())
def change(state, stage):
    """Say what a stage changes, that is done next.

    Parameters
    ----------
    state : State
        What is there before it.
    stage : str
        Its name.

    Returns
    -------
    Change

    Raises
    ------
    ValueError
        If it is done already, there is no such stage, or it comes after one that is not done.
    """
    plan = state.plan
    OneOf(tuple(plan.stages)).accept("change", "stage", stage)
    done = tuple(name for name in plan.ranked if name in state.done)
    in_order(plan, (*done, stage), "change")
    then = plan.after(*done, stage)
    before, after = figures(state), figures(then)
    limit = f"{before.first}, then {after.first}" if before.first != after.first else f"{after.first}, as before"
    return Change(
        stage=stage,
        heard=_heard(before, after),
        clean=after.clean - before.clean,
        limit=limit,
        cost=then.cost - state.cost,
        buy=_bought(state, plan.stages[stage]),
        undo=_undone(state, plan.stages[stage]),
        check=_checklist(state, then, plan.stages[stage]),
    )


def _heard(before, after):
    """Say how each band changes at the plan's voltage, and treble against bass."""
    if bool(before.bands) != bool(after.bands):
        return ("it plays from now on" if after.bands else "nothing plays any more",)
    changes = {band: after.bands[band] - level for band, level in before.bands.items() if band in after.bands}
    said = [
        f"{low:g} to {high:g} Hz {abs(by):.1f} dB {'louder' if by > 0 else 'softer'}"
        for (low, high), by in changes.items()
        if abs(by) >= HEARD
    ]
    turned = after.thinness - before.thinness
    if np.isfinite(turned) and abs(turned) >= HEARD:
        said.append(f"treble against bass {turned:+.1f} dB: {'thinner' if turned > 0 else 'fuller'}")
    return tuple(said) or ("no band changes by 1 dB",)


def _bought(state, stage):
    """Say what to buy: the parts that no stage before has bought."""
    plan = state.plan
    had = {name for other in state.done for name in plan.stages[other].uses}
    items = [plan.items[name] for name in stage.uses if name not in had]
    return tuple(f"{item.count} x {item.name}, {item.cost:g} {plan.currency}" for item in items)


def _undone(state, stage):
    """Say what can be undone (common practice, no source)."""
    said = []
    if stage.put.keys() & state.drivers.keys():
        said.append("The old driver goes back into its opening if no hole was cut wider: keep it.")
    if stage.put.keys() - state.drivers.keys() - stage.box.keys():
        said.append("A new driver comes out again; a hole that was cut for it stays.")
    if any("hole" in values for values in stage.set.values()):
        said.append("Sealing comes off again with work; what is glued stays.")
    if stage.box:
        said.append("A box can be taken out again; its board is spent.")
    if stage.filter:
        said.append("A filter is turned off again.")
    if stage.move or stage.line or stage.wiring:
        said.append("Wires go back if no factory wire was cut: use an adapter.")
    return tuple(said)


def _checklist(state, then, stage):
    """Say what to look at (common practice, no source)."""
    said = [stage.remark] if stage.remark else []
    for place, driver in stage.put.items():
        said += _about_opening(place, then.openings[place], driver) if driver is not None else ()
    if any("hole" in values for values in stage.set.values()):
        said.append("Find out first whether sensors sit in what you seal; where fitted or unknown, ask the maker.")
        said.append("Keep drains open and the vapour barrier whole.")
    if stage.put or stage.line or stage.move or stage.wiring:
        said.append("Use a connector or an adapter, so that no factory wire is cut.")
        said.append("Test chimes, hands-free and warnings afterwards; noise cancelling may work against new bass.")
        said.append("Keep clear of airbags: never unplug one live.")
    if stage.move:
        said += [
            "Where is the signal taken, and is it filtered there? Play tones and read the volts.",
            "What switches the amplifier on? Make sure that it goes off, or it drains the battery.",
            "An accessory tap switches an amplifier, it does not supply it: a feed of its own, fused at the battery.",
            WHICH_SYSTEM if then.plan.battery is None else system_of(then.plan.battery),
        ]
    if stage.filter:
        said.append("Is this filter there? Look for it in the source's or the amplifier's settings.")
    if stage.line:
        said.append(MOUNT)
    if stage.box:
        said.append("Wear a mask against dust. Fix the box to the body: friction holds nothing in a crash.")
    return (*said, EARS) if then.playing else tuple(said)


def _about_opening(place, known, driver):
    """Yield what to look at where a driver is put into an opening."""
    if known.get("cutout") is not None and driver.cutout is not None and driver.cutout < known["cutout"]:
        wide, cut = known["cutout"] / mm, driver.cutout / mm
        yield f"{place}: a ring, from {wide:.0f} to {cut:.0f} mm."
    if known.get("depth") is None and "box" not in known:
        yield f"{place}: measure its depth, with windows down; the {driver.name} may not fit."
    elif driver.depth is None:
        yield f"{place}: ask for the depth of the {driver.name}."
    elif "box" not in known and 0 <= known["depth"] - driver.depth < SPARE:
        yield f"{place}: {(known['depth'] - driver.depth) / mm:.0f} mm to spare; keep 5."
