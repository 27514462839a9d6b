"""The forms of the page: a place, a channel, a step. Each reads what is typed and says what the file holds then."""

from __future__ import annotations

import re

from ....plan.entries import fed
from ....plan.library import Library
from ....tables.channels import NOTHING
from ....tables.feeds import NOT_KNOWN
from ....tables.quantity_text import with_point, with_unit
from ....tables.text_file import tables_of
from .shapes import RADIO
from .words import listed

SIDES = {"left": "right", "right": "left"}
TYPICAL = (
    ("25 mm", "tweeter"),
    ("100 mm", "full range"),
    ("130 mm", "woofer"),
    ("165 mm", "woofer"),
    ("200 mm", "woofer"),
    ("200 mm", "bass"),
    ("250 mm", "bass"),
    ("300 mm", "bass"),
)
EMPTY, AS_WRITTEN, LEFT, WITH = "nothing", "as it stands in the file", "as it is", "with: "
PANEL, CLOSED, HOLED, NOT_SAID = "a large panel", "a closed space", "a space with a leak", "not known"
BEHIND = (NOT_SAID, PANEL, CLOSED, HOLED)
WIRED = (("in parallel", "parallel"), ("in series", "series"), ("not known", NOT_KNOWN))
YES, NO = "yes", "no"


def field(key, label, value="", example="", options=None, again=False):
    """Return one line of a form as plain data; `options` are pairs of what is written and what it stands for."""
    return {
        "key": key,
        "label": label,
        "value": value,
        "example": example,
        "options": options and [list(pair) for pair in options],
        "again": again,
    }


class Form:
    """A form about something of a plan.

    Parameters
    ----------
    plan : Plan
    name : str
        Of what it is about; empty for something new.
    typed : dict, optional
        What stands in it already.
    """

    about, new = "", ""

    def __init__(self, plan, name, typed=None):
        self.plan, self.name, self.before = plan, name, typed or {}
        self.tables = tables_of(plan.text, "the plan")
        self.library = Library(plan.my_parts).with_parts(plan.items)

    def table(self, kind, name=None):
        """Return what stands in a table of the file, in a copy."""
        found = self.tables.get(kind, {})
        return dict(found if name is None else found.get(name, {}))

    def anew(self, typed):
        """Return the form as it is once another kind is chosen: what stood there by itself is chosen afresh."""
        stood = {one["key"]: one["value"] for one in self.fields() if not one["again"]}
        return type(self)(self.plan, self.name, {key: text for key, text in typed.items() if text != stood.get(key)})

    def spec(self, number, note=""):
        """Return it as plain data; `number` differs whenever its fields do."""
        fields = self.fields()
        for one in fields:
            if one["key"] in self.before:
                one["value"] = self.before[one["key"]]
        buttons = [["Keep", "keep"], ["Close", "close"]] + ([["Take it out", "take_out"]] if self.name else [])
        about = f"{self.about}: {self.name}"
        return {
            "id": f"{about} {number}",
            "about": about,
            "title": self.name or self.new,
            "note": note,
            "fields": fields,
            "buttons": buttons,
            "said": "",
        }

    def called(self, typed):
        """Return the name of what is kept: that of before, or what is typed now."""
        name = " ".join((self.name or typed.get("name", "")).split())
        if not name:
            raise ValueError("Name: how do you call it? Such as front door left.")
        return name

    def driver_options(self):
        """Return the drivers that can be chosen, with what the file holds of each."""
        own = [(name, f"={name}") for name in self.library.drivers]
        typical = [(f"a usual {size} {kind}", f"~{size} {kind}") for size, kind in TYPICAL]
        return [(EMPTY, EMPTY), *typical, *own]

    def source_options(self):
        """Return what can drive a channel."""
        return [*((name, name) for name in self.library.sources), ("nothing yet", NOTHING)]

    def usual_source(self):
        """Return what most likely drives something new."""
        return RADIO if RADIO in self.library.sources else next(iter(self.library.sources))

    def pairs(self, names):
        """Return places or channels to choose from: each alone, and left and right together before them."""
        both = [(f"{a[: -len('left')]}left and right", f"{a}|{b}") for a, b in map(_twins, names) if b in names]
        return [*both, *((name, name) for name in names)]

    def channel_of(self, place):
        """Return the name of the channel that feeds a place; empty if none does."""
        return next((name for name, one in self.plan.channels.items() if place in fed(one["feeds"])), "")


def _twins(name):
    """Return a name on the left and its twin on the right; nothing for others."""
    return (name, name[: -len("left")] + "right") if name.endswith("left") else ("", None)


