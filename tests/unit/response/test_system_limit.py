"""f3, f6, f10 and the reference level of several loudspeakers heard together."""

import dataclasses

import numpy as np
import pytest
from scipy.optimize import brentq

from lumpedbox import (
    Cabin,
    Capacitor,
    Channel,
    Delay,
    Driver,
    Gain,
    HighPass,
    InfiniteBaffle,
    Loudspeaker,
    LowPass,
    SealedBox,
    System,
    VentedBox,
    frequencies,
    in_series,
    solve,
)
from tests.unit.conftest import TWEETER

GRID = frequencies(10, 1000, per_octave=24)
WOOFER = Driver.from_thiele_small(fs=38, Qes=0.45, Qms=4.5, Vas=0.04, Sd=0.0214, Re=3.4, Le=0.3e-3)
BOXES = {
    "sealed": SealedBox(volume=0.02, Ql=7),
    "vented": VentedBox(volume=0.04, fb=35.0, Ql=7),
    "baffle": InfiniteBaffle(),
}
CABIN = Cabin(length=2.5, width=1.4, height=1.15)
# its resonances crowd together above 315 Hz only
LIVELY = Cabin(length=2.5, width=1.4, height=1.15, reverberation_time=0.3)
LOW = Loudspeaker(driver=WOOFER, box=BOXES["sealed"], name="bass")
HIGH = Loudspeaker(driver=TWEETER, box=InfiniteBaffle(), network=in_series(Capacitor(capacitance=1e-5)), name="tweeter")
CHANGED = {
    "plain": {},
    "in a cabin": {"cabin": LIVELY},
    "filters": {"filters": (HighPass(frequency=30.0, order=2), Gain(level=-4.0), Delay(time=2e-3))},
    "steep filters": {"filters": (LowPass(frequency=80.0, order=4),)},
    "reversed behind a wire": {"polarity": "reversed", "source_resistance": 0.5},
}
NUMBERS = ("f3", "f6", "f10", "reference_level")


@pytest.mark.parametrize("box", BOXES)
@pytest.mark.parametrize("name", CHANGED)
def test_a_system_of_one_and_of_two_alike(name, box):
    """One has the numbers of the loudspeaker; two alike the same f3, and 20 log 2 more."""
    speaker = dataclasses.replace(LOW, box=BOXES[box], **CHANGED[name])
    alone = solve(speaker, GRID)
    one, two = (solve(System(channels=(speaker,) * count), GRID) for count in (1, 2))
    for number in NUMBERS:
        found = getattr(alone, number)
        assert getattr(one, number) == pytest.approx(found, rel=1e-9, nan_ok=True), number
        more = 20 * np.log10(2) if number == "reference_level" else 0.0
        assert getattr(two, number) == pytest.approx(found + more, rel=1e-9, nan_ok=True), number


def test_a_tweeter_alone_and_two_of_them():
    """What plays far above 100 to 315 Hz has its limit up there, alone or in twos."""
    grid = frequencies(100, 20_000)
    found = solve(HIGH, grid).f3
    assert found > 1000
    for count in (1, 2):
        assert solve(System(channels=(HIGH,) * count), grid).f3 == pytest.approx(found, rel=1e-9)


def test_a_tweeter_does_not_lift_the_level_that_the_bass_is_counted_from():
    """A tweeter on the same channel plays next to nothing at 100 to 315 Hz: f3 stays that of the woofer."""
    alone = solve(LOW, GRID)
    both = solve(System(channels=(Channel(loudspeakers=(LOW, HIGH)),)), GRID)
    heard = both.level - alone.level
    assert abs(heard[(GRID > 100) & (GRID < 315)]).max() < 0.2
    assert both.reference_level == pytest.approx(alone.reference_level, abs=0.2)
    assert both.f3 == pytest.approx(alone.f3, rel=0.01)


