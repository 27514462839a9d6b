"""Series pairs in parallel and the other way round, by the laws of Ohm and Kirchhoff with each own impedance.

Each impedance comes from the loudspeaker solved alone, so the wiring is all that is under test.
"""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Capacitor,
    Channel,
    HighPass,
    InfiniteBaffle,
    Loudspeaker,
    Resistor,
    SealedBox,
    System,
    VentedBox,
    frequencies,
    in_series,
    l_pad,
    solve,
)
from lumpedbox.circuit.sentences import in_sentences
from lumpedbox.design.level_matching import with_gain, with_network
from lumpedbox.response.midband import coil_current
from tests.unit.conftest import TWEETER, WOOFER

GRID = frequencies(20, 5000, per_octave=6)
A = Loudspeaker(driver=WOOFER, box=SealedBox(volume=0.015, Ql=7), name="a")
B = Loudspeaker(driver=WOOFER, box=VentedBox(volume=0.02, fb=50.0, Ql=7), source_resistance=0.2, name="b")
C = Loudspeaker(driver=TWEETER, box=InfiniteBaffle(), network=in_series(Capacitor(capacitance=1e-5)), name="c")
D = Loudspeaker(driver=WOOFER, box=InfiniteBaffle(), network=l_pad(attenuation=4.0, impedance=4.0), name="d")
MIXED = {
    "two pairs": (((A, B), (C, D)), "parallel"),
    "pair and one": (((A, B), D), "parallel"),
    "three and one": (((A, B, C), D), "parallel"),
    "a group of one": (((A,), (B, D)), "parallel"),
    "parallel pairs in series": (((A, B), (C, D)), "series"),
    "one and a parallel pair in series": ((C, (A, D)), "series"),
}


def own(speaker):
    """Impedance behind its own wire, alone. [ohm]"""
    return solve(speaker, GRID).impedance + speaker.source_resistance


def combined(wiring, impedances):
    return sum(impedances) if wiring == "series" else 1 / sum(1 / z for z in impedances)


def by_hand(loudspeakers, wiring, source):
    """Load of the channel, and the current into each loudspeaker per volt, by Ohm and Kirchhoff."""
    other = {"parallel": "series", "series": "parallel"}[wiring]
    groups = [member if isinstance(member, tuple) else (member,) for member in loudspeakers]
    inside = [[own(speaker) for speaker in group] for group in groups]
    of_groups = [combined(other, z) for z in inside]
    load = combined(wiring, of_groups)
    total = 1 / (load + source)
    currents = []
    for z_group, z_inside in zip(of_groups, inside, strict=True):
        through = total if wiring == "series" else total * load / z_group
        currents += [through if other == "series" else through * z_group / z for z in z_inside]
    return load, currents


@pytest.mark.parametrize("name", MIXED)
def test_the_load_of_a_mixed_channel_is_the_sum_of_its_impedances(name):
    loudspeakers, wiring = MIXED[name]
    channel = Channel(loudspeakers=loudspeakers, wiring=wiring, source_resistance=0.3)
    together = solve(System(channels=(channel,)), GRID, voltage=1.0)
    load, currents = by_hand(loudspeakers, wiring, 0.3)
    assert abs(together.channel_impedances[0] / load - 1).max() < 1e-12
    for response, current in zip(together.responses, currents, strict=True):
        assert abs(response.current / current - 1).max() < 1e-12, response.loudspeaker.name
    # all that the source gives is somewhere
    given = abs(1 / (load + 0.3)) ** 2 * load.real
    wires = sum(abs(i) ** 2 * s.source_resistance for i, s in zip(currents, channel.each, strict=True))
    assert sum(together.powers) + wires == pytest.approx(given, rel=1e-10)


@pytest.mark.parametrize("name", MIXED)
def test_the_middle_of_the_band_follows_the_same_wiring(name):
    """Heavy cones, no inductance, a capacitor of 10 mF: at 1 MHz every impedance is a resistance to 1e-5 ohm."""
    loudspeakers, wiring = MIXED[name]

    def plain(speaker):
        network = in_series(Capacitor(capacitance=0.01)) if speaker == C else speaker.network
        driver = dataclasses.replace(speaker.driver, Le=0.0, Mms=5.0)
        return dataclasses.replace(speaker, driver=driver, network=network)

    channel = Channel(loudspeakers=loudspeakers, wiring=wiring, source_resistance=0.3)
    channel = channel.with_each([plain(speaker) for speaker in channel.each])
    together = solve(System(channels=(channel,)), 1e6, voltage=1.0)
    for index, response in enumerate(together.responses):
        coil = response.driver_voltage / response.loudspeaker.driver.Re
        assert coil_current(channel, index) == pytest.approx(abs(coil[0]), rel=1e-6)


