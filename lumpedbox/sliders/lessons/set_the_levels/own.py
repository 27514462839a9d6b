"""One's own source and converter, as a meter reads them: typed beside the controls of the page on levels."""

from __future__ import annotations

import html

import ipywidgets
import numpy as np

from ....parts.filters import LevelTable
from ....parts.line import Converter
from ....tables.quantity_text import number_in, with_point, with_unit
from ...kit.typed import Typed

AT_WIRES, AT_LINES = "loudspeaker wires", "line outputs"
EXAMPLE = "10 = 50 Hz, 0.86 V; 315 Hz, 0.45 V\n20 = 50 Hz, 2.27 V; 315 Hz, 1.80 V"
HOW = (
    "Play full-scale tones, tone controls flat. Write what a meter reads across the two wires of one output, with "
    "nothing connected. Two tones at least: 63 and 315 Hz. One line for each volume."
)
A_LINE = "write a line for each setting: its volume, =, and pairs, as in 20 = 50 Hz, 2.27 V; 315 Hz, 1.80 V"
TWO = "read at two settings of the volume or more, so that those between follow"
VOLTS = (0.001, 100.0)  # V, that an output may carry
CONVERTER = {  # key of a Converter: label, unit, example
    "ratio": ("Volts out for 1 V in", "V", "1 V, trim turned up"),
    "input_resistance": ("Converter loads with", "ohm", "470 ohm"),
    "output_resistance": ("Its output resistance", "ohm", "1000 ohm"),
    "voltage": ("It clips at", "V", "5 V; empty if not known"),
}


class OwnReadings:
    """Takes what you read at your head unit and know of your converter, in place of the invented ones.

    Parameters
    ----------
    scene : SetTheLevels
    volume : Slider
        Of the source's volume: it then reaches as far as was read.
    """

    title = "Your own readings"

    def __init__(self, scene, volume):
        self._scene, self._volume = scene, volume
        self.readings = ipywidgets.Textarea(description="Volts at volumes", placeholder=EXAMPLE, rows=4, **_wide())
        self.read_at = ipywidgets.Dropdown(description="Read at", options=(AT_WIRES, AT_LINES), **_wide())
        self.converter = {
            key: ipywidgets.Text(description=label, placeholder=example, **_wide())
            for key, (label, _, example) in CONVERTER.items()
        }
        self.said, self.browser = ipywidgets.HTML(), Typed(form="levels")
        self.use, self.back = (
            ipywidgets.Button(description=words, layout={"width": "auto"})
            for words in ("Use these", "Use the invented")
        )
        self.use.on_click(self.take)
        self.back.on_click(self.forget)
        self.browser.on_msg(self._from_the_browser)
        for key, field in self._fields().items():
            field.add_class(f"lb-field-{key}")
            field.add_class("lb-slider")  # its label above it
            field.observe(self._tell, "value")
        self.widget = self._laid_out()

    def _fields(self):
        return {"readings": self.readings, "read_at": self.read_at, **self.converter}

    def _laid_out(self):
        how = ipywidgets.HTML(HOW)
        state, buttons = ipywidgets.Box(), ipywidgets.HBox([self.use, self.back])
        state.add_class("lb-state")
        whole = ipywidgets.VBox([how, self.browser, *self._fields().values(), self.said, buttons, state])
        whole.add_class("lb-typed")
        whole.add_class("lb-note")
        return whole

    def attach(self, page):
        """Take the page whose answer is to follow."""
        self._page = page

    def typed(self):
        """Return what is typed: the readings, and the converter; None for either that is left empty.

        Returns
        -------
        (dict or None, Converter or None)
            Volume: LevelTable. [dB re 1 V]

        Raises
        ------
        ValueError
            In words for the person who typed it.
        """
        text = self.readings.value.strip()
        return readings_in(text) if text else None, self._own_converter()

    def _own_converter(self):
        typed = {key: field.value.strip() for key, field in self.converter.items() if field.value.strip()}
        if not typed:
            return None
        if "ratio" not in typed:
            raise ValueError(f"{CONVERTER['ratio'][0]} is missing: without it nothing is known of the converter.")
        return Converter(**{key: self._number(key, text) for key, text in typed.items()})

    def _number(self, key, text):
        label, unit, _ = CONVERTER[key]
        try:
            return number_in(with_unit(with_point(text), unit), unit, 1.0)
        except ValueError as error:
            raise ValueError(f"{label}: {error}") from None

    def take(self, _button=None):
        """Answer by what is typed."""
        try:
            readings, converter = self.typed()
            if readings is None and converter is None:
                raise ValueError("Nothing is typed yet.")
        except ValueError as error:
            self._complain(error)
            return
        self._answer_by(readings, converter)
        self.said.value = html.escape(f"The page answers by them now: {_told(readings, converter)}.", quote=False)

    def forget(self, _button=None):
        """Answer by the invented ones again; what is typed stays."""
        self._answer_by(None, None)
        self.said.value = "The page answers by the invented ones again."

    def _answer_by(self, readings, converter):
        self._scene.take(readings, self.read_at.value == AT_LINES, converter)
        self._volume.low, self._volume.high = self._scene.volumes
        self._page.wake()
        self._page.put(setting=self._page.values["setting"])

    def _tell(self, _change=None):
        """Say what is understood while someone types."""
        try:
            readings, converter = self.typed()
        except ValueError as error:
            self._complain(error)
            return
        told = _told(readings, converter)
        self.said.value = html.escape(f"Understood: {told}." if told else "", quote=False)

    def _complain(self, error):
        self.said.value = f'<div class="lb-wrong">{html.escape(str(error), quote=False)}</div>'

    def _from_the_browser(self, _widget, content, _buffers):
        """Fill in what the browser remembers."""
        for key, text in content.get("bring_back", {}).items():
            if key in self._fields():
                self._fields()[key].value = text
        self.browser.filled += 1


