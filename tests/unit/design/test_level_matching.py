"""Levels of several loudspeakers against each other, and what matches them."""

import dataclasses
import itertools

import numpy as np
import pytest
from scipy.special import j1

from lumpedbox import (
    Air,
    Capacitor,
    Channel,
    Driver,
    Gain,
    HighPass,
    InfiniteBaffle,
    Loudspeaker,
    LowPass,
    Resistor,
    System,
    frequencies,
    in_series,
    solve,
)
from lumpedbox.design.level_matching import BANDS, band_level, band_levels, matched, thinness, with_gain
from lumpedbox.tables import demo_drivers

CORNER = 2500.0


def flat(name, level, Re=4.0, Bl=0.1):
    """A driver without resonance or coil in the range, whose impedance is its resistance, at a wanted level.

    p = rho Bl Sd V / (2 pi Re Mms): so much mass and so little force that motion gives nothing back (1e-7 at 1 kHz).
    """
    pressure, Mms = 20e-6 * 10 ** (level / 20), 5.0
    Sd = pressure * 2 * np.pi * Re * Mms / (Air().density * Bl * 2.83)
    driver = Driver(Re=Re, Bl=Bl, Mms=Mms, Cms=0.1, Rms=1e-6, Sd=Sd, rated_impedance=Re)
    return Loudspeaker(driver=driver, box=InfiniteBaffle(), name=name)


def flat_pair(difference, Re=4.0):
    """A tweeter that is too loud by so many dB, and a woofer, both flat resistances."""
    return System(channels=(flat("woofer", -40, Bl=0.01), flat("tweeter", -40 + difference, Re)))


@pytest.mark.parametrize("difference", [0.5, 3.0, 8.0, 15.0])
@pytest.mark.parametrize("Re", [2.0, 4.0, 8.0])
def test_the_pad_of_flat_resistances_is_the_closed_form(difference, Re):
    """Rs = Z (1 - k), Rp = Z k / (1 - k), k = 10^(-A/20) (textbook; table of REFERENCES in tests/reference)."""
    match = matched(flat_pair(difference, Re), adjusted="tweeter", against="woofer", crossover=CORNER)
    k = 10 ** (-difference / 20)
    assert match.gain == pytest.approx(-difference, abs=1e-6)
    found = [branch.components[0].resistance for branch in match.pad.branches]
    assert found == pytest.approx([Re * (1 - k), Re * k / (1 - k)], rel=1e-6)
    assert match.error == pytest.approx(0, abs=1e-6)


def test_a_second_run_asks_for_nothing():
    """With real impedances, a series capacitor, and tilt."""
    system = real_pair()
    first = matched(system, adjusted="tweeter", against="woofer", crossover=4000.0, tilt=-1.0)
    assert first.gain < -1
    again = matched(first.system, adjusted="tweeter", against="woofer", crossover=4000.0, tilt=-1.0)
    assert again.gain == pytest.approx(0.0, abs=1e-8)
    assert again.pad is None
    assert first.system.loudspeakers[1].network.branches[1:] == first.pad.branches, "the pad stands next to the driver"


def real_pair(**channel):
    drivers = demo_drivers()
    woofer = Loudspeaker(driver=drivers["165 mm panel of 2 ohm"], box=InfiniteBaffle(), name="woofer")
    tweeter = Loudspeaker(
        driver=dataclasses.replace(drivers["25 mm pillar tweeter"], sensitivity=99.0),
        box=InfiniteBaffle(),
        network=in_series(Capacitor(capacitance=10e-6)),
        name="tweeter",
    )
    if channel:
        return System(channels=(Channel(loudspeakers=(woofer, tweeter), **channel),))
    return System(channels=(woofer, tweeter))


@pytest.mark.parametrize("resistance", [0.0, 0.3])
def test_a_pad_on_a_shared_channel(resistance):
    """The pad changes what the woofer gets, where the source has a resistance; still nothing is left."""
    system = real_pair(source_resistance=resistance)
    first = matched(system, adjusted="tweeter", against="woofer", crossover=4000.0)
    again = matched(first.system, adjusted="tweeter", against="woofer", crossover=4000.0)
    assert again.gain == pytest.approx(0.0, abs=1e-8)