def test_two_pairs_of_one_kind_are_the_load_of_one_and_play_as_one_each_half():
    """Four alike, two by two: the load of one, a quarter of the power each, so twice the pressure of one."""
    for wiring in ("parallel", "series"):
        four = solve(System(channels=(Channel(loudspeakers=((A, A), (A, A)), wiring=wiring),)), GRID)
        one = solve(A, GRID)
        assert four.channel_impedances[0] == pytest.approx(one.impedance, rel=1e-12)
        assert four.pressure == pytest.approx(2 * one.pressure, rel=1e-12)
        assert four.responses[3].reference_level == pytest.approx(one.reference_level - 20 * np.log10(2), abs=1e-9)


def test_what_walks_a_channel_walks_its_groups():
    channel = Channel(loudspeakers=((A, B), C), name="front")
    system = System(channels=(channel, D))
    assert channel.each == (A, B, C)
    assert system.loudspeakers == (A, B, C, D)
    assert system.names == ("a", "b", "c", "d")
    assert system.channel_names == ("front", "d")
    turned = dataclasses.replace(B, polarity="reversed")
    assert channel.with_each((A, turned, C)).loudspeakers == ((A, turned), C)
    padded = with_network(system, "b", in_series(Resistor(resistance=2.0)))
    assert padded.channels[0].loudspeakers[0][1].network == in_series(Resistor(resistance=2.0))
    with pytest.raises(ValueError, match="'b' shares its channel"):
        with_gain(system, "b", -3.0)
    other = solve(system, GRID).responses[1].with_parts(WOOFER, InfiniteBaffle())
    again = solve(system.with_each((A, dataclasses.replace(B, box=InfiniteBaffle()), C, D)), GRID).responses[1]
    assert other.pressure == pytest.approx(again.pressure, rel=1e-12)


def test_a_family_inside_a_group():
    family = dataclasses.replace(A, box=SealedBox(volume=[0.01, 0.02, 0.03]))
    heard = solve(System(channels=(Channel(loudspeakers=((family, B), D)),)), GRID)
    assert heard.level.shape == (3, len(GRID))
    lone = solve(System(channels=(Channel(loudspeakers=((family.member(1), B), D)),)), GRID)
    assert heard.level[1] == pytest.approx(lone.level, abs=1e-9)


def test_names_that_tell_apart():
    twice = System(channels=(Channel(loudspeakers=(A, A)), dataclasses.replace(B, name="")))
    assert twice.names == ("a (1)", "a (2)", "loudspeaker 3")
    assert twice.channel_names == ("channel 1", "channel 2")


def test_a_channel_in_sentences():
    said = in_sentences(Channel(loudspeakers=((A, B), D), source_resistance=0.3))
    assert said.startswith(
        "The amplifier drives the channel, through its 0.3 ohm.\n"
        "The channel has paths in parallel: the first group, and the third loudspeaker.\n"
        "The first group is one path: first the first loudspeaker, then the second loudspeaker.\n"
        "The first loudspeaker is one path: the coil.\n"
    )


def test_what_is_refused_by_name():
    with pytest.raises(ValueError, match=r"^Channel\.loudspeakers\[1\] is an empty group"):
        Channel(loudspeakers=(A, ()))
    with pytest.raises(TypeError, match=r"^Channel\.loudspeakers\[0\]\[1\] must be Loudspeaker, got tuple"):
        Channel(loudspeakers=((A, (B, C)),))
    with pytest.raises(TypeError, match=r"^Channel\.loudspeakers\[1\] must be Loudspeaker, got Channel"):
        Channel(loudspeakers=(A, Channel(loudspeakers=(B,))))
    with pytest.raises(ValueError, match=r"^Channel\.loudspeakers is empty"):
        Channel(loudspeakers=())
    filtered = dataclasses.replace(A, filters=(HighPass(frequency=50.0),))
    with pytest.raises(ValueError, match="cannot have filters of their own"):
        Channel(loudspeakers=((filtered, B),))
    with pytest.raises(ValueError, match=r"^Channel\.with_each\.loudspeakers must be 2, got 1"):
        Channel(loudspeakers=((A, B),)).with_each((A,))
    with pytest.raises(ValueError, match=r"^System\.with_each\.loudspeakers must be 2, got 1"):
        System(channels=(A, B)).with_each((A,))
