"""What the checks with tape, clay, tissue and handbook mean: room, cabin, leaks, sensors."""

from __future__ import annotations

from ....design.alignments import closed_volume
from ....parts.driver import Driver
from ....plan.checks import cabin_tones, depth_left, draught, litres, litres_lost
from ....plan.checks.room import FELT, KEEP, POURED, TAPE
from ....plan.checks.room import TRAVEL as DRAUGHT_TRAVEL
from ....tables.entries import CLOSED_BOOT
from ....units import cm2, litre, mm
from ...kit.answer import say
from ...kit.systems import AREA, DRAUGHT, FREQUENCY, TRAVEL, VOLUME
from ...kit.systems import LENGTH as LENGTH_OF
from .cards import BLOWS, BOOT_CLOSED, DOWN, HISSES, NO_WINDOW, NONE, QUIET, TWO_PEAKS, UP
from .meaning import LENGTH, NOTHING, PART, PRACTICE, Fill, Meaning

USUAL_Q = 0.7  # of a closed box (common practice, no source)
BASS_FROM = 190 * mm  # nominal size from which a bare size is taken as that of a bass driver (ours)
ASK_FIRST = "Ask the maker first: a sensor may read the air in there. Seal nothing before that."


def how_deep(given, gates):
    """Say what depth there is, what a driver leaves of it, and what a cushion takes."""
    told, doubts, fills = [], [], []
    if "spots" in given:
        least, left = depth_left(given["spots"], given.get("driver"))
        told.append(_depth(least, left))
        fills.append(Fill("opening", {"depth": f"{least / mm:.0f} mm"}))
        if len(given["spots"]) < 3:
            doubts.append(say("Measure three spots: the least one counts."))
        if given.get("window") == UP:
            told[:], fills[:] = [], []
            doubts.append(say("The window was up: it comes down into that room. Measure with the window down."))
        elif given.get("window") not in (DOWN, NO_WINDOW):
            doubts.append(say("Was the window down? Choose it above."))
    if {"sag", "length", "width"} <= given.keys():
        lost = litres_lost(given["sag"], given["length"], given["width"])
        told.append(say("Someone on the seat takes {lost} of the room under it.", lost=VOLUME(lost)))
    elif "sag" in given:
        doubts.append(say("Fill in length and width too: then it tells the litres."))
    if "sag" in given and gates["seats"] != NONE:
        doubts.append(say("That seat may hold sensors or airbags: unplug nothing, and keep off its wires."))
    sure = say(f"Clay and tape err a little: keep {{keep}} ({PRACTICE}).", keep=TRAVEL(KEEP)) if told else None
    return Meaning(tuple(told), sure, tuple(doubts), tuple(fills))


def _depth(least, left):
    if left is None:
        return say("{least} deep at the least spot.", least=TRAVEL(least))
    if left < 0:
        return say("{least} deep, {short} too little: it does not fit.", least=TRAVEL(least), short=TRAVEL(-left))
    if left < KEEP:
        return say("{left} to spare: less than the error. It may not fit.", left=TRAVEL(left))
    return say("It fits, with {left} to spare.", left=TRAVEL(left))


def how_many_litres(given, _gates):
    """Say how many litres a space holds, and what a maker's range or a bare size asks for."""
    told, doubts, fills, sure = [], [], [], None
    sides = [given.get(side) for side in ("length", "width", "height")]
    have = None
    if None not in sides:
        found = litres(sides, given.get("board", 0.0))
        have, error = found.inside, found.error
        told.append(say("{out} outside.", out=VOLUME(found.outside)) if "board" not in given else _inside(found))
        sure = say(
            "Within {part}: {tape} on each length, and the smallest decides.", part=PART(error), tape=TRAVEL(TAPE)
        )
        fills.append(Fill("opening", {"space": f"{found.outside / litre:.1f} L"}))
        if "board" not in given:
            doubts.append(say("Fill in the board: it costs more than any error of the tape."))
    if "poured" in given:
        have = given["poured"]
        told.append(say("It holds {V}.", V=VOLUME(have)))
        sure = say(f"Within {{part}}: what is poured settles when shaken ({PRACTICE}).", part=PART(POURED))
        fills.append(Fill("opening", {"volume": f"{have / litre:.1f} L"}))
    if told:
        doubts.append(say("Take off what stands inside: braces, carpet, the driver itself."))
    if "maker" in given:
        told.append(_against(given["maker"], have))
    if "size" in given:
        told.append(_of_a_size(given["size"]))
        doubts.append(
            say("A size alone is a stand-in: drivers of one size differ by a factor of four. Ask for its sheet.")
        )
    return Meaning(tuple(told), sure, tuple(doubts), tuple(fills))


def _inside(found):
    return say("{inside} inside its boards, of {out} outside.", inside=VOLUME(found.inside), out=VOLUME(found.outside))


