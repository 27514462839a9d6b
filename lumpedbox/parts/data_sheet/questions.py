"""What to check on a data sheet, and what is assumed where it is silent."""

from __future__ import annotations

import numpy as np

from ..small_signal import PRINTED_VOLTAGE, level_of_a_watt
from .plausible import oddities
from .slips import RATED_ONES

MANY = 2  # of what is unusual; one slip makes several, so more are not told


def questions_about(sheet, Re):
    """Return what to check on a sheet: the usual traps that its numbers leave open.

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
        yield "Into which impedance are the watts meant? Without a rated one they are taken as dissipated in Re."
    if rated is None:
        likely = min(RATED_ONES, key=lambda nominal: abs(np.log(0.85 * nominal / Re)))
        yield f"What is its rated impedance? Re = {Re:.3g} ohm suggests {likely:g} ohm (common practice, no source)."
    elif np.isclose(Re, rated, rtol=0.005):
        yield (
            f"Is Re = {Re:.3g} ohm the coil's own resistance, or the rated impedance again? A coil "
            f"rated {rated:g} ohm usually has {0.7 * rated:.3g} to {0.95 * rated:.3g} ohm (common practice, no source)."
        )
    elif not 0.6 <= Re / rated <= 1.0:
        yield (
            f"Is it really rated {rated:g} ohm? Re = {Re:.3g} ohm is {Re / rated:.2f} of that; 0.7 to 0.95 is usual "
            "(common practice; IEC 60268-5 asks for at least 0.8 of it as the lowest impedance, from memory)."
        )


def doubts_about(driver, given, sheet, air, slips):
    """Return questions about what is unusual, impossible or often confused.

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
            f"Is {1e3 * given['diameter']:.3g} mm the cone, from mid-surround to mid-surround? The basket is about a "
            "fifth wider: its diameter would make the mass come out twice as large."
        )
    at_one_watt, at_2V83, rated = given.get("sensitivity_1W"), given.get("sensitivity_2V83"), sheet.rated_impedance
    if None in (at_one_watt, at_2V83, rated) or at_one_watt != at_2V83:
        return
    watts, differ = PRINTED_VOLTAGE**2 / rated, -level_of_a_watt(rated)
    if abs(differ) > 1:
        yield (
            f"Were both sensitivities measured the same way? Into {rated:g} ohm, 2.83 V is {watts:.3g} W, so the two "
            f"should differ by {differ:+.1f} dB."
        )


def look_at(slips):
    """Say where to look first for a wrong number."""
    return f" Look first at {'; or at '.join(slips)}." if slips else ""


def assumptions(sheet):
    """Return what is assumed where the sheet is silent."""
    if sheet.Le is None:
        yield "Le is not given: the coil is taken as a resistance, so treble is drawn too loud."
    if sheet.xmax is None:
        yield "xmax is not given: nothing can be said about running out of travel."
    if sheet.power is not None and sheet.power_counted == "maximum":
        yield "The power is a maximum: how much the coil can take continuously is not known."
    if sheet.rated_impedance is None:
        yield "The rated impedance is not given: 1 W is taken as dissipated in Re."
