"""A driver from all that a row or a form says: from its data sheet, or a stand-in if it has none."""

from __future__ import annotations

import dataclasses

from ..air import Air
from ..errors import Incomplete
from ..parts.data_sheet.fit import quantities
from ..parts.data_sheet.printed import OWNER, PARAMETERS, PrintedSheet
from ..parts.data_sheet.report import DataSheet, Report
from ..parts.driver import Driver
from ..parts.small_signal import PRINTED_VOLTAGE, passband_level
from ..parts.stand_in import KIND, KINDS, RATED, as_round, size_in_mm
from ..parts.variants import louder, scaled
from ..units import cm, cm2, inch, mm

LOUDNESS = ("sensitivity_2V83", "sensitivity_1W")
NUMBERS = tuple(name for name in PARAMETERS if name not in LOUDNESS)  # a stand-in has none of them
ASSUMED = "Everything but what is printed: a stand-in, typical of its kind (common practice, no source)."
OVAL = (
    "Its cone is an ellipse of {area:.0f} cm², as much smaller than the basket as a round one is "
    "(common practice, no source)."
)


def sheet_or_stand_in(known):
    """Make a driver from all that is known of it: from its data sheet, or a stand-in if it has none.

    A stand-in with a printed sensitivity plays that loud: its cone is made lighter or heavier than is typical.

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
        If that does not determine a driver, and is not enough for a stand-in either.
    """
    printed = {name: value for name, value in known.items() if name not in ("size", "kind")}
    may_stand_in = {"size", "kind"} <= known.keys()
    if printed.keys() & set(NUMBERS if may_stand_in else PARAMETERS):
        return _of_its_sheet(printed, may_stand_in)
    absent = [name for name in ("size", "kind") if name not in known]
    if absent:
        message = f"no number of the driver itself is given: for a stand-in, add its {' and '.join(absent)}"
        raise ValueError(message)
    _check_size(known["size"], known["kind"])
    sheet = PrintedSheet(**printed)
    driver = wound_for(Driver.typical(size=known["size"], kind=known["kind"], name=sheet.name), sheet)
    given = sheet.parameters | sheet.beside
    driver = as_loud_as(driver, sheet.printed_at_2V83(given, driver.Re))
    follows = quantities(driver, Air(), sheet.rated_impedance)
    implied = {name: value for name, value in follows.items() if name not in given}
    return DataSheet(driver, Report(given, implied, (ASSUMED, *_of_an_oval(known["size"], driver)), (), ()))


def _of_an_oval(size, driver):
    """Say what is assumed of the cone of an oval."""
    return (OVAL.format(area=driver.Sd / cm2),) if isinstance(size, tuple) else ()


def _of_its_sheet(printed, may_stand_in):
    try:
        return Driver.from_data_sheet(**printed)
    except Incomplete as error:
        if not may_stand_in:
            raise
        numbers = " and ".join(name for name in printed if name in NUMBERS)
        otherwise = f"or leave {numbers} out for a stand-in of its size and kind"
        raise Incomplete(error.message, error.ways, OWNER, otherwise) from None


def _check_size(size, kind):
    """Refuse a size that this kind does not come in, in the unit in which sizes are printed."""
    known, across = KINDS[KIND.accept(OWNER, "kind", kind)], as_round(size)
    if known.low <= across <= known.high:
        return
    between = f"between {known.low / mm:g} and {known.high / mm:g} mm (nominal size of a {kind})"
    slips = ((f"{across / mm:.4g} {unit}", across / mm * factor) for unit, factor in (("in", inch), ("cm", cm)))
    meant = next((f": did you mean {words}?" for words, value in slips if known.low <= value <= known.high), "")
    of_an_oval = f", as large as a round one of {across / mm:.4g} mm" if isinstance(size, tuple) else ""
    raise ValueError(f"size must be {between}, got {size_in_mm(size)}{of_an_oval}{meant if not of_an_oval else ''}")


def as_loud_as(driver, sensitivity):
    """Return a stand-in that plays as loud as printed for 2.83 V, by its moving mass; unchanged if that is None."""
    if sensitivity is None:
        return driver
    lighter = louder(driver, sensitivity - passband_level(driver, PRINTED_VOLTAGE))
    return dataclasses.replace(lighter, sensitivity=sensitivity)


def wound_for(driver, sheet):
    """Return a stand-in with what its sheet says, its coil wound for the rated impedance if that is known."""
    fields = {name: value for name, value in sheet.fields_of_a_driver().items() if name != "name"}
    wound = scaled(driver, coil=fields.get("rated_impedance", RATED) / RATED)
    spread = dataclasses.replace(driver.spread, **{name: 0.0 for name in ("Le", "xmax") if name in fields})
    return dataclasses.replace(wound, spread=spread, **fields)
