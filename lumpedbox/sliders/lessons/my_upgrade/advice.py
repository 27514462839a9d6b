"""What to do next: the best order, and what each step is worth, worked out bit by bit while the page stays alive."""

from __future__ import annotations

from ....plan import shares, spans
from ....plan.checks import Ranking
from ....plan.search import AIMS, Searching
from .saying import of_the_search
from .words import in_turn

USUAL = "clean bass"  # the aim that the page goes by
AT_ONCE = 7  # stages, up to which this is worked out unasked
STOPPED = "Stopped. Your order is as it was."
NO_BETTER = "None of these steps makes it better within that money: nothing to change."
RANKS = "Working it out:"
MEASURED = 3  # things to measure that are told
EXPLAINED = "Regret: clean bass lost on average by deciding before you know. How likely each answer is, is our guess."
NOTHING_OPEN = "Nothing that can be computed is open: measuring changes no order."


class Advice:
    """What is found out about the order of a plan's stages.

    Parameters
    ----------
    plan : Plan

    Attributes
    ----------
    found : Search or None
        The best order by the clean bass without a limit, once it is known.
    shares, spans : dict
        What each step is worth, as `lumpedbox.plan.shares` and `spans` tell; empty until then. [dB]
    measures : dict
        What to measure next, once that was asked for: "rows" of a text and the number of a check, "said", "running".
    asked : dict
        What came of the search that was asked for: how far it is, or its text and order. Empty if none was.
    """

    def __init__(self, plan):
        self.plan, self.found, self.shares, self.spans, self.asked = plan, None, {}, {}, {}
        self._running, self._is_asked, self._ranking = None, False, None
        self.measures = {}

    def measure(self):
        """Work out what to measure next."""
        ranking = Ranking(self.plan)
        self._ranking, self.measures = (ranking, iter(ranking)), {"running": True, "said": RANKS}

    def stop_measuring(self):
        """End that."""
        self._ranking, self.measures = None, {"said": "Cancelled."}

    def _rank_on(self):
        """Solve one plan more of those that an answer would make."""
        ranking, steps = self._ranking
        try:
            done, count = next(steps)
        except StopIteration:
            self._ranking, rows = None, [one for one in ranking.found if one.regret > 0 or one.swing > 0][:MEASURED]
            self.measures = {"rows": list(map(_row, rows)), "said": EXPLAINED if rows else NOTHING_OPEN}
        else:
            self.measures = {"running": True, "said": f"{RANKS} {done} of {count} plans."}

    def ask(self, aim, budget=None):
        """Look for the best order by an aim, within some money.

        Raises
        ------
        ValueError
            If there is no such aim, or there are too many stages.
        """
        if aim not in AIMS:
            raise ValueError(f"there is no aim {aim!r}: choose one of {', '.join(AIMS)}")
        self._begin(Searching(self.plan, AIMS[aim], budget))
        self._is_asked, self.asked = True, {"done": 0, "all": 2 ** len(self.plan.stages)}

    def cancel(self):
        """End the search that was asked for."""
        self._running, self._is_asked, self.asked = None, False, {"text": STOPPED}

    def forget(self):
        """Forget what came of it."""
        self.asked = {}

    def one_more(self, order):
        """Do a bit more for a reader whose order is this; return whether there was anything to do."""
        at_once = 0 < len(self.plan.stages) <= AT_ONCE
        if self._running is not None:
            self._step(order)
        elif self._ranking is not None:
            self._rank_on()
        elif at_once and self.found is None:
            self._begin(Searching(self.plan, AIMS[USUAL]))
        elif at_once and not self.shares:
            self.shares, self.spans = shares(self.plan), spans(self.plan)
        else:
            return False
        return True

    def _begin(self, searching):
        self._running = searching, iter(searching)

    def _step(self, order):
        """Solve one set more of the search that runs."""
        searching, steps = self._running
        try:
            done, every = next(steps)
        except StopIteration:
            self._running = None
            self._end(searching, order)
            return
        if self._is_asked:
            self.asked = {"done": done, "all": every}

    def _end(self, searching, order):
        """Take what a search has found; nothing of the reader's is overwritten."""
        found, limited = searching.found, searching.budget is not None
        if searching.aim == AIMS[USUAL] and not limited:
            self.found = found
        if not self._is_asked:
            return
        self._is_asked = False
        if not found.best:
            self.asked = {"text": NO_BETTER}
            return
        same = found.best == tuple(order)
        head = "Yours is the best." if same else f"The best order is {in_turn(found.best)}."
        text = " ".join([head, *of_the_search(found, limited)])
        self.asked = {"text": text, "order": [] if same else list(found.best)}


def _row(worth):
    """Return what is told of a question, and the number of its check."""
    told = f"{worth.a_minute:.2f} dB of regret a minute, swing {worth.swing:.1f} dB"
    return [f"{worth.question.words}: {told}", worth.question.check]
