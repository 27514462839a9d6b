"""Values you can buy: the preferred numbers of resistors, capacitors and coils."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..arguments import FLAG, FREQUENCIES, Single, takes
from ..parts.loudspeaker import LOUDSPEAKER
from ..parts.network import NETWORK, Branch, Capacitor, Inductor, Network, Resistor, SideBySide
from ..quantity import OneOf, Quantity
from ..response import solve

# IEC 60063, from memory. E24 is not simply a rounded geometric series: the standard sets 2.7 to 4.7 and 8.2 otherwise.
E24 = (
    *(1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0),
    *(3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1),
)
SERIES = {"E12": E24[::2], "E24": E24}
NAME = OneOf(words=tuple(SERIES))
VALUE = Quantity(unit="", meaning="value to round, in its own unit", low=1e-12, high=1e9)


@takes(value=Single(VALUE), series=NAME)
def decades(value, series):
    """Return the preferred values around a value, in its unit. [1]

    Parameters
    ----------
    value : float
        In any unit.
    series : {"E12", "E24"}
        Which preferred numbers.

    Returns
    -------
    array
        Its decade, with the decade below and the one above.
    """
    power = 10.0 ** np.floor(np.log10(value))
    return np.concatenate([np.array(SERIES[series]) * power * step for step in (0.1, 1.0, 10.0)])


@takes(value=Single(VALUE), series=NAME)
def nearest(value, series="E24"):
    """Return the preferred value nearest in proportion, in the unit of `value`. [1]

    Parameters
    ----------
    value : float
        In any unit.
    series : {"E12", "E24"}
        Which preferred numbers.

    Examples
    --------
    >>> print(f"{nearest(8.4e-6, 'E12'):.3g}")
    8.2e-06
    """
    known = decades(value, series)
    return float(known[np.argmin(np.abs(np.log(known / value)))])


@takes(value=Single(VALUE), series=NAME)
def pair(value, series="E12"):
    """Return the one or two preferred values whose sum is nearest, larger first, in the unit of `value`. [1]

    Capacitors add in parallel, coils and resistors in series. If one alone is as close, it returns just that one.

    Parameters
    ----------
    value : float
        In any unit.
    series : {"E12", "E24"}
        Which preferred numbers.

    Examples
    --------
    >>> print(*(f"{part:.3g}" for part in pair(9.0e-6)))
    6.8e-06 2.2e-06
    """
    known = decades(value, series)
    sums = known[:, np.newaxis] + known
    single = nearest(value, series)
    if abs(np.log(single / value)) <= np.min(np.abs(np.log(sums / value))):
        return (single,)
    larger, smaller = np.unravel_index(np.argmin(np.abs(np.log(sums / value))), sums.shape)
    return tuple(sorted((float(known[larger]), float(known[smaller])), reverse=True))


@takes(network=Single(NETWORK), series=NAME, pairs=FLAG)
def rounded(network, series="E24", pairs=False):
    """Return a network with values you can buy.

    Parameters
    ----------
    network : Network
        Of single values.
    series : {"E12", "E24"}
        Which preferred numbers.
    pairs : bool
        Whether two parts may make up each value.

    Returns
    -------
    Network
        Resistances of wires and losses stay as they are.
    """

    def bought(value):
        return sum(pair(value, series)) if pairs else nearest(value, series)

    def component(part):
        if isinstance(part, SideBySide):
            return SideBySide(components=tuple(map(component, part.components)))
        name = {Resistor: "resistance", Inductor: "inductance", Capacitor: "capacitance"}[type(part)]
        value = getattr(part, name)
        return part if value in (0.0, np.inf) else dataclasses.replace(part, **{name: bought(value)})

    branches = [
        Branch(components=tuple(map(component, branch.components)), placed=branch.placed) for branch in network.branches
    ]
    return Network(branches=tuple(branches))


@takes(loudspeaker=Single(LOUDSPEAKER), frequency=FREQUENCIES, series=NAME, pairs=FLAG)
def cost_of_rounding(loudspeaker, frequency, *, series="E24", pairs=False):
    """Largest change of level, up or down, if the network uses values you can buy. [dB]

    Parameters
    ----------
    loudspeaker : Loudspeaker
        A single one, with a network.
    frequency : array, shape (nf,)
        Where the level counts. [Hz]
    series : {"E12", "E24"}
        Which preferred numbers.
    pairs : bool
        Whether two parts may make up each value.
    """
    if loudspeaker.network is None:
        raise ValueError("cost_of_rounding.loudspeaker has no network: there is nothing to round")
    bought = dataclasses.replace(loudspeaker, network=rounded(loudspeaker.network, series, pairs))
    return float(np.max(np.abs(solve(bought, frequency).level - solve(loudspeaker, frequency).level)))
