"""Facts that several pages tell: one home for the words of each kind."""

from __future__ import annotations

import numpy as np

from ...design.causes import TOLD
from ...parts.amplifier import can_drive, lowest_load
from ...parts.displacement import assumed_from, displacement
from ...parts.port import BENT, FITS, LARGE, NONE, cube_side, port_fit
from ...parts.stand_in import stands_in
from ...response.grid import runs
from ...response.hearing import LOUD_ANYWHERE
from ...response.level import HALF_POWER
from ...response.passband import CABIN_BAND
from ...units import mm
from .answer import say, verbatim
from .systems import FREQUENCY, LENGTH, LEVEL, POWER, RESISTANCE, SPEED, TRAVEL, VOLUME, WAY

REACH, WITHIN, MOST, PORT, PORT_AIR = (
    "bass reaches down to",
    "cone within its travel",
    "most cone travel",
    "port",
    "air in the port",
)
BOARD = 18 * mm  # of a usual box (common practice, no source)
STILL = 0.5  # m/s, below which the air in a port hardly moves: ours
MEASURED = "A measured driver is drawn with a band: four of five times the true curve lies in it."
STAND_IN = "A stand-in is drawn with a band that holds four of five such drivers (common practice, no source)."
NO_PLACE = say("No place in a cabin is asked: near the crossing its resonances lie too close to count one by one.")
NOT_KNOWN = say("not known")
UNKNOWN = say("not known: its data sheet gives no linear travel")


def reach(response):
    """Say where the bass is 3 dB down."""
    f3 = float(response.f3)
    if np.isfinite(f3):
        return say("{f3}", f3=FREQUENCY(f3))
    if (edge := begins_above(response)) is not None:
        return say("above {edge}", edge=FREQUENCY(edge))
    return say("below {lowest}", lowest=FREQUENCY(response.frequency[0]))


def ends(response):
    """Return what stands between the bass and where it reaches to, in the middle of a sentence."""
    return "down to" if np.isfinite(response.f3) else "only" if begins_above(response) is not None else "to"


def begins_above(response):
    """Return up to where the level is surely more than 3 dB down, if f3 is unknown for that; else None. [Hz]

    In a vehicle that is where the band begins that f3 is counted from; elsewhere it is where the response ends.
    """
    if np.isfinite(response.f3):
        return None
    frequency, target = response.frequency, response.reference_level - HALF_POWER
    if np.interp(CABIN_BAND[0], frequency, response.level) >= target:
        return None
    return CABIN_BAND[0] if np.max(response.level[frequency >= CABIN_BAND[0]]) >= target else float(frequency[-1])


def where(frequency, true):
    """Say where along a frequency axis something is so: as "below 34 Hz and from 50 to 65 Hz"; None if nowhere.

    Parameters
    ----------
    frequency : array, shape (nf,)
        [Hz]
    true : array of bool, shape (nf,)
    """
    told, numbers = [], {}
    for first, after in runs(true):
        low, high = f"from{len(told)}", f"to{len(told)}"
        numbers[high] = FREQUENCY(frequency[after - 1])
        if first == 0:
            told.append(f"below {{{high}}}")
        else:
            numbers[low] = FREQUENCY(frequency[first])
            told.append(f"from {{{low}}} to {{{high}}}")
    return say(" and ".join(told), **numbers) if told else None


def within_travel(response):
    """Say where the cone stays within its linear travel."""
    xmax = response.loudspeaker.driver.xmax
    if xmax is None:
        return UNKNOWN
    over = where(response.frequency, response.excursion > xmax)
    return say("not {over}", over=over) if over else say("always")


def most_travel(response):
    """Say how far the cone moves at most, one way."""
    return say("{travel}", travel=TRAVEL(np.max(response.excursion)))


def port(area, fb, volume):
    """Say how long a round port must be to tune a box, and whether it fits."""
    fit = port_fit(area, fb, volume)
    if fit.verdict == NONE:
        return say("none of that area tunes so high; enlarge it or tune lower")
    if fit.verdict == FITS and fit.length <= BOARD:
        return say("a hole in the board is enough: no tube")
    fits = {
        LARGE: "too large for the box; make it smaller or tune higher",
        BENT: "must be bent",
        FITS: "fits straight",
    }
    return say(f"{{length}} long, {fits[fit.verdict]}", length=LENGTH(fit.length))


def port_room(volume):
    """Say what room a straight port has."""
    return say(
        "A cube of this volume is {side} a side: a straight port must end its own width before the back.",
        side=LENGTH(cube_side(volume)),
    )


def port_air(response):
    """Say how fast the air in the port moves at most."""
    fastest = np.max(response.port_velocity)
    return say("hardly moves") if fastest < STILL else say("{speed}", speed=SPEED(fastest))


def takes_up(driver):
    """Say how much of a box a driver takes up, and what that is assumed from."""
    assumed = assumed_from(driver)
    volume = VOLUME(displacement(driver))
    if assumed:
        return say(f"The driver takes up about {{volume}} of the box (assumed from {assumed}).", volume=volume)
    return say("The driver takes up {volume} of the box.", volume=volume)


def reach_means(response):
    """Say what the frequency is down from."""
    of = "between 100 and 315 Hz" if response.loudspeaker.cabin else "higher up"
    return say(f"The bass reaches down to f3: there it is 3 dB softer than {of}.")


def cabin_lifts(response):
    """Say below which frequencies the cabin lifts the level."""
    cabin = response.loudspeaker.cabin
    return say(
        "Going by its volume, the cabin lifts everything below {volume}; the rule of thumb for its length says "
        "{length}.",
        volume=FREQUENCY(cabin.volume_corner(response.distance)),
        length=FREQUENCY(cabin.length_corner()),
    )


