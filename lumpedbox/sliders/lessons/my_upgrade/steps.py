"""The form of a step, and the usual steps: what is done, where, and what it costs."""

from __future__ import annotations

from ....plan.entries import fed
from ....tables.channels import NOTHING
from ....units import litre
from .forms import EMPTY, LEFT, Form, driver_of, field, measured
from .views import size_of
from .whole import done_anew, merged, several, what_it_does
from .words import listed

SEAL, PUT, BOX, FILTER, MOVE, LINE = "seal", "put", "box", "filter", "move", "line"
KINDS = (
    ("seal a place", SEAL),
    ("put in a driver", PUT),
    ("build a box", BOX),
    ("add a filter", FILTER),
    ("drive it from an amplifier", MOVE),
    ("fit a pad or capacitor", LINE),
)
BOUGHT = (PUT, BOX, MOVE)
BOX_FILTER, FRONT_FILTER, SMALL_FILTER, TREBLE_LINE = (
    "low-pass 80 Hz, 24 dB/octave",
    "high-pass 80 Hz, 12 dB/octave",
    "high-pass 150 Hz, 12 dB/octave",
    "6.8 uF in series",
)
SMALL = 130  # mm: what is not wider is kept from the bass (ours)
SHARE = 0.55  # of the room for a box that is air inside it (ours)
FOUR = "four channels of 75 W"
USUAL_AMPLIFIER = {
    "power": "75 W",
    "rated_impedance": "4 ohm",
    "minimum_load": "2 ohm",
    "channels": 4,
    "name": FOUR,
}


class StepForm(Form):
    """One thing that is done: what, where, and what it costs."""

    about, new = "step", "A new step"

    def fields(self):
        stage = self.plan.stages.get(self.name)
        others = [(name, name) for name in self.plan.stages if name != self.name]
        after = [("any time", ""), *others]
        last = [
            field("after", "Comes after", next(iter(stage.after), "") if stage else "", options=after),
            field("cost", "Costs", f"{stage.cost:g}" if stage else "", f"0, in {self.plan.currency}"),
            field("remark", "Remark", stage.remark if stage else "", "ask for a bracket"),
        ]
        kind = self.before.get("kind", "" if stage else SEAL)
        if stage:
            more = field("kind", "Do more in it", kind, options=[("nothing more", ""), *KINDS], again=True)
            return [*what_it_does(self), more, *(self._of(kind) if kind else ()), *last]
        name = field("name", "Name", "", "made from the rest")
        return [field("kind", "What to do", kind, options=KINDS, again=True), *self._of(kind), name, *last]

    def _of(self, kind):
        """Return the fields of a kind of step."""
        places, channels = tuple(self.plan.openings), tuple(self.plan.channels)
        where = field("where", "Where", self._first(kind, self.pairs(places)), options=self.pairs(places))
        drivers = [option for option in self.driver_options() if option[0] != EMPTY]
        sources = [(LEFT, LEFT), *self.source_options()[:-1], (f"{FOUR}, a usual one", FOUR)]
        pairs, everyone = self.pairs(channels), "|".join(channels)
        boxed = self.plan.stages[self.name].box if self.name else ()
        others = next((code for _, code in pairs if boxed and code not in map(self.channel_of, boxed)), everyone)
        which = field("which", "Which channels", others, options=[("all of them", everyone), *pairs])
        if kind == SEAL:
            return [where]
        if kind == PUT:
            return [
                where,
                field("driver", "Driver", "~165 mm woofer", options=drivers),
                field("line", "In the line", "", "for a tweeter: 6.8 uF in series; 6 dB pad"),
            ]
        if kind == BOX:
            return [
                where,
                field("driver", "Driver", "~250 mm bass", options=drivers),
                field("volume", "Litres inside", "", "30 litres"),
                field("tuning", "Tuned to", "", "36 Hz, if vented"),
                field("filter", "Filter", BOX_FILTER, BOX_FILTER),
                field("source", "Driven by", LEFT, options=sources),
            ]
        if kind == FILTER:
            usual = FRONT_FILTER if boxed else SMALL_FILTER
            return [which, field("filter", "Filter", usual, usual)]
        if kind == MOVE:
            return [which, field("source", "Amplifier", FOUR, options=sources[1:])]
        return [where, field("line", "In the line", TREBLE_LINE, "6.8 uF in series; 6 dB pad")]

    def _first(self, kind, options):
        """Return the place that a kind of step is most likely about."""
        fits = {
            SEAL: lambda one: one.get("hole", 0) > 0,
            BOX: lambda one: "space" in one,
        }.get(kind, lambda one: True)
        codes = [code for _, code in options]
        fitting = (code for code in codes if all(fits(self.plan.openings[place]) for place in code.split("|")))
        return next(fitting, codes[0] if codes else "")

    def fill(self, typed):
        """Return the changes of the file, and what is said of them."""
        kind, changes = typed["kind"], []
        spots = [one for one in typed.get("where", typed.get("which", "")).split("|") if one]
        if self.name:
            stage, more = done_anew(self, typed), {}
            if kind:
                more, changes = self._stage(kind, spots, typed)
            stage = self._last(merged(stage, more), typed)
            return [*changes, ("stage", self.name, stage)], f"{self.name}: kept."
        stage, changes = self._stage(kind, spots, typed)
        name = " ".join(typed["name"].split()) or _called(kind, spots, typed)
        if name in self.plan.stages:
            raise ValueError(f"Name: there is a step {name} already. Call this one something else.")
        if kind in BOUGHT and not typed["cost"].strip():
            raise ValueError("Costs: how much is it? Write 0 if you have it already.")
        return [*changes, ("stage", name, self._last(stage, typed))], f"{name}: added."

    def _last(self, stage, typed):
        """Return a step with what every step has."""
        after = [typed["after"]] if typed["after"] else []
        if after or "after" in stage:
            rest = stage.get("after", [])[1:]
            stage["after"] = [*after, *(one for one in rest if one not in after)]
        text = typed["cost"].replace(",", "").strip() or "0"
        try:
            cost = float(text)
        except ValueError:
            raise ValueError(f"Costs: write a number, such as 95, got {text!r}") from None
        if cost < 0:
            raise ValueError(f"Costs: write 0 or more, got {text}")
        if cost or "cost" in stage:
            stage["cost"] = int(cost) if cost == int(cost) else cost
        if remark := typed["remark"].strip():
            stage["remark"] = remark
        else:
            stage.pop("remark", None)
        return stage

    def _stage(self, kind, spots, typed):
        """Return what stands in the file of a new step, and the other changes that it needs."""
        if not spots:
            raise ValueError("There is nothing yet to do it to: say first what is in a place, and what drives it.")
        if kind == SEAL:
            return {"set": {place: {"hole": "0 cm2"} for place in spots}}, []
        if kind == FILTER:
            return {"filter": {channel: [typed["filter"].strip()] for channel in spots}}, []
        if kind == MOVE:
            return {"move": dict.fromkeys(spots, typed["source"])}, self._part(typed["source"])
        if kind == LINE:
            return {"line": {place: several(typed["line"]) for place in spots}}, []
        changes = list(self._channels(spots))
        stage = {"put": {place: driver_of(typed["driver"]) for place in spots}}
        if kind == BOX:
            return stage | self._box(spots, typed), changes + self._part(typed["source"])
        fitted = several(typed["line"])
        return stage | ({"line": {place: fitted for place in spots}} if fitted else {}), changes

    def _box(self, spots, typed):
        box = {"volume": measured(typed["volume"], "litres"), "Ql": 7}
        if not typed["volume"].strip():
            raise ValueError("Litres inside: how many does the box hold? Such as 30 litres.")
        if typed["tuning"].strip():
            box["tuning"] = measured(typed["tuning"], "Hz")
        channels = [self.channel_of(place) or place for place in spots]
        found = {"box": dict.fromkeys(spots, box)}
        if typed["filter"].strip():
            found["filter"] = {channel: [typed["filter"].strip()] for channel in channels}
        if typed["source"] != LEFT:
            found["move"] = dict.fromkeys(channels, typed["source"])
        return found

    def _channels(self, places):
        """Yield a new channel, without a source, for each place that none feeds."""
        for place in places:
            if not self.channel_of(place):
                yield "channel", place, {"source": NOTHING, "feeds": [place]}

    def _part(self, source):
        """Return the usual amplifier as a part of the plan, where it is chosen and not there yet."""
        new = source == FOUR and FOUR not in self.library.sources
        return [("part", FOUR, {"amplifier": USUAL_AMPLIFIER})] if new else []

    def take_out(self):
        """Return the changes that take the step out, also of the orders."""
        orders = {name: [one for one in order if one != self.name] for name, order in self.plan.orders.items()}
        return [*([("orders", "", orders)] if orders else []), ("stage", self.name, None)]


