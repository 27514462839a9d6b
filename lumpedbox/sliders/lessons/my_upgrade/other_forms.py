"""The forms of a channel, and of the lengths of a vehicle."""

from __future__ import annotations

from ....plan.entries import fed
from ....tables.channels import NOTHING
from ....tables.entries import KINDS, value_of
from .forms import AS_WRITTEN, WIRED, Form, emptied, field, measured
from .shapes import OWN_ROOM, Shape


class ChannelForm(Form):
    """What a channel feeds, how that is wired, and what drives it."""

    about, new = "channel", "A new channel"

    def fields(self):
        table = self.table("channel", self.name)
        source = table.get("source", NOTHING if self.name else self.usual_source())
        written = isinstance(source, str)
        options = self.source_options() + ([] if written else [(AS_WRITTEN, AS_WRITTEN)])
        feeds = fed(self.plan.channels[self.name]["feeds"]) if self.name else ()
        lines = [] if self.name else [field("name", "Name", "", "rear left")]
        return [
            *lines,
            field("feeds", "It feeds", ", ".join(feeds), "roof left, dash left"),
            field("wiring", "Wired", table.get("wiring", "parallel"), options=WIRED),
            field("source", "Driven by", source if written else AS_WRITTEN, options=options),
            field("filter", "Filters", "; ".join(_texts(table.get("filter"))), "high-pass 80 Hz, 12 dB/octave"),
        ]

    def fill(self, typed):
        """Return the changes of the file, and what is said of them."""
        name = self.called(typed)
        found, feeds = self.table("channel", name), [one.strip() for one in typed["feeds"].split(",") if one.strip()]
        if feeds != fed(self.plan.channels.get(name, {"feeds": ()})["feeds"]):
            found["feeds"] = feeds
        if typed["source"] != AS_WRITTEN:
            found["source"] = typed["source"]
        if len(feeds) > 1:
            found["wiring"] = typed["wiring"]
        emptied(found, "filter", [one.strip() for one in typed["filter"].split(";") if one.strip()])
        freed = [self._without(other, feeds) for other in self.plan.channels if other != name]
        return [*filter(None, freed), ("channel", name, found)], f"{name}: kept."

    def _without(self, other, feeds):
        """Return the change of another channel that fed some of these; None if it did not."""
        had = fed(self.plan.channels[other]["feeds"])
        rest = [one for one in had if one not in feeds]
        if rest == had:
            return None
        return "channel", other, self.table("channel", other) | {"feeds": rest} if rest else None

    def take_out(self):
        """Return the changes that take the channel out."""
        return [("channel", self.name, None)]


def _texts(written):
    """Return a list of texts, of one or several."""
    return [written] if isinstance(written, str) else list(written or ())


class SizesForm(Form):
    """The lengths of a vehicle of another shape, inside."""

    about, new = "sizes", "Your vehicle, inside"

    def __init__(self, _plan, _name, typed=None):
        self.name, self.before = "", typed or {}

    def fields(self):
        return [
            field("length", "Length", "", "2.6 m, from the dash to the rear"),
            field("width", "Width", "", "1.4 m, between the doors"),
            field("height", "Height", "", "1.15 m, from floor to roof"),
        ]

    def shape(self, typed):
        """Return the shape with these lengths.

        Raises
        ------
        ValueError
            If one is missing, or cannot be.
        """
        rules, found = KINDS["cabin"], {}
        for one in self.fields():
            try:
                found[one["key"]] = value_of("cabin", one["key"], rules[one["key"]], measured(typed[one["key"]], "m"))
            except ValueError as error:
                raise ValueError(f"{one['label']}: {error}") from None
        return Shape(litres=OWN_ROOM, **found)
