"""Choices and boxes that are kept on one page and taken up on the next."""

from __future__ import annotations

import functools
from math import inf

import ipywidgets

from ...parts.box import Door, VentedBox
from ...tables.entries import BOX_RULES, CHOICES, in_words
from ...tables.my_parts import keep, keep_choices, read
from .controls import Slider
from .doors import as_kept, settings_of
from .offered import beside, offered
from .replacing import Place, Replacing, button
from .words import NO_DRIVER, UNEXPECTED, as_html

ROLES = {"fb": "tuning"} | {role: role for role in CHOICES}  # by the names that controls have on most pages
IN_WORDS = {  # of roles
    "port_area": "port area",
    "Ql": "leakage Q",
    "voltage": "the amplifier's volts",
    "door_opening": "the door's opening",
    "hole_area": "hole area",
    "crack_thickness": "crack thickness",
    "crack_length": "crack length",
    "path": "cone to hole",
    "longest_side": "longest side",
}
NONE = "choose one"
WIDE = {"width": "auto"}


def by_role(controls, roles):
    """Return role: control of those whose value means the same on other pages.

    Parameters
    ----------
    controls : dict
        Name: Slider or Choice.
    roles : dict
        Name: role, of controls that go by another name.
    """
    named = ROLES | roles
    return {named[name]: control for name, control in controls.items() if name in named}


class Answering:
    """Base of a fold that does what is asked of it, says what came of that in `said`, and looks again what is kept."""

    def _answer(self, action):
        """Return what does an action and says what came of it."""

        def answer(change=None):
            if isinstance(change, dict) and change["new"] in (NONE, None):
                return
            try:
                self.said.value = as_html(action(change))
            except ValueError as error:
                self.said.value = complaint(str(error))
            except Exception as error:
                self.said.value = unexpected(error)
            self._look()

        return answer

    def _goes_on(self, _change):
        """Under another name nothing is asked or said of the last one."""
        self.said.value = ""
        self.replacing.withdraw()


class Keeping(Answering):
    """Keeps what a page stands at, and moves its controls to what was kept.

    Parameters
    ----------
    controls : dict
        Role: Slider or Choice.
    settings : callable, optional
        Takes a KeptChannel; returns name of a control: value, or raises ValueError where the page cannot show it.
    entries : callable, optional
        Takes the page's values [SI]; returns the channel that they stand for as it is kept, key by key.
    """

    title = "Use on other pages"

    def __init__(self, controls, settings=None, entries=None):
        self.controls, self._settings, self._entries, self._page = controls, settings, entries, None
        kind = "channel" if entries else "box"
        self.said, self.wrong = ipywidgets.HTML(), ipywidgets.HTML()
        self.said.add_class("lb-note")
        self.said.add_class("lb-kept")
        self.keep, self.take = button("Keep these choices"), button("Take up what was kept")
        self.boxes, self.sources = dropdown_of("Take up a kept box"), dropdown_of("Take up the voltage of")
        self.channels = dropdown_of("Take up a kept channel")
        self.name = ipywidgets.Text(description=f"Keep this {kind} as", placeholder="its name", layout=WIDE)
        self.name.add_class("lb-slider")
        self.keep_part = button(f"Keep this {kind}")
        self.replacing = Replacing(self._answer)
        self.keep.on_click(self._answer(self._keep_choices))
        self.take.on_click(self._answer(self._take_choices))
        self.keep_part.on_click(self._answer(functools.partial(self._keep_part, kind)))
        self.name.observe(self._goes_on, "value")
        self.boxes.observe(self._answer(self._take_box), "value")
        self.channels.observe(self._answer(self._take_channel), "value")
        self.sources.observe(self._answer(self._take_voltage), "value")
        self.widget = ipywidgets.VBox(self._rows())

    def attach(self, page):
        """Take a page's controls to be what is kept and moved."""
        self._page = page
        if self.controls:
            self._look()

    def _rows(self):
        rows = [self.channels, self.name, self.keep_part] if self._entries else []
        rows += [self.keep, self.take] if self.controls else []
        if "voltage" in self.controls:
            rows.append(self.sources)
        if "volume" in self.controls:
            rows += [self.boxes, self.name, self.keep_part]
        return [*rows, self.said, self.replacing.widget] if rows else []

    def _look(self):
        """Look what is offered now; say what is wrong with it until it is mended."""
        self.offer = offered()
        self.wrong.value = complaint(self.offer.wrong)
        self._sources = beside(self.offer.amplifiers, self.offer.head_units)
        offers = {self.boxes: self.offer.boxes, self.sources: self._sources, self.channels: self.offer.channels}
        for dropdown, parts in offers.items():
            dropdown.options = (NONE, *parts)
            dropdown.value = NONE

    def _keep_choices(self, _button):
        place = Place("Another choice", "choices", lambda: _kept_choices(self._choices()), keep_choices)
        said = f"Kept: {_standing(self._page, self.controls.values())}. Other pages take it up with their own button."
        return self.replacing.keep(place, self._choices, lambda: said)

    def _choices(self):
        values = {role: self._value(control) for role, control in self.controls.items()}
        return {role: in_words("choices", role, value) for role, value in values.items() if value != NO_DRIVER}

    def _value(self, control):
        return self._page.values[control.name]

    def _take_choices(self, _button):
        self._look()
        if not self.offer.choices:
            return "" if self.offer.wrong else "Nothing is kept yet."
        return self._move(self.offer.choices, "Taken up")

    def _take_box(self, change):
        values = _settings(self.offer.boxes[change["new"]])
        return self._move({role: value for role, value in values.items() if value not in (None, inf)}, change["new"])

    def _take_voltage(self, change):
        return self._move({"voltage": self._sources[change["new"]].voltage}, change["new"])

    def _take_channel(self, change):
        name = change["new"]
        try:
            settings = self._settings(self.offer.channels[name])
        except ValueError as error:
            raise ValueError(f"{name} cannot be shown: {error}.") from None
        return go(self._page, {self._page.controls[control]: value for control, value in settings.items()}, name)

    def _keep_part(self, kind, _button):
        name = " ".join(self.name.value.split())
        if not name:
            raise ValueError("give it a name first")
        put, new = functools.partial(keep, kind, name), self._channel if kind == "channel" else self._box
        place = Place(f"A {kind} named {name}", name, lambda: read().typed[kind].get(name), put)
        return self.replacing.keep(place, new, lambda: f"Kept the {kind} {name}.")

    def _channel(self):
        return self._entries(self._page.values)

    def _box(self):
        shown = {role: self._value(control) for role, control in self.controls.items()}
        known = (
            as_kept(shown) if "door_opening" in shown else {role: shown[role] for role in BOX_RULES if role in shown}
        )
        return {role: in_words("box", role, value) for role, value in known.items()}

    def _move(self, values, what):
        """Move the controls that this page has, as far as they go; say where they are now."""
        moved = {self.controls[role]: value for role, value in values.items() if role in self.controls}
        elsewhere = [IN_WORDS.get(role, role) for role in values if role not in self.controls]
        return go(self._page, moved, what, f"Not on this page: {', '.join(elsewhere)}." if elsewhere else "")


