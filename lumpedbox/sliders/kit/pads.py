"""Words about a pad and a capacitor before a tweeter."""

from __future__ import annotations

import dataclasses

from ...design.capacitor import textbook_loss
from ...design.e_series import rounded
from ...design.ratings import HOT, MOUNT, ratings
from ...parts.network import attenuation_of, pad_resistors
from .answer import say
from .systems import FREQUENCY, LEVEL, POWER, RESISTANCE, SYSTEMS
from .words import a_or_an

NO_PAD = 0.05  # dB; less than anybody hears, and than a slider's step
RIGHT = 0.25  # dB, by which a pad may be off: half a step of the slider
SHARE = "half of what a steady tone brings, or twice what music does (common practice, no source)"


def capacitor(behind):
    """Say what a capacitor does to a tweeter where the textbook is most off."""
    book = float(textbook_loss(behind.corner, behind.excess_at))
    takes = book - behind.excess
    return say(
        f"{takes_or_adds(takes)} {{takes}} at {{at}}; the textbook takes {{book}}",
        takes=LEVEL(abs(takes)),
        at=FREQUENCY(behind.excess_at),
        book=LEVEL(book),
    )


def by_the_book(behind, tweeter):
    """Say what the textbook has of a capacitor before a tweeter."""
    yield say(
        "By the textbook the capacitor is 3 dB down at {corner}, and takes 4 dB more in the octave below. "
        f"Here it {takes_or_adds(behind.slope)} {{slope}} there. The tweeter resonates at {{fs}}.",
        corner=FREQUENCY(behind.corner),
        slope=LEVEL(abs(behind.slope)),
        fs=FREQUENCY(tweeter.fs),
    )


def takes_or_adds(decibels):
    """Return the verb for what is taken from a level. [dB]"""
    return "takes" if decibels >= 0 else "adds"


def taken_by(pad, match):
    """Return what a pad takes from the tweeter of a match. [dB]"""
    return float(attenuation_of(pad, match.system.loudspeakers[1].driver.nominal_resistance))


def to_buy(match, frequency, voltage):
    """Return the resistors of a match's pad, in values that are sold, and what they take; None where none is needed.

    Returns
    -------
    ((float, float), (float, float), float) or None
        The one in series and the one across: [ohm], [W]. Both together: [dB].
    """
    if match.pad is None:
        return None
    speaker = match.system.loudspeakers[1]
    bought = dataclasses.replace(speaker, network=rounded(speaker.network))
    pad, stand = rounded(match.pad), ratings(bought, frequency, voltage)[-2:]
    series, across = [(float(ohm), one.rated) for ohm, one in zip(pad_resistors(pad), stand, strict=True)]
    return series, across, taken_by(pad, match)


def in_place(resistors):
    """Say which resistors go where, and what they must stand."""
    if resistors is None:
        return say("none needed")
    (series, watts), (across, other), taken = resistors
    return say(
        "{series}, {watts} in series; {across}, {other} across: together {taken}",
        taken=LEVEL(taken),
        series=RESISTANCE(series),
        watts=POWER(watts),
        across=RESISTANCE(across),
        other=POWER(other),
    )


def about(match, resistors):
    """Say what stands behind the two resistors."""
    *both, taken = resistors
    yield say(
        "A pad of {exact} would match. These resistors are the nearest that are sold (series E24), and take {taken}.",
        exact=LEVEL(taken_by(match.pad, match)),
        taken=LEVEL(taken),
    )
    hot = f" {MOUNT}" if max(watts for _, watts in both) > HOT else ""
    yield say(f"Take these watts or more. They are for the amplifier's full power: {SHARE}.{hot}")


def headline(louder_by, padded, match, resistors):
    """Say what to do about a tweeter that plays louder than the woofer, with its pad if it has one. [dB]"""
    if match.pad is None:
        do = "Leave the pad out: without one" if padded else "No pad needed:"
        as_what = "as" if match.gain < NO_PAD else "than"
        return say(f"{do} the tweeter is {{by}} {as_what} the woofer.", by=against(-match.gain))
    (series, watts), (across, other), taken = resistors
    parts = "{series} in series, {across} across, {watts}."
    numbers = {
        "series": RESISTANCE(series),
        "across": RESISTANCE(across),
        "watts": POWER(max(watts, other)),
        "taken": LEVEL(taken),
        "off": LEVEL(abs(louder_by)),
    }
    a = a_or_an(numbers["taken"].text(SYSTEMS[0]))
    if not padded:
        return say(f"Put {a} {{taken}} pad before it: {parts}", **numbers)
    if abs(louder_by) <= RIGHT:
        return say(f"That pad is right: {parts}", **numbers)
    said = "Still {off} too loud" if louder_by > 0 else "Now {off} too soft"
    return say(f"{said}. Take {a} {{taken}} pad: {parts}", **numbers)


def against(louder_by):
    """Say how loud the tweeter is against the woofer. [dB]"""
    if abs(louder_by) < NO_PAD:
        return say("as loud")
    return say(f"{{off}} {'louder' if louder_by > 0 else 'softer'}", off=LEVEL(abs(louder_by)))


def signed(level):
    """Say a difference of level with its sign. [dB]"""
    return say(f"{'+' if level >= NO_PAD else ''}{{level}}", level=LEVEL(level))
