"""A level difference between two systems, shared out among their loudspeakers and their causes."""

from __future__ import annotations

import dataclasses
import warnings
from dataclasses import dataclass

import numpy as np

from ..parts.box import Door
from ..parts.system import Channel, System
from ..response import EFFICIENCY_REMARK, solve
from ..response.heard_together import level_of_sum
from . import shapley
from .mixtures import AROUND, CONE, OF_DRIVER, STROKE, Stage, drivers, join_boxes, mixture

FLOOR = -200.0  # dB re 20 uPa; stands for silence
COMES, GOES, CHANNEL, LISTENING, VOLTAGE = "added", "taken out", "channel", "listening place", "voltage"
OF_SPEAKER = (*(cause for cause in OF_DRIVER if cause != STROKE), *AROUND)


def of_systems(systems, frequency, voltages, distances, air):
    """Return the difference of level, the share of each cause, and those of area and mass of each cone. [dB]"""
    both = _Both(systems, distances, air, np.sqrt(voltages[0] * voltages[1]))
    names, switches = both.players()
    tree = _tree(switches)
    everyone, weighed = frozenset(switches), shapley.terms(tree)
    coalitions = list(shapley.coalitions(weighed) | {everyone})
    thrown = [frozenset().union(*(switches[player] for player in chosen)) for chosen in coalitions]
    values = dict(zip(coalitions, both.levels(thrown, frequency), strict=True))
    difference, parts, cone = values[everyone] - values[frozenset()], {}, {}
    for (union, cause), share in shapley.shares(weighed, values).items():
        name = f"{names[union]}: {'cone' if cause in CONE else cause}" if union != LISTENING else cause
        parts[name] = parts.get(name, 0.0) + share
        if cause in CONE:
            cone[f"{names[union]}: {cause}"] = share
    if voltages[0] != voltages[1]:  # at every frequency, and in every order, the same
        parts[VOLTAGE] = np.full(len(frequency), 20 * np.log10(voltages[1] / voltages[0]))
        difference = difference + parts[VOLTAGE]
    return difference, parts, cone


def _tree(players):
    """Return players (union, cause) as a tree: a union for each loudspeaker, and within it one for its cone."""
    unions = {}
    for union, cause in players:
        unions.setdefault(union, []).append((union, cause))
    tree = []
    for members in unions.values():
        cone = [player for player in members if player[1] in CONE]
        tree.append([*([cone] if cone else []), *(player for player in members if player not in cone)])
    return tree


@dataclass(frozen=True, slots=True)
class _Line:
    """A channel with names in place of its loudspeakers."""

    groups: tuple
    wiring: str
    filters: tuple
    source_resistance: float

    @property
    def names(self):
        """Of all its loudspeakers."""
        return tuple(name for group in self.groups for name in group)

    def of(self, speakers):
        """Return the channel with its loudspeakers, from a dict by name."""
        groups = tuple(tuple(speakers[name] for name in group) for group in self.groups)
        return Channel(
            loudspeakers=groups, wiring=self.wiring, filters=self.filters, source_resistance=self.source_resistance
        )

    def anonymous(self, speakers):
        """Return what it has in common with the line of the other side of the vehicle."""
        return self.of({name: _anonymous(speaker) for name, speaker in speakers.items()})


def _lines(system):
    """Return the channels of a system as lines; the filters are all theirs."""
    names, lines = iter(system.names), []
    for channel in system.wired:
        groups = tuple(tuple(next(names) for _ in group) for group in channel.groups)
        filters = (*channel.filters, *(f for speaker in channel.each for f in speaker.filters))
        lines.append(_Line(groups, channel.wiring, filters, channel.source_resistance))
    return lines


def _bare(speaker):
    """Return a loudspeaker without what its channel and its cabin say."""
    return dataclasses.replace(speaker, filters=(), cabin=None)


def _placed(speakers):
    """Return the loudspeakers of both systems, each where the other system says if its own does not."""
    return [
        {name: _at(speaker, other.get(name, speaker)) for name, speaker in own.items()}
        for own, other in (speakers, speakers[::-1])
    ]


def _at(speaker, twin):
    return speaker if speaker.position else dataclasses.replace(speaker, position=twin.position)


def _anonymous(speaker):
    """Return what a loudspeaker has in common with its twin on the other side of the vehicle."""
    if speaker is None:
        return None
    box = dataclasses.replace(speaker.box, hole_position=None) if isinstance(speaker.box, Door) else speaker.box
    return dataclasses.replace(speaker, name="", box=box, position=None, port_position=None, angle=0.0)


def _circles(lines):
    """Return the names of loudspeakers that share a channel in either system, circle by circle."""
    circles = []
    for names in (line.names for system in lines for line in system):
        touched = [circle for circle in circles if set(circle) & set(names)]
        circles = [circle for circle in circles if circle not in touched]
        circles.append(tuple(dict.fromkeys(name for circle in (*touched, names) for name in circle)))
    return circles


