"""What a data sheet says, what it leaves open, and where it contradicts itself."""

from __future__ import annotations

import dataclasses
from typing import NamedTuple

from .printed import IN_WORDS, in_print

FEW = 3  # with more suspects than that, none is named


@dataclasses.dataclass(frozen=True, slots=True)
class Contradiction:
    """A printed value that the rest of the sheet does not bear out.

    Attributes
    ----------
    name : str
    printed, implied : float
        The value on the sheet, and the one that follows from all the others. [SI, dB]
    slip : str
        What the ratio of the two looks like; empty if it looks like nothing known.
    alike : tuple of str
        Other printed values which, if wrong, would explain it as well.
    """

    name: str
    printed: float
    implied: float
    slip: str = ""
    alike: tuple = ()

    def __str__(self):
        if self.name.startswith("sensitivity"):
            by = f"{self.printed - self.implied:+.1f} dB"
        else:
            by = f"{100 * (self.printed / self.implied - 1):+.0f} %"
        printed, implied = in_print(self.name, self.printed), in_print(self.name, self.implied)
        name = IN_WORDS.get(self.name, self.name)
        slip = f", {self.slip}" if self.slip else ""
        others = " or ".join(IN_WORDS.get(other, other) for other in self.alike)
        alike = f"; a wrong {others} would explain it too" if others else ""
        if len(self.alike) > FEW:
            alike = "; most of the others, if wrong, would explain it too"
        return f"{name} is printed as {printed}, but the rest implies {implied} ({by}){slip}{alike}"


@dataclasses.dataclass(frozen=True, slots=True)
class Report:
    """What a data sheet says, and what it leaves open.

    Attributes
    ----------
    given : dict
        Name: printed value. [SI, dB]
    implied : dict
        Name: value that follows for what was not printed. [SI, dB]
    assumed : tuple of str
    contradictory : tuple of Contradiction
        The likeliest mistake first.
    questions : tuple of str
        What to find out on the sheet: the usual traps.
    """

    given: dict
    implied: dict
    assumed: tuple
    contradictory: tuple
    questions: tuple

    def __str__(self):
        lines = ["given: " + _listed(self.given), "implied: " + _listed(self.implied)]
        lines += [f"assumed: {sentence}" for sentence in self.assumed]
        lines += [f"contradictory: {entry}" for entry in self.contradictory]
        lines += [f"question: {sentence}" for sentence in self.questions]
        return "\n".join(lines)


class DataSheet(NamedTuple):
    """A driver and the report on the data sheet that it was made from."""

    driver: object
    report: Report


def _listed(values):
    return ", ".join(f"{name} {in_print(name, value)}" for name, value in values.items())
