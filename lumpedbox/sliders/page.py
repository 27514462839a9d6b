"""Sliders beside a picture, with a sentence that answers the question."""

from __future__ import annotations

import html
import traceback

import ipywidgets

from .access import Access
from .picture import LivePicture
from .systems import SYSTEMS


class Page:
    """Sliders on the left, the picture and the sentence on the right.

    Parameters
    ----------
    controls : sequence of Slider or Choice
    scene : object
        What is shown. It has `figure`, `moving` (artists that change), `alternative_text`, and two methods:
        `update(values, system)` takes the controls' SI values by name, changes the artists and returns the sentence;
        `use(system)` changes axes and labels to another system of units.
    first : int
        How many controls are on the first screen; the rest open on request.
    """

    def __init__(self, controls, scene, first=None):
        self.controls, self.scene = {control.name: control for control in controls}, scene
        self.picture = LivePicture(scene.figure, scene.moving, scene.alternative_text)
        self.system = SYSTEMS[0]
        self._says, self._wrong = ipywidgets.HTML(), ipywidgets.HTML()
        self._says.add_class("lb-says")
        self._busy = False
        for control in controls:
            control.listen(self.move)
        self.widget = self._laid_out(list(controls), len(controls) if first is None else first)
        scene.use(self.system)
        self.move(redraw=True)

    @property
    def values(self):
        """What the controls stand at, by name, in SI units."""
        return {name: control.value for name, control in self.controls.items()}

    @property
    def sentence(self):
        """What the page says, as plain text."""
        return html.unescape(self._says.value)

    @property
    def message(self):
        """What went wrong with the last move, as plain text; empty if nothing did."""
        return html.unescape(self._wrong.value.removeprefix('<div class="lb-wrong">').removesuffix("</div>"))

    def move(self, redraw=False):
        """Answer a move: new curves, new sentence; or say what is wrong and leave the picture as it was."""
        if self._busy:
            return
        try:
            said = self.scene.update(self.values, self.system)
        except ValueError as error:
            self._complain(str(error))
        except Exception:
            self._complain("This should not have happened; please report it:\n" + traceback.format_exc())
        else:
            self._says.value, self._wrong.value = html.escape(said, quote=False), ""
            self.picture.redraw() if redraw else self.picture.update()

    def _complain(self, text):
        self._wrong.value = f'<div class="lb-wrong">{html.escape(text, quote=False)}</div>'

    def use(self, system):
        """Read and type in another system of units."""
        self.system = system
        for control in self.controls.values():
            control.use(system)
        self.scene.use(system)
        self.move(redraw=True)

    def reset(self, _button=None):
        """Put every control back to where it started."""
        self._busy = True
        for control in self.controls.values():
            control.reset()
        self._busy = False
        self.move()

    def _laid_out(self, controls, first):
        units = ipywidgets.Dropdown(description="Units", options=SYSTEMS, layout={"width": "300px"})
        units.add_class("lb-slider")
        units.observe(lambda change: self.use(change["new"]), "value")
        back = ipywidgets.Button(description="Back to start", layout={"width": "140px"})
        back.on_click(self.reset)
        shown, more = controls[:first], controls[first:]
        rows = [control.widget for control in shown]
        if more:
            folded = ipywidgets.Accordion([ipywidgets.VBox([c.widget for c in more])], titles=("More to change",))
            rows.append(folded)
        left = ipywidgets.VBox([*rows, units, back], layout={"flex": "0 0 auto", "width": "330px"})
        right = ipywidgets.VBox(
            [self.picture.widget, self._says, self._wrong], layout={"flex": "1 1 0%", "min_width": "0"}
        )
        return ipywidgets.VBox([ipywidgets.HBox([left, right]), Access()])

    def _ipython_display_(self):
        from IPython.display import display

        display(self.widget)