@pytest.mark.parametrize(("Re", "conversion"), [(8.0, -10 * np.log10(2)), (2.0, 10 * np.log10(2))])
def test_another_impedance_changes_the_pad_by_the_conversion(Re, conversion):
    """At 2.83 V a driver wound for twice the impedance plays 3.0103 dB less: 10 lg(Z2/Z1), and Bl^2 goes with Re."""
    base = flat_pair(8.0)

    def rewound(speaker):
        factor = Re / speaker.driver.Re
        driver = dataclasses.replace(speaker.driver, Re=Re, Bl=speaker.driver.Bl * np.sqrt(factor), rated_impedance=Re)
        return dataclasses.replace(speaker, driver=driver)

    other = System(channels=(base.channels[0], rewound(base.channels[1])))
    gains = [matched(s, adjusted="tweeter", against="woofer", crossover=CORNER).gain for s in (base, other)]
    assert gains[1] - gains[0] == pytest.approx(-conversion, abs=1e-6)


def test_a_gain_of_the_channel_instead():
    match = matched(flat_pair(-4.0), adjusted="tweeter", against="woofer", crossover=CORNER, by="gain")
    assert match.pad is None
    assert match.system.wired[1].filters == (Gain(level=match.gain),)
    assert match.gain == pytest.approx(4.0, abs=1e-6)
    assert matched(match.system, adjusted="tweeter", against="woofer", crossover=CORNER).gain == pytest.approx(
        0, abs=1e-9
    )


def test_what_is_too_soft_gets_no_pad():
    match = matched(flat_pair(-4.0), adjusted="tweeter", against="woofer", crossover=CORNER)
    assert match.gain == pytest.approx(4.0, abs=1e-6)
    assert match.pad is None
    assert match.system == flat_pair(-4.0)


def test_a_tilt_counts_from_band_to_band():
    """The bands are two octaves apart: an octave each, half an octave off the crossover."""
    level, tilted = (
        matched(flat_pair(6.0), adjusted="tweeter", against="woofer", crossover=CORNER, tilt=tilt).gain
        for tilt in (0.0, -0.5)
    )
    assert tilted - level == pytest.approx(-1.0, abs=1e-9)


def test_two_in_the_same_band():
    """Rear against front: the same band for both."""
    rear = System(channels=(flat("front", -40), flat("rear", -37)))
    match = matched(rear, adjusted="rear", against="front", band=(200.0, 2000.0))
    assert match.gain == pytest.approx(-3.0, abs=1e-6)


def test_a_band_is_a_mean_square_over_octaves():
    frequency = frequencies(100, 400, per_octave=48)
    level = 20 * np.log10(frequency / 100)  # a square that grows as f^2: its mean is (16 - 1) / (2 ln 4)
    assert band_level(frequency, level, 100, 400) == pytest.approx(10 * np.log10(15 / (2 * np.log(4))), abs=0.05)
    assert band_level(frequency, np.full(len(frequency), 90.0), 150, 300) == pytest.approx(90.0)


def test_thinness_is_the_treble_over_the_body():
    speaker = flat("flat", -40)
    assert thinness(speaker) == pytest.approx(0, abs=1e-3)
    bands = band_levels(speaker)
    assert list(bands) == list(BANDS)
    assert list(bands.values()) == pytest.approx([-40] * 6, abs=0.01)
    thin = thinness(
        System(channels=(speaker, dataclasses.replace(speaker, network=in_series(Capacitor(capacitance=10e-6)))))
    )
    assert thin > 3


def test_above_its_limit_a_driver_plays_its_printed_sensitivity():
    driver = dataclasses.replace(demo_drivers()["165 mm panel"], sensitivity=90.0)
    speaker = Loudspeaker(driver=driver, box=InfiniteBaffle(), network=in_series(Resistor(resistance=2.0)))
    f = np.array([50.0, 20000.0])
    response = solve(speaker, f, voltage=2.83, distance=2.0)
    assert response.treble_level[0] == response.level[0]
    behind = abs(1 - 2.0 / response.impedance[1])  # of the voltage is left for the driver
    assert response.treble_level[1] == pytest.approx(90 + 20 * np.log10(behind / 2.0), abs=1e-9)
    assert abs(response.driver_voltage[1]) == pytest.approx(2.83 * behind, rel=1e-9)
    off = solve(dataclasses.replace(speaker, angle=30.0), f, voltage=2.83, distance=2.0)
    x = 2 * np.pi * f[1] * driver.radius * 0.5 / Air().sound_speed
    assert off.treble_level[1] - response.treble_level[1] == pytest.approx(20 * np.log10(abs(2 * j1(x) / x)), abs=1e-9)


