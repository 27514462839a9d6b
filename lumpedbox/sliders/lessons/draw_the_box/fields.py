"""Controls that only a drawing has: items of text, and a choice among the panels that there are."""

from __future__ import annotations

from ...kit.controls import Choice, Lines
from .tape import TAPES, tape_of


class Items(Lines):
    """Items of text, a line each, none at first; they are read knowing what else is set.

    Parameters
    ----------
    name, label : str
    reads : callable
        Takes a text and the page's values; raises ValueError where it cannot be read.
    example : str
        A line of it.
    group : str
    only : callable
        As of a `Slider`.
    """

    def __init__(self, name, label, reads, example, group="", only=None):
        super().__init__(name, label, "", reads, group, only, rows=2, example=example)

    def read(self, text):
        """Return the text of a link; what is wrong with it is seen together with the other values."""
        return text

    def _check(self, text, values):
        self._reads(text, values)


class Lengths(Items):
    """Items with lengths: a number without a unit is in the reader's, mm or inches, and stays as it was typed.

    Parameters
    ----------
    name, label : str
        The label has `{unit}` where that stands.
    reads : callable
        Takes a text and the page's values; raises ValueError where it cannot be read.
    writes : callable
        Takes what was read, and the `Tape` to write it in.
    examples : (str, str)
        A line of it in mm, and in inches.
    group : str
    only : callable
        As of a `Slider`.
    start : str
    rows : int
    """

    def __init__(self, name, label, reads, writes, examples, group="", only=None, start="", rows=2):
        super().__init__(name, label, reads, "", group, only)
        self._writes, self._examples, self.start, self._shown["rows"] = writes, examples, start, rows

    def tape(self, values, system):
        """Return in what the lines are shown and typed: what cannot be read stays in its own unit."""
        own, wanted = tape_of(values[self.name])[0], TAPES[system]
        return wanted if self._in(wanted, values[self.name], values) is not None else own

    def _in(self, tape, text, values):
        """Return a text in another unit, or None where it cannot be read."""
        own, body = tape_of(text)
        if own == tape or not body.strip():
            return body
        try:
            return self._writes(self._reads(text, values), tape)
        except ValueError:
            return None

    def reading(self, text, values, system):
        """Return the lines as they are shown."""
        return self._in(self.tape(values, system), text, values)

    def text(self, text, values, system):
        """Return the lines as they are shown."""
        return self.reading(text, values, system)

    def typed(self, text, values, system):
        """Return (text, nothing) of what was typed: it says in what it is written."""
        return super().typed(self.tape(values, system).headed(text.strip()), values, system)

    def spec(self, values, system):
        """Return what the browser must know of it."""
        tape = self.tape(values, system)
        named = {"label": self.label.format(unit=tape.unit), "example": tape.either(*self._examples)}
        return super().spec(values, system) | named


class Corners(Lengths):
    """Lines of lengths that say a shape: there are always some, and they can be read whatever else is set.

    Parameters
    ----------
    name, label, start : str
    reads : callable
        Takes a text; raises ValueError where it cannot be read.
    writes : callable
        Takes each of what was read, and the `Tape` to write it in.
    group : str
    only : callable
        As of a `Slider`.
    """

    def __init__(self, name, label, start, reads, writes, group="", only=None):
        def read(text, _values):
            return reads(text)

        def write(found, tape):
            return writes(*found, tape)

        super().__init__(name, label, read, write, ("", ""), group, only, start, rows=6)

    def read(self, text):
        """Return the text of a link."""
        self._reads(text, {})
        return text


class OneOfThePanels(Choice):
    """A choice among the panels that the box has now."""

    def __init__(self, name, label, panels, start, group="", only=None):
        super().__init__(name, label, (), start, group=group, only=only)
        self._panels = panels

    def nearest(self, chosen):
        """Return the choice: which panels there are is seen together with the shape."""
        return str(chosen)

    def read(self, text):
        """Return the choice of a link."""
        return text

    def suited(self, chosen, values):
        """Return the panel, or the first that could take its place."""
        panels = self._panels(values)
        return chosen if chosen in panels else self.start if self.start in panels else panels[0]

    def spec(self, values, system):
        """Return what the browser must know of it."""
        return super().spec(values, system) | {"options": list(self._panels(values))}
