"""What the page on which box says: its headline, its facts and details, and why a kind of box is out."""

from __future__ import annotations

import numpy as np

from ....design.certainty import WORDS as QUANTITIES
from ....design.certainty import doubts
from ....design.search import WORDS
from ....design.search.brief import KINDS, LOWEST, VENTED
from ....design.search.limits import LOAD, POWER, XMAX, loosened
from ....design.search.limits import VOLUME as VOLUME_LIMIT
from ....parts.amplifier import lowest_load
from ....parts.displacement import depth
from ....response.limits import CLIPPING, CURRENT, HEAT, PORT, TRAVEL
from ....units import cubic_foot, inch, litre, mm
from ...kit import facts
from ...kit.answer import Fact, say, verbatim
from ...kit.systems import (
    AREA,
    DELAY,
    FREQUENCY,
    LENGTH,
    LEVEL,
    RESISTANCE,
    SPEED,
    VOLTAGE,
    VOLUME,
    Kind,
    Shown,
    same,
)
from ...kit.systems import POWER as WATTS
from ...kit.systems import TRAVEL as DISTANCE

NET, TUNED, PEAK, HELD = "net volume", "tuning and port", "peak", "held back by"
LESS_POWER = "with less power"
# What holds a box back, as on this page: the space is what its slider says.
HOLDING = WORDS | {VOLUME_LIMIT.name: "the space inside"}
ALL = 0.98  # of the space: who takes up more takes up all of it
# Where the unit stands with the next number.
HERTZ = same("", decimals=1, told=0)
ROOM, WIDTH = Kind(Shown("", litre, 1), Shown("", cubic_foot, 3)), Kind(Shown("", mm, 0), Shown("", inch, 2))
NOTHING = 0.05  # dB, that one decimal rounds to nothing
WAYS = 3  # that are told, out of what keeps a box out
# Of the units in which limits are told.
KINDS_OF = {"Hz": FREQUENCY, "dB": LEVEL, "ms": DELAY, "litres": VOLUME, "cm²": AREA, "mm": LENGTH}
THEN = {
    TRAVEL: "the cone runs out of travel",
    HEAT: "the coil gets too hot",
    CLIPPING: "the amplifier clips",
    CURRENT: "the amplifier runs out of current",
    PORT: "the port gets noisy",
}


def best_of(designs):
    """Return the design that is best at what matters most."""
    return min(designs, key=lambda design: design.values[design.brief.aim])


def headline(designs, refusals, room, gentler=None):
    """Say what to build, or what keeps every box out.

    Parameters
    ----------
    designs : sequence of Design
    refusals : sequence of Refusal
    room : (float, float)
        How far the driver reaches behind its panel, and how deep the space is. [m]
    gentler : Design, optional
        Another kind of box, which less power lets in and which reaches lower.
    """
    reaches, deep = room
    if reaches > deep:
        words = "The driver is too deep: it reaches {reaches} behind its panel, and there are only {deep}."
        return say(words, reaches=LENGTH(reaches), deep=LENGTH(deep))
    if not designs:
        return no_box(refusals)
    best = best_of(designs)
    if gentler:
        f3, low = (FREQUENCY(design.values["f3"]) for design in (best, gentler))
        less = f"With at most {{power}} a {gentler.kind} box reaches {{low}}."
        return say(f"Build it {best.kind}: bass down {_down(best)}. {less}", f3=f3, low=low, power=power_of(gentler))
    taken, space = best.values["volume"], best.brief.volume
    how_much = "all {space}" if taken > ALL * space else "{taken} of the {space}"
    numbers = {"taken": ROOM(taken), "space": VOLUME(space), "f3": FREQUENCY(best.values["f3"])}
    return say(f"Build it {best.kind}, {how_much}: bass down {_down(best)}.", **numbers)


def power_of(design):
    """Return the power that a design is for, into the load that the amplifier is rated for."""
    return WATTS(design.brief.drive**2 / rated_load(design.brief.amplifier))


