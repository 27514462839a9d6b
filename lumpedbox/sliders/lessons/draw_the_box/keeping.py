"""Keeps a drawing and its acoustic box, and starts from what is kept."""

from __future__ import annotations

import functools

import ipywidgets

from ....build import acoustic_box
from ....tables.my_boxes import FILE, keep_box, read_boxes
from ....tables.my_parts import keep
from ...kit.boxes import entries_of, tube_of, wanted_of
from ...kit.keeping import NONE, WIDE, Answering, complaint, dropdown_of
from ...kit.offered import offered
from ...kit.replacing import Place, Replacing, button
from .ports import TUBE

LAST = "the choices kept last"
DIGITS = 4  # of what a stage is told of a drawn box


class Drawings(Answering):
    """The fold in which a drawing is kept under a name, and others are taken up.

    A drawing goes to `my_boxes.toml` whole, for the garage. Its litres and tuning go to one's own parts under the same
    name, for the other pages.
    """

    title = "Keep it, or start from another"

    def __init__(self):
        self.said, self.wrong = ipywidgets.HTML(), ipywidgets.HTML()
        self.said.add_class("lb-note")
        self.name = ipywidgets.Text(description="Keep this drawing as", placeholder="its name", layout=WIDE)
        self.name.add_class("lb-slider")
        self.keep = button("Keep this drawing")
        self.drawings, self.boxes = dropdown_of("Open a kept drawing"), dropdown_of("Start from the litres of")
        self.replacing = Replacing(self._answer)
        self.keep.on_click(self._answer(self._keep))
        self.name.observe(self._goes_on, "value")
        self.drawings.observe(self._answer(self._open), "value")
        self.boxes.observe(self._answer(self._start_from), "value")
        rows = [self.drawings, self.boxes, self.name, self.keep, self.said, self.replacing.widget]
        self.widget = ipywidgets.VBox(rows)

    def attach(self, page):
        """Take a page for what is kept and shown."""
        self._page = page
        self._look()

    def _look(self):
        """Look what is kept now."""
        self._offer = offered()
        wrong = [self._offer.wrong] if self._offer.wrong else []
        try:
            self._drawn, not_read = read_boxes()
            wrong += not_read.values()
        except ValueError as error:
            self._drawn = {}
            wrong.append(str(error))
        self.wrong.value = "".join(map(complaint, wrong))
        boxes = dict(self._offer.boxes)
        if "volume" in self._offer.choices:
            boxes = {LAST: None, **boxes}
        self._boxes = boxes
        for dropdown, options in ((self.drawings, self._drawn), (self.boxes, boxes)):
            dropdown.options = (NONE, *options)
            dropdown.value = NONE
        self._page.tell_stage()

    def suggest(self, name):
        """Offer a name to keep the drawing as, where none is typed."""
        self.name.value = self.name.value.strip() or name

    def kept_as(self, drawn):
        """Return the name under which a drawing is kept; empty if it is not."""
        return next((name for name, one in self._drawn.items() if one == drawn), "")

    def drawing_of(self, name, box):
        """Return the drawing that is kept under a name, if its litres and tuning are those of a box; else None."""
        drawn = self._drawn.get(name)
        try:
            return drawn if drawn and _told(acoustic_box(drawn.box, drawn.inside)) == _told(box) else None
        except ValueError:  # it cannot be built any more
            return None

    def _keep(self, _button):
        name = " ".join(self.name.value.split())
        if not name:
            raise ValueError("give it a name first")
        self._page.check_drawn()
        place = Place(f"A drawing named {name}", name, lambda: read_boxes()[0].get(name), functools.partial(_put, name))
        said = f"Kept the drawing {name} in {FILE}, and its litres among your boxes. Take it to the garage prints it."
        return self.replacing.keep(place, lambda: self._page.drawn, lambda: said)

    def _open(self, change):
        left_out = self._page.open_drawn(self._drawn[change["new"]])
        return f"{change['new']} is open. {left_out}".strip()

    def _start_from(self, change):
        name = change["new"]
        wanted = through_a_tube(self._choices() if name == LAST else wanted_of(self._boxes[name]))
        drivers = self._page.drivers
        if wanted.get("driver") not in (None, *drivers):
            wanted.pop("driver")
        reached = {control: self._page.controls[control].nearest(value) for control, value in wanted.items()}
        self._page.put(**reached, step="litres")
        told = "; ".join(f"{self._page.controls[one].label} {self._page.text(one)}" for one in reached)
        return f"{name}: {told}. Choose what gives, and press the button under it."

    def _choices(self):
        kept = self._offer.choices
        found = {"wanted": kept["volume"]} | ({"driver": kept["driver"]} if "driver" in kept else {})
        return found | ({"tuning": kept["tuning"]} | tube_of(kept.get("port_area")) if "tuning" in kept else {})


def _put(name, drawn):
    """Keep a drawing, and the acoustic box that it is."""
    keep_box(name, drawn)
    keep("box", name, entries_of(acoustic_box(drawn.box, drawn.inside)))


def _told(box):
    """Return what a stage is told of a box."""
    return entries_of(box, digits=DIGITS)


def through_a_tube(wanted):
    """Return what a box must be, with a tube wherever the size of its port is told."""
    return wanted | ({"port_kind": TUBE} if "port" in wanted else {})