def test_two_ways_with_filters_by_hand():
    """A bass below 80 Hz and panels above. In half space the reference is the mean square, by scipy's quadrature, of
    the two closed-form levels behind their filters; in a cabin that of the sum itself."""
    from scipy.integrate import quad

    from lumpedbox.circuit.transfer import transfer

    bass = dataclasses.replace(LOW, filters=(LowPass(frequency=80.0, order=2),))
    above = (HighPass(frequency=80.0, order=2), Gain(level=-3))
    panels = Loudspeaker(driver=WOOFER, box=BOXES["baffle"], filters=above)
    system = System(channels=(bass, panels))
    plain = [solve(dataclasses.replace(s, filters=()), GRID).reference_level for s in (bass, panels)]

    def square(x):
        f = np.array([np.exp(x)])
        parts = zip(plain, (bass, panels), strict=True)
        return abs(sum(20e-6 * 10 ** (level / 20) * transfer(s.filters, f) for level, s in parts))[0] ** 2

    mean = quad(square, np.log(100), np.log(315))[0] / np.log(3.15)
    assert solve(system, GRID).reference_level == pytest.approx(10 * np.log10(mean / 4e-10), abs=1e-4)
    inside = system.with_each([dataclasses.replace(s, cabin=CABIN) for s in (bass, panels)])
    heard = quad(lambda x: 10 ** (solve(inside, np.exp(x)).level[0] / 10), np.log(100), np.log(315), epsrel=1e-7)[0]
    assert solve(inside, GRID).reference_level == pytest.approx(10 * np.log10(heard / np.log(3.15)), abs=1e-4)


@pytest.mark.parametrize("cabin", [None, CABIN])
def test_f3_of_a_family_of_systems_is_where_the_sum_is_half_its_power(cabin):
    """Each member solved again there, and found again by scipy's brentq."""
    boxes = SealedBox(volume=[[0.012], [0.02]], Ql=7), VentedBox(volume=0.04, fb=[32.0, 36.0, 40.0], Ql=7)
    pair = [Loudspeaker(driver=WOOFER, box=b, cabin=cabin, position=(x, 0.0, 0.0)) for x, b in enumerate(boxes)]
    system = System(channels=pair, ear=(3.0, 1.0, 0.0))
    response = solve(system, GRID)
    assert response.shape == response.f3.shape == (2, 3)
    for index in np.ndindex(2, 3):
        member, target = system.member(index), response.reference_level[index] - 10 * np.log10(2)
        found = brentq(lambda f, m=member, t=target: solve(m, f).level[0] - t, 5, 99, rtol=1e-12)
        assert response.f3[index] == pytest.approx(found, rel=1e-7)
        assert solve(member, GRID).f3 == pytest.approx(found, rel=1e-7)


def test_a_family_of_cone_areas_among_resonances():
    """Only the size of the opening differs, at one place and one distance; each member alone is the oracle."""
    cabin = Cabin(length=5.0, width=1.8, height=1.6, law="modes", ear=(2.0, 1.2, 1.15))
    family = dataclasses.replace(WOOFER, Sd=np.array([0.01, 0.02, 0.04]))
    response = solve(dataclasses.replace(LOW, driver=family, cabin=cabin, position=(4.0, 1.0, 0.4)), GRID)
    for index in range(3):
        alone = solve(response.loudspeaker.member(index), GRID)
        assert response.level[index] == pytest.approx(alone.level, abs=1e-9)
        assert response.group_delay[index] == pytest.approx(alone.group_delay, abs=1e-9)


def test_where_two_cancel_everywhere_there_is_no_limit():
    against = dataclasses.replace(LOW, polarity="reversed")
    response = solve(System(channels=(LOW, against)), GRID)
    assert np.isnan(response.f3)
    assert response.cutoff_in_words() == (
        "From 10 to 1000 Hz the level never comes within 3.01 dB of the reference level."
    )
    assert solve(System(channels=(LOW, LOW)), GRID).cutoff_in_words().startswith("The level is 3.01 dB down at ")
