"""What the browser shows of a plan, trait by trait of the board."""

from __future__ import annotations

from ...kit.outcomes import beginnings
from .cards import both_sides, cards
from .saying import advice as advised_by
from .shapes import told
from .views import axis, band, curve, steps_along, vehicle, way, worth

FIRST_CHECKS = (
    "Which loudspeakers play now? Fader and balance, 2 minutes.",
    "How wide is the front opening? A tape measure, 5 minutes.",
    "12 or 24 volts? A meter, 1 minute.",
)
MOST = 3  # things to look at first


def nothing_shown():
    """Return what is shown while there is no plan: the shapes to begin with."""
    empty = {"cards": [], "beside": [], "left_out": [], "look": list(FIRST_CHECKS), "worth": []}
    none = {
        "vehicle": {},
        "money": {},
        "curves": {},
        "search": {},
        "measure": {},
        "against": {"names": [], "chosen": ""},
    }
    return empty | none | {"shapes": told()}


def shown(outcomes, advice, order, looked, against):
    """Return what is shown of a plan.

    Parameters
    ----------
    outcomes : Outcomes
    advice : Advice
    order : tuple of str
        The reader's own.
    looked : tuple of str
        What is done in the stage that the plan from above shows.
    against : (str, (Outcomes, tuple of str) or None)
        Name of what is compared, the outcomes of its plan, and its order.
    """
    plan, (name, compared) = outcomes.plan, against
    lines = {"your order": (outcomes, order)} | ({name: compared} if compared else {})
    return {
        "shapes": [],
        "cards": cards(outcomes, order),
        "beside": cards(*compared) if compared else [],
        "left_out": [one for one in plan.ranked if one not in order],
        "look": look_first(outcomes, advised_by(outcomes, order, advice.found)),
        "vehicle": vehicle(outcomes, looked) | {"looked": len(looked)},
        "money": _money(lines),
        "curves": _curves(outcomes, order),
        "worth": _worth(outcomes, advice, order),
    }


def look_first(outcomes, advised):
    """Return what to look at first: what cannot be as it is noted, or as it is advised, then what is not known."""
    if () not in outcomes:
        return []
    start = outcomes[()]
    new = [one for one in outcomes[advised].unfit if one not in start.unfit] if advised else []
    noted = [one.partition(": ")[2] for one in (*start.unfit, *both_sides(new))]
    lacking = start.figures.open if start.figures.bands else ()  # the headline says that nothing plays
    return [*noted, *lacking, *start.figures.unknown][:MOST]


def _money(lines):
    points = [{"name": name, "points": way(outcomes, order)} for name, (outcomes, order) in lines.items()]
    return axis(list(lines.values())) | {"lines": points}


def _curves(outcomes, order):
    known = [done for done in beginnings(order) if done in outcomes]
    found = [outcomes[done].figures for done in known]
    frequency = found[0].frequency.round(2).tolist() if found else []
    bands = [band(outcomes.bands.get(frozenset(done))) for done in known]
    return {"frequency": frequency, "levels": list(map(curve, found)), "bands": bands}


def _worth(outcomes, advice, order):
    if not advice.shares or not all(done in outcomes for done in beginnings(order)):
        return []
    return worth(advice.shares, advice.spans, steps_along(outcomes, order))
