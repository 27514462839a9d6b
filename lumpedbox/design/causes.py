"""Where the bass went: a level difference between two loudspeakers, shared out among its causes."""

from __future__ import annotations

import dataclasses
import itertools
import math
import warnings
from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, FLAG, FREQUENCIES, FREQUENCY, VOLTAGE, Row, Single, takes
from ..parts.box import InfiniteBaffle
from ..parts.driver import Driver
from ..parts.loudspeaker import LOUDSPEAKER, Loudspeaker
from ..parts.network import Capacitor, Network, in_series
from ..quantity import needed
from ..response import EFFICIENCY_REMARK, solve
from ..response.grid import EDGE, third_octaves

FLOOR = -200.0  # dB re 20 uPa; stands for silence
CONE = ("area of the cone", "mass of the cone")  # together one cause: alone they are huge, and opposite
STROKE = "stroke"
# What a driver is made of, by cause.
OF_DRIVER = {
    CONE[0]: ("Sd",),
    CONE[1]: ("Mms",),
    "suspension": ("Cms", "Rms"),
    "motor": ("Bl", "Re", "Le", "L2", "R2", "semi_inductance", "semi_exponent"),
    STROKE: ("xmax",),
}
AROUND = ("box", "leak", "electrical", "place")
CAUSES = ("cone", "suspension", "motor", STROKE, *AROUND)
OF_PLACE = ("position", "port_position", "angle", "cabin", "solid_angle")
BANDS = third_octaves(-18, -6)  # from 16 to 250 Hz


