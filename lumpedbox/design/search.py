"""Which box: the best sealed and vented designs that a brief allows, why, and why a driver is out."""

from __future__ import annotations

import copy
import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ..air import Air
from ..limits import CAUTION_SPEED
from ..parts.amplifier import LOWEST_SHARE, Amplifier, HeadUnit
from ..parts.box import SealedBox, VentedBox
from ..parts.cabin import Cabin
from ..parts.displacement import displacement
from ..parts.driver import Driver, equivalent_volume
from ..parts.loudspeaker import Loudspeaker
from ..parts.port import NET_VOLUME, TUNING, Port, end_correction
from ..quantity import Holds, OneOf, Part, Quantity, Whole, part, quantity, ruled
from ..response import frequencies, solve
from ..response.single import DECIBEL, HALF_POWER

SEALED, VENTED = "sealed", "vented"
KINDS = (SEALED, VENTED)
AIMS = ("f3", "volume", "ripple", "delay", "excursion", "port_speed")
# What may be loosened, and the limits that then no longer count: less power or a higher lowest tone helps travel and
# port alike, a larger port the speed in it.
LOOSENED = {
    "f3": ("f3",),
    "ripple": ("ripple",),
    "sag": ("sag",),
    "delay": ("delay",),
    "volume": ("volume",),
    "port_area": ("port_area", "port_speed"),
    "port_length": ("port_speed",),
    "voltage": ("excursion", "port_speed"),
    "lowest": ("excursion", "port_speed"),
}
DECIBELS = ("ripple", "sag")
# Of these the port is as small as the speed in it allows, since it takes room; else as large as the room allows.
TIGHT = ("volume", "port_area", "port_length")
WORDS = {
    "f3": "f3",
    "ripple": "hump",
    "sag": "sag",
    "delay": "group delay",
    "volume": "volume",
    "port_area": "area of the port",
    "port_length": "length of the port",
    "excursion": "travel of the cone",
    "port_speed": "speed in the port",
    "voltage": "power",
    "lowest": "lowest tone",
    "tuning": "lowest tuning at which a port helps",
    "amplifier": "lowest load of the amplifier",
    "xmax": "linear travel",
}
LOW, HIGH = 8.0, 500.0  # Hz; what is looked at
COARSE, FINE = 16, 48  # frequencies an octave, while searching and at the end
MORE_VOLUME, WIDER = 6.0, 1600  # times the litres that exist: as far as a larger box is looked for, among so many
LEAST_VOLUME = 1 / 25  # of the litres that exist: the smallest box that is looked at
HIGHEST_TUNING = 3.0  # over the driver's resonance
HELPS = 0.5  # of the resonance of driver and closed box: a port that is tuned lower is little more than a leak (ours)
NARROWEST = 1 / 50  # of the area of the cone: in a narrower port friction eats what it should play (ours)
BASS = HIGH / 2  # Hz; a box whose f3 is higher plays no bass, and its hump would lie beyond what is looked at
TIE = 1e-9  # of what comes to the same, the one that reaches lower
INFEASIBLE = 1e6  # more than any quantity that is aimed at
HOPELESS = 2 * INFEASIBLE  # a limit that is passed so far is not kept a step beside either
OUT = 1.02 * INFEASIBLE  # a limit that is passed so far on a coarse grid is passed on a fine one too
FITS = 1 + 1e-6  # of a limit: what is not more over it is rounding
BUILT = ("volume", "port_area")  # limits that are kept to the last digit
FELT = 1 + 3e-4  # of the others: nobody feels what is no more over it, and a coarser grid of frequencies sees no more
SMALLEST_PORT, LARGEST_PORT = 1e-6, 0.25  # m2; beyond these nothing is a port
MARGIN, MARGIN_DB = 1.005, 0.02  # on what a loosened limit must be
DESIGNS = Whole(meaning="number of designs to return", allowed=range(1, 10_001))
PIECE = 1250  # boxes that are solved at once: with more their curves no longer fit into the processor's cache
CANDIDATES = Whole(meaning="number of boxes to try first", allowed=range(100, 1_000_001))


def _limit(unit, meaning, low, high):
    return Quantity(unit=unit, meaning=meaning, low=low, high=high, optional=True)


