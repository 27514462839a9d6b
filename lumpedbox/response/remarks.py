"""What a reader must keep in mind: one function a remark, which returns a sentence, or None where all is well."""

from __future__ import annotations

import numpy as np

from ..parts.driver import reference_efficiency
from .openings import known_port_area
from .passband import TILT

CAUTION_SPEED = 17.0  # m/s, peak: guidance, common practice (no source), never a pass mark
HIGHEST_EFFICIENCY = 0.05  # above it, the circuit's missing radiation load is felt
HOTTEST = 250.0  # degrees that a voice coil stands at most (common practice, no source)
JUST_NOTED = 1.01  # of xmax: less is nothing to speak of

EFFICIENCY_REMARK = (
    "The driver's reference efficiency is above 5 %: the load of the sound itself on the cone, "
    "which the model leaves out, is no longer small."
)


def sentences(found):
    """Return those of several remarks that there are."""
    return tuple(sentence for sentence in found if sentence)


def about_model(response):
    """Return what to keep in mind of a loudspeaker at any voltage."""
    remarks = (validity, efficiency, cabin_resonance, cabin_phase, tilted_filters)
    return sentences(remark(response) for remark in remarks)


def about_voltage(response):
    """Return what to keep in mind of a loudspeaker at the voltage that it is solved for."""
    return sentences(remark(response) for remark in (travel, port_speed, one_of_many))


def validity(response):
    """Say up to where the model holds."""
    return f"The model holds up to about {np.min(response.validity_limit):.0f} Hz; above, the curves are only a sketch."


def efficiency(response):
    """Say that the sound itself loads the cone."""
    high = np.any(reference_efficiency(response.loudspeaker.driver, response.air) > HIGHEST_EFFICIENCY)
    return EFFICIENCY_REMARK if high else None


def one_of_many(response):
    """Say that there is a band."""
    if response.varies:
        return "Driver or box is one of many: `band` shows between which values most of them lie."
    return None


def cabin_resonance(response):
    """Say where the cabin's own resonances begin, if that is where the loudspeaker's model still holds."""
    cabin = response.loudspeaker.cabin
    if cabin is None or np.min(cabin.first_resonance(response.air)) >= np.max(response.validity_limit):
        return None
    first = np.min(cabin.first_resonance(response.air))
    return f"The cabin's first resonance is near {first:.0f} Hz: from there up it adds peaks and dips not shown here."


def cabin_phase(response):
    """Say that the phase of a cabin is assumed."""
    if response.loudspeaker.cabin is None:
        return None
    return "Phase and group delay hold the phase that the simple cabin model assumes: a real cabin's will differ."


def added_powers(system):
    """Say from where on a system in a cabin is summed without phases."""
    crowded = np.min(system.modal_limit)
    if np.max(system.frequency) * np.sqrt(2) < crowded:
        return None
    return f"Around {crowded:.0f} Hz the cabin's resonances crowd: above, the powers of the loudspeakers are added."


def tilted_filters(response):
    """Say that filters shape the band that f3, f6 and f10 are counted from."""
    tilt = np.max(response.filter_tilt)
    if tilt <= TILT:
        return None
    return (
        f"The filters change the level by {tilt:.0f} dB between 100 and 315 Hz, the band that f3, f6 and f10 are "
        "counted from: read those three with care."
    )


def travel(response):
    """Say that the cone passes its linear travel, or that nobody knows."""
    xmax = response.loudspeaker.driver.xmax
    if xmax is None:
        return "Driver.xmax is not known: nothing is said about running out of travel."
    times, place = _worst(response, response.excursion, xmax)
    if not times >= JUST_NOTED:
        return None
    return (
        f"At {place:.4g} Hz the cone moves {times:.3g} times its xmax. There the curves are too high: "
        "a real cone moves less, distorts, and may be damaged."
    )


def port_speed(response):
    """Say that the air in the port is faster than is usual."""
    if known_port_area(response) is None:
        return None
    times, place = _worst(response, response.port_velocity, CAUTION_SPEED)
    if not times > 1:
        return None
    return (
        f"At {place:.4g} Hz the air in the port reaches {times * CAUTION_SPEED:.0f} m/s: above {CAUTION_SPEED:.0f} m/s "
        "expect noise and less bass than shown (guidance, common practice)."
    )


def _worst(response, values, limit):
    """Return by how much a curve passes its limit at most, over all members, and the frequency where. [1], [Hz]"""
    times = values / np.asarray(limit)[..., np.newaxis]
    return np.max(times), response.frequency[np.unravel_index(np.argmax(times), times.shape)[-1]]


def hot_coil(temperature):
    """Say that no coil stands such a temperature. [degrees Celsius]"""
    highest = np.max(temperature)
    if highest <= HOTTEST:
        return None
    return (
        f"The coil is computed at {highest:.0f} degrees Celsius; coils stand some 200 to {HOTTEST:.0f} "
        "(common practice). Check the rated power and thermal_resistance."
    )


def low_load(amplifier, least, who):
    """Say that an amplifier is loaded with less than its lowest load.

    That is meant for rated impedances, below which a loudspeaker's own may fall by a fifth (`LOWEST_SHARE`): so much
    is told as usual, and more as too little.
    """
    if amplifier is None:
        return None
    from ..parts.amplifier import LOWEST_SHARE  # by now it is there

    least, wanted = (values.ravel() for values in np.broadcast_arrays(least, amplifier.minimum_load))
    worst = np.argmin(least / wanted)
    least, wanted = least[worst], wanted[worst]
    if least >= wanted:
        return None
    verdict = f"usual for a load rated {wanted:g} ohm" if least >= LOWEST_SHARE * wanted else "too little"
    loaded = f"{who} is loaded with {least:.2g} ohm at its lowest"
    return f"{loaded}; {amplifier.name or 'its amplifier'} asks for {wanted:g} ohm at least: {verdict}."
