"""The words of the page on what a cabin does."""

from __future__ import annotations

from ....response.dips import FARTHEST
from ...kit.answer import Answer, say
from ...kit.systems import FREQUENCY, LEVEL, SHIFT

LISTEN = 40.0  # Hz


def signed(level):
    """Say what is added, or taken. [dB]"""
    return say("{level}", level=LEVEL(level)) if level >= 0 else say("minus {level}", level=LEVEL(-level))


def told_dip(dip):
    """Say where a dip is, and how deep."""
    if dip is None:
        return say("none")
    return say("{frequency}, {depth} deep", frequency=FREQUENCY(dip.frequency), depth=LEVEL(dip.depth))


def headline_of_dip(dip, way, coarse):
    """Say how to lose a dip; while the hand moves, only where it is."""
    where = FREQUENCY(dip.frequency)
    if way:
        words = f"A dip at {{frequency}}: move the head {{distance}} {way.way} to lose it."
        return say(words, frequency=where, distance=SHIFT(way.distance))
    if coarse:
        return say("A dip at {frequency}, {depth} deep.", frequency=where, depth=LEVEL(dip.depth))
    words = "A dip at {frequency}: no move of the head up to {farthest} loses it; move the box."
    return say(words, frequency=where, farthest=SHIFT(FARTHEST))


def headline(here, corner):
    """Say what the cabin adds at 40 Hz, and how much louder the box plays in the corner, once that is known. [dB]"""
    does = "adds {here}" if here >= 0 else "takes {here}"
    if corner is None:
        return say(f"At {LISTEN:.0f} Hz the cabin {does}.", here=LEVEL(abs(here)))
    words = f"At {LISTEN:.0f} Hz the cabin {does}; in the corner the box plays {{corner}} "
    words += "louder." if corner >= 0 else "softer."
    return say(words, here=LEVEL(abs(here)), corner=LEVEL(abs(corner)))


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