@part
class Brief(Part):
    """What a box may take up, what drives it, and what matters.

    Parameters
    ----------
    volume : float
        Litres that exist: the inside of the box, of which port and driver take up some. [m3]
    amplifier : Amplifier or HeadUnit
        What drives it.
    voltage : float, optional
        Highest r.m.s. voltage that is used; the amplifier's own without it. [V]
    port_area : float, optional
        Largest area of a port; without it only sealed boxes are looked for. [m2]
    port_length : float, optional
        Longest port; without it one that leaves its own diameter free behind it in a cube of the net volume. [m]
    lowest : float
        Lowest tone that is played at that voltage; a high-pass keeps what is lower from the amplifier. [Hz]
    f3 : float, optional
        Lower frequency limit, at most. [Hz]
    ripple : float, optional
        Highest hump over the pass-band, at most. [dB]
    sag : float, optional
        How far the level above f3 may lie under a first-order high-pass of the same f3. Without it f3 can rest on a
        shelf that nearly is half power itself, and a little less volume moves it by half an octave. [dB]
    delay : float, optional
        Largest group delay from the lowest tone up, at most. [s]
    excursion : float, optional
        Largest travel of the cone over xmax, at that voltage, at most. [1]
    port_speed : float, optional
        Peak speed of the air in the port at that voltage, at most: 17 for caution, 10 for comfort (guidance, common
        practice, no source). [m/s]
    aim : {"f3", "volume", "ripple", "delay", "excursion", "port_speed"}
        What is to be as low as it can.
    Ql : float
        Leakage Q of the box (7: Small 1973, from memory). [1]
    cabin : Cabin, optional
        The vehicle around it: f3, hump, sag and delay are then of what is heard inside.
    """

    volume: float = ruled(NET_VOLUME)
    amplifier: Part = ruled(Holds((Amplifier, HeadUnit)))
    voltage: float = quantity("V", "highest r.m.s. voltage that is used", 0.01, 1e3, default=None)
    port_area: float = quantity("m2", "largest area of a port", 1e-5, LARGEST_PORT, default=None, slips=("cm2", "mm2"))
    port_length: float = quantity("m", "longest port", 0.005, 3.0, default=None, slips=("mm", "cm", "inch"))
    lowest: float = quantity("Hz", "lowest tone that is played", LOW, 200.0, default=30.0)
    f3: float = quantity("Hz", "lower frequency limit, at most", LOW, BASS, default=None)
    ripple: float = ruled(_limit("dB", "highest hump, at most", 0.01, 20.0), 2.0)
    sag: float = ruled(_limit("dB", "sag above f3, at most", 0.01, 20.0), 0.5)
    delay: float = quantity("s", "largest group delay, at most", 1e-4, 1.0, default=None, slips=("ms",))
    excursion: float = ruled(_limit("", "travel of the cone as a share of xmax, at most", 0.01, 3.0), 1.0)
    port_speed: float = ruled(_limit("m/s", "speed of the air in the port, at most", 0.5, 100.0), CAUTION_SPEED)
    aim: str = ruled(OneOf(AIMS), "f3")
    Ql: float = quantity("", "leakage Q of the box", 1.0, np.inf, default=7.0)
    cabin: Cabin = ruled(Holds((Cabin,), optional=True), None)

    def _check_together(self):
        if self.shape:
            raise ValueError(f"Brief takes single numbers, got a family of shape {self.shape}")
        most = float(self.amplifier.voltage)
        if self.drive > most * FITS:
            raise ValueError(
                f"Brief.voltage must be at most what the amplifier gives, {most:.4g} V, got {self.drive:.4g} V: "
                "for more, take another amplifier"
            )

    @property
    def drive(self):
        """Highest r.m.s. voltage that is used. [V]"""
        return float(self.amplifier.voltage if self.voltage is None else self.voltage)

    @property
    def kinds(self):
        """The kinds of box that are looked for, as a tuple of words."""
        return (SEALED,) if self.port_area is None else KINDS


@dataclass(frozen=True, slots=True, eq=False)
class Design:
    """A box that does what the brief asks, as well as one can.

    Attributes
    ----------
    name, kind : str
        The driver's name; "sealed" or "vented".
    loudspeaker : Loudspeaker
        As it is to be built.
    brief : Brief
    values : dict
        By name what it comes to: f3 [Hz], ripple [dB], sag [dB], delay [s], excursion over xmax [1], port_speed [m/s],
        volume that is taken up [m3].
    holds : tuple of str
        The limits that keep it from being better: with a hundredth, or 0.05 dB, more of one, a box near it would be
        better by a thousandth.
    used : tuple of str
        The other limits that it uses up, more of which would gain less than that.
    """

    name: str
    kind: str
    loudspeaker: Loudspeaker
    brief: Brief
    values: dict
    holds: tuple
    used: tuple

    @property
    def reasons(self):
        """What it is and why it is no better, as a tuple of sentences."""
        box, values, brief = self.loudspeaker.box, self.values, self.brief
        port = box.port if self.kind == VENTED else None
        what = f"{self.name} in a {self.kind} box of {1e3 * box.volume:.1f} litres net"
        if port:
            what += (
                f", tuned to {port.tuning(box.volume):.1f} Hz by a port of {1e3 * port.diameter:.0f} mm inner diameter "
                f"and {1e3 * port.length:.0f} mm length"
            )
        told = [f"{what}; it takes up {1e3 * values['volume']:.1f} of {1e3 * brief.volume:.1f} litres."]
        told.append(
            f"Half power at {values['f3']:.1f} Hz, above it a hump of {values['ripple']:.2f} dB and a sag of "
            f"{values['sag']:.2f} dB, a group delay of at most {1e3 * values['delay']:.1f} ms."
        )
        xmax = self.loudspeaker.driver.xmax
        if xmax is not None:
            moved, played = 1e3 * values["excursion"] * xmax, f"from {brief.lowest:.0f} Hz up"
            told.append(
                f"With a steady tone of {brief.drive:.1f} V, {played}, the cone moves {moved:.1f} of its "
                f"{1e3 * xmax:.1f} mm."
            )
        if port:
            heard = (
                f": above {CAUTION_SPEED:.0f} a port is heard" if values["port_speed"] > FELT * CAUTION_SPEED else ""
            )
            told.append(f"The air in the port reaches {values['port_speed']:.1f} m/s{heard}.")
        if values["f3"] < 0.9 * brief.lowest:
            told.append(
                f"It reaches lower than what is played: travel, speed and delay count from {brief.lowest:.0f} Hz up."
            )
        return (*told, *self.limits_in_words)

    @property
    def limits_in_words(self):
        """What keeps it from being better, and what else is used up, as a tuple of sentences."""
        none = "Nothing keeps it from being better: more of any limit would gain next to nothing."
        held = f"What keeps it from being better: {', '.join(WORDS[name] for name in self.holds)}."
        used = [f"Used up as well: {', '.join(WORDS[name] for name in self.used)}."] if self.used else []
        return (held if self.holds else none, *used)


