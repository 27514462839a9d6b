"""One driver as installed."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..arguments import takes
from ..quantity import Holds, OneOf, Part, Position, Text, missing, part, quantity, ruled
from .box import Door, Enclosure, InfiniteBaffle, PassiveRadiatorBox, SealedBox, VentedBox
from .cabin import SOLID_ANGLE, Cabin
from .driver import Driver
from .filters import Filter
from .network import Network
from .room import check_inside
from .spread import AXES, COUNT, SEED, USUAL, USUAL_BUILD

Box = (SealedBox, VentedBox, PassiveRadiatorBox, InfiniteBaffle, Door)


@part
class Loudspeaker(Part):
    """One driver in its box, with what comes before it and where it stands.

    Parameters
    ----------
    driver : Driver
    box : SealedBox, VentedBox, PassiveRadiatorBox, InfiniteBaffle or Door
    network : Network, optional
        Passive parts between amplifier and driver.
    filters : tuple of HighPass, LowPass, Gain, Inverted or Delay
        What is done to the signal ahead of the amplifier.
    cabin : Cabin, optional
        The vehicle around it; without one it radiates into `solid_angle`.
    solid_angle : float or array
        Of the space that it radiates into; half space by default. [sr]
    source_resistance : float or array
        Output resistance of the amplifier and of the cable, both wires. [ohm]
    position : tuple of float, optional
        Where the cone is: x, y, z. [m]
    port_position : tuple of float, optional
        Where the port or the passive radiator is: x, y, z; at the cone if it is not given. [m]
    angle : float or array
        Between its axis and the listener; off axis the cone radiates as a rigid piston in a large panel does. [deg]
    polarity : {"as marked", "reversed"}
        How its terminals are connected.
    name : str
        What to call it.

    Examples
    --------
    >>> from lumpedbox import Loudspeaker, SealedBox, frequencies, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> from lumpedbox.units import litre
    >>> speaker = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=SealedBox(volume=20 * litre))
    >>> print(f"f3 = {solve(speaker, frequencies(10, 500)).f3:.0f} Hz")
    f3 = 58 Hz
    """

    driver: Driver = ruled(Holds((Driver,)))
    box: Part = ruled(Holds(Box))
    network: Network = ruled(Holds((Network,), optional=True), None)
    filters: tuple = ruled(Holds(Filter, several=True), ())
    cabin: Cabin = ruled(Holds((Cabin,), optional=True), None)
    solid_angle: float = ruled(SOLID_ANGLE, 2 * np.pi)
    source_resistance: float = quantity("ohm", "resistance of amplifier output and cable", 0.0, 1e3, default=0.0)
    position: tuple = ruled(Position(), None)
    port_position: tuple = ruled(Position(), None)
    angle: float = quantity("deg", "angle between its axis and the listener", 0.0, 90.0, default=0.0)
    polarity: str = ruled(OneOf(("as marked", "reversed")), "as marked")
    name: str = ruled(Text(), "")

    def _check_together(self):
        if self.port_position is not None and self.position is None:
            raise missing("Loudspeaker.position", "where its cone is", "Loudspeaker.port_position needs it")
        if self._hole_position is not None and self.position is None:
            raise missing("Loudspeaker.position", "where its cone is", "Door.hole_position needs it")
        if self.by_places:
            self._check_inside()

    def _check_inside(self):
        if self.position is None:
            raise missing("Loudspeaker.position", "where its cone is", 'its Cabin.law "modes" needs it')
        for field in ("position", "port_position"):
            if getattr(self, field) is not None:
                check_inside(self.cabin, f"Loudspeaker.{field}", getattr(self, field))
        if self._hole_is_heard:
            said = "" if self._hole_position else " (not given, so Door.path below Loudspeaker.position)"
            check_inside(self.cabin, f"Door.hole_position{said}", self.place_of("hole"))

    @property
    def _hole_position(self):
        return self.box.hole_position if isinstance(self.box, Door) else None

    @property
    def _hole_is_heard(self):
        return isinstance(self.box, Door) and self.box.opens_to == "cabin" and np.any(self.box.opening_area)

    @property
    def by_places(self):
        """Whether it is in a cabin where places matter: one by its resonances."""
        return self.cabin is not None and self.cabin.by_places

    @takes(opening=Text())
    def place_of(self, opening):
        """Return where an opening is, or None if that is not known: a tuple x, y, z. [m]

        Parameters
        ----------
        opening : str
            "cone", "port", "passive radiator", "leak" or "hole"; a leak counts at the cone.
        """
        if opening == "hole" and self.by_places and not self._hole_position:
            x, y, z = self.position
            return x, y, z - self.box.path
        if opening == "hole":
            return self._hole_position or self.position
        away = self.port_position is not None and opening not in ("cone", "leak")
        return self.port_position if away else self.position

    @takes(opening=Text())
    def area_of(self, opening):
        """Return the area of an opening; None if it is unknown. [m2]

        Parameters
        ----------
        opening : str
            As for `place_of`.
        """
        box = self.box
        if opening == "cone":
            return self.driver.Sd
        if isinstance(box, PassiveRadiatorBox) and opening == "passive radiator":
            return box.radiator.Sd
        if isinstance(box, Door) and opening == "hole":
            return box.opening_area
        known = isinstance(box, VentedBox) and (box.port is not None or box.port_area is not None)
        return box.opening_area if known and opening == "port" else None

    @property
    def varies(self):
        """Whether driver or box have a spread, so that it has `members`."""
        return _varies(self.driver) or _varies(self.box)

    @takes(count=COUNT, seed=SEED, axes=AXES)
    def members(self, count, seed=1, axes=None):
        """Draw loudspeakers at random from the spreads of driver and box, each quantity independently.

        Parameters
        ----------
        count, seed : int
            How many; the same seed draws the same ones.
        axes : int, optional
            How many axes follow the first: those of this loudspeaker by default; else of what it is combined with.

        Returns
        -------
        Loudspeaker
            A family of shape (count, ...).

        Raises
        ------
        ValueError
            If neither has a spread.
        """
        if not self.varies:
            raise missing(
                "Driver.spread", "how far such drivers differ", "a band needs a driver or a box with a spread"
            )
        axes = len(self.shape) if axes is None else axes
        drawn = {
            name: getattr(self, name).members(count, seed, axes)
            for name in ("driver", "box")
            if _varies(getattr(self, name))
        }
        return dataclasses.replace(self, **drawn)


def _varies(part_):
    return getattr(part_, "spread", None) is not None


LOUDSPEAKER = Holds((Loudspeaker,))


@takes(loudspeaker=LOUDSPEAKER)
def as_it_comes(loudspeaker):
    """Return a loudspeaker whose driver and box vary as such parts usually do.

    Parameters
    ----------
    loudspeaker : Loudspeaker
        A driver with a spread of its own keeps it.

    Returns
    -------
    Loudspeaker
        With the spreads `USUAL` and `USUAL_BUILD` of `lumpedbox.parts.spread`: common practice, no source.
    """
    driver, box = loudspeaker.driver, loudspeaker.box
    if not _varies(driver):
        driver = dataclasses.replace(driver, spread=USUAL)
    if isinstance(box, Enclosure):
        box = dataclasses.replace(box, spread=USUAL_BUILD)
    return dataclasses.replace(loudspeaker, driver=driver, box=box)
