"""A sheet of exercises that mark themselves, and what a student hands in."""

from __future__ import annotations

import html

import ipywidgets

from .exercises import TRIES, generator
from .result_code import Attempt, code_of
from .systems import SYSTEMS
from .terms import TERMS, first_terms


class Sheet:
    """A sheet of exercises: type a name, get numbers of your own, type the answers, hand in a code.

    Parameters
    ----------
    exercises : sequence of Exercise
    lesson : str
        Name of the lesson that they belong to; without one there is no code.
    """

    def __init__(self, exercises, lesson=""):
        self.lesson = lesson
        # sent when it is done: letters that came after a first answer would begin the sheet anew
        self.name = ipywidgets.Text(
            description="Your name", placeholder="gives you numbers of your own", continuous_update=False
        )
        self.units = ipywidgets.Dropdown(description="Units", options=SYSTEMS)
        terms = first_terms([exercise.question for exercise in exercises])
        self.rows = [
            Row(exercise, number, new, then=self._tell)
            for number, (exercise, new) in enumerate(zip(exercises, terms, strict=True), start=1)
        ]
        self.done, self.handed_in = ipywidgets.HTML(), ipywidgets.HTML()
        self.done.add_class("lb-marked")
        self.name.observe(self._renew, "value")
        self.units.observe(self._renew, "value")
        top = ipywidgets.HBox([self.name, self.units], layout={"flex_flow": "row wrap"})
        self.widget = ipywidgets.VBox([top, *(row.widget for row in self.rows), self.done, self.handed_in])
        self._renew()

    @property
    def code(self):
        """What a student hands in; empty until an answer is marked, and without a name or a lesson."""
        attempts = [row.attempt for row in self.rows]
        if not self.lesson or not self.name.value.strip() or not any(attempt.begun for attempt in attempts):
            return ""
        return code_of(self.lesson, self.name.value, attempts)

    def _renew(self, _change=None):
        for row in self.rows:
            row.begin(self.name.value, self.units.value)
        self._tell()

    def _tell(self):
        """Say how many are done, and what to hand in."""
        attempts = [row.attempt for row in self.rows]
        right, shown = sum(one.right for one in attempts), sum(one.shown and not one.right for one in attempts)
        seen = f", and {shown} shown" if shown else ""
        self.done.value = f"{right} of {len(attempts)} right{seen}." if attempts else ""
        hint = "" if self.name.value.strip() else "Type your name first: then your answers make a code to hand in."
        self.handed_in.value = f"Result code to hand in: <code>{self.code}</code>" if self.code else hint

    def _ipython_display_(self):
        from IPython.display import display

        display(self.widget)


class Row:
    """One exercise on the sheet.

    Parameters
    ----------
    exercise : Exercise
    number : int
        From 1.
    terms : sequence of str
        Those to explain.
    then : callable
        What to do once an answer is marked or shown.
    """

    def __init__(self, exercise, number, terms=(), then=lambda: None):
        self.exercise, self.number, self.then = exercise, number, then
        self.question, self.said = ipywidgets.HTML(), ipywidgets.HTML()
        self.said.add_class("lb-marked")
        explained = "; ".join(f"<b>{html.escape(term)}</b>: {html.escape(TERMS[term])}" for term in terms)
        self.terms = ipywidgets.HTML(f"<small>{explained}.</small>" if explained else "")
        self.typed = ipywidgets.Text(
            description=f"Answer {number}", placeholder="with its unit", continuous_update=False
        )
        self.check = ipywidgets.Button(description="Check")
        self.show = ipywidgets.Button(description="Show the answer", disabled=True)
        self.check.on_click(self.mark)
        self.typed.observe(self._entered, "value")
        self.show.on_click(self.tell)
        line = ipywidgets.HBox([self.typed, self.check, self.show], layout={"flex_flow": "row wrap"})
        rows = [self.question, *([self.terms] if explained else []), line, self.said]
        self.widget = ipywidgets.VBox(rows, layout={"margin": "0 0 12px 0"})
        self._name = None

    @property
    def attempt(self):
        """What became of it so far: an `Attempt`."""
        return Attempt(wrong=self.tries, right=self._right, shown=self._shown)

    def begin(self, name, system):
        """Ask with the numbers that belong to a name; another system of units keeps the draw and the tries."""
        self.system, self._marked = system, None
        if name != self._name:
            self._name, self.tries, self._right, self._shown = name, 0, False, False
            self._drawn = self.exercise.draw(generator(name, self.number))
            self.typed.value, self.said.value, self.show.disabled = "", "", True
        self.given = self.exercise.given(self._drawn, system)
        self.question.value = f"<b>{self.number}.</b> {html.escape(self.exercise.ask(self.given, system), quote=False)}"

    def _entered(self, change):
        """Mark what was typed when it is done: with the enter key, or by leaving the field."""
        if change["new"].strip():
            self.mark()

    def mark(self, _button=None):
        """Mark what was typed, once; what cannot be read as a number of the right kind is no try."""
        if self.typed.value == self._marked:
            return
        self._marked = self.typed.value
        right, said = self.exercise.mark(self.given, self._marked)
        self._right = self._right or right is True
        if right is False and not self._right:
            self.tries += 1
            self.show.disabled = self.tries < TRIES
            left = TRIES - self.tries
            said += f" {left} more {'try' if left == 1 else 'tries'} until you may see the answer." if left > 0 else ""
        self.said.value = html.escape(said, quote=False)
        self.then()

    def tell(self, _button=None):
        """Show the answer, once it may be shown."""
        if self.tries >= TRIES:
            self._shown = True
            self.said.value = f"The answer is {html.escape(self.exercise.solution(self.given, self.system))}."
            self.then()
