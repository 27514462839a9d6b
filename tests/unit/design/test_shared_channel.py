"""What a woofer and a tweeter get of a channel, against Kirchhoff's laws by hand (tests/two_on_a_channel.py)."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Amplifier, Capacitor, Channel, HeadUnit, InfiniteBaffle, Loudspeaker, System, in_series
from lumpedbox.design.level_matching import lacking
from lumpedbox.design.shared_channel import RESISTORS, full_voltage, resistors_across, sharing, with_ahead
from lumpedbox.parts.network import Resistor, across, l_pad
from lumpedbox.tables import demo_drivers
from lumpedbox.units import uF
from tests import two_on_a_channel as by_hand

WOOFER, TWEETER = (demo_drivers()[name] for name in ("165 mm panel", "25 mm pillar tweeter"))
AMPLIFIER = Amplifier(power=75, rated_impedance=4, minimum_load=2)
NAMES = {"woofer": "woofer", "other": "tweeter"}


def channel(wiring="series", capacitor=6.8 * uF, ahead=None, amplifier=AMPLIFIER):
    network = in_series(Capacitor(capacitance=capacitor))
    speakers = (
        Loudspeaker(driver=WOOFER, box=InfiniteBaffle(), name="woofer"),
        Loudspeaker(driver=TWEETER, box=InfiniteBaffle(), network=network, name="tweeter"),
    )
    made = Channel(loudspeakers=speakers, wiring=wiring, amplifier=amplifier)
    return made if ahead is None else with_ahead(made, ("tweeter",), ahead)


def circuit(**changed):
    return {"woofer": WOOFER, "other": TWEETER, "wiring": "series", "capacitor": 6.8 * uF} | changed


PAD = l_pad(attenuation=6, impedance=4)
PAIR = tuple(float(branch.components[0].resistance) for branch in PAD.branches)
STATES = {
    "series": (channel(), circuit()),
    "parallel": (channel("parallel"), circuit(wiring="parallel")),
    "resistor": (channel(ahead=across(Resistor(resistance=4.7))), circuit(resistor=4.7)),
    "resistor in parallel": (
        channel("parallel", ahead=across(Resistor(resistance=10))),
        circuit(wiring="parallel", resistor=10),
    ),
    "pad": (channel(ahead=PAD), circuit(pad=PAIR)),
    "larger capacitor": (channel(capacitor=22 * uF), circuit(capacitor=22 * uF)),
}


def test_in_series_its_capacitor_takes_the_woofer_s_bass_and_in_parallel_nothing():
    """By the divider: 23 to 36 dB at 40 to 80 Hz, with 6.8 uF before a tweeter beside a 165 mm woofer."""
    frequency = np.array([40.0, 50.0, 63.0, 80.0])
    taken = by_hand.lost(frequency, **circuit())
    assert taken.min() == pytest.approx(24, abs=1.0)
    assert taken.max() == pytest.approx(36, abs=1.0)
    assert sharing(channel(), **NAMES).bass == pytest.approx(-taken[1], abs=1e-6)
    assert sharing(channel("parallel"), **NAMES).bass == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("state", STATES)
def test_each_figure_by_hand(state):
    made, drawn = STATES[state]
    got = sharing(made, **NAMES)
    assert got.bass == pytest.approx(-by_hand.lost(50.0, **drawn), abs=1e-6)
    both = by_hand.TwoOnAChannel(frequency=[50.0], **drawn)
    alone = by_hand.level(WOOFER, np.array([50.0]), 1.0)
    assert got.together == pytest.approx(20 * np.log10(abs(sum(both.pressures) / alone))[0], abs=1e-6)
    body = by_hand.lost(np.geomspace(40, 315, 500), **drawn)
    assert got.lost == pytest.approx(body.max(), abs=0.1)
    assert got.off == pytest.approx(by_hand.off(**drawn), abs=1e-6)
    assert got.voice == pytest.approx(-by_hand.lost(200.0, **drawn), abs=1e-6)
    assert got.least == pytest.approx(by_hand.least(**drawn), rel=2e-3)
    assert got.fits == (got.least >= 1.6)  # 0.8 of 2 ohm (IEC 60268-5, from memory)
    assert got.fault == max(got.lost, abs(got.off))
    most = by_hand.watts(np.sqrt(300), **drawn)
    assert {name.removeprefix("resistor "): watts for name, watts in got.watts.items()} == pytest.approx(most, rel=2e-3)


def test_the_comparison_is_that_of_the_pages_on_tweeters():
    for made, _ in STATES.values():
        got, system = sharing(made, **NAMES), System(channels=(made,))
        lack = lacking(system, adjusted="tweeter", against="woofer", crossover=3000.0)
        assert got.off == pytest.approx(-lack, abs=1e-9)


def test_a_resistor_across_the_whole_channel_takes_all_of_its_sine():
    """V^2 / R, whatever else is there."""
    ohms, got = resistors_across(channel("parallel"), woofer="woofer", others=("tweeter",))
    assert got.watts["resistor across"] == pytest.approx(300 / ohms, rel=1e-12)


@pytest.mark.parametrize("capacitor", [2.2 * uF, 6.8 * uF, 33 * uF])
def test_the_larger_the_resistor_the_more_bass_it_costs_and_the_more_treble_it_leaves(capacitor):
    ohms, got = resistors_across(channel(capacitor=capacitor), woofer="woofer", others=("tweeter",))
    assert ohms.tolist() == RESISTORS.tolist()
    assert ohms[[0, -1]].tolist() == [1.0, 47.0]
    assert np.all(np.diff(got.bass) < 0)
    assert np.all(np.diff(got.off) > 0)
    one = sharing(channel(capacitor=capacitor, ahead=across(Resistor(resistance=ohms[8]))), **NAMES)
    assert got.members[8] == one


def test_two_pairs_are_half_the_load_and_twice_the_pressure():
    pair = channel()
    woofer, tweeter = pair.loudspeakers
    more = tuple(dataclasses.replace(one, name=f"second {one.name}") for one in pair.loudspeakers)
    wired = dataclasses.replace(pair, loudspeakers=((woofer, tweeter), more), wiring="parallel")
    one, two = sharing(pair, **NAMES), sharing(wired, **NAMES)
    assert two.least == pytest.approx(one.least / 2)
    assert two.together == pytest.approx(one.together + 20 * np.log10(2))
    assert (two.bass, two.lost, two.off) == pytest.approx((one.bass, one.lost, one.off))


def test_what_the_amplifier_cannot_drive_comes_last():
    unit = HeadUnit(voltage=9.1, minimum_load=4.5)
    unfit, fit, series = (
        sharing(one, **NAMES) for one in (channel("parallel", amplifier=unit), channel("parallel"), channel())
    )
    assert not unfit.fits  # 3.19 ohm against 0.8 of 4.5
    assert sharing(channel("parallel", amplifier=HeadUnit(voltage=9.1)), **NAMES).fits  # against 0.8 of 4
    assert unfit.fault < series.fault
    assert sorted((unfit, series, fit), key=lambda one: one.rank) == [fit, series, unfit]


def test_a_resistor_without_its_watts_is_refused():
    with pytest.raises(ValueError, match=r"channel\.amplifier is missing: a resistor without its watts .* may burn"):
        sharing(channel(amplifier=None), **NAMES)
    assert full_voltage(channel(amplifier=HeadUnit(voltage=9.1))) == 9.1


@pytest.mark.parametrize("argument", ["woofer", "other"])
def test_a_loudspeaker_that_is_not_there_is_named(argument):
    with pytest.raises(ValueError, match=rf"sharing\.{argument} must be one of woofer, tweeter, got 'door'"):
        sharing(channel(), **(NAMES | {argument: "door"}))
