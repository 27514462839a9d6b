"""Words that every page uses alike."""

from __future__ import annotations

import html
import math
import re

UNEXPECTED = "This should not have happened; please report it:"
OPEN_AIR = "open air (half space)"
NO_DRIVER = "none"
AS_MARKED, REVERSED = "as marked", "reversed"  # how a driver is connected
DAY = 24 * 60  # min
UNITS = ("mm", "cm", "in", "inch", "inches")  # in which a driver's size stands in its name


def as_html(text):
    """Return text as HTML that shows just that."""
    return html.escape(text, quote=False)


def a_or_an(number):
    """Return the article before a number in digits: "an" before eight, eleven and eighteen, as they are spoken."""
    return "an" if re.match(r"8|1[18](?!\d)", number) else "a"


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


def ear_time(exposure):
    """Say how long a day music that loud may last, rounded down; nothing where the level is not known."""
    if exposure is None:
        return "not known"
    if exposure.loud:
        return "too loud at any length"
    minutes = min(exposure.minutes, DAY)
    if minutes < 1:
        return "under 1 min a day"
    if minutes < 120:
        return f"{math.floor(minutes)} min a day"
    return "all day" if minutes == DAY else f"{math.floor(minutes / 60)} h a day"
