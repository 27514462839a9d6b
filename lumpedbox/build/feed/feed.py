"""A feed from the battery: what flows, what is lost on the way, and a fuse for every cable."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from ...arguments import one, takes
from ...errors import Refused
from ...quantity import Holds, OneOf, Part, Text, part, ruled
from . import words
from .cable import USUAL_HOTTEST, Cable
from .draw import AMPLIFIER, Draw
from .fuses import CABLE, MAKER, RATINGS, STANDARD, fuse_between

UNKNOWN, MILD, HIGH_VOLTAGE = "unknown", "mild hybrid", "high voltage"
VEHICLES = (UNKNOWN, "engine", "start-stop", MILD, HIGH_VOLTAGE)
LOW_SIDE = 16.0  # V, the most that the 12 V side of a mild hybrid has: common practice, no source
BATTERY, TAP = "battery", "accessory tap"
TOUCHABLE = 60.0  # V, direct: where extra-low voltage ends (IEC 61140; SAE J1127's range, from memory)
QUALIFIED = "high-voltage vehicles are wired by their maker or a qualified person only"
SURE = 2.0  # times its rating, from where on a fuse blows within seconds (ISO 8820-3, from memory)
MUCH = 0.05  # of the battery's volts, from where on a loss is much: common practice, no source
BLADE = 32.0  # V, for which common blade fuses are made (ISO 8820-3, from memory)
LIKELY = 0.95  # of what an amplifier takes; none gives out more (ours)


class _SystemVoltage:
    """The volts between the poles of the battery as they are, measured."""

    number = one("V", "system voltage, measured", 5.0, 2e3)

    def accept(self, owner, name, value):
        """Return them as a float. [V]"""
        if value is None:
            raise Refused(owner, name, "is missing: measure it first, because 27.6 V is not 12, nor is 48")
        volts = self.number.accept(owner, name, value)
        if volts > TOUCHABLE:
            raise Refused(owner, name, f"must be at most {TOUCHABLE:g} V, got {volts:g} V", f": {QUALIFIED}")
        return volts


SYSTEM_VOLTAGE = _SystemVoltage()


class _Branches:
    """Feeds that leave from the end of another."""

    def accept(self, owner, name, value):
        """Return them as a tuple."""
        return Holds((Feed,), several=True).accept(owner, name, value)


@takes(owner=Text(), vehicle=OneOf(VEHICLES), voltage=one("V", "system voltage, measured", 5.0, 2e3))
def check_vehicle(owner, vehicle, voltage):
    """Refuse a vehicle, with its voltage [V], that only its maker or a qualified person may wire.

    Parameters
    ----------
    owner : str
        What the refusal begins with.
    vehicle : str
        As `Feed.vehicle`.
    voltage : float
        [V]

    Raises
    ------
    ValueError
        For a high-voltage vehicle, or the 48 V of a mild hybrid.
    """
    if vehicle == HIGH_VOLTAGE:
        raise Refused(owner, "vehicle", f"is {HIGH_VOLTAGE!r}, and no wire or fuse is told for it", f": {QUALIFIED}")
    if vehicle == MILD and voltage > LOW_SIDE:
        problem = f"is {MILD!r}, and only its 12 V side may be used, got {voltage:g} V"
        raise Refused(owner, "vehicle", problem, ": the rest is for its maker")


@part
class Feed(Part):
    """A cable from the battery, or from the end of another feed, with what it supplies at its end.

    Every cable has a fuse of its own, where it begins. Currents are those of steady sines at the feed's voltage.

    Parameters
    ----------
    voltage : float
        Between the poles of the battery, as measured; of a branch, that of the whole system. [V]
    cable : Cable
    draws : tuple of Draw
        What is connected at the cable's end, without a fuse between.
    branches : tuple of Feed
        Cables that go on from there.
    return_resistance : float, optional
        From there back to the battery (of a branch, back to where it begins), as measured. If None, it is not known.
        [ohm]
    rating_of_fuses : tuple of float
        What is sold, in rising order; common practice, no source. [A]
    vehicle : {"unknown", "engine", "start-stop", "mild hybrid", "high voltage"}
    taken_from : {"battery", "accessory tap"}
    name : str

    Examples
    --------
    >>> from lumpedbox.units import mm2
    >>> cable = Cable(area=25 * mm2, length=5, current_rating=110, source="the cable's data sheet")
    >>> feed = Feed(voltage=13.8, cable=cable, draws=Draw(power=550, efficiency=0.65))
    >>> print(f"{feed.current:.1f} A lose {feed.drop:.3f} V; fuse {feed.fuse:g} A")
    61.3 A lose 0.239 V; fuse 80 A
    """

    voltage: float = ruled(SYSTEM_VOLTAGE, None)
    cable: Cable = ruled(Holds((Cable,)))
    draws: tuple = ruled(Holds((Draw,), several=True), ())
    branches: tuple = ruled(_Branches(), ())
    return_resistance: float = ruled(one("ohm", "way back to the battery, measured", 0.0, 10.0, optional=True), None)
    rating_of_fuses: tuple = ruled(RATINGS, STANDARD)
    vehicle: str = ruled(OneOf(VEHICLES), UNKNOWN)
    taken_from: str = ruled(OneOf((BATTERY, TAP)), BATTERY)
    name: str = ruled(Text(), "")

    def _check_together(self):
        check_vehicle("Feed", self.vehicle, self.voltage)
        if self.taken_from == TAP:
            why = "must not be an accessory tap: it switches, it does not supply, and its own fuse's limit stands"
            raise Refused("Feed", "taken_from", why, ". Run a fused cable from the battery")
        for draw in self.draws:
            draw.check_voltage("Feed", self.voltage)
        for i, branch in enumerate(self.branches):
            if branch.voltage != self.voltage:
                problem = f"must be {self.voltage:g} V, that of the whole system, got {branch.voltage:g} V"
                raise Refused("Feed", f"branches[{i}].voltage", problem)
        for place in self.places:
            if place.drop >= self.voltage:
                problem = (
                    f"cannot carry {place.feed.current:.3g} A: on the way there all of {self.voltage:g} V are lost"
                )
                raise Refused(
                    place.where,
                    "cable",
                    problem,
                    ". Take thicker or shorter wire, check return_resistance, or draw less",
                )

    @property
    def current(self):
        r"""Current in the cable: of all that it supplies, branches included. [A]

        .. math:: I = \sum_d P_d / (\eta_d V) + \sum_b I_b
        """
        drawn = sum(draw.current(self.voltage) for draw in self.draws)
        return drawn + sum(branch.current for branch in self.branches)

    @property
    def drop(self):
        r"""Volts lost in the cable, and on the way back where that was measured. [V]

        .. math:: \Delta V = I (R + R_{back})
        """
        return self.current * (self.cable.resistance + (self.return_resistance or 0.0))

    @property
    def voltage_at_load(self):
        r"""Volts that arrive at the cable's end. [V]

        .. math:: V - I (R + R_{back})

        Raises
        ------
        ValueError
            If the way back was not measured: nothing tells what is lost there.
        """
        return self.places[0].voltage

    @property
    def fuse(self):
        """Fuse where the cable begins; every branch must have one too. [A]

        Raises
        ------
        ValueError
            If none fits, here or in a branch, or if a cable's rating is not known. It says which bound binds.
        """
        first, *_ = (place.fuse for place in self.places)
        return first

    @property
    def places(self):
        """The end of this cable, then those of all its branches: parts of the feed as they follow each other.

        Each `Place` tells its volts [V] and its fuse [A].
        """
        return tuple(_places(self, Place("Feed", self, self.voltage, 0.0, 0.0, True)))

    @property
    def amplifiers(self):
        """All amplifiers on it, those of branches included: parts."""
        here = tuple(draw for draw in self.draws if draw.kind == AMPLIFIER)
        return here + tuple(draw for branch in self.branches for draw in branch.amplifiers)

    @property
    def remarks(self):
        """What must be found out, and where care is needed: sentences."""
        found = [words.DEFER, words.FUSE_AT_THE_BATTERY, words.GROMMET, *_of_cables(self), *_of_volts(self)]
        found += [*_of_amplifiers(self), *(place.slow for place in self.places if place.slow)]
        if self.voltage > BLADE:
            found.append(words.OVER_BLADE)
        if self.voltage <= LOW_SIDE:
            found.append(words.IN_SERIES)
        if self.branches:
            found.append(words.FUSE_AT_THE_SPLIT)
        if any(place.shared for place in self.places):
            found.append(words.SEVERAL)
        if self.vehicle in words.BY_VEHICLE:
            found.append(words.BY_VEHICLE[self.vehicle])
        return (*found, words.NOT_BY_MUSIC)


@dataclass(frozen=True, slots=True)
class Place:
    """The end of one cable of a feed.

    Attributes
    ----------
    where : str
        Its address, as errors tell it: "Feed", then the branch.
    feed : Feed
        The cable with all that follows.
    source : float
        Voltage of the battery. [V]
    drop : float
        Volts lost from the battery to here, and back where that was measured. [V]
    resistance : float
        Of that way. [ohm]
    measured : bool
        Whether the whole way back was measured.
    """

    where: str
    feed: Feed
    source: float
    drop: float
    resistance: float
    measured: bool

    @property
    def voltage(self):
        """Volts that arrive. [V]

        Raises
        ------
        ValueError
            If the way back was not measured.
        """
        if not self.measured:
            why = "is missing: a way back that was not measured, by wire or chassis, leaves nothing to compute from"
            hint = ". Measure the volts between the battery's - and the amplifier's -, and divide by the current"
            raise Refused(self.where, "return_resistance", why, hint)
        return self.source - self.drop

    @property
    def shared(self):
        """Whether something is connected here without a fuse between, and is not alone. [1]"""
        return bool(self.feed.draws) and len(self.feed.draws) + len(self.feed.branches) > 1

    @property
    def fuse(self):
        """Fuse at the beginning of the cable that ends here. [A]

        Raises
        ------
        ValueError
            If none fits. It says which bound binds.
        """
        feed = self.feed
        if not feed.current:
            raise Refused(self.where, "draws", "is empty: a fuse is chosen by what is drawn", ": add what it feeds")
        bounds = {CABLE: feed.cable.rating_for_a_fuse(f"{self.where}.cable")}
        if self._makers_figure is not None:
            bounds[MAKER] = self._makers_figure
        return fuse_between(self.where, feed.current, bounds, feed.rating_of_fuses)

    @property
    def _makers_figure(self):
        """That of the draw here which is alone behind the fuse, or is its only amplifier; None without. [A]"""
        served = self.feed.draws if not self.shared else self.feed.amplifiers
        return served[0].maker_fuse if len(served) == 1 and served[0] in self.feed.draws else None

    @property
    def most(self):
        """What the cable's rating and the maker of a draw alone here allow at most; infinite if none is known. [A]"""
        known = [self.feed.cable.current_rating, self._makers_figure]
        return min((one for one in known if one is not None), default=inf)

    @property
    def lost_back(self):
        """Volts lost on the measured way back of this cable. [V]"""
        return self.feed.current * (self.feed.return_resistance or 0.0)

    @property
    def hot_way_back(self):
        """What a way back that loses much turns into heat: words, none where it loses little. [1]"""
        if self.lost_back <= MUCH * self.source:
            return ""
        heat = self.lost_back * self.feed.current
        return f"The way back loses {self.lost_back:.2f} V: {heat:.0f} W of heat. {words.HOT_WAY_BACK}"

    @property
    def slow(self):
        """What a fuse is to a short at the end whose V / R is less than twice the fuse: words, or none. [1]"""
        try:
            fuse, short = self.fuse, self.source / self.resistance
        except Refused:
            return ""
        if short >= SURE * fuse:
            return ""
        end = f"the end of {self.feed.name}" if self.feed.name else "its end"
        return f"A short at {end} draws at most {short:.3g} A, and a fuse of {fuse:g} A may be slow: shorten the wire."


