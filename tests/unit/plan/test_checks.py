"""What a reading means, against numbers worked out by hand."""

import math

import pytest

from lumpedbox.plan.checks import (
    Reading,
    cabin_tones,
    clipping,
    cone_moves,
    depth_left,
    drain,
    draught,
    drop,
    litres,
    litres_lost,
    meter_error,
    over_a_fuse,
    pair,
    polarity,
    read,
    read_several,
    shared,
    supply,
    swapped,
    tones,
)
from lumpedbox.tables import demo_drivers

OHMS = Reading(unit="ohm", high=100.0, minus="There are volts on it.", beyond="Is it on k?", overload="")
VOLTS = Reading(unit="V", high=60.0)
LENGTH = Reading(unit="mm", size=1e-3, low=5e-3, high=0.6)


@pytest.mark.parametrize("text", ["OL", "ol", "O.L", "0L", "0.L", "o l", "1.", "1 _", "open", "∞", "overload"])
def test_ol_is_an_answer_in_ohms(text):
    assert read(OHMS, text) == math.inf


@pytest.mark.parametrize(
    ("rule", "text", "value"),
    [
        (OHMS, "3.4", 3.4),
        (OHMS, "3,4", 3.4),
        (OHMS, "3.4 Ω", 3.4),
        (OHMS, "3400 mohm", 3.4),
        (OHMS, "0", 0.0),
        (VOLTS, "9100 mV", 9.1),
        (LENGTH, "58", 0.058),
        (LENGTH, "5.8 cm", 0.058),
        (LENGTH, "2 1/4 in", 0.05715),
    ],
)
def test_readings_as_people_write_them(rule, text, value):
    assert read(rule, text) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("rule", "text", "said"),
    [
        (VOLTS, "OL", "next higher range"),
        (OHMS, "-0.4", "-0.4 is negative. There are volts on it."),
        (OHMS, "3.4 V", "'V' cannot be converted to ohm. Is the meter on the range"),
        (OHMS, "3.4 k", "Is the meter on the range"),
        (OHMS, "3.4 kohm", "not between 0 and 100 ohm. Is it on k?"),
        (OHMS, "three", "is not a number"),
        (OHMS, "1,500", "leave out a comma for thousands"),
        (OHMS, "3 to 4", "is a range"),
        (LENGTH, "0.058", "not between 5 and 600 mm. Is it in another unit than mm?"),
        (LENGTH, "", "is not a number"),
    ],
)
def test_what_cannot_be_true_is_told_by_name(rule, text, said):
    with pytest.raises(ValueError, match=r"(?s).+") as told:
        read(rule, text)
    assert said in str(told.value)


def test_several_readings_in_one_field():
    assert read_several(LENGTH, "84, 86; 82,5 mm") == pytest.approx([0.084, 0.086, 0.0825])
    assert read_several(VOLTS, "2 2,8 4") == pytest.approx([2, 2.8, 4])
    assert read_several(LENGTH, "3, 3.5 in") == pytest.approx([0.0762, 0.0889])
    assert read_several(LENGTH, "84", "mm") == [0.084]
    with pytest.raises(ValueError, match="at most 40"):
        read_several(VOLTS, " ".join(["1"] * 41))
    with pytest.raises(ValueError, match="negative"):
        read_several(VOLTS, "2, -3")


def ways(found):
    return {(guess.how, guess.rated) for guess in found.guesses}


@pytest.mark.parametrize(
    ("ohm", "fits"),
    [  # by hand, of coils of 0.85 of 2, 3, 4, 6 and 8 ohm; 3 and 6 ohm lie near others at 0.3 ohm of error
        (1.7, {("alone", 2.0), ("parallel", 4.0)}),
        (3.4, {("alone", 4.0), ("series", 2.0), ("parallel", 8.0)}),
        (6.8, {("alone", 8.0), ("series", 4.0)}),
        (20.0, set()),
    ],
)
def test_what_may_be_on_a_pair(ohm, fits):
    found = pair(ohm + 0.2, 0.2)
    assert ways(found) == fits
    assert found.error == pytest.approx(0.3 / ohm)
    assert all(guess.least == pytest.approx(0.8 * guess.load) for guess in found.guesses)


def test_the_error_at_two_in_parallel_is_18_percent():
    assert pair(1.7).error == pytest.approx(0.18, abs=0.005)


