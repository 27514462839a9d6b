"""Sliders, choices and switches that hold SI values whatever they show."""

from __future__ import annotations

import html
import math

import ipywidgets

from .systems import SYSTEMS


class Slider:
    """A slider for one quantity.

    Parameters
    ----------
    name : str
        By which the page knows it.
    label : str
        What is written over it; the unit is added.
    kind : Kind
    low, high, start, step : float
        SI.
    """

    def __init__(self, name, label, kind, low, high, start, step):
        self.name, self.label, self.kind = name, label, kind
        self.low, self.high, self.start, self.step = low, high, start, step
        self._si, self._converting, self._listener = start, False, None
        self.widget = ipywidgets.FloatSlider(continuous_update=True, layout={"width": "auto"})
        self.widget.add_class("lb-slider")
        self.use(SYSTEMS[0])
        self.widget.observe(self._moved, "value")
        self.rows = (self.widget,)

    @property
    def value(self):
        """What the slider stands at. [SI]"""
        return self._si

    @value.setter
    def value(self, si):
        self.widget.value = self._shown.number(si)
        self._si = si

    def nearest(self, si):
        """Return the nearest value that the slider reaches. [SI]"""
        return min(max(si, self.low), self.high)

    def use(self, system):
        """Show the numbers in another system of units; the quantity itself does not move."""
        self._shown = shown = self.kind.shown(system)
        start, low, high = map(shown.number, (self.start, self.low, self.high))
        step = _rounded_step(shown.number(self.step))
        low = start - round((start - low) / step) * step  # whole steps lead to the start
        widget, self._converting = self.widget, True
        # one by one, in this order: the front end clips each value to the range, and rounds it to the step, that it has
        widget.readout_format = f".{shown.decimals}f"
        widget.min, widget.max = min(low, widget.min), max(high, widget.max)
        widget.step = step
        widget.value = shown.number(self._si)
        widget.min, widget.max = low, high
        widget.description = f"{self.label} [{shown.unit}]" if shown.unit else self.label
        self._converting = False

    def text(self):
        """Return the value with its unit, as shown."""
        return self._shown.text(self._si)

    def listen(self, listener):
        """Call `listener` after each move."""
        self._listener = listener

    def _moved(self, change):
        if not self._converting:
            self._si = change["new"] * self._shown.size
            if self._listener:
                self._listener()


def _rounded_step(step):
    """Round to 1, 2 or 5 times a power of ten, so that the arrow keys move in round numbers."""
    power = 10 ** math.floor(math.log10(step))
    return min((1, 2, 5, 10), key=lambda digit: abs(math.log(digit * power / step))) * power


class Choice:
    """One of a few, by name.

    Parameters
    ----------
    name, label : str
    options : sequence of str
    start : str
    left_out : str
        Which of the reader's own are not among them, and why.
    """

    def __init__(self, name, label, options, start, left_out=""):
        self.name, self.label, self.start, self._listener = name, label, start, None
        self.widget = ipywidgets.Dropdown(description=label, options=list(options), value=start)
        self.widget.layout.width = "auto"
        self.widget.add_class("lb-slider")
        self.widget.observe(self._changed, "value")
        self.left_out = ipywidgets.HTML(html.escape(left_out, quote=False))
        self.left_out.add_class("lb-note")
        self.rows = (self.widget, self.left_out) if left_out else (self.widget,)

    @property
    def value(self):
        """The chosen name."""
        return self.widget.value

    @value.setter
    def value(self, chosen):
        self.widget.value = chosen

    def use(self, system):
        """Nothing to convert."""

    def text(self):
        """Return the choice."""
        return self.widget.value

    def listen(self, listener):
        """Call `listener` after each change."""
        self._listener = listener

    def _changed(self, change):
        if self._listener:
            self._listener()
