"""Bass against size: the lowest f3 of every volume, sealed and vented, and what keeps a volume out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..air import Air
from ..parts.driver import reference_efficiency
from ..quantity import Holds
from .alignments import best_f3, single_driver
from .search import CANDIDATES, FELT, Brief, Space

BEYOND = 2.0  # times the litres that exist: as far as the trade-off is followed


@dataclass(frozen=True, slots=True, eq=False)
class TradeOff:
    """The lowest f3 of one kind of box at every volume.

    Attributes
    ----------
    kind : str
        "sealed" or "vented".
    volume : array, shape (n,)
        What the box takes up with its port and driver, rising. [m3]
    f3 : array, shape (n,)
        Lowest that keeps every limit but the volume; `nan` where none does. [Hz]
    limits : tuple of str, length n
        The limit that is passed most where the limits are passed least; "" where they are kept.
    bound : array, shape (n,)
        What the best driver of this efficiency reaches with that volume by the named shapes, in a box without losses;
        `nan` in a cabin, where f3 means something else. [Hz]
    """

    kind: str
    volume: np.ndarray
    f3: np.ndarray
    limits: tuple
    bound: np.ndarray


def trade_off(driver, brief, *, candidates=3600, air=Air()):
    """Return how f3 falls with the volume of the box, for each kind of box that a brief allows.

    Parameters
    ----------
    driver : Driver
        A single one.
    brief : Brief
        Its volume is no limit here: volumes up to twice as large are shown.
    candidates : int
        How many vented boxes are tried; their root is the number of volumes.
    air : Air

    Returns
    -------
    tuple of TradeOff

    Raises
    ------
    ValueError, TypeError
        If an argument is not what it must be; the message names it.
    """
    single_driver("trade_off", driver)
    Holds((Brief,)).accept("trade_off", "brief", brief)
    Holds((Air,)).accept("trade_off", "air", air)
    candidates = CANDIDATES.accept("trade_off", "candidates", candidates)
    return tuple(of_space(Space(driver, kind, brief, candidates, air, most=BEYOND)) for kind in brief.kinds)


def of_space(space):
    """Return the trade-off among the boxes of a space.

    Parameters
    ----------
    space : Space

    Returns
    -------
    TradeOff
    """
    values = space.of_each_volume()
    ratios = space.ratios(values, without=("volume",), aim="volume")
    names, passed = list(ratios), np.array(list(ratios.values()))
    kept, volume = passed.max(axis=0) <= FELT, values["volume"]
    order = np.argsort(volume)
    limits = tuple("" if kept[i] else names[int(np.argmax(passed[:, i]))] for i in order)
    efficiency = reference_efficiency(space.driver, space.air)
    bound = best_f3(space.kind, efficiency, volume[order], space.air)
    if space.brief.cabin is not None:
        bound = np.full_like(bound, np.nan)
    return TradeOff(space.kind, volume[order], np.where(kept, values["f3"], np.nan)[order], limits, bound)
