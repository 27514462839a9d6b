"""What limits a box: one record each, with what it is called, what it is compared with, and how it gives."""

from __future__ import annotations

from dataclasses import dataclass

from ...parts.port import cube_side
from .brief import BASS

MARGIN, MARGIN_DB = 1.005, 0.02  # on what a loosened limit must be
# Of a limit: nobody notices what is no more over it, and a coarser grid of frequencies sees no more.
UNNOTICED = 1 + 3e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Limit:
    """A limit of a brief, as a ratio.

    Attributes
    ----------
    name : str
        Of the brief's field, if it is one.
    words : str
        What it is called.
    told : str
        How a limit of some size is said, with a place for the size and its unit.
    unit, size : str, float
        The unit that it is said in, and that unit in SI.
    value : str
        Which value of a box it is compared with; "" where boxes keep it by how they are made.
    least : str
        Which value says how loose the limit must be, and is made as low as it can.
    relaxed_with : tuple of Limit
        What gives as well where this limit does: less power or a higher lowest tone helps travel and port alike, a
        larger port the speed in it.
    tolerance : float
        How far beyond it a box may be. [1]
    """

    name: str
    words: str
    told: str = ""
    unit: str = ""
    size: float = 1.0
    value: str = ""
    least: str = ""
    relaxed_with: tuple = ()
    tolerance: float = UNNOTICED

    def stated(self, brief):
        """Return what a `brief` says of it, None where it says nothing."""
        return getattr(brief, self.name)

    def allowed(self, brief):
        """Return what counts, None where anything goes; `brief` as it is stated."""
        return self.stated(brief)

    def ratio(self, value, allowed):
        """Return how far a `value` is beyond what is `allowed`: more than 1 is out. [1]"""
        return value / allowed

    def more(self, allowed, share, decibels):
        """Return `allowed` times a `share`, or, where it is a level, with some `decibels` on it."""
        return allowed * share

    def wanted(self, value, brief):
        """Return what the limit of a `brief` must be so that a box of this `value` keeps it, with a little over."""
        return self.more(value, MARGIN, MARGIN_DB)


class Decibels(Limit):
    """A limit in decibels, where a difference counts."""

    __slots__ = ()

    def ratio(self, value, allowed):
        r"""Return how far a `value` is beyond what is `allowed`: more than 1 is out. [1]

        .. math:: 10^{(L - L_{max}) / 20}
        """
        return 10 ** ((value - allowed) / 20)

    def more(self, allowed, share, decibels):
        """Return `allowed` with some `decibels` on it; `share` is for what is no level."""
        return allowed + decibels


class Bass(Limit):
    """f3, which has a limit even where the brief names none."""

    __slots__ = ()

    def allowed(self, brief):
        """Return the highest f3 that a `brief` allows, at most what is bass. [Hz]"""
        return self.stated(brief) or BASS


class PortLength(Limit):
    """The length of a port, which has to fit even where the brief names no limit."""

    __slots__ = ()

    def allowed(self, brief):
        """Return the longest port that a `brief` allows, without a limit the side of a cube. [m]"""
        return self.stated(brief) or cube_side(brief.volume)


class Voltage(Limit):
    """The voltage, of which less may be used: what it does to travel and speed is in proportion."""

    __slots__ = ()

    def stated(self, brief):
        """Return the highest voltage that a `brief` uses. [V]"""
        return brief.drive

    def ratio(self, value, allowed):
        """Return how many times more is `allowed` than a `value`. [1]"""
        return allowed / value

    def wanted(self, value, brief):
        """Return the voltage of a `brief` that a box of this `value` of strain stands, with a little over. [V]"""
        return brief.drive / (value * MARGIN)


EXCURSION = Limit(name="excursion", words="travel of the cone", value="excursion")
PORT_SPEED = Limit(name="port_speed", words="speed in the port", value="port_speed")
F3 = Bass(name="f3", words="f3", told="an f3 of {}", unit="Hz", value="f3", least="f3")
RIPPLE = Decibels(name="ripple", words="hump", told="a hump of {}", unit="dB", value="ripple", least="ripple")
SAG = Decibels(name="sag", words="sag", told="a sag of {}", unit="dB", value="sag", least="sag")
DELAY = Limit(
    name="delay", words="group delay", told="a group delay of {}", unit="ms", size=1e-3, value="delay", least="delay"
)
VOLUME = Limit(
    name="volume",
    words="volume",
    told="{}",
    unit="litres",
    size=1e-3,
    value="volume",
    least="volume",
    tolerance=1.0,
)
PORT_AREA = Limit(
    name="port_area",
    words="area of the port",
    told="a port of {}",
    unit="cm²",
    size=1e-4,
    value="opening",
    least="port_area",
    relaxed_with=(PORT_SPEED,),
    tolerance=1.0,
)
PORT_LENGTH = PortLength(
    name="port_length",
    words="length of the port",
    told="a port of {} length",
    unit="mm",
    size=1e-3,
    least="port_length",
    relaxed_with=(PORT_SPEED,),
)
POWER = Voltage(
    name="voltage",
    words="power",
    told="no more than {}",
    unit="V",
    least="strain",
    relaxed_with=(EXCURSION, PORT_SPEED),
)
LOWEST_TONE = Limit(
    name="lowest",
    words="lowest tone",
    told="no tone below {}",
    unit="Hz",
    least="lowest",
    relaxed_with=(EXCURSION, PORT_SPEED),
)
# These are of no brief: what a port must be tuned to, what the amplifier stands, what is known of the driver.
TUNING = Limit(name="tuning", words="lowest tuning at which a port helps")
LOAD = Limit(name="amplifier", words="lowest load of the amplifier")
XMAX = Limit(name="xmax", words="linear travel")

COMPARED = (VOLUME, F3, DELAY, EXCURSION, PORT_SPEED, RIPPLE, SAG, PORT_AREA)
LOOSENABLE = (F3, RIPPLE, SAG, DELAY, VOLUME, PORT_AREA, PORT_LENGTH, POWER, LOWEST_TONE)
WORDS = {limit.name: limit.words for limit in (*COMPARED, *LOOSENABLE, TUNING, LOAD, XMAX)}


def ratios(values, brief, ignored=()):
    """Return every limit's value over what is allowed: a dict of `Limit` to array. [1]

    Parameters
    ----------
    values : dict
        What boxes come to, with the port that they are to have.
    brief : Brief
    ignored : tuple of Limit
        What does not count.
    """
    counted = {limit: limit.allowed(brief) for limit in COMPARED if limit not in ignored and limit.value in values}
    return {
        limit: limit.ratio(values[limit.value], allowed) for limit, allowed in counted.items() if allowed is not None
    }


def loosenable(values, brief):
    """Return the limits of a brief that may give, as a tuple of `Limit`.

    Parameters
    ----------
    values : dict
        What boxes come to: closed ones have no port that could be larger.
    brief : Brief
    """
    return tuple(
        limit
        for limit in LOOSENABLE
        if limit.least in values and (limit.stated(brief) is not None or limit is PORT_LENGTH)
    )


def loosened(brief, relaxed):
    """Return in which limits a brief is looser than another: a dict of `Limit` to (limit, loosened limit), in SI units.

    Parameters
    ----------
    brief, relaxed : Brief
        The stricter, and the looser one.
    """
    told = dict.fromkeys((POWER, *LOOSENABLE))  # the power first
    pairs = {limit: (limit.stated(brief), limit.stated(relaxed)) for limit in told}
    return {limit: pair for limit, pair in pairs.items() if pair[0] != pair[1]}
