"""A form for parts of one kind: what is typed, what is said of it, and how it is kept."""

from __future__ import annotations

import html

import ipywidgets

from ....tables.my_parts import forget, keep, read
from ....tables.quantity_text import with_point
from ...kit.forms import as_sentence, labels_of, read_entry, several, tidy, typed_of
from ...kit.keeping import NONE, Answering, unexpected
from ...kit.offered import offered
from ...kit.replacing import Place, Replacing, button
from ...kit.systems import SYSTEMS
from ...kit.typed import Typed
from .report import report_of


class Form(Answering):
    """A form for parts of one kind.

    Parameters
    ----------
    kind : str
    entries : sequence of Entry
    changed : callable
        What to do after the file may have changed.
    """

    def __init__(self, kind, entries, changed):
        self.kind, self.entries, self._look = kind, entries, changed
        self._filling, self._kept, self._system = False, {}, SYSTEMS[0]
        self.labels = labels_of(kind)
        self.name = _text("Name", "what other pages call it")
        self.fields = {entry.key: _field(entry, self._system) for entry in entries}
        self.report, self.said = ipywidgets.HTML(), ipywidgets.HTML()
        self.said.add_class("lb-kept")
        self.kept = ipywidgets.Dropdown(
            description="Open a kept one", options=(NONE,), style={"description_width": "auto"}
        )
        self.keep, self.forget, self.empty = map(button, ("Keep", "Forget", "Empty the form"))
        self.replacing = Replacing(self._answer)
        self.browser = Typed(form=kind)
        self._listen()
        self.widget = self._laid_out()
        self._tell()

    def _listen(self):
        for key, widget in {"name": self.name, **self.fields}.items():
            widget.add_class(f"lb-field-{key}")
            widget.observe(self._goes_on, "value")
        self.kept.observe(self._open, "value")
        self.keep.on_click(self._answer(self._keep))
        self.forget.on_click(self._answer(self._forget))
        self.empty.on_click(self._answer(self._empty))
        self.browser.on_msg(self._from_the_browser)

    def _laid_out(self):
        lines = [line for entry in self.entries for line in (self.fields[entry.key], *_help(entry))]
        left = ipywidgets.VBox([self.name, *lines], layout={"flex": "0 1 auto", "max_width": "100%"})
        buttons = ipywidgets.HBox([self.keep, self.forget, self.empty], layout={"flex_flow": "row wrap"})
        state = ipywidgets.Box()
        state.add_class("lb-state")
        told = [buttons, self.said, self.replacing.widget, state, self.report]
        right = ipywidgets.VBox(told, layout={"flex": "1 1 300px"})
        right.add_class("lb-beside")
        wrapped = {"flex_flow": "row wrap", "overflow": "visible", "grid_gap": "0 24px"}
        begin = ipywidgets.HBox([self.kept, self.browser], layout=wrapped)
        whole = ipywidgets.VBox([begin, ipywidgets.HBox([left, right], layout=wrapped)], layout={"overflow": "visible"})
        whole.add_class("lb-typed")
        return whole

    @property
    def typed(self):
        """What is filled in, by key."""
        values = {key: field.value.strip() for key, field in self.fields.items()}
        return {key: value for key, value in values.items() if value}

    def units(self, system):
        """Return key: the unit that a bare number takes."""
        return {entry.key: entry.unit(system) for entry in self.entries}

    def read_in(self, system):
        """Take bare numbers in the units of a system from now on."""
        self._system = system
        for entry in self.entries:
            self.fields[entry.key].description = entry.heading(system)
        self.browser.system = system

    def fill(self, name, typed):
        """Fill the form."""
        self._filling = True
        self.name.value, self.said.value = name, ""
        for entry in self.entries:
            value, first = typed.get(entry.key, ""), entry.options[0][1] if entry.options else ""
            self.fields[entry.key].value = first if value == "" else str(value)
        self._filling = False
        self.browser.filled += 1
        self._tell()

    def offer(self, kept):
        """Offer the kept ones of this kind, by name, to open them."""
        self._kept = {name: typed_of(self.kind, table) for name, table in kept.items()}
        self.kept.options = (NONE, *kept)
        self.kept.value = NONE
        self.browser.kept = {name: self._in_the_browser(typed) for name, typed in self._kept.items()}

    def _in_the_browser(self, typed):
        """Return what the fields show of something typed; nothing of a list that stands at its first word."""
        shown = dict(typed)
        for entry in self.entries:
            words = {value: word for word, value in entry.options[1:]}
            if entry.options and entry.key in shown:
                shown[entry.key] = words.get(shown[entry.key], "")
        return {key: text for key, text in shown.items() if text}

    def _open(self, change):
        if change["new"] != NONE:
            self._answer(lambda _button: self._instead(change["new"], self._kept[change["new"]]))()
            self.kept.value = NONE

    def _empty(self, _button):
        return self._instead("", {})

    def _instead(self, name, typed):
        """Fill the form with something else; the browser remembers what was typed and is kept nowhere."""
        self.replacing.withdraw()
        self.fill(name, typed)
        return ""

    def _from_the_browser(self, _widget, content, _buffers):
        """Do what the browser asks for: look at the file again, or fill in what it remembers."""
        if "look" in content:
            self._look()
        if "bring_back" in content:
            self._answer(lambda _button: self._remembered(content))()

    def _remembered(self, content):
        shown, system = content["bring_back"], content["system"]
        words = {entry.key: dict(entry.options) for entry in self.entries if entry.options}
        units = self.units(system)
        typed = {
            key: words[key].get(text, "") if key in words else tidy(self.kind, key, text, units[key])
            for key, text in shown.items()
            if key in units
        }
        self._instead(shown.get("name", ""), typed)
        return "Here it is again. It is not kept yet."

    def _goes_on(self, change):
        """While someone types, nothing is asked or said of what was typed before; a bare number takes its unit."""
        if self._filling:
            return
        for key, unit in self.units(self._system).items():
            if self.fields[key] is change["owner"]:
                self._filling = True
                text = change["new"].strip()
                text = text if several(self.kind, key) else with_point(text)
                change["owner"].value = tidy(self.kind, key, text, unit)
                self._filling = False
        self.said.value = ""
        self.replacing.withdraw()
        self._tell()

    def _place(self):
        """Return where a part of the name in the form is kept."""
        name = " ".join(self.name.value.split())
        if not name:
            raise ValueError("Give it a name first.")
        return Place(
            what=f"A part named {name}",
            name=name,
            now=lambda: self._now(name),
            put=lambda typed: self._put(name, typed),
        ), name

    def _now(self, name):
        """Return what is kept under a name, as a form holds it; None if nothing is."""
        table = read().typed[self.kind].get(name)
        return table and typed_of(self.kind, table)

    def _put(self, name, typed):
        """Keep something, and show it in the form."""
        keep(self.kind, name, typed)
        self._look()
        if typed != self.typed:
            self._instead(name, typed)

    def _keep(self, _button):
        place, name = self._place()
        for key, said in self._read()[1].items():
            raise ValueError(f"Nothing is kept yet. {self.labels[key]}: {said}")
        if not self.typed:
            raise ValueError("Nothing is filled in yet.")
        return self.replacing.keep(place, lambda: self.typed, lambda: self._said_of(name))

    def _said_of(self, name):
        if (self.kind, name) in read().unfinished:
            return "Kept. The other pages offer it once it is complete."
        return f"Kept. {offered_as(self.kind, name)}"

    def _forget(self, _button):
        place, name = self._place()
        old = place.now()
        if old is None:
            raise ValueError(f"Nothing is kept under the name {name!r}.")
        self.replacing.withdraw()
        forget(self.kind, name)
        self.replacing.offer_back(place, old)
        return "Taken out of the file. The form is as it was."

    def _read(self):
        """Return key: value of what can be read, and key: complaint of what cannot."""
        known, wrong = {}, {}
        for key, text in self.typed.items():
            try:
                known[key] = read_entry(self.kind, key, text)
            except ValueError as error:
                wrong[key] = as_sentence(str(error))
        return known, wrong

    def _tell(self):
        try:
            known, wrong = self._read()
            self.browser.wrong = wrong
            self.report.value = report_of(self.kind, known, wrong)
        except Exception as error:  # else nobody would see it
            self.report.value = unexpected(error)