def _called(kind, spots, typed):
    """Return a name for a step that has none."""
    where = listed([spot for spot in spots])
    if kind == SEAL:
        return f"seal {where}"
    if kind in (PUT, BOX):
        return f"{typed['driver'][1:]} in {'a box ' if kind == BOX else ''}{where}"
    if kind == FILTER:
        return f"filter on {where}"
    return f"amplifier for {where}" if kind == MOVE else f"{typed['line'].strip()} at {where}"


def usual_steps(plan):
    """Return the changes that add the usual steps to a plan: what they cost is ours, to be changed.

    Raises
    ------
    ValueError
        If none suits.
    """
    form = StepForm(plan, "")
    changes = [change for make in (_seal, _keep_bass_away, _amplify, _bass_box) for change in make(plan, form)]
    if not changes:
        raise ValueError("No usual step suits yet: choose a place first, and say what is in it.")
    return changes


def _seal(plan, _form):
    leaky = [place for place, known in plan.openings.items() if known.get("hole", 0) > 0 and place in plan.have]
    if leaky:
        yield "stage", "seal the doors", {"set": {place: {"hole": "0 cm2"} for place in leaky}, "cost": 25}


def _keep_bass_away(plan, _form):
    small = {
        name: [SMALL_FILTER]
        for name, channel in plan.channels.items()
        if (drivers := [plan.have[place] for place in fed(channel["feeds"]) if place in plan.have])
        and all(size_of(driver) <= SMALL for driver in drivers)
    }
    if small and len(small) < len(plan.channels):
        yield "stage", "keep bass from the small ones", {"filter": small}


def _amplify(plan, form):
    if plan.channels:
        yield from form._part(FOUR)
        yield "stage", "amplifier", {"move": dict.fromkeys(list(plan.channels)[:2], FOUR), "cost": 150}


def _bass_box(plan, form):
    free = next((place for place, known in plan.openings.items() if "space" in known and place not in plan.have), None)
    if free is None or not plan.channels:
        return
    yield from form._channels([free])
    channel, volume = form.channel_of(free) or free, SHARE * plan.openings[free]["space"] / litre
    yield (
        "stage",
        "bass box",
        {
            "after": ["amplifier"],
            "put": {free: driver_of("~250 mm bass")},
            "box": {free: {"volume": f"{volume:.0f} litres", "Ql": 7}},
            "move": {channel: FOUR},
            "filter": {channel: [BOX_FILTER]},
            "cost": 150,
        },
    )
