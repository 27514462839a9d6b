"""Where the bass went: a level difference between two loudspeakers or systems, shared out among its causes."""

from __future__ import annotations

import itertools
import warnings
from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, FLAG, FREQUENCIES, FREQUENCY, VOLTAGE, Row, Single, takes
from ..parts.system import HEARD, System
from ..quantity import needed
from ..response import EFFICIENCY_REMARK, solve
from ..response.grid import EDGE, third_octaves
from . import shapley
from .mixtures import AROUND, CONE, OF_DRIVER, STROKE, Stage, drivers, join_boxes, mixture
from .system_causes import FLOOR, of_systems

ALONE = tuple(cause for cause in AROUND if cause != "polarity")  # nobody hears the polarity of a single loudspeaker
CAUSES = ("cone", "suspension", "motor", STROKE, *ALONE)
BANDS = third_octaves(-18, -6)  # from 16 to 250 Hz


@dataclass(frozen=True, slots=True, eq=False)
class Causes:
    """A level difference, and the share that each cause has in it.

    Between two systems a cause is named by its loudspeaker too: "bass box: box".

    Attributes
    ----------
    frequency : array, shape (nf,)
        [Hz]
    difference : array, shape (nf,)
        Level of the second minus that of the first. [dB]
    parts : dict
        Cause: its share, array of shape (nf,); the shares add up to the difference. [dB]
    cone : dict
        The cone's share, split between its area and its mass. [dB]
    """

    frequency: np.ndarray
    difference: np.ndarray
    parts: dict
    cone: dict

    def bands(self):
        """Return the shares by third octaves: rows of (middle frequency, difference, shares). [Hz], [dB], [dB]

        Each is the mean over the band in decibels, so the shares still add up. A band without a frequency is left out.
        """
        rows = []
        for middle in BANDS:
            inside = (self.frequency >= middle / EDGE) & (self.frequency < middle * EDGE)
            if inside.any():
                shares = {name: float(part[inside].mean()) for name, part in self.parts.items()}
                rows.append((middle, float(self.difference[inside].mean()), shares))
        return rows

    @takes(frequency=Single(FREQUENCY))
    def at(self, frequency):
        """Say in words what makes the difference at the nearest frequency.

        Parameters
        ----------
        frequency : float
            [Hz]

        Returns
        -------
        str
        """
        index = self._nearest(frequency)
        difference = float(self.difference[index])
        said = f"{abs(difference):.1f} dB {'softer' if difference < 0 else 'louder'}"
        return f"At {self.frequency[index]:.0f} Hz the second plays {said}: {self.shares(frequency)}."

    @takes(frequency=Single(FREQUENCY))
    def shares(self, frequency):
        """Say in words the share of each cause at the nearest frequency, the largest first.

        Parameters
        ----------
        frequency : float
            [Hz]

        Returns
        -------
        str
            Such as "cone -4.7 dB (area -3.4, mass -1.3), motor +0.5 dB".
        """
        index = self._nearest(frequency)
        shares = sorted(((name, float(part[index])) for name, part in self.parts.items()), key=lambda e: -abs(e[1]))
        told = [f"{name} {share:+.1f} dB{self._split(name, index)}" for name, share in shares if abs(share) >= TOLD]
        return ", ".join(told) or "nothing changed"

    def _split(self, name, index):
        """Say how the share of a cone is split; nothing of any other cause."""
        whose = name.removesuffix("cone")
        area, mass = (float(self.cone[whose + part][index]) if whose + part in self.cone else 0.0 for part in CONE)
        return f" (area {area:+.1f}, mass {mass:+.1f})" if whose != name and (area or mass) else ""

    def _nearest(self, frequency):
        return int(np.argmin(np.abs(np.log(self.frequency / frequency))))


TOLD = 0.05  # dB; less is not worth a word