def test_a_printed_sensitivity_at_one_watt_is_turned_into_volts():
    """10 lg(8/4) = 3.0103 dB, and 2.83 V is 0.0048 dB over the square root of eight."""
    sheet = {"fs": 58, "Qes": 0.6, "Qms": 4.5, "Vas": 0.015, "Sd": 0.0137, "Re": 3.4, "rated_impedance": 4.0}
    driver = Driver.from_data_sheet(**sheet, sensitivity_1W=89.4).driver
    assert driver.sensitivity == pytest.approx(89.4 + 3.0103 + 0.0048, abs=1e-3)
    assert Driver.from_data_sheet(**sheet).driver.sensitivity is None


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"adjusted": "treble"}, r"matched\.adjusted must be one of woofer, tweeter, got 'treble'"),
        ({"crossover": None}, "needs either crossover"),
        ({"band": (100.0, 200.0)}, "needs either crossover"),
        ({"crossover": 2.5}, r"matched\.crossover must be .* did you mean 2\.5 \* kHz"),
        ({"by": "pads"}, "did you mean 'pad'"),
        ({"tilt": 40.0}, r"matched\.tilt must be between -6 and 6 dB"),
    ],
)
def test_refusals(change, said):
    asked = {"adjusted": "tweeter", "against": "woofer", "crossover": CORNER}
    with pytest.raises((ValueError, TypeError), match=said):
        matched(flat_pair(3.0), **asked | change)


def test_a_gain_on_a_shared_channel_is_refused():
    with pytest.raises(ValueError, match="shares its channel"):
        matched(real_pair(wiring="parallel"), adjusted="tweeter", against="woofer", crossover=4000.0, by="gain")


def test_bands_join_without_a_gap():
    """From 40 to 8000 Hz every tone is in one band and no more; body and brightness are the outer ones of them."""
    assert BANDS[0][0] == 40
    assert BANDS[-1][1] == 8000
    assert all(left[1] == right[0] for left, right in itertools.pairwise(BANDS))


def tilted(name, per_octave, level=-40.0):
    """A flat driver behind a first-order filter far above its corner or far below it, which tilts it."""
    corner = 50.0 if per_octave < 0 else 100e3
    kind = LowPass if per_octave < 0 else HighPass
    return dataclasses.replace(flat(name, level), filters=(kind(frequency=corner, order=1),))


def test_two_are_compared_half_an_octave_off_the_crossover_over_an_octave():
    """A low-pass of first order from 50 Hz on falls 6 dB an octave: over the octave from f to 2 f its mean square is
    that of 1/x^2, (1 - 1/4)/(2 ln 2) of the one at f (derived); f is the crossover times the root of two."""
    pair = System(channels=(flat("woofer", -40, Bl=0.01), tilted("tweeter", -6)))
    falling = matched(pair, adjusted="tweeter", against="woofer", crossover=CORNER).gain
    at_edge = 20 * np.log10(50 / (CORNER * np.sqrt(2)))
    assert falling == pytest.approx(-(at_edge + 10 * np.log10(0.75 / (2 * np.log(2)))), abs=0.05)


def test_the_error_is_counted_from_the_tilted_line():
    """A flat sum is nowhere farther from a line of 1 dB an octave than half of its 4 dB over four octaves."""
    for tilt, error in ((0.0, 0.0), (-1.0, 2.0), (0.5, 1.0)):
        match = matched(flat_pair(-30.0), adjusted="tweeter", against="woofer", crossover=CORNER, tilt=tilt)
        assert match.gain == pytest.approx(30 + 2 * tilt, abs=1e-6), "the bands are two octaves apart"
        assert match.error == pytest.approx(error, abs=0.02)


def test_thinness_of_a_falling_level():
    """Behind a low-pass of first order at 50 Hz the square is 1/(1 + x^2), x = f/50; over ln x it integrates to
    ln(x^2/(1 + x^2))/2. Body is 100 to 315 Hz, brightness 800 to 8000. Each of 24 points an octave counts alike, the
    outermost too: half a point too much, (1 - 2^(-1/12))/2 of a square that falls 6 dB an octave, 0.12 dB a band."""

    def mean(low, high):
        inner = [np.log(x**2 / (1 + x**2)) / 2 for x in (low / 50, high / 50)]
        return 10 * np.log10((inner[1] - inner[0]) / np.log(high / low))

    assert thinness(tilted("falling", -6)) == pytest.approx(mean(800, 8000) - mean(100, 315), abs=0.24)


def test_a_name_where_nothing_has_one():
    nameless = System(channels=tuple(dataclasses.replace(one, name="") for one in flat_pair(3.0).loudspeakers))
    with pytest.raises(ValueError, match=r"with_gain\.name must be a name, but there is none to choose from"):
        with_gain(nameless, "bass", 3.0)