@dataclass(frozen=True, slots=True, eq=False)
class Refusal:
    """Why a driver is out, and what would let it in.

    Attributes
    ----------
    name, kind : str
        The driver's name; "sealed", "vented" or "" for both.
    limit : str
        The limit that keeps it out: of several, the one that has to give least.
    relaxed : dict
        Limit: the brief with that limit alone loosened as far as it takes, nearest first. If no single one will do,
        one entry loosens several.
    why : str
    """

    name: str
    kind: str
    limit: str
    relaxed: dict
    why: str

    def __str__(self):
        return f"{self.name}{' in a ' + self.kind + ' box' if self.kind else ''} is out: {self.why}"


@dataclass(frozen=True, slots=True, eq=False)
class Recommendation:
    """What a search found.

    Attributes
    ----------
    designs : tuple of Design
        The best first.
    out : dict
        Name of a driver that no box suits: its `Refusal`.
    unsuited : tuple of Refusal
        The kind of box that does not suit a driver which the other kind suits.
    """

    designs: tuple
    out: dict
    unsuited: tuple

    def __str__(self):
        refusals = *self.out.values(), *self.unsuited
        return "\n".join([*(" ".join(design.reasons) for design in self.designs), *map(str, refusals)])


def recommend(drivers, brief, *, best=4, candidates=3600, air=Air()):
    """Search the boxes that a brief allows, sealed and vented.

    Parameters
    ----------
    drivers : Driver, or dict of name to Driver
        One, or a table as `read_drivers` returns.
    brief : Brief
        What may be taken up, what drives it, and what matters.
    best : int
        How many designs to return; of each driver and kind of box one.
    candidates : int
        How many boxes of each kind are tried before the best is refined.
    air : Air

    Returns
    -------
    Recommendation

    Raises
    ------
    ValueError, TypeError
        If an argument is not what it must be; the message names it.

    Notes
    -----
    The candidates of a driver are families over volume and tuning. Around the best few the grid is narrowed until its
    steps are below a thousandth. A port has the largest area that the brief and the longest port
    allow, since nothing but the speed of its air depends on it.

    Examples
    --------
    >>> from lumpedbox.files import demo_drivers
    >>> from lumpedbox.units import cm2, litre
    >>> amplifier = Amplifier(power=40, rated_impedance=4, minimum_load=2)
    >>> brief = Brief(volume=30 * litre, amplifier=amplifier, port_area=80 * cm2, lowest=35)
    >>> found = recommend(demo_drivers()["200 mm bass"], brief)
    >>> [design.kind for design in found.designs]
    ['vented', 'sealed']
    """
    Holds((Brief,)).accept("recommend", "brief", brief)
    Holds((Air,)).accept("recommend", "air", air)
    best = DESIGNS.accept("recommend", "best", best)
    candidates = CANDIDATES.accept("recommend", "candidates", candidates)
    named = {drivers.name or "the driver": drivers} if isinstance(drivers, Driver) else drivers
    if not isinstance(named, Mapping):
        raise TypeError(
            f"recommend.drivers must be a Driver, or a dict of name to Driver, got {type(drivers).__name__} {drivers!r}"
        )
    if not named:
        raise ValueError("recommend.drivers has no driver in it")
    designs, out, unsuited = [], {}, []
    for name, driver in named.items():
        Holds((Driver,)).accept("recommend", f"drivers[{name!r}]", driver)
        found = searched(name, driver, brief, candidates, air)
        designs += found.designs
        if not found.designs:
            (out[name],) = found.refusals()
        else:
            unsuited += found.refusals()
    designs.sort(key=lambda design: design.values[brief.aim])
    return Recommendation(tuple(designs[:best]), out, tuple(unsuited))


@dataclass(frozen=True, slots=True, eq=False)
class Searched:
    """What was found for one driver.

    Attributes
    ----------
    name : str
    spaces : tuple of Space
        The kinds of box that were looked at; none where no box at all can do.
    designs : tuple of Design
        Of each kind that keeps every limit the best.
    unsuitable : Refusal or None
        Why no box at all can do.
    """

    name: str
    spaces: tuple
    designs: tuple
    unsuitable: object

    def refusals(self):
        """Return why a kind of box does not suit, as a tuple of `Refusal`: one for both if neither does."""
        if self.unsuitable:
            return (self.unsuitable,)
        suited = {design.kind for design in self.designs}
        left = [space for space in self.spaces if space.kind not in suited]
        return (_refusal(self.name, left[0].kind if suited else "", left),) if left else ()


def searched(name, driver, brief, candidates, air=Air(), most=1.0):
    """Search the boxes of one driver; see `recommend`.

    Parameters
    ----------
    name : str
    driver : Driver
    brief : Brief
    candidates : int
    air : Air
    most : float
        Largest volume that is tried, over the litres that exist. [1]

    Returns
    -------
    Searched
    """
    unsuitable = _unsuitable(name, driver, brief)
    spaces = () if unsuitable else tuple(Space(driver, kind, brief, candidates, air, most) for kind in brief.kinds)
    found = [(space, *space.best(brief.aim)) for space in spaces]
    designs = tuple(_design(name, space, point, values) for space, point, values, merit in found if merit < INFEASIBLE)
    return Searched(name, spaces, designs, unsuitable)


def _unsuitable(name, driver, brief):
    """Return why no box at all will do, if so."""
    load = brief.amplifier.minimum_load
    if driver.shape:
        raise ValueError(f"recommend: {name} is a family of shape {driver.shape}: give its members by name")
    if driver.fs > BASS:
        why = f"it resonates at {driver.fs:.0f} Hz, and a box is looked for that plays below {BASS:.0f} Hz."
        return Refusal(name, "", "f3", {}, why)
    if driver.Re < LOWEST_SHARE * load:
        why = f"its coil has {driver.Re:.2g} ohm, and the amplifier's lowest load is {load:g} ohm."
        return Refusal(name, "", "amplifier", {}, why)
    if driver.xmax is None and brief.excursion is not None:
        why = "its xmax is not known, so nothing can be said of its travel: measure it, or leave Brief.excursion out."
        return Refusal(name, "", "xmax", {"excursion": dataclasses.replace(brief, excursion=None)}, why)
    return None


