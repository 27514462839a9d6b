"""Lower frequency limits: where the level drops below the pass-band."""

from __future__ import annotations

import numpy as np

from ..arguments import FLAG, Single, takes
from ..quantity import Quantity, frozen
from .crossing import narrowed, rising_zero
from .level import HALF_POWER
from .passband import CABIN_BAND

DROP = Quantity(unit="dB", meaning="fall below the reference level", low=0.01, high=100.0)


class Cutoffs:
    """Lower frequency limits of a response: of one loudspeaker, or of several heard together.

    It needs of the response: `shape`, `frequency`, `level`, `reference_level`, `level_over` other frequencies, and
    `reference_slopes`, whether the reference itself comes from a level that slopes.
    """

    _cutoffs = None  # those found so far: pages ask for the same one many times

    @property
    def f3(self):
        r"""Lower frequency limit, 3 dB down: 10 log10(2) = 3.01 dB under the reference level, half its power. [Hz]

        .. math:: L(f_3) = L_{ref} - 10 \log_{10} 2
        """
        return self.cutoff(HALF_POWER)

    @property
    def f6(self):
        """Lower frequency limit, 6 dB down from the reference level. [Hz]"""
        return self.cutoff(6.0)

    @property
    def f10(self):
        """Lower frequency limit, 10 dB down from the reference level. [Hz]"""
        return self.cutoff(10.0)

    @takes(drop=Single(DROP), refine=FLAG)
    def cutoff(self, drop, refine=True):
        r"""Return the highest frequency below the reference band where the level rises through `drop` dB under it.

        .. math:: L(f) = L_{ref} - drop

        The band begins at 100 Hz. A driver that is not that loud there yet has its limit higher up, where the level
        first rises through. In a cabin, or behind filters that slope there (`filter_tilt`), it then has none.

        Parameters
        ----------
        drop : float
            [dB]
        refine : bool
            Whether to solve for it, to about 1e-8. Otherwise it is read off a straight line in log f between two
            frequencies of this response, which is quicker.

        Returns
        -------
        float or array
            Shape of the family; `nan` where there is none, and `cutoff_in_words` says why. [Hz]
        """
        self._cutoffs = self._cutoffs or {}
        if (drop, refine) not in self._cutoffs:
            self._cutoffs[drop, refine] = _cutoff(self, drop, refine)
        return self._cutoffs[drop, refine]

    @takes(drop=Single(DROP))
    def cutoff_in_words(self, drop=HALF_POWER):
        """Say where a single loudspeaker or system is `drop` dB down, or why no such frequency is found."""
        if self.shape:
            raise ValueError(f"cutoff_in_words needs a single loudspeaker, got a family of shape {self.shape}")
        return _in_words(self, drop)


def _cutoff(response, drop, refine):
    """Return the highest frequency below the reference band at which the level rises through a drop under it. [Hz]"""
    target = np.asarray(response.reference_level - drop)[..., np.newaxis]
    target = np.broadcast_to(target, (*response.shape, 1)).reshape(-1, 1)

    def excess(points):
        return response.level_over(points).reshape(len(target), -1) - target

    frequency, level = _with_edge(response, len(target))
    found = rising_zero(frequency, level - target, CABIN_BAND[0], _may_begin_higher(response))
    found = narrowed(found, frequency, excess) if refine else found
    return frozen(found.frequency.reshape(response.shape))[()]


def _with_edge(response, members):
    """Return the frequencies asked for and the levels there, with the edge of `CABIN_BAND` among them."""
    frequency, edge = response.frequency, CABIN_BAND[0]
    level = np.broadcast_to(response.level, (*response.shape, len(frequency))).reshape(members, -1)
    if edge in frequency or not frequency.min() < edge < frequency.max():
        return frequency, level
    there = np.broadcast_to(response.level_over(np.array([edge])), (*response.shape, 1)).reshape(members, 1)
    return np.append(frequency, edge), np.hstack([level, there])


def _may_begin_higher(response):
    """Whether f3 may lie above 100 Hz: not if the reference itself comes from a level that slopes there."""
    return ~np.broadcast_to(response.reference_slopes, response.shape).ravel()


def _in_words(response, drop):
    """Say where a single response is so far down, or why no such frequency is found."""
    found, edge, lowest = response.cutoff(drop), CABIN_BAND[0], response.frequency.min()
    if np.isfinite(found):
        return f"The level is {drop:.3g} dB down at {found:.4g} Hz."
    target = response.reference_level - drop
    if response.level.max() < target:
        span = f"{lowest:.4g} to {response.frequency.max():.4g} Hz"
        return f"From {span} the level never comes within {drop:.3g} dB of the reference level."
    if response.level[np.argmin(response.frequency)] < target:
        return f"The level is still too low at {edge:g} Hz, where the reference band begins."
    if lowest >= edge:
        return f"Look at frequencies below {edge:g} Hz, where the reference band begins."
    span = f"From {lowest:.4g} to {edge:g} Hz"
    return f"{span} the level never rises through {drop:.3g} dB down: look at lower frequencies."
