"""Words that every page uses alike."""

from __future__ import annotations

OPEN_AIR = "half space"

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
    if difference < 0:
        return f"{-difference:.1f} dB more than"
    words = next((words for bound, words in HEARD if difference < bound), "much less than half as loud as")
    return f"{difference:.1f} dB less, {words}"
