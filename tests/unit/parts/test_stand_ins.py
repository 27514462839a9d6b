"""Stand-ins, and what their spread does to a curve."""

import numpy as np
import pytest

from lumpedbox import Air, Driver, InfiniteBaffle, Loudspeaker, SealedBox, Spread, frequencies, solve
from lumpedbox.parts.loudspeaker import as_it_comes
from lumpedbox.parts.spread import USUAL, USUAL_BUILD
from lumpedbox.parts.stand_in import KINDS, SPREAD
from lumpedbox.tables.drivers import sheet_or_stand_in
from lumpedbox.units import litre, mm

GRID = frequencies(20, 500, per_octave=6)


@pytest.fixture
def woofer():
    return Driver.typical(size=165 * mm, kind="woofer")


def in_panel(driver):
    return solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), GRID)


def test_it_is_labelled(woofer):
    assert woofer.name == "165 mm woofer, stand-in"
    assert Driver.typical(size=0.1, kind="full range", name="rear roof").name == "rear roof, stand-in"
    assert any("differ from one to the next" in remark for remark in in_panel(woofer).remarks)


@pytest.mark.parametrize("kind", KINDS)
def test_larger_ones_are_lower_and_heavier(kind):
    known = KINDS[kind]
    small, large = (Driver.typical(size=size, kind=kind) for size in (known.low, known.high))
    assert large.fs < small.fs
    assert large.Mms > small.Mms
    assert large.Vd > small.Vd
    assert 0.001 < small.eta0 < 0.03  # common practice, no source
    assert small.Qts == pytest.approx(large.Qts)
    assert small.Sd == pytest.approx(np.pi / 4 * (known.share * known.low) ** 2)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            {"size": 165},
            r"Driver\.typical\.size must be .* m \(nominal size of a woofer\), got 165: did you mean 165 \* mm",
        ),
        ({"size": 0.8}, r"Driver\.typical\.size must be between 0\.095 and 0\.32 m"),
        ({"size": (0.15,)}, "must be one number, or width and length of an oval in m"),
        ({"size": (6, 9)}, r"got 6: did you mean 6 \* cm"),
        ({"size": (0.05, 0.3)}, "at most 3 times as long as wide"),
        ({"size": (0.04, 0.05)}, r"between 0\.095 and 0\.32 m .*, got 0\.0447214"),
        ({"kind": "wofer"}, "did you mean 'woofer'"),
        ({"kind": "Subwoofer"}, "got 'Subwoofer': did you mean 'bass'"),
        ({"kind": "midrange"}, "did you mean 'full range'"),
        ({"kind": 3}, "must be one of"),
    ],
)
def test_refusals(change, said):
    with pytest.raises((ValueError, TypeError), match=said):
        Driver.typical(**{"size": 0.165, "kind": "woofer"} | change)


def test_an_oval_is_as_the_round_one_of_its_nominal_area():
    """An ellipse has the area pi a b / 4 (geometry); the share of the cone is that of round ones (common practice)."""
    oval, turned = (Driver.typical(size=size, kind="woofer") for size in ((0.15, 0.23), [0.23, 0.15]))
    assert oval == turned
    assert oval.Sd == pytest.approx(np.pi / 4 * 0.15 * 0.23 * KINDS["woofer"].share ** 2)
    assert oval.name == "150 x 230 mm woofer, stand-in"
    assert Driver.typical(size=(0.165, 0.165), kind="woofer").Sd == pytest.approx(
        Driver.typical(size=0.165, kind="woofer").Sd
    )


