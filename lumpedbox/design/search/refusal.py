"""Why a driver, or a kind of box, is out, and what would let it in."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

from ...parts.amplifier import lowest_load
from ...parts.driver import Driver
from .brief import BASS, Brief
from .candidates import way_out
from .limits import F3, LOAD, POWER, UNNOTICED, XMAX, ratios
from .words import why_not


@dataclass(frozen=True, slots=True, eq=False)
class Refusal:
    """Why a driver is out, and what would let it in.

    Attributes
    ----------
    name, kind : str
        The driver's name; "sealed", "vented" or "" for both.
    driver : Driver
    brief : Brief
    limit : str
        The limit that keeps it out: of several, the one that must give least.
    relaxed : dict
        Limit: the brief with that limit alone loosened as far as it takes, nearest first. If no single one will do,
        one entry loosens several.
    unsuitable : bool
        Whether the driver cannot do it in any box, so that none was tried.
    alone : bool
        Whether a single limit is enough.
    """

    name: str
    kind: str
    driver: Driver
    brief: Brief
    limit: str
    relaxed: dict
    unsuitable: bool = False
    alone: bool = True

    @property
    def why(self):
        """The reason, as a sentence."""
        return why_not(self)

    def __str__(self):
        return f"{self.name}{' in a ' + self.kind + ' box' if self.kind else ''} is out: {self.why}"


def unsuitable(name, driver, brief):
    """Return the `Refusal` of a driver for which no box at all will do, else None.

    Parameters
    ----------
    name : str
    driver : Driver
    brief : Brief
    """

    def refuse(limit, relaxed):
        return Refusal(name, "", driver, brief, limit.name, relaxed, unsuitable=True)

    if driver.fs > BASS:
        return refuse(F3, {})
    if driver.Re < lowest_load(brief.amplifier):
        return refuse(LOAD, {})
    if driver.xmax is None and brief.excursion is not None:
        return refuse(XMAX, {"excursion": replace(brief, excursion=None)})
    return None


def refused(name, kind, found):
    """Return which limit keeps a driver out of some kinds of box, and how far each limit must give.

    Parameters
    ----------
    name, kind : str
        The driver's; "sealed", "vented" or "" for both.
    found : sequence of (Candidates, Optimum)
        What was tried, and the box of each kind that exceeds the limits least.

    Returns
    -------
    Refusal
    """
    boxes = found[0][0].boxes
    relaxed = {limit.name: way.brief for limit, way in _ways_out(candidates for candidates, _ in found)}
    if relaxed:
        return Refusal(name, kind, boxes.driver, boxes.brief, next(iter(relaxed)), relaxed)
    limit, loosened = _all_loosened(*min(found, key=lambda entry: entry[1].merit))
    relaxed = {} if loosened is None else {limit.name: loosened}
    return Refusal(name, kind, boxes.driver, boxes.brief, limit.name, relaxed, alone=False)


class Way(NamedTuple):
    """A way out: how far a limit must give, as a ratio above 1, and the brief with that limit."""

    ratio: float
    brief: Brief


def _ways_out(kinds):
    """Return pairs of a limit and the nearest `Way` that it opens alone, the nearest first."""
    nearest = {}
    for candidates in kinds:
        for limit in candidates.loosenable:
            way = _way_out(candidates, limit)
            if way and (limit not in nearest or way.ratio < nearest[limit].ratio):
                nearest[limit] = way
    return sorted(nearest.items(), key=lambda item: item[1].ratio)


def _way_out(candidates, limit):
    """Return the `Way` that a limit opens alone, None if it opens none."""
    found, brief = candidates.least(limit), candidates.boxes.brief
    if not found.feasible:
        return None
    wanted = limit.wanted(way_out(limit).aimed(found.values), brief)
    ratio = limit.ratio(wanted, limit.allowed(brief))
    looser = brief.with_limits({limit.name: wanted}) if ratio > 1 else None
    return looser and Way(ratio, looser)


def _all_loosened(candidates, found):
    """Return the limit that a box exceeds most, and the brief that loosens all it exceeds, None if there is none."""
    brief, values = candidates.boxes.brief, found.values
    passed = {limit: ratio for limit, ratio in ratios(values, brief).items() if ratio > UNNOTICED}
    gives = {limit: POWER if limit in POWER.relaxed_with else limit for limit in passed}
    wanted = {limit.name: limit.wanted(values[limit.value or limit.least], brief) for limit in gives.values()}
    return gives[max(passed, key=passed.get)], brief.with_limits(wanted)