def _down(design):
    return "to {f3}" if design.values["f3"] > LOWEST else "below {f3}"


def no_box(refusals):
    """Say in one sentence why there is no box, and what would help first."""
    if not refusals:
        return say("No box found at a first look: looking closer.")
    (refusal,) = refusals
    if refusal.limit == XMAX.name:
        return say("No box can be judged: the linear travel of this driver is not known.")
    if refusal.limit == LOAD.name:
        return say("No box: the coil's {Re} is too low a load for this amplifier.", Re=RESISTANCE(refusal.driver.Re))
    if not refusal.relaxed:
        return say(f"No box can do it: {WORDS[refusal.limit]} is missed by most.")
    if not refusal.alone:
        return say("No box can do it: several limits would have to give at once.")
    way = _way(refusal.brief, next(iter(refusal.relaxed.values())))
    return say("No box can do it. What would help: {way}.", way=way)


def facts_of(designs, refusals, responses, loudest, tone, rough, members, gentler=None):
    """Return the facts, a column for each kind of box: what may be folded away stands last.

    Parameters
    ----------
    designs : dict
        Kind: Design.
    refusals : sequence of Refusal
    responses : dict
        Kind: Response.
    loudest : dict
        Kind: MaximumLevel at one tone.
    tone : float
        [Hz]
    rough : bool
        Whether this is the first look, which leaves out what holds a design back and how sure that is.
    members : int
        How many are drawn from the spreads.
    gentler : (Design, MaximumLevel), optional
        Another kind of box, which less power lets in and which reaches lower, and how loud it is at the tone.
    """
    if not designs:
        return ()
    out = {refusal.kind: say(HOLDING[refusal.limit]) for refusal in refusals}
    none = {kind: say("none") for kind in KINDS if kind not in designs}

    def of_each(said):
        return {kind: said(design) for kind, design in designs.items()}

    ported = {kind: _port(design) for kind, design in designs.items() if kind == VENTED}
    return (
        Fact(NET, _in_order(none | of_each(lambda design: say("{net}", net=VOLUME(design.loudspeaker.box.volume))))),
        *([Fact(TUNED, ported)] if ported else []),
        Fact(facts.REACH, of_each(lambda design: reach(responses[design.kind], rough, members))),
        Fact(
            f"loudest at {tone:.0f} Hz",
            {kind: say("{level}", level=LEVEL(found.level[0])) for kind, found in loudest.items()},
        ),
        Fact(HELD, _in_order(out | of_each(lambda design: say("..." if rough else _held(design))))),
        Fact(PEAK, of_each(lambda design: say("{peak}", peak=LEVEL(design.values["ripple"])))),
        *([_with_less_power(*gentler)] if gentler else []),
    )


def _with_less_power(design, loudest):
    said = say(
        "at most {power}: down to {f3}, {level} at {tone}",
        power=power_of(design),
        f3=FREQUENCY(design.values["f3"]),
        level=LEVEL(loudest.level[0]),
        tone=FREQUENCY(loudest.frequency[0]),
    )
    return Fact(LESS_POWER, {design.kind: said})


def _in_order(values):
    return {kind: values[kind] for kind in KINDS if kind in values}


def _port(design):
    box = design.loudspeaker.box
    return say(
        "{fb}, {across} × {length}",
        fb=FREQUENCY(box.port.tuning(box.volume)),
        across=WIDTH(box.port.diameter),
        length=LENGTH(box.port.length),
    )


def _held(design):
    return _named(design.holds) or "at its best"


def _named(limits):
    return ", ".join(HOLDING[name] for name in limits)


