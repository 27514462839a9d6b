"""The page: a plan, the order of its stages, and what is done to them."""

from __future__ import annotations

import time
from pathlib import Path
from urllib.parse import parse_qsl

from ....plan import demo_plan, read_plan
from ....plan.files import PLAN_FILE, begin, keep_together, put_back
from ....plan.search import AIMS
from ....tables.text_file import tables_of
from ...kit.asked import Asked
from ...kit.layout import plain
from ...kit.outcomes import Outcomes, beginnings
from ...kit.remembered import Remembered
from ...kit.stages import MINE, is_example, order_of, plan_named, plans_in
from ...kit.systems import SYSTEMS
from .advice import Advice
from .board import UpgradeBoard
from .filling import EXAMPLE, Filling
from .ordering import Ordering
from .saying import answer_of, nothing_known
from .showing import nothing_shown, shown
from .taking import TAKEAWAYS, taken

CHECKS = "find_out.ipynb"  # the page that helps to find out what one has, where it is there
BEST, WORST = "the best order found", "the worst order"
FIRST_AND_LAST = (0, 99)  # numbers of the stages that are compared at the ear, until others are
BIT = 0.08  # s that are worked on at a time: the page stays alive meanwhile
AIM_WORDS = {
    "clean bass": "loudest clean bass",
    "least thinness": "least treble against bass",
    "lowest f10": "deepest bass",
}
MEND = "Mend that in an editor and load this page again. Meanwhile, this is the example."


