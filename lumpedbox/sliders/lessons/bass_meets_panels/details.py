"""What a page on a bass box and panels says of how they meet, beside its facts."""

from __future__ import annotations

import dataclasses

import numpy as np

from ....response import frequencies, solve
from ....units import ms
from ...kit.answer import say
from ...kit.systems import DELAY, FREQUENCY, LEVEL, WAY
from ...kit.words import AS_MARKED, REVERSED

GRID = frequencies(20, 400, per_octave=48)
VOLTS = 2.83
STEP = 0.2 * ms  # of the delay
BASS, PANELS = "bass box", "panels"
AS_LONG = 0.005  # m, below which two ways read alike
NOTHING = 0.05  # dB, that one decimal rounds to nothing


def meeting(response):
    """Say how loud each and both are where they meet, the one frequency of a response."""
    return say(
        "They meet at {meet}, where each plays {either}. Both together play {both} there, {lost}.",
        meet=FREQUENCY(response.frequency[0]),
        either=LEVEL(response.levels[0][0]),
        both=LEVEL(response.level[0]),
        lost=_against_in_step(response),
    )


def turned(system, meet):
    bass, panels = system.channels
    (speaker,) = bass.loudspeakers
    other = dataclasses.replace(speaker, polarity=AS_MARKED if speaker.polarity == REVERSED else REVERSED)
    channels = (dataclasses.replace(bass, loudspeakers=(other,)), panels)
    response = solve(dataclasses.replace(system, channels=channels), meet, VOLTS)
    return say(
        "With the bass box's wires swapped they would play {both} there, {lost}.",
        both=LEVEL(response.level[0]),
        lost=_against_in_step(response),
    )


def _against_in_step(response):
    """Say how much softer two are at the one frequency of a response than they would be in step."""
    lost = float(response.cancellation[0])
    return say("the same as in step" if lost < NOTHING else "{lost} less than in step", lost=LEVEL(lost))


def ways(response, values):
    late, further = _later(response), abs(values["bass_way"] - values["panels_way"])
    left = late - values["delay"]
    if further < AS_LONG:
        yield say("Both ways are equally long.")
    else:
        yield say(
            f"The way from the {BASS if late > 0 else PANELS} is {{further}} longer: its sound comes {{late}} later.",
            further=WAY(further),
            late=DELAY(abs(late)),
        )
    if abs(values["delay"]) > STEP / 2:
        when = "late" if left > 0 else "early"
        yield say(f"With the delay as set the bass box is {{left}} {when}.", left=DELAY(abs(left)))


def _later(response):
    """How much later the bass arrives than the panels because of its longer path. [s]"""
    bass, panels, _ = response.delays
    return float(bass - panels)


def filtered(system, bare, corner):
    """Say what the filters delay at the corner: delays of what stands in a row add up."""
    added = [
        DELAY(with_filters - without)
        for with_filters, without in zip(_own_delays(system, corner), _own_delays(bare, corner), strict=True)
    ]
    words = "At {corner} the filters add {bass} of group delay to the bass box and {panels} to the panels."
    return say(words, corner=FREQUENCY(corner), bass=added[0], panels=added[1])


def _own_delays(system, frequency):
    bass, panels, _ = solve(system, frequency, VOLTS).responses
    return float(bass.group_delay[0]), float(panels.group_delay[0])


def outside(cabin, values):
    if cabin is None:
        return
    across = float(np.linalg.norm([cabin.length, cabin.width, cabin.height]))
    if max(values["bass_way"], values["panels_way"]) > across:
        words = "This cabin is {across} from corner to corner: nothing in it can be further from the ear."
        yield say(words, across=WAY(across))