def _places(feed, start):
    """Yield the end of a cable and those of its branches; `start` is where it begins."""
    ohms = feed.cable.resistance + (feed.return_resistance or 0.0)
    measured = start.measured and feed.return_resistance is not None
    here = Place(start.where, feed, start.source, start.drop + feed.drop, start.resistance + ohms, measured)
    yield here
    for i, branch in enumerate(feed.branches):
        yield from _places(branch, replace(here, where=f"{here.where}.branches[{i}]"))


def _of_cables(feed):
    cables = [place.feed.cable for place in feed.places]
    if any(cable.current_rating is not None and not cable.source.strip() for cable in cables):
        yield words.NO_SOURCE
    if any(cable.by_table for cable in cables):
        yield words.BY_TABLE
    if any(cable.strands_per_metre is None for cable in cables):
        yield words.BY_RESISTIVITY
    if any(cable.clad for cable in cables):
        yield words.CLAD
    if any(cable.doubtful for cable in cables):
        yield words.DOUBTFUL
    if any(cable.temperature > USUAL_HOTTEST for cable in cables):
        yield words.TOO_HOT
    if any(cable.current_rating is not None for cable in cables):
        yield words.AS_LAID
    yield f"Resistances are those at {', '.join(sorted({f'{cable.temperature - 273.15:.0f}' for cable in cables}))} °C."


