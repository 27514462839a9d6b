"""Loudspeakers of one band that work against each other at the ear, and what reversing one of them would do."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .grid import runs
from .heard_together import level_of_sum

# All ours:
NOTED = 6.0  # dB lost; less is usual where two overlap
WIDTH = 2 ** (1 / 3)  # from the lower edge to the upper; a narrower dip belongs to this one place of the ear
SAME_BAND = 10.0  # dB; a loudspeaker that far under the loudest plays another band
DEEPEST = 60.0  # dB; no real pair cancels further


@dataclass(frozen=True, slots=True)
class Opposing:
    """A loudspeaker that works against others.

    Attributes
    ----------
    who : str
        The one whose reversal gains most there.
    others : tuple of str
        The others that play there.
    low, high : float
        Where. [Hz]
    lost : float
        The most that the sum falls short of all in phase. [dB]
    gain : float
        Change of the level there with `who` reversed, on average. [dB]
    worst : float
        Lowest change of the level anywhere else; `nan` if there is nowhere else. [dB]
    at : float
        Where that is. [Hz]
    """

    who: str
    others: tuple
    low: float
    high: float
    lost: float
    gain: float
    worst: float
    at: float


def opposing(system):
    r"""Return where loudspeakers of one band cancel at the ear, as a tuple of `Opposing`; for a family none is sought.

    .. math:: 20 \log_{10}(\sum |p_i| / |\sum p_i|) \ge 6

    It is sought over the frequencies of the response, up to where a cabin's resonances crowd together.

    Parameters
    ----------
    system : SystemResponse
    """
    if system.shape or len(system.responses) < 2:
        return ()
    order = np.argsort(system.frequency)
    frequency, pressures = system.frequency[order], np.array(system.pressures)[:, order]
    sizes = np.abs(pressures)
    playing = sizes >= sizes.max(axis=0) * 10 ** (-SAME_BAND / 20)
    together, most = pressures.sum(axis=0), sizes.sum(axis=0)
    lost = 20 * np.log10(most / _limited(together, most))
    dips = (lost >= NOTED) & (playing.sum(axis=0) > 1) & (frequency <= system.modal_limit)

    def heard(pressure):  # where a cabin's resonances crowd, powers add, so that no reversal changes anything
        return level_of_sum(_limited(pressure, most), np.sum(sizes**2, axis=0), frequency, system.modal_limit)

    changes = heard(together - 2 * pressures) - heard(together)
    found = [slice(start, end) for start, end in runs(dips) if frequency[end - 1] >= WIDTH * frequency[start]]
    return tuple(_opposing(system.system.names, frequency, playing, lost, changes, dip) for dip in found)


def _limited(pressure, most):
    """Return the size of a sum, not further under that of all in phase than `DEEPEST`. [Pa]"""
    return np.maximum(np.abs(pressure), most * 10 ** (-DEEPEST / 20))


def _opposing(names, frequency, playing, lost, changes, dip):
    """Return who works against whom in a dip."""
    there = [place for place, plays in enumerate(playing[:, dip]) if plays.mean() >= 0.5]
    best = max(there, key=lambda place: round(changes[place, dip].mean(), 6))  # of two, the first
    elsewhere = np.delete(np.arange(len(frequency)), dip)
    worst = min(elsewhere, key=lambda point: changes[best, point], default=None)
    return Opposing(
        who=names[best],
        others=tuple(names[place] for place in there if place != best),
        low=float(frequency[dip][0]),
        high=float(frequency[dip][-1]),
        lost=float(lost[dip].max()),
        gain=float(changes[best, dip].mean()),
        worst=np.nan if worst is None else float(changes[best, worst]),
        at=np.nan if worst is None else float(frequency[worst]),
    )


def in_words(found):
    """Say who works against whom, where, how much that takes, and what reversing one would do.

    Parameters
    ----------
    found : Opposing
    """
    lost = f"up to {found.lost:.0f} dB" if found.lost < DEEPEST - 0.5 else f"{DEEPEST:.0f} dB or more"
    said = f"From {found.low:.0f} to {found.high:.0f} Hz {found.who} works against {' and '.join(found.others)}: "
    said += f"{lost} is lost at the ear. With {found.who} reversed that band plays {found.gain:+.1f} dB"
    if np.isnan(found.worst):
        return f"{said}."
    return f"{said}; elsewhere {found.worst:+.1f} dB at worst, at {found.at:.0f} Hz."