def bands(responses):
    """Say what a band means, where there is one."""
    responses = list(responses)
    drivers = [one for one in (response.loudspeaker.driver for response in responses) if one.spread is not None]
    if any(map(stands_in, drivers)):
        yield say(STAND_IN)
    if not all(map(stands_in, drivers)):
        yield say(MEASURED)
    cabin = responses[0].loudspeaker.cabin
    if cabin and cabin.by_places and cabin.ear_box and not all(response.varies for response in responses):
        yield say("A head moves: the level's band holds four of five places within {edge}.", edge=WAY(cabin.ear_box))


def head_moves(response, band=""):
    """Say how far the level at the only frequency of a response spreads where the head may be, and what draws it."""
    first = getattr(response, "responses", (response,))[0].loudspeaker
    if first.by_places and first.cabin.ear_box:
        (low,), (high,) = response.band_of_ears()
        yield say(
            f"A head moves{f' ({band})' if band else ''}: among four of five places within {{edge}} "
            "the level at {at} differs by {spread}.",
            edge=WAY(first.cabin.ear_box),
            at=FREQUENCY(response.frequency[0]),
            spread=LEVEL(high - low),
        )


def holds_up_to(response):
    """Say up to where the model holds."""
    return say("The model holds up to {limit}.", limit=FREQUENCY(np.min(response.validity_limit)))


def of_its_kind(*drivers):
    """Say which drivers are stand-ins, of which nothing but the level is their own; one sentence for each."""
    for driver in drivers:
        if stands_in(driver):
            yield say(
                "{driver}: all but its level is typical of its size and kind (common practice, no source).",
                driver=verbatim(driver.name),
            )


def printed_above(woofer, tweeter):
    """Say up to where the responses of woofer and tweeter follow the model."""
    limits = {name: FREQUENCY(np.min(r.validity_limit)) for name, r in (("woofer", woofer), ("tweeter", tweeter))}
    return say(
        "Levels follow the model up to {woofer} (woofer) and {tweeter} (tweeter); above that, the printed sensitivity.",
        **limits,
    )


def protect_ears(frequency, levels):
    """Say where a steady tone is so loud that ears must be protected at whatever frequency, if it is anywhere.

    Parameters
    ----------
    frequency : array, shape (nf,)
        [Hz]
    levels : sequence of array, shape (nf,)
        [dB re 20 uPa]
    """
    loud = np.max(levels, axis=0) >= LOUD_ANYWHERE
    if loud.any():
        place = say("") if loud.all() else say(" {where}", where=where(frequency, loud))
        words = "It reaches {limit}{place}: protect your ears, at any frequency."
        yield say(words, limit=LEVEL(LOUD_ANYWHERE), place=place)


def coil_heat(response):
    """Return the most power that a steady tone brings into the coil, at any frequency of a response. [W]"""
    return float(np.max(response.dissipation["coil resistance"]))


def hot_coil(most, driver, what="A steady tone of this power", whose="the coil"):
    """Caution that a coil may burn, where it takes more power [W] than its driver is made for, if that is known."""
    if driver.power is not None and most > driver.power:
        words = f"{what} may burn {whose}: it takes up to {{most}}, and is made for {{power}}."
        yield say(words, most=POWER(most), power=POWER(driver.power))


def shared_out(found):
    """Say what each cause has of a difference of level, at the first frequency of some `Causes`."""
    told, numbers = _takes_or_gives(found.parts)
    if not told:
        return
    yield say(f"Where the difference comes from: {told}.", **numbers)
    told, numbers = _takes_or_gives(found.cone)
    if told:
        yield say(f"Within the cone's share: {told}.", **numbers)
    yield say("Each share is the mean over all orders in which the parts could be swapped.")


def _takes_or_gives(parts):
    """Return words for shares, the largest first, and the numbers in them."""
    shares = {cause.removesuffix(" of the cone"): float(part[0]) for cause, part in parts.items()}
    shares = {cause: share for cause, share in shares.items() if abs(share) >= TOLD}
    ordered = sorted(shares, key=lambda cause: -abs(shares[cause]))
    told = ", ".join(f"the {cause} {'takes' if shares[cause] < 0 else 'gives'} {{{cause}}}" for cause in ordered)
    return told, {cause: LEVEL(abs(share)) for cause, share in shares.items()}


def low_load(least, amplifier, load="The load"):
    """Caution that a load falls lower than an amplifier can drive, or as low, where it does. [ohm]"""
    lowest = float(lowest_load(amplifier))
    if least < lowest and can_drive(amplifier, least):
        yield say(f"{load} falls to {{least}}: right at the amplifier's limit.", least=RESISTANCE(least))
    elif least < lowest:
        words = "falls to {least}. The amplifier is made for no less than {lowest}: it may shut down or fail."
        yield say(f"{load} {words}", least=RESISTANCE(least), lowest=RESISTANCE(lowest))


def lowest_at(frequency, impedance, amplifier):
    """Say where a load [ohm] is lowest, and how low it may be for an amplifier."""
    return say(
        "The load is lowest at {at}. The amplifier is made for loads rated {rated} or more, and such a load may "
        "fall to {lowest}.",
        at=FREQUENCY(frequency[np.argmin(impedance)]),
        rated=RESISTANCE(amplifier.minimum_load),
        lowest=RESISTANCE(lowest_load(amplifier)),
    )
