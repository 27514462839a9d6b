"""What a reader must keep in mind: a function for each remark returns a sentence, or None if all is well."""

from __future__ import annotations

import numpy as np

from ..parts.box import Door
from ..parts.driver import reference_efficiency
from .passband import TILT

CAUTION_SPEED = 17.0  # m/s, peak: guidance, common practice (no source), never a pass mark
HIGHEST_EFFICIENCY = 0.05  # above it, the radiation load that the circuit leaves out matters
HOTTEST = 250.0  # degrees Celsius that a voice coil survives (common practice, no source)
LARGEST_HOLE = 0.5  # m2; no door has a larger one (ours)
ROUGH_DOOR = 10.0  # dB, up to 40 Hz: what such a cabin easily misses one by its resonances by (a trial of ours: to 19)
LONGEST_REVERBERATION = 0.5  # s; a furnished vehicle is far below (ours)
JUST_NOTED = 1.01  # times xmax; less is not worth a remark

EFFICIENCY_REMARK = (
    "The driver's reference efficiency is above 5 %. "
    "The sound then loads the cone noticeably, and the model leaves that out."
)
BOX_REMARK = (
    "The cabin is a box with your dimensions: its first resonances are right within perhaps 10 to 20 % (ours, no "
    "source). Seats, slope, trim and people are not in it. The place of a dip is a warning, not a forecast."
)


def sentences(found):
    """Return the remarks that apply."""
    return tuple(sentence for sentence in found if sentence)


def by_name(system, remarks):
    """Return the remarks about each loudspeaker of a system: who, then what, each sentence once."""
    found = {}
    for number, (speaker, about) in enumerate(zip(system.loudspeakers, remarks, strict=True), start=1):
        for sentence in about:
            found.setdefault(sentence, []).append(speaker.name or f"Loudspeaker {number}")
    return tuple(f"{', '.join(who)}: {sentence}" for sentence, who in found.items())


def about_model(response):
    """Return what to keep in mind about a loudspeaker at any voltage."""
    remarks = (
        *(validity, huge_hole, hole_without_a_place, efficiency),
        *(cabin_as_a_box, cabin_step, cabin_resonance, cabin_phase),
        *(beyond_the_table, long_reverberation, tilted_filters),
    )
    return sentences(remark(response) for remark in remarks)


def about_voltage(response):
    """Return what to keep in mind about a loudspeaker at the voltage that it is solved for."""
    return sentences(remark(response) for remark in (travel, port_speed, jet_of_a_hole, one_of_many))


def validity(response):
    """Say how high the model holds."""
    limit, box = np.min(response.validity_limit), response.loudspeaker.box
    if isinstance(box, Door) and box.longest_side is None:
        return (
            f"The model of the cone holds up to about {limit:.0f} Hz. How high that of the door holds is not known: "
            "measure its longest side inside, and say it."
        )
    return f"The model holds up to about {limit:.0f} Hz; above that, the curves are only a sketch."


def huge_hole(response):
    """Say that no door has such a hole."""
    box = response.loudspeaker.box
    return doubt_of_hole(box) if isinstance(box, Door) else None


def doubt_of_hole(door):
    """Say that no door has such a hole; None if one may."""
    area = np.max(door.opening_area)
    if area <= LARGEST_HOLE:
        return None
    return f"A hole of {area:.3g} m2 is larger than any door has: did you mean {area:.3g} cm2?"


def hole_without_a_place(response):
    """Say that a cabin without places is a rough guide to a door, whose cone and hole nearly cancel."""
    cabin = response.loudspeaker.cabin
    if cabin is None or cabin.by_places or not response.circuit.heard("hole"):
        return None
    return (
        "In the bass cone and hole nearly cancel, so their places decide, and this cabin knows none. "
        f"The bass may be off by {ROUGH_DOOR:.0f} dB or more, mostly too loud. Give the cabin an ear and law='modes'."
    )


def efficiency(response):
    """Say that the sound itself loads the cone."""
    high = np.any(reference_efficiency(response.loudspeaker.driver, response.air) > HIGHEST_EFFICIENCY)
    return EFFICIENCY_REMARK if high else None


def one_of_many(response):
    """Say that there is a band."""
    if response.varies:
        return "Drivers and boxes differ from one to the next: `band` shows where most of them lie."
    return None


def cabin_resonance(response):
    """Say where the cabin's resonances begin, if they are left out and the loudspeaker's model still holds there."""
    cabin = response.loudspeaker.cabin
    if cabin is None or not cabin.lumped:
        return None
    first = np.min(cabin.first_resonance(response.air))
    if first >= np.max(response.validity_limit):
        return None
    return f"The cabin's first resonance is near {first:.0f} Hz. From there up it adds peaks and dips not shown here."


def cabin_as_a_box(response):
    """Say what a cabin by its resonances leaves out."""
    return BOX_REMARK if response.loudspeaker.by_places else None


def cabin_step(response):
    """Say that a cabin by its resonances ends in half space, and where."""
    if not response.loudspeaker.by_places:
        return None
    limit = np.min(response.loudspeaker.cabin.modal_limit)
    if np.max(response.frequency) * np.sqrt(2) < limit:
        return None
    return (
        f"Around {limit:.0f} Hz the cabin's resonances give way to half space, and the curve steps by 1 to 6 dB. "
        "So compare the same band before and after a change, not the bass with the treble."
    )


def long_reverberation(response):
    """Say that no vehicle rings for so long."""
    cabin = response.loudspeaker.cabin
    return None if cabin is None else doubt_of_ringing(cabin)


