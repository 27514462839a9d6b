"""From a stage of a plan to a page, and back: which stage a link is about, and what there is then."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qs, urlencode

from ...plan import demo_plan, read_plan
from ...plan.described import Plan, needed_by
from ...plan.files import PLAN_FILE
from ...tables.shipped import data_folder
from ...tables.text_file import tables_of, text_of

UPGRADE = "my_upgrade.ipynb"
LOOKS_LIKE_ONE = re.compile(r"^\s*\[(opening|stage)\.", re.MULTILINE)
LINKED = ("stage", "plan", "at")  # what a link to a stage tells
FEED = "feed"  # of a stage: it is none of an opening or a channel
MY_PLAN, MINE_DONE, MINIBUS = "my plan", "my plan, all steps done", "plan of the minibus (invented)"
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

    def line(self, place):
        """Return the channel that feeds an opening, as a `lumpedbox.plan.lines.Line`; None if none does."""
        return next((line for line in self.state.lines if place in line.openings), None)

    def like(self, key, place):
        """Return the openings or channels for which the stage writes the same as for one: left and right, mostly."""
        written, meant = self._written.get(key, {}), self.written_of(key, place)
        same = [name for name, value in written.items() if value == meant]
        return [" ".join(name.split()) for name in same] or [place]

    def written_of(self, key, place):
        """Return what the stage writes for an opening or a channel, as the file holds it; None for nothing."""
        written = self._written.get(key, {})
        return next((value for name, value in written.items() if " ".join(name.split()) == place), None)

    def changed(self, key, values):
        """Return the change of the file that gives openings or channels of this stage other values, or another feed."""
        written = dict(self._written)
        if key == FEED:
            return "stage", self._spelt, written | {key: values}
        old = {name: value for name, value in written.get(key, {}).items() if " ".join(name.split()) not in values}
        return "stage", self._spelt, written | {key: old | values}

    @property
    def _spelt(self):
        stages = tables_of(self.plan.text, self.plan.path.name)["stage"]
        return next(name for name in stages if " ".join(name.split()) == self.name)

    @property
    def _written(self):
        return tables_of(self.plan.text, self.plan.path.name)["stage"][self._spelt]

    @property
    def is_example(self):
        """Whether it is of the demonstration's plan, which nothing is written into."""
        return is_example(self.plan)


def named_after(at):
    """Return what *Take it to the garage* calls what there is once a stage is done."""
    whole, plan = (MINIBUS, f"the {MINIBUS}") if at.is_example else (MINE_DONE, MY_PLAN)
    return whole if order_of(at.plan)[-1:] == (at.name,) else up_to(at.name, plan)


def up_to(stage, plan):
    """Return what *Take it to the garage* calls a plan that is done up to a stage."""
    return f"up to {stage}, in {plan}"


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
    return f"{page}.ipynb#{urlencode(link_of(plan, name, place))}"


def link_of(plan, name, place=""):
    """Return what such a link tells, key by key."""
    return {"stage": name, "plan": plan.path.name} | ({"at": place} if place else {})


def no_more_than_a_stage(text):
    """Tell whether a link to a stage leads there alone: it tells of nothing that was moved."""
    return set(parse_qs(text)) <= set(LINKED)


def at_stage(text):
    """Return the stage that a link is about; None if it is about none.

    Parameters
    ----------
    text : str
        What stands behind the # of the link: "stage=bass+box", and maybe "plan=my_plan.toml" and "at=wheel+arch".
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
    place = told.get("at", "")
    return AtStage(plan, name, place if place in {*plan.openings, *plan.channels} else "")


def plans_in(folder):
    """Return the names of the files of a folder that hold plans, by the look of them."""
    return sorted(path.name for path in Path(folder).glob("*.toml") if LOOKS_LIKE_ONE.search(_text(path)))


def _text(path):
    try:
        return text_of(path)
    except ValueError:  # no text at all
        return ""


def plan_named(name, folder=""):
    """Return the plan of a file in a folder; that of the demonstration by its own name, or by none.

    Raises
    ------
    ValueError
        If it cannot be read, or is not in that folder.
    """
    example = demo_plan()
    if name in ("", example.path.name):
        return example
    if Path(name).name != name or Path(name).suffix != ".toml":
        raise ValueError(f"A plan is a file beside your parts whose name ends in .toml, got {name!r}")
    return read_plan(Path(folder) / name)
