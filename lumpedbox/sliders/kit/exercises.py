"""Exercises that mark themselves, with numbers of each student's own."""

from __future__ import annotations

import hashlib
import html
import itertools
import math
from dataclasses import dataclass, replace

import ipywidgets
import numpy as np

from ...tables.quantity_text import number_in
from .drawn import Follows
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
        Takes the numbers as printed, returns what a student gets that way. [SI]
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
    question : str
        With the names of its numbers in braces; {unit} is the unit of the answer.
    numbers : dict
        Name: Drawn, Name or Follows.
    answer : callable
        Takes the numbers as printed, returns the right answer, above 0. [SI]
    kind : Kind
        What the answer is.
    misconceptions : tuple of Misconception
        Two.
    tolerance : float
        How far off an answer may be, as a share of it; in dB for a level. [1]
    sensible : callable
        Takes the numbers as printed, returns whether such a thing can be built.
    """

    question: str
    numbers: dict
    answer: object
    kind: object
    misconceptions: tuple
    tolerance: float = 0.03
    sensible: object = lambda given: True

    def draw(self, random):
        """Draw until the question makes sense, and no mistake can be taken for another or for the answer."""
        to_draw = {name: number for name, number in self.numbers.items() if not isinstance(number, Follows)}
        while True:
            drawn = {name: number.draw(random) for name, number in to_draw.items()}
            if self.fits(drawn):
                return drawn

    def fits(self, drawn):
        """Return whether in either system the question makes sense and nothing can be taken for something else."""
        return all(self._told_apart(self.given(drawn, system)) for system in SYSTEMS)

    def given(self, drawn, system):
        """Return the numbers as the question prints them in a system of units: all that a student knows. [SI]"""
        given = {}
        for name, number in self.numbers.items():
            value = drawn[name] if name in drawn else number.of(given)
            given[name] = number.as_printed(value, system)
        return given

    def ask(self, given, system):
        """Return the question as text."""
        numbers = {name: self.numbers[name].text(value, system) for name, value in given.items()}
        return self.question.format(unit=self.kind.shown(system).unit, **numbers)

    def mark(self, given, text):
        """Return (right, what to say) about an answer as typed."""
        if not text.strip():
            return None, "Type your answer first."
        try:
            value = number_in(text, self.kind.metric.unit, self.kind.metric.size)
        except ValueError as error:
            return None, str(error)
        answer = self.answer(given)
        if self._near(value, answer):
            return True, "Right."
        if self._near(-value, answer):
            return False, "Not yet. The size is right: leave out the minus. The question says which way it goes."
        for misconception in self.misconceptions:
            if self._near(value, misconception.wrong(given)):
                return False, f"Not yet. It looks as if {misconception.name}. {misconception.hint}"
        return False, "Not yet."

    def solution(self, given, system):
        """Return the right answer as text, to as many decimals as its tolerance asks for."""
        shown, answer = self.kind.shown(system), self.answer(given)
        needed = math.ceil(math.log10(2 * shown.size / self._allowed(answer)))
        return replace(shown, decimals=max(shown.decimals, needed)).text(answer)

    def _told_apart(self, given):
        if not self.sensible(given):
            return False
        values = [self.answer(given), *(misconception.wrong(given) for misconception in self.misconceptions)]
        pairs = itertools.combinations(values, 2)
        return all(abs(a - b) > self._allowed(a) + self._allowed(b) for a, b in pairs)

    def _near(self, value, target):
        return abs(value - target) <= self._allowed(target)

    def _allowed(self, target):
        return self.tolerance if self.kind.metric.unit == "dB" else self.tolerance * abs(target)


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
        self.said.add_class("lb-marked")
        self.typed = ipywidgets.Text(description="Answer", placeholder="with its unit", continuous_update=False)
        self.check = ipywidgets.Button(description="Check")
        self.show = ipywidgets.Button(description="Show the answer", disabled=True)
        self.check.on_click(self.mark)
        self.typed.observe(self._entered, "value")
        self.show.on_click(self.tell)
        line = ipywidgets.HBox([self.typed, self.check, self.show])
        self.widget = ipywidgets.VBox([self.question, line, self.said], layout={"margin": "0 0 12px 0"})
        self._name = None

    def begin(self, name, system):
        """Ask with the numbers that belong to a name; another system of units keeps the draw and the tries."""
        self.system, self._marked = system, None
        if name != self._name:
            self._name, self.tries = name, 0
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
