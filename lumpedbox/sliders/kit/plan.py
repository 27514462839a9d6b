"""A plan from above, to scale: what stands where in a vehicle, and which sliders move when it is dragged.

`plan.js` draws it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .answer import say
from .controls import FAR, Slider
from .systems import WAY
from .thing import tape

STEPS = 5  # of colour, each way
STEP = 3.0  # dB


@dataclass(frozen=True, slots=True)
class Marker:
    """Something that has a place.

    Attributes
    ----------
    kind : {"loudspeaker", "ear"}
    name : str
        In a word, as it stands beside the mark.
    place : tuple of float
        x, y, z from the front, left, floor corner. [m]
    along, across : str
        Names of the sliders that hold x and y; empty where it cannot be moved.
    size : float
        Its diameter; 0 if that does not matter. [m]
    """

    kind: str
    name: str
    place: tuple
    along: str = ""
    across: str = ""
    size: float = 0.0


@dataclass(frozen=True, slots=True)
class Shortcut:
    """A button that moves controls.

    Attributes
    ----------
    words : str
    places : dict
        Name of a control: where it goes. [SI]
    group : str
        Of the controls that it stands with.
    """

    words: str
    places: dict
    group: str


@dataclass(frozen=True, slots=True)
class LevelMap:
    """Levels all over the plan.

    Attributes
    ----------
    levels : array, shape (rows, columns, nf)
        Over that at the ear; from the left wall to the right one, from the front to the rear. [dB]
    frequency : array, shape (nf,)
        [Hz]
    """

    levels: np.ndarray
    frequency: np.ndarray


@dataclass(frozen=True, slots=True)
class Plan:
    """What is seen from above.

    Attributes
    ----------
    length, width : float
        Inside. [m]
    markers : tuple of Marker
    offers : tuple of Shortcut
    level_map : LevelMap, optional
        None while the hand moves: what is drawn then fades.
    mapped : bool
        Whether there is a map at all.
    notes : tuple of Said
        Sentences below it.
    """

    length: float
    width: float
    markers: tuple
    offers: tuple = ()
    level_map: LevelMap | None = None
    mapped: bool = False
    notes: tuple = ()

    @property
    def levels(self):
        """The levels of the map as float32 bytes, frequency by frequency, row by row."""
        return b"" if self.level_map is None else np.moveaxis(self.level_map.levels, -1, 0).astype("<f4").tobytes()

    def said(self, system):
        """Return it as plain data, with its words in the reader's units."""
        return {
            "length": self.length,
            "width": self.width,
            "sizes": {"length": tape(self.length, system), "width": tape(self.width, system)},
            "markers": [self._marked(marker, system) for marker in self.markers],
            "offers": [{"text": offer.words, "places": offer.places, "group": offer.group} for offer in self.offers],
            "notes": [note.text(system) for note in self.notes],
            "map": self._mapped() if self.mapped else None,
        }

    def _marked(self, marker, system):
        x, y, _ = marker.place
        return {
            "kind": marker.kind,
            "name": marker.name,
            "x": x,
            "y": y,
            "along": marker.along,
            "across": marker.across,
            "size": marker.size,
            "text": where(marker.place).text(system),
        }

    def _mapped(self):
        found = self.level_map
        told = {"step": STEP, "steps": STEPS}
        if found is None:
            return told | {"frequency": []}
        rows, columns, _ = found.levels.shape
        return told | {"rows": rows, "columns": columns, "frequency": found.frequency.tolist()}


def where(place):
    """Say where a place is. [m]"""
    x, y, z = place
    return say("{x} from the front, {y} from the left, {z} high", x=WAY(x), y=WAY(y), z=WAY(z))


class Coordinate(Slider):
    """A slider for a coordinate inside a vehicle, from a wall to the one across.

    Parameters
    ----------
    name, label, low, high, start, step, group, only
        As of a `Slider`. [m]
    size : str
        Name of the control that holds how far it is.
    """

    def __init__(self, name, label, low, high, start, step, size, group="", only=None):
        super().__init__(name, label, WAY, low, high, start, step, group, only)
        self.size = size

    def stops(self, values, system):
        """Return the stops inside the vehicle, the wall included. [m]"""
        end = min(values[self.size], self.high)
        return [*(stop for stop in super().stops(values, system) if stop < end * (1 - 1e-9)), end]

    def _within(self, value, text, values, system):
        wall = values[self.size]
        if not 0 <= value <= wall * (1 + 1e-9):
            ends = f"0 and {self.text(wall, values, system)}"
            outside = f"{self.label}: {text.strip()} is outside the vehicle; it must be between {ends}."
            raise ValueError(f"{outside}{self._meant(text, wall, values) if value > FAR * wall else ''}")
        return super()._within(value, text, values, system)
