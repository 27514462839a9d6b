"""What an ohmmeter tells about a pair of wires."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import inf, isinf

from ..arguments import Named, Single, takes
from ..parts.network import Capacitor, Inductor, SideBySide
from ..parts.system import CHANNEL
from ..quantity import Quantity, Whole

READING = Quantity(unit="ohm", meaning="reading of the ohmmeter; inf where it shows OL", low=0.01, high=inf)
COIL = Quantity(unit="ohm", meaning="resistance of a coil; inf behind a capacitor", low=0.01, high=inf)
AT_MOST = Whole("most drivers on the pair of wires", range(1, 5))
ALONE, MIXED = "alone", "mixed"
AS_FAR_AS = 0.25  # of the expected value; meters, leads and coils differ this much (common practice, no source)


@dataclass(frozen=True, slots=True)
class Wiring:
    """A way that drivers may be wired to a pair of wires.

    Attributes
    ----------
    words : str
        Such as "165 mm panel in parallel with 100 mm roof".
    how : {"alone", "series", "parallel", "mixed"}
    resistance : float
        What an ohmmeter would read; inf is OL. [ohm]
    off : float
        Reading over `resistance`, minus one; 0 where both are inf. [1]
    """

    words: str
    how: str
    resistance: float
    off: float


@takes(reading=Single(READING), resistances=Named(Single(COIL), "resistance of a coil in ohm"), at_most=AT_MOST)
def likely_wirings(reading, resistances, at_most=4):
    r"""Return the ways of wiring that fit a reading, the likeliest first.

    Parameters
    ----------
    reading : float
        With the amplifier disconnected; subtract what the leads read when they touch. `inf` is the meter's OL: nothing
        lets direct current through. [ohm]
    resistances : dict
        Name of each driver that may be there: its Re, or `inf` if it is behind a capacitor. [ohm]
    at_most : int
        Most drivers to consider on the pair of wires.

    Returns
    -------
    tuple of Wiring
        Empty if nothing fits within a quarter.

    Raises
    ------
    ValueError
        If the reading is out of its range.

    Notes
    -----
    .. math:: R = \sum R_i \quad\text{or}\quad 1/R = \sum 1/R_i

    It also tries two series pairs in parallel. An ohmmeter uses direct current, so it cannot see a driver behind a
    capacitor. A broken wire reads OL too.
    """
    guesses = [
        Wiring(words, how, resistance, _off(reading, resistance))
        for count in range(1, min(at_most, len(resistances)) + 1)
        for names in itertools.combinations(resistances, count)
        for words, how, resistance in _ways(names, [resistances[name] for name in names])
    ]
    fitting = [guess for guess in guesses if abs(guess.off) <= AS_FAR_AS]
    return tuple(sorted(fitting, key=lambda guess: (round(abs(guess.off), 2), len(guess.words))))


def _off(reading, resistance):
    """Reading over resistance, minus one; OL fits only what lets no direct current through. [1]"""
    if isinf(reading) or isinf(resistance):
        return 0.0 if reading == resistance else inf
    return reading / resistance - 1


def _ways(names, values):
    if len(names) == 1:
        yield f"{names[0]} alone", ALONE, values[0]
        return
    yield " in series with ".join(names), "series", sum(values)
    yield " in parallel with ".join(names), "parallel", _parallel(values)
    if len(names) == 4:
        words = f"({names[0]} in series with {names[1]}) in parallel with ({names[2]} in series with {names[3]})"
        yield words, MIXED, _parallel((values[0] + values[1], values[2] + values[3]))


@takes(channel=Single(CHANNEL))
def meter_reading(channel):
    r"""What an ohmmeter reads at the wires of a channel, the amplifier disconnected. [ohm]

    .. math:: R = \sum R_i \quad\text{or}\quad 1/R = \sum 1/R_i

    Parameters
    ----------
    channel : Channel
        Of single values.

    Returns
    -------
    float
        `inf` (the meter shows OL) where a capacitor lets no direct current through.
    """
    groups = [
        _together(channel.wiring_in_groups, [_at_the_wires(speaker) for speaker in group]) for group in channel.groups
    ]
    return _together(channel.wiring, groups)


def _together(wiring, values):
    return sum(values) if wiring == "series" else _parallel(values)


def _parallel(values):
    """Return 1 / sum(1 / R); no current at all is inf. [ohm]"""
    if 0.0 in values:
        return 0.0
    conductance = sum(1 / value for value in values)
    return 1 / conductance if conductance else inf


def _at_the_wires(loudspeaker):
    """Return the resistance of a loudspeaker with its network to direct current. [ohm]"""
    driver, network = loudspeaker.driver, loudspeaker.network
    seen = float(driver.Re) if driver.built_in_capacitance is None else inf
    for branch in reversed(network.branches if network else ()):
        own = sum(map(_of_component, branch.components))
        seen = seen + own if branch.placed == "in series" else _parallel((seen, own))
    return seen


def _of_component(component):
    """Return the resistance of a component to direct current; one that is not fitted counts as what it stands for."""
    if isinstance(component, SideBySide):
        return _parallel([_of_component(leg) for leg in component.components])
    if isinstance(component, Capacitor) and not isinf(component.capacitance):
        return inf
    if isinstance(component, Inductor) and isinf(component.inductance):
        return inf
    return float(component.resistance)
