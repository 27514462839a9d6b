"""A plan from its file: everything that is wrong in it is told at once."""

from __future__ import annotations

import dataclasses
import itertools
import math
from functools import partial
from graphlib import CycleError
from pathlib import Path

from ..arguments import PATH, Row, takes
from ..parts.room import check_apart
from ..quantity import Quantity, shown
from ..tables.channels import NOTHING
from ..tables.entries import CLOSED, CLOSED_BOOT, KINDS, check_places, near, value_of
from ..tables.feeds import fed
from ..tables.my_parts import FILE
from ..tables.text_file import tables_of, text_of
from . import entries
from .described import LEVELS, Item, Plan, Stage, needed_by
from .library import Library
from .lines import line_after

CABIN = {key for key in KINDS["cabin"] if key not in ("law", "table", "reference_distance")}
TABLES = ("plan", "cabin", "opening", "channel", "have", "part", "stage", "orders")
HEADINGS = ("opening", "channel", "part", "stage")  # of which there are several, each with its name
CHANGES = {  # what a stage changes: where, and how what stands there is read
    "put": "opening",
    "set": "opening",
    "box": "opening",
    "line": "opening",
    "filter": "channel",
    "move": "channel",
    "wiring": "channel",
}
LEVEL = Quantity(unit="dB", meaning="by how much a channel is turned up", low=0.0, high=40.0)
LEVELS_RULE = Row((LEVEL, LEVEL), "lowest and highest level of a channel in dB")


class Unreadable(ValueError):
    """A plan that cannot be read.

    Attributes
    ----------
    problems : tuple of str
        Each names the file, the table, the key, the value and the likely slip.
    """

    def __init__(self, problems):
        super().__init__("\n".join(problems))
        self.problems = tuple(problems)


@takes(path=PATH, my_parts=PATH, levels=LEVELS_RULE)
def read_plan(path, my_parts=None, levels=LEVELS):
    """Read a plan of stages.

    Parameters
    ----------
    path : str or path-like
    my_parts : str or path-like, optional
        The file of one's own parts; `my_parts.toml` beside the plan by default.
    levels : (float, float)
        Lowest and highest level that an amplifier's channel may be set to, against the head unit's. [dB]

    Returns
    -------
    Plan

    Raises
    ------
    ValueError
        If it cannot be read. The message has a line for each thing that is wrong: file, table, key, value and the
        likely slip.

    Notes
    -----
    A plan is a TOML file. Values carry their units; places are x, y, z from the front, left, floor corner. A driver, an
    amplifier or a cabin is a name among one's own parts, the shipped ones and those of the plan, or its numbers.

    * plan: name, currency, and the voltage at every channel for the levels of a table. What a meter read at the
      battery, and the feed_drop from there to the amplifier under load.
    * cabin: use (its name) or its sizes, and ear.
    * opening, with its name: place, cutout, depth, volume behind it and its longest_side, or baffle = "infinite".
      Hole, and of it hole_place and hole_Q. Angle, polarity, space for a box, box, line.
    * channel, with its name: source ("nothing" for none), feeds, wiring, wire, filter. An inner list of openings is
      wired the other way.
    * have: opening = driver.
    * part, with its name: cost of all together, count, driver, amplifier, capacitor or pad. Power or voltage is what
      it is rated for.
    * stage, with its name: uses (parts), after (stages), cost beside the parts. By opening: put (a driver, or
      "nothing"), set (what is known of it), box, line. By channel: filter (added to what is there), move (a source),
      wiring. Of all that an amplifier gets its power by: feed, with voltage, vehicle, area, length, metal,
      current_rating, source, return_resistance, draws, and branches, which are alike.
    * orders: name = stages in order, as proposed.

    A filter reads "high-pass 80 Hz, 12 dB/octave", "low-pass 80 Hz, 24 dB/octave, Linkwitz-Riley", "delay 2 ms",
    "reversed", "peak -6 dB at 60 Hz, Q 2" or "shelf 3 dB below 100 Hz". "level 3 dB" fixes the level of a channel. What
    a source does, read with tones: "measured -6 dB at 50 Hz, -3 dB at 80 Hz, 0 dB at 315 Hz". A line reads "6.8 uF in
    series", "6 dB pad", "1.5 ohm in series" or "0.3 mH across". Every table may have a remark.

    Examples
    --------
    >>> from lumpedbox.plan import figures, read_plan
    >>> from lumpedbox.tables.shipped import data_folder
    >>> plan = read_plan(data_folder() / "upgrade_plan.toml")
    >>> print(f"{figures(plan.after('seal the step wells')).clean:.0f} dB for {plan.cost_of(plan.stages):.0f} credits")
    95 dB for 289 credits
    """
    path = Path(path)
    if levels[0] > levels[1]:
        raise ValueError(f"read_plan.levels must rise, got {levels[0]:g} and {levels[1]:g} dB")
    library = Library(path.with_name(FILE) if my_parts is None else my_parts)
    return plan_of(text_of(path), path.name, library, path=path, levels=levels)


