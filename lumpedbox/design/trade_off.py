"""Bass against size: the lowest f3 at every volume, sealed and vented, and what rules a volume out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import Single, takes
from ..parts.driver import DRIVER, reference_efficiency
from .alignments import best_f3
from .search.boxes import Boxes
from .search.brief import BRIEF
from .search.candidates import Candidates
from .search.limits import UNNOTICED, VOLUME, ratios
from .search.recommendation import CANDIDATES

BEYOND = 2.0  # times the litres available: how far the trade-off goes


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
        The limit that the best box exceeds most; "" where it keeps them all.
    bound : array, shape (n,)
        What the best driver of this efficiency reaches with that volume by the named shapes, without losses. It is
        `nan` in a cabin, where f3 means something else. [Hz]
    """

    kind: str
    volume: np.ndarray
    f3: np.ndarray
    limits: tuple
    bound: np.ndarray


@takes(driver=Single(DRIVER), brief=BRIEF, candidates=CANDIDATES, air=Single(AIR))
def trade_off(driver, brief, *, candidates=3600, air=Air()):
    """Return how f3 falls with the volume of the box, for each kind of box that a brief allows.

    Parameters
    ----------
    driver : Driver
        A single one.
    brief : Brief
        Its volume does not limit here: volumes up to twice as large are shown.
    candidates : int
        How many vented boxes to try; the square root of it is the number of volumes.
    air : Air

    Returns
    -------
    tuple of TradeOff

    Raises
    ------
    ValueError, TypeError
        If an argument is of the wrong kind or out of range; the message names it.
    """
    kinds = [Boxes.within(driver, kind, brief, air, most=BEYOND) for kind in brief.kinds]
    return tuple(of_candidates(Candidates(boxes, candidates)) for boxes in kinds)


def of_candidates(candidates):
    """Return the trade-off among the boxes that were tried.

    Parameters
    ----------
    candidates : Candidates

    Returns
    -------
    TradeOff
    """
    boxes, values = candidates.boxes, candidates.of_each_volume()
    passed = ratios(values, boxes.brief, ignored=(VOLUME,))
    limits, passed = list(passed), np.array(list(passed.values()))
    suits, volume = passed.max(axis=0) <= UNNOTICED, values["volume"]
    order = np.argsort(volume)
    names = tuple("" if suits[i] else limits[int(np.argmax(passed[:, i]))].name for i in order)
    efficiency = reference_efficiency(boxes.driver, boxes.air)
    bound = best_f3(boxes.kind, efficiency, volume[order], boxes.air)
    if boxes.brief.cabin is not None:
        bound = np.full_like(bound, np.nan)
    return TradeOff(boxes.kind, volume[order], np.where(suits, values["f3"], np.nan)[order], names, bound)
