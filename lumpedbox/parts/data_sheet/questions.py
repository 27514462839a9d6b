"""What to find out on a data sheet, and what is taken for granted where it is silent."""

from __future__ import annotations

import numpy as np

from ..small_signal import PRINTED_VOLTAGE, level_of_a_watt
from .plausible import oddities
from .slips import RATED_ONES

MANY = 2  # more that is unusual is not told: one slip makes several


def questions_about(sheet, Re):
    """Return what to find out on a sheet: the usual traps that its numbers do not settle.

    Parameters
    ----------
    sheet : PrintedSheet
    Re : float
        [ohm]
    """
    rated = sheet.rated_impedance
    if sheet.xmax is not None and sheet.xmax_counted is None:
        yield (f"Is xmax {1e3 * sheet.xmax:.3g} mm one way, or peak to peak? Taken as one way.")
    if sheet.power is not None and sheet.power_counted is None:
        yield f"Are the {sheet.power:.4g} W r.m.s. (continuous), or a maximum? A maximum says nothing about heat."
    if sheet.power is not None and rated is None:
        yield "At which impedance are the watts meant? Without a rated impedance they are reckoned into Re."
    if rated is None:
        likely = min(RATED_ONES, key=lambda nominal: abs(np.log(0.85 * nominal / Re)))
        yield f"Which impedance is it rated by? Re = {Re:.3g} ohm suggests {likely:g} ohm (common practice, no source)."
    elif np.isclose(Re, rated, rtol=0.005):
        yield (
            f"Is Re = {Re:.3g} ohm the coil's own resistance, or the rated impedance once more? A coil "
            f"of {rated:g} ohm usually has {0.7 * rated:.3g} to {0.95 * rated:.3g} ohm (common practice, no source)."
        )
    elif not 0.6 <= Re / rated <= 1.0:
        yield (
            f"Is it really rated {rated:g} ohm? Re = {Re:.3g} ohm is {Re / rated:.2f} of that; 0.7 to 0.95 is usual "
            "(common practice; IEC 60268-5 asks for at least 0.8 of it as the lowest impedance, from memory)."
        )


def doubts_about(driver, given, sheet, air, slips):
    """Return questions about what is unusual, cannot be, or is often confused.

    Parameters
    ----------
    driver : SmallSignal
    given : dict
        What the sheet prints. [SI, dB]
    sheet : PrintedSheet
    air : Air
    slips : tuple of str
        Which slips would make it as unusual, the likeliest first.
    """
    odd = oddities(driver, air)[:MANY]
    if odd:
        said = " ".join(usual.said(driver, air) for usual in odd)
        sources = "; ".join(dict.fromkeys(usual.source for usual in odd))
        yield f"Is that right? {said} ({sources[0].upper()}{sources[1:]}.){look_at(slips)}"
    if "diameter" in given and "Sd" not in given:
        yield (
            f"Is {1e3 * given['diameter']:.3g} mm the cone, from the middle of the surround to the middle? The "
            "basket is about a fifth wider, and the mass would come out twice too large."
        )
    at_one_watt, at_2V83, rated = given.get("sensitivity_1W"), given.get("sensitivity_2V83"), sheet.rated_impedance
    if None in (at_one_watt, at_2V83, rated) or at_one_watt != at_2V83:
        return
    watts, differ = PRINTED_VOLTAGE**2 / rated, -level_of_a_watt(rated)
    if abs(differ) > 1:
        yield (
            f"Were both sensitivities measured alike? At {rated:g} ohm 2.83 V are {watts:.3g} W, so that the two "
            f"differ by {differ:+.1f} dB."
        )


def look_at(slips):
    """Say where to look first for a wrong number."""
    return f" Look first at {'; or at '.join(slips)}." if slips else ""


def assumptions(sheet):
    """Return what was taken for granted where the sheet is silent."""
    if sheet.Le is None:
        yield "Le is not given: the coil is taken as a resistance, so treble is drawn too loud."
    if sheet.xmax is None:
        yield "xmax is not given: nothing can be said about running out of travel."
    if sheet.power is not None and sheet.power_counted == "maximum":
        yield "The power is a maximum: the power that the coil stands for long is taken as unknown."
    if sheet.rated_impedance is None:
        yield "The rated impedance is not given: one watt is reckoned into Re."
