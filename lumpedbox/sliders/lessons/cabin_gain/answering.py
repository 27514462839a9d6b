"""The words of the page on what a cabin does."""

from __future__ import annotations

from ....response.dips import FARTHEST, deepest
from ...kit.answer import Answer, say
from ...kit.systems import FREQUENCY, LEVEL, SHIFT

LISTEN = 40.0  # Hz
NEAR = 2 ** (1 / 3)  # the ratio of frequencies within which two dips are taken for the same one: ours
CHANGED = 3.0  # dB of its depth, from which a dip is said to ease or deepen: ours


def told_dip(dip):
    """Say where a dip is, and how deep."""
    if dip is None:
        return say("none")
    return say("{frequency}, {depth}", frequency=FREQUENCY(dip.frequency), depth=LEVEL(dip.depth))


def told_dips(dips):
    """Say where all dips are that a bass box meets."""
    numbers = {f"dip{place}": told_dip(dip) for place, dip in enumerate(dips)}
    words = "; ".join(f"{{{name}}}" for name in numbers)
    return say(f"Dips of the level at the ear, and how deep: {words}.", **numbers)


def told_way(dip, way):
    """Say whether a move of the head leads out of a dip."""
    numbers = {"frequency": FREQUENCY(dip.frequency), "farthest": SHIFT(FARTHEST)}
    if way is None:
        return say("No move of the head up to {farthest} leaves the worst dip, {frequency}, half as deep.", **numbers)
    words = f"The head {{distance}} {way.way}: no dip is then more than half as deep as that at {{frequency}}."
    return say(words, distance=SHIFT(way.distance), **numbers)


def in_the_corner(gains, dips, dips_there):
    """Say what the corner does to the level at 40 and 80 Hz and, once its dips are known, to the deepest. [dB]"""
    low, high = (" louder" if gain >= 0 else " softer" for gain in gains)
    dip_too, numbers = ("", {}) if dips_there is None else _of_the_dip(dips, dips_there)
    too = "" if high == low else high
    words = f"In the corner: {{a}}{low} at {LISTEN:.0f} Hz, {{b}}{too} at {2 * LISTEN:.0f} Hz{dip_too}."
    return say(words, a=LEVEL(abs(gains[0])), b=LEVEL(abs(gains[1])), **numbers)


def _of_the_dip(dips, dips_there):
    """Return what becomes of the deepest dip in the corner, and which is deepest there: words, their numbers."""
    dip, there = deepest(dips), deepest(dips_there)
    if dip is None:
        return ("; a dip comes at {dip}", {"dip": FREQUENCY(there.frequency)}) if there else ("", {})
    same = deepest(_near(dip, dips_there))
    if same is None:
        becomes = "goes"
    elif abs(same.depth - dip.depth) < CHANGED:
        becomes = "stays"
    else:
        becomes = "eases" if same.depth < dip.depth else "deepens"
    words, numbers = f"; the {{dip}} dip {becomes}", {"dip": FREQUENCY(dip.frequency)}
    if there == same:
        return words, numbers
    left = "is left" if deepest(_near(there, dips)) else "comes"
    return f"{words}, one at {{other}} {left}", numbers | {"other": FREQUENCY(there.frequency)}


def _near(dip, dips):
    """Return those of some dips that are taken for the same one."""
    return [one for one in dips if 1 / NEAR <= one.frequency / dip.frequency <= NEAR]


def headline_of_dip(dip, way, coarse):
    """Say how to leave a dip; while the hand moves, only where it is."""
    where = FREQUENCY(dip.frequency)
    if way:
        words = f"A dip at {{frequency}}: move the head {{distance}} {way.way} to halve it."
        return say(words, frequency=where, distance=SHIFT(way.distance))
    if coarse:
        return say("A dip at {frequency}, {depth} deep.", frequency=where, depth=LEVEL(dip.depth))
    words = "A dip at {frequency}: moving your head up to {farthest} does not help."
    return say(words, frequency=where, farthest=SHIFT(FARTHEST))


def headline(here):
    """Say what the cabin adds at 40 Hz where there is no dip to tell of. [dB]"""
    does = "adds {here}" if here >= 0 else "takes {here}"
    return say(f"At {LISTEN:.0f} Hz the cabin {does}; no dip to speak of.", here=LEVEL(abs(here)))


def refusal(conditions):
    """Refuse a closed boot, and say why."""
    return Answer(
        headline=say("Not worked out: a closed boot is a second volume, and this model knows only one."),
        cautions=(
            say(
                "Seat and shelf part the boot from the ear. What comes through depends on gaps that no tape measures. "
                "A hatch, an estate, a van or a cab is one volume; so is a boot with the seats folded down."
            ),
        ),
        details=(say("Play it and measure at the ear, or ask who has measured such a vehicle."),),
        conditions=conditions,
    )
