"""What the checks with a meter, a cell and an ear mean: wires, source, battery."""

from __future__ import annotations

import re
from math import isinf

from ....plan.checks import clipping, drain, drop, over_a_fuse, pair, polarity, shared, supply, swapped, tones
from ....plan.checks.battery import CHARGING, FLAT, FULL, HEAVY, LOW, RUNNING, SEPARATE, SLEEP
from ....plan.checks.signal import AGAINST, HOLDS, KNEE
from ....plan.checks.signal import FLAT as LEVEL_ENOUGH
from ....plan.checks.wires import AS_MARKED, COIL, HIDDEN, IMPOSSIBLE, OPEN, PARALLEL, SERIES, SHORTED
from ...kit.answer import say, verbatim
from ...kit.systems import FREQUENCY, LEVEL, POWER, RESISTANCE, VOLTAGE
from .cards import A_TWEETER, CHANNELS, FAINT, OUT, PHONE, RANGES, STILL, TONES, TWELVE, TWENTY_FOUR, VOLUMES
from .meaning import AMPERES, DAYS, MEASURED, NOTHING, OHMS, PART, PRACTICE, SMALL_VOLTS, Fill, Meaning

SAID = {
    OPEN: "OL: nothing lets direct current through. There is a capacitor in line, or a break.",
    SERIES: "In series, or the one left has a capacitor in line.",
    PARALLEL: "In parallel: coils of {left} and {gone}.",
    HIDDEN: "Unplugging changed nothing: that one is behind a capacitor, or on another channel.",
    IMPOSSIBLE: "This cannot be true: unplugging one cannot lower the ohms.",
    SHORTED: "Almost no ohms: the wires touch, or the leads do.",
}
SECOND_VOLUME = "Read a second volume too: many sources cut bass only when turned up."
LISTEN = "Listen too: with one unplugged the other falls silent only in series."
HOW = {"alone": "one of {rated}", "series": "two of {rated} in series", "parallel": "two of {rated} in parallel"}
LOWEST_AWAKE = 0.5  # V on a remote wire that is off (ours)
IDLES = 13.0  # V; below it, idling with lamps on, there is no reserve (common practice, no source)
BRIDGED = 2**-0.5  # r.m.s. volts of a bridged output over the battery's, without a converter


def _ohms(text):
    return None if text is None else float(text.split()[0])


def series_or_parallel(given, _gates):
    """Say how a pair of wires is connected."""
    if "pair" not in given:
        return NOTHING
    found = pair(given["pair"], given.get("leads", 0.0), given.get("without"), _ohms(given.get("rated")))
    told = [_shown(found, given)]
    if found.guesses:
        ways = [_way(guess) for guess in found.guesses]
        told.append(_either(ways))
    if found.shows in (SERIES, HIDDEN):
        told.append(say(LISTEN))
    return Meaning(tuple(told), _how_sure(found), tuple(_doubts(found, given)), tuple(_fills(found)))


def _shown(found, given):
    if found.shows == PARALLEL:
        left, gone = found.coils
        return say(SAID[PARALLEL], left=OHMS(left), gone=OHMS(gone))
    if found.shows in SAID:
        return say(SAID[found.shows])
    if not found.guesses:
        return say("{R}: no usual loudspeaker, alone or in a pair, has that.", R=OHMS(found.resistance))
    one = len(found.guesses) == 1
    return say("{R}: this fits one way." if one else "{R}: several ways fit.", R=OHMS(found.resistance))


def _way(guess):
    words = f"{HOW[guess.how]}, a load of {{load}} that may fall to {{least}}"
    return say(words, rated=RESISTANCE(guess.rated), load=RESISTANCE(guess.load), least=RESISTANCE(guess.least))


def _either(ways):
    numbers = {f"w{n}": way for n, way in enumerate(ways)}
    return say(f"It may be {'; or '.join(f'{{{name}}}' for name in numbers)}.", **numbers)


def _how_sure(found):
    if isinf(found.resistance) or found.shows == SHORTED:
        return say(f"A meter with its leads errs by 0.3 ohm ({PRACTICE}).")
    return say(
        "The meter errs by 0.3 ohm: {part} here. A coil has {low} to {high} of its rating "
        f"({PRACTICE}); the least load is 80 % of it (IEC 60268-5, from memory).",
        part=PART(found.error),
        low=PART(COIL[0]),
        high=PART(COIL[1]),
    )


