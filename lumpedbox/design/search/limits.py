"""What limits a box: a record for each limit, with its name, what it is compared with, and how it gives."""

from __future__ import annotations

from dataclasses import dataclass

from ...parts.port import cube_side
from .brief import BASS

MARGIN, MARGIN_DB = 1.005, 0.02  # added to a loosened limit
# Ratio to a limit: nobody notices a smaller excess, and a coarser grid of frequencies does not see it.
UNNOTICED = 1 + 3e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Limit:
    """A limit of a brief, as a ratio.

    Attributes
    ----------
    name : str
        Name of the brief's field, if there is one.
    words : str
        What to call it.
    told : str
        How to say a limit, with a place for its size and unit.
    unit, size : str, float
        The unit to say it in, and that unit in SI.
    value : str
        Which value of a box it is compared with; "" if every box keeps it by construction.
    least : str
        Which value says how loose the limit must be; the search makes it as low as it can.
    relaxed_with : tuple of Limit
        Limits that give along with this one. Less power, or a higher lowest tone, helps travel and port alike. A larger
        port slows its air.
    tolerance : float
        How far beyond it a box may go. [1]
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
        """Return what a `brief` says about it, None if it says nothing."""
        return getattr(brief, self.name)

    def allowed(self, brief):
        """Return what a `brief` allows, None if anything goes."""
        return self.stated(brief)

    def ratio(self, value, allowed):
        """Return how far a `value` is beyond what is `allowed`: more than 1 is out. [1]"""
        return value / allowed

    def more(self, allowed, share, decibels):
        """Return `allowed` times a `share`; a level gets some `decibels` added instead."""
        return allowed * share

    def wanted(self, value, brief):
        """Return the limit that a `brief` needs so that a box of this `value` keeps it, with a little margin."""
        return self.more(value, MARGIN, MARGIN_DB)


class Decibels(Limit):
    """A limit in decibels, where the difference counts."""

    __slots__ = ()

    def ratio(self, value, allowed):
        r"""Return how far a `value` is beyond what is `allowed`: more than 1 is out. [1]

        .. math:: 10^{(L - L_{max}) / 20}
        """
        return 10 ** ((value - allowed) / 20)

    def more(self, allowed, share, decibels):
        """Return `allowed` plus some `decibels`; `share` is for what is not a level."""
        return allowed + decibels


class Bass(Limit):
    """f3, which has a limit even if the brief names none."""

    __slots__ = ()

    def allowed(self, brief):
        """Return the highest f3 that a `brief` allows, or that still counts as bass. [Hz]"""
        return self.stated(brief) or BASS


class PortLength(Limit):
    """The length of a port, which must fit even if the brief names no limit."""

    __slots__ = ()

    def allowed(self, brief):
        """Return the longest port that a `brief` allows, or else the side of a cube of its volume. [m]"""
        return self.stated(brief) or cube_side(brief.volume)


class Voltage(Limit):
    """The voltage: travel and port speed fall in proportion if less is used."""

    __slots__ = ()

    def stated(self, brief):
        """Return the highest voltage that a `brief` uses. [V]"""
        return brief.drive

    def ratio(self, value, allowed):
        """Return how many times a `value` fits into what is `allowed`. [1]"""
        return allowed / value

    def wanted(self, value, brief):
        """Return the voltage of a `brief` that a box with this `value` of strain can take, with a little margin. [V]"""
        return brief.drive / (value * MARGIN)


EXCURSION = Limit(name="excursion", words="cone travel", value="excursion")
PORT_SPEED = Limit(name="port_speed", words="port speed", value="port_speed")
F3 = Bass(name="f3", words="f3", told="an f3 of {}", unit="Hz", value="f3", least="f3")
RIPPLE = Decibels(name="ripple", words="peak", told="a peak of {}", unit="dB", value="ripple", least="ripple")
DROOP = Decibels(name="droop", words="droop", told="a droop of {}", unit="dB", value="droop", least="droop")
DELAY = Limit(
    name="delay", words="group delay", told="a group delay of {}", unit="ms", size=1e-3, value="delay", least="delay"
)
VOLUME = Limit(
    name="volume",
    words="volume",
    told="a space of {}",
    unit="litres",
    size=1e-3,
    value="volume",
    least="volume",
    tolerance=1.0,
)
PORT_AREA = Limit(
    name="port_area",
    words="port area",
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
    words="port length",
    told="a port {} long",
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
# These are not in a brief: how low a port may be tuned, what the amplifier can drive, what is known about the driver.
TUNING = Limit(name="tuning", words="lowest tuning at which a port helps")
LOAD = Limit(name="amplifier", words="the amplifier's lowest load")
XMAX = Limit(name="xmax", words="linear travel")

COMPARED = (VOLUME, F3, DELAY, EXCURSION, PORT_SPEED, RIPPLE, DROOP, PORT_AREA)
LOOSENABLE = (F3, RIPPLE, DROOP, DELAY, VOLUME, PORT_AREA, PORT_LENGTH, POWER, LOWEST_TONE)
WORDS = {limit.name: limit.words for limit in (*COMPARED, *LOOSENABLE, TUNING, LOAD, XMAX)}


def ratios(values, brief, ignored=()):
    """Return every limit's value over what is allowed: a dict of `Limit` to array. [1]

    Parameters
    ----------
    values : dict
        What boxes achieve, with the port that they get.
    brief : Brief
    ignored : tuple of Limit
        Limits that do not count.
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
        What boxes achieve; closed ones have no port to enlarge.
    brief : Brief
    """
    return tuple(
        limit
        for limit in LOOSENABLE
        if limit.least in values and (limit.stated(brief) is not None or limit is PORT_LENGTH)
    )


def loosened(brief, relaxed):
    """Return the limits that one brief loosens from another: a dict of `Limit` to (limit, loosened limit), in SI units.

    Parameters
    ----------
    brief, relaxed : Brief
        The stricter, and the looser one.
    """
    told = dict.fromkeys((POWER, *LOOSENABLE))  # the power first
    pairs = {limit: (limit.stated(brief), limit.stated(relaxed)) for limit in told}
    return {limit: pair for limit, pair in pairs.items() if pair[0] != pair[1]}
