"""From a stage of a plan to a page, and back: which stage a link is about, and what there is then."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qs, urlencode

from ...plan import demo_plan, read_plan
from ...plan.described import Plan, needed_by
from ...plan.files import PLAN_FILE
from ...tables.shipped import data_folder

UPGRADE = "my_upgrade.ipynb"
MINE = "my order"  # its name in the file


@dataclass(frozen=True)
class AtStage:
    """A stage of a plan, in the order that is kept with it.

    Attributes
    ----------
    plan : Plan
    name : str
        Of the stage, as it stands in the file.
    place : str
        The opening or channel that is meant; empty where the link names none.
    """

    plan: Plan
    name: str
    place: str = ""

    @property
    def stage(self):
        """What it does, a `lumpedbox.plan.described.Stage`."""
        return self.plan.stages[self.name]

    @property
    def before(self):
        """The names of the stages that are done before it."""
        order = order_of(self.plan)
        if self.name in order:
            return tuple(order[: order.index(self.name)])
        return tuple(needed_by(self.plan.stages)[self.name])

    @functools.cached_property
    def state(self):
        """What there is once it is done, a `State`."""
        return self.plan.after(*self.before, self.name)

    @property
    def is_example(self):
        """Whether it is of the demonstration's plan, which nothing is written into."""
        return is_example(self.plan)


def is_example(plan):
    """Whether a plan is that of the demonstration."""
    return plan.path is not None and plan.path.parent == data_folder()


def order_of(plan):
    """Return the order that is kept in a plan: one's own, else the first with the stages that it lacks at its end."""
    if MINE in plan.orders:
        return plan.orders[MINE]
    kept = next(iter(plan.orders.values()), ())
    return (*kept, *(name for name in plan.ranked if name not in kept))


def link_to(page, plan, name, place=""):
    """Return the address of a page, beside this one, that opens with a stage's parts.

    Parameters
    ----------
    page : str
        Name of its notebook, without the ending.
    plan : Plan
    name, place : str
        Of the stage; of the opening or channel that is meant, if one is.
    """
    told = {"stage": name, "plan": plan.path.name} | ({"place": place} if place else {})
    return f"{page}.ipynb#{urlencode(told)}"


def at_stage(text):
    """Return the stage that a link is about; None if it is about none.

    Parameters
    ----------
    text : str
        What stands behind the # of the link: "stage=bass+box", and maybe "plan=my_plan.toml" and "place=wheel+arch".
        Without a plan it is one's own if there is one, else the demonstration's.

    Returns
    -------
    AtStage or None

    Raises
    ------
    ValueError
        If there is no such plan or stage, or the plan cannot be read.
    """
    told = {key: values[-1] for key, values in parse_qs(text).items()}
    if "stage" not in told:
        return None
    plan, name = plan_named(told.get("plan", PLAN_FILE if Path(PLAN_FILE).exists() else "")), told["stage"]
    if name not in plan.stages:
        raise ValueError(f"{plan.path.name} has no stage {name!r} any more: go back to My upgrade.")
    place = told.get("place", "")
    return AtStage(plan, name, place if place in {*plan.openings, *plan.channels} else "")


def plan_named(name):
    """Return the plan of a file in this folder; that of the demonstration by its own name, or by none.

    Raises
    ------
    ValueError
        If it cannot be read, or is not in this folder.
    """
    example = demo_plan()
    if name in ("", example.path.name):
        return example
    if Path(name).name != name or Path(name).suffix != ".toml":
        raise ValueError(f"A plan is a file beside your parts whose name ends in .toml, got {name!r}")
    return read_plan(name)