def _doubts(found, given):
    if "leads" not in given and not isinf(found.resistance):
        yield say("The leads are not taken off: touch them, and fill that in.")
    if given["pair"] == 1.0:
        yield say("Some meters show a lone 1 at the left for OL: then write OL.")
    if found.shows == IMPOSSIBLE:
        yield say("A cone that moved, or a bad contact, spoils the first reading: read both again.")
    if found.shows == OPEN and "without" not in given:
        yield say("Read each loudspeaker by itself: the one with ohms is not the break.")
    if found.guesses and not {"rated", "without"} & given.keys():
        yield say("A tweeter behind a capacitor does not show. Unplug one, or look what is printed.")


def _fills(found):
    if found.shows in (SERIES, PARALLEL):
        yield Fill("channel", {"wiring": found.shows})
    alone = [guess for guess in found.guesses if guess.how == "alone"]
    if found.shows == PARALLEL:
        yield Fill("driver", {"Re": f"{found.coils[0]:.2g} ohm"})
    elif alone and len(found.guesses) == 1:
        yield Fill("driver", {"Re": f"{found.resistance:.2g} ohm"})


def which_way_round(given, _gates):
    """Say how a loudspeaker is connected."""
    tweeter = given.get("kind") == A_TWEETER
    if "louder" in given and tweeter:
        return Meaning(doubts=(say("A tweeter plays no 50 Hz: that tells nothing about it."),))
    if "louder" in given:
        found = swapped(given["louder"])
        words = "right" if found == AS_MARKED else "reversed"
        return Meaning(
            (say(f"That pair is {words} against the others, for this seat."),),
            say("Wrong, it costs 10 to 21 dB at 40 to 80 Hz, as an order of magnitude."),
            fills=(Fill("opening", {"polarity": found}),),
        )
    if "moved" not in given:
        return Meaning(doubts=(say("A cell tells nothing about a tweeter: leave it."),)) if tweeter else NOTHING
    if tweeter:
        return Meaning(doubts=(say("A tweeter moves 0.04 mm on a cell: what you saw was something else."),))
    if given["moved"] == STILL:
        return Meaning(
            doubts=(
                say("A woofer moves 1 to 2 mm at 0.4 A: is the cell empty, or a capacitor in line? Read its ohms."),
            )
        )
    found = polarity("out" if given["moved"] == OUT else "in")
    said = "It is connected as marked." if found == AS_MARKED else "It is reversed: + goes to the other wire."
    return Meaning(
        (say(said),),
        say("Sure for this loudspeaker, if + of the cell was on the wire that you call +."),
        fills=(Fill("opening", {"polarity": found}),),
    )


def who_shares(given, _gates):
    """Say what plays on which channel."""
    heard = {name: _names(given[name]) for name in CHANNELS if name in given}
    if not heard:
        return NOTHING
    several, twice = shared(heard)
    told = [verbatim(f"{channel} feeds {' and '.join(names)} together.") for channel, names in several.items()]
    told = told or [say("Each corner that you tried has a channel of its own.")]
    told += [verbatim(f"{name} plays on {' and '.join(channels)}.") for name, channels in twice.items()]
    doubts = [say(f"Surround processing leaks into other channels: switch it off, and try again ({PRACTICE}).")]
    faint = given.get("others") == FAINT or twice
    fills = tuple(Fill("channel", {"feeds": list(names)}) for names in heard.values())
    left = 4 - len(heard)
    sure = say("All four corners are tried." if not left else f"{left} of four corners are still to try.")
    return Meaning(tuple(told), sure, tuple(doubts) if faint else (), fills)


def _names(text):
    return tuple(filter(None, (" ".join(name.split()) for name in re.split(r"\s*[+,;]\s*", text))))


