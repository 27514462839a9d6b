"""What a meter, a battery cell and an ear tell about the wires of loudspeakers."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isinf

from ...arguments import Named, Several, Single, takes
from ...parts.driver import Driver
from ...quantity import Holds, OneOf, Quantity, Text

COIL = (0.75, 0.9)  # resistance of a coil over the rated impedance (common practice, no source)
LEAST = 0.8  # least impedance over the rated one (IEC 60268-5, from memory)
ERROR = 0.3  # ohm, of a cheap meter with its leads (common practice, no source)
RATED = (2.0, 3.0, 4.0, 6.0, 8.0)  # ohm, of loudspeakers in vehicles (common practice, no source)
CELL = 1.5  # V, of an AA cell
WAYS = {"alone": 1.0, "series": 2.0, "parallel": 0.5}  # of one loudspeaker, or of two alike: what their ohms add up to

# What two readings show of a pair of wires.
OPEN, SERIES, PARALLEL, HIDDEN, UNDECIDED = "open", "series", "parallel", "hidden", "undecided"
IMPOSSIBLE, SHORTED = "impossible", "shorted"

AS_MARKED, REVERSED = "as marked", "reversed"


OHMS = Single(Quantity(unit="ohm", meaning="reading of an ohmmeter; inf where it shows OL", low=0.0, high=inf))
RATING = Single(Quantity(unit="ohm", meaning="rated impedance", low=0.5, high=100.0))
VOLTS = Single(Quantity(unit="V", meaning="of a battery cell", low=0.0, high=9.0))
MOVED, LOUDER = OneOf(("out", "in")), OneOf(("as it was", "with one pair swapped"))
HEARD = Named(Several(Text(), "names of what was heard"), "what was heard")


@dataclass(frozen=True, slots=True)
class Guess:
    """One way that loudspeakers may be wired to a pair.

    Attributes
    ----------
    how : {"alone", "series", "parallel"}
        One loudspeaker, or two that are alike.
    rated : float
        Rated impedance of each. [ohm]
    load, least : float
        Rated load of the pair, and how far it may fall. [ohm]
    """

    how: str
    rated: float
    load: float
    least: float


@dataclass(frozen=True, slots=True)
class Pair:
    """What is known of a pair of wires.

    Attributes
    ----------
    resistance : float
        Less what the leads read; inf where nothing lets direct current through. [ohm]
    error : float
        Of the meter, as a share of it. [1]
    shows : str
        "series", "parallel", "hidden" (the one unplugged is behind a capacitor, or elsewhere), "open", "shorted",
        "impossible" or "undecided".
    coils : tuple of float
        Those of two in parallel: of the one still connected, and of the one unplugged. [ohm]
    guesses : tuple of Guess
        What fits the first reading.
    """

    resistance: float
    error: float
    shows: str
    coils: tuple
    guesses: tuple


@takes(reading=OHMS, leads=OHMS, without_one=OHMS, rated=RATING)
def pair(reading, leads=0.0, without_one=None, rated=None):
    r"""Return what ohms at a pair of wires tell, unplugged at the amplifier. [ohm]

    Parameters
    ----------
    reading, leads : float
        Of the pair, inf where the meter shows OL; and of the two leads that touch. [ohm]
    without_one : float, optional
        The same with one loudspeaker unplugged. [ohm]
    rated : float, optional
        What is printed on the loudspeakers. [ohm]

    Raises
    ------
    ValueError
        If the leads read more than the pair.

    Notes
    -----
    .. math:: R = R_{read} - R_{leads}, \quad 1/R_{unplugged} = 1/R - 1/R_{left}

    A coil has 0.75 to 0.9 of its rated impedance, and the meter errs by 0.3 ohm (common practice, no source).

    Examples
    --------
    >>> pair(1.9, 0.2, 3.6).shows
    'parallel'
    """
    resistance = reading - leads
    if resistance < -ERROR:
        raise ValueError("The leads alone read more than the pair: touch them again, and read both once more.")
    resistance = max(resistance, 0.0)
    left = None if without_one is None else without_one - leads
    shows = _shown(resistance, left)
    coils = (left, _rest(resistance, left)) if shows == PARALLEL else ()
    error = ERROR / resistance if resistance else inf
    guesses = () if isinf(resistance) else tuple(_guesses(resistance, (rated,) if rated else RATED, shows))
    return Pair(resistance, 0.0 if isinf(resistance) else error, shows, coils, guesses)


def _shown(resistance, left):
    if resistance <= ERROR:
        return SHORTED
    if left is None:
        return OPEN if isinf(resistance) else UNDECIDED
    if isinf(resistance):
        return OPEN if isinf(left) else IMPOSSIBLE
    if isinf(left):
        return SERIES
    if abs(left - resistance) <= ERROR:
        return HIDDEN
    return PARALLEL if left > resistance else IMPOSSIBLE


def _rest(resistance, left):
    """Return the resistance that was across another one. [ohm]"""
    return 1 / (1 / resistance - 1 / left)


def _guesses(resistance, rated, shows):
    """Yield the ways whose ohms lie within the meter's error."""
    low, high = COIL
    for ohm in rated:
        for how, times in WAYS.items():
            fits = low * ohm * times - ERROR <= resistance <= high * ohm * times + ERROR
            told = shows in (UNDECIDED, how) or (shows == HIDDEN and how == "alone")
            if fits and told:
                yield Guess(how, ohm, ohm * times, LEAST * ohm * times)


@takes(driver=Holds((Driver,)), volts=VOLTS)
def cone_moves(driver, volts=CELL):
    r"""Return how far a cone moves on a battery cell, and what flows. [m], [A]

    Parameters
    ----------
    driver : Driver
    volts : float
        Of the cell. [V]

    Notes
    -----
    .. math:: I = V / R_e, \quad x = Bl\,I\,C_{ms}

    Examples
    --------
    >>> from lumpedbox.tables import demo_drivers
    >>> moved, current = cone_moves(demo_drivers()["165 mm panel"])
    >>> print(f"{1000 * moved:.1f} mm, {current:.1f} A")
    1.3 mm, 0.4 A
    """
    current = volts / driver.Re
    return driver.Bl * current * driver.Cms, current


@takes(moved=MOVED)
def polarity(moved):
    """Return how a woofer is connected whose cone moves as + of a cell touches its +: a word.

    Parameters
    ----------
    moved : {"out", "in"}
    """
    return {"out": AS_MARKED, "in": REVERSED}[moved]


@takes(louder=LOUDER)
def swapped(louder):
    """Return how a pair is connected against the others, of bass that is louder one way: a word.

    Parameters
    ----------
    louder : {"as it was", "with one pair swapped"}
        At 50 Hz in mono, at one seat.
    """
    return {"as it was": AS_MARKED, "with one pair swapped": REVERSED}[louder]


@takes(heard=HEARD)
def shared(heard):
    """Return the channels on which several loudspeakers play, and those that play on several channels, as two dicts.

    Parameters
    ----------
    heard : dict
        Name of each channel: names of what was heard from it.

    Examples
    --------
    >>> shared({"front left": ("door", "dash"), "rear left": ("shelf",)})
    ({'front left': ('door', 'dash')}, {})
    """
    several = {channel: tuple(names) for channel, names in heard.items() if len(names) > 1}
    where = {}
    for channel, names in heard.items():
        for name in names:
            where.setdefault(name, []).append(channel)
    return several, {name: tuple(channels) for name, channels in where.items() if len(channels) > 1}