@pytest.mark.parametrize(
    ("reading", "without", "shows"),
    [
        (6.8, math.inf, "series"),
        (1.7, 3.4, "parallel"),
        (3.4, 3.4, "hidden"),  # a tweeter behind a capacitor
        (3.4, 3.2, "hidden"),
        (3.4, 1.7, "impossible"),
        (math.inf, 3.4, "impossible"),
        (math.inf, math.inf, "open"),
        (math.inf, None, "open"),
        (3.4, None, "undecided"),
        (0.1, 3.4, "shorted"),
    ],
)
def test_what_unplugging_one_shows(reading, without, shows):
    assert pair(reading, 0.0, without).shows == shows


def test_two_coils_in_parallel_are_told_apart():
    """By hand: 3.4 and 6.8 ohm across each other are 2.267."""
    left, gone = pair(2.2667 + 0.3, 0.3, 3.4 + 0.3).coils
    assert (left, gone) == pytest.approx((3.4, 6.8), rel=1e-3)


def test_the_printed_rating_narrows_it_and_the_leads_cannot_read_more():
    assert ways(pair(3.4, rated=4.0)) == {("alone", 4.0)}
    assert pair(3.4, rated=8.0, without_one=6.8).guesses[0].how == "parallel"
    with pytest.raises(ValueError, match="leads alone read more"):
        pair(0.2, 1.0)


def test_a_cell_moves_woofers_by_a_millimetre_or_two_and_a_tweeter_by_nothing():
    """By hand from the demonstration's parts: Bl Cms 1.5 V / Re; 1.5 V over 3.4 ohm is 0.44 A."""
    drivers = demo_drivers()
    for name in ("165 mm panel", "200 mm panel", "165 mm panel of 2 ohm"):
        assert 1.2e-3 < cone_moves(drivers[name])[0] < 1.9e-3
    assert cone_moves(drivers["165 mm panel"])[1] == pytest.approx(0.44, abs=0.005)
    assert cone_moves(drivers["19 mm dash tweeter"])[0] == pytest.approx(0.04e-3, abs=0.005e-3)


def test_polarity_by_eye_and_by_ear():
    assert (polarity("out"), polarity("in")) == ("as marked", "reversed")
    assert (swapped("as it was"), swapped("with one pair swapped")) == ("as marked", "reversed")


def test_who_shares_a_channel():
    several, twice = shared({"front left": ("door", "dash"), "rear left": ("shelf", "dash")})
    assert several == {"front left": ("door", "dash"), "rear left": ("shelf", "dash")}
    assert twice == {"dash": ("front left", "rear left")}


def test_volumes_compared_at_one_tone_cancel_the_meter():
    true = {1 / 3: {50.0: 1.0, 315.0: 1.0}, 3 / 4: {50.0: 1.0, 315.0: 4.0}}
    droops = {volume: {f: v * (0.7 if f == 50 else 1.0) for f, v in volts.items()} for volume, volts in true.items()}
    for readings in (true, droops):
        assert tones(readings).cut == (50.0, pytest.approx(-20 * math.log10(4)))
    assert tones(true).droop == (50.0, 0.0)
    assert tones(droops).droop[1] == pytest.approx(-3.098, abs=1e-3)


def test_one_volume_tells_no_cut_and_315_hz_must_be_there():
    assert tones({0.5: {50.0: 0.5, 315.0: 1.0}}).cut is None
    with pytest.raises(ValueError, match="315 Hz too"):
        tones({0.5: {50.0: 0.5}})
    with pytest.raises(ValueError, match="0 V tells nothing"):
        tones({0.5: {50.0: 0.0, 315.0: 1.0}})


def test_a_range_of_200_volts_is_off_at_five_and_useless_at_one():
    assert meter_error(5.0, 200.0) == pytest.approx(1.7, abs=0.05)
    assert meter_error(1.0, 200.0) > 6.0
    assert meter_error(5.0, 20.0) < 0.3


def test_volts_before_clipping():
    found = clipping([9.1])
    assert (found.volts, found.found) == (9.1, False)
    assert found.watts == pytest.approx(20.7, abs=0.05)
    assert found.high == pytest.approx(0.4, abs=0.05)
    stepped = clipping([3.2, 4.6, 6.4, 9.1, 10.0, 10.2], load=2.0)
    assert (stepped.volts, stepped.watts, stepped.found) == (9.1, pytest.approx(41.4, abs=0.05), True)
    assert not clipping([2.0, 2.8, 4.0, 5.6]).found
    # even volts: 1 to 2 V is 6 dB, 2 to 3 V only 3.5, and nothing clips before 5 V
    assert clipping([1.0, 2.0, 3.0, 4.0, 5.0, 5.4, 5.5]).volts == 5.0
    assert not clipping([1.0, 2.0, 3.1, 4.0, 5.0]).found
    with pytest.raises(ValueError, match="fall as the volume rises"):
        clipping([4.0, 2.0])
    with pytest.raises(ValueError, match="mute"):
        clipping([0.0, 2.0])