def bass_cut(given, _gates):
    """Say whether the source filters, and whether it cuts bass as it is turned up."""
    phone = given.get("range") == PHONE
    readings = {}
    for key, (_, share) in VOLUMES.items():
        read = {float(tone): given[f"{key} {tone}"] for tone in TONES if f"{key} {tone}" in given}
        if read:
            readings[share] = {tone: 10 ** (level / 20) for tone, level in read.items()} if phone else read
    if not any(len(volts) > 1 for volts in readings.values()):
        return NOTHING
    if phone:
        return _by_phone(tones(readings))
    found = tones(readings, RANGES[given.get("range", next(iter(RANGES)))])
    told = [_cut(found)] if found.cut else []
    told.append(_droop(found))
    doubts = [] if found.cut else [say(SECOND_VOLUME)]
    if found.error > 1.0:
        doubts.append(say("On this range the meter may be {off} off: choose a lower one.", off=LEVEL(found.error)))
    sure = say(
        "Cheap meters hold from {low} to {high} "
        f"({PRACTICE}); between two volumes at one tone that cancels. Here it may be {{off}} off.",
        low=FREQUENCY(HOLDS[0]),
        high=FREQUENCY(HOLDS[1]),
        off=LEVEL(found.error),
    )
    loudest = found.levels[max(found.levels)] | {AGAINST: 0.0}  # a plan asks how loud it plays
    lines = ", ".join(f"{level:.1f} dB at {tone:g} Hz" for tone, level in sorted(loudest.items()))
    fills = (Fill("channel", {"filter": [f"{MEASURED} {lines}"]}),) if len(loudest) > 1 else ()
    return Meaning(tuple(told), sure, tuple(doubts), fills)


def _by_phone(found):
    """Say what levels at the cone tell: the loudspeaker's own droop is in them, unless two volumes are compared."""
    if not found.cut:
        return Meaning(doubts=(say(SECOND_VOLUME),))
    sure = say(
        "The phone and the loudspeaker cancel between two volumes, if 6 dB less reads 6 dB less. Try that first."
    )
    return Meaning((_cut(found),), sure)


def _cut(found):
    tone, level = found.cut
    if level > -LEVEL_ENOUGH:
        return say("It does not cut bass as you turn it up: less than 3 dB.")
    return say("It cuts bass by {cut} at {tone} as you turn it up.", cut=LEVEL(-level), tone=FREQUENCY(tone))


def _droop(found):
    tone, level = found.droop
    if level > -LEVEL_ENOUGH:
        return say(
            "At the lowest volume it is flat within 3 dB, down to {tone}.",
            tone=FREQUENCY(min(found.levels[min(found.levels)])),
        )
    return say(
        "At the lowest volume {tone} is {droop} below 315 Hz: it is filtered there.",
        tone=FREQUENCY(tone),
        droop=LEVEL(-level),
    )


def volts_before_clipping(given, gates):
    """Say how many volts and watts a channel gives cleanly."""
    if "steps" not in given:
        return NOTHING
    load = _ohms(given.get("rated")) or 4.0
    found = clipping(given["steps"], load)
    told = say("{V} before it clips: {P} into {R}.", V=VOLTAGE(found.volts), P=POWER(found.watts), R=RESISTANCE(load))
    sure = say(
        f"Within {KNEE:g} dB ({PRACTICE}). Without the loudspeaker it reads up to {{high}} high.",
        high=LEVEL(found.high),
    )
    return Meaning(
        (told,),
        sure,
        tuple(_of_clipping(found, given, gates)),
        (Fill("head_unit", {"voltage": f"{found.volts:.3g} V"}),),
    )


def _of_clipping(found, given, gates):
    most = (14.4 if gates["voltage"] == TWELVE else 28.8) * BRIDGED
    if not found.found and len(given["steps"]) > 1:
        yield say("No step is smaller yet: turn it up further, or it is only what you reached.")
    if found.volts > most:
        yield say(
            "More than {most} takes a converter in the amplifier; a head unit has none. Is the reading right?",
            most=VOLTAGE(most),
        )
    if found.volts < 0.5:
        yield say(
            "So little: does the source mute when the loudspeaker is unplugged? Then leave it on, and keep it short."
        )
    if "rated" not in given:
        yield say("The watts are into 4 ohm: choose what is printed on the loudspeaker.")


def battery(given, gates):
    """Say which system it is, how it stands, and what the feed loses."""
    told, doubts, fills, stop = [], [], [], None
    for key in ("off", "running"):
        if key in given:
            said, doubt = _supplied(key, given[key], gates)
            told.append(said)
            doubts += [doubt] if doubt else []
            fills = [Fill("plan", {"battery": f"{given[key]:.3g} V"})]
            stop = say("Stop: {said}", said=said) if _stops(given[key], gates) else stop
    if "drop" in given:
        system = given.get("running", RUNNING[0] * (2 if gates["voltage"] == TWENTY_FOUR else 1))
        fills.append(Fill("plan", {"feed_drop": f"{given['drop']:.2g} V"}))
        told.append(
            say(
                "The feed loses {V}: {dB} of level, {judged}.",
                V=SMALL_VOLTS(given["drop"]),
                dB=LEVEL(drop(given["drop"], system)),
                judged=say("hardly worth a thicker wire" if drop(given["drop"], system) < 1 else "worth mending"),
            )
        )
        doubts.append(say("A meter shows an average: bursts lose more."))
    sure = say(
        "Read the drop in one go: two separate readings err by {V}. What is usual: 12.4 to 12.8 V off, 13.8 to 14.8 "
        f"running ({PRACTICE}).",
        V=SMALL_VOLTS(SEPARATE),
    )
    return Meaning(tuple(told), sure, tuple(doubts), tuple(fills), stop) if told else NOTHING