def said_together(names):
    """Return names as one says them; left and right of one place in few words."""
    if len(names) == 2 and _twins(names[0])[1] == names[1]:
        return f"{names[0]} and right"
    return listed(names)


def other_side(name):
    """Return the name of the twin on the other side; empty if there is none."""
    head, _, side = name.rpartition(" ")
    return f"{head} {SIDES[side]}" if side in SIDES else ""


def driver_of(code):
    """Return what the file holds of a driver that was chosen; None of nothing."""
    if code == EMPTY:
        return None
    if code.startswith("~"):
        size, kind = re.fullmatch(r"~(\d+ mm) (.+)", code).groups()
        return {"size": size, "kind": kind, "name": code[1:]}
    return code[1:]


def code_of(written):
    """Return the choice that stands for what the file holds of a driver."""
    if written is None:
        return EMPTY
    if isinstance(written, str):
        return f"={written}"
    code = f"~{written.get('size')} {written.get('kind')}"
    return code if driver_of_or_none(code) == written else AS_WRITTEN


def driver_of_or_none(code):
    """Return what the file holds of a typical driver; None if there is no such."""
    return driver_of(code) if any(code == f"~{size} {kind}" for size, kind in TYPICAL) else None


def measured(text, unit):
    """Return what is typed as the file holds it, with the unit that a bare number takes."""
    return with_unit(with_point(text.strip()), unit)


