"""Loudspeakers that cancel at the ear: who, where, how much, and what reversing one does, solved again."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Cabin, Driver, Gain, HighPass, InfiniteBaffle, Loudspeaker, LowPass, SealedBox, System, solve
from lumpedbox.response.grid import frequencies

GRID = frequencies(20, 2000, 12)
WOOFER = Driver.from_thiele_small(fs=58, Qes=0.6, Qms=4.5, Vas=0.015, Sd=0.0137, Re=3.4)
ONE = Loudspeaker(driver=WOOFER, box=SealedBox(volume=0.015), name="bass")
OTHER = dataclasses.replace(ONE, name="panel")


def turned(speaker):
    return dataclasses.replace(speaker, polarity="reversed" if speaker.polarity == "as marked" else "as marked")


def check(system, found):
    """What is said, against the system solved again with that one reversed."""
    place = system.names.index(found.who)
    speakers = list(system.loudspeakers)
    speakers[place] = turned(speakers[place])
    plain, again = (solve(s, GRID) for s in (system, system.with_each(speakers)))
    there = (found.low <= GRID) & (found.high >= GRID)
    change = again.level - plain.level
    assert found.gain == pytest.approx(change[there].mean(), abs=1e-9)
    assert found.lost == pytest.approx(plain.cancellation[there].max(), abs=1.5)  # who plays another band is left out
    if there.all():
        assert np.isnan(found.worst)
    else:
        assert found.worst == pytest.approx(change[~there].min(), abs=1e-9)


def test_a_softer_one_reversed_at_one_place():
    """1 and -0.7: 20 log10(1.7/0.3) = 15.07 dB are lost everywhere, and reversing it gains just that."""
    against = dataclasses.replace(OTHER, polarity="reversed", filters=(Gain(level=20 * np.log10(0.7)),))
    system = System(channels=(ONE, against))
    response = solve(system, GRID)
    (found,) = response.opposing
    assert (found.low, found.high) == (GRID[0], GRID[-1])
    assert [found.lost, found.gain] == pytest.approx([20 * np.log10(1.7 / 0.3)] * 2, abs=1e-9)
    assert response.warnings == (
        "From 20 to 2000 Hz bass works against panel: up to 15 dB is lost at the ear. "
        "With bass reversed that band plays +15.1 dB.",
    )
    assert response.warnings[0] in response.remarks


def test_a_path_of_half_a_wave():
    """Equal, one 1 m further: the first dip is centred on c/2l, and 6 dB are lost where the phase is past 120 degrees:
    from 2/3 to 4/3 of it. Reversing gains there, and costs all that the next peak has."""
    near, far = (dataclasses.replace(s, position=(x, 0.0, 0.0)) for s, x in ((ONE, 9.0), (OTHER, 10.0)))
    system = System(
        channels=(near, dataclasses.replace(far, filters=(Gain(level=20 * np.log10(10 / 9)),))), ear=(0, 0, 0)
    )
    response = solve(system, GRID)
    first = response.opposing[0]
    middle = response.air.sound_speed / 2
    step = 2 ** (1 / 12)
    assert middle * 2 / 3 <= first.low <= middle * 2 / 3 * step
    assert middle * 4 / 3 / step <= first.high <= middle * 4 / 3
    assert first.worst < -14
    check(system, first)


def test_a_crossover_of_second_order_with_the_polarity_kept():
    """Butterworth of order 2 at 190 Hz, both ways alike: they are 180 degrees apart and cancel at the crossover. The
    textbook's cure, reversing one, makes 3 dB more than each alone (Linkwitz 1976, from memory)."""
    box = InfiniteBaffle()
    heavy = dataclasses.replace(WOOFER, Mms=2.0, Cms=0.05)  # far below 20 Hz, so that the filters alone decide
    low, high = (
        Loudspeaker(driver=heavy, box=box, filters=(kind(frequency=190.0, order=2),), name=name)
        for kind, name in ((LowPass, "bass"), (HighPass, "panel"))
    )
    system = System(channels=(low, high))
    (found,) = solve(system, GRID).opposing
    assert found.low < 190 < found.high
    assert {found.who, *found.others} == {"bass", "panel"}
    check(system, found)
    assert solve(System(channels=(low, turned(high))), GRID).opposing == ()


def test_three_and_the_one_that_is_wrong():
    wrong = dataclasses.replace(OTHER, polarity="reversed", filters=(Gain(level=2.0),), name="wrong")
    system = System(channels=(ONE, wrong, OTHER))
    found = solve(system, GRID).opposing
    assert [one.who for one in found] == ["wrong"]
    assert found[0].others == ("bass", "panel")
    check(system, found[0])


@pytest.mark.parametrize("law", ["volume", "modes"])
def test_above_a_cabins_modal_limit_nothing_is_lost_by_reversing(law):
    """Two doors against each other, heard off the middle: where powers add, a reversal changes nothing."""
    cabin = Cabin(length=4, width=1.7, height=1.5, law=law, reverberation_time=0.1)
    left, right = (dataclasses.replace(s, cabin=cabin, position=(1, y, 0.4)) for s, y in ((ONE, 0.1), (OTHER, 1.6)))
    system = System(channels=(left, turned(right)), ear=(2.0, 0.5, 1.1))
    (found,) = solve(system, GRID).opposing
    check(system, found)
    assert found.at < np.sqrt(2) * cabin.modal_limit


def test_where_nothing_is_said():
    assert solve(System(channels=(ONE,)), GRID).opposing == ()
    assert solve(System(channels=(ONE, OTHER)), GRID).opposing == ()
    faint = dataclasses.replace(OTHER, polarity="reversed", filters=(Gain(level=-11.0),))
    assert solve(System(channels=(ONE, faint)), GRID).opposing == ()
    family = dataclasses.replace(OTHER, polarity="reversed", box=SealedBox(volume=[0.01, 0.02]))
    assert solve(System(channels=(ONE, family)), GRID).opposing == ()
    # above fx powers add, and no phase counts
    against = [dataclasses.replace(s, cabin=Cabin(length=2.5, width=1.4, height=1.15)) for s in (ONE, turned(OTHER))]
    response = solve(System(channels=against), GRID)
    (found,) = response.opposing
    assert found.high <= response.modal_limit
    assert found.lost == pytest.approx(60.0)
    assert "60 dB or more is lost" in response.warnings[0]