def test_members_vary_what_a_driver_is_made_of_and_the_rest_follows(woofer):
    """Independent draws: the logarithm of fs spreads as half the root of the sum of squares of those of Mms and Cms."""
    members = woofer.members(4000)
    for name in ("Re", "Bl", "Mms", "Cms", "Rms", "Sd", "Le", "xmax"):
        drawn = np.log(getattr(members, name) / getattr(woofer, name))
        assert np.std(drawn) == pytest.approx(getattr(SPREAD, name), rel=0.05)
        assert np.mean(drawn) == pytest.approx(0, abs=4 * getattr(SPREAD, name) / np.sqrt(4000))
    expected = 0.5 * np.hypot(SPREAD.Mms, SPREAD.Cms)
    assert np.std(np.log(members.fs)) == pytest.approx(expected, rel=0.05)
    heavier = np.corrcoef(np.log(members.Mms), np.log(members.fs))[0, 1]
    assert heavier == pytest.approx(-0.5 * SPREAD.Mms / expected, abs=0.06)
    assert abs(np.corrcoef(np.log(members.Mms), np.log(members.Cms))[0, 1]) < 0.06


def test_the_same_seed_draws_the_same(woofer):
    assert woofer.members(5) == woofer.members(5)
    assert woofer.members(5) != woofer.members(5, seed=2)
    assert woofer.members(5).spread is None


def test_a_driver_without_spread_has_no_members():
    driver = Driver(Re=3.4, Bl=5, Mms=0.014, Cms=5e-4, Rms=1, Sd=0.0137)
    with pytest.raises(ValueError, match=r"Driver\.spread is missing .* members are drawn from a spread"):
        driver.members(3)
    with pytest.raises(ValueError, match=r"Driver\.spread is missing"):
        in_panel(driver).band("level")


def test_the_band_is_what_solving_each_member_gives(woofer):
    response = in_panel(woofer)
    low, high = response.band("level", share=0.5, members=200)
    levels = np.array([in_panel(woofer.members(200).member(i)).level for i in range(200)])
    assert low == pytest.approx(np.percentile(levels, 25, axis=0), abs=1e-9)
    assert high == pytest.approx(np.percentile(levels, 75, axis=0), abs=1e-9)
    assert np.all((low < response.level) & (response.level < high))


def test_the_band_of_a_small_spread_is_that_of_first_order_propagation(woofer):
    """In the pass-band level = 20 lg(Bl Sd / (Mms Re)) + const: the variances of the logarithms add up."""
    import dataclasses

    small = dataclasses.replace(woofer, Le=0.0, spread=Spread(Bl=0.02, Mms=0.03, Re=0.01, Sd=0.01))
    low, high = solve(Loudspeaker(driver=small, box=InfiniteBaffle()), 3000.0).band("level", share=0.6827)
    expected = 20 / np.log(10) * np.sqrt(0.02**2 + 0.03**2 + 0.01**2 + 0.01**2)
    assert (high - low)[0] / 2 == pytest.approx(expected, rel=0.15)  # 200 members: 7 % for a standard deviation


def test_every_curve_has_a_band_and_families_keep_their_shape(woofer):
    family = solve(Loudspeaker(driver=woofer, box=SealedBox(volume=np.array([10, 20, 40]) * litre)), GRID)
    for curve in ("level", "excursion", "group_delay", "impedance", "level_within_travel", "current"):
        low, high = family.band(curve)
        assert low.shape == high.shape == (3, len(GRID))
        assert np.all(low < high)
    assert family.band("f3").shape == (2, 3)
    with pytest.raises(ValueError, match="did you mean 'level'"):
        family.band("levle")


def test_a_driver_without_a_single_number_becomes_a_stand_in_for_what_is_known():
    driver, report = sheet_or_stand_in({"name": "roof", "size": 0.1, "kind": "full range", "rated_impedance": 8.0})
    four = Driver.typical(size=0.1, kind="full range")
    assert driver.name == "roof, stand-in"
    assert (driver.rated_impedance, driver.Re) == pytest.approx((8.0, 2 * four.Re))
    assert (driver.Qes, driver.fs) == pytest.approx((four.Qes, four.fs))
    assert report.given == {"rated_impedance": 8.0}
    assert "stand-in" in report.assumed[0]
    told = sheet_or_stand_in({"size": 0.165, "kind": "woofer", "xmax": 0.008, "xmax_counted": "peak to peak"}).driver
    assert told.xmax == 0.004
    assert told.spread.xmax == 0
    with pytest.raises(ValueError, match="for a stand-in, add its size and kind"):
        sheet_or_stand_in({"name": "roof"})
    with pytest.raises(ValueError, match=r"^size must be between 95 and 320 mm .*, got 900 mm$"):
        sheet_or_stand_in({"size": 0.9, "kind": "woofer"})


