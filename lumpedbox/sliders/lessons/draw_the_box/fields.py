"""Controls that only a drawing has: items of text, and a choice among the panels that there are."""

from __future__ import annotations

from ...kit.controls import Choice, Lines


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