def reach(response, rough, members):
    """Say where the bass is 3 dB down, and between which frequencies it is for four of five builds.

    At a first look those frequencies are left open.
    """
    edges = () if rough else response.band("f3", members=members)
    if not np.isfinite([float(response.f3), *edges]).all():
        return facts.reach(response)
    if rough:
        return say("{f3} (...)", f3=FREQUENCY(response.f3))
    low, high = edges
    return say("{f3} ({low}–{high})", f3=FREQUENCY(response.f3), low=HERTZ(low), high=HERTZ(high))


def _peaks_and_droops(values):
    """Say how far a level rises above what lies higher up, and falls back, where it does."""
    told = ["peaks by {peak}"] if values["ripple"] >= NOTHING else []
    told += ["droops by {droop}"] if values["droop"] >= NOTHING else []
    return " and ".join(told) or "neither peaks nor droops"


def of_design(design, loudest, rough):
    """Say what a design does beyond its facts, and what holds it back: a paragraph each."""
    values, xmax, kind = design.values, design.loudspeaker.driver.xmax, design.kind.capitalize()
    told = [
        f"{{kind}}: the level {_peaks_and_droops(values)}.",
        "The group delay is at most {delay}.",
        f"With {'port and ' if design.kind == VENTED else ''}driver it takes up {{taken}} of the {{space}}.",
    ]
    numbers = {
        "kind": say(kind),
        "peak": LEVEL(values["ripple"]),
        "droop": LEVEL(values["droop"]),
        "delay": DELAY(values["delay"]),
        "taken": ROOM(values["volume"]),
        "space": VOLUME(design.brief.volume),
    }
    if xmax is not None:
        told.append("The cone moves {travel} of its {xmax}.")
        numbers |= {"travel": DISTANCE(values["excursion"] * float(xmax)), "xmax": DISTANCE(xmax)}
    if design.kind == VENTED:
        still = values["port_speed"] < facts.STILL
        told.append("The air in the port hardly moves." if still else "The air in the port reaches {speed}.")
        numbers["speed"] = SPEED(values["port_speed"])
    yield say(" ".join(told), **numbers)
    words = f"{kind}: at {{tone}} it plays {{level}}; beyond that {THEN[loudest.gives[0]]}."
    yield say(words, tone=FREQUENCY(loudest.frequency[0]), level=LEVEL(loudest.level[0]))
    if not rough:
        held = f"held back by {_held(design)}" if design.holds else "a bigger box would gain almost nothing"
        used = f" Also used up: {_named(design.used)}." if design.used else ""
        yield say(f"{kind}: {held}.{used}")


def of_driver(driver, drive, deep):
    """Say what the driver takes up and takes in, how deep it is, and what the port's length has to do with that.

    Parameters
    ----------
    driver : Driver
    drive : float
        [V]
    deep : float
        How deep the space is. [m]
    """
    yield facts.takes_up(driver)
    words = "It reaches {reaches} behind its panel; there are {deep} inside."
    yield say(words, reaches=LENGTH(depth(driver)), deep=LENGTH(deep))
    words = "At {volts} its coil of {Re} takes up to {watts}."
    yield say(words, volts=VOLTAGE(drive), Re=RESISTANCE(driver.Re), watts=WATTS(drive**2 / driver.Re))


def how_sure(response, lowest, members):
    """Say between which levels four of five builds lie at the lowest tone, and what makes it most unsure."""
    index = int(np.argmin(np.abs(np.log(response.frequency / lowest))))
    low, high = response.band("level", members=members)[:, index]
    first, second, *_ = doubts(response).shares(index)
    return say(
        f"How sure: at {{lowest}} four of five builds play between {{low}} and {{high}}. "
        f"Most of that comes from the {QUANTITIES[first]} and the {QUANTITIES[second]}.",
        lowest=FREQUENCY(response.frequency[index]),
        low=LEVEL(low),
        high=LEVEL(high),
    )


