"""Levels of several responses in one picture."""

from __future__ import annotations

from .stack import Panel, stack


def levels(responses, low_level=60.0, high_level=110.0):
    """Draw the level of single responses over frequency.

    Parameters
    ----------
    responses : dict
        Name in the legend: Response; up to three, of single loudspeakers, over the same frequencies.
    low_level, high_level : float
        Limits of the level axis. [dB re 20 uPa]

    Returns
    -------
    Stack
    """
    first = next(iter(responses.values()))
    place = first.loudspeaker.cabin.name or "cabin" if first.loudspeaker.cabin else "half space"
    conditions = f"{first.voltage:g} V r.m.s., {first.distance:g} m, {place}"
    pens = dict(zip(responses, ("first", "second", "third"), strict=False))
    drawn = stack(
        [Panel("level", f"level [dB re 20 µPa]\n{conditions}", low_level, high_level)],
        {name: (pen, name) for name, pen in pens.items()},
        first.frequency[0],
        first.frequency[-1],
        height=3.0,
    )
    for name in pens:
        response = responses[name]
        drawn.show(name, response.frequency, {"level": response.level})
        if response.varies:
            drawn.shade(name, response.frequency, {"level": response.band("level")})
    return drawn