def offered_as(kind, name):
    """Say under which name the other pages offer a part."""
    offer = offered()
    mine = read().parts[kind][name]
    named = {
        "driver": offer.sheets,
        "box": offer.boxes,
        "amplifier": offer.amplifiers,
        "head_unit": offer.head_units,
        "cabin": offer.cabins,
        "channel": offer.channels,
        "readings": offer.readings,
        "converter": offer.converters,
    }
    called = next(other for other, part in named[kind].items() if part is mine)  # two equal ones are not the same
    return f"The other pages offer it as {called}."


_BEFORE = {"description_width": "190px"}
_WIDE = {"width": "400px", "max_width": "100%"}


def _text(label, example, widget=ipywidgets.Text):
    return widget(description=label, placeholder=example, continuous_update=False, style=_BEFORE, layout=_WIDE)


def _field(entry, system):
    if not entry.options:
        return _text(entry.heading(system), entry.example, ipywidgets.Textarea if entry.lines else ipywidgets.Text)
    return ipywidgets.Dropdown(description=entry.label, options=entry.options, style=_BEFORE, layout=_WIDE)


def _help(entry):
    """Return what stands under a field."""
    if not entry.help:
        return ()
    words = ipywidgets.HTML(html.escape(entry.help, quote=False))
    words.add_class("lb-help")
    return (words,)
