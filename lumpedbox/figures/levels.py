"""Levels of several responses in one picture."""

from __future__ import annotations

from ..response import Response
from .stack import Panel, stack

PENS = ("first", "second", "third")


def levels(responses, low_level=60.0, high_level=110.0):
    """Draw the level of single responses over frequency.

    Parameters
    ----------
    responses : dict
        Name in the legend: Response; one to three, of single loudspeakers, over the same frequencies.
    low_level, high_level : float
        Limits of the level axis. [dB re 20 uPa]

    Returns
    -------
    Stack

    Raises
    ------
    ValueError
        If there are none or more than three, or one is of a family.
    TypeError
        If one is of a system, or is not a response.
    """
    _checked(responses)
    first = next(iter(responses.values()))
    place = first.loudspeaker.cabin.name or "cabin" if first.loudspeaker.cabin else "half space"
    conditions = f"{first.voltage:g} V r.m.s., {first.distance:g} m, {place}"
    pens = dict(zip(responses, PENS, strict=False))
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
    _as_they_stand(drawn)
    return drawn


def _as_they_stand(drawn):
    """Let dollar signs in the names of loudspeakers and of the cabin make no formula."""
    named = [text for legend in drawn.figure.legends for text in legend.get_texts()]
    for text in (*named, drawn.axes["level"].yaxis.label):
        text.set_parse_math(False)


def _checked(responses):
    """Refuse more curves than one picture can tell apart, and responses without one level at each frequency."""
    if not isinstance(responses, dict):
        raise TypeError(f"levels.responses must be a dict of names and responses, got {type(responses).__name__}")
    if not 1 <= len(responses) <= len(PENS):
        raise ValueError(f"levels.responses must hold one to {len(PENS)} responses, got {len(responses)}")
    for name, response in responses.items():
        who = f"levels.responses[{name!r}] must be the response of a single loudspeaker"
        if not isinstance(response, Response):
            raise TypeError(f"{who}, got {type(response).__name__}")
        if response.shape:
            raise ValueError(f"{who}, got a family of shape {response.shape}: solve its loudspeaker.member(0), say")
