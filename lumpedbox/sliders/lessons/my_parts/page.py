"""A form for your own parts: what is printed, what follows, what disagrees; and it is kept for the other pages."""

from __future__ import annotations

import html
from pathlib import Path

import ipywidgets

from ....errors import Incomplete
from ....parts.displacement import assumed_from
from ....tables.entries import KINDS, known_of, part_of, value_of
from ....tables.my_parts import FILE, forget, keep, read
from ...kit.access import Access
from ...kit.follows import in_both, sentences
from ...kit.forms import FORMS, labels_of
from ...kit.gone import Gone
from ...kit.keeping import NONE, complaint
from ...kit.offered import TWEETER_FROM, offered
from ...kit.replacing import Place, Replacing
from ...kit.systems import SYSTEMS
from ...kit.words import takes_up

FEW = 3  # ways to complete a part; more of them are not shown

INTRODUCTION = "Fill in what is printed or measured, with its unit; leave the rest empty."


class Form:
    """A form for parts of one kind.

    Parameters
    ----------
    kind : str
    entries : sequence of Entry
    changed : callable
        What to do after the file may have changed.
    """

    def __init__(self, kind, entries, changed):
        self.kind, self.entries, self._changed = kind, entries, changed
        self._filling, self._typed, self._lost = False, {}, None
        self.labels = labels_of(kind)
        self.name = _text("Name", "how other pages call it")
        self.fields = {entry.key: _field(entry) for entry in entries}
        self.report, self.said = ipywidgets.HTML(), ipywidgets.HTML()
        self.said.add_class("lb-kept")
        self.kept = ipywidgets.Dropdown(description="Open a kept one", options=(NONE,), style=_BEFORE)
        self.keep, self.forget, self.empty = map(_button, ("Keep", "Forget", "Empty the form"))
        self.bring_back = _button("Bring back what I typed")
        self.bring_back.layout.align_self = "flex-start"
        for widget in (self.name, *self.fields.values()):
            widget.observe(self._goes_on, "value")
        self.kept.observe(self._open, "value")
        self.replacing = Replacing(self._answer)
        self.keep.on_click(self._answer(self._keep))
        self.forget.on_click(self._answer(self._forget))
        self.empty.on_click(self._answer(self._empty))
        self.bring_back.on_click(self._answer(self._bring_back))
        self.widget = self._laid_out()
        self._tell()

    def _laid_out(self):
        left = ipywidgets.VBox(
            [self.name, *self.fields.values()], layout={"flex": "0 1 auto", "width": "370px", "max_width": "100%"}
        )
        buttons = ipywidgets.HBox([self.keep, self.forget, self.empty])
        self._lose(None)
        offers = [self.said, self.bring_back, self.replacing.widget]
        right = ipywidgets.VBox([self.kept, buttons, *offers, self.report], layout={"flex": "1 1 320px"})
        right.add_class("lb-beside")
        return ipywidgets.HBox([left, right], layout={"flex_flow": "row wrap", "overflow": "visible"})

    @property
    def typed(self):
        """What is filled in, by key."""
        values = {key: field.value.strip() for key, field in self.fields.items()}
        return {key: value for key, value in values.items() if value}

    def fill(self, name, typed):
        """Fill the form."""
        self._filling = True
        self.name.value, self.said.value = name, ""
        for entry in self.entries:
            value, first = typed.get(entry.key, ""), entry.options[0][1] if entry.options else ""
            self.fields[entry.key].value = first if value == "" else str(value)
        self._filling = False
        self._tell()

    def offer(self, typed):
        """Offer the kept ones of this kind, by name, to open them."""
        self._typed = typed
        self.kept.options = (NONE, *typed)
        self.kept.value = NONE

    def _open(self, change):
        if change["new"] != NONE:
            self._answer(lambda _button: self._instead(change["new"], self._typed[change["new"]]))()
            self.kept.value = NONE

    def _empty(self, _button):
        return self._instead("", {})

    def _instead(self, name, typed):
        """Fill the form with something else; offer to bring back what was typed and is kept nowhere."""
        before = self.name.value, self.typed
        self.replacing.withdraw()
        self.fill(name, typed)
        if not before[1] or before[1] in (typed, *map(_as_typed, self._typed.values())):
            return ""
        self._lose(before)
        return "What was typed is kept nowhere."

    def _lose(self, lost):
        """Offer to bring back a name and what was typed; nothing if it is None."""
        self._lost, self.bring_back.layout.display = lost, None if lost else "none"

    def _bring_back(self, _button):
        if not self._lost:  # pressed twice
            return ""
        lost = self._lost
        self._lose(None)
        return self._instead(*lost)

    def _goes_on(self, _change):
        """While someone types, nothing is asked or said of what was typed before."""
        if not self._filling:
            self.said.value = ""
            self.replacing.withdraw()
            self._tell()

    def _answer(self, action):
        """Return what does an action and says what came of it."""

        def answer(button=None):
            try:
                self.said.value = html.escape(action(button), quote=False)
            except ValueError as error:
                self.said.value = complaint(self.plain(str(error)))
            self._changed()

        return answer

    def _place(self):
        """Return where a part of the name in the form is kept."""
        name = " ".join(self.name.value.split())
        if not name:
            raise ValueError("give it a name first")
        return Place(
            what=f"A part named {name}",
            name=name,
            now=lambda: _as_typed(read().typed[self.kind].get(name)),
            put=lambda typed: self._put(name, typed),
        ), name

    def _put(self, name, typed):
        """Keep something, and show it in the form."""
        keep(self.kind, name, typed)
        self._changed()
        if typed != self.typed:
            self._instead(name, typed)

    def _keep(self, _button):
        place, name = self._place()
        known_of(self.kind, self.typed)
        return self.replacing.keep(place, lambda: self.typed, lambda: self._kept(name))

    def _kept(self, name):
        if (self.kind, name) in read().unfinished:
            return "Kept. The other pages offer it once it is complete."
        return f"Kept. {offered_as(self.kind, name)}"

    def _forget(self, _button):
        place, name = self._place()
        old = place.now()
        if old is None:
            raise ValueError(f"nothing is kept under the name {name!r}")
        self.replacing.withdraw()
        forget(self.kind, name)
        self.replacing.offer_back(place, old)
        return "Taken out of the file. The form is as it was."

    def plain(self, text):
        """Return a message with the words of this form for the keys of the file."""
        for key in sorted(self.labels, key=len, reverse=True):
            if "_" in key:
                text = text.replace(key, self.labels[key])
        return text

    def _tell(self):
        try:
            self.report.value = self._report()
        except Exception as error:  # else nobody would see it
            self.report.value = complaint(f"This should not have happened; please report it: {error!r}")

    def _report(self):
        """Say what is printed, what follows and what disagrees; what cannot be read comes before all that."""
        typed, wrong, known = self.typed, [], {}
        for key, value in typed.items():
            try:
                known[key] = value_of(self.kind, key, KINDS[self.kind][key], value)
            except ValueError as error:
                wrong.append(complaint(f"{self.labels[key]}: {error}"))
        if not known.keys() - {"law"} and not wrong:
            return INTRODUCTION
        follows = "".join(wrong) or self._what_follows(known)
        return f'<div class="lb-columns"><div>{self._printed(known)}</div><div>{follows}</div></div>'

    def _printed(self, known):
        heading = "What is measured" if self.kind in ("box", "cabin") else "What is printed"
        return _table(heading, [self._row(key, value) for key, value in known.items()])

    def _row(self, key, value):
        return (self.labels[key], *in_both(self.kind, key, value))

    def _what_follows(self, known):
        try:
            part = part_of(self.kind, "", known)
        except Incomplete as error:
            return self._incomplete(error)
        except ValueError as error:
            return _list("Not yet", [self.plain(str(error))])
        if self.kind != "driver":
            load = self.kind == "amplifier" and "minimum_load" not in known
            assumed = [f"Its lowest load is the {part.minimum_load:g} ohm at which its power is given."] if load else []
            return _list("What follows", sentences(part)) + _list("Assumed", assumed)
        report, assumed = part.report, assumed_from(part.driver)
        room = [takes_up(part.driver, *SYSTEMS)] if assumed else []
        disagrees = [self._sentence(entry) for entry in report.contradictory]
        return "".join(
            [
                _list("What disagrees, the likeliest mistake first", disagrees),
                _list("To find out", report.questions),
                _list("Assumed", [*report.assumed, *room]),
                _table("What follows", [self._row(key, value) for key, value in report.implied.items()]),
            ]
        )

    def _sentence(self, entry):
        """Return a contradiction with this form's own label for what is printed."""
        return f"{self.labels[entry.name]} {str(entry)[str(entry).index('is printed') :]}"

    def _incomplete(self, error):
        """Say what is missing: each of the ways to complete it on a line of its own."""
        named = [", ".join(self.labels.get(key, key) for key in way) for way in error.ways[:FEW]]
        named += [self.plain(error.otherwise)] if error.otherwise else []
        return _list("Not complete yet: add" if len(named) == 1 else "Not complete yet: add one of these", named)


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
    }
    called = next(other for other, part in named[kind].items() if part is mine)  # two equal ones are not the same
    return _pages_for(mine.driver, called) if kind == "driver" else f"The other pages offer it as {called}."


