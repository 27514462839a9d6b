"""Errors that carry what they know as data, so that no code reads the words of an error."""

from __future__ import annotations

LONGEST = 100  # characters of a value


def shown(value):
    """Return a value as an error shows it, never longer than a line."""
    try:
        text = " ".join(repr(value).split())
    except ValueError:  # Python prints no whole number of more than 4300 digits
        return "a number with too many digits to show"
    return text if len(text) <= LONGEST else f"{text[:LONGEST]} ..."


class _Refusal:
    """What is wrong with one argument of a function, or one field of a part.

    Attributes
    ----------
    owner, name : str
        The function or the class, and its argument or field; an empty name blames several of them together.
    problem : str
        What is wrong, without its subject: "must be between 1 and 2 m (length), got 3".
    hint : str
        What was likely meant: ": did you mean 3 * mm?"; empty if nothing fits.
    """

    def __init__(self, owner, name, problem, hint=""):
        super().__init__(owner, name, problem, hint)
        self.owner, self.name, self.problem, self.hint = owner, name, problem, hint

    def __str__(self):
        return f"{self.owner}.{self.name} {self.sentence}" if self.name else f"{self.owner}: {self.sentence}"

    @property
    def sentence(self):
        """What is wrong and the hint, without the owner: for code that names the place itself."""
        return f"{self.problem}{self.hint}"


class Refused(_Refusal, ValueError):
    """A value that is not allowed."""


class RefusedType(_Refusal, TypeError):
    """A value of the wrong type."""


class Incomplete(ValueError):
    """Too little is given to make a part.

    Attributes
    ----------
    message : str
        What is missing, as a sentence, without the owner.
    ways : tuple of tuple of str
        The names to add: (("Re",), ("Qes", "Qms")) asks for Re, or for Qes and Qms.
    owner : str
        The function that asks; empty if the message stands alone.
    otherwise : str
        Another way out, without adding anything; empty if there is none.
    """

    def __init__(self, message, ways, owner="", otherwise=""):
        super().__init__(message, ways, owner, otherwise)
        self.message, self.owner, self.otherwise = message, owner, otherwise
        self.ways = tuple(map(tuple, ways))

    def __str__(self):
        before = f"{self.owner}: " if self.owner else ""
        behind = f"; {self.otherwise}" if self.otherwise else ""
        return f"{before}{self.message}{behind}"
