"""Words about a pad and a capacitor before a tweeter."""

from __future__ import annotations

import dataclasses
import math
from typing import NamedTuple

from ...design.capacitor import textbook_loss
from ...design.e_series import rounded
from ...design.ratings import HOT, MOUNT, ratings
from ...parts.network import attenuation_of, pad_resistors
from .answer import say
from .systems import FREQUENCY, LEVEL, POWER, RESISTANCE, SYSTEMS
from .words import a_or_an

NEEDED, AS_SET = "resistors needed", "resistors as set"
NO_PAD = 0.05  # dB; less than anybody hears, and than a slider's step
SIZES = (1, 2, 5, 10, 15, 20, 25, 50, 100)  # W, in which resistors are sold (common practice, no source)
PLACES = "{series}, {watts} in series; {across}, {other} across"
RIGHT = 0.25  # dB, by which a pad may be off: half a step of the slider
SHARE = "half of what a steady tone brings, or twice what music does (common practice, no source)"


def capacitor(behind):
    """Say what a capacitor does to a tweeter where the textbook is most off."""
    book = float(textbook_loss(behind.corner, behind.excess_at))
    takes = book - behind.excess
    return say(f"{takes_or_adds(takes)} {{takes}} at {{at}}", takes=LEVEL(abs(takes)), at=FREQUENCY(behind.excess_at))


def by_the_book(behind, tweeter):
    """Say what the textbook has of a capacitor before a tweeter."""
    yield say(
        "By the textbook the capacitor is 3 dB down at {corner}, and takes 4 dB more in the octave below. "
        f"Here it {takes_or_adds(behind.slope)} {{slope}} there. The tweeter resonates at {{fs}}.",
        corner=FREQUENCY(behind.corner),
        slope=LEVEL(abs(behind.slope)),
        fs=FREQUENCY(tweeter.fs),
    )
    book = LEVEL(float(textbook_loss(behind.corner, behind.excess_at)))
    yield say("Into a plain resistor it would take {book} at {at}.", book=book, at=FREQUENCY(behind.excess_at))


def takes_or_adds(decibels):
    """Return the verb for what is taken from a level. [dB]"""
    return "takes" if decibels >= 0 else "adds"


class Resistors(NamedTuple):
    """The two resistors of a pad, in values that are sold.

    Attributes
    ----------
    series, across : float
        [ohm]
    watts, other : float
        What the one in series and the one across must stand. [W]
    taken : float
        What both together take. [dB]
    steady : tuple of float
        What a steady tone at full power brings to the one in series and to the one across. [W]
    """

    series: float
    across: float
    watts: float
    other: float
    taken: float
    steady: tuple

    def numbers(self):
        """Return them as words have them, the watts as sizes that are sold."""
        return {
            "series": RESISTANCE(self.series),
            "across": RESISTANCE(self.across),
            "watts": POWER(size_sold(self.watts)),
            "other": POWER(size_sold(self.other)),
            "taken": LEVEL(self.taken),
        }


def size_sold(watts):
    """Return the smallest resistor that is sold for so many watts or more; above the largest size, hundreds. [W]"""
    return next((size for size in SIZES if size >= watts), 100 * math.ceil(watts / 100))


def to_buy(speaker, pad, frequency, voltage):
    """Return the `Resistors` of a pad that stands last before a tweeter.

    Parameters
    ----------
    speaker : Loudspeaker
        The tweeter, behind a network that ends in the pad.
    pad : Network
    frequency : array, shape (nf,)
        [Hz]
    voltage : float
        [V]
    """
    bought = dataclasses.replace(speaker, network=rounded(speaker.network))
    both = ratings(bought, frequency, voltage)[-2:]
    taken = attenuation_of(rounded(pad), speaker.driver.nominal_resistance)
    ohms, stand, steady = pad_resistors(rounded(pad)), [one.rated for one in both], tuple(one.most for one in both)
    return Resistors(*map(float, (*ohms, *stand, taken)), steady)