def plan_of(text, where, library, *, path=None, levels=LEVELS):
    """Return the plan of a text; `where` names the file in an error."""
    reader = _Reader(tables_of(text, where), where, library)
    described = reader.all()
    if reader.problems:
        raise Unreadable(reader.problems)
    plan = Plan(**described, levels=levels, path=path, my_parts=library.path, text=text)
    if problems := tuple(f"{where}, {problem}" for problem in impossible(plan)):
        raise Unreadable(problems)
    return plan


def impossible(plan):
    """Yield what cannot be built after any stage, or any two: places that do not go together, once each."""
    told, checked, before = {}, set(), needed_by(plan.stages)
    some = itertools.chain.from_iterable(itertools.combinations(plan.stages, count) for count in range(3))
    for stages, name in itertools.product(some, plan.channels):
        done = plan.touching[name] & frozenset(stages).union(*(before[stage] for stage in stages))
        if (name, done) in checked:
            continue
        checked.add((name, done))
        try:
            check_ear(plan, line_after(plan, name, done))
        except ValueError as error:
            after = f", after {' and '.join(map(repr, stages))}" if stages else ""
            told.setdefault(str(error), f'[channel."{name}"]{after}: {error}')
    yield from told.values()


def check_ear(plan, line):
    """Refuse an opening that reaches into the ear, or whose hole does."""
    for speaker in line.channel.each if plan.heard_in and line.channel else ():
        written = "hole_place" in line.openings[speaker.name]
        hole = f"the hole of {speaker.name}{'' if written else ', taken as 0.35 m from the cone,'}"
        for opening, who in (("cone", speaker.name), ("hole", hole)):
            if area := speaker.area_of(opening):
                check_apart(plan.heard_in, who, speaker.place_of(opening), plan.ear, math.sqrt(area))