@takes(
    before=Single(HEARD),
    after=Single(HEARD),
    frequency=FREQUENCIES,
    voltages=Row((VOLTAGE, VOLTAGE), "r.m.s. EMF of the first and of the second, in V"),
    distances=Row((DISTANCE, DISTANCE), "distance of the first and of the second, in m"),
    at_travel_limit=FLAG,
    air=Single(AIR),
)
def causes(before, after, frequency, *, voltages=(2.83, 2.83), distances=(1.0, 1.0), at_travel_limit=False, air=Air()):
    r"""Share out the level difference between two loudspeakers or systems among everything that differs between them.

    Parameters
    ----------
    before, after : Loudspeaker or System
        Single ones. The loudspeakers of two systems are matched by their names.
    frequency : array, shape (nf,)
        [Hz]
    voltages, distances : tuple of float
        For the first and the second: r.m.s. EMF, and the listener's distance. [V], [m]
    at_travel_limit : bool
        Compare the levels at which each cone just reaches its linear travel, whatever voltage that takes.
    air : Air

    Returns
    -------
    Causes

    Raises
    ------
    ValueError
        If a loudspeaker is a family, or its xmax is needed and not known.

    Notes
    -----
    The share of a cause is its Shapley value: the change it makes, averaged over all orders of exchanging the causes
    one by one. With the causes S exchanged already, of n that differ,

    .. math:: \varphi_i = \sum_S \frac{|S|!\,(n - 1 - |S|)!}{n!} \left(v(S \cup i) - v(S)\right)

    Here v is the level of the loudspeaker with the causes S from the second and the rest from the first. The cone
    counts as one cause; within it, area and mass have their Owen values. A leak carries over as a resistance, so a
    change of driver leaves it alone. So does the hole of a door, where the other box is a door too or a sealed box
    without filling and absorption. Against any other box it counts as part of the box.

    In a system every loudspeaker is a union of its causes, polarity among them, inside the whole system: within it they
    join one after another. Loudspeakers that are alike, and change alike, but for name, place and angle are one: left
    and right. One that comes is a cause of its own, "added"; one that goes, "taken out"; without it the rest plays on.
    Several on one channel share its filters and wiring as one cause. The ear and the cabin are one, "listening place".

    References
    ----------
    L. S. Shapley, "A value for n-person games" (1953); G. Owen, "Values of games with a priori unions" (1977); E.
    Winter, "A value for cooperative games with levels structure of cooperation" (1989) (all from memory).
    """
    if isinstance(before, System) or isinstance(after, System):
        if at_travel_limit:
            raise ValueError("causes.at_travel_limit is of single loudspeakers, got a System: see maximum_level")
        systems = [s if isinstance(s, System) else System(channels=(s,)) for s in (before, after)]
        return Causes(frequency, *of_systems(systems, frequency, voltages, distances, air))
    pairs = zip((before, after), voltages, distances, strict=True)
    stages = [Stage(speaker, air, *rest) for speaker, *rest in pairs]
    join_boxes(*stages)
    return _of_loudspeakers(stages, frequency, at_travel_limit, air)


def _of_loudspeakers(stages, frequency, at_travel_limit, air):
    players = [player for player in (*OF_DRIVER, *ALONE) if stages[0].of(player) != stages[1].of(player)]
    if not at_travel_limit:
        players = [player for player in players if player != STROKE]
    values = _values(stages, players, frequency, at_travel_limit, air)
    cone = [p for p in players if p in CONE]
    shares = shapley.shares(shapley.terms([*([cone] if cone else []), *(p for p in players if p not in CONE)]), values)
    first, second = values[frozenset()], values[frozenset(players)]
    cone = {player: shares.get(player, np.zeros_like(first)) for player in CONE}
    parts = {name: shares.get(name, np.zeros_like(first)) for name in CAUSES if name != "cone"}
    if not at_travel_limit:
        del parts[STROKE]
    return Causes(frequency, second - first, {"cone": sum(cone.values()), **parts}, cone)


def _values(stages, players, frequency, at_travel_limit, air):
    """Return the level of every mixture of the two, by the set of causes taken from the second. [dB re 20 uPa]"""
    inner = [player for player in players if player in OF_DRIVER]
    outer = [player for player in players if player in ALONE]
    subsets = [frozenset(c) for size in range(len(inner) + 1) for c in itertools.combinations(inner, size)]
    driver = drivers(stages, subsets)
    values = {}
    for size in range(len(outer) + 1):
        for chosen in map(frozenset, itertools.combinations(outer, size)):
            level = _level(stages, chosen, driver, frequency, at_travel_limit, air)
            values |= {chosen | subset: row for subset, row in zip(subsets, level, strict=True)}
    return values


def _level(stages, chosen, driver, frequency, at_travel_limit, air):
    """Return the levels of a family of drivers, with the causes around them chosen from either loudspeaker."""
    voltage, distance = (stages[cause in chosen].of(cause)[-1] for cause in ("electrical", "place"))
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=EFFICIENCY_REMARK)  # mixtures exist on paper only
        response = solve(mixture(stages, chosen, driver, air), frequency, voltage, distance, air)
    if not at_travel_limit:
        return np.maximum(response.level, FLOOR)
    needed(driver, "xmax", "causes at the travel limit need it for both drivers")
    return np.maximum(response.level_within_travel, FLOOR)