class PlaceForm(Form):
    """What is in a place, what is behind it, and what drives it."""

    about, new = "place", "A new place"

    def fields(self):
        opening, have = self.table("opening", self.name), self.table("have")
        now, channel = code_of(have.get(self.name)), self.channel_of(self.name)
        options = self.driver_options() + ([(AS_WRITTEN, AS_WRITTEN)] if now == AS_WRITTEN else [])
        lines = [] if self.name else [field("name", "Name", "", "rear shelf left")]
        lines.append(field("driver", "What is in it", now, options=options))
        if not self.name or other_side(self.name) in self.plan.openings:
            alike = YES if self._is_alike(have) else NO
            lines.append(field("both", "Other side alike", alike, options=[(YES, YES), (NO, NO)]))
        if len(fed(self.plan.channels.get(channel, {"feeds": ()})["feeds"])) < 2:
            source = self.table("channel", channel).get("source") if channel else None
            known = source if isinstance(source, str) else AS_WRITTEN if source else self.usual_source()
            more = [(AS_WRITTEN, AS_WRITTEN)] if known == AS_WRITTEN else []
            lines.append(field("source", "Driven by", known, options=self.source_options() + more + self._shared()))
        where, hole = (", ".join(_bare(opening.get(key, ()))) for key in ("place", "hole_place"))
        return [
            *lines,
            field("behind", "Behind it", _behind(opening), options=[(one, one) for one in BEHIND]),
            field("volume", "Litres behind", opening.get("volume", ""), "30 litres"),
            field("hole", "Area of the leak", opening.get("hole", ""), "300 cm2"),
            field("hole_place", "Leak at, in metres", hole, "back, from left, up: 0.6, 0.1, 0.1"),
            field("longest_side", "Longest side", opening.get("longest_side", ""), "1 m, inside"),
            field("depth", "Depth", opening.get("depth", ""), "58 mm"),
            field("cutout", "Driver's hole", opening.get("cutout", ""), "143 mm"),
            field("space", "Room for a box", opening.get("space", ""), "60 litres"),
            field("place", "Where, in metres", where, "back, from left, up: 0.6, 0.1, 0.35"),
        ]

    def _shared(self):
        """Return the choices to share the channel of another place, of one on the same side where there are two."""
        side = next((one for one in SIDES if self.name.endswith(f" {one}")), "")
        others = (one for one in self.plan.openings if one != self.name and one.endswith(side) and self.channel_of(one))
        return [(f"with {one}, in parallel", f"{WITH}{one}") for one in others]

    def _is_alike(self, have):
        """Whether the other side holds the same, so that nothing of it is lost when both are changed together."""
        here, there = (self.table("opening", one) | {"place": ""} for one in (self.name, other_side(self.name)))
        return not self.name or (here == there and have.get(self.name) == have.get(other_side(self.name)))

    def fill(self, typed):
        """Return the changes of the file, and what is said of them."""
        name = self.called(typed)
        twin = other_side(name) if typed.get("both") == YES else ""
        changes, have = [], self.table("have")
        for place in filter(None, (name, twin)):
            changes.append(("opening", place, self._opening(place, typed, place == twin)))
            have = self._have(have, place, typed["driver"])
        changes.append(("have", "", have))
        for place in filter(None, (name, twin)):
            changes += self._channel(place, typed, mirrored=place == twin)
        return changes, f"{listed([one for one in (name, twin) if one])}: kept."

    def _opening(self, place, typed, mirrored):
        found = self.table("opening", place)
        for key, unit in (("depth", "mm"), ("cutout", "mm"), ("space", "litres"), ("longest_side", "m")):
            emptied(found, key, measured(typed.get(key, ""), unit))
        behind = typed.get("behind", NOT_SAID)
        emptied(found, "baffle", "infinite" if behind == PANEL else "")
        emptied(found, "volume", measured(typed.get("volume", ""), "litres") if behind in (CLOSED, HOLED) else "")
        hole = (
            measured(typed.get("hole", "") or "300", "cm2") if behind == HOLED else "0 cm2" if behind == CLOSED else ""
        )
        emptied(found, "hole", hole)
        if behind in (CLOSED, HOLED) and not found.get("volume"):
            raise ValueError("Litres behind: how many, from a tape measure? Such as 30 litres.")
        for key in ("place", "hole_place"):
            if where := _where(typed.get(key, "")):
                self._put_at(found, key, where, mirrored)
        return found

    def _put_at(self, found, key, where, mirrored):
        """Write a place into what is known of an opening; on the other side as far from the other wall."""
        across = self._width()
        if mirrored and across is not None:
            where[1] = f"{round(across - float(where[1].removesuffix(' m')), 3):g} m"
        if not (mirrored and found.get(key)):
            found[key] = where

    def _width(self):
        return self.plan.cabin.width if self.plan.cabin is not None else None

    @staticmethod
    def _have(have, place, code):
        if code == AS_WRITTEN:
            return have
        rest = {key: value for key, value in have.items() if key != place}
        driver = driver_of(code)
        return rest if driver is None else rest | {place: driver}

    def _channel(self, place, typed, mirrored=False):
        """Yield the channel of a place: a new one, the one that feeds it alone, or one that it shares from now on."""
        channel, source = self.channel_of(place), typed.get("source", AS_WRITTEN)
        if source.startswith(WITH):
            other = source.removeprefix(WITH)
            yield from self._sharing(place, channel, self.channel_of(other_side(other) if mirrored else other))
            return
        if source == AS_WRITTEN or (not channel and typed["driver"] == EMPTY):
            return
        if not channel:
            yield "channel", place, {"source": source, "feeds": [place]}
        elif len(fed(self.plan.channels[channel]["feeds"])) == 1:
            yield "channel", channel, self.table("channel", channel) | {"source": source}

    def _sharing(self, place, alone, channel):
        """Yield the changes that put a place on another's channel, and take out the one that fed it alone."""
        if not channel:
            raise ValueError("Driven by: no channel feeds the place on the other side yet.")
        if alone:
            yield "channel", alone, None
        table = self.table("channel", channel)
        yield "channel", channel, table | {"feeds": [*table["feeds"], place], "wiring": table.get("wiring", "parallel")}

    def take_out(self):
        """Return the changes that take the place out, with what is in it and what feeds it alone."""
        have = {place: driver for place, driver in self.table("have").items() if place != self.name}
        changes = [("have", "", have)]
        if channel := self.channel_of(self.name):
            rest = [one for one in fed(self.plan.channels[channel]["feeds"]) if one != self.name]
            table = self.table("channel", channel) | {"feeds": rest}
            changes.append(("channel", channel, table if rest else None))
        return [*changes, ("opening", self.name, None)]


def emptied(table, key, text):
    """Write a text into a table, or take the key out where there is none."""
    if text:
        table[key] = text
    else:
        table.pop(key, None)


def _behind(opening):
    if opening.get("baffle"):
        return PANEL
    if not opening.get("volume"):
        return NOT_SAID
    return CLOSED if re.match(r"0*\.?0*(\D|$)", str(opening.get("hole", "0"))) else HOLED


def _bare(lengths):
    """Return lengths in metres as the file holds them, without the unit."""
    return [str(one).removesuffix("m").strip() for one in lengths]


def _where(text):
    """Return three lengths as the file holds them; nothing of nothing."""
    parts = [part.strip().removesuffix("m").strip() for part in re.split(r"[,;]\s+|[,;]", text.strip()) if part.strip()]
    if not parts:
        return None
    try:
        return [f"{float(part):g} m" for part in parts] if len(parts) == 3 else _wrong_place(text)
    except ValueError:
        return _wrong_place(text)


def _wrong_place(text):
    raise ValueError(f"Where: write three lengths in metres, such as 0.6, 0.1, 0.35, got {text.strip()!r}")
