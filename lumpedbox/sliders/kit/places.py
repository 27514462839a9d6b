"""Where a loudspeaker plays: open air, a cabin as one volume of air, or the same cabin by its places."""

from __future__ import annotations

import dataclasses

from ...response.remarks import beyond_the_table, cabin_as_a_box, cabin_step, long_reverberation
from .answer import say, verbatim
from .controls import Choice
from .facts import cabin_lifts
from .offered import first_of, left_out, marked, offered
from .words import OPEN_AIR

BY_PLACES = ", by its places"  # after a cabin's name
AT_1_M, AT_THE_EAR = "at 1 m", "at the ear"
PLACE = "place"  # the control, where there is but one loudspeaker to place
# Where a box, and a panel, is put to begin with, if there is such a place.
FOR_A_BOX = ("wheel arch", "boot floor", "rear floor (assumed)")
FOR_A_PANEL = ("step well left", "front door left", "front door (assumed)")
# Where ear and loudspeakers count as being in a cabin that does not tell: shares of its sizes, as in the small
# hatchback of the demonstration. Ours.
EAR = (0.5, 0.296, 0.783)
ASSUMED = {"front door (assumed)": (0.304, 0.0, 0.304), "rear floor (assumed)": (0.913, 0.667, 0.174)}


class Cabins:
    """The cabins that a page offers, and where in them its loudspeakers are.

    Parameters
    ----------
    cabins : dict, optional
        Name: Cabin; those that are offered by default. Each is offered as one volume of air, if it is not a measured
        one, and by its places.
    places : dict, optional
        Name of a control: its label, and the names of places to begin with, the most wanted first.
    without : str
        Why no cabin is offered by its places; empty if they are.
    """

    def __init__(self, cabins=None, places=None, without=""):
        cabins = offered().cabins if cabins is None else cabins
        self._cabins = {OPEN_AIR: None, **{name: one_volume(cabin) for name, cabin in cabins.items()}}
        self._without = [f"cabins by their places ({without})"] if without else []
        for name, cabin in ({} if without else cabins).items():
            try:
                self._cabins[marked(name + BY_PLACES, self._cabins)] = by_places(cabin)
            except ValueError as error:
                self._without.append(f"{name} by its places ({error})")
        self._places = {PLACE: ("Placed at", FOR_A_BOX)} if places is None else places
        self._assumed = [cabin for cabin in cabins.values() if cabin.ear is None or not cabin.places]

    def __iter__(self):
        return iter(self._cabins)

    def __getitem__(self, name):
        return self._cabins[name]

    def carry(self, name, cabin, control):
        """Offer one more cabin, of a plan, in the control of where it plays; return its name."""
        self._cabins[name] = cabin
        if name not in control.options:
            control.options = (*control.options, name)
        return name

    def places(self, values):
        """Return name: x, y, z of the places in the cabin that is chosen; none where places do not matter. [m]"""
        cabin = self[values["cabin"]]
        return dict(cabin.places) if cabin and cabin.by_places else {}

    def ask_for_a_place(self, values, name=PLACE):
        """Ask to look at a place where the cabin has none that suits by its name."""
        places, label = self.places(values), self._places[name][0]
        if places and not any(self._suits(place, name) for place in places):
            yield say(f"No place of this cabin is called one: choose under “{label}” where it is.")

    def at(self, values, name=PLACE):
        """Return what a `Loudspeaker` must be told of where it is: its cabin, and its place if that matters."""
        places = self.places(values)
        where = {"position": places[self._suited(values[name], values, name)]} if places else {}
        return {"cabin": self[values["cabin"]], **where}

    def _suited(self, chosen, values, name):
        places = self.places(values)
        if chosen in places:
            return chosen
        wanted = (place for place in self._places[name][1] if place in places)
        named = (place for place in places if self._suits(place, name))
        return first_of(next(wanted, next(named, None)), places)

    def _suits(self, place, name):
        """Whether a place is one that is wanted, or for a panel a door by its name."""
        wanted = self._places[name][1]
        return place in wanted or (wanted == FOR_A_PANEL and "door" in place.lower())

    def controls(self, label, start=OPEN_AIR, group="place", only=None):
        """Return the controls: where it plays; and at which place, while that matters."""
        without = f"Not offered here: {'; '.join(self._without)}." if self._without else ""
        missed = " ".join(filter(None, (left_out({}, "cabin"), without)))
        where = Choice("cabin", label, self, start, missed, group, only)
        apart = [cabin for cabin in self._cabins.values() if cabin and cabin.by_places]
        if not apart:
            return [where]
        named = {place: None for cabin in apart for place, _ in cabin.places}
        starts = {name: next((w for w in wanted if w in named), "") for name, (_, wanted) in self._places.items()}
        return [
            where,
            *(PlaceChoice(name, of, named, self, starts[name], group, only) for name, (of, _) in self._places.items()),
        ]

    def heard(self, label, values):
        """Return a panel's label with where its level is heard: at the ear where that has a place."""
        by_places = bool(self.places(values))
        return label.replace(AT_1_M, AT_THE_EAR) if by_places else label.replace(AT_THE_EAR, AT_1_M)

    def told(self, values):
        """Say for the conditions where it plays, and where it is heard."""
        places = self.places(values)
        if not places:
            return say(f"{AT_1_M}, {{cabin}}", cabin=verbatim(values["cabin"]))
        where = " and ".join(self._suited(values[name], values, name) for name in self._places)
        return say(f"{AT_THE_EAR}, {{cabin}}: {{where}}", cabin=verbatim(values["cabin"]), where=verbatim(where))

    def crowded(self, values):
        """Doubt what stands at one place with something else, which two cones cannot."""
        if not self.places(values):
            return
        labels = {}
        for name, (label, _) in self._places.items():
            labels.setdefault(self._suited(values[name], values, name), []).append(label)
        for alike in labels.values():
            if len(alike) > 1:
                yield say(f"Two cones cannot stand at one place: see “{'” and “'.join(alike)}”.")

    def about(self, response):
        """Say what a cabin does, and how far to trust that."""
        yield from of_cabin(response)
        cabin = response.loudspeaker.cabin
        if response.loudspeaker.by_places and any(by_places(one) == cabin for one in self._assumed):
            yield say(
                "Its ear or its places are assumed (ours): type them on the page of your parts. "
                "A door counts as a front door, the ear as halfway along the cabin."
            )


