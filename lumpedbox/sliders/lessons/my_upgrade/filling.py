"""What the page does about forms: one is open at a time, and what is typed is kept, or refused where it stands."""

from __future__ import annotations

import re

from ....plan.files import begin
from .forms import PlaceForm
from .other_forms import ChannelForm, SizesForm
from .shapes import beginning, shape_of
from .steps import StepForm, usual_steps

FORMS = {"place": PlaceForm, "channel": ChannelForm, "step": StepForm, "sizes": SizesForm}
# a complaint of a table: its heading, then "key = value: why", maybe within more, as plan.reading words it
TABLE = re.compile(r"\[(?P<name>\w+)(?:\.(?:\"[^\"]*\"|[^\]]*))?\](?:, (?P<key>\w+))?: ")
WITHIN = re.compile(r"(?:.*(?:: |, )|^)(?P<key>\w+) = (?P<value>'[^']*'|[-\d.][^:]*): (?P<why>.+)$")
WHOLE = re.compile(r"[^=]+ = \[?(?P<value>[^:]*?)\]?: (?P<why>.+)$")
EXAMPLE = "This is the example, and it stays as it is. Copy it as yours to change more than the order."


class Filling:
    """The part of a page that is about forms, and about beginning a plan of one's own."""

    def _on_shape(self, name):
        """Begin one's own plan with a shape of vehicle."""
        self._take_up(begin(self.path, beginning(name, shape_of(name))))
        self._tell(f"This is a usual {name}, kept in {self.path.name}. Choose a place, and say what is in it.")

    def _on_form(self, given):
        """Open the form of a place, a channel or a step."""
        kind, name = given
        self._show(FORMS[kind](self.plan, name))

    def _show(self, form):
        self._form, self._forms = form, self._forms + 1
        spec = form.spec(self._forms)
        if self.example:  # it can be looked at, and copied
            spec |= {"note": EXAMPLE, "fields": [], "buttons": [["Copy it as mine", "copy_here"], ["Close", "close"]]}
            if self.path.exists():
                spec |= {"note": "This is the example, and it stays as it is.", "buttons": [["Close", "close"]]}
        self.board.form = spec

    def _on_again(self, typed):
        """Show the form anew, since another kind of step needs other fields."""
        self._show(self._form.anew(typed))

    def _on_copy_here(self, _typed):
        form = self._form
        self._on_open("copy")
        self._show(type(form)(self.plan, form.name))

    def _on_close(self, _typed):
        self._form, self.board.form = None, {}

    def _on_fill(self, typed):
        """Keep what is typed, or say in the form why not."""
        if self.plan is None:
            return self._begin_with(typed)
        self._change(lambda: self._form.fill(typed))

    def _begin_with(self, typed):
        """Begin one's own plan with the lengths of a vehicle."""
        try:
            text = beginning("vehicle", self._form.shape(typed))
            self._take_up(begin(self.path, text))
        except ValueError as error:
            self.board.form = self.board.form | {"said": str(error)}
            return
        self._tell(f"Your vehicle is kept in {self.path.name}. Choose a place, and say what is in it.")

    def _on_take_out(self, _typed):
        name = self._form.name
        self._change(lambda: (self._form.take_out(), f"{name} is taken out."))

    def _change(self, changes_of):
        try:
            self._check_own()
            changes, said = changes_of()
            self._keep(changes, self._with_new(changes))
        except ValueError as error:
            labels = {one["key"]: one["label"] for one in self.board.form["fields"]}
            said = "\n".join(_of_field(line, labels) for line in _without_file(str(error), self.plan.path.name))
            self.board.form = self.board.form | {"said": said}
            return
        self._tell(said)

    def _with_new(self, changes):
        """Return the order with the steps that are new at its end."""
        new = [name for kind, name, table in changes if kind == "stage" and table is not None]
        return (*self.order, *(name for name in new if name not in self.plan.stages))

    def _on_usual(self, _given):
        """Add the usual steps."""
        changes = usual_steps(self.plan)
        self._keep(changes, self._with_new(changes))
        self._tell("The usual steps stand in a usual order. What they cost is a guess: change it.")


def _without_file(text, name):
    """Return the complaints of a plan's file without the file's name: the form is what the reader sees."""
    return [line.removeprefix(f"{name}, ") for line in text.split("\n")]


def _of_field(complaint, labels):
    """Return a complaint of a table of the file as one of a field of the form, where the form has that field.

    Parameters
    ----------
    complaint : str
        Such as "[stage.box], box: at the back = {...}: volume = '3 kg': 'kg' cannot be converted to litres."
    labels : dict
        Key of a field: its label.
    """
    table = TABLE.match(complaint)
    if table is None:
        return complaint
    rest = complaint[table.end() :]
    within, whole = WITHIN.search(rest), WHOLE.match(rest)
    if within and within["key"] in labels:
        return f"{labels[within['key']]}: {within['value']}: {within['why']}"
    key = "place" if table["name"] == "cabin" else table["key"]
    return f"{labels[key]}: {whole['value']}: {whole['why']}" if whole and key in labels else complaint