@pytest.mark.parametrize(
    ("printed", "at_2V83"),
    [
        ({"sensitivity_2V83": 93.0}, 93.0),
        # a watt into 8 ohm is 2.83 V; into 4 ohm it is 2 V, 3.01 dB less
        ({"sensitivity_1W": 90.0, "rated_impedance": 8.0}, 90.0),
        ({"sensitivity_1W": 90.0, "rated_impedance": 4.0}, 93.01),
    ],
)
def test_a_stand_in_of_a_printed_sensitivity_plays_that_loud(printed, at_2V83):
    """p = rho Bl Sd V / (2 pi Mms Re) in the pass-band (Small 1972, from memory); fs, Qms and coil stay."""
    known = {"size": 0.025, "kind": "tweeter"}
    driver, report = sheet_or_stand_in(known | printed)
    typical = sheet_or_stand_in(known | {k: v for k, v in printed.items() if k == "rated_impedance"}).driver
    pressure = Air().density * driver.Bl * driver.Sd * 2.83 / (2 * np.pi * driver.Mms * driver.Re)
    assert 20 * np.log10(pressure / 20e-6) == pytest.approx(at_2V83, abs=0.02)
    assert driver.sensitivity == pytest.approx(at_2V83, abs=0.02)
    for name in ("fs", "Qms", "Re", "Bl", "Sd", "spread"):
        assert getattr(driver, name) == pytest.approx(getattr(typical, name)) or name == "spread"
    assert driver.spread == typical.spread
    assert report.given == printed
    assert not report.implied.keys() & printed.keys()
    other = ({"sensitivity_1W", "sensitivity_2V83"} - printed.keys()).pop()
    apart = 10 * np.log10(8 / printed.get("rated_impedance", driver.Re))
    assert report.implied[other] == pytest.approx(at_2V83 if other == "sensitivity_2V83" else 93.0 - apart, abs=0.02)


def test_a_sensitivity_alone_is_no_stand_in():
    with pytest.raises(ValueError, match="is not enough to work out a driver"):
        sheet_or_stand_in({"sensitivity_2V83": 93.0})
    with pytest.raises(ValueError, match=r"; or leave fs and Re out for a stand-in of its size and kind$"):
        sheet_or_stand_in({"size": 0.025, "kind": "tweeter", "fs": 1200.0, "Re": 3.3, "sensitivity_2V83": 93.0})
    with pytest.raises(ValueError, match="sensitivity_2V83 must be between 50 and 130 dB"):
        sheet_or_stand_in({"size": 0.025, "kind": "tweeter", "sensitivity_2V83": 930.0})


def test_numbers_that_settle_nothing_may_be_left_out_for_a_stand_in():
    with pytest.raises(ValueError, match=r"add .*; or leave fs and Re out for a stand-in of its size and kind$"):
        sheet_or_stand_in({"size": 0.165, "kind": "woofer", "fs": 58.0, "Re": 3.4})
    with pytest.raises(ValueError, match="is not enough to work out a driver") as error:
        sheet_or_stand_in({"kind": "woofer", "fs": 58.0})
    assert "stand-in" not in str(error.value)


def test_a_loudspeaker_as_it_comes_keeps_a_spread_of_its_own():
    told = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4)
    stand_in = Driver.typical(size=0.2, kind="bass")
    for driver, spread in ((told, USUAL), (stand_in, stand_in.spread)):
        found = as_it_comes(Loudspeaker(driver=driver, box=SealedBox(volume=0.03)))
        assert (found.driver.spread, found.box.spread) == (spread, USUAL_BUILD)
    in_a_panel = as_it_comes(Loudspeaker(driver=told, box=InfiniteBaffle()))
    assert in_a_panel.driver.spread == USUAL
