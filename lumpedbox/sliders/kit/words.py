"""Words that every page uses alike."""

from __future__ import annotations

import numpy as np

from ...parts.displacement import assumed_from, displacement
from ...response.grid import runs
from .systems import VOLUME

OPEN_AIR = "open air (half space)"
AS_MARKED, REVERSED = "as marked", "reversed"  # how a driver is connected
UNITS = ("mm", "cm", "in", "inch", "inches")  # in which a driver's size stands in its name
NO_TRAVEL_KNOWN = "The driver's linear travel is not known: nothing is said about running out of it."

# How differences of level sound in the middle of the range; ten decibels for half as loud is S. S. Stevens'
# rule of the sone (1955, from memory). At low frequencies a decibel counts for more.
HEARD = (
    (1.0, "hardly softer than"),
    (4.5, "a little softer than"),
    (8.0, "clearly softer than"),
    (12.0, "about half as loud as"),
)


def softer(difference):
    """Say how much softer something is than something else, by a difference of level [dB]."""
    if abs(difference) < 0.05:
        return "as loud as"
    if difference < 0:
        return f"{-difference:.1f} dB more than"
    words = next((words for bound, words in HEARD if difference < bound), "much less than half as loud as")
    return f"{difference:.1f} dB less, {words}"


def spans(frequency, true):
    """Say where along a frequency axis something is so.

    Parameters
    ----------
    frequency : array, shape (nf,)
        [Hz]
    true : array of bool, shape (nf,)

    Returns
    -------
    str
        Such as "below 34 Hz and from 50 to 65 Hz", or "nowhere".
    """
    told = []
    for first, after in runs(true):
        low, high = f"{frequency[first]:.0f}", f"{frequency[after - 1]:.0f}"
        told.append(f"below {high} Hz" if first == 0 else f"from {low} to {high} Hz")
    return " and ".join(told) or "nowhere"


def runs_out(response):
    """Say where the cone passes its linear travel, if that is known."""
    xmax = response.loudspeaker.driver.xmax
    if xmax is None:
        return NO_TRAVEL_KNOWN
    over = response.excursion > xmax
    if over.any():
        return f"At this voltage it runs out of travel {spans(response.frequency, over)}."
    return f"At this voltage it stays within its travel down to {response.frequency[0]:.0f} Hz."


def half_power(response):
    """Say at which frequency half of the power is left, going down."""
    f3 = response.f3
    return f"{f3:.0f} Hz" if np.isfinite(f3) else f"below {response.frequency[0]:.0f} Hz"


def corners(response):
    """Say below which frequencies the cabin lifts the level."""
    cabin = response.loudspeaker.cabin
    return (
        f"Going by its volume, the cabin lifts what lies below {cabin.volume_corner(response.distance):.0f} Hz, "
        f"or below {cabin.length_corner():.0f} Hz by the rule of thumb for its length."
    )


def takes_up(driver, *systems):
    """Say how much of a box a driver takes up, in each system of units, and what that is assumed from."""
    volume = " or ".join(VOLUME.shown(system).text(displacement(driver)) for system in systems)
    assumed = assumed_from(driver)
    return f"The driver takes up {f'about {volume} (assumed from {assumed})' if assumed else volume}."


LINKS = ("of", "in", "with", "and", "for")  # words that no name ends with


def short_names(names):
    """Return the fewest first words of some names that tell them apart: a size with its unit, or else two.

    Parameters
    ----------
    names : iterable of str
        Those that are alike stay alike.

    Returns
    -------
    list of str
    """
    names = list(names)
    counts = {name: _words_of_size(name) for name in names}
    while True:
        short = {name: " ".join(name.split()[:count]).rstrip(",") for name, count in counts.items()}
        alike = [name for name in short if list(short.values()).count(short[name]) > 1]
        growing = [name for name in alike if counts[name] < len(name.split())]
        if not growing:
            return names if alike else [short[name] for name in names]
        counts |= {name: _longer(name.split(), counts[name]) for name in growing}


def _longer(words, count):
    """Return how many words are the next that a name can end with."""
    return next((more for more in range(count + 1, len(words)) if _ends(words[more - 1])), len(words))


def _ends(word):
    """Whether a name can end with a word."""
    return word not in LINKS and not word.isdigit()


def _words_of_size(name):
    return next((place + 1 for place, word in enumerate(name.split()) if word in UNITS), 2)