def in_place(resistors):
    """Say which resistors go where, and what they must stand."""
    if resistors is None:
        return say("none needed")
    return say(f"{PLACES}: together {{taken}}", **resistors.numbers())


def about(match, resistors):
    """Say what stands behind the two resistors."""
    yield say(
        "A pad of {exact} would match. The resistors needed are the nearest that are sold (series E24). They take "
        "{taken}.",
        exact=LEVEL(attenuation_of(match.pad, match.system.loudspeakers[1].driver.nominal_resistance)),
        taken=LEVEL(resistors.taken),
    )


def watts_of(*pairs):
    """Say what the watts of some pairs of `Resistors` are, and whether they get hot."""
    hot = f" {MOUNT}" if max(max(pair.watts, pair.other) for pair in pairs) > HOT else ""
    yield say(f"Take these watts or more. They are for the amplifier's full power: {SHARE}.{hot}")
    exact = " and ".join(f"{{series{i}}} in series, {{across{i}}} across" for i in range(len(pairs)))
    numbers = {f"series{i}": POWER(pair.watts) for i, pair in enumerate(pairs)}
    numbers |= {f"across{i}": POWER(pair.other) for i, pair in enumerate(pairs)}
    yield say(f"They are rounded up to sizes that are sold (common practice, no source) from {exact}.", **numbers)


def too_hot(*pairs):
    """Caution what a steady tone at full power brings to pairs of `Resistors`, where it is more than they stand."""
    over = [size_sold(stands) < most for pair in pairs for stands, most in zip(pair[2:4], pair.steady, strict=True)]
    if any(over):
        series, across = (POWER(max(most)) for most in zip(*(pair.steady for pair in pairs), strict=True))
        words = "A steady tone at full power, as in a test, overheats these resistors"
        yield say(f"{words}: up to {{series}} in series, {{across}} across.", series=series, across=across)


def by_ear():
    """Say what to do with a tweeter that is too loud by ear."""
    yield say("Too loud by ear, by 4 dB say? Set the pad to 4 dB: the resistors as set are those to buy.")
    yield say("What the sheet is too low by is something else: how far the tweeter plays above its printed level.")


def headline(louder_by, padded, match, needed, fitted):
    """Say what to do about a tweeter that plays louder than the woofer, with its pad if it has one.

    Parameters
    ----------
    louder_by : float
        [dB]
    padded : bool
    match : Match
    needed, fitted : Resistors or None
        Of the pad that matches, and of the one that is set where they differ.
    """
    if match.pad is None:
        do = "Leave the pad out: without one" if padded else "No pad needed:"
        as_what = "as" if match.gain < NO_PAD else "than"
        return say(f"{do} the tweeter is {{by}} {as_what} the woofer.", by=against(-match.gain))
    right = padded and abs(louder_by) <= RIGHT
    numbers = ((right and fitted) or needed).numbers() | {"off": LEVEL(abs(louder_by))}
    a = a_or_an(numbers["taken"].text(SYSTEMS[0]))
    if not padded:
        return say(f"Put {a} {{taken}} pad before it: {PLACES}.", **numbers)
    if right:
        return say(f"That pad is right: {PLACES}.", **numbers)
    said = "Still {off} too loud" if louder_by > 0 else "Now {off} too soft"
    return say(f"{said}. Take {{taken}}: {PLACES}.", **numbers)


def against(louder_by):
    """Say how loud the tweeter is against the woofer. [dB]"""
    if abs(louder_by) < NO_PAD:
        return say("as loud")
    return say(f"{{off}} {'louder' if louder_by > 0 else 'softer'}", off=LEVEL(abs(louder_by)))


def signed(level):
    """Say a difference of level with its sign. [dB]"""
    return say(f"{'+' if level >= NO_PAD else ''}{{level}}", level=LEVEL(level))