def _of_amplifiers(feed):
    if any(draw.maker_fuse is None for draw in feed.amplifiers):
        yield words.NO_MAKER
    if any(draw.efficiency > LIKELY for draw in feed.amplifiers):
        yield words.TOO_EFFICIENT
    if feed.amplifiers:
        yield words.WAKES


def _of_volts(feed):
    if not all(place.measured for place in feed.places):
        yield words.UNMEASURED
    if feed.return_resistance == 0:  # that of a branch may be measured together with the trunk's
        yield words.ZERO_BACK
    yield from (place.hot_way_back for place in feed.places if place.hot_way_back)
    for place in feed.places:
        for draw in place.feed.draws:
            yield from _of_volts_at(place, draw)


def _of_volts_at(place, draw):
    arrives, who, low = place.source - place.drop, draw.name or f"the {draw.kind}", draw.rated_voltage[0]
    what = f"At full power {'' if place.measured else 'at most '}{arrives:.2f} V arrive; {who}"
    if draw.minimum_voltage is not None and arrives < draw.minimum_voltage:
        yield f"{what} switches off below {draw.minimum_voltage:g} V."
    elif arrives < low:
        yield f"{what} is made for {low:g} V and more."
    elif place.measured and draw.kind == AMPLIFIER:
        regulated = draw.power / (draw.efficiency * arrives)
        yield f"With a regulated supply, {who} draws {regulated:.3g} A at the {arrives:.2f} V that arrive."
