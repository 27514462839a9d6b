"""Exercises that mark themselves, with numbers of each student's own."""

from __future__ import annotations

import hashlib
import html
from dataclasses import dataclass

import ipywidgets
import numpy as np

from ..written import number_in
from .systems import SYSTEMS

TRIES = 3


@dataclass(frozen=True, slots=True)
class Misconception:
    """A way to go wrong that has a name.

    Attributes
    ----------
    name : str
        What was done.
    wrong : callable
        Takes the drawn numbers, returns what a student gets that way. [SI]
    hint : str
        What to think about instead; the right answer is not in it.
    """

    name: str
    wrong: object
    hint: str


@dataclass(frozen=True, slots=True)
class Exercise:
    """One question.

    Attributes
    ----------
    draw : callable
        Takes a random generator, returns the numbers of the question by name. [SI]
    ask : callable
        Takes those numbers and a system of units, returns the question as text.
    answer : callable
        Takes those numbers, returns the right answer, computed by the library. [SI]
    kind : Kind
        What the answer is.
    misconceptions : tuple of Misconception
        Two.
    tolerance : float
        How far off an answer may be, as a share of it; in dB for a level. [1]
    """

    draw: object
    ask: object
    answer: object
    kind: object
    misconceptions: tuple
    tolerance: float = 0.03

    def mark(self, given, text):
        """Return (right, what to say) about an answer as typed."""
        try:
            value = number_in(text, self.kind.metric.unit, self.kind.metric.size)
        except ValueError as error:
            return None, str(error)
        if self._near(value, self.answer(given)):
            return True, "Right."
        for misconception in self.misconceptions:
            if self._near(value, misconception.wrong(given)):
                return False, f"Not yet. It looks as if {misconception.name}. {misconception.hint}"
        return False, "Not yet."

    def _near(self, value, target):
        allowed = self.tolerance if self.kind.metric.unit == "dB" else self.tolerance * abs(target)
        return abs(value - target) <= allowed

    def solution(self, given, system):
        """Return the right answer as text."""
        return self.kind.shown(system).text(self.answer(given))


def generator(name, number):
    """Return a random generator that belongs to a student's name and an exercise's number."""
    seed = hashlib.sha256(f"{' '.join(name.lower().split())}/{number}".encode()).digest()[:8]
    return np.random.default_rng(int.from_bytes(seed, "big"))


class Sheet:
    """A sheet of exercises: type a name, get numbers of your own, type the answers.

    Parameters
    ----------
    exercises : sequence of Exercise
    """

    def __init__(self, exercises):
        self.name = ipywidgets.Text(description="Your name", placeholder="gives you numbers of your own")
        self.units = ipywidgets.Dropdown(description="Units", options=SYSTEMS)
        self.rows = [Row(exercise, number) for number, exercise in enumerate(exercises, start=1)]
        self.name.observe(self._renew, "value")
        self.units.observe(self._renew, "value")
        top = ipywidgets.HBox([self.name, self.units])
        self.widget = ipywidgets.VBox([top, *(row.widget for row in self.rows)])
        self._renew()

    def _renew(self, _change=None):
        for row in self.rows:
            row.begin(self.name.value, self.units.value)

    def _ipython_display_(self):
        from IPython.display import display

        display(self.widget)


class Row:
    """One exercise on the sheet."""

    def __init__(self, exercise, number):
        self.exercise, self.number = exercise, number
        self.question, self.said = ipywidgets.HTML(), ipywidgets.HTML()
        self.typed = ipywidgets.Text(description="Answer", placeholder="with its unit", continuous_update=False)
        self.check = ipywidgets.Button(description="Check")
        self.show = ipywidgets.Button(description="Show the answer", disabled=True)
        self.check.on_click(self.mark)
        self.show.on_click(self.tell)
        line = ipywidgets.HBox([self.typed, self.check, self.show])
        self.widget = ipywidgets.VBox([self.question, line, self.said], layout={"margin": "0 0 12px 0"})
        self._name = None

    def begin(self, name, system):
        """Ask with the numbers that belong to a name; another system of units keeps the numbers and the tries."""
        self.system = system
        if name != self._name:
            self._name, self.tries = name, 0
            self.given = self.exercise.draw(generator(name, self.number))
            self.typed.value, self.said.value, self.show.disabled = "", "", True
        self.question.value = f"<b>{self.number}.</b> {html.escape(self.exercise.ask(self.given, system), quote=False)}"

    def mark(self, _button=None):
        """Mark what was typed; what cannot be read as a number of the right kind is no try."""
        right, said = self.exercise.mark(self.given, self.typed.value)
        if right is False:
            self.tries += 1
            self.show.disabled = self.tries < TRIES
            left = TRIES - self.tries
            said += f" {left} more {'try' if left == 1 else 'tries'} until you may see the answer." if left > 0 else ""
        self.said.value = html.escape(said, quote=False)

    def tell(self, _button=None):
        """Show the answer, once it may be shown."""
        if self.tries >= TRIES:
            self.said.value = f"The answer is {html.escape(self.exercise.solution(self.given, self.system))}."
