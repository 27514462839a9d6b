"""The boxes of one kind for one driver, and what each achieves."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ...air import Air
from ...parts.box import SealedBox, VentedBox
from ...parts.displacement import displacement
from ...parts.driver import Driver
from ...parts.loudspeaker import Loudspeaker
from ...parts.port import NET_VOLUME, TUNING, Port
from ...remembered import frozen
from ...response import frequencies, solve
from ...response.passband import CABIN_BAND
from .brief import HIGHEST, LOWEST, ROUNDING, SEALED, Brief
from .optimiser import Problem
from .performance import performance
from .ports import Ports

ROUGH, COARSE, FINE = 8, 16, 48  # frequencies an octave: at a first look, while searching and at the end
LEAST_VOLUME = 1 / 25  # of the litres available: the smallest box to try
HIGHEST_TUNING = 3.0  # over the driver's resonance
HELPS = 0.5  # of the resonance of driver and closed box: a port tuned lower is little more than a leak (ours)
SPAN = (1.0, 2.0)  # of the lattices of a search, in volume and tuning, over the range of each


@lru_cache(maxsize=8)
def _looked_at(lowest, per_octave):
    """Return the frequencies to look at, the lowest tone and the edge of the reference band among them. [Hz]"""
    return frozen(np.union1d(frequencies(LOWEST, HIGHEST, per_octave), [lowest, CABIN_BAND[0]]))


@dataclass(frozen=True, slots=True, eq=False)
class Boxes:
    """The boxes of one kind for one driver.

    A point is the logarithm of the net volume and, if there is a port, its tuning. The tuning counts from 0 to 1, on a
    logarithmic scale between the lowest and the highest tuning of that volume.

    Attributes
    ----------
    driver : Driver
    kind : {"sealed", "vented"}
    brief : Brief
    air : Air
    bounds : array, shape (1, 2) or (2, 2)
        Of the points.
    reach : float
        If the brief has no longest port: its length and diameter together, over the side of a cube. [1]
    """

    driver: Driver
    kind: str
    brief: Brief
    air: Air
    bounds: np.ndarray
    reach: float = 1.0

    @classmethod
    def within(cls, driver, kind, brief, air, most=1.0):
        """Return the boxes that a brief allows.

        Parameters
        ----------
        driver : Driver
        kind : str
            "sealed" or "vented".
        brief : Brief
        air : Air
        most : float
            Largest volume to try, over the litres available. [1]
        """
        ends = NET_VOLUME.low * (1 + 1e-9), NET_VOLUME.high * (1 - 1e-9)  # a logarithm and back rounds
        volumes = np.log(np.clip(np.multiply(brief.volume, [LEAST_VOLUME, most]), *ends))
        return cls(driver, kind, brief, air, np.array([volumes] if kind == SEALED else [volumes, [0.0, 1.0]]))

    def volumes_and_tunings(self, points):
        """Return net volumes and tunings; no tunings (None) for closed boxes. [m3], [Hz]

        Parameters
        ----------
        points : array, shape (n, 1) or (n, 2)
        """
        volume = np.exp(points[:, 0])
        if self.kind == SEALED:
            return volume, None
        low = np.minimum(HELPS * SealedBox(volume=volume).resonance(self.driver, self.air), TUNING.high / 2)
        high = np.maximum(2 * low, max(HIGHEST_TUNING * self.driver.fs, np.sqrt(2) * self.brief.lowest))
        return volume, low * (high / low) ** points[:, 1]

    def ports(self, volume, tuning):
        """Return the `Ports` that boxes of some net `volume` and `tuning` may have."""
        return Ports.that_tune(volume, tuning, self.driver, self.brief, self.air, self.reach)

    @property
    def displacement(self):
        """What the driver takes up. [m3]"""
        return displacement(self.driver)

    def values(self, points, per_octave=COARSE):
        """Return what boxes achieve: a dict of name to array of shape (n,), in SI units.

        Parameters
        ----------
        points : array, shape (n, 1) or (n, 2)
        per_octave : int
            Frequencies in an octave.

        Returns
        -------
        dict
            As for `performance`, with the widest port that fits. `volume` is what the box takes up, with port and
            driver. Vented boxes also have `area`, that of the port, and `opening`, the smallest port that tunes so
            (infinite if none does). `port_area` and `port_length` keep the air slow enough; each is infinite if the
            other does not allow it. What another port changes has `slow_` or `needed_` in front.
        """
        volume, tuning = self.volumes_and_tunings(points)
        if self.kind == SEALED:
            return self._closed(volume, per_octave)
        ports = self.ports(volume, tuning)
        area = ports.largest_within(self.brief.volume - self.displacement - volume)
        box = VentedBox(volume=volume, fb=tuning, port_area=area, Ql=self.brief.Ql)
        found = performance(self.solved(box, per_octave), self.brief, refine=False)
        return found | self._ported(volume + self.displacement, ports, area, found["port_speed"])

    def _closed(self, volume, per_octave):
        box = SealedBox(volume=volume, Ql=self.brief.Ql)
        found = performance(self.solved(box, per_octave), self.brief, refine=False)
        return found | {"volume": volume + self.displacement}

    def _ported(self, volume, ports, area, speed):
        """Return what the size of the port changes, for the widest one and for smaller ones."""
        brief = self.brief
        needed = np.maximum(ports.smallest, area * speed / (brief.port_speed or np.inf))
        slow = ports.slow_enough(needed)
        return {
            "area": area,
            "volume": volume + ports.taken(area),
            "slow_area": slow,
            "slow_volume": volume + ports.taken(slow),
            "slow_port_speed": speed * area / slow,
            "needed_volume": volume + ports.taken(needed),
            "opening": np.where(ports.smallest <= ports.longest, ports.smallest, np.inf),
            "port_area": np.where(needed <= ports.longest * ROUNDING, needed, np.inf),
            "port_length": np.where(needed <= brief.port_area * ROUNDING, ports.length(needed), np.inf),
        }

    def solved(self, box, per_octave):
        """Return the response of the driver in a box, or a family of boxes, under the conditions of the brief.

        Parameters
        ----------
        box : SealedBox or VentedBox
        per_octave : int
            Frequencies in an octave.
        """
        brief = self.brief
        frequency = _looked_at(brief.lowest, per_octave)
        source = getattr(brief.amplifier, "output_resistance", 0.0)
        speaker = Loudspeaker(driver=self.driver, box=box, cabin=brief.cabin, source_resistance=source)
        return solve(speaker, frequency, brief.drive, air=self.air)

    def built(self, point, area):
        """Return the box of a point.

        Parameters
        ----------
        point : array
        area : float
            Area of its port; a closed box has none. [m2]
        """
        volume, tuning = (
            value if value is None else float(value[0]) for value in self.volumes_and_tunings(point[np.newaxis])
        )
        if self.kind == SEALED:
            return SealedBox(volume=volume, Ql=self.brief.Ql)
        port = Port.of_area(area).tuned(tuning, volume, self.air)
        return VentedBox(volume=volume, port=port, Ql=self.brief.Ql)

    def problem(self, goal):
        """Return what to solve for a goal, as a `Problem`.

        Parameters
        ----------
        goal : Goal
        """

        def judged(points, per_octave):
            values = self.values(points, per_octave)
            return goal.merit(values, self.brief), values

        return Problem(judged, self.bounds, np.ptp(self.bounds, axis=1) * SPAN[: len(self.bounds)])
