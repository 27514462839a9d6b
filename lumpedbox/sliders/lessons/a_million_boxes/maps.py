"""Maps of f3, peak and droop over volume and tuning, one for each driver; coarse at first, then fine."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ....parts.box import USUAL_LEAKAGE, VentedBox
from ....parts.loudspeaker import Loudspeaker
from ....response import frequencies
from ....response.level import HALF_POWER
from ....response.shape import droop, over_passband, peak
from ....response.sweeping import sweep
from ....units import litre

SMALLEST, LARGEST = 5 * litre, 200 * litre
TUNINGS = np.linspace(20.0, 80.0, 121)
GRID = frequencies(14, 250, per_octave=10)
COARSER = 8  # times as far apart are the first volumes and tunings
ALL = 1_000_000  # boxes, of all drivers together
ROWS = 15  # volumes that are worked out at a time: a slider waits no longer for it
DROOP = 0.5  # dB, which is what a search allows
PORT_SHARE = 0.1  # of the cone's area, for the port; no curve here depends on it: ours


def vented(driver, volume, tuning):
    """Return a driver in a vented box, or a family of them."""
    box = VentedBox(volume=volume, fb=tuning, port_area=PORT_SHARE * driver.Sd, Ql=USUAL_LEAKAGE)
    return Loudspeaker(driver=driver, box=box)


def reach_and_shape(response, refine=False):
    """Return f3 [Hz], which is read off between two frequencies unless refined, peak and droop [dB] of each member."""
    f3, over = response.cutoff(HALF_POWER, refine), over_passband(response)
    above = np.where(np.isfinite(f3), f3, GRID[-1])  # where there is no f3, nothing droops above it
    return f3, peak(over), droop(over, response.frequency, above)


class Map(NamedTuple):
    """What becomes of a driver over volume [m3] and tuning [Hz]: f3 [Hz], peak and droop [dB], shape (v, t)."""

    volume: np.ndarray
    tuning: np.ndarray
    f3: np.ndarray
    peak: np.ndarray
    droop: np.ndarray

    def uneven(self, most):
        """Whether boxes peak by more than `most`, or droop by more than a search allows. [dB]"""
        return (self.peak > most) | (self.droop > DROOP)

    def lowest(self, most):
        """Return volume [m3], tuning [Hz] and f3 [Hz] of the even box with the lowest f3, or None."""
        allowed = np.where(self.uneven(most) | np.isnan(self.f3), np.inf, self.f3)
        row, column = np.unravel_index(np.argmin(allowed), allowed.shape)
        best = float(allowed[row, column])
        return (float(self.volume[row]), float(self.tuning[column]), best) if np.isfinite(best) else None

    def at(self, volume):
        """Return the map of the one volume that is nearest. [m3]"""
        row = [np.argmin(np.abs(np.log(self.volume / volume)))]
        return Map(self.volume[row], self.tuning, self.f3[row], self.peak[row], self.droop[row])


class Maps:
    """The maps of some drivers: coarse, and worked out when first asked for, until `refine` makes them fine.

    Parameters
    ----------
    drivers : dict
        Name: Driver.

    Attributes
    ----------
    fine : set of str
        The drivers whose map is as fine as it gets.
    """

    def __init__(self, drivers):
        self._drivers, self.fine, self._known = drivers, set(), {}
        self._volumes = -(-ALL // (len(drivers) * len(TUNINGS)))

    def of(self, name):
        """Return the map of a driver, as fine as it is by now."""
        if name not in self._known:
            volume = np.geomspace(SMALLEST, LARGEST, len(TUNINGS) // COARSER + 1)
            self._known[name] = self._map(name, volume, TUNINGS[::COARSER])
        return self._known[name]

    @property
    def complete(self):
        """Whether each driver has a map by now, coarse or fine."""
        return len(self._known) == len(self._drivers)

    @property
    def boxes(self):
        """How many boxes there are in the maps by now, and in the end."""
        return sum(each.f3.size for each in self._known.values()), len(self._drivers) * self._volumes * len(TUNINGS)

    def refine(self, name):
        """Yield after every few volumes of the fine map of a driver; it takes the coarse one's place once complete."""
        volumes, parts = np.geomspace(SMALLEST, LARGEST, self._volumes), []
        for first in range(0, len(volumes), ROWS):
            parts.append(self._map(name, volumes[first : first + ROWS], TUNINGS))
            yield
        f3, peaks, droops = (np.concatenate([part[place] for part in parts]) for place in (2, 3, 4))
        self._known[name] = Map(volumes, TUNINGS, f3, peaks, droops)
        self.fine.add(name)

    def _map(self, name, volume, tuning):
        boxes = vented(self._drivers[name], volume[:, np.newaxis], tuning)
        return Map(volume, tuning, *sweep(boxes, GRID, reduce=reach_and_shape))
