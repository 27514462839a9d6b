"""A guess before the curves appear, for whoever likes to make one."""

from __future__ import annotations

import html
from dataclasses import dataclass

import ipywidgets


@dataclass(frozen=True, slots=True)
class Question:
    """What is to be guessed, and what is right.

    Attributes
    ----------
    words : str
    options : tuple of str
        What may be guessed.
    right : str
        The one of them that is right.
    why : str
        Why it is, in a sentence or two.
    look : str
        Where to look once the guess is marked.

    Raises
    ------
    ValueError
        If what is right may not be guessed.
    """

    words: str
    options: tuple
    right: str
    why: str
    look: str

    def __post_init__(self):
        if self.right not in self.options:
            raise ValueError(f"Question.right must be one of {', '.join(self.options)}, got {self.right}")

    def verdict(self, guess):
        """Say whether a guess is right, and why."""
        said = "Right." if guess == self.right else f"Not so. The answer is: {self.right}."
        return f"{said} {self.why}"


class Guess:
    """Asks for a guess, and goes on when it is marked.

    Parameters
    ----------
    question : Question
    then : callable
        What to do once it is marked, or the answer is shown.
    """

    def __init__(self, question, then):
        self.question, self.then = question, then
        self.options = ipywidgets.RadioButtons(options=question.options, value=None, layout={"width": "auto"})
        self.mark = ipywidgets.Button(description="Mark my guess", disabled=True)
        self.at_once = ipywidgets.Button(description="Show me at once")
        self._words = html.escape(question.words, quote=False)
        self.said = ipywidgets.HTML(
            f"<b>Predict.</b> {self._words} Curves and sliders wake when you have marked your guess, or at once."
        )
        self.said.add_class("lb-says")
        self.options.observe(self._chosen, "value")
        self.mark.on_click(self._marked)
        self.at_once.on_click(self._shown)
        buttons = ipywidgets.HBox([self.mark, self.at_once], layout={"flex_flow": "row wrap"})
        self.widget = ipywidgets.VBox([self.said, self.options, buttons])

    def _chosen(self, _change):
        self.mark.disabled = self.options.value is None

    def _marked(self, _button=None):
        guess = self.options.value
        self._tell(f"You guessed: {guess}. {self.question.verdict(guess)}")

    def _shown(self, _button=None):
        self._tell(f"The answer is: {self.question.right}. {self.question.why}")

    def _tell(self, answer):
        self.widget.children = [self.said]
        answer, look = (html.escape(words, quote=False) for words in (answer, self.question.look))
        self.said.value = f"{self._words} <b>{answer}</b> {look}"
        self.then()