class Space:
    """The boxes of one kind for one driver, and what each comes to.

    A point is the logarithm of the net volume and, where there is a port, where between the lowest and the highest
    tuning of that volume it is tuned, on a logarithmic scale from 0 to 1.

    Parameters
    ----------
    driver : Driver
    kind : {"sealed", "vented"}
    brief : Brief
    candidates : int
        How many vented boxes to try first; of sealed ones, the root of it.
    air : Air
    most : float
        Largest volume that is looked at, over the litres that exist. [1]

    Attributes
    ----------
    points : array, shape (n, 1) or (n, 2)
    values : dict
        What each comes to: name: array of shape (n,), in SI units.
    side : int
        How many volumes, and as many tunings.
    """

    def __init__(self, driver, kind, brief, candidates, air, most=1.0):
        self.driver, self.kind, self.brief, self.air = driver, kind, brief, air
        self._sound_speed, self._vas, self._room = air.sound_speed, equivalent_volume(driver, air), 1.0
        ends = NET_VOLUME.low * (1 + 1e-9), NET_VOLUME.high * (1 - 1e-9)  # a logarithm and back rounds
        volumes = np.clip(np.multiply(brief.volume, [LEAST_VOLUME, most]), *ends)
        self.ranges = [np.log(volumes)]
        if kind == VENTED:
            self.ranges.append(np.array([0.0, 1.0]))
        self.side = round(candidates**0.5)
        self.points = _lattice([np.linspace(*ends, self.side) for ends in self.ranges])
        pieces = [self._judged(piece) for piece in np.array_split(self.points, -(-len(self.points) // PIECE))]
        self.values, self._least = {name: np.concatenate([piece[name] for piece in pieces]) for name in pieces[0]}, {}

    def boxes(self, points):
        """Return net volumes and tunings, the latter None for closed boxes. [m3], [Hz]

        Parameters
        ----------
        points : array, shape (n, 1) or (n, 2)
        """
        volume = np.exp(points[:, 0])
        if self.kind == SEALED:
            return volume, None
        low = np.minimum(HELPS * self.driver.fs * np.sqrt(1 + self._vas / volume), TUNING.high / 2)
        high = np.maximum(2 * low, max(HIGHEST_TUNING * self.driver.fs, np.sqrt(2) * self.brief.lowest))
        return volume, low * (high / low) ** points[:, 1]

    def _judged(self, points, per_octave=COARSE):
        """Return what boxes come to: a dict of name to array of shape (n,), in SI units."""
        brief, (volume, tuning) = self.brief, self.boxes(points)
        own = displacement(self.driver)
        if self.kind == SEALED:
            response = self._solved(SealedBox(volume=volume, Ql=brief.Ql), per_octave)
            values = judged(response, brief, refine=False)
            return (
                values
                | {name: volume + own for name in ("volume", "tight_volume", "needed_volume")}
                | {"tight_port_speed": values["port_speed"]}
            )
        least, most = self.port_areas(volume, tuning)
        area = self.area(volume, tuning)
        response = self._solved(VentedBox(volume=volume, fb=tuning, port_area=area, Ql=brief.Ql), per_octave)
        values = judged(response, brief, refine=False)
        needed = np.maximum(least, area * values["port_speed"] / (brief.port_speed or np.inf))
        tight = np.maximum(np.minimum(np.clip(brief.port_area, least, most), needed), SMALLEST_PORT)
        return values | {
            "volume": volume + own + self._taken(area, volume, tuning),
            "opening": np.where(least <= most, least, np.inf),
            "area": area,
            "tight_area": tight,
            "tight_volume": volume + own + self._taken(tight, volume, tuning),
            "tight_port_speed": values["port_speed"] * area / tight,
            "port_area": np.where(needed <= most * FITS, needed, np.inf),
            "port_length": np.where(needed <= brief.port_area * FITS, self._length(needed, volume, tuning), np.inf),
            "needed_volume": volume + own + self._taken(needed, volume, tuning),
        }

    def _length(self, area, volume, tuning):
        return self._slope(volume, tuning) * area - ENDS * np.sqrt(area)

    def _slope(self, volume, tuning):
        """Return the length of a port with what the air beyond its ends adds, over its area. [1/m]"""
        return np.square(self._sound_speed / (2 * np.pi * tuning)) / volume

    def _taken(self, area, volume, tuning):
        """Return the room that a port takes up in the box. [m3]"""
        return area * np.maximum(self._length(area, volume, tuning), 0.0)

    def _solved(self, box, per_octave):
        """Return the response of the driver in a box, or a family of boxes, as the brief has it."""
        brief = self.brief
        frequency = np.union1d(frequencies(LOW, HIGH, per_octave), brief.lowest)
        source = getattr(brief.amplifier, "output_resistance", 0.0)
        speaker = Loudspeaker(driver=self.driver, box=box, cabin=brief.cabin, source_resistance=source)
        return solve(speaker, frequency, brief.drive, air=self.air)

    def _wider(self):
        """Return the same with larger volumes than exist."""
        return Space(self.driver, self.kind, self.brief, min(self.side**2, WIDER), self.air, most=MORE_VOLUME)

    def port_areas(self, volume, tuning):
        """Return the area of the smallest port that tunes so, at least that of a hole, and of the longest. [m2]

        Parameters
        ----------
        volume : array
            Net. [m3]
        tuning : array
            [Hz]
        """
        slope = self._slope(volume, tuning)
        room, free = self.brief.port_length, 0.0
        if room is None:
            room, free = self._room * np.cbrt(volume), ACROSS
        hole = np.square(ENDS / slope) * (1 + 1e-9)  # else a hole comes out a rounding short of nothing
        longest = (ENDS - free + np.sqrt((ENDS - free) ** 2 + 4 * slope * room)) / (2 * slope)
        return np.maximum(hole, NARROWEST * self.driver.Sd), np.square(longest)

    def area(self, volume, tuning):
        """Return the area of the port: the largest that the brief, its longest port and the room left allow. [m2]

        Parameters
        ----------
        volume : array
            Net. [m3]
        tuning : array
            [Hz]
        """
        least, most = self.port_areas(volume, tuning)
        low, high = least, np.minimum(np.clip(self.brief.port_area, least, most), LARGEST_PORT)
        room = self.brief.volume - displacement(self.driver) - volume
        large = np.broadcast_to(self._taken(high, volume, tuning) > room, high.shape)
        found, low, high, room = np.array(high), low[large], high[large], room[large]
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            fits = self._taken(middle, volume[large], tuning[large]) <= room
            low, high = np.where(fits, middle, low), np.where(fits, high, middle)
        found[large] = low
        return np.clip(found, SMALLEST_PORT, LARGEST_PORT)

    @staticmethod
    def port(area):
        """Return a round port of that area, still without length.

        Parameters
        ----------
        area : float or array
            [m2]
        """
        return Port(length=0.0, diameter=2 * np.sqrt(area / np.pi))

    def ratios(self, values, without=(), aim=None):
        """Return every limit's value over what is allowed, a dict of arrays: what is more than 1 is out. [1]

        Parameters
        ----------
        values : dict
            What boxes come to, as `values` has it.
        without : tuple of str
            Limits to leave out.
        aim : str
            What is to be as low as it can, on which the size of the port depends.
        """
        values = self.ported(values, aim)
        allowed = {name: getattr(self.brief, name) for name in ("volume", "f3", "delay", "excursion", "port_speed")}
        allowed["f3"] = allowed["f3"] or BASS
        found = {name: values[name] / most for name, most in allowed.items() if most is not None}
        for name in DECIBELS:
            if getattr(self.brief, name) is not None:
                found[name] = 10 ** ((values[name] - getattr(self.brief, name)) / 20)
        if self.kind == VENTED:
            found["port_area"] = values["opening"] / self.brief.port_area
        return {name: ratio for name, ratio in found.items() if name not in without}

    @staticmethod
    def ported(values, aim):
        """Return what boxes come to with the port that an aim asks for: a dict of several units.

        Parameters
        ----------
        values : dict
        aim : str
        """
        if aim in ("port_area", "port_length"):
            return values | {"volume": values["needed_volume"]}
        if aim not in TIGHT:
            return values
        return values | {"volume": values["tight_volume"], "port_speed": values["tight_port_speed"]}

    def _merit(self, values, aim, without=(), port=None):
        """Return what is to be low: the aim where every limit is kept, else by how much the worst is passed.

        The port is as the aim asks for, or another one that is named.
        """
        ratios = self.ratios(values, without, port or aim)
        worst = np.max([ratio / (1.0 if name in BUILT else FELT) for name, ratio in ratios.items()], axis=0)
        kept = self.ported(values, port or aim)[aim] + TIE * np.minimum(values["f3"], HIGH)
        return np.where(worst <= FITS, kept, INFEASIBLE * worst)

    def best(self, aim, without=()):
        """Return the point that is best at something, and what it comes to.

        Parameters
        ----------
        aim : str
            Which value is to be as low as it can.
        without : tuple of str
            Limits to leave out.

        Returns
        -------
        point : array
        values : dict
            Name: number.
        merit : float
            From `INFEASIBLE` on no point keeps the limits; this one passes them least.
        """
        found = self._settled(self._refined(self._starts(aim, without), aim, without), aim, without)
        if found[-1] < INFEASIBLE or without:
            return found
        for limit in self.limits:  # what keeps them may be a sliver that only one of these ways leads to
            point, values, _ = self.least(limit)
            merit = float(self._merit(values, aim))
            if merit < INFEASIBLE:
                return self._settled((point, values, merit), aim, without)
        return found

    def _starts(self, aim, without):
        """Return the points that are better than those around them, the best first. shape (n, 1) or (n, 2)"""
        merit = self._merit(self.values, aim, without)
        grid = merit.reshape((self.side,) * len(self.ranges))
        around = np.lib.stride_tricks.sliding_window_view(np.pad(grid, 1, constant_values=np.inf), (3,) * grid.ndim)
        lowest = np.flatnonzero(grid == around.min(axis=tuple(range(grid.ndim, 2 * grid.ndim))))
        ordered = lowest[np.argsort(merit[lowest], kind="stable")]
        return self.points[ordered[merit[ordered] <= max(HOPELESS, merit[ordered[0]])]]

    def _settled(self, found, aim, without):
        """Return what is found when the last stage is run anew while that helps: along an edge it may stop too soon."""
        for _ in range(AGAIN if self.kind == VENTED and found[-1] < OUT else 0):
            nearer = self._refined(found[0][np.newaxis], aim, without, (AROUND,))
            gained = found[-1] - nearer[-1]
            found = nearer if gained > 0 else found
            if gained < GAIN * found[-1]:
                break
        return found

    @property
    def limits(self):
        """The limits of the brief that may be loosened, as a tuple of words."""
        kept = (name for name in LOOSENED if name in self.values or name in AIMED_AT)
        return tuple(name for name in kept if name not in MAY_BE_NONE or getattr(self.brief, name) is not None)

    def least(self, limit):
        """Return the point at which a limit has to give least while the others are kept; see `best`.

        Parameters
        ----------
        limit : str
            One of `limits`.
        """
        if limit not in self._least:
            space = self._wider() if limit == "volume" else self
            aim, without = AIMED_AT.get(limit, limit), LOOSENED[limit]
            self._least[limit] = space._refined(space._starts(aim, without)[:FEWER], aim, without)
        return self._least[limit]

    def _refined(self, points, aim, without=(), stages=None):
        """Return the best point near some, what it comes to, and its merit."""
        spans = np.ptp(self.ranges, axis=1) * WIDTH[: len(self.ranges)]
        for stage in stages or STAGES:
            points, size = points[: stage.kept], max(stage.size, 1 / (self.side - 1) if stage is STAGES[0] else 0.0)
            lattice = _lattice(
                [span * np.linspace(-1, 1, count) for span, count in zip(spans, stage.counts, strict=False)]
            )
            sizes = np.full(len(points), size)
            for _ in range(MOST_ROUNDS):
                before = points
                points, values, merit = self._around(before, sizes, lattice, stage.per_octave, aim, without)
                moved = np.max(np.abs(points - before) / spans, axis=1)
                sizes = np.where(moved > 0.99 * sizes, sizes, sizes / 2)
                if merit.min() > HOPELESS or sizes.max() < size / stage.narrowing:
                    break
            order = np.argsort(merit, kind="stable")
            points, merit = points[order], merit[order]
            values = {name: value[order] for name, value in values.items()}
            if merit[0] > OUT:
                break
        return points[0], {name: float(value[0]) for name, value in values.items()}, float(merit[0])

    def _around(self, points, sizes, lattice, per_octave, aim, without, port=None):
        """Return of a lattice around each point the best one, what it comes to, and its merit."""
        around = points[:, np.newaxis] + np.reshape(sizes, (-1, 1, 1)) * lattice
        around = np.clip(around, *np.transpose(self.ranges))
        values = self._judged(around.reshape(-1, len(self.ranges)), per_octave)
        values = {name: value.reshape(around.shape[:2]) for name, value in values.items()}
        merit = self._merit(values, aim, without, port)
        best = np.arange(len(points)), np.argmin(merit, axis=1)
        return around[best], {name: value[best] for name, value in values.items()}, merit[best]

    def of_each_volume(self):
        """Return what the box of lowest f3 comes to at every net volume, with the smallest port that is slow enough.

        Returns
        -------
        dict
            Name: array of shape (side,), in SI units.
        """
        merit = self._merit(self.values, "f3", ("volume",), "volume").reshape(self.side, -1)
        index = np.argmin(merit, axis=1) + np.arange(self.side) * merit.shape[1]
        points, values = self.points[index], {name: value[index] for name, value in self.values.items()}
        step = 1 / (self.side - 1)
        lattice = np.array([[0.0, share * step] for share in np.linspace(-1, 1, 9)])
        for size in SHRINKING if self.kind == VENTED else ():
            points, values, _ = self._around(points, size, lattice, COARSE, "f3", ("volume",), "volume")
        return self.ported(values, "volume")

    def touched(self, point, values):
        """Return the limits that a point uses up, as a tuple of words.

        Parameters
        ----------
        point : array
        values : dict
            What it comes to.
        """
        ratios = self.ratios(values, aim=self.brief.aim)
        if self.kind == VENTED:
            volume, tuning = self.boxes(point[np.newaxis])
            area = values["tight_area" if self.brief.aim in TIGHT else "area"]
            ratios["port_area"] = area / self.brief.port_area
            ratios["port_length"] = area / float(self.port_areas(volume, tuning)[1][0])
            ratios["tuning"] = 1 - point[1]
        return tuple(name for name, ratio in ratios.items() if ratio > TOUCHES)

    def holds(self, point, values):
        """Return the limits that keep a point from being better, as a tuple of words.

        Parameters
        ----------
        point : array
        values : dict
            What it comes to.
        """
        touched = self.touched(point, values)
        best = self._nearby(point) if touched else np.inf
        return tuple(name for name in touched if self._would_gain(point, best, name))

    def _nearby(self, point):
        """Return what is aimed at, of the best box near a point, and infinity where no such box keeps the limits."""
        aim = self.brief.aim
        _, values, merit = self._refined(point[np.newaxis], aim, (), (NEARBY,))
        return self.ported(values, aim)[aim] if merit < INFEASIBLE else np.inf

    def _would_gain(self, point, best, limit):
        """Return whether with a little more of a limit a box near a point would be better than the best one now."""
        space = copy.copy(self)
        space.ranges = list(self.ranges)
        allowed = getattr(self.brief, limit, None)
        if limit == "volume":
            space.ranges[0] = self.ranges[0] + np.array([0.0, LITTLE])
        if limit == "tuning":
            space.ranges[1] = self.ranges[1] - np.array([LITTLE, 0.0])
        elif limit == "port_length" and allowed is None:
            space._room = 1 + LITTLE
        elif allowed is None:  # what is bass is no limit of the brief
            return False
        else:
            looser = allowed + LITTLE_DB if limit in DECIBELS else allowed * (1 + LITTLE)
            try:
                space.brief = dataclasses.replace(self.brief, **{limit: looser})
            except ValueError:  # beyond what such a limit can be
                return False
        return space._nearby(point) < best - GAIN * max(best, GAIN)

    def built(self, point, values):
        """Return the box of a point, with its port.

        Parameters
        ----------
        point : array
        values : dict
            What it comes to.
        """
        volume, tuning = (value if value is None else float(value[0]) for value in self.boxes(point[np.newaxis]))
        if self.kind == SEALED:
            return SealedBox(volume=volume, Ql=self.brief.Ql)
        area = values["tight_area" if self.brief.aim in TIGHT else "area"]
        return VentedBox(volume=volume, port=self.port(area).tuned(tuning, volume, self.air), Ql=self.brief.Ql)


class Stage(NamedTuple):
    """How a search narrows: a lattice of boxes around each point, halved from round to round.

    Attributes
    ----------
    kept : int
        How many of the best points it starts from.
    per_octave : int
        Frequencies.
    counts : tuple of int
        Volumes and tunings of the lattice: many, since between two limits few may do.
    size : float
        Half the width of the first lattice over that of the range times `WIDTH`; of the first stage at least the step
        of the candidates.
    narrowing : int
        By how much the lattices are made smaller: each is halved unless the best point was found on its edge.
    """

    kept: int
    per_octave: int
    counts: tuple
    size: float
    narrowing: int


AROUND = Stage(kept=1, per_octave=FINE, counts=(7, 13), size=1 / 240, narrowing=16)
STAGES = (
    Stage(kept=6, per_octave=COARSE, counts=(5, 5), size=1 / 30, narrowing=8),
    Stage(kept=2, per_octave=COARSE, counts=(7, 11), size=1 / 120, narrowing=4),
    AROUND._replace(kept=2),
)
NEARBY = Stage(kept=1, per_octave=COARSE, counts=(7, 13), size=1 / 240, narrowing=4)
FEWER = 2  # points to start from where only a way out is looked for
MOST_ROUNDS, AGAIN = 10, 3  # of a stage, and how often the last stage is run anew at most
WIDTH = np.array([1.0, 2.0])  # of a lattice, in volume and tuning
HALVINGS = 40  # of the range of a port's area
SHRINKING = (1.0, 1 / 4, 1 / 16)  # of the step between tunings: lattices in which the best one of a volume is found
TOUCHES = 0.995  # of a limit: only what comes nearer can keep a design from being better
# How much more of a limit is tried, as a share or in decibels, and how much lower the aim must then be, as a share.
LITTLE, LITTLE_DB, GAIN = 0.01, 0.05, 1e-3
ACROSS = 2 / np.sqrt(np.pi)  # diameter of a round port, over the root of its area
# What the air beyond both ends adds, over the root of the area.
ENDS = (end_correction("free", 1.0, np.inf) + end_correction("flush", 1.0, np.inf)) / np.sqrt(np.pi)


def _lattice(axes):
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, len(axes))


def judged(response, brief, refine=True):
    """Return what a response comes to in the terms of a brief.

    Parameters
    ----------
    response : Response
        At the brief's voltage; a family is judged member by member.
    brief : Brief
    refine : bool
        Whether f3 is solved for, or read off between the response's frequencies.

    Returns
    -------
    dict
        f3 [Hz]; ripple [dB]; sag [dB]; delay [s]; excursion over xmax, 0 where that is not known [1]; port_speed, 0
        without a port [m/s]; lowest, the lowest tone from which on travel and port speed are kept [Hz]; strain, the
        voltage over the highest that keeps them [1].
    """
    frequency, driver = response.frequency, response.loudspeaker.driver
    played = frequency >= brief.lowest * (1 - 1e-9)
    over = response.level - np.asarray(response.reference_level)[..., np.newaxis]
    travel = np.zeros_like(over) if driver.xmax is None else response.excursion / driver.xmax
    strain = travel / (brief.excursion or np.inf)
    f3 = _lower_limit(response.cutoff(HALF_POWER, refine), over, frequency)
    found = {
        "f3": f3,
        "ripple": np.maximum(over.max(axis=-1), 0.0),
        "sag": _sag(over, frequency, f3),
        "delay": np.nanmax(response.group_delay[..., played], axis=-1),
        "excursion": travel[..., played].max(axis=-1),
        "port_speed": np.zeros(over.shape[:-1]),
    }
    if isinstance(response.loudspeaker.box, VentedBox):
        speed = response.port_velocity
        found["port_speed"] = speed[..., played].max(axis=-1)
        strain = np.maximum(strain, speed / (brief.port_speed or np.inf))
    return found | {"lowest": _kept_from(strain, frequency), "strain": strain[..., played].max(axis=-1)}


def _sag(over, frequency, f3):
    r"""Return how far the level above f3 lies under a first-order high-pass, and under what is louder beyond. [dB]

    .. math:: \max_{f > f_3} \left[\min(0, \max_{f' > f} L) - 10 \log_{10}(1 + f_3^2 / f^2) - L(f)\right]
    """
    f3 = np.asarray(f3)[..., np.newaxis]
    beyond = np.minimum(np.maximum.accumulate(over[..., ::-1], axis=-1)[..., ::-1], 0.0)
    under = beyond - DECIBEL * np.log(1 + np.square(f3 / frequency)) - over
    return np.max(np.where(frequency > f3, under, 0.0), axis=-1)


def _kept_from(strain, frequency):
    """Return the frequency from which on a strain is never above 1, by a straight line between frequencies. [Hz]"""
    passed = strain > 1
    last = strain.shape[-1] - 1 - np.argmax(passed[..., ::-1], axis=-1)
    after = np.minimum(last + 1, len(frequency) - 1)
    high, low = (np.take_along_axis(strain, np.expand_dims(at, -1), -1)[..., 0] for at in (last, after))
    with np.errstate(divide="ignore", invalid="ignore"):
        crossed = frequency[last] * (frequency[after] / frequency[last]) ** ((high - 1) / (high - low))
    return np.where(passed.any(axis=-1), np.where(passed[..., -1], np.inf, crossed), frequency[0])


def _lower_limit(found, over, frequency):
    """Return f3, the lowest frequency where the level does not fall that far, and infinity where it never rises so."""
    loud = over[..., 0] >= -HALF_POWER
    return np.where(np.isnan(found), np.where(loud, frequency[0], np.inf), found)


def _design(name, space, point, coarse):
    box = space.built(point, coarse)
    response = space._solved(box, FINE)
    values = {key: float(value) for key, value in judged(response, space.brief).items()}
    ported = box.port.area * box.port.length if space.kind == VENTED else 0.0
    values["volume"] = float(box.volume + ported + displacement(space.driver))
    holds = space.holds(point, coarse)
    used = tuple(limit for limit in space.touched(point, coarse) if limit not in holds)
    return Design(name, space.kind, response.loudspeaker, space.brief, values, holds, used)


def _refusal(name, kind, spaces):
    """Return which limit keeps a driver out, and how far each would have to be loosened."""
    ways = {}
    for space in spaces:
        for limit in space.limits:
            way = _loosened(space, limit)
            if way and (limit not in ways or way[0] < ways[limit][0]):
                ways[limit] = way
    relaxed = {limit: brief for limit, (_, brief) in sorted(ways.items(), key=lambda item: item[1][0])}
    together = "" if relaxed else ", and no single limit is enough"
    if not relaxed:
        limit, relaxed = _all_loosened(spaces)
    if not relaxed:
        most = f", and no change of limits that was tried helps; what is missed most is the {WORDS[limit]}."
        return Refusal(name, kind, limit, {}, f"no box does it{most}")
    told = "; or ".join(_difference(spaces[0].brief, brief) for brief in relaxed.values())
    return Refusal(name, kind, next(iter(relaxed)), relaxed, f"no box does it{together}. It takes {told}.")


def _loosened(space, limit):
    """Return by how much a limit alone must be loosened, as a ratio, and the brief with that; None if it won't do."""
    brief, aim = space.brief, AIMED_AT.get(limit, limit)
    _, values, merit = space.least(limit)
    if not merit < INFEASIBLE:
        return None
    wanted = _wanted(brief, limit, space.ported(values, aim)[aim])
    ratio = _ratio(brief, limit, wanted)
    try:
        return (ratio, dataclasses.replace(brief, **{limit: wanted})) if ratio > 1 else None
    except ValueError:  # beyond what such a limit can be
        return None


AIMED_AT = {"voltage": "strain"}
MAY_BE_NONE = ("f3", *DECIBELS, "delay")


def _wanted(brief, limit, value):
    """Return what a limit must be, with a little over."""
    if limit in DECIBELS:
        return value + MARGIN_DB
    return brief.drive / (value * MARGIN) if limit == "voltage" else value * MARGIN


def _ratio(brief, limit, wanted):
    """Return how far a limit has to give, as a ratio above 1."""
    if limit in DECIBELS:
        return 10 ** ((wanted - getattr(brief, limit)) / 20)
    if limit == "voltage":
        return brief.drive / wanted
    return wanted / (getattr(brief, limit) or np.cbrt(brief.volume))  # a port without a limit fits into a cube


def _all_loosened(spaces):
    """Return the limit that is passed most where all are passed least, and a dict of it to the brief with all loosened.

    The dict is empty where one of them cannot be so loose.
    """
    found = [(space, *space.best(space.brief.aim)) for space in spaces]
    space, _, values, _ = min(found, key=lambda entry: entry[-1])
    passed = {name: ratio for name, ratio in space.ratios(values).items() if ratio > FELT}
    given = {
        "voltage" if name in LOOSENED["voltage"] else name: values["strain" if name in LOOSENED["voltage"] else name]
        for name in passed
    }
    if "port_area" in given:
        given["port_area"] = values["opening"]
    worst = max(passed, key=passed.get)
    limit = "voltage" if worst in LOOSENED["voltage"] else worst
    try:
        looser = {name: _wanted(space.brief, name, value) for name, value in given.items()}
        return limit, {limit: dataclasses.replace(space.brief, **looser)}
    except ValueError:
        return limit, {}


def loosened(brief, relaxed):
    """Return in which limits a brief is looser than another: a dict of name to (limit, loosened limit), in SI units.

    Parameters
    ----------
    brief, relaxed : Brief
        The stricter, and the looser one.
    """
    pairs = {name: (getattr(brief, name), getattr(relaxed, name)) for name in SHOWN}
    return {name: pair for name, pair in pairs.items() if pair[0] != pair[1]}


def _difference(brief, relaxed):
    """Say in which limits a brief is looser than another."""
    told = []
    for name, (old, new) in loosened(brief, relaxed).items():
        size, words = SHOWN[name]
        power = f" ({100 * (new / old) ** 2:.0f} % of the power)" if name == "drive" else ""
        instead = "" if old is None else f" in place of {old / size:.3g}"
        told.append(f"{words.format(f'{new / size:.3g}')}{instead}{power}")
    return " and ".join(told)


SHOWN = {
    "drive": (1.0, "{} V"),
    "f3": (1.0, "f3 of {} Hz"),
    "ripple": (1.0, "a hump of {} dB"),
    "sag": (1.0, "a sag of {} dB"),
    "delay": (1e-3, "a group delay of {} ms"),
    "volume": (1e-3, "{} litres"),
    "port_area": (1e-4, "a port of {} cm²"),
    "port_length": (1e-3, "a port of {} mm length"),
    "lowest": (1.0, "no tone below {} Hz"),
}
