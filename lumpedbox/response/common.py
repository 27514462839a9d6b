"""What a response of one loudspeaker and one of several have in common."""

from __future__ import annotations

import numpy as np

from ..arguments import FREQUENCY, Places, Single, takes
from ..quantity import Quantity
from . import ears as ears_
from .cutoff import Cutoffs
from .grid import check_rows

SHARE = Quantity(unit="", meaning="share of the drivers", low=0.0, high=1.0, slips=("percent",))


class CommonResponse(Cutoffs):
    """What needs only the frequencies, the shape of the family, and the level at any frequency or ear."""

    @property
    def angular_frequency(self):
        r"""Angular frequency. [rad/s]

        .. math:: \omega = 2 \pi f
        """
        return 2 * np.pi * self.frequency

    @takes(frequency=FREQUENCY)
    def level_over(self, frequency):
        """Level at other frequencies, shape (..., nf). [dB re 20 uPa]

        Parameters
        ----------
        frequency : array, shape (nf,), or (n, nf) with a row for each of n members
            [Hz]
        """
        frequency = np.atleast_1d(frequency)
        check_rows(f"{type(self).__name__}.level_over", frequency, self.shape)
        return self._level_over(frequency)

    @takes(ears=Places())
    def levels_at(self, ears):
        """Return the level at many ears, in a cabin of law "modes". [dB re 20 uPa], shape (..., nf)

        Parameters
        ----------
        ears : array, shape (..., 3)
            Points: x, y, z. [m]

        Notes
        -----
        `response.ears.levels_at` has the equation.
        """
        return ears_.levels_at(self, ears)

    @takes(share=Single(SHARE))
    def band_of_ears(self, share=0.8):
        """Return the edges that the level lies between for most places of the ear. [dB re 20 uPa], shape (2, nf)

        Parameters
        ----------
        share : float
            Share of 64 places in `Cabin.ear_box` that lie inside, with as many below as above. [1]
        """
        return ears_.band_of_ears(self, share)
