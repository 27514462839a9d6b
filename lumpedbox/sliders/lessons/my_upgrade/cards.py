"""A card for each stage of an order: what it costs, how loud it plays cleanly then, what gives, what does not fit."""

from __future__ import annotations

import numpy as np

from ...kit.outcomes import HEARD, beginnings, enough
from ...kit.words import ear_time
from .pages import pages
from .words import AS_FOUND, FREE, gives, level, listed, minus, signed

STOP = "Stop here: what follows adds less than 1 dB of clean bass."


def cards(outcomes, order):
    """Return a card as plain data for what is found and for each stage; those not worked out yet only wait.

    Parameters
    ----------
    outcomes : Outcomes
    order : sequence of str

    Returns
    -------
    list of dict
    """
    steps, plan = beginnings(order), outcomes.plan
    stop = enough(outcomes, order) if order and all(done in outcomes for done in steps) else None
    made = []
    for number, done in enumerate(steps):
        name = done[-1] if done else AS_FOUND
        card = {"name": name, "number": number, "waiting": done not in outcomes}
        cost = plan.cost_of(done)
        card |= {"cost": f"{cost:,.10g}" if done else f"{cost:,.10g} {plan.currency}", "added": _added(plan, done)}
        card["pages"] = pages(plan, name) if done else []
        if not card["waiting"]:
            before = outcomes[done[:-1]] if done and done[:-1] in outcomes else None
            card |= _heard(outcomes[done], before)
            card["stop"] = STOP if number == stop and number < len(order) else ""
        made.append(card)
    return made


def _added(plan, done):
    if not done:
        return ""
    added = plan.cost_of(done) - plan.cost_of(done[:-1])
    return f"+{added:,.10g}" if added else FREE


def _heard(outcome, before):
    found = outcome.figures
    change = found.clean - before.figures.clean if before else 0.0
    return {
        "clean": level(found.clean) if before or not np.isfinite(found.clean) else f"{level(found.clean)} dB",
        "change": signed(change) if before else "",
        "worse": bool(change <= -HEARD),
        "thinness": minus(level(found.thinness)) + ("" if before or not found.bands else " dB"),
        "ear": ear_time(found.exposure),
        "gives": gives(found),
        "turned": turned(found),
        "warnings": list(warnings(outcome, before)),
    }


def turned(found):
    """Say to what levels the channels are set; nothing if all stay."""
    groups = {}
    for name, decibels in found.levels.items():
        if decibels:
            groups.setdefault(f"{decibels:+.0f} dB", []).append(name)
    return "; ".join(f"{listed(names)} {by}" for by, names in groups.items())


def warnings(outcome, before):
    """Yield what does not fit now: what is new in full, what was said on the card before in short."""
    said = before.unfit if before else ()
    yield from both_sides([one for one in outcome.unfit if one not in said])
    still = {}
    for one in outcome.unfit:
        if one in said:
            still.setdefault(one.what, []).append(one.where)
    if still:
        yield f"Still: {'; '.join(f'{what}, {listed(places)}' for what, places in still.items())}."


def both_sides(unfit):
    """Yield what does not fit, where two places are alike but for their names in one sentence."""
    alike = {}
    for one in unfit:
        alike.setdefault(one.replace(one.where, "{}"), []).append(one.where)
    for sentence, places in alike.items():
        yield sentence.replace("{}", listed(places))
