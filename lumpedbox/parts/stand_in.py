"""Drivers to reckon with where there is no data sheet: what is typical of a size and kind, and how far they differ."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..air import Air
from ..quantity import OneOf, Quantity
from ..units import gram, mH, mm
from .data_sheet import (
    COUNTED,
    PRINTED,
    SHOWN_BESIDE,
    DataSheet,
    Report,
    beside_the_parameters,
    printed_at_2V83,
    quantities_in_si,
)
from .driver import LENGTH_SLIPS, Driver, passband_level
from .spread import Spread


@dataclasses.dataclass(frozen=True, slots=True)
class Kind:
    """What is typical of a kind of driver at one size, and over which sizes it is made.

    Attributes
    ----------
    low, high, size : float
        Smallest and largest nominal size, and the one at which the rest holds. [m]
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


# Common practice, no source: what data sheets of ordinary drivers for vehicles look like.
KINDS = {
    "tweeter": Kind(12 * mm, 40 * mm, 25 * mm, 1.10, 1300, 1.6, 3.0, 0.35 * gram, 0.03 * mH, 0.3 * mm),
    "full range": Kind(45 * mm, 135 * mm, 100 * mm, 0.82, 110, 0.85, 3.5, 3.6 * gram, 0.15 * mH, 2.0 * mm),
    "woofer": Kind(95 * mm, 320 * mm, 165 * mm, 0.815, 58, 0.60, 4.5, 14 * gram, 0.30 * mH, 4.0 * mm),
    "bass": Kind(150 * mm, 470 * mm, 250 * mm, 0.84, 30, 0.50, 6.0, 110 * gram, 1.0 * mH, 8.0 * mm),
}
SPREAD = Spread(Re=0.07, Bl=0.15, Mms=0.2, Cms=0.3, Rms=0.35, Sd=0.05, Le=0.4, xmax=0.3)  # common practice, no source
RATED, RESISTANCE = 4.0, 3.4  # ohm; the usual ones in vehicles
CALLED = {  # otherwise
    **dict.fromkeys(("subwoofer", "sub", "sub-woofer"), "bass"),
    **dict.fromkeys(("midbass", "mid-bass", "mid-woofer", "midwoofer"), "woofer"),
    **dict.fromkeys(("fullrange", "full-range", "coaxial", "midrange", "mid-range"), "full range"),
}


class KindOf(OneOf):
    """One of the kinds; one that is called otherwise is answered with its name here."""

    def accept(self, owner, name, value):
        meant = CALLED.get(value.strip().lower()) if isinstance(value, str) else None
        if meant:
            raise ValueError(
                f"{owner}.{name} must be one of {', '.join(self.words)}, got {value!r}: did you mean {meant!r}?"
            )
        return super().accept(owner, name, value)


KIND = KindOf(words=tuple(KINDS))
OWNER = "Driver.typical"
LOUDNESS = ("sensitivity_2V83", "sensitivity_1W")
NUMBERS = PRINTED.keys() - set(LOUDNESS)  # which a stand-in has none of
SIZE = Quantity(unit="m", meaning="nominal size", low=5 * mm, high=1.0, slips=LENGTH_SLIPS)
ASSUMED = "All of it but what is printed: a stand-in, typical of its kind (common practice, no source)."


def stand_in(size, kind, name):
    r"""Make a stand-in: see `Driver.typical`.

    Parameters
    ----------
    size : float
        [m]
    kind, name : str

    Returns
    -------
    Driver

    Notes
    -----
    From the size at which a kind is known, areas grow as its square, the moving mass as its power 2.5, travel in
    proportion, and the resonance falls in proportion (common practice, no source).
    """
    known = KINDS[KIND.accept(OWNER, "kind", kind)]
    rule = Quantity(unit="m", meaning=f"nominal size of a {kind}", low=known.low, high=known.high, slips=LENGTH_SLIPS)
    size = rule.single(OWNER, "size", size)
    grown = size / known.size
    Mms, ws = known.Mms * grown**2.5, 2 * np.pi * known.fs / grown
    return Driver(
        Re=RESISTANCE,
        Bl=np.sqrt(ws * Mms * RESISTANCE / known.Qes),
        Mms=Mms,
        Cms=1 / (ws**2 * Mms),
        Rms=ws * Mms / known.Qms,
        Sd=np.pi / 4 * (known.share * size) ** 2,
        Le=known.Le,
        xmax=known.xmax * grown,
        rated_impedance=RATED,
        spread=SPREAD,
        name=f"{name or f'{size / mm:.0f} mm {kind}'}, stand-in",
    )


