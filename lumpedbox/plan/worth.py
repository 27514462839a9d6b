"""What each stage is worth, wherever in the order it stands."""

from __future__ import annotations

import numpy as np

from ..arguments import takes
from .lattice import Lattice
from .search import NOTHING, PLAN, Aim, before_of, check_count, values_of
from .together import BASS, PlayedBand

BAND = PlayedBand()


@takes(plan=PLAN, of=BAND)
def shares(plan, of=BASS):
    r"""Return what each stage adds to the highest clean level in a band, averaged over all possible orders.

    Parameters
    ----------
    plan : Plan
    of : (float, float)
        Edges of the band. [Hz]

    Returns
    -------
    dict
        Name of each stage: its share; together they are what all stages do. `nan` for a stage before or after which
        nothing plays in some order. [dB]

    Notes
    -----
    With the N orders in which each stage comes after those that it says, and w of them passing through S to S + i,

    .. math:: \varphi_i = \sum_S \frac{w(S, i)}{N} \left(v(S \cup i) - v(S)\right)

    References
    ----------
    L. S. Shapley, "A value for n-person games" (1953), from memory; here over the orders that are possible.

    Examples
    --------
    >>> from lumpedbox.plan import demo_plan, shares
    >>> for name, share in shares(demo_plan()).items():
    ...     print(f"{share:+.1f} dB {name}")
    +2.4 dB seal the step wells
    -2.1 dB small drivers in the step wells
    +0.0 dB tweeters at the middle row
    +3.1 dB keep bass from the roof
    +1.6 dB amplifier
    +10.4 dB bass box
    """
    return {name: sum(w * change for w, change in found) for name, found in _changes(plan, of).items()}


@takes(plan=PLAN, of=BAND)
def spans(plan, of=BASS):
    """Return the least and the most that each stage adds to the highest clean level in a band, in any possible order.

    Parameters
    ----------
    plan : Plan
    of : (float, float)
        Edges of the band. [Hz]

    Returns
    -------
    dict
        Name of each stage: (least, most); `nan` as in `shares`. [dB]
    """
    found = {name: [change for _, change in changes] for name, changes in _changes(plan, of).items()}
    return {name: (float(np.min(changes)), float(np.max(changes))) for name, changes in found.items()}


def _changes(plan, of):
    """Return name of each stage: pairs of how often it makes a change, as a share of all orders, and the change."""
    check_count("shares", plan)
    values, _ = values_of(plan, Aim(band=of).of)
    lattice = Lattice(before_of(plan), values)
    levels = np.where(values <= NOTHING, np.nan, values)
    ways, ways_on = lattice.ways(), lattice.ways_on()
    found = {name: [] for name in plan.stages}
    for some, stage, then in lattice.steps():
        often = ways[some] * ways_on[then] / ways[-1]
        name = plan.ranked[stage]
        found[name] += [(float(w), float(c)) for w, c in zip(often, levels[then] - levels[some], strict=True) if w > 0]
    return found
