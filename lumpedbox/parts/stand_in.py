"""Stand-ins for drivers without a data sheet: what is typical of a size and kind, and how far they differ."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..errors import Refused
from ..quantity import OneOf, Quantity, shown
from ..units import gram, mH, mm
from .small_signal import LENGTH_SLIPS
from .spread import Spread


@dataclasses.dataclass(frozen=True, slots=True)
class Kind:
    """What is typical of a kind of driver at one size, and the sizes it comes in.

    Attributes
    ----------
    low, high, size : float
        Smallest and largest nominal size, and the size that the rest refers to. [m]
    share : float
        Effective diameter over nominal size. [1]
    fs, Qes, Qms : float
        [Hz], [1]
    Mms, Le, xmax : float
        [kg], [H], [m]
    """

    low: float
    high: float
    size: float
    share: float
    fs: float
    Qes: float
    Qms: float
    Mms: float
    Le: float
    xmax: float


# Common practice, no source: what data sheets of ordinary drivers for vehicles look like. In the order of the fields:
# low, high, size; share; fs, Qes, Qms; Mms, Le, xmax.
KINDS = {
    "tweeter": Kind(12 * mm, 40 * mm, 25 * mm, 1.10, 1300, 1.6, 3.0, 0.35 * gram, 0.03 * mH, 0.3 * mm),
    "full range": Kind(45 * mm, 135 * mm, 100 * mm, 0.82, 110, 0.85, 3.5, 3.6 * gram, 0.15 * mH, 2.0 * mm),
    "woofer": Kind(95 * mm, 320 * mm, 165 * mm, 0.815, 58, 0.60, 4.5, 14 * gram, 0.30 * mH, 4.0 * mm),
    "bass": Kind(150 * mm, 470 * mm, 250 * mm, 0.84, 30, 0.50, 6.0, 110 * gram, 1.0 * mH, 8.0 * mm),
}
SPREAD = Spread(Re=0.07, Bl=0.15, Mms=0.2, Cms=0.3, Rms=0.35, Sd=0.05, Le=0.4, xmax=0.3)  # common practice, no source
RATED, RESISTANCE = 4.0, 3.4  # ohm; the usual ones in vehicles
CALLED = {  # by other names
    **dict.fromkeys(("subwoofer", "sub", "sub-woofer"), "bass"),
    **dict.fromkeys(("midbass", "mid-bass", "mid-woofer", "midwoofer"), "woofer"),
    **dict.fromkeys(("fullrange", "full-range", "coaxial", "midrange", "mid-range"), "full range"),
}


class KindOf(OneOf):
    """One of the kinds; another name for a kind is answered with the name used here."""

    def accept(self, owner, name, value):
        meant = CALLED.get(value.strip().lower()) if isinstance(value, str) else None
        if meant:
            problem = f"must be one of {', '.join(self.words)}, got {value!r}"
            raise Refused(owner, name, problem, f": did you mean {meant!r}?")
        return super().accept(owner, name, value)


KIND = KindOf(words=tuple(KINDS))
OWNER = "Driver.typical"
LONGEST = 3.0  # times as long as wide, at most: ours


class NominalSize(Quantity):
    """A nominal size: one number, or the width and the length of an oval."""

    def single(self, owner, name, value):
        """Return a float, or two in rising order."""
        if not isinstance(value, (tuple, list)):
            return super().single(owner, name, value)
        if len(value) != 2:
            raise Refused(owner, name, f"must be one number, or width and length of an oval in m, got {shown(value)}")
        width, length = sorted(AXIS.single(owner, name, axis) for axis in value)
        if length > LONGEST * width:
            problem = f"must be an oval at most {LONGEST:g} times as long as wide, got {shown(value)}"
            raise Refused(owner, name, problem)
        return width, length


SIZE = NominalSize(unit="m", meaning="nominal size", low=10 * mm, high=1.0, slips=LENGTH_SLIPS)
AXIS = Quantity(unit="m", meaning="axis of an oval", low=40 * mm, high=1.0, slips=LENGTH_SLIPS)  # no smaller: ours


def stands_in(driver):
    """Return whether nothing but its size and kind is known of a driver: it has the spread of a stand-in."""
    own = ("Bl", "Mms", "Cms", "Rms")
    return driver.spread is not None and all(getattr(driver.spread, n) == getattr(SPREAD, n) for n in own)


def as_round(size):
    r"""Size of a round driver with an area as large. [m]

    .. math:: d = \sqrt{a b}

    An ellipse of the axes a and b has the area of a circle of that diameter (geometry). That the cone of an oval is as
    much smaller than its basket as that of a round one is assumed: common practice, no source.
    """
    return float(np.sqrt(np.prod(size))) if isinstance(size, tuple) else size


def size_in_mm(size):
    """Return a nominal size as text: "165 mm", or "152 x 229 mm" of an oval."""
    axes = size if isinstance(size, tuple) else (size,)
    return f"{' x '.join(f'{axis / mm:.0f}' for axis in axes)} mm"


def fields_of_a_stand_in(size, kind, name):
    r"""Return what is typical of a size and kind, as fields of `Driver`: see `Driver.typical`.

    Parameters
    ----------
    size : float or pair of float
        Of an oval, width and length. [m]
    kind, name : str

    Returns
    -------
    dict
        Name: value. [SI]

    Notes
    -----
    Each kind is known at one size. From there, areas grow as the square of the size, the moving mass as its power 2.5
    and travel in proportion. The resonance falls in proportion (common practice, no source). An oval is taken as
    the round one of `as_round`.
    """
    known = KINDS[KIND.accept(OWNER, "kind", kind)]
    rule = Quantity(unit="m", meaning=f"nominal size of a {kind}", low=known.low, high=known.high, slips=LENGTH_SLIPS)
    size = SIZE.single(OWNER, "size", size) if isinstance(size, (tuple, list)) else size
    across = rule.single(OWNER, "size", as_round(size))
    grown = across / known.size
    Mms, ws = known.Mms * grown**2.5, 2 * np.pi * known.fs / grown
    return dict(
        Re=RESISTANCE,
        Bl=np.sqrt(ws * Mms * RESISTANCE / known.Qes),
        Mms=Mms,
        Cms=1 / (ws**2 * Mms),
        Rms=ws * Mms / known.Qms,
        Sd=np.pi / 4 * (known.share * across) ** 2,
        Le=known.Le,
        xmax=known.xmax * grown,
        rated_impedance=RATED,
        spread=SPREAD,
        name=f"{name or f'{size_in_mm(size)} {kind}'}, stand-in",
    )
