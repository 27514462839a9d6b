"""Sliders and choices: what can be set on a page, and how a reader's numbers become SI values and back."""

from __future__ import annotations

import math
import re
from urllib.parse import parse_qsl

import numpy as np

from ...tables.quantity_text import NUMBER, number_in, with_point
from ...units import cm, foot, inch, mm
from .systems import POWER, SYSTEMS, VOLTAGE

# Full powers of an amplifier, each some 15 % above the last, as people say them: ours. [W]
WATTS = tuple(
    round(digits * 10**power, 2)
    for power in (-1, 0, 1, 2, 3)
    for digits in (1, 1.2, 1.4, 1.6, 1.8, 2, 2.25, 2.5, 2.8, 3.2, 3.6, 4, 4.5, 5, 5.6, 6.3, 7, 8, 9)
)
LENGTHS = {"m": 1.0, "cm": cm, "mm": mm, "inches": inch, "feet": foot}
FAR = 5.0  # times an end of the slider: a length beyond is in another unit, and nothing is taken for it; ours
BARE = re.compile(r"[^a-df-zA-DF-Z°%\"'′″]*")  # without a unit; e stands in numbers


class Control:
    """What can be set on a page: base of sliders, choices and lines of text.

    Parameters
    ----------
    name : str
        By which the page knows it.
    label : str
        What stands before it, without the unit.
    start : float or str
        [SI]
    group : str
        What it belongs to: controls of one group stand together under that word.
    only : callable, optional
        Takes the page's values; returns whether the control has a meaning there. Else it is hidden.
    """

    def __init__(self, name, label, start, group="", only=None):
        self.name, self.label, self.start, self.group, self.only = name, label, start, group, only

    def suited(self, value, values):
        """Return the value that goes with the others: itself. [SI]"""
        return value

    def text(self, value, values, system):
        """Return a value as it is told: itself."""
        return value

    def spec(self, values, system):
        """Return what the browser must know of it."""
        return {"name": self.name, "label": self.label, "group": self.group}


class Slider(Control):
    """A slider for one quantity.

    Parameters
    ----------
    name, label, group, only
        As of a `Control`.
    kind : Kind
    low, high, start, step : float
        [SI]
    """

    def __init__(self, name, label, kind, low, high, start, step, group="", only=None):
        super().__init__(name, label, start, group, only)
        self.kind, self.low, self.high, self.step = kind, low, high, step

    def nearest(self, si):
        """Return the nearest value that the slider reaches. [SI]"""
        return min(max(si, self.low), self.high)

    def stops(self, values, system):
        """Return the values at which it stops, in whole steps from its start. [SI]"""
        return self.kind.shown(system).stops(self.low, self.high, self.start, self.step)

    def reading(self, si, values, system):
        """Return a value as the slider shows it, without its unit."""
        return self.kind.shown(system).reading(si)

    def unit(self, values, system):
        """Return the unit of the number."""
        return self.kind.shown(system).unit

    def text(self, si, values, system):
        """Return a value with its unit."""
        return f"{self.reading(si, values, system)} {self.unit(values, system)}".strip()

    def note(self, si, values, system):
        """Return what follows the unit: nothing."""
        return ""

    def typed(self, text, values, system):
        """Return (value, refusal) of what was typed: a bare number is in the unit that follows it. [SI]

        Raises
        ------
        ValueError
            If it is not a number of this kind.
        """
        if not text.strip():
            raise ValueError("Type a number.")
        shown = self.kind.shown(system)
        value = number_in(text, "", shown.size) if BARE.fullmatch(text) else number_in(text, shown.unit, shown.size)
        return self._within(value, text, values, system)

    def _within(self, value, text, values, system):
        nearest = self.nearest(value)
        if math.isclose(nearest, value, rel_tol=1e-9):
            return value, ""
        if self.kind.metric.unit in LENGTHS and not self.low / FAR <= value <= self.high * FAR:
            ends = " to ".join(self.reading(end, values, system) for end in (self.low, self.high))
            outside = f"{text.strip()} is outside {ends} {self.unit(values, system)}."
            raise ValueError(f"{outside}{self._meant(text, self.high, values)}")
        ends = (self.reading(end, values, system) for end in (self.low, self.high))
        taken, unit = self.reading(nearest, values, system), self.unit(values, system)
        return nearest, f"{text.strip()} is outside {' to '.join(ends)} {unit}".strip() + f": {taken} is taken."

    def _meant(self, text, high, values):
        """Ask for the unit in which a length lies between the ends, nearest to where the slider stands."""
        number = re.match(NUMBER, text.strip())
        sizes = {unit: float(number[0]) * size for unit, size in LENGTHS.items()} if number else {}
        likely = {unit: si for unit, si in sizes.items() if max(self.low, 0.0) < si <= high}
        if not likely:
            return ""
        now = max(values[self.name], self.step)
        nearest = min(likely, key=lambda unit: abs(math.log(likely[unit] / now)))
        return f" Did you mean {number[0]} {nearest}?"

    def read(self, text):
        """Return the value of a link's text. [SI]

        Raises
        ------
        ValueError
            If it is not a number.
        """
        value = float(text)
        if not math.isfinite(value):
            raise ValueError(f"{text!r} is not a number")
        return self.nearest(value)

    def spec(self, values, system):
        """Return what the browser must know of it."""
        stops = self.stops(values, system)
        texts = [self.reading(stop, values, system) for stop in stops]
        return super().spec(values, system) | {"unit": self.unit(values, system), "stops": stops, "texts": texts}


