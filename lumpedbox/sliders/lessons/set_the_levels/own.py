"""One's own source and converter, as a meter reads them: typed beside the controls of the page on levels, and kept."""

from __future__ import annotations

import ipywidgets

from ....tables.entries import in_words, known_of, part_of
from ....tables.my_parts import keep, read
from ....tables.quantity_text import with_point
from ....tables.readings import AT_LINES, AT_WIRES
from ...kit.forms import CONVERTER, READINGS, in_labels, read_entry, tidy, typed_of
from ...kit.keeping import NONE, Answering, complaint
from ...kit.offered import kept_or_wrong
from ...kit.replacing import Place, Replacing, button
from ...kit.typed import Typed
from ...kit.words import as_html

HOW = (
    "Play full-scale tones, tone controls flat. Write what a meter reads across the two wires of one output, with "
    "nothing connected. Two tones at least: 63 and 315 Hz. One line for each volume."
)
TRIM = "trim"  # of a converter: the page has a slider for it
UNITS = {entry.key: entry.unit("metric") for entry in CONVERTER}
LABELS = {entry.key: entry.label for entry in (*READINGS, *CONVERTER)}


class OwnReadings(Answering):
    """Takes what you read at your head unit and know of your converter, in place of the invented ones; and keeps it.

    Parameters
    ----------
    scene : SetTheLevels
    volume : Slider
        Of the source's volume: it then reaches as far as was read.
    """

    title = "Your own readings"

    def __init__(self, scene, volume):
        self._scene, self._volume, self._page = scene, volume, None
        at_volumes, read_at = READINGS
        words = {"description": at_volumes.label, "placeholder": at_volumes.example}
        self.readings = ipywidgets.Textarea(rows=4, **words, **_wide())
        self.read_at = ipywidgets.Dropdown(description=read_at.label, options=(AT_WIRES, AT_LINES), **_wide())
        self.converter = {
            entry.key: ipywidgets.Text(description=entry.label, placeholder=entry.example, **_wide())
            for entry in CONVERTER
            if entry.key != TRIM
        }
        self.name = ipywidgets.Text(description="Keep these as", placeholder="their name", **_wide())
        self.kept = {
            kind: ipywidgets.Dropdown(description=f"Take up {what}", options=(NONE,), **_wide())
            for kind, what in (("readings", "kept readings"), ("converter", "a kept converter"))
        }
        self.said, self.browser = ipywidgets.HTML(), Typed(form="levels")
        self.use, self.back, self.keep = map(button, ("Use these", "Use the invented", "Keep these"))
        self.replacing = Replacing(self._answer)
        self._listen()
        self.widget = self._laid_out()

    def _listen(self):
        self.use.on_click(self._answer(self.take))
        self.back.on_click(self._answer(self.forget))
        self.keep.on_click(self._answer(self._keep))
        self.browser.on_msg(self._from_the_browser)
        for kind, dropdown in self.kept.items():
            dropdown.add_class("lb-slider")
            dropdown.observe(self._answer(lambda change, kind=kind: self._take_up(kind, change)), "value")
        for key, field in self._fields().items():
            field.add_class(f"lb-field-{key}")
            field.add_class("lb-slider")  # its label above it
            field.observe(self._tell, "value")

    def _fields(self):
        return {"at_volumes": self.readings, "read_at": self.read_at, **self.converter, "name": self.name}

    def _laid_out(self):
        how = ipywidgets.HTML(HOW)
        state, use = ipywidgets.Box(), ipywidgets.HBox([self.use, self.back])
        state.add_class("lb-state")
        *fields, name = self._fields().values()
        kept = [*self.kept.values(), how, self.browser, *fields, use, self.said, name, self.keep]
        whole = ipywidgets.VBox([*kept, self.replacing.widget, state])
        whole.add_class("lb-typed")
        whole.add_class("lb-note")
        return whole

    def attach(self, page):
        """Take the page whose answer is to follow."""
        self._page = page
        self._look()

    def _look(self):
        """Look what is kept now, and offer it."""
        kept, _ = kept_or_wrong()  # the page says what is wrong with the file
        for kind, dropdown in self.kept.items():
            dropdown.options = (NONE, *kept.parts[kind])
            dropdown.value = NONE
        names = dict.fromkeys([*kept.typed["readings"], *kept.typed["converter"]])
        self.browser.kept = {name: _shown(kept, name) for name in names}

    def entries(self):
        """Return what is typed of each kind, key by key, as it is kept.

        Returns
        -------
        dict
            "readings", "converter": {key: text}; nothing of a kind of which nothing is typed.
        """
        text = self.readings.value.strip()
        lines = {"read_at": AT_LINES} if self.read_at.value == AT_LINES else {}
        typed = {key: field.value.strip() for key, field in self.converter.items()}
        converter = {key: tidy("converter", key, with_point(said), UNITS[key]) for key, said in typed.items() if said}
        both = {"readings": {"at_volumes": text} | lines if text else {}, "converter": converter}
        return {kind: entries for kind, entries in both.items() if entries}

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
        made = {}
        for kind, entries in self.entries().items():
            known = {key: _read(kind, key, text) for key, text in entries.items()}
            if kind == "converter" and "ratio" not in known:
                raise ValueError(f"{LABELS['ratio']} is missing: without it nothing is known of the converter.")
            made[kind] = part_of(kind, "", known)
        readings = made.get("readings")
        return readings and readings.at_volumes, made.get("converter")

    def _typed_something(self):
        readings, converter = self.typed()
        if readings is None and converter is None:
            raise ValueError("Nothing is typed yet.")
        return readings, converter

    def take(self, _button=None):
        """Answer by what is typed."""
        readings, converter = self._typed_something()
        self._answer_by(readings, converter)
        return f"The page answers by them now: {_told(readings, converter)}."

    def forget(self, _button=None):
        """Answer by the invented ones again; what is typed stays."""
        self._answer_by(None, None)
        return "The page answers by the invented ones again."

    def _answer_by(self, readings, converter):
        self._scene.take(readings, self.read_at.value == AT_LINES, converter)
        self._volume.low, self._volume.high = self._scene.volumes
        self._page.wake()
        self._page.put(setting=self._page.values["setting"])

    def _keep(self, _button):
        """Keep what is typed among one's own parts, and the converter with its trim as it stands."""
        self._typed_something()
        name = " ".join(self.name.value.split())
        if not name:
            raise ValueError("Give them a name first.")
        kinds = tuple(self.entries())
        place = Place(f"Something named {name}", name, lambda: _now(kinds, name), lambda new: _put(new, name))
        return self.replacing.keep(place, self._with_trim, lambda: f"Kept as {name}. They are there after a restart.")

    def _with_trim(self):
        entries = self.entries()
        if "converter" in entries:
            entries["converter"][TRIM] = in_words("converter", TRIM, self._page.values[TRIM])
        return entries

    def _take_up(self, kind, change):
        """Fill in what is kept, and answer by it."""
        shown = typed_of(kind, read().typed[kind][change["new"]])
        self._fill(kind, shown)
        self.name.value = change["new"]
        if TRIM in shown:
            self._page.put(trim=known_of("converter", {TRIM: shown[TRIM]})[TRIM])
        return self.take()

    def _fill(self, kind, shown):
        """Fill the fields of a kind; one of which nothing is kept is emptied."""
        for entry in READINGS if kind == "readings" else CONVERTER:
            if field := self._fields().get(entry.key):
                field.value = shown.get(entry.key, AT_WIRES if field is self.read_at else "")
        self.browser.filled += 1

    def _tell(self, _change=None):
        """Say what is understood while someone types."""
        self.replacing.withdraw()
        try:
            told = _told(*self.typed())
        except ValueError as error:
            self.said.value = complaint(str(error))
            return
        self.said.value = as_html(f"Understood: {told}." if told else "")

    def _from_the_browser(self, _widget, content, _buffers):
        """Look at the file again, or fill in what the browser remembers."""
        if "look" in content:
            self._look()
        for key, text in content.get("bring_back", {}).items():
            if key in self._fields():
                self._fields()[key].value = text
        self.browser.filled += 1


def _read(kind, key, text):
    try:
        return read_entry(kind, key, text)
    except ValueError as error:
        raise ValueError(in_labels(kind, f"{LABELS[key]}: {error}")) from None


def _now(kinds, name):
    """Return what is kept of some kinds under a name, as the fields hold it; None if nothing is."""
    typed = read().typed
    return {kind: typed_of(kind, typed[kind][name]) for kind in kinds if name in typed[kind]} or None


def _put(new, name):
    for kind, entries in new.items():
        keep(kind, name, entries)


def _shown(kept, name):
    """Return what the fields show of what is kept under a name; the trim has none."""
    both = [typed_of(kind, kept.typed[kind].get(name, {})) for kind in ("readings", "converter")]
    return {key: text for shown in both for key, text in shown.items() if key != TRIM}


def _wide():
    return {"style": {"description_width": "auto"}, "layout": {"width": "98%", "max_width": "480px"}}


def _told(readings, converter):
    told = []
    if readings:
        tones = {frequency for table in readings.values() for frequency, _ in table.points}
        told.append(f"{len(tones)} tones at {len(readings)} volumes from {min(readings):g} to {max(readings):g}")
    if converter:
        told.append("your converter")
    return " and ".join(told)