@pytest.mark.parametrize(
    ("volts", "found"),
    [
        (12.4, "full"),
        (12.8, "full"),
        (13.8, "charging"),
        (14.8, "charging"),
        (11.5, "low"),
        (25.0, "24 V"),
        (28.0, "24 V"),
        (48.0, "48 V"),
        (18.0, "odd"),
        (5.0, "odd"),
    ],
)
def test_which_system_it_is(volts, found):
    assert supply(volts) == found


def test_what_a_feed_loses_and_how_long_a_battery_lasts():
    assert drop(0.5) == pytest.approx(-20 * math.log10(13.3 / 13.8))
    assert drop(1.0) < 1.0
    assert drain(0.05, 30.0) == pytest.approx(25.0)
    assert drain(1.0, 30.0) == pytest.approx(1.2, abs=0.06)
    assert drain(0.0, 30.0) == math.inf


def test_a_tenth_of_a_millivolt_over_a_fuse_is_13_to_60_milliamperes():
    assert over_a_fuse(0.1e-3) == pytest.approx((0.013, 0.060), rel=0.01)


def test_depth():
    least, left = depth_left([0.060, 0.058, 0.061], driver=0.056)
    assert (least, left) == pytest.approx((0.058, 0.002))
    assert depth_left([0.05])[1] is None
    assert litres_lost(0.010, 0.5, 0.3) == pytest.approx(1.5e-3)  # 10 mm over 500 x 300 mm


def test_litres_of_a_block():
    found = litres((0.5, 0.35, 0.12), board=0.015)
    assert found.outside == pytest.approx(21.0e-3)
    assert found.inside == pytest.approx(13.5e-3, abs=0.05e-3)
    assert litres((0.5, 0.35, 0.12)).error == pytest.approx(0.045, abs=0.001)  # height alone: 5 in 120 is 4.2 %
    with pytest.raises(ValueError, match="nothing is left inside"):
        litres((0.5, 0.35, 0.03), board=0.015)


def test_first_resonances_of_the_minibus():
    """By hand with 344 m/s: 34.4, 95.6 and 107.5 Hz; the library's air has 343.99."""
    assert cabin_tones((5.0, 1.8, 1.6)) == pytest.approx((34.4, 95.6, 107.5), abs=0.05)


def test_small_leaks_hiss_and_large_holes_hardly_move_a_tissue():
    assert draught(300e-4) == pytest.approx(0.17, abs=0.005)
    assert draught(3e-4) == pytest.approx(17, abs=0.5)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: pair("3.4"), r"pair\.reading"),
        (lambda: pair(-1.0), r"pair\.reading must be"),
        (lambda: pair(3.4, rated=0.0), r"pair\.rated must be"),
        (lambda: cone_moves("door"), r"cone_moves\.driver"),
        (lambda: polarity("sideways"), r"polarity\.moved must be"),
        (lambda: shared({"front": 3}), r"shared\.heard"),
        (lambda: tones({0.5: {50.0: 1.0, 315.0: 1.0}}, scale=0.0), r"tones\.scale must be"),
        (lambda: meter_error(0.0), r"meter_error\.volts must be"),
        (lambda: clipping([]), r"clipping\.steps"),
        (lambda: clipping([9.1], load=math.nan), r"clipping\.load"),
        (lambda: supply(-12.0), r"supply\.volts must be"),
        (lambda: drain(0.05, None), r"drain\.usable"),
        (lambda: depth_left([58.0]), r"depth_left\.spots.*did you mean 58 \* mm"),
        (lambda: litres((0.5, 0.35)), r"litres\.sides must be 3 values"),
        (lambda: cabin_tones((0.0,)), r"cabin_tones\.sides"),
        (lambda: draught(0.0), r"draught\.hole must be"),
    ],
)
def test_wrong_arguments_are_named(call, said):
    with pytest.raises((ValueError, TypeError), match=said):
        call()
