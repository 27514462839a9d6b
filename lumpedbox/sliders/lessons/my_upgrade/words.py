"""What the page says of a state, a step and a time, each in one place."""

from __future__ import annotations

import numpy as np

from ....response.system_limits import CLIPPING, CURRENT, HEAT, PORT, RADIATOR_TRAVEL, TRAVEL

GIVES = {  # what gives first, in a word or two
    TRAVEL: "travel",
    HEAT: "heat",
    CLIPPING: "the amplifier",
    CURRENT: "the amplifier's current",
    PORT: "port noise",
    RADIATOR_TRAVEL: "the passive radiator",
}
AS_FOUND = "As found"
FREE = "free"


def level(decibels):
    """Say a level, or that it is not known. [dB]"""
    return f"{decibels:.1f}" if np.isfinite(decibels) else "not known"


def signed(decibels):
    """Say a difference with its sign; one that is not heard of at all is the same. [dB]"""
    if not np.isfinite(decibels):
        return ""
    return "same" if abs(decibels) < 0.05 else minus(f"{decibels:+.1f}")


def minus(text):
    """Write a minus where a hyphen stands for one."""
    return text.replace("-", "\N{MINUS SIGN}")


def money(amount, currency):
    """Say what something costs."""
    return f"{amount:,.10g} {currency}" if amount else "nothing"


def gives(found):
    """Say in a few words what gives first."""
    if not found.gives:
        return "not known" if found.bands else "nothing plays"
    return f"{found.who}: {GIVES[found.gives]}"


def listed(words):
    """Return words as one says them: one, two and three."""
    *others, last = words
    return f"{', '.join(others)} and {last}" if others else last


def in_turn(stages):
    """Return the names of stages as one says them in order."""
    return ", then ".join(stages)


def seals(stage):
    """Whether a stage closes holes: what may hold the sensors of an airbag."""
    return any("hole" in values for values in stage.set.values())