def _wide():
    return {"style": {"description_width": "auto"}, "layout": {"width": "98%", "max_width": "480px"}}


def readings_in(text):
    """Read what a meter showed at settings of the volume, a line for each.

    Parameters
    ----------
    text : str
        Such as "20 = 50 Hz, 2.27 V; 315 Hz, 1.80 V".

    Returns
    -------
    dict
        Volume: LevelTable. [dB re 1 V]

    Raises
    ------
    ValueError
        In words for the person who typed it.
    """
    found = {}
    for line in filter(None, map(str.strip, text.splitlines())):
        volume, sign, pairs = line.partition("=")
        if not sign:
            raise ValueError(f"{A_LINE}, got {line!r}")
        setting = number_in(with_point(volume), "", 1.0)
        if setting in found:
            raise ValueError(f"volume {setting:g} stands there twice")
        found[setting] = _table(setting, pairs)
    if len(found) < 2:
        raise ValueError(TWO)
    return found


def _table(setting, pairs):
    try:
        points = sorted(_pair(pair) for pair in filter(None, map(str.strip, pairs.split(";"))))
        if len(points) < 2:
            raise ValueError("read two tones or more, 63 and 315 Hz among them")
        return LevelTable(points=tuple(points))
    except ValueError as error:
        raise ValueError(f"volume {setting:g}: {error}") from None


def _pair(text):
    """Read a tone and its volts. [Hz], [dB re 1 V]"""
    tone, comma, volts = text.partition(",")
    if not comma:
        raise ValueError(f"write a tone and its volts, as in 50 Hz, 0.86 V, got {text!r}")
    frequency = number_in(with_unit(with_point(tone.strip()), "Hz"), "Hz", 1.0)
    reads = number_in(with_unit(with_point(volts.strip()), "V"), "V", 1.0)
    if not VOLTS[0] <= reads <= VOLTS[1]:
        raise ValueError(f"volts must be between {VOLTS[0]:g} and {VOLTS[1]:g} V, got {volts.strip()}")
    return frequency, float(20 * np.log10(reads))


def _told(readings, converter):
    told = []
    if readings:
        tones = {frequency for table in readings.values() for frequency, _ in table.points}
        told.append(f"{len(tones)} tones at {len(readings)} volumes from {min(readings):g} to {max(readings):g}")
    if converter:
        told.append("your converter")
    return " and ".join(told)
