"""Engine off, idle, a second battery: from numbers that are given, and nothing is told where one is not."""

from __future__ import annotations

import ipywidgets

from ....build.feed import SecondBattery, alternator_reserve, engine_off_time
from ....build.feed.battery import BOTH, ENDS, LITHIUM
from ....build.feed.feed import HIGH_VOLTAGE, UNKNOWN
from ....tables.quantity_text import number_in, with_point
from ....units import ampere_hour, percent
from ...kit.controls import BARE
from ...kit.feed import Size
from ...kit.keeping import complaint
from ...kit.systems import SYSTEMS, same
from ...kit.words import as_html
from .drawing import CURRENT

SIZE = Size("size", "Size", 16e-6)
MINUTES = same("minutes", 60.0, 0)
HALF = 0.5  # of a lead battery, from where on it suffers and may not start an engine: common practice, no source
DEEP = " More than half of a lead battery ruins it, and leaves too little to start with."
GIVE = "Give {}: nothing is told without it."
FIELDS = {
    "engine off": {
        "capacity": ("Battery, as printed", "80", "Ah", ampere_hour),
        "usable_share": ("Usable share", "50", "%", percent),
        "current": ("All that is on takes", "5", "A", 1.0),
        "maker_current": ("Maker's current", "lithium only", "A", 1.0),
    },
    "idle": {
        "output_at_idle": ("Alternator at idle", "not as printed", "A", 1.0),
        "vehicle_draws": ("The vehicle takes", "40", "A", 1.0),
    },
    "second battery": {
        "largest": ("Between them flow", "60", "A", 1.0),
        "rating": ("The wire may carry", "110", "A", 1.0),
    },
}


class Batteries:
    """What batteries and the alternator give, folded away under the controls."""

    title = "Engine off, idle, a second battery"

    def __init__(self):
        self.fields = {
            name: _field(f"{label} [{unit}]", example)
            for group in FIELDS.values()
            for name, (label, example, unit, _) in group.items()
        }
        self.fields["size"] = _field("Wire between them", "25 mm², or 4 AWG")
        self.chemistry = _choice("Battery", ("lead-acid", LITHIUM))
        self.fuses = _choice("Fuses", ENDS[::-1])
        self.said = {group: ipywidgets.HTML() for group in FIELDS}
        shown = {
            "engine off": (self.chemistry, *(self.fields[name] for name in FIELDS["engine off"])),
            "idle": tuple(self.fields[name] for name in FIELDS["idle"]),
            "second battery": (self.fields["largest"], self.fields["size"], self.fields["rating"], self.fuses),
        }
        for field in (*self.fields.values(), self.chemistry, self.fuses):
            field.observe(self._tell, "value")
        heads = {group: ipywidgets.HTML(f"<b>{group.capitalize()}</b>") for group in FIELDS}
        rows = [one for group in FIELDS for one in (heads[group], *shown[group], self.said[group])]
        self.widget = ipywidgets.VBox(rows)

    def attach(self, page):
        """Take the vehicle, the battery's volts and the wire's metal from a page."""
        self._page = page
        page.listen(self._tell)
        self._tell()

    def _tell(self, _change=None):
        answers = {"engine off": self._engine_off, "idle": self._idle, "second battery": self._second}
        for group, answer in answers.items():
            try:
                self._check_vehicle()
                self.said[group].value = as_html(answer())
            except ValueError as error:
                self.said[group].value = complaint(str(error))

    def _check_vehicle(self):
        vehicle = self._page.values["vehicle"]
        if vehicle == HIGH_VOLTAGE:
            raise ValueError("Only the maker or a qualified person works on a high-voltage vehicle.")
        if vehicle == UNKNOWN:
            raise ValueError("Find out first what vehicle it is.")

    def _typed(self, group):
        """Return name: value of a group's fields; None where nothing is typed. [SI]"""
        found = {}
        for name, (label, _, unit, size) in FIELDS[group].items():
            text = self.fields[name].value.strip()
            try:
                bare = "" if BARE.fullmatch(text) else unit
                found[name] = number_in(with_point(text), bare, size) if text else None
            except ValueError as error:
                raise ValueError(f"{label}: {error}") from None
        return found

    def _missing(self, group, found, *needed):
        lacking = [FIELDS[group][name][0].lower() for name in needed if found[name] is None]
        return GIVE.format(" and ".join(f'"{name}"' for name in lacking)) if lacking else ""

    def _engine_off(self):
        found, needed = self._typed("engine off"), ["capacity", "usable_share", "current"]
        needed += ["maker_current"] if self.chemistry.value == LITHIUM else []
        if missing := self._missing("engine off", found, *needed):
            return missing
        time = engine_off_time(**found, chemistry=self.chemistry.value)
        deep = self.chemistry.value != LITHIUM and found["usable_share"] > HALF
        return (
            f"With the engine off it lasts at most {MINUTES(time).text(SYSTEMS[0])}. Cold, age and large currents make "
            f"that less, and the engine must still start.{DEEP if deep else ''}"
        )

    def _idle(self):
        found = self._typed("idle")
        if missing := self._missing("idle", found, *found):
            return missing
        left = alternator_reserve(**found, vehicle=self._page.values["vehicle"])
        if left <= 0:
            return f"Nothing is left at idle: the battery gives {CURRENT(-left).text(SYSTEMS[0])}."
        feed = self._page.scene.feed_found
        said = f"At idle {CURRENT(left).text(SYSTEMS[0])} are left."
        if feed is None or feed.current <= left:
            return said
        return (
            f"{said} At full power the feed draws {CURRENT(feed.current).text(SYSTEMS[0])}: the battery gives the rest."
        )

    def _second(self):
        found, values = self._typed("second battery"), self._page.values
        if self.fuses.value != BOTH:
            return "A second battery needs a fuse at both ends of the wire: each can burn it from its own end."
        missing = self._missing("second battery", found, *found)
        if missing or not self.fields["size"].value.strip():
            return missing or GIVE.format('"wire between them"')
        cable = self._page.scene.cable(values | {"rating": found["rating"], "area": self._size()})
        pair = SecondBattery(
            cable=cable,
            current=found["largest"],
            voltage=values["battery"],
            vehicle=values["vehicle"],
            fuses=self.fuses.value,
        )
        told = f"A fuse of {CURRENT(pair.fuse).text(SYSTEMS[0])} at each end, close to each battery."
        return " ".join((told, *pair.remarks))

    def _size(self):
        """Return what is typed as a wire's size. [m2]"""
        try:
            area, _ = SIZE.typed(with_point(self.fields["size"].value), {"size": SIZE.start}, self._page.system)
        except ValueError as error:
            raise ValueError(f"Wire between them: {error}") from None
        return area


def _field(label, example):
    style, layout = {"description_width": "170px"}, {"width": "290px"}
    return ipywidgets.Text(description=label, placeholder=example, style=style, layout=layout)


def _choice(label, options):
    style, layout = {"description_width": "170px"}, {"width": "290px"}
    return ipywidgets.Dropdown(description=label, options=options, style=style, layout=layout)
