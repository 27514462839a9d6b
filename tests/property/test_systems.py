"""Laws that any system obeys, tried on random ones: energy, order, scaling, sums of shares. No source but physics."""

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lumpedbox import Amplifier, Channel, Gain, HeadUnit, System, maximum_level, solve
from lumpedbox.design.causes import causes

FREQUENCY = np.geomspace(15, 1000, 12)
AMPLIFIERS = Amplifier(power=40, rated_impedance=4, minimum_load=2), HeadUnit(voltage=9.1)


@pytest.fixture(scope="module")
def speakers(load_module):
    """Strategy of loudspeakers without filters of their own, all of xmax and power known."""

    def known(speaker):
        driver = dataclasses.replace(speaker.driver, xmax=5e-3, power=30.0)
        return dataclasses.replace(speaker, driver=driver, filters=(), cabin=None)

    return load_module(Path(__file__).with_name("test_physics.py")).LOUDSPEAKERS.map(known)


def channels(data, speakers, most=4):
    """Draw a channel of one to four loudspeakers in groups."""
    found = data.draw(st.lists(speakers, min_size=1, max_size=most))
    found = [dataclasses.replace(speaker, name=f"number {place}") for place, speaker in enumerate(found)]
    grouped = (tuple(found[:2]), *found[2:]) if data.draw(st.booleans()) else tuple(found)
    return Channel(
        loudspeakers=grouped,
        wiring=data.draw(st.sampled_from(["series", "parallel"])),
        source_resistance=data.draw(st.sampled_from([0.0, 0.3])),
        amplifier=data.draw(st.sampled_from(AMPLIFIERS)),
    )


@settings(max_examples=25)
@given(st.data())
def test_all_that_the_source_gives_turns_into_heat_somewhere(speakers, data):
    """Re(V I*) of the source is the sum over every resistance on the channel."""
    channel = channels(data, speakers)
    heard = solve(System(channels=(channel,)), FREQUENCY)
    first = heard.responses[0]
    given_ = (np.conj(first.emf) * first.channel_current).real
    lost = abs(first.channel_current) ** 2 * channel.source_resistance
    for speaker, response in zip(channel.each, heard.responses, strict=True):
        lost = lost + sum(response.dissipation.values()) + abs(response.current) ** 2 * speaker.source_resistance
    assert lost == pytest.approx(given_, rel=1e-8)


@settings(max_examples=15)
@given(st.data())
def test_a_gain_ahead_of_all_takes_as_much_from_the_highest_drive(speakers, data):
    channel = channels(data, speakers)
    plain, louder = (
        maximum_level(System(channels=(dataclasses.replace(channel, filters=f),)), FREQUENCY)
        for f in ((), (Gain(level=6.0),))
    )
    assert louder.voltage == pytest.approx(plain.voltage / 10 ** (6 / 20), rel=1e-9)
    assert louder.level == pytest.approx(plain.level, abs=1e-7)


@settings(max_examples=15)
@given(st.data())
def test_another_channel_never_raises_the_highest_drive(speakers, data):
    one, other = channels(data, speakers), channels(data, speakers)
    alone = maximum_level(System(channels=(one,)), FREQUENCY)
    both = maximum_level(System(channels=(one, other)), FREQUENCY)
    assert np.all(both.voltage <= alone.voltage * (1 + 1e-12))
    turned = maximum_level(System(channels=(other, one)), FREQUENCY)
    assert turned.voltage == pytest.approx(both.voltage, rel=1e-9)


@settings(max_examples=10)
@given(st.data())
def test_shares_of_any_two_systems_add_up(speakers, data):
    before, after = (System(channels=(channels(data, speakers, 2), data.draw(speakers))) for _ in range(2))
    found = causes(before, after, FREQUENCY)
    levels = [np.maximum(solve(system, FREQUENCY).level, -200.0) for system in (before, after)]
    assert sum(found.parts.values(), np.zeros(len(FREQUENCY))) == pytest.approx(levels[1] - levels[0], abs=1e-8)
