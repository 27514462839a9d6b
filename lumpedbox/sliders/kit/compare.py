"""States of a page that are kept beside the one it stands at."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from .scene import SLOTS

LONGEST = 40  # letters of a name


@dataclass(slots=True)
class State:
    """A state that is kept.

    Attributes
    ----------
    name : str
    answer : Answer
    values : dict
        [SI]
    """

    name: str
    answer: object
    values: dict


class Compared:
    """Up to four states of a page.

    Parameters
    ----------
    scene : Scene
        Draws them.
    """

    def __init__(self, scene):
        self._scene, self._states = scene, {}

    @property
    def names(self):
        """The name of each state, by its slot."""
        return {slot: state.name for slot, state in self._states.items()}

    @property
    def answers(self):
        """Name and answer of each state."""
        return tuple((state.name, state.answer) for state in self._states.values())

    def keep(self, name, answer, values):
        """Keep a state; return what came of it.

        Raises
        ------
        ValueError
            If all slots are taken.
        """
        free = [slot for slot in range(SLOTS) if slot not in self._states]
        if not free:
            raise ValueError(f"{SLOTS} are kept already. Drop one of them first.")
        if any(state.values == values for state in self._states.values()):
            return "This one is kept already."
        self._scene.keep(free[0])
        self._states[free[0]] = State(self._unlike(name), answer, dict(values))
        return f"Kept: {self._states[free[0]].name}. It stands beside today's, under the facts."

    def keep_again(self, name, values):
        """Keep a state by its values alone; the scene is left standing there."""
        self._scene.coarse = False
        self._scene.move(values)
        self.keep(name, self._scene.answer(values), values)

    def drop(self, slot):
        """Keep a state no longer."""
        if self._states.pop(slot, None):
            self._scene.drop(slot)

    def rename(self, slot, name):
        """Give a state another name; an empty one changes nothing."""
        if slot in self._states and name.strip():
            self._states[slot].name = ""
            self._states[slot].name = self._unlike(" ".join(name.split())[:LONGEST])

    def remembered(self):
        """Return name and values of each state, the values as a link holds them."""
        return [[state.name, urlencode(state.values)] for state in self._states.values()]

    def values(self, slot):
        """Return what the controls stood at. [SI]"""
        return self._states[slot].values

    def differing(self, values, since):
        """Return the names of the controls that stand elsewhere than in a state, or than where it began. [SI]"""
        others = [state.values for state in self._states.values()] or [since]
        return [name for name, value in values.items() if any(value != other[name] for other in others)]

    def said(self, system):
        """Return the states as the browser shows them."""
        return [
            {"slot": slot, "name": state.name, "answer": state.answer.said(system)}
            for slot, state in self._states.items()
        ]

    def _unlike(self, name):
        """Return a name that no other state has."""
        taken, number, unlike = set(self.names.values()), 2, name
        while unlike in taken:
            unlike, number = f"{name} ({number})", number + 1
        return unlike