def sheet_or_stand_in(known):
    """Make a driver of all that is known of it: of its data sheet, or a stand-in where it has none.

    A stand-in of a printed sensitivity plays that loud: its cone is taken as lighter or heavier than is typical.

    Parameters
    ----------
    known : dict
        Name: value of anything that `Driver.from_data_sheet` takes, and of size [m] and kind. [SI, dB]

    Returns
    -------
    DataSheet

    Raises
    ------
    ValueError, TypeError
        If that does not settle a driver, and is not a stand-in either.
    """
    printed = {name: value for name, value in known.items() if name not in ("size", "kind")}
    may_stand_in = {"size", "kind"} <= known.keys()
    if printed.keys() & (NUMBERS if may_stand_in else PRINTED.keys()):
        return _of_its_sheet(printed, may_stand_in)
    absent = [name for name in ("size", "kind") if name not in known]
    if absent:
        raise ValueError(
            f"neither a number of the driver itself is given nor, for a stand-in, its {' and '.join(absent)}"
        )
    _check_size(known["size"], known["kind"])
    beside = {name: printed.get(name) for name in SHOWN_BESIDE}
    sheet, fields = beside_the_parameters(beside, {name: printed.get(name) for name in COUNTED})
    driver = wound_for(Driver.typical(size=known["size"], kind=known["kind"], name=known.get("name", "")), fields)
    loudness = {name: PRINTED[name].single(OWNER, name, value) for name, value in printed.items() if name in LOUDNESS}
    driver = as_loud_as(driver, printed_at_2V83(loudness, driver.Re, sheet))
    given = {name: value for name, value in sheet.items() if name in SHOWN_BESIDE and value is not None} | loudness
    follows = quantities_in_si(driver, Air(), sheet["rated_impedance"])
    implied = {name: value for name, value in follows.items() if name not in given}
    return DataSheet(driver, Report(given, implied, (ASSUMED,), (), ()))


def _of_its_sheet(printed, may_stand_in):
    try:
        return Driver.from_data_sheet(**printed)
    except ValueError as error:
        if may_stand_in and "does not settle" in str(error):
            numbers = " and ".join(name for name in printed if name in NUMBERS)
            raise ValueError(f"{error}; or leave {numbers} out, and it is a stand-in of its size and kind") from None
        raise


def _check_size(size, kind):
    """Refuse a size of which its kind is not made, in the unit in which sizes are printed."""
    known = KINDS[KIND.accept(OWNER, "kind", kind)]
    if not known.low <= size <= known.high:
        raise ValueError(
            f"size must be between {known.low / mm:g} and {known.high / mm:g} mm (nominal size of a {kind}), "
            f"got {size / mm:.4g} mm"
        )


def as_loud_as(driver, sensitivity):
    r"""Return a stand-in whose pass-band is at a printed level for 2.83 V, by its moving mass; the same if it is None.

    .. math:: M_{ms} / k, \quad R_{ms} / k, \quad C_{ms}\,k, \quad k = 10^{(L - L_{typical})/20}
    """
    if sensitivity is None:
        return driver
    k = 10 ** ((sensitivity - passband_level(driver, 2.83)) / 20)
    moving = {"Mms": driver.Mms / k, "Rms": driver.Rms / k, "Cms": driver.Cms * k}
    return dataclasses.replace(driver, **moving, sensitivity=sensitivity)


def wound_for(driver, fields):
    """Return a stand-in with what is known of it, its coil wound for the rated impedance if that is known."""
    turns = np.sqrt(fields.get("rated_impedance", RATED) / RATED)
    spread = dataclasses.replace(driver.spread, **{name: 0.0 for name in ("Le", "xmax") if name in fields})
    wound = {"Re": driver.Re * turns**2, "Bl": driver.Bl * turns, "Le": driver.Le * turns**2, "spread": spread}
    return dataclasses.replace(driver, **wound | fields)
