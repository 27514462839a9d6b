"""A feed drawn piece by piece, from the battery to what it supplies and back, and the sliders for wire.

`feed.js` draws it.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from ...build.feed import awg
from ...build.feed.cable import CLASS_5
from ...build.workings.gauge import GAUGES, gauge_of, in_both_sizes
from ...units import mm2
from .answer import Said, say
from .controls import Slider
from .systems import SYSTEMS, Kind, Shown

BATTERY, FUSE, WIRE, GROMMET, SPLIT, LOAD, BACK = "battery", "fuse", "wire", "grommet", "split", "load", "back"
GAUGE = re.compile(r"\s*(?:AWG\s*)?([1-4]/0|\d{1,2})\s*(?:AWG|gauge|ga)?\s*", re.IGNORECASE)
NAMED = re.compile(r"AWG|gauge|ga|/0", re.IGNORECASE)
NOTHING = say("")


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a feed.

    Attributes
    ----------
    kind : str
        "battery", "fuse", "wire", "grommet", "split", "load" or "back".
    words : Said
        What it is, with its values.
    note : Said
        What to mind there; empty if nothing.
    branch : int
        0 on the way from the battery, 1 in the first branch and so on.
    known : bool
        Whether its values are; else it is drawn dashed.
    area : float
        Of a wire, for its thickness. [m2]
    """

    kind: str
    words: Said
    note: Said = NOTHING
    branch: int = 0
    known: bool = True
    area: float = 0.0


@dataclass(frozen=True, slots=True)
class Drawing:
    """A feed.

    Attributes
    ----------
    pieces : tuple of Piece
        In their order, those of a branch together.
    """

    pieces: tuple

    def said(self, system):
        """Return it as plain data, with its words in the reader's units."""
        return [
            {
                "kind": piece.kind,
                "text": piece.words.text(system),
                "note": piece.note.text(system),
                "branch": piece.branch,
                "known": piece.known,
                "thick": math.sqrt(piece.area / mm2),
            }
            for piece in self.pieces
        ]


class Gauged(Shown):
    """An area in gauge numbers, or in mm2 where it is none."""

    __slots__ = ()

    def in_words(self, value):
        """Return an area as one says it."""
        gauge = gauge_of(value)
        return f"{gauge} AWG" if gauge else f"{value / mm2:.3g} mm²"


class Squares(Shown):
    """An area in mm2, in three digits."""

    __slots__ = ()

    def in_words(self, value):
        """Return an area as one says it."""
        return f"{value / mm2:.3g} mm²"


WIRE_SIZE = Kind(Squares("mm²", mm2, 2), Gauged("AWG", mm2, 2))


class Size(Slider):
    """A slider for the size of a wire, which stops at what is sold: in mm2, or by gauge."""

    def __init__(self, name, label, start, group="", only=None):
        sold = [awg(gauge) for gauge in GAUGES]
        super().__init__(name, label, WIRE_SIZE, 0.5 * mm2, max(120 * mm2, *sold), start, None, group, only)

    def stops(self, values, system):
        """Return the areas that are sold. [m2]"""
        return [area * mm2 for area in CLASS_5] if system == SYSTEMS[0] else [awg(gauge) for gauge in GAUGES]

    def reading(self, si, values, system):
        """Return the number of an area, without its unit."""
        return self._parts(si, system)[0]

    def unit(self, values, system):
        """Return the unit of the number that it shows now."""
        return self._parts(values[self.name], system)[1]

    def text(self, si, values, system):
        """Return an area with its unit."""
        return " ".join(self._parts(si, system))

    def _parts(self, si, system):
        number, unit = self.kind.shown(system).in_words(si).split()
        return number, unit

    def typed(self, text, values, system):
        """Return (area, refusal) of what was typed: a gauge where it says so or the reader counts in them. [m2]"""
        gauge = GAUGE.fullmatch(text)
        if gauge and (system != SYSTEMS[0] or NAMED.search(text)):
            number = gauge[1]
            return self._within(awg(number if "/" in number else int(number)), text, values, system)
        shown = Shown("mm²", mm2, 2)
        metric = Slider(self.name, self.label, Kind(shown, shown), self.low, self.high, self.start, None)
        return metric.typed(text, values, system)


class Known(Slider):
    """A slider for something that may not be known: its lowest stop says so."""

    def __init__(self, name, label, kind, high, start, step, group="", only=None, unknown="not known"):
        super().__init__(name, label, kind, 0.0, high, start, step, group, only)
        self.unknown = unknown

    def reading(self, si, values, system):
        """Return the number, or a mark that there is none."""
        return super().reading(si, values, system) if si else "?"

    def note(self, si, values, system):
        """Say that it is not known."""
        return "" if si else f"({self.unknown})"

    def text(self, si, values, system):
        """Return it with its unit, or that it is not known."""
        return super().text(si, values, system) if si else self.unknown

    def typed(self, text, values, system):
        """Return (value, refusal) of what was typed; a question mark or 0 says that it is not known. [SI]"""
        if text.strip() == "?":
            return 0.0, ""
        return super().typed(text, values, system)


def sized(area):
    """Say the size of a wire in both ways: a gauge with its area, or an area with the next gauge that is no thinner."""
    return say(in_both_sizes(area))
