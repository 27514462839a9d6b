"""A short code of what a student did on a sheet: handed in on paper, typed in again, checked."""

from __future__ import annotations

from dataclasses import dataclass

from .exercises import TRIES, digest, same_name

SYMBOLS = "23456789ACDEFGHJKLMNPQRTUVWXY"  # none that is taken for another: no 0 O, 1 I, 2 Z, 5 S, 8 B
MANY = 6  # wrong tries that are told apart at most
LESSON, NAME, GROUP = 2, 4, 4  # symbols
NO_SECRET = (
    "Anyone who reads the library's source can find every answer, and can make up a code that fits. "
    "So a code shows what was practised. It does not prove who did it."
)


@dataclass(frozen=True, slots=True)
class Attempt:
    """What became of one exercise.

    Attributes
    ----------
    wrong : int
        Wrong tries before the answer was right.
    right, shown : bool
        Whether it was right in the end, and whether the answer was looked up.
    """

    wrong: int = 0
    right: bool = False
    shown: bool = False

    @property
    def begun(self):
        """Whether any answer was marked."""
        return self.right or self.wrong > 0

    def __str__(self):
        tries = "1 wrong try" if self.wrong == 1 else f"{self.wrong}{' or more' * (self.wrong == MANY)} wrong tries"
        after = f" after {tries}" if self.wrong else " at the first try"
        if self.right:
            return f"right{after}{', and looked up' if self.shown else ''}"
        if self.shown:
            return f"looked up{after}"
        return f"not right yet{after}" if self.wrong else "not begun"


# Every attempt that there can be; its place here is its symbol's. Only who tried often enough may look an answer up.
ATTEMPTS = tuple(
    Attempt(wrong, right, shown)
    for right in (False, True)
    for shown in (False, True)
    for wrong in range(TRIES if shown else 0, MANY + 1)
)


class Mistyped(ValueError):
    """A code that no sheet gives."""


@dataclass(frozen=True, slots=True)
class Result:
    """What a code says.

    Attributes
    ----------
    lesson, name : str
        Symbols that belong to them.
    attempts : tuple of Attempt
        Of each exercise.
    """

    lesson: str
    name: str
    attempts: tuple

    def is_of_lesson(self, lesson):
        """Whether it was made for a lesson."""
        return self.lesson == mark(lesson, LESSON)

    def is_of(self, name):
        """Whether it was made by a student of that name."""
        return self.name == mark(same_name(name), NAME)

    def __str__(self):
        """Return what was done, exercise by exercise."""
        right = sum(attempt.right for attempt in self.attempts)
        told = "; ".join(f"{number}. {attempt}" for number, attempt in enumerate(self.attempts, start=1))
        return f"{right} of {len(self.attempts)} right. {told}."


def code_of(lesson, name, attempts):
    """Return the code of a lesson, a student's name and the attempts at each exercise, in groups of symbols."""
    capped = [Attempt(min(one.wrong, MANY), one.right, one.shown) for one in attempts]
    tried = "".join(SYMBOLS[ATTEMPTS.index(attempt)] for attempt in capped)
    symbols = mark(lesson, LESSON) + mark(same_name(name), NAME) + tried
    symbols += SYMBOLS[-weighted_sum(symbols + SYMBOLS[0]) % len(SYMBOLS)]
    return "-".join(symbols[start : start + GROUP] for start in range(0, len(symbols), GROUP))


def read_code(text):
    """Read a code, in capitals or not, with or without its hyphens.

    Raises
    ------
    Mistyped
        In words for the person who typed it.
    """
    symbols = "".join(text.upper().replace("-", " ").split())
    strange = sorted({symbol for symbol in symbols if symbol not in SYMBOLS})
    if strange:
        raise Mistyped(f"This code is mistyped: no code has {' or '.join(strange)} in it.")
    if len(symbols) < LESSON + NAME + 2:
        raise Mistyped("This code is too short: some of it is missing.")
    places = [SYMBOLS.index(symbol) for symbol in symbols[LESSON + NAME : -1]]
    if len(symbols) >= len(SYMBOLS) or weighted_sum(symbols) or max(places) >= len(ATTEMPTS):
        raise Mistyped("This code is mistyped: its letters do not belong together.")
    return Result(symbols[:LESSON], symbols[LESSON:][:NAME], tuple(ATTEMPTS[place] for place in places))


def weighted_sum(symbols):
    r"""Return the sum that is 0 for a code without a slip.

    .. math:: \sum_{i=1}^{n} (n + 1 - i)\, v_i \bmod 29

    The number of symbols is a prime above the length, and no two weights are alike. So one wrong symbol leaves a
    remainder, and so do two that changed places. The check of ISO 2108:1972 (ISBN), there with 11; from memory.
    """
    weights = range(len(symbols), 0, -1)
    return sum(w * SYMBOLS.index(s) for w, s in zip(weights, symbols, strict=True)) % len(SYMBOLS)


def mark(text, length):
    """Return some symbols that belong to a text."""
    number, symbols = digest(text), ""
    for _ in range(length):
        number, place = divmod(number, len(SYMBOLS))
        symbols += SYMBOLS[place]
    return symbols


def meaning(code, name, sizes):
    """Tell what a code says about a student.

    Parameters
    ----------
    code, name : str
        As typed.
    sizes : dict
        Lesson: number of its exercises, of every lesson that it may be of.

    Returns
    -------
    (str, str)
        The lesson, empty if the code is not good; and what to say.
    """
    try:
        result = read_code(code)
    except Mistyped as slip:
        return "", str(slip)
    lesson = next((lesson for lesson in sizes if result.is_of_lesson(lesson)), "")
    if not lesson:
        return "", f"This code does not belong to {' or '.join(sizes) if len(sizes) == 1 else 'any lesson here'}."
    if not result.is_of(name):
        return "", f"This code was not made under the name {name.strip() or '(none)'}."
    if len(result.attempts) != sizes[lesson]:
        many = f"{len(result.attempts)} exercises, and {lesson} has {sizes[lesson]}"
        return "", f"This code is of another version of the lesson: it is about {many}."
    return lesson, str(result)
