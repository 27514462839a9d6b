"""Controls that only a drawing has: lines of text, and a choice among the panels that there are."""

from __future__ import annotations

from ...kit.controls import Choice


class Lines(Choice):
    """A few lines of text that are read as they are typed.

    Parameters
    ----------
    name, label, start : str
    reads : callable
        Takes a text; raises ValueError where it cannot be read.
    group : str
    only : callable
        As of a `Slider`.
    rows : int
        As high as it is.
    example : str
        What stands there while it is empty.
    """

    def __init__(self, name, label, start, reads, group="", only=None, rows=6, example=""):
        super().__init__(name, label, (), start, group=group, only=only)
        self._reads, self._shown = reads, {"rows": rows, "example": example}

    def nearest(self, chosen):
        """Return the text, with its lines as they are."""
        return str(chosen)

    def read(self, text):
        """Return the text of a link."""
        self._reads(text)
        return text

    def typed(self, text, values, system):
        """Return (text, nothing) of what was typed.

        Raises
        ------
        ValueError
            If it cannot be read.
        """
        self._check(text, values)
        return text.strip(), ""

    def _check(self, text, values):
        self._reads(text)

    def spec(self, values, system):
        """Return what the browser must know of it."""
        return {"name": self.name, "label": self.label, "group": self.group, "lines": True} | self._shown


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