def doubt_of_ringing(cabin):
    """Say that no vehicle rings for as long as a cabin; None if one may."""
    longest = np.max(cabin.reverberation_time)
    if longest <= LONGEST_REVERBERATION:
        return None
    return (
        f"The cabin's reverberation time is {longest:g} s: a hall rings that long, not a vehicle. "
        "Some 0.05 to 0.3 s is usual (ours, no source); check it."
    )


def at_one_place(system):
    """Say which loudspeakers of a system stand at one place, which two cones cannot unless one is within the other."""
    placed = [speaker for speaker in system.loudspeakers if speaker.by_places and not np.ndim(speaker.position[0])]
    for number, one in enumerate(placed):
        for other in placed[number + 1 :]:
            if one.position == other.position:
                names = " and ".join(speaker.name or "a loudspeaker" for speaker in (one, other))
                return f"{names} stand at one place. Two cones cannot, unless one sits within the other."
    return None


def cabin_phase(response):
    """Say that a cabin's phase is an assumption."""
    cabin = response.loudspeaker.cabin
    if cabin is None or cabin.by_places:
        return None
    if cabin.law == "measured":
        return "Phase and group delay assume that the measured cabin is of minimum phase. A real cabin's will differ."
    return "Phase and group delay use the phase that the simple cabin model assumes. A real cabin's will differ."


def beyond_the_table(response):
    """Say that a measured cabin is known between its first and last frequency only."""
    cabin = response.loudspeaker.cabin
    if cabin is None or cabin.law != "measured":
        return None
    low, high = cabin.table[0][0], cabin.table[-1][0]
    if low <= np.min(response.frequency) and np.max(response.frequency) <= high:
        return None
    return f"The cabin was measured from {low:.4g} to {high:.4g} Hz. Beyond, we keep its first and last level: a guess."


def added_powers(system):
    """Say above which frequency a system in a cabin is summed without phases."""
    crowded = np.min(system.modal_limit)
    if np.max(system.frequency) * np.sqrt(2) < crowded:
        return None
    return (
        f"From about {crowded:.0f} Hz up the cabin's resonances crowd together: "
        "there we add the loudspeakers' powers and ignore their phases."
    )


def tilted_filters(response):
    """Say that filters shape the reference band of f3, f6 and f10."""
    tilt = np.max(response.filter_tilt)
    if tilt <= TILT:
        return None
    return (
        f"The filters change the level by {tilt:.0f} dB between 100 and 315 Hz. "
        "Read f3, f6 and f10 with care: that band is their reference."
    )


def travel(response):
    """Say that the cone passes its linear travel, or that xmax is not known."""
    xmax = response.loudspeaker.driver.xmax
    if xmax is None:
        return "Driver.xmax is not known, so nothing is said about running out of travel."
    times, place = _worst(response, response.excursion, xmax)
    if not times >= JUST_NOTED:
        return None
    return (
        f"At {place:.4g} Hz the cone moves {times:.3g} times its xmax. There the curves are too high: "
        "a real cone moves less, distorts, and may be damaged."
    )


def port_speed(response):
    """Say that the air in the port is too fast."""
    if response.loudspeaker.area_of("port") is None:
        return None
    times, place = _worst(response, response.port_velocity, CAUTION_SPEED)
    if not times > 1:
        return None
    return (
        f"At {place:.4g} Hz the air in the port reaches {times * CAUTION_SPEED:.0f} m/s: above {CAUTION_SPEED:.0f} m/s "
        "expect noise and less bass than shown (guidance, common practice)."
    )


def jet_of_a_hole(response):
    """Say that the air in the hole of a door is too fast."""
    if not response.circuit.has("hole"):
        return None
    times, place = _worst(response, response.jet_share, 1.0)
    if not times > 1:
        return None
    speed = np.max(response.hole_velocity[..., response.frequency == place])
    return (
        f"At {place:.4g} Hz the air in the door's hole would reach {speed:.0f} m/s and leave as a jet. So the hole "
        "chokes: less gets through than shown, and the door acts more like a sealed one."
    )


def _worst(response, values, limit):
    """Return the worst ratio of a curve to its limit, over all members, and the frequency where. [1], [Hz]"""
    times = values / np.asarray(limit)[..., np.newaxis]
    return np.max(times), response.frequency[np.unravel_index(np.argmax(times), times.shape)[-1]]


def hot_coil(temperature):
    """Say that no coil survives such a temperature. [degrees Celsius]"""
    highest = np.max(temperature)
    if highest <= HOTTEST:
        return None
    return (
        f"The coil would reach {highest:.0f} degrees Celsius; coils survive some 200 to {HOTTEST:.0f} "
        "(common practice). Check the rated power and thermal_resistance."
    )


def low_load(amplifier, least, who):
    """Say that the load is lower than an amplifier's lowest load.

    A lowest load is meant as a rated impedance. A loudspeaker's own may fall a fifth below its rating
    (`lowest_load`): that much is called usual, more is called too little.
    """
    if amplifier is None:
        return None
    from ..parts.amplifier import LOWEST_SHARE, NEARLY  # an amplifier is given, so this module is loaded

    least, wanted = (values.ravel() for values in np.broadcast_arrays(least, amplifier.minimum_load))
    worst = np.argmin(least / wanted)
    least, wanted = least[worst], wanted[worst]
    if least >= wanted:
        return None
    usual = least >= (1 - NEARLY) * LOWEST_SHARE * wanted
    verdict = f"usual for a load rated {wanted:g} ohm" if usual else "too little"
    loaded = f"{who} sees a load as low as {least:.2g} ohm"
    return f"{loaded}; {amplifier.name or 'its maker'} asks for at least {wanted:g} ohm: {verdict}."
