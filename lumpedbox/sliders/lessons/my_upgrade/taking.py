"""What the page lets one take along: the steps as a table, the plan's file, and a sheet of paper."""

from __future__ import annotations

import datetime

import numpy as np
from matplotlib.figure import Figure

from ....figures.style import LIGHT, paint
from ....plan import table
from ....plan.files import PLAN_FILE
from ...kit.outcomes import beginnings
from ...kit.taking import Taken, take
from .words import money

TITLE = "My upgrade"
SHEET, STEPS, PLAN = "sheet as PDF", "steps as CSV", "plan as a file"
TAKEAWAYS = (SHEET, STEPS, PLAN)


def taken(kind, page):
    """Return a file of what a page stands at: its name, its media type, its bytes.

    Raises
    ------
    ValueError
        If there is no such kind.
    """
    if kind == SHEET:
        return take(kind, sheet_of(page))
    if kind == STEPS:
        return "my-upgrade.csv", "text/csv", table(page.plan, page.order).to_csv().encode("utf-8-sig")
    if kind == PLAN:
        return PLAN_FILE, "application/toml", page.plan.text.encode()
    raise ValueError(f"there is no {kind!r} to take away: choose one of {', '.join(TAKEAWAYS)}")


def sheet_of(page):
    """Return what stands on the sheet."""
    outcomes, plan = page.outcomes, page.plan
    steps = [
        (f"{number}. {name}", money(plan.cost_of(page.order[:number]), plan.currency) + " so far")
        for number, name in enumerate(page.order, start=1)
    ]
    return Taken(
        question=f"{TITLE}: {plan.name}" if plan.name else TITLE,
        answer=page.answer,
        figure=lambda width, height: money_figure(outcomes, page.order, width, height),
        curves=((), ()),
        made=datetime.date.today(),
        parts=tuple(steps),
        invented=(plan.name,) if page.example else (),
    )


def money_figure(outcomes, order, width, height):
    """Draw the clean bass and treble against bass over what is spent. [inch]"""
    figure = Figure(figsize=(width, height), layout="constrained")
    upper, lower = figure.subplots(2, sharex=True, height_ratios=(2, 1))
    along = [outcomes[done] for done in beginnings(order)]
    spent, steps = [one.cost for one in along], np.arange(len(along))
    upper.step(steps, [one.figures.clean for one in along], where="post", marker="o")
    lower.step(steps, [one.figures.thinness for one in along], where="post", marker="o")
    upper.set_ylabel("clean bass,\n40 to 80 Hz [dB]")
    lower.set_ylabel("treble against\nbass [dB]")
    lower.set_xlabel(f"steps done; {outcomes.plan.currency} spent so far")
    lower.set_xticks(steps, [f"{step}\n{cost:,.10g}" for step, cost in zip(steps, spent, strict=True)])
    for axes in (upper, lower):
        axes.grid(True, alpha=0.3)
    return paint(figure, LIGHT)