class _Reader:
    """Reads one table after another, and collects what is wrong."""

    def __init__(self, tables, where, library):
        self.tables, self.where, self.library, self.problems = tables, where, library, []
        for table in tables:
            if table not in TABLES:
                self.wrong("", f"[{shown(table)[1:-1]}] is not known{near(table, TABLES)}")
        self.named = {kind: self.headings(kind) for kind in HEADINGS}

    def wrong(self, table, problem):
        self.problems.append(f"{self.where}{f', {table}' if table else ''}: {problem}")

    def table(self, name):
        """Return a table of the file; an empty one if it is not there."""
        found = self.tables.get(name, {})
        if isinstance(found, dict):
            return found
        self.wrong("", f"{name} = {shown(found)}: write a heading, [{name}], and its lines below")
        return {}

    def headings(self, kind):
        """Return name: table, of all headings of a kind."""
        found = {}
        for name, table in self.table(kind).items():
            if not isinstance(table, dict):
                self.wrong(f"[{kind}]", f'{name} = {shown(table)}: write a heading, [{kind}."its name"]')
            elif not name.strip():
                self.wrong(f'[{kind}."{name}"]', "give it a name")
            elif (tidy := " ".join(name.split())) in found:
                self.wrong(f'[{kind}."{name}"]', "this name stands there twice: rename one of them")
            else:
                found[tidy] = table
        return found

    def all(self):
        """Return all that a plan holds, as keywords."""
        items = {name: self.item(name, table) for name, table in self.named["part"].items()}
        self.library = self.library.with_parts(items)
        openings = {n: self.values(f'[opening."{n}"]', t, entries.OPENING) for n, t in self.named["opening"].items()}
        stages = {name: self.stage(name, table) for name, table in self.named["stage"].items()}
        found = {
            **self.values("[plan]", self.table("plan"), entries.PLAN),
            "cabin": self.cabin(self.table("cabin"), openings, stages),
            "openings": openings,
            "channels": self.channels(),
            "have": {place: driver for place, driver in self.have() if driver is not None},
            "items": items,
            "stages": stages,
        }
        found.pop("remark", None)
        ancestors = self.in_order(stages)
        return found | {"orders": self.orders(ancestors)}

    def values(self, table, typed, readers):
        """Return the values of a table that can be read, each by the reader of its key."""
        found = {}
        for key, value in typed.items():
            if key not in readers:
                self.wrong(table, f"{key} is not known{near(key, tuple(readers))}")
                continue
            try:
                found[key] = readers[key](value)
            except (ValueError, TypeError) as error:
                self.wrong(table, f"{key} = {shown(value)}: {error}")
        return found

    def cabin(self, typed, openings, stages):
        """Return the cabin, with its resonances: one of a name, with what else is written of it."""
        if not typed:
            return None
        own = {key: value for key, value in typed.items() if key not in ("use", "remark")}
        known = self.values("[cabin]", own, {key: _of_cabin(key) for key in CABIN})
        start = self.values("[cabin]", {"use": typed["use"]}, {"use": self.library.cabin}) if "use" in typed else {}
        if "use" in typed and not start:
            return None
        try:
            return self._cabin(start.get("use"), known, openings, stages)
        except ValueError as error:
            self.wrong("[cabin]", str(error))

    def _cabin(self, start, known, openings, stages):
        places = known.get("places", {}) | {
            n: opening["place"] for n, opening in openings.items() if "place" in opening
        }
        if start is None:
            made = self.library.made_cabin(known | {"places": places})
        elif known.pop("boot", None) == CLOSED:
            raise ValueError(CLOSED_BOOT)
        else:
            made = dataclasses.replace(start, **known)
        sizes = {side: getattr(made, side) for side in ("length", "width", "height")}
        check_places(sizes | known | {"places": places | _later_places(openings, stages)})
        return made

    def channels(self):
        """Return name: values of each channel; an opening is fed by one of them."""
        readers = entries.CHANNEL | {"source": self.library.source}
        found, fed_by = {}, {}
        for name, typed in self.named["channel"].items():
            table = f'[channel."{name}"]'
            found[name] = {"feeds": (), "source": None} | self.values(table, typed, readers)
            for opening in fed(found[name]["feeds"]):
                self.refer(table, "feeds", "opening", opening)
                if opening in fed_by:
                    self.wrong(table, f'feeds = {opening!r}: [channel."{fed_by[opening]}"] feeds it already')
                fed_by.setdefault(opening, name)
        return found

    def refer(self, table, key, kind, name):
        """Check that something of a kind has a name; return whether it has."""
        known = tuple(self.named[kind])
        if name in known:
            return True
        said = near(name, known) if known else f': there is no [{kind}."..."] at all'
        self.wrong(table, f"{key} = {shown(name)}: no {kind} of that name is in this plan{said}")
        return False

    def have(self):
        """Yield what is found: opening, driver."""
        for place, typed in self.once("[have]", self.table("have")):
            self.refer("[have]", place, "opening", place)
            yield place, self.values("[have]", {place: typed}, {place: self.library.driver}).get(place)

    def once(self, table, typed):
        """Yield the names of a table's entries without needless spaces, and what stands there; each name once."""
        found = set()
        for written, value in typed.items():
            if (name := " ".join(written.split())) in found:
                self.wrong(table, f"{shown(written)}: this name stands there twice: leave one of them out")
            else:
                found.add(name)
                yield name, value

    def item(self, name, typed):
        """Return what may be bought."""
        readers = entries.PART | {"driver": self.library.driver, "amplifier": self.library.source}
        return Item(name=name, **self.values(f'[part."{name}"]', typed, readers))

    def stage(self, name, typed):
        """Return what a stage does."""
        table, changes = f'[stage."{name}"]', {}
        plain = {key: value for key, value in typed.items() if key not in CHANGES}
        found = self.values(table, plain, entries.STAGE | dict.fromkeys(CHANGES))
        for key, kind in (("uses", "part"), ("after", "stage")):
            found[key] = tuple(other for other in found.get(key, ()) if self.refer(table, key, kind, other))
        for key, kind in CHANGES.items():
            changes[key] = self.changes(table, key, kind, typed.get(key, {}))
        return Stage(name=name, **found, **changes)

    def changes(self, table, key, kind, typed):
        """Return name: value, of what a stage changes at openings or channels."""
        if not isinstance(typed, dict):
            example = "opening" if kind == "opening" else "channel"
            self.wrong(table, f'{key} = {shown(typed)}: write the {example} too, as in {key} = {{ "its name" = ... }}')
            return {}
        found = {}
        for name, value in self.once(f"{table}, {key}", typed):
            if self.refer(table, key, kind, name):
                read = self.change(f"{table}, {key}", name, value, key)
                found |= {name: read[name]} if name in read else {}
        return found

    def change(self, table, name, value, key):
        """Return {name: value} of one change, or nothing if it cannot be read."""
        if key == "set":
            if not isinstance(value, dict):
                self.wrong(table, f'{name} = {shown(value)}: write what is set, as in "{name}".hole = "0 cm2"')
                return {}
            return {name: self.values(f'{table}."{name}"', value, entries.SET)}
        reader = {
            "put": self.driver_or_none,
            "box": entries.OPENING["box"],
            "line": entries.fitted,
            "filter": entries.filters,
            "move": self.library.source,
            "wiring": entries.CHANNEL["wiring"],
        }[key]
        return self.values(table, {name: value}, {name: reader})

    def driver_or_none(self, typed):
        """Return a driver; None of "nothing", which takes one out."""
        return None if typed == NOTHING else self.library.driver(typed)

    def in_order(self, stages):
        """Return name: all stages that come before it; check that the state does not depend on their order."""
        try:
            before = needed_by(stages)
        except CycleError as error:
            _, circle = error.args
            self.wrong(f'[stage."{circle[0]}"]', f"after goes in a circle: {', '.join(map(repr, circle))}")
            return {}
        for one, other in itertools.combinations(stages.values(), 2):
            if one.name not in before[other.name] and other.name not in before[one.name]:
                for key, place, what in sorted(one.replaced & other.replaced):
                    self.wrong(
                        f'[stage."{other.name}"]',
                        f'{key} {place!r}{what and f".{what}"}: [stage."{one.name}"] changes that too, and either '
                        f'could come first; write after = ["{one.name}"] here, or the other way round',
                    )
        return before

    def orders(self, before):
        """Return name: tuple of stages, of the orders that are proposed."""
        found = {}
        for name, typed in self.table("orders").items():
            read = self.values("[orders]", {name: typed}, {name: entries.names}).get(name, ())
            found[name] = tuple(stage for stage in read if self.refer("[orders]", name, "stage", stage))
            for place, stage in enumerate(found[name]):
                if late := [repr(other) for other in before.get(stage, ()) if other not in found[name][:place]]:
                    self.wrong("[orders]", f"{name}: {stage!r} comes after {', '.join(sorted(late))}, which is missing")
        return found


def _later_places(openings, stages):
    """Return the places of holes, and those that stages set, by what they are called in an error. [m]"""
    holes = {f"{name}, hole_place": known["hole_place"] for name, known in openings.items() if "hole_place" in known}
    return holes | {
        f"{stage.name}, set, {name}, {key}": values[key]
        for stage in stages.values()
        for name, values in stage.set.items()
        for key in values.keys() & {"place", "hole_place"}
    }


def _of_cabin(key):
    return partial(value_of, "cabin", key, KINDS["cabin"][key])
