"""What is open in a plan: each question with its answers, how likely they are, and the plan that each would make."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field

from ...parts.amplifier import HeadUnit
from ...parts.box import Door
from ...parts.filters import Shelf
from ...tables.feeds import NOT_KNOWN, fed
from ...units import cm2, litre
from .room import KEEP
from .wires import AS_MARKED, REVERSED

MINUTES = 10.0  # that a check takes
CUT = Shelf(level=-12.0, frequency=80.0, side="below")  # what a source may do to bass as it is turned up: ours
PANEL, HOLE = {"baffle": "infinite"}, {"volume": 30 * litre, "hole": 300 * cm2}  # behind a loudspeaker: ours
OFF = 0.1  # share that a length may be wrong
SHALLOW, DEEP = 0.03, 0.2  # m, where a depth is not known
PATH = next(field.default for field in dataclasses.fields(Door) if field.name == "path")  # m, from cone to hole
# How likely each answer is: ours, no source.
EVEN, SELDOM, AROUND = (0.5, 0.5), (0.9, 0.1), (0.25, 0.5, 0.25)


@dataclass(frozen=True, slots=True, eq=False)
class World:
    """One answer to a question.

    Attributes
    ----------
    words : str
    weight : float
        How likely it is; only its share among the answers counts.
    plan : Plan
        As it would be then.
    """

    words: str
    weight: float
    plan: object = field(repr=False)


@dataclass(frozen=True, slots=True, eq=False)
class Question:
    """Something that is not known yet, and that a check tells.

    Attributes
    ----------
    check : int
        Number of the check, 1 to 12.
    words, about : str
        What is asked, and the opening, channel or source that it is about, if any.
    worlds : tuple of World
        Its answers.
    minutes : float
        That the check takes.
    """

    check: int
    words: str
    worlds: tuple
    about: str = ""
    minutes: float = MINUTES

    def __post_init__(self):
        if not self.worlds or not self.minutes > 0 or any(not world.weight >= 0 for world in self.worlds):
            raise ValueError(f"Question.worlds must be answers of weight 0 or more, and minutes above 0 ({self.words})")


def open_questions(plan, answered=()):
    """Return the questions of a plan that are open, as a list of `Question`.

    Parameters
    ----------
    plan : Plan
    answered : set of int
        Numbers of checks that were done, whatever the plan says.

    Notes
    -----
    What the checks 3, 6, 11 and 12 tell changes no level that can be computed: they are no questions here.
    """
    found = [one for ask in (_wirings, _polarities, _filters, _volts, _depths, _spaces, _behind) for one in ask(plan)]
    return [one for one in (*found, *_cabin(plan)) if one.check not in answered]


def _question(check, what, about, answers, weights):
    worlds = (World(said, weight, plan) for (said, plan), weight in zip(answers.items(), weights, strict=True))
    return Question(check, f"{what}: {about}" if about else what, tuple(worlds), about)


def _with(plan, table, name, changes):
    """Return a plan of which one opening or channel is known otherwise."""
    known = getattr(plan, table)
    return dataclasses.replace(plan, **{table: {**known, name: known[name] | changes}})


def _wirings(plan):
    for name, said in plan.channels.items():
        alone = len(fed(said["feeds"])) < 2
        if alone or said.get("wiring", NOT_KNOWN) != NOT_KNOWN or any(isinstance(one, tuple) for one in said["feeds"]):
            continue
        answers = {f"in {how}": _with(plan, "channels", name, {"wiring": how}) for how in ("parallel", "series")}
        yield _question(1, "series or parallel", name, answers, EVEN)


def _polarities(plan):
    for place in plan.have:
        if "polarity" not in plan.openings[place]:
            answers = {AS_MARKED: plan, REVERSED: _with(plan, "openings", place, {"polarity": REVERSED})}
            yield _question(2, "polarity", place, answers, SELDOM)


def _head_units(plan):
    """Return each head unit that drives something: the names of its channels."""
    found = {}
    for name, said in plan.channels.items():
        if isinstance(said["source"], HeadUnit):
            found.setdefault(said["source"], []).append(name)
    return found


def _changed(plan, names, change):
    channels = {name: said | change(said) if name in names else said for name, said in plan.channels.items()}
    return dataclasses.replace(plan, channels=channels)


def _filters(plan):
    for source, names in _head_units(plan).items():
        if not any("filter" in plan.channels[name] for name in names):
            cut = _changed(plan, names, lambda said: {"filter": (*said.get("filter", ()), CUT)})
            yield _question(4, "bass cut", source.name, {"none": plan, "cut": cut}, EVEN)


def _volts(plan):
    for source, names in _head_units(plan).items():
        answers = {}
        for words, times in (("weaker", 0.8), ("as written", 1.0), ("stronger", 1.25)):
            other = dataclasses.replace(source, voltage=source.voltage * times)
            answers[words] = plan if times == 1.0 else _changed(plan, names, lambda _, other=other: {"source": other})
        yield _question(5, "volts before clipping", source.name, answers, AROUND)


def _depths(plan):
    """Yield the openings where less is left behind a driver than the error, or where the depth is not known."""
    for place, known in plan.openings.items():
        needs = [step.put[place].depth for step in plan.stages.values() if step.put.get(place) is not None]
        needs = [depth for depth in needs if depth is not None]
        if not needs or "box" in known or any(place in step.box for step in plan.stages.values()):
            continue
        depth = known.get("depth")
        if depth is None:
            low, high = SHALLOW, DEEP
        elif any(abs(depth - need) < KEEP for need in needs):
            low, high = max(depth - KEEP, 0.0), depth + KEEP
        else:
            continue
        answers = {"less": low, "more": high}
        answers = {words: _with(plan, "openings", place, {"depth": d}) for words, d in answers.items()}
        yield _question(7, "depth", place, answers, EVEN)


def _spaces(plan):
    for place, known in plan.openings.items():
        if "space" in known and any(place in step.box for step in plan.stages.values()):
            less = _with(plan, "openings", place, {"space": known["space"] * (1 - OFF)})
            yield _question(8, "litres", place, {"as written": plan, "less": less}, EVEN)


def _behind(plan):
    """Yield the openings of which it is not known what the cone has behind it."""
    for place in plan.have:
        known = plan.openings[place]
        if known.keys() & {"box", "baffle", "hole"}:
            continue
        closed = {"hole": 0.0} if "volume" in known else PANEL
        leaky = {"hole": HOLE["hole"]} if "volume" in known else HOLE
        answers = {words: _with(plan, "openings", place, d) for words, d in (("closed", closed), ("a hole", leaky))}
        yield _question(10, "leak", place, answers, EVEN)


def _cabin(plan):
    if plan.heard_in is not None:
        answers = {f"{times:.0%}": _scaled(plan, times) for times in (1 - OFF, 1.0, 1 + OFF)}
        yield _question(9, "size of the cabin", "", answers, AROUND)


def _scaled(plan, times):
    """Return a plan all of whose lengths in the cabin are wrong by a factor."""
    if times == 1.0:
        return plan

    def scaled(place):
        return tuple(times * length for length in place)

    cabin = plan.cabin
    sizes = {side: times * getattr(cabin, side) for side in ("length", "width", "height")}
    places = tuple((name, scaled(place)) for name, place in cabin.places)
    cabin = dataclasses.replace(cabin, ear=scaled(cabin.ear), places=places, **sizes)
    openings = {
        name: known | {key: scaled(place) for key, place in _places(known).items()}
        for name, known in plan.openings.items()
    }
    return dataclasses.replace(plan, cabin=cabin, openings=openings)


def _places(known):
    """Return where an opening is, and its hole: on the path below it where that is not told."""
    places = {key: known[key] for key in ("place", "hole_place") if key in known}
    if "hole" in known and "hole_place" not in known and "place" in known:
        x, y, z = known["place"]
        places["hole_place"] = x, y, max(z - PATH, 0.0)
    return places