def go(page, moved, what, *more):
    """Move controls of a page as far as they go; say where they are now, and what else there is to say.

    Parameters
    ----------
    page : Controlled
    moved : dict
        Slider or Choice: value. [SI]
    what, more : str
        What is said before it, and behind it.
    """
    places = {control: control.nearest(value) for control, value in moved.items()}
    reached = {control: place for control, place in places.items() if place is not None}
    page.wake()
    page.put(**{control.name: place for control, place in reached.items()})
    short = [_shortfall(page, control, value) for control, value in moved.items() if places[control] != value]
    now = _standing(page, reached)
    told = f"{what}: {now}." if now else f"{what}: nothing of it is on this page."
    return " ".join([told, *short, *filter(None, more)])


def _standing(page, controls):
    """Return where controls stand, each by its label."""
    return "; ".join(f"{control.label} {page.text(control.name)}" for control in controls)


def _shortfall(page, control, value):
    if isinstance(control, Slider):
        return f"{control.label}: the slider goes to {page.text(control.name)} only."
    return f"{control.label}: {value} is not offered here; if you have just kept it, open this page anew."


def _settings(box):
    """Return role: value of a kept box. [SI]"""
    if isinstance(box, Door):
        return settings_of(box)
    tuned = {"tuning": box.fb, "port_area": box.port_area} if isinstance(box, VentedBox) else {}
    return {"volume": box.volume, "Ql": box.Ql, "filling": box.filling, **tuned}


def _kept_choices(new):
    """Return what is kept of some choices, in words; of one that is not, the new one."""
    kept = read().choices
    return {role: in_words("choices", role, kept[role]) if role in kept else said for role, said in new.items()}


def complaint(text):
    """Return what went wrong as it is shown, empty if nothing did."""
    return f'<div class="lb-wrong">{as_html(text)}</div>' if text else ""


def unexpected(error):
    """Return what should not have happened as it is shown: else nobody would see it."""
    return complaint(f"{UNEXPECTED} {error!r}")


def dropdown_of(text):
    """Return a choice that starts with none, as wide as the fold that it stands in."""
    dropdown = ipywidgets.Dropdown(description=text, options=(NONE,), layout=WIDE)
    dropdown.add_class("lb-slider")
    return dropdown
