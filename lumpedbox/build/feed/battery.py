"""Batteries: how long with the engine off, what is left over at idle, and a second one."""

from __future__ import annotations

from ...arguments import one, takes
from ...errors import Refused
from ...quantity import Holds, OneOf, Part, part, ruled
from . import words
from .cable import Cable
from .feed import BLADE, HIGH_VOLTAGE, QUALIFIED, SYSTEM_VOLTAGE, UNKNOWN, VEHICLES, check_vehicle
from .fuses import CABLE, RATINGS, STANDARD, fuse_between

LITHIUM = "lithium"
BOTH = "both ends"
ENDS = (BOTH, "one end", "none")
AMPERES = one("A", "current", 0.0, 2e3)


@takes(
    capacity=one("A s", "capacity as printed on the battery", 3600.0, 3.6e6, slips=("ampere_hour",)),
    usable_share=one("", "share of the capacity that may be used", 0.01, 1.0, slips=("percent",)),
    current=one("A", "mean current", 1e-3, 2e3),
    chemistry=OneOf(("lead-acid", LITHIUM)),
    maker_current=one("A", "largest current that a lithium battery's maker allows", 0.1, 2e3),
)
def engine_off_time(capacity, usable_share=None, *, current, chemistry="lead-acid", maker_current=None):
    r"""How long a battery lasts with the engine off. [s]

    .. math:: t = u\,Q / I

    Parameters
    ----------
    capacity : float
        As printed: `80 * ampere_hour`. [A s]
    usable_share : float
        What may be taken so that the engine still starts; half and less for lead. Never all of it. [1]
    current : float
        Mean, of everything that is on. [A]
    chemistry : str
        "lead-acid" or "lithium".
    maker_current : float
        Largest discharge current that a lithium battery's maker allows. [A]

    Raises
    ------
    ValueError
        If the usable share is not given or is all of it, or if a lithium battery's largest current is not known.
    """
    who = "engine_off_time"
    if usable_share is None or usable_share >= 1:
        why = "must be given, and less than 1: no battery may be used up whole, and the engine must still start"
        raise Refused(who, "usable_share", why, ". Ask the battery's maker")
    if chemistry == LITHIUM and maker_current is None:
        raise Refused(who, "maker_current", "is missing: a lithium battery's maker sets the largest current")
    if maker_current is not None and current > maker_current:
        problem = f"must be at most the maker_current of {maker_current:g} A, got {current:g} A"
        raise Refused(who, "current", problem)
    return usable_share * capacity / current


@takes(output_at_idle=AMPERES, vehicle_draws=AMPERES, vehicle=OneOf(VEHICLES))
def alternator_reserve(output_at_idle=None, *, vehicle_draws, vehicle=UNKNOWN):
    r"""What the alternator has left over at idle; negative where the battery must give. [A]

    .. math:: I_{idle} - I_{vehicle}

    Parameters
    ----------
    output_at_idle : float
        Not the figure printed on it, which holds at speed. [A]
    vehicle_draws : float
        What the vehicle itself takes, with lights and fan on. [A]
    vehicle : str
        As `Feed.vehicle`.

    Raises
    ------
    ValueError
        If its output at idle is not given, or for a high-voltage vehicle.
    """
    if vehicle == HIGH_VOLTAGE:
        raise Refused("alternator_reserve", "vehicle", f"is {HIGH_VOLTAGE!r}", f": {QUALIFIED}")
    if output_at_idle is None:
        why = "is missing: the current printed on an alternator holds at speed, and idle gives much less"
        raise Refused("alternator_reserve", "output_at_idle", why)
    return output_at_idle - vehicle_draws


@part
class SecondBattery(Part):
    """The cable between two batteries: each of them can feed a short in it.

    Parameters
    ----------
    cable : Cable
        Between their + poles.
    current : float
        Largest that flows in it, by what connects them. [A]
    voltage : float
        Of the system, as measured: that of both. [V]
    fuses : {"both ends", "one end", "none"}
        Where it has them.
    vehicle : str
        As `Feed.vehicle`.
    rating_of_fuses : tuple of float
        What is sold, in rising order. [A]
    """

    cable: Cable = ruled(Holds((Cable,)))
    current: float = ruled(one("A", "largest current between the batteries", 0.1, 2e3))
    voltage: float = ruled(SYSTEM_VOLTAGE, None)
    fuses: str = ruled(OneOf(ENDS), BOTH)
    vehicle: str = ruled(OneOf(VEHICLES), UNKNOWN)
    rating_of_fuses: tuple = ruled(RATINGS, STANDARD)

    def _check_together(self):
        check_vehicle("SecondBattery", self.vehicle, self.voltage)
        if self.fuses != BOTH:
            why = f"must be at both ends, got {self.fuses!r}: each battery can burn the cable from its own end"
            raise Refused("SecondBattery", "fuses", why)

    @property
    def fuse(self):
        """Fuse at each end. [A]

        Raises
        ------
        ValueError
            If none fits. It says which bound binds.
        """
        bounds = {CABLE: self.cable.rating_for_a_fuse("SecondBattery.cable")}
        return fuse_between("SecondBattery", self.current, bounds, self.rating_of_fuses)

    @property
    def remarks(self):
        """What must be found out, and where care is needed: sentences."""
        applies = {
            words.DOUBTFUL: self.cable.doubtful,
            words.OVER_BLADE: self.voltage > BLADE,
            words.BY_TABLE: self.cable.by_table,
            words.UNLIKE: True,
        }
        return tuple(remark for remark, so in applies.items() if so)
