"""Loudspeakers that exist on paper only: some causes taken from one loudspeaker, the rest from another."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..parts.box import Door, InfiniteBaffle, SealedBox
from ..parts.driver import Driver
from ..parts.loudspeaker import Loudspeaker
from ..parts.network import Capacitor, in_series, joined

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
AROUND = ("box", "leak", "electrical", "place", "polarity")
OF_CAVITY = ("volume", "longest_side")  # of a door; the rest is its hole
OF_PLACE = ("position", "port_position", "angle", "cabin", "solid_angle")


class Stage:
    """One of the two loudspeakers, by causes."""

    def __init__(self, speaker, air, voltage=None, distance=None):
        driver = dataclasses.replace(speaker.driver, built_in_capacitance=None)
        self.driver, self.air, self.name = driver, air, speaker.name
        self._of = {name: tuple(getattr(driver, field) for field in fields) for name, fields in OF_DRIVER.items()}
        *box, leak = _frozen(speaker.box, driver, air)
        self._of["box"], self._of["leak"] = tuple(box), (leak,)
        self._of["electrical"] = (_network(speaker), speaker.filters, speaker.source_resistance, voltage)
        self._of["place"] = (*(getattr(speaker, field) for field in OF_PLACE), distance)
        self._of["polarity"] = speaker.polarity

    def of(self, player):
        """Return what a cause consists of here."""
        return self._of[player]

    def join_box(self):
        """Count the box and its hole as one cause."""
        self._of["box"], self._of["leak"] = (*self._of["box"], *self._of["leak"]), ()


def join_boxes(first, second):
    """Count box and hole of two stages as one cause each, where the hole of the one does not fit the other's box."""
    boxes = [(*stage.of("box"), *stage.of("leak")) for stage in (first, second)]
    if any(isinstance(leak, _Hole) for *_, leak in boxes) and not all(_takes_a_hole(*box) for box in boxes):
        first.join_box()
        second.join_box()


def mixture(stages, chosen, driver, air):
    """Return a loudspeaker with a family of drivers, and the causes around it that are chosen from the second."""
    of_box, of_leak, electrical, place, polarity = (stages[cause in chosen].of(cause) for cause in AROUND)
    box, absorption, leak = (*of_box, *of_leak)
    network, filters, source_resistance, _ = electrical
    return Loudspeaker(
        driver=driver,
        box=_with_losses(box, absorption, leak, driver, air),
        network=network,
        filters=filters,
        source_resistance=source_resistance,
        polarity=polarity,
        name=stages[0].name,
        **dict(zip(OF_PLACE, place[:-1], strict=True)),
    )


def drivers(stages, coalitions):
    """Return the family of drivers that take the causes of each coalition from the second."""
    fields = {}
    for cause, names in OF_DRIVER.items():
        pairs = zip(*(stage.of(cause) for stage in stages), strict=True)
        for name, pair in zip(names, pairs, strict=True):
            if None not in pair:
                fields[name] = np.array([pair[cause in chosen] for chosen in coalitions], dtype=float)
    return Driver(**fields)


def _network(speaker):
    """Return a loudspeaker's network, including its driver's built-in capacitor."""
    if speaker.driver.built_in_capacitance is None:
        return speaker.network
    return joined(speaker.network, in_series(Capacitor(capacitance=speaker.driver.built_in_capacitance)))


def _frozen(box, driver, air):
    """Return a box without leak and absorption, its absorption resistance, and its leak resistance or hole."""
    if isinstance(box, InfiniteBaffle):
        return box, None, np.inf
    if isinstance(box, Door):
        return SealedBox(volume=box.volume, longest_side=box.longest_side), 0.0, _Hole.of(box, air)
    bare = dataclasses.replace(box, Ql=np.inf, Qa=np.inf, leak_resistance=None)
    losses = box.losses(driver, air)
    return bare, float(losses.absorption), float(losses.leak)


@dataclass(frozen=True, slots=True)
class _Hole:
    """The hole of a door whose resistance stays the same whatever the door's volume."""

    fields: tuple
    resistance: float

    @classmethod
    def of(cls, door, air):
        """Return the hole of a door, or a leak of no flow if the door is sealed."""
        if not door.opening_area:
            return np.inf
        names = (spec.name for spec in dataclasses.fields(door) if spec.name not in OF_CAVITY)
        return cls(tuple((name, getattr(door, name)) for name in names), float(door.hole_resistance(air)))

    def into(self, box, air):
        r"""Return the door that a sealed box with this hole is.

        .. math:: Q = \sqrt{M / C_{ab}} / R
        """
        door = Door(volume=box.volume, longest_side=box.longest_side, **dict(self.fields))
        if door.crack is not None or not self.resistance:
            return door
        return dataclasses.replace(door, hole_Q=door.hole_Q * door.hole_resistance(air) / self.resistance)


def _takes_a_hole(bare, absorption, leak):
    """Say whether a box without its losses may have a hole, as a door."""
    return isinstance(bare, SealedBox) and bare.filling == 1 and not absorption


def _with_losses(box, absorption, leak, driver, air):
    """Return a box whose loss resistances stay the same whatever driver is in it."""
    if isinstance(box, InfiniteBaffle):
        return box
    if isinstance(leak, _Hole):
        return leak.into(box, air)
    more = {} if np.isinf(leak) else {"leak_resistance": leak}
    if absorption:
        more["Qa"] = dataclasses.replace(box, Qa=1.0).losses(driver, air).absorption / absorption
    return dataclasses.replace(box, **more)