class PlaceChoice(Choice):
    """A choice among the places of the cabin that is chosen.

    Parameters
    ----------
    name, label : str
    options : iterable of str
        The places of all cabins.
    cabins : Cabins
    start, group : str
    only : callable, optional
    """

    def __init__(self, name, label, options, cabins, start, group, only=None):
        super().__init__(name, label, options, start, group=group, only=self._matters)
        self._cabins, self._only = cabins, only

    def _matters(self, values):
        return bool(self._cabins.places(values)) and (self._only is None or self._only(values))

    def suited(self, chosen, values):
        """Return the choice if the cabin has that place, else another; where places do not matter, the start."""
        return self._cabins._suited(chosen, values, self.name) if self._cabins.places(values) else self.start

    def spec(self, values, system):
        """Return what the browser must know of it."""
        return super().spec(values, system) | {"options": list(self._cabins.places(values))}


def one_volume(cabin):
    """Return a cabin as it counts without places: a measured one as it was measured, else as one volume of air."""
    return dataclasses.replace(cabin, law="volume") if cabin.by_places else cabin


def by_places(cabin):
    """Return a cabin by its resonances; ear and places are assumed where it does not tell."""
    places = dict(cabin.places) or {name: within(cabin, shares) for name, shares in ASSUMED.items()}
    ear = within(cabin, EAR) if cabin.ear is None else cabin.ear
    return dataclasses.replace(cabin, law="modes", table=None, ear=ear, places=places)


def within(cabin, shares):
    """Return the place at some shares of a cabin's length, width and height. [m]"""
    sizes = (cabin.length, cabin.width, cabin.height)
    return tuple(float(share * size) for share, size in zip(shares, sizes, strict=True))


def of_cabin(response):
    """Say what the cabin around a loudspeaker does, and what is left out."""
    cabin = response.loudspeaker.cabin
    if cabin is not None and cabin.lumped:
        yield cabin_lifts(response)
    for remark in (cabin_as_a_box, cabin_step, beyond_the_table, long_reverberation):
        if sentence := remark(response):
            yield verbatim(sentence)