def _against(wanted, have):
    low, high = wanted
    asked = say("{low}", low=VOLUME(low)) if low == high else say("{low} to {high}", low=VOLUME(low), high=VOLUME(high))
    if have is None:
        return say("The maker asks for {asked}: taken as that, with no more behind it.", asked=asked)
    judged = "less than" if have < low else "more than" if have > high else "within"
    return say(f"That is {judged} what the maker asks for: {{asked}}.", asked=asked)


def _of_a_size(size):
    driver = Driver.typical(size=size, kind="bass" if size >= BASS_FROM else "woofer")
    usual = float(closed_volume(driver, Qtc=USUAL_Q))
    return say("For a driver of that size {V} sealed is typical, no more.", V=VOLUME(usual))


def cabin(given, _gates):
    """Say the first resonances of a cabin along its sides."""
    if given.get("boot") == BOOT_CLOSED:
        return Meaning(doubts=(say(f"{CLOSED_BOOT[:1].upper()}{CLOSED_BOOT[1:]}."),))
    sides = {side: given[side] for side in ("length", "width", "height") if given.get(side)}
    if not sides:
        return NOTHING
    found = cabin_tones(tuple(sides.values()))
    names = {f"f_{side}": FREQUENCY(tone) for side, tone in zip(sides, found, strict=True)}
    told = say("First resonances: " + ", ".join(f"{{f_{side}}} along its {side}" for side in sides) + ".", **names)
    doubts = []
    if len(sides) == 3 and not sides["length"] >= sides["width"] >= sides["height"]:
        doubts.append(say("Length, width and height usually fall in this order: did two change places?"))
    if outside := _outside(given, sides):
        doubts.append(outside)
    values = {side: f"{length:.3g} m" for side, length in sides.items()}
    if "ear" in given and not outside:
        values["ear"] = [f"{length:.3g} m" for length in given["ear"]]
    sure = say("A real cabin is no plain box: within 10 to 20 %. All lengths 10 % off make 2.8 dB.")
    return Meaning((told,), sure, tuple(doubts), (Fill("cabin", values),) if len(sides) == 3 else ())


def _outside(given, sides):
    """Say that the ear is outside the cabin, if it is."""
    for side, place in zip(("length", "width", "height"), given.get("ear", ()), strict=False):
        if place > sides.get(side, place):
            return say(
                "The ear at {x} is outside: the {side} is {L}.", x=LENGTH(place), side=say(side), L=LENGTH(sides[side])
            )
    return None


def leaks(given, gates):
    """Say what a tissue, the area of holes and an impedance tell about a leak."""
    told, doubts, fills = [], [], []
    sensors = gates["doors"] != NONE
    if given.get("hole"):
        speed = draught(given["hole"])
        felt = say("a tissue flutters" if speed > FELT else "a tissue hardly moves: a large hole hides")
        told.append(say("{S}: air moves at {v} there, so {felt}.", S=AREA(given["hole"]), v=DRAUGHT(speed), felt=felt))
        fills.append(Fill("opening", {"hole": f"{given['hole'] / cm2:.0f} cm2"}))
    elif given.get("hole") == 0.0:
        fills.append(Fill("opening", {"hole": "0 cm2"}))
        told.append(say("No hole was seen: taken as closed."))
    if "tissue" in given:
        told.append(
            say(
                {
                    HISSES: "A small leak there.",
                    BLOWS: "A large opening: count its area.",
                    QUIET: "No small leak there. A large one hardly moves a tissue: look for it.",
                }[given["tissue"]]
            )
        )
    if "peaks" in given:
        two = given["peaks"] == TWO_PEAKS
        told.append(say("Two peaks: there is a hole, or a port." if two else "One peak above fs: it is closed."))
        if two == (given.get("hole") == 0.0) and "hole" in given:
            doubts.append(say("The peaks and the holes that you saw contradict each other: look again."))
    if told and sensors:
        doubts.append(say(ASK_FIRST))
    sure = _how_felt() if fills else None
    return Meaning(tuple(told), sure, tuple(doubts), tuple(fills))


def _how_felt():
    return say(
        f"For a woofer of {{size}} that moves {{travel}} at 30 Hz; a tissue feels {{felt}} ({PRACTICE}).",
        size=LENGTH_OF(165 * mm),
        travel=TRAVEL(DRAUGHT_TRAVEL),
        felt=DRAUGHT(FELT),
    )


def sensors(given, gates):
    """Say what must be asked before anything is sealed or unplugged."""
    doors, seats = (gates[key] != NONE for key in ("doors", "seats"))
    told = [
        say(
            "Doors: ask the maker before you seal, cut or fill."
            if doors
            else "Doors: the maker says none. Keep drains and barrier."
        ),
        say(
            "Seats: never unplug one live; keep off its wires."
            if seats
            else "Seats: the maker says none. Belt tensioners may be there."
        ),
    ]
    if given.get("cancelling", NONE) != NONE:
        told.append(say("Noise cancelling may work against a new bass box: ask how it is switched off."))
    if given.get("call", NONE) != NONE:
        told.append(
            say("The emergency call plays through factory loudspeakers: ask before you move one. Never test it.")
        )
    return Meaning(tuple(told), say("What is not known counts as fitted.")) if given else NOTHING
