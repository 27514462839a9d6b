"""What to measure next, as a table: as usual, or as computed from a plan."""

from __future__ import annotations

from ...kit.systems import LEVEL
from .cards import CARDS

# Check: why it usually comes first. Decibels are orders of magnitude on the parts of the demonstration.
USUALLY = {
    1: "A tweeter in series can take 23 to 36 dB of bass from a woofer; in parallel nothing.",
    4: "Some sources cut 12 dB at 40 Hz as they are turned up.",
    7: "A depth that is short by a few millimetres stops a driver.",
}
REST = (6, 2, 5, 3, 8, 10, 9, 11, 12)
TITLES = {card.number: card.title for card in CARDS}
NOTHING_RANKED = {"heads": [], "rows": [], "said": "", "running": False, "possible": False}
USUAL_HEADS = ["Check", "Why it comes first"]
HEADS = ["Check", "Regret a minute", "Swing", "Spent in vain", "Fits or not"]
EXPLAINED = (
    "Regret: what you lose on average by deciding before you know, in dB of clean bass. Swing: the most that the "
    "answer changes. How likely each answer is, is our guess, no source."
)
HARDLY = "These hardly matter: litres by 10 % (0.5 dB), the cabin by 5 cm, the line's drop (under 1 dB)."
SHOWN = 6  # rows


def usual(done):
    """Return the usual order of the checks that are left, with why."""
    left = [number for number in (*USUALLY, *REST) if number not in done]
    first = [number for number in left if number in USUALLY] or left[:3]
    rows = [{"number": n, "cells": [f"{n}. {TITLES[n]}", USUALLY.get(n, "Next in the usual order.")]} for n in first]
    return {"heads": USUAL_HEADS, "rows": rows, "said": HARDLY}


def computed(left):
    """Return what is left of a ranking by regret a minute, then swing; money and fit stand apart."""
    rows = [{"number": one.question.check, "cells": _cells(one)} for one in left[:SHOWN]]
    return {"heads": HEADS, "rows": rows, "said": EXPLAINED}


def _cells(one):
    vain = f"{one.money:.0f}" if one.money > 0 else "nothing"
    return [
        f"{one.question.check}. {one.question.words}",
        f"{one.a_minute:.3f} dB",
        LEVEL(one.swing).text("metric"),
        vain,
        f"in doubt: {' '.join(one.fit)}" if one.fit else "either way",
    ]
