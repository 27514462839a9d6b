"""A guess before the answer, for whoever likes to make one."""

from __future__ import annotations

from dataclasses import dataclass


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
        """Say whether a guess is right, and why.

        Raises
        ------
        ValueError
            If it is none of the options.
        """
        if guess not in self.options:
            raise ValueError(f"{guess!r} is none of the answers: {', '.join(self.options)}")
        return f"{self._mark(guess)} {self.why} {self.look}"

    def marked(self, guess):
        """Say in one line what was guessed, and whether it is right or what is."""
        return f"You guessed: {_within_a_sentence(guess)}. {self._mark(guess)}"

    def _mark(self, guess):
        return "Right." if guess == self.right else f"Not so: {_within_a_sentence(self.right)}."

    def said(self):
        """Return what the browser shows; what is right is told once a guess is marked."""
        return {"words": self.words, "options": list(self.options), "right": self.right}


def _within_a_sentence(text):
    return text[0].lower() + text[1:]
