"""The best boxes for one driver or several, and why others are out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ...air import AIR, Air
from ...arguments import Single, takes
from ...parts.driver import DRIVER, Driver
from ...quantity import Whole, shown
from .boxes import Boxes
from .brief import BRIEF
from .candidates import Candidates
from .design import Design
from .refusal import refused, unsuitable

DESIGNS = Whole(meaning="number of designs to return", allowed=range(1, 10_001))
CANDIDATES = Whole(meaning="number of boxes to try first", allowed=range(100, 1_000_001))


@dataclass(frozen=True, slots=True, eq=False)
class Recommendation:
    """What a search found.

    Attributes
    ----------
    designs : tuple of Design
        The best first.
    refused : dict
        Name of a driver that no box suits: its `Refusal`.
    refused_kinds : tuple of Refusal
        Kinds of box that do not suit a driver, although the other kind does.
    """

    designs: tuple
    refused: dict
    refused_kinds: tuple

    def __str__(self):
        refusals = *self.refused.values(), *self.refused_kinds
        return "\n".join([*(" ".join(design.reasons) for design in self.designs), *map(str, refusals)])


@takes(brief=BRIEF, best=DESIGNS, candidates=CANDIDATES, air=Single(AIR))
def recommend(drivers, brief, *, best=4, candidates=3600, air=Air()):
    """Search the boxes that a brief allows, sealed and vented.

    Parameters
    ----------
    drivers : Driver, or dict of name to Driver
        One, or a table as `read_drivers` returns.
    brief : Brief
        The room there is, what drives the box, and what matters.
    best : int
        How many designs to return, at most one for each driver and kind of box.
    candidates : int
        How many boxes of each kind to try before refining the best.
    air : Air

    Returns
    -------
    Recommendation

    Raises
    ------
    ValueError, TypeError
        If an argument is of the wrong kind or out of range; the message names it.

    Notes
    -----
    The candidates of a driver are families over volume and tuning. Around the best few, the grid narrows until its
    steps are below a thousandth. A port gets the largest area that the brief and the longest port allow, since only
    the speed of its air depends on it.

    Examples
    --------
    >>> from lumpedbox import Amplifier, Brief
    >>> from lumpedbox.tables import demo_drivers
    >>> from lumpedbox.units import cm2, litre
    >>> amplifier = Amplifier(power=40, rated_impedance=4, minimum_load=2)
    >>> brief = Brief(volume=30 * litre, amplifier=amplifier, port_area=80 * cm2, lowest=35)
    >>> found = recommend(demo_drivers()["200 mm bass"], brief)
    >>> [design.kind for design in found.designs]
    ['vented', 'sealed']
    """
    named = {drivers.name or "the driver": drivers} if isinstance(drivers, Driver) else drivers
    if not isinstance(named, Mapping):
        got = f"{type(drivers).__name__} {shown(drivers)}"
        raise TypeError(f"recommend.drivers must be a Driver, or a dict of name to Driver, got {got}")
    if not named:
        raise ValueError("recommend.drivers has no driver in it")
    designs, refused, refused_kinds = [], {}, []
    for name, driver in named.items():
        found = search_driver(name, driver, brief, candidates, air)
        designs += found.designs
        if found.designs:
            refused_kinds += found.refusals()
        else:
            (refused[name],) = found.refusals()
    designs.sort(key=lambda design: design.values[brief.aim])
    return Recommendation(tuple(designs[:best]), refused, tuple(refused_kinds))


@dataclass(frozen=True, slots=True, eq=False)
class DriverSearch:
    """What the search found for one driver.

    Attributes
    ----------
    name : str
    tried : tuple of (Candidates, Optimum)
        One for each kind of box that was tried; none if no box at all will do.
    designs : tuple of Design
        The best of each kind that keeps every limit.
    unsuitable : Refusal or None
        Why no box at all will do.
    """

    name: str
    tried: tuple
    designs: tuple
    unsuitable: object

    def refusals(self):
        """Return why a kind of box does not suit, as a tuple of `Refusal`: one for both if neither does."""
        if self.unsuitable:
            return (self.unsuitable,)
        left = [(candidates, optimum) for candidates, optimum in self.tried if not optimum.feasible]
        return (refused(self.name, left[0][0].boxes.kind if self.designs else "", left),) if left else ()


def search_driver(name, driver, brief, candidates, air=Air(), most=1.0, rough=False):
    """Search the boxes of one driver; see `recommend`.

    Parameters
    ----------
    name : str
    driver : Driver
    brief : Brief
    candidates : int
    air : Air
    most : float
        Largest volume to try, over the litres available. [1]
    rough : bool
        Whether a first look is enough, in a third of the time: it leaves out what holds each design back.

    Returns
    -------
    DriverSearch
    """
    DRIVER.single("recommend", f"drivers[{name!r}]", driver)
    refusal = unsuitable(name, driver, brief)
    if refusal:
        return DriverSearch(name, (), (), refusal)
    kinds = [Candidates(Boxes.within(driver, kind, brief, air, most), candidates, rough) for kind in brief.kinds]
    tried = tuple((one, one.best(brief.aim)) for one in kinds)
    designs = tuple(Design.from_search(name, one.boxes, best, rough) for one, best in tried if best.feasible)
    return DriverSearch(name, tried, designs, None)