class Power(Slider):
    """A slider for an amplifier's volts, said as the watts that they are into the load beside it.

    Parameters
    ----------
    name, label : str
    low, high, start : float
        Volts r.m.s. [V]
    load : callable
        Takes the page's values, returns the load that the watts are counted into. [ohm]
    group : str
    only : callable, optional
    """

    def __init__(self, name, label, low, high, start, load, group="amplifier", only=None):
        super().__init__(name, label, VOLTAGE, low, high, start, None, group, only)
        self.load = load

    def stops(self, values, system):
        """Return the volts of round watts. [V]"""
        volts = np.sqrt(np.array(WATTS) * self.load(values))
        within = (volts > self.low * (1 + 1e-9)) & (volts < self.high * (1 - 1e-9))
        return [self.low, *volts[within].tolist(), self.high]

    def reading(self, si, values, system):
        """Return the watts of some volts, without the unit."""
        return f"{float(f'{si**2 / self.load(values):.3g}'):g}"  # never as 5e+03

    def unit(self, values, system):
        """Return the unit."""
        return "W"

    def note(self, si, values, system):
        """Return the volts and the load."""
        return f"({VOLTAGE(si).text(system)} into {self.load(values):.2g} ohm)"

    def text(self, si, values, system):
        """Return the watts, the volts and the load."""
        return f"{super().text(si, values, system)} {self.note(si, values, system)}"

    def typed(self, text, values, system):
        """Return (volts, refusal) of what was typed: watts, or volts if it says so. [V]"""
        if not text.strip():
            raise ValueError("Type a number.")
        try:
            volts = number_in(text, "V", 1.0) if "v" in text.lower() else self._volts(_watts(text), values)
        except ValueError as error:
            raise ValueError(f"{error} Type watts, or volts with a V.") from None
        return self._within(volts, text, values, system)

    def _volts(self, watts, values):
        if watts < 0:
            raise ValueError(f"{POWER(watts).text(SYSTEMS[0])} is less than nothing.")
        return math.sqrt(watts * self.load(values))


def read_as(text):
    """Say as what a number is read whose comma stands for decimals, or a space for thousands; else nothing."""
    read = with_point(text)
    return f"{text.strip()} is read as {read.strip()}." if read != text else ""


def _watts(text):
    """Read watts, with their unit or without."""
    return number_in(text, "" if BARE.fullmatch(text) else "W", 1.0)


class Choice(Control):
    """One of a few, by name.

    Parameters
    ----------
    name, label, start, group, only
        As of a `Control`.
    options : sequence of str
    left_out : str
        Which of the reader's own are not among them, and why.
    """

    def __init__(self, name, label, options, start, left_out="", group="", only=None):
        super().__init__(name, label, start, group, only)
        self.options, self.left_out = tuple(options), left_out

    def nearest(self, chosen):
        """Return the choice; None where it is not offered."""
        return chosen if chosen in self.options else None

    def read(self, text):
        """Return the choice of a link's text.

        Raises
        ------
        ValueError
            If it is not offered.
        """
        if text not in self.options:
            raise ValueError(f"{self.label}: {text} is not offered here")
        return text

    def spec(self, values, system):
        """Return what the browser must know of it."""
        return super().spec(values, system) | {"options": list(self.options), "note": self.left_out}


class Lines(Control):
    """A few lines of text that are read as they are typed.

    Parameters
    ----------
    name, label, start, group, only
        As of a `Control`.
    reads : callable
        Takes a text; raises ValueError where it cannot be read.
    rows : int
        As high as it is.
    example : str
        What stands there while it is empty.
    """

    def __init__(self, name, label, start, reads, group="", only=None, rows=6, example=""):
        super().__init__(name, label, start, group, only)
        self._reads, self._shown = reads, {"rows": rows, "example": example}

    def nearest(self, chosen):
        """Return the text, with its lines as they are."""
        return str(chosen)

    def read(self, text):
        """Return the text of a link."""
        self._reads(text)
        return text

    def reading(self, text, values, system):
        """Return the text as it is shown."""
        return text

    def note(self, text, values, system):
        """Return what follows it: nothing."""
        return ""

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
        return super().spec(values, system) | {"lines": True} | self._shown


def choice_of_units(controls, scene):
    """Return the systems of units that a page offers: none where all would read alike."""
    kinds = [control.kind for control in controls.values() if isinstance(control, Slider)]
    metric, customary = (scene.panels(system) for system in SYSTEMS)
    differ = metric != customary or any(kind.metric != kind.customary for kind in kinds)
    return list(SYSTEMS) if differ else []


def read_link(text, controls, beside=()):
    """Return what a link holds: (places, why others are not to be had here), both by the name of their control.

    Names `beside` the controls tell something else.
    """
    places, missing = {}, {}
    for name, value in parse_qsl(text):
        if name in beside:
            continue
        try:
            if name not in controls:
                raise ValueError(f"This page has nothing named {name}")
            places[name] = controls[name].read(value)
        except ValueError as error:
            missing[name] = f"{error}."
    return places, missing