@dataclass(frozen=True, slots=True, eq=False)
class Causes:
    """A level difference, and the share that each cause has in it.

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
        area, mass = (float(part[index]) for part in self.cone.values())
        split = f" (area {area:+.1f}, mass {mass:+.1f})" if area or mass else ""
        shares = sorted(((name, float(part[index])) for name, part in self.parts.items()), key=lambda e: -abs(e[1]))
        told = [
            f"{name} {share:+.1f} dB{split if name == 'cone' else ''}" for name, share in shares if abs(share) >= TOLD
        ]
        return ", ".join(told) or "nothing changed"

    def _nearest(self, frequency):
        return int(np.argmin(np.abs(np.log(self.frequency / frequency))))


TOLD = 0.05  # dB; less is not worth a word


@takes(
    before=Single(LOUDSPEAKER),
    after=Single(LOUDSPEAKER),
    frequency=FREQUENCIES,
    voltages=Row((VOLTAGE, VOLTAGE), "r.m.s. EMF of the first and of the second, in V"),
    distances=Row((DISTANCE, DISTANCE), "distance of the first and of the second, in m"),
    at_travel_limit=FLAG,
    air=Single(AIR),
)
def causes(before, after, frequency, *, voltages=(2.83, 2.83), distances=(1.0, 1.0), at_travel_limit=False, air=Air()):
    r"""Share out the level difference between two loudspeakers among everything that differs between them.

    Parameters
    ----------
    before, after : Loudspeaker
        Single ones.
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
    change of driver leaves it alone.

    References
    ----------
    L. S. Shapley, "A value for n-person games" (1953); G. Owen, "Values of games with a priori unions" (1977) (both
    from memory).
    """
    stages = [_Stage(*stage, air) for stage in zip((before, after), voltages, distances, strict=True)]
    players = [player for player in (*OF_DRIVER, *AROUND) if stages[0].of(player) != stages[1].of(player)]
    if not at_travel_limit:
        players = [player for player in players if player != STROKE]
    values = _values(stages, players, frequency, at_travel_limit, air)
    unions = [tuple(p for p in players if p in CONE), *((p,) for p in players if p not in CONE)]
    shares = _owen(values, players, [union for union in unions if union])
    first, second = values[frozenset()], values[frozenset(players)]
    cone = {player: shares.get(player, np.zeros_like(first)) for player in CONE}
    parts = {name: shares.get(name, np.zeros_like(first)) for name in CAUSES if name != "cone"}
    if not at_travel_limit:
        del parts[STROKE]
    return Causes(frequency, second - first, {"cone": sum(cone.values()), **parts}, cone)


class _Stage:
    """One of the two loudspeakers, by causes."""

    def __init__(self, speaker, voltage, distance, air):
        driver = dataclasses.replace(speaker.driver, built_in_capacitance=None)
        self.driver, self.air = driver, air
        self._of = {name: tuple(getattr(driver, field) for field in fields) for name, fields in OF_DRIVER.items()}
        self._of["box"], self._of["leak"] = _frozen(speaker.box, driver, air)
        self._of["electrical"] = (_network(speaker), speaker.filters, speaker.source_resistance, voltage)
        self._of["place"] = (*(getattr(speaker, field) for field in OF_PLACE), distance)

    def of(self, player):
        """Return what a cause consists of here."""
        return self._of[player]


def _network(speaker):
    """Return a loudspeaker's network, including its driver's built-in capacitor."""
    if speaker.driver.built_in_capacitance is None:
        return speaker.network
    own = speaker.network or Network(branches=())
    return own + in_series(Capacitor(capacitance=speaker.driver.built_in_capacitance))


def _frozen(box, driver, air):
    """Return a box without leak and absorption, its absorption resistance, and its leak resistance."""
    if isinstance(box, InfiniteBaffle):
        return (box, None), np.inf
    bare = dataclasses.replace(box, Ql=np.inf, Qa=np.inf, leak_resistance=None)
    losses = box.losses(driver, air)
    return (bare, float(losses.absorption)), float(losses.leak)


def _with_losses(box, absorption, leak, driver, air):
    """Return a box whose loss resistances stay the same whatever driver is in it."""
    if isinstance(box, InfiniteBaffle):
        return box
    more = {} if np.isinf(leak) else {"leak_resistance": leak}
    if absorption:
        more["Qa"] = dataclasses.replace(box, Qa=1.0).losses(driver, air).absorption / absorption
    return dataclasses.replace(box, **more)


def _values(stages, players, frequency, at_travel_limit, air):
    """Return the level of every mixture of the two, by the set of causes taken from the second. [dB re 20 uPa]"""
    inner = [player for player in players if player in OF_DRIVER]
    outer = [player for player in players if player in AROUND]
    subsets = [frozenset(c) for size in range(len(inner) + 1) for c in itertools.combinations(inner, size)]
    driver = _mixtures(stages, subsets)
    values = {}
    for size in range(len(outer) + 1):
        for chosen in map(frozenset, itertools.combinations(outer, size)):
            level = _level(stages, chosen, driver, frequency, at_travel_limit, air)
            values |= {chosen | subset: row for subset, row in zip(subsets, level, strict=True)}
    return values


def _mixtures(stages, subsets):
    """Return the family of drivers that take the causes of each subset from the second."""
    fields = {}
    for player, names in OF_DRIVER.items():
        pairs = zip(*(stage.of(player) for stage in stages), strict=True)
        for name, pair in zip(names, pairs, strict=True):
            if None not in pair:
                fields[name] = np.array([pair[player in subset] for subset in subsets], dtype=float)
    return Driver(**fields)


def _level(stages, chosen, driver, frequency, at_travel_limit, air):
    """Return the levels of a family of drivers, with the causes around them chosen from either loudspeaker."""
    (box, absorption), leak, electrical, place = (stages[player in chosen].of(player) for player in AROUND)
    network, filters, source_resistance, voltage = electrical
    *where, distance = place
    speaker = Loudspeaker(
        driver=driver,
        box=_with_losses(box, absorption, leak, driver, air),
        network=network,
        filters=filters,
        source_resistance=source_resistance,
        **dict(zip(OF_PLACE, where, strict=True)),
    )
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=EFFICIENCY_REMARK)  # mixtures exist on paper only
        response = solve(speaker, frequency, voltage, distance, air)
    if not at_travel_limit:
        return np.maximum(response.level, FLOOR)
    needed(driver, "xmax", "causes at the travel limit need it for both drivers")
    return np.maximum(response.level_within_travel, FLOOR)


def _owen(values, players, unions):
    """Return the share of every player: unions join one by one, and so do the members within a union."""
    count, shares = len(unions), {}
    for union in unions:
        others = [other for other in unions if other is not union]
        for player in union:
            mates = [mate for mate in union if mate != player]
            share = 0.0
            for there, within in itertools.product(_subsets(others), _subsets(mates)):
                weight = _weight(len(there), count) * _weight(len(within), len(union))
                base = frozenset(itertools.chain(*there)) | frozenset(within)
                share = share + weight * (values[base | {player}] - values[base])
            shares[player] = share
    return shares


def _subsets(members):
    return [chosen for size in range(len(members) + 1) for chosen in itertools.combinations(members, size)]


def _weight(joined, count):
    """Probability that of `count` in random order exactly some given `joined` ones come before another given one."""
    return math.factorial(joined) * math.factorial(count - 1 - joined) / math.factorial(count)