class MyUpgrade(Filling, Ordering, Asked):
    """A plan, the order of its stages, and what can be done to them.

    Parameters
    ----------
    path : path-like
        Of one's own plan, beside one's own parts.

    Attributes
    ----------
    plan : Plan or None
        None while nothing is known.
    order : tuple of str
        The stages in the order that is shown; others are left out.
    answer : Answer
    outcomes : Outcomes
    advice : Advice
    """

    def __init__(self, path=PLAN_FILE):
        self.path = Path(path)
        self.board = UpgradeBoard(aims=[[name, AIM_WORDS[name]] for name in AIMS], takeaways=list(TAKEAWAYS))
        self.remembered = Remembered("my upgrade", self._recall)
        self.plan, self.order, self._undo, self._forms, self._ears = None, (), [], 0, FIRST_AND_LAST
        self._open_first()
        self.hear(self.board)
        self.widget = plain(self.board, self.remembered)
        self.widget.add_class("lb-around")

    # --- which plan

    def _open_first(self):
        """Open one's own plan if there is one that can be read, else the example."""
        if not self.path.exists():
            return self._take_up(demo_plan())
        try:
            self._take_up(read_plan(self.path))
        except ValueError as error:
            self._take_up(demo_plan())
            self.board.wrong = f"{error}\n{MEND}"

    def _take_up(self, plan, order=None):
        """Show another plan, or the same one after a change."""
        self.plan, self._looked, self._form, self.board.form, self.board.wrong = plan, 0, None, {}, ""
        self.outcomes, self.advice = (Outcomes(plan), Advice(plan)) if plan is not None else (None, None)
        self.files, self._read = plans_in(self.path.parent), {}
        self._against = next((name for name in self._others if name != self._starts_with), "")
        self.order = self._valid(order if order is not None else self._first_order())
        self._publish()

    @property
    def found(self):
        """The best order by the clean bass, once it is known."""
        return self.advice.found if self.advice is not None else None

    @property
    def example(self):
        """Whether this is the plan of the demonstration."""
        return self.plan is not None and is_example(self.plan)

    @property
    def _starts_with(self):
        return next(iter(self.plan.orders), "") if self.plan is not None else ""

    def _first_order(self):
        return order_of(self.plan) if self.plan is not None else ()

    def _valid(self, order):
        """Return as much of an order as this plan can have."""
        if self.plan is None:
            return ()
        found = []
        for name in order:
            stage = self.plan.stages.get(name)
            if stage is not None and name not in found and all(other in found for other in stage.after):
                found.append(name)
        return tuple(found)

    @property
    def _others(self):
        """The orders that may be compared with one's own, by name."""
        if self.plan is None:
            return {}
        found = {name: order for name, order in self.plan.orders.items() if name != MINE and order}
        if self.found is not None and self.found.best:
            found[BEST] = self.found.best
        if self.found is not None and self.found.worst:
            found[WORST] = self.found.worst
        return found

    @property
    def _compared(self):
        """Outcomes and order of what is compared with one's own: another order, or another plan; None of nothing."""
        if self._against in self._others:
            return self.outcomes, self._others[self._against]
        return self._read.get(self._against)

    # --- what is worked out, bit by bit

    def _one_more(self):
        """Work out one thing more; return whether there was any."""
        if self.plan is None:
            return False
        shown_too = [self._compared] if self._compared else []
        best = self.found.best if self.found is not None else ()
        for outcomes, order in ((self.outcomes, self.order), *shown_too, (self.outcomes, best)):
            for done in beginnings(order):
                if done not in outcomes:
                    outcomes[done]
                    return True
        return self.advice.one_more(self.order) or self._one_band_more()

    def _one_band_more(self):
        """Work out where the head may be, for one of the two stages that are compared at the ear."""
        steps = beginnings(self.order)
        for number in self._ears:
            done = frozenset(steps[min(number, len(self.order))])
            if done not in self.outcomes.bands:
                self.outcomes.band(done)
                return True
        return False

    def finish(self):
        """Work out all that is shown, without a browser that asks for more."""
        while self._one_more():
            pass
        self._publish()

    def _on_go_on(self, _given):
        end = time.monotonic() + BIT
        more = self._one_more()
        while more and time.monotonic() < end:
            more = self._one_more()
        self._publish(busy=more)

    # --- what is shown

    def _publish(self, busy=True):
        """Tell the browser all that is known by now."""
        board = self.board
        self.answer = nothing_known() if self.plan is None else answer_of(self.outcomes, self.order, self.found)
        with board.hold_sync():
            board.about = self._about()
            board.answer = self.answer.said(SYSTEMS[0])
            for trait, what in (nothing_shown() if self.plan is None else self._shown()).items():
                setattr(board, trait, what)
            self._remember()
            board.busy = {"busy": busy and self.plan is not None, "number": board.busy.get("number", 0) + 1}

    def _about(self):
        name = self.plan.name if self.plan is not None else ""
        return {
            "name": name or "no name yet",
            "file": self.plan.path.name if self.plan is not None else "",
            "example": self.example,
            "mine": self.path.exists() and (self.plan is None or self.plan.path != self.path),
            "nothing": self.plan is None,
            "files": [one for one in self.files if self.plan is None or one != self.plan.path.name],
            "checks": CHECKS if Path(CHECKS).is_file() else "",
        }

    def _shown(self):
        names = [*self._others, *(one for one in self.files if one != self.plan.path.name)]
        against = {"names": names, "chosen": self._against if self._compared else ""}
        looked = beginnings(self.order)[min(self._looked, len(self.order))]
        seen = shown(self.outcomes, self.advice, self.order, looked, (self._against, self._compared))
        return seen | {"against": against, "search": self.advice.asked, "measure": self.advice.measures}

    # --- what the browser asks for

    def _refuse(self, text):
        self._tell(text, refused=True)

    def _complain(self, text):
        self.board.wrong = text

    def _tell(self, text, refused=False):
        number = self.board.told.get("number", 0) + 1
        self.board.told = {"text": text, "undo": bool(self._undo) and not refused, "refused": refused, "number": number}

    def _on_open(self, which):
        """Open the example, one's own plan, an empty page, or a copy of the example as one's own."""
        self._undo = []
        self._tell("")
        if which == "example":
            self._take_up(demo_plan())
        elif which == "mine":
            self._take_up(read_plan(self.path))
        elif which == "new":
            if self.path.exists():
                raise ValueError(
                    f"You have a plan already, in {self.path.name}: open that, or move the file away first."
                )
            self._take_up(None)
        elif which == "copy":
            self._take_up(begin(self.path, demo_plan().text), self.order)
            self._tell(f"The example is yours now: it is kept in {self.path.name}.")

    def _on_file(self, name):
        """Open the plan of another file beside one's own."""
        self._undo = []
        self._take_up(plan_named(name, self.path.parent))
        self._tell(f"This is {name}.")

    def _on_link(self, text):
        """Open the plan that a link names, unless it is open already."""
        name = dict(parse_qsl(text)).get("plan", "")
        if name and (self.plan is None or name != self.plan.path.name):
            self._on_file(name)

    def _on_look(self, number):
        self._looked = number
        self._publish(busy=False)

    def _on_ears(self, numbers):
        """Show the band of ears for two stages."""
        self._ears = tuple(numbers)
        self._publish()

    def _on_compare(self, name):
        if name in self.files and name not in self._others:
            plan = plan_named(name, self.path.parent)
            self._read = {name: (Outcomes(plan), order_of(plan))}
        self._against = name
        self._publish()

    def _keep(self, changes, order=None):
        """Write something into one's own plan, all or nothing, and offer it back."""
        self._check_own()
        text, before = self.plan.text, self.order
        self._again(keep_together(self.plan, changes), before if order is None else order)
        self._undo.append(lambda: self._again(put_back(self.plan, text), before))

    def _check_own(self):
        if self.example:
            raise ValueError(EXAMPLE)

    def _again(self, plan, order):
        """Show one's own plan after a change: what was worked out stays where only the order has changed."""
        if self.outcomes is not None and _but_for_orders(plan) == _but_for_orders(self.plan):
            self.plan = plan
            return self._set_order(self._valid(order))
        self._take_up(plan, order)

    def _on_undo(self, _given):
        if not self._undo:
            raise ValueError("There is nothing to undo.")
        self._undo.pop()()
        self._tell("Undone.")

    def _on_find(self, given):
        """Look for the best order: by an aim, within some money."""
        aim, money = given
        self.advice.ask(aim, _budget(money))
        self._publish()

    def _on_measure(self, _given):
        self.advice.measure()
        self._publish()

    def _on_stop_measuring(self, _given):
        self.advice.stop_measuring()
        self._publish()

    def _on_cancel(self, _given):
        self.advice.cancel()
        self._publish()

    def _on_use(self, _given):
        order = self._valid(self.advice.asked.get("order", ()))
        self.advice.forget()
        self._reorder(order, "This is the order that was found.")

    def _on_keep_mine(self, _given):
        self.advice.forget()
        self._publish()
        self._tell("Your order stays.")

    def _on_take(self, kind):
        """Make what is to be taken along, and send it to the browser."""
        if self.plan is None:
            raise ValueError("There is nothing to take away yet.")
        self.finish()
        name, media, content = taken(kind, self)
        self.board.send({"taken": {"name": name, "type": media}}, buffers=[content])

    # --- what the tab remembers

    def _remember(self):
        changed = self.example and self.order != self._valid(self._first_order())
        self.remembered.state = {"order": list(self.order)} if changed else {}

    def _recall(self, state):
        if self.example and state.get("order"):
            self._set_order(self._valid(state["order"]))


def _but_for_orders(plan):
    """Return what stands in a plan's file beside its orders: as long as that stays, so does what was worked out."""
    return {kind: table for kind, table in tables_of(plan.text, "").items() if kind != "orders"}


def _budget(text):
    """Read an amount of money; None if nothing is typed."""
    if not text.strip():
        return None
    try:
        amount = float(text.replace(",", "").strip())
    except ValueError:
        raise ValueError(f"Money: write a number, such as 150, got {text.strip()!r}") from None
    if not amount >= 0:
        raise ValueError(f"Money: it cannot be less than nothing, got {text.strip()}")
    return amount


def my_upgrade(path=PLAN_FILE):
    """Return the page.

    Parameters
    ----------
    path : path-like
        Of one's own plan.
    """
    return MyUpgrade(path)