class _Both:
    """Two systems, loudspeaker by loudspeaker and channel by channel.

    A switch takes something from the second system: (name, cause) a cause of a loudspeaker, (circle, CHANNEL) the
    channels of all in a circle, LISTENING the ear and the cabin.
    """

    def __init__(self, systems, distances, air, voltage):
        self.air, self.voltage = air, voltage
        pairs = zip(systems, distances, strict=True)
        self.places = [(s.ear, s.loudspeakers[0].cabin, 1.0 if s.ear is not None else far) for s, far in pairs]
        self.speakers = _placed([dict(zip(s.names, map(_bare, s.loudspeakers), strict=True)) for s in systems])
        self.stages = [{name: Stage(s, air) for name, s in speakers.items()} for speakers in self.speakers]
        for name in self.stages[0].keys() & self.stages[1].keys():
            join_boxes(*(stages[name] for stages in self.stages))
        self.lines = [_lines(system) for system in systems]
        self.circles = _circles(self.lines)

    def players(self):
        """Return the name of each union, and the switches of each player (union, cause)."""
        members, switches = {}, {}
        for circle in self.circles:
            found = [(circle, self._names_of(circle), cause, thrown) for cause, thrown in self._of_circle(circle)]
            found += [(name, (name,), *cause) for name in circle for cause in self._of_speaker(name, circle)]
            for whose, names, cause, thrown in found:
                union = self._kind(whose, circle)
                members.setdefault(union, []).extend(names)
                switches.setdefault((union, cause), set()).update(thrown)
        if self.places[0] != self.places[1]:
            switches[LISTENING, LISTENING] = {LISTENING}
        return {union: self._called(dict.fromkeys(names)) for union, names in members.items()}, switches

    def _of_speaker(self, name, circle):
        """Yield the causes in which a loudspeaker of both systems differs, and the switches of each."""
        if not self._in_both(name):
            return
        first, second = (stages[name] for stages in self.stages)
        for cause in OF_SPEAKER:
            thrown = {(name, cause)} if first.of(cause) != second.of(cause) else set()
            if cause == "electrical" and circle == (name,) and self._line(0, circle) != self._line(1, circle):
                thrown.add((circle, CHANNEL))  # what it has to itself is its own
            if thrown and (cause != "polarity" or max(map(len, self.speakers)) > 1):
                yield cause, thrown

    def _of_circle(self, circle):
        """Yield the cause that all in a circle have in common, if their channels differ."""
        before, after = (self._line(which, circle) for which in (0, 1))
        if before == after or (len(circle) == 1 and self._in_both(*circle)):
            return
        first, second = (set(speakers) & set(circle) for speakers in self.speakers)
        yield COMES if first < second else GOES if second < first else CHANNEL, {(circle, CHANNEL)}

    def _line(self, which, circle):
        return [line for line in self.lines[which] if set(line.names) <= set(circle)]

    def _in_both(self, name):
        return all(name in speakers for speakers in self.speakers)

    def _names_of(self, circle):
        """Return whose the channels of a circle are: those who come or go, else all."""
        return tuple(name for name in circle if not self._in_both(name)) or circle

    def _kind(self, whose, circle):
        """Return what a loudspeaker or a circle has in common with its twin: all but name, place and angle."""
        alike = tuple(
            tuple(line.anonymous(speakers) for line in self._line(which, circle))
            for which, speakers in enumerate(self.speakers)
        )
        own = None if whose == circle else tuple(_anonymous(speakers.get(whose)) for speakers in self.speakers)
        return alike, own

    def _called(self, names):
        """Return one name for several loudspeakers."""
        own = {(self.speakers[0].get(name) or self.speakers[1][name]).name for name in names}
        return own.pop() if len(names) > 1 and len(own) == 1 and all(own) else " and ".join(names)

    def levels(self, coalitions, frequency):
        """Return the level of each mixture of the two systems, shape (n, nf). [dB re 20 uPa]"""
        pressure, powers = 0.0, 0.0
        for circle in self.circles:
            own = [frozenset(s for s in c if s == LISTENING or s[0] == circle or s[0] in circle) for c in coalitions]
            played = self._played(circle, list(dict.fromkeys(own)), frequency)
            pressure = pressure + np.array([played[some][0] for some in own])
            powers = powers + np.array([played[some][1] for some in own])
        limits = [np.inf if cabin is None else cabin.modal_limit for _, cabin, _ in self.places]
        limit = np.array([limits[LISTENING in chosen] for chosen in coalitions])
        return np.maximum(level_of_sum(pressure, powers, frequency, limit), FLOOR)

    def _played(self, circle, coalitions, frequency):
        """Return the pressure that a circle makes at the ear, and the sum of its squares, for each coalition."""
        alike = {}
        for some in coalitions:  # those that differ in numbers of the drivers only are solved as one family
            alike.setdefault(frozenset(s for s in some if s == LISTENING or s[1] not in OF_DRIVER), []).append(some)
        played, silent = {}, np.zeros(len(frequency))
        for outer, family in alike.items():
            pressures = self._pressures(circle, outer, family, frequency)
            sums = sum(pressures, silent), sum((abs(p) ** 2 for p in pressures), silent)
            rows = [np.broadcast_to(total, (len(family), len(frequency))) for total in sums]
            played |= {some: pair for some, *pair in zip(family, *rows, strict=True)}
        return played

    def _pressures(self, circle, outer, family, frequency):
        """Return the pressure of each loudspeaker of a circle at the ear, from the moment that it starts. [Pa]"""
        lines = self._line((circle, CHANNEL) in outer, circle)
        if not lines:
            return ()
        ear, cabin, distance = self.places[LISTENING in outer]
        mixed = {name: self._mixed(name, outer, family, cabin) for line in lines for name in line.names}
        system = System(channels=tuple(line.of(mixed) for line in lines), ear=ear)
        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", message=EFFICIENCY_REMARK)  # mixtures exist on paper only
            return solve(system, frequency, self.voltage, distance, self.air).pressures_from_the_start

    def _mixed(self, name, outer, family, cabin):
        """Return a loudspeaker with the causes that are chosen from the second system."""
        stages = [stages.get(name) or other[name] for stages, other in (self.stages, self.stages[::-1])]
        around = {s[1] for s in outer if s[0] == name}
        driver = drivers(stages, [{s[1] for s in some if s[0] == name} for some in family])
        return dataclasses.replace(mixture(stages, around, driver, self.air), cabin=cabin)
