"""Exercises that mark themselves, with numbers of each student's own."""

from __future__ import annotations

import hashlib
import itertools
import math
import unicodedata
from dataclasses import dataclass, replace
from string import Formatter

import numpy as np

from ...tables.quantity_text import number_in, with_point
from .controls import read_as
from .drawn import Follows
from .systems import SYSTEMS

TRIES = 3
FIGURES = 4
RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


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
class Step:
    """One line of a worked solution.

    Attributes
    ----------
    name : str
        What it finds, by the name that it has in its words and for the steps behind it.
    kind : Kind
        What that is.
    of : callable
        Takes the numbers as printed with what the steps before found; returns what this one finds. [SI]
    words : str
        How to find it, with the names of numbers in braces, its own too.
    same_as : str
        Name of the number that it only turns into another unit; where both read alike nothing is said.
    """

    name: str
    kind: object
    of: object
    words: str
    same_as: str = ""


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
    steps : tuple of Step
        The worked solution, by hand; the last one finds the answer.
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
    steps: tuple = ()
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

    def given_to(self, name, number, system):
        """Return the numbers that a student of a name gets, if it is the exercise of that number. [SI]"""
        return self.given(self.draw(generator(name, number)), system)

    def ask(self, given, system):
        """Return the question as text."""
        return self.question.format(unit=self.kind.shown(system).unit, **self.printed(given, system))

    def printed(self, given, system):
        """Return the numbers as text, with their units: {name: text}."""
        return {name: self.numbers[name].text(value, system) for name, value in given.items()}

    def told(self, given, system):
        """Return the numbers that the question tells, as text: what is only drawn from stays out."""
        asked = {name for _, name, *_ in Formatter().parse(self.question)}
        return [text for name, text in self.printed(given, system).items() if name in asked]

    def mark(self, given, text):
        """Return (right, what to say) about an answer as typed."""
        if not text.strip():
            return None, "Type your answer first."
        try:
            value = number_in(with_point(text), self.kind.metric.unit, self.kind.metric.size)
        except ValueError as error:
            return None, str(error)
        right, said = self._marked(given, value)
        return right, " ".join(filter(None, (said, read_as(text))))

    def _marked(self, given, value):
        """Return (right, what to say) about an answer. [SI]"""
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
        """Return the right answer as text."""
        return self.text_of(self.answer(given), system)

    def text_of(self, answer, system):
        """Return an answer, right or wrong, to as many decimals as the tolerance asks for."""
        shown = self.kind.shown(system)
        needed = math.ceil(math.log10(2 * shown.size / self._allowed(answer)))
        return replace(shown, decimals=max(shown.decimals, needed)).text(answer)

    def found(self, given):
        """Return what each step finds by name, in their order. [SI]"""
        known = dict(given)
        for step in self.steps:
            known[step.name] = step.of(known)
        return {step.name: known[step.name] for step in self.steps}

    def worked(self, given, system):
        """Return the steps as lines of text, with the numbers filled in."""
        texts, lines, found = self.printed(given, system), [], self.found(given)
        for step in self.steps:
            texts[step.name] = in_figures(step.kind.shown(system), found[step.name])
            if texts.get(step.same_as) != texts[step.name]:
                lines.append(step.words.format(**texts))
        return lines

    def _told_apart(self, given):
        if not self.sensible(given):
            return False
        values = [abs(value) for value in (self.answer(given), *(slip.wrong(given) for slip in self.misconceptions))]
        pairs = itertools.combinations(values, 2)
        return all(abs(a - b) > self._allowed(a) + self._allowed(b) for a, b in pairs)

    def _near(self, value, target):
        return abs(value - target) <= self._allowed(target)

    def _allowed(self, target):
        return self.tolerance if self.kind.metric.unit == "dB" else self.tolerance * abs(target)


def in_figures(shown, value):
    """Return a value with its unit to as many figures as a worked solution carries along."""
    number = shown.number(value)
    power = math.floor(math.log10(abs(number))) if number else 0
    plain = -3 <= power < 6
    decimals = max(FIGURES - 1 - power, 0) if plain else FIGURES - 1
    figures = f"{number if plain else number / 10.0**power:.{decimals}f}"
    figures = figures.rstrip("0").rstrip(".") if "." in figures else figures
    raised = "" if plain else f" × 10{str(power).translate(RAISED)}"
    return f"{figures.replace('-', '−')}{raised} {shown.unit}".strip()


def same_name(name):
    """Return a student's name as it counts: capitals, blanks and how accents are stored make no difference."""
    return " ".join(unicodedata.normalize("NFC", name).lower().split())


def digest(text):
    """Return a whole number that belongs to a text, the same on every computer."""
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big")


def generator(name, number):
    """Return a random generator that belongs to a student's name and an exercise's number."""
    return np.random.default_rng(digest(f"{same_name(name)}/{number}"))