def limits_of(brief, usual):
    """Say which limits count: they may be out of view."""
    words = "Limits: no tone below {lowest}, a peak of at most {peak}, port air at most {speed}."
    yield say(words, lowest=FREQUENCY(brief.lowest), peak=LEVEL(brief.ripple), speed=SPEED(brief.port_speed))
    yield say("A high-pass must keep lower tones from the amplifier.")
    if usual:
        yield say("A port may be as long as the space is deep. Bend it where it would end too close to the back.")


def refused(refusal, reach_of_controls):
    """Say why a kind of box, or a driver, is out, and what would let it in.

    Of the ways out the nearest that the controls reach are told; where there is none, the nearest of all.

    Parameters
    ----------
    refusal : Refusal
    reach_of_controls : dict
        Name of a limit: the lowest and highest value that can be set. [SI]
    """
    driver, brief = refusal.driver, refusal.brief
    if refusal.limit == XMAX.name:
        return say("No box can be judged: the linear travel of this driver is not known. Measure it.")
    if refusal.limit == LOAD.name:
        words = "No box: its coil has {Re}, and the amplifier is made for no less than {least}."
        return say(words, Re=RESISTANCE(driver.Re), least=RESISTANCE(lowest_load(brief.amplifier)))
    if not refusal.relaxed:
        return say(f"No {refusal.kind + ' ' if refusal.kind else ''}box: {{why}}", why=verbatim(refusal.why))
    nearest = list(refusal.relaxed.values())
    within = [one for one in nearest if _within(brief, one, reach_of_controls)]
    beyond = "" if within else " That is more than can be set here."
    if not refusal.alone:
        return _together(refusal.kind, brief, nearest[0], beyond)
    ways = {f"way{i}": _way(brief, one) for i, one in enumerate((within or nearest)[:WAYS])}
    what = f"A {refusal.kind} box would fit with" if refusal.kind else "No box can do it. What would help:"
    return say(f"{what} {', or '.join(f'{{{name}}}' for name in ways)}.{beyond}", **ways)


def _within(brief, relaxed, reach_of_controls):
    """Return whether controls reach every limit that one brief loosens from another."""
    wanted = {limit.name: new for limit, (_, new) in loosened(brief, relaxed).items()}
    ends = {name: reach_of_controls.get(name, (np.inf, -np.inf)) for name in wanted}
    return all(low <= wanted[name] <= high for name, (low, high) in ends.items())


def _way(brief, relaxed):
    """Say which limit one brief loosens from another, and how far."""
    (told,), numbers = _told(brief, relaxed)
    return say(told, **numbers)


def _together(kind, brief, relaxed, beyond):
    """Say which limits would have to give at once, and how far."""
    told, numbers = _told(brief, relaxed)
    first, others = told[:WAYS], told[WAYS:]
    more = f" It also takes {', '.join(others)}." if others else ""
    what = f"A {kind} box" if kind else "A box"
    return say(f"{what} takes several looser limits: {', '.join(first)}.{more}{beyond}", **numbers)


def _told(brief, relaxed):
    """Return words for each limit that one brief loosens from another, and the numbers in them."""
    wanted = {limit: new for limit, (_, new) in loosened(brief, relaxed).items()}
    words = [limit.told.format(f"{{{limit.name}}}") for limit in wanted]
    return words, {limit.name: _number(limit, new, brief) for limit, new in wanted.items()}


def _number(limit, value, brief):
    """Return the number of a limit, the volts as watts into the load that the amplifier is rated for."""
    if limit is POWER:
        return WATTS(value**2 / rated_load(brief.amplifier))
    return KINDS_OF[limit.unit](value)


def rated_load(source):
    """Return the load that the watts of an amplifier or a head unit are counted into. [ohm]"""
    return float(getattr(source, "rated_impedance", source.minimum_load))


def cautions(driver, drive, responses):
    """Caution where the coil may burn, and where it is so loud that ears need protection at any frequency."""
    yield from facts.hot_coil(drive**2 / float(driver.Re), driver, "Full power")
    for response in list(responses)[:1]:
        yield from facts.protect_ears(response.frequency, [other.level for other in responses])
