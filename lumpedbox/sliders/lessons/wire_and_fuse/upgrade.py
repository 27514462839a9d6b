"""What is on the feed after each stage of an upgrade, as the page's controls say it."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path

from ....build.feed.draw import AMPLIFIER
from ....plan.feeding import supplied
from ....plan.files import PLAN_FILE
from ...kit.controls import Choice
from ...kit.stages import is_example, order_of, plan_named

BY_HAND = "by hand"
FIGURES = (("efficiency", "maker"), ("branch_efficiency", "branch_maker"))  # what is read for one amplifier alone
MANY = "more on the feed than this page draws"


@dataclass(frozen=True, slots=True)
class AfterStage:
    """What is on the feed once a stage is done.

    Attributes
    ----------
    number : int
        Of the stage in the order, from 1.
    name : str
    on_it : tuple of Supplied
    """

    number: int
    name: str
    on_it: tuple

    @property
    def option(self):
        """What it is called where one chooses."""
        return f"after stage {self.number}, {self.name}"

    def amplifier(self, number):
        """Return the `Amplifier` that comes first or second, from 0; None if there is none."""
        return self.on_it[number].source if number < len(self.on_it) else None

    def places(self, words):
        """Return where the controls stand with it; nothing if the page does not draw so much. [SI]

        Parameters
        ----------
        words : dict
            Kind: what the page calls something else on the same feed; "" for nothing.
        """
        first, *others = self.on_it
        if len(others) > 1:
            return {}
        told = {"power": first.power, "more": words[""], "efficiency": first.efficiency, "maker": first.maker_fuse}
        for other in others:
            told |= {"more": words[other.kind], "branch_power": other.power, "branch_maker": other.maker_fuse}
            told |= {"branch_efficiency": other.efficiency}
        return {name: value for name, value in told.items() if value is not None}


class Stages(Choice):
    """The stages of an upgrade after which an amplifier is on the feed; its plan is read when it is asked for.

    Parameters
    ----------
    words : dict
        As of `AfterStage.places`.
    asked : callable
        Takes the page's values; returns whether the reader looks at it.
    sliders : dict
        Name: slider of the page, which must reach what a stage asks for.
    """

    def __init__(self, name, label, words, asked, sliders, group=""):
        self._words, self._asked, self._sliders, self._plan = words, asked, sliders, None
        super().__init__(name, label, (BY_HAND,), BY_HAND, "", group, asked)

    @functools.cached_property
    def _read(self):
        """The stages, and what is to be said of the plan."""
        try:
            plan = self.plan
        except ValueError as error:
            return (), f"Your plan cannot be read: {error}"
        found, order = [], order_of(plan)
        for number, name in enumerate(order, start=1):
            on_it = supplied(plan.after(*order[:number]))
            if on_it and on_it[0].kind == AMPLIFIER:
                found.append(AfterStage(number, name, on_it))
        whose = "The plan is the example's, and invented." if is_example(plan) else ""
        left = [f"Stage {one.number}, {one.name}: {MANY}." for one in found if not self._reached(one)]
        nothing = "" if found else "No stage of the plan brings an amplifier."
        return tuple(found), " ".join(filter(None, [whose, nothing, *left]))

    @property
    def plan(self):
        """The plan that a link names; else one's own, or the example."""
        return self._plan or plan_named(PLAN_FILE if Path(PLAN_FILE).exists() else "")

    def begin(self, plan):
        """Offer the stages of a plan that a link names."""
        self._plan = plan
        vars(self).pop("_read", None)

    def _reached(self, stage):
        places = stage.places(self._words)
        sliders = {name: self._sliders[name] for name in places if name in self._sliders}
        return bool(places) and all(one.nearest(places[name]) == places[name] for name, one in sliders.items())

    @property
    def offered(self):
        """Option: where the controls stand then. [SI]"""
        return {one.option: one.places(self._words) for one in self._read[0] if self._reached(one)}

    def places(self, stage, before):
        """Return where the controls stand with a stage after another, if any. [SI]

        A figure that the plan does not tell is not that of the amplifier before.

        Parameters
        ----------
        stage, before : AfterStage or None
        """
        fresh = (
            {}
            if before is None
            else {
                name: self._sliders[name].start
                for number, names in enumerate(FIGURES)
                if stage.amplifier(number) != before.amplifier(number)
                for name in names
            }
        )
        return fresh | self.offered[stage.option]

    @property
    def stages(self):
        """All `AfterStage`."""
        return self._read[0]

    def nearest(self, chosen):
        """Return the choice; None where it is not offered."""
        return chosen if chosen == BY_HAND or chosen in self.offered else None

    def read(self, text):
        """Return the choice of a link's text.

        Raises
        ------
        ValueError
            If it is not offered.
        """
        if self.nearest(text) is None:
            raise ValueError(f"{self.label}: {text} is not offered here")
        return text

    def spec(self, values, system):
        """Return what the browser must know of it; the plan is read once the reader looks at it."""
        if self._asked(values) or values[self.name] != BY_HAND:
            self.options, self.left_out = (BY_HAND, *self.offered), self._read[1]
        return super().spec(values, system)
