"""The level that f3 is counted from, held to what is heard far above the resonance, and to Ohm's law."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Air,
    Cabin,
    Channel,
    Driver,
    Gain,
    InfiniteBaffle,
    Loudspeaker,
    Resistor,
    SealedBox,
    System,
    across,
    frequencies,
    in_series,
    solve,
)
from tests.unit.conftest import HEAVY

PLAIN = Loudspeaker(driver=HEAVY, box=InfiniteBaffle())
GRID = np.array([200.0, 1000.0])


def by_newton(coil_voltage, driver=HEAVY, distance=1.0):
    """Level of a mass moved by Bl V/Re: p = rho Sd a/(2 pi r). [dB re 20 uPa]"""
    acceleration = driver.Bl * coil_voltage / driver.Re / driver.Mms
    return 20 * np.log10(Air().density * driver.Sd * acceleration / (2 * np.pi * distance) / 20e-6)


@pytest.mark.parametrize("source", [0.0, 0.6, 3.0])
def test_a_pad_is_counted_with_the_resistance_before_it(source):
    """Rs in the line, Rp across, then Re, behind the source's resistance: the divider by Ohm's law."""
    Rs, Rp = 2.0, 3.0
    pad = in_series(Resistor(resistance=Rs)) + across(Resistor(resistance=Rp))
    response = solve(dataclasses.replace(PLAIN, network=pad, source_resistance=source), GRID)
    both = 1 / (1 / Rp + 1 / HEAVY.Re)
    expected = by_newton(2.83 * both / (source + Rs + both))
    assert response.level == pytest.approx([expected] * 2, abs=1e-3)
    assert response.reference_level == pytest.approx(expected, abs=1e-9)


def test_two_pads_in_a_row():
    """The second pad works from what the first leaves: solved as three nodes."""
    pad = in_series(Resistor(resistance=1.0)) + across(Resistor(resistance=6.0))
    response = solve(dataclasses.replace(PLAIN, network=pad + pad, source_resistance=0.5), GRID)
    nodes = np.array([[1 / 1.5 + 1 / 6 + 1.0, -1.0], [-1.0, 1.0 + 1 / 6 + 1 / HEAVY.Re]])
    coil = np.linalg.solve(nodes, [2.83 / 1.5, 0.0])[1]
    assert response.reference_level == pytest.approx(by_newton(coil), abs=1e-9)
    assert response.level == pytest.approx([by_newton(coil)] * 2, abs=1e-3)


def test_the_filters_of_its_channel_are_counted():
    """A gain of -6 dB before the channel and one of -3 dB of its own: nine decibels less, heard and referred to."""
    quiet = Channel(loudspeakers=(PLAIN,), filters=(Gain(level=-6.0),))
    own = dataclasses.replace(quiet, loudspeakers=(dataclasses.replace(PLAIN, filters=(Gain(level=-3.0),)),))
    for channel, less in ((quiet, 6.0), (own, 9.0)):
        (response,) = solve(System(channels=(channel,)), GRID).responses
        assert response.reference_level == pytest.approx(by_newton(2.83) - less, abs=1e-9)
        assert response.level == pytest.approx([by_newton(2.83) - less] * 2, abs=1e-3)


def test_f3_does_not_move_with_the_gain_of_the_channel():
    """A gain lifts the pass-band and all else alike."""
    driver = Driver(Re=3.4, Bl=9.4, Mms=0.053, Cms=0.39e-3, Rms=2.3, Sd=0.033)
    channel = Channel(loudspeakers=(Loudspeaker(driver=driver, box=SealedBox(volume=0.03)),))
    grid = frequencies(10, 400)
    found = [
        solve(System(channels=(dataclasses.replace(channel, filters=filters),)), grid).responses[0].f3
        for filters in ((), (Gain(level=-10.0),))
    ]
    assert found[1] == pytest.approx(found[0], rel=1e-9)


def test_in_a_cabin_f3_lies_below_100_hz_or_is_none():
    """A small driver in a tiny box, rising through all of the bass, in a room of 300 m3 that lifts nothing there: what
    it reaches first above 100 Hz is no lower limit of the bass."""
    driver = Driver.from_thiele_small(fs=120, Qes=0.8, Qms=4, Vas=0.004, Sd=0.006, Re=3.4)
    room = Cabin(length=12.0, width=7.0, height=3.5, leak=0.0)
    small = Loudspeaker(driver=driver, box=SealedBox(volume=0.003), cabin=room)
    response = solve(small, frequencies(10, 1000))
    over = response.level >= response.reference_level - 10 * np.log10(2)
    crossing = response.frequency[np.argmax(over)]
    assert 110 < crossing < 315
    assert np.isnan(response.f3)
