"""Asks before what is kept is replaced, and offers the old one back afterwards."""

from __future__ import annotations

from dataclasses import dataclass

import ipywidgets


@dataclass(frozen=True, slots=True)
class Place:
    """Where something is kept.

    Attributes
    ----------
    what : str
        How a question calls what is kept there.
    name : str
        How the button that puts it back calls it.
    now : callable
        Returns what is kept there now, by key; None if nothing is.
    put : callable
        Takes what to keep there.
    """

    what: str
    name: str
    now: object
    put: object


class Replacing:
    """Buttons that appear when something would be, or was, replaced.

    Parameters
    ----------
    answer : callable
        Takes an action that returns what to say; returns what does it and says that, for a button.
    """

    def __init__(self, answer):
        self.replace, self.leave, self.back = map(button, ("Replace it", "Leave the old one", ""))
        self.replace.on_click(answer(lambda _button: self._replace()))
        self.leave.on_click(answer(lambda _button: self._leave()))
        self.back.on_click(answer(lambda _button: self._put_back()))
        self.widget = ipywidgets.HBox()
        self._asked = self._old = None

    def withdraw(self):
        """Ask nothing any more; what was replaced can still be put back."""
        self._asked = None
        self._show()

    def _show(self):
        self.widget.children = (self.replace, self.leave) * bool(self._asked) + (self.back,) * bool(self._old)

    def keep(self, place, new, said):
        """Keep something; ask first if that replaces something else.

        Parameters
        ----------
        place : Place
        new : callable
            Returns what is to be kept there.
        said : callable
            Returns what to say once it is kept.

        Returns
        -------
        str
            What to say.
        """
        self.withdraw()
        old = place.now()
        if old in (None, new()):
            place.put(new())
            return said()
        self._asked = place, old, new, said
        self._show()
        return f"{place.what} is kept already, and differs. Nothing is changed yet: replace it?"

    def offer_back(self, place, old):
        """Offer to put back what was kept in a place before it was changed, until something else is replaced."""
        self._old = place, old, place.now()
        self.back.description = f"Put the old {place.name} back"
        self._show()

    def _replace(self):
        if not self._asked:  # withdrawn while the button was pressed
            return "Nothing is replaced: the form has changed since the question. Keep it again."
        place, old, new, said = self._asked
        if place.now() != old:  # in another window, since the question was asked
            return self.keep(place, new, said)
        place.put(new())
        self.withdraw()
        self.offer_back(place, old)
        return f"{said()} It replaces the old one."

    def _leave(self):
        self.withdraw()
        return "The old one is kept as it was."

    def _put_back(self):
        if not self._old:  # pressed twice
            return "The old one is back."
        place, old, after = self._old
        if place.now() != after:
            return self.keep(place, lambda: old, lambda: "The old one is back.")
        place.put(old)
        self._old = None
        self.withdraw()
        return "The old one is back."


def button(text):
    """Return a button as wide as the fold that it stands in."""
    return ipywidgets.Button(description=text, layout={"width": "auto"})
