"""What an ohmmeter tells about a pair of wires."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import inf

from ..arguments import Named, Single, takes
from ..quantity import Quantity, Whole

READING = Quantity(unit="ohm", meaning="reading of the ohmmeter", low=0.01, high=1e6)
COIL = Quantity(unit="ohm", meaning="resistance of a coil; inf behind a capacitor", low=0.01, high=inf)
AT_MOST = Whole("most drivers on the pair of wires", range(1, 5))
AS_FAR_AS = 0.25  # of the expected value; meters, leads and coils differ this much (common practice, no source)


@dataclass(frozen=True, slots=True)
class Wiring:
    """A way that drivers may be wired to a pair of wires.

    Attributes
    ----------
    words : str
        Such as "165 mm panel in parallel with 100 mm roof".
    resistance : float
        What an ohmmeter would read. [ohm]
    off : float
        Reading over `resistance`, minus one. [1]
    """

    words: str
    resistance: float
    off: float


@takes(reading=Single(READING), resistances=Named(Single(COIL), "resistance of a coil in ohm"), at_most=AT_MOST)
def likely_wirings(reading, resistances, at_most=4):
    r"""Return the ways of wiring that fit a reading, the likeliest first.

    Parameters
    ----------
    reading : float
        With the amplifier disconnected; subtract what the leads read when they touch. [ohm]
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
    capacitor.
    """
    guesses = [
        Wiring(words, resistance, reading / resistance - 1)
        for count in range(1, min(at_most, len(resistances)) + 1)
        for names in itertools.combinations(resistances, count)
        for words, resistance in _ways(names, [resistances[name] for name in names])
    ]
    fitting = [guess for guess in guesses if abs(guess.off) <= AS_FAR_AS]
    return tuple(sorted(fitting, key=lambda guess: (round(abs(guess.off), 2), len(guess.words))))


def _ways(names, values):
    if len(names) == 1:
        yield f"{names[0]} alone", values[0]
        return
    yield " in series with ".join(names), sum(values)
    conductance = sum(1 / value for value in values)
    yield " in parallel with ".join(names), 1 / conductance if conductance else inf
    if len(names) == 4:
        pairs = (values[0] + values[1], values[2] + values[3])
        words = f"({names[0]} in series with {names[1]}) in parallel with ({names[2]} in series with {names[3]})"
        yield words, 1 / (1 / pairs[0] + 1 / pairs[1])
