"""Forms for your own parts, which are kept for the other pages."""

from __future__ import annotations

import html
from pathlib import Path

import ipywidgets

from ....tables.my_parts import FILE
from ...kit.forms import FORMS
from ...kit.keeping import complaint
from ...kit.layout import ShownInCell, plain
from ...kit.offered import kept_or_wrong
from ...kit.systems import SYSTEMS
from .form import Form


class MyParts(ShownInCell):
    """Forms for every kind of part, folded."""

    def __init__(self):
        self.forms = {kind: Form(kind, entries, self._look) for kind, (_, entries) in FORMS.items()}
        self.wrong, self.where = ipywidgets.HTML(), ipywidgets.HTML()
        self.units = ipywidgets.Dropdown(description="Units", options=SYSTEMS, layout={"width": "300px"})
        self.units.observe(self._read_in, "value")
        folds = ipywidgets.Accordion([form.widget for form in self.forms.values()], selected_index=0)
        folds.titles = tuple(title for title, _ in FORMS.values())
        folds.add_class("lb-form")
        self.widget = plain(self.wrong, self.units, folds, self.where)
        self._look()

    def _read_in(self, change):
        for form in self.forms.values():
            form.read_in(change["new"])

    def _look(self):
        """Look what is kept now, and offer it; say what is wrong with the file until it is mended."""
        kept, wrong = kept_or_wrong()
        self.wrong.value = complaint(wrong)
        for kind, form in self.forms.items():
            form.offer(kept.typed[kind])
        self.where.value = f"What you keep is in {html.escape(str(Path(FILE).resolve()))}"


def my_parts():
    """Return the forms."""
    return MyParts()
