"""A blind test: whether so many right guesses may be luck."""

from __future__ import annotations

from ..arguments import takes
from ..errors import Refused
from ..quantity import Whole

TRIALS = 10
DOUBTED = 0.05  # a chance smaller than this is hardly luck (common practice)


@takes(right=Whole("guesses that were right", range(1001)), trials=Whole("guesses", range(1, 1001)))
def by_luck(right, trials=TRIALS):
    r"""Return the chance that who hears nothing, and guesses between two, is right as often or more often. [1]

    .. math:: P = \sum_{k=r}^{n} \binom{n}{k} 2^{-n}

    Parameters
    ----------
    right : int
        How many guesses were right. [1]
    trials : int
        How many there were. [1]

    Raises
    ------
    ValueError, TypeError
        If a number is not whole or out of range, or more guesses were right than there were.

    References
    ----------
    The binomial distribution.

    Examples
    --------
    >>> from lumpedbox.response.blind import by_luck
    >>> print(f"{by_luck(9, 10):.4f}")
    0.0107
    """
    from scipy.stats import binom

    if right > trials:
        raise Refused("by_luck", "right", f"must be at most the {trials} trials, got {right}")
    return float(binom.sf(right - 1, trials, 0.5))
