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
    now : callable
        Returns what is kept there now, by key; None if nothing is.
    put : callable
        Takes what to keep there.
    """

    what: str
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
        self.replace, self.leave, self.back = map(_button, ("Replace it", "Leave the old one", "Put the old one back"))
        self.replace.on_click(answer(lambda _button: self._replace()))
        self.leave.on_click(answer(lambda _button: self._leave()))
        self.back.on_click(answer(lambda _button: self._put_back()))
        self.widget = ipywidgets.HBox()
        self.forget()

    def forget(self):
        """Ask and offer nothing any more."""
        self._asked = self._old = None
        self.widget.children = ()

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
        self.forget()
        old = place.now()
        if old in (None, new()):
            place.put(new())
            return said()
        self._asked = place, old, new, said
        self.widget.children = (self.replace, self.leave)
        return f"{place.what} is kept already, and differs. Nothing is changed yet: replace it?"

    def offer_back(self, place, old):
        """Offer to put back what was kept in a place before it was changed."""
        self._old = place, old, place.now()
        self.widget.children = (self.back,)

    def _replace(self):
        place, old, new, said = self._asked
        if place.now() != old:  # in another window, since the question was asked
            return self.keep(place, new, said)
        place.put(new())
        self.forget()
        self.offer_back(place, old)
        return f"{said()} It replaces the old one."

    def _leave(self):
        self.forget()
        return "The old one is kept as it was."

    def _put_back(self):
        place, old, after = self._old
        if place.now() != after:
            return self.keep(place, lambda: old, lambda: "The old one is back.")
        place.put(old)
        self.forget()
        return "The old one is back."


def _button(text):
    return ipywidgets.Button(description=text, layout={"width": "auto"})