def _pages_for(driver, called):
    """Say which pages offer a driver."""
    silent, only = driver.sensitivity is None, " Once its sensitivity is given, the pages on tweeters offer it too."
    if driver.spread is not None:
        pages = f"Pages that can do with a stand-in offer it as {called}. The others need numbers of its own."
        return pages + only * silent
    if driver.fs < TWEETER_FROM:
        return f"The other pages offer it as {called}."
    return f"The pages that take a tweeter offer it as {called}." + only * silent


class MyParts:
    """Forms for every kind of part, folded."""

    def __init__(self):
        self.forms = {kind: Form(kind, entries, self._look) for kind, (_, entries) in FORMS.items()}
        self.wrong, self.where = ipywidgets.HTML(), ipywidgets.HTML()
        folds = ipywidgets.Accordion([form.widget for form in self.forms.values()], selected_index=0)
        folds.titles = tuple(title for title, _ in FORMS.values())
        folds.add_class("lb-form")
        rows = [Access(), Gone(), self.wrong, folds, self.where]
        self.widget = ipywidgets.VBox(rows, layout={"overflow": "visible"})
        self._look()

    def _look(self):
        """Look what is kept now, and offer it; say what is wrong with the file until it is mended."""
        try:
            typed, wrong = read().typed, ""
        except ValueError as error:
            typed = {kind: {} for kind in FORMS}
            wrong = f"{error} Until that is mended nothing is kept, and the file stays as it is."
        self.wrong.value = complaint(wrong)
        for kind, form in self.forms.items():
            form.offer(typed[kind])
        self.where.value = f"What you keep is in {html.escape(str(Path(FILE).resolve()))}"

    def _ipython_display_(self):
        from IPython.display import display

        display(self.widget)


def my_parts():
    """Return the forms."""
    return MyParts()


def _as_typed(table):
    """Return a table of the file as a form holds it."""
    return table and {key: str(value) for key, value in table.items()}


_BEFORE = {"description_width": "160px"}


def _text(label, example):
    return ipywidgets.Text(
        description=label,
        placeholder=example,
        continuous_update=False,
        style=_BEFORE,
        layout={"width": "350px", "max_width": "100%"},
    )


def _field(entry):
    if not entry.options:
        return _text(entry.label, entry.example)
    return ipywidgets.Dropdown(
        description=entry.label, options=entry.options, style=_BEFORE, layout={"width": "350px", "max_width": "100%"}
    )


def _button(text):
    return ipywidgets.Button(description=text, layout={"width": "auto"})


def _table(heading, rows):
    if not rows:
        return ""
    lines = ("".join(f"<td>{html.escape(cell, quote=False)}</td>" for cell in row) for row in rows)
    return f"<b>{heading}</b><table>{''.join(f'<tr>{line}</tr>' for line in lines)}</table>"


def _list(heading, lines):
    items = "".join(f"<li>{html.escape(line, quote=False)}</li>" for line in lines)
    return f"<b>{heading}</b><ul>{items}</ul>" if items else ""
