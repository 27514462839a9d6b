"""Sliders beside a picture, with a sentence that answers the question."""

from __future__ import annotations

import html
import traceback

import ipywidgets

from .access import Access
from .controls import Slider
from .gone import Gone
from .keeping import Keeping, by_role
from .picture import LivePicture
from .predict import Guess
from .systems import SYSTEMS


class Page:
    """Sliders on the left, the picture and the sentence on the right.

    Parameters
    ----------
    controls : sequence of Slider or Choice
    scene : Scene
        What is shown.
    first : int
        How many controls are on the first screen; the rest open on request.
    helpers : sequence of object
        What to fold away under the controls: each has a `title` and a `widget`.
    roles : dict, optional
        Name of a control: its role, for what is kept from page to page, where that is not the name itself.
    """

    def __init__(self, controls, scene, first, helpers=(), roles=None):
        self.controls, self.scene = {control.name: control for control in controls}, scene
        self.picture, self.access = LivePicture(scene.figure, scene.moving), Access()
        self.system = SYSTEMS[0]
        self._over, self._says, self._wrong = ipywidgets.HTML(), ipywidgets.HTML(), ipywidgets.HTML()
        self._says.add_class("lb-says")
        self._busy = self._asleep = False
        for control in controls:
            control.listen(self.move)
        self.keeping = Keeping(by_role(self.controls, roles or {}), self.put)
        self._left = self._laid_out(list(controls), first, (*helpers, self.keeping))
        self.widget = self._beside_the_picture()
        scene.use(self.system)
        self.move(redraw=True)

    @property
    def values(self):
        """What the controls stand at, by name, in SI units."""
        return {name: control.value for name, control in self.controls.items()}

    @property
    def conditions(self):
        """What the page says over the picture, as plain text."""
        return html.unescape(self._over.value)

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
            self.scene.move(self.values)
            self.picture.redraw() if redraw else self.picture.update()  # before the words, since it is waited for
            over = self.scene.conditions(self.values, self.system)
            said = "" if self._asleep else self.scene.said(self.values, self.system)
        except ValueError as error:
            self._complain(str(error))
        except Exception:
            self._complain("This should not have happened; please report it:\n" + traceback.format_exc())
        else:
            self._over.value, self._says.value = html.escape(over, quote=False), html.escape(said, quote=False)
            self._wrong.value = ""
            self.access.showing = self._described(over, said)

    def _described(self, over, said):
        """Return what the picture shows, for who cannot see it."""
        now = "The curves come with your guess." if self._asleep else said
        return f"{self.scene.alternative_text}. {over}. {now}"

    def put(self, places):
        """Put several controls to new places at once: name: value. [SI]"""
        self._busy = True
        try:
            for name, value in places.items():
                self.controls[name].value = value
        finally:
            self._busy = False
        self.move()

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
        self.put({name: control.start for name, control in self.controls.items()})

    def ask(self, question):
        """Ask for a guess; only when it is marked do the curves appear and the sliders move.

        Parameters
        ----------
        question : Question

        Returns
        -------
        Page
            This page.
        """
        guess = Guess(question, then=self.wake)
        self._left.children = (guess.widget, *self._left.children)
        self._sleep(True)
        return self

    def wake(self):
        """Show the curves and let the controls move."""
        self._sleep(False)

    def _sleep(self, asleep):
        self._asleep = asleep
        for control in self.controls.values():
            control.widget.disabled = asleep
        self.keeping.rest(asleep)
        self.picture.cover(asleep)
        self.move()

    def _laid_out(self, controls, first, helpers):
        """Return the left side: the first controls, more on request, the units, and the way back."""
        units = ipywidgets.Dropdown(description="Units", options=SYSTEMS, layout={"width": "auto"})
        units.add_class("lb-slider")
        units.observe(lambda change: self.use(change["new"]), "value")
        back = ipywidgets.Button(description="Back to start", layout={"width": "140px"})
        back.add_class("lb-back")
        back.on_click(self.reset)
        folds = {"More to change": ipywidgets.VBox(_rows(controls[first:]))}
        folds |= {helper.title: helper.widget for helper in helpers}
        more = ipywidgets.Accordion([fold for fold in folds.values() if fold.children])
        more.titles = tuple(title for title, fold in folds.items() if fold.children)
        rows = _rows(controls[:first])
        kinds = [control.kind for control in controls if isinstance(control, Slider)]
        panels = [self.scene.panels(system) for system in SYSTEMS]
        if panels[0] != panels[1] or any(kind.metric != kind.customary for kind in kinds):
            rows.append(units)
        self.access.observe(lambda change: self.picture.suit(change["new"]), "screen")
        return ipywidgets.VBox([*rows, self.access, Gone(), back, more], layout={"flex": "0 0 auto", "width": "330px"})

    def _beside_the_picture(self):
        rows = [self._over, self.picture.widget, self._says, self._wrong, self.keeping.wrong]
        right = ipywidgets.VBox(rows, layout={"flex": "1 1 480px", "min_width": "0"})
        page = ipywidgets.HBox([self._left, right], layout={"flex_flow": "row wrap", "overflow": "visible"})
        page.add_class("lb-page")
        return page

    def _ipython_display_(self):
        from IPython.display import display

        display(self.widget)


def _rows(controls):
    return [row for control in controls for row in control.rows]