def _stops(volts, gates):
    """Whether a battery is not what was answered, or no battery of 12 or 24 V."""
    found = supply(volts)
    return found not in (FULL, LOW, CHARGING) and (found, gates["voltage"]) != (HEAVY, TWENTY_FOUR)


def _supplied(key, volts, gates):
    """Return what a battery's reading means, and what to doubt."""
    found = supply(volts)
    V = VOLTAGE(volts)
    if found == HEAVY:
        doubt = say("You answered 12 V above: believe the meter.") if gates["voltage"] == TWELVE else None
        return say("{V} is a 24 V system: no 12 V amplifier on it.", V=V), doubt
    if found not in (FULL, LOW, CHARGING):
        return say("{V} is no battery of 12 or 24 V. Ask the maker.", V=V), None
    doubt = say("You answered {g} above.", g=verbatim(gates["voltage"])) if gates["voltage"] != TWELVE else None
    if key == "off":
        said = {
            FULL: "{V} with the engine off: a charged 12 V battery.",
            LOW: "{V} with the engine off: it is low. Charge it before you read on.",
            CHARGING: "{V} with the engine off: it is on a charger, or was a minute ago.",
        }[found]
    elif volts >= RUNNING[0]:
        said = "{V} running: it charges as usual."
    else:
        said = "{V} running: little. Smart charging does that; so does a weak alternator."
    return say(said, V=V), doubt or (say("Below 9 V nothing is left.") if volts < FLAT[0] else None)


def drained(given, _gates):
    """Say how long the battery lasts, and whether the amplifier sleeps."""
    told, doubts = [], []
    if "remote" in given:
        sleeps = given["remote"] < LOWEST_AWAKE
        told.append(
            say(
                "The remote wire is off: the amplifier sleeps."
                if sleeps
                else "The remote wire is still on: the amplifier stays awake, and drains the battery."
            )
        )
    currents = _currents(given)
    if currents:
        told += _days(currents, given)
    if "idle" in given:
        enough = given["idle"] >= IDLES
        told.append(
            say(
                "Idling with lamps on it keeps {V}: {judged}.",
                V=VOLTAGE(given["idle"]),
                judged=say("there is some reserve" if enough else "this suggests no reserve"),
            )
        )
        doubts.append(say("Smart charging misleads here: drive, and read once more."))
    if "fuse" in given and "current" not in given:
        doubts.append(say("A fuse only tells within a factor of five: 0.1 mV is 13 to 60 mA."))
    if given.keys() & {"remote", "current", "fuse"} and given.get("waited", 0.0) < SLEEP:
        doubts.append(say(f"Many vehicles take 30 minutes to sleep ({PRACTICE}): wait, and read again."))
    fills = (Fill("plan", {"remark": told[0].text("metric")}),) if told else ()
    return Meaning(
        tuple(told),
        say(f"A sleeping vehicle takes 10 to 50 mA ({PRACTICE}).") if currents else None,
        tuple(doubts),
        fills,
    )


def _currents(given):
    """Return the least and the most current that was read. [A]"""
    if "current" in given:
        return given["current"], given["current"]
    return over_a_fuse(given["fuse"]) if "fuse" in given else None


def _days(currents, given):
    least, most = currents
    if "usable" not in given:
        yield say("{I} flows. Fill in the usable charge: not the battery's full capacity.", I=AMPERES(most))
    elif most == 0:
        yield say("No current: nothing drains it, or the clamp is not at zero.")
    elif least == most:
        yield say("{I} drains it in {d}.", I=AMPERES(most), d=DAYS(drain(most, given["usable"])))
    else:
        yield say(
            "{I} to {J} drains it in {d} to {e}.",
            I=AMPERES(least),
            J=AMPERES(most),
            d=DAYS(drain(most, given["usable"])),
            e=DAYS(drain(least, given["usable"])),
        )
