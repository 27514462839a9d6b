"""The rules at the edge of a function: what they hand on, what they refuse, and what no longer passes in silence."""

import dataclasses
import inspect

import numpy as np
import pytest

from lumpedbox import (
    Driver,
    PassiveRadiator,
    Port,
    SealedBox,
    Spread,
    System,
    frequencies,
    solve,
    voltage_for_power,
)
from lumpedbox.arguments import FLAG, FREQUENCIES, Axis, Named, Row, Several, Single, takes
from lumpedbox.design.level_matching import band_level, with_gain, with_network
from lumpedbox.design.ratings import slope
from lumpedbox.parts.network import Network
from lumpedbox.quantity import OneOf, Quantity, Text
from lumpedbox.response.hearing import exposure, lowest_heard
from lumpedbox.tables.entries import known_of
from lumpedbox.tables.my_parts import keep
from lumpedbox.tables.quantity_text import number_in

MASS = Quantity(unit="kg", meaning="moving mass", low=0.0, high=1.0, slips=("gram",))


@takes(mass=Single(MASS), word=Text())
def heavy(mass, free=None, *, word="none"):
    """Say how heavy something is."""
    return mass, free, word


def refused(call, *arguments, **named):
    with pytest.raises((TypeError, ValueError)) as found:
        call(*arguments, **named)
    return str(found.value)


def test_a_rule_hands_on_what_it_makes_of_an_argument():
    assert heavy(np.float32(0.5), "any", word="text") == (0.5, "any", "text")
    assert heavy(mass=1) == (1.0, None, "none")


def test_a_refusal_names_function_argument_unit_value_and_slip():
    said = "heavy.mass must be between 0 and 1 kg (moving mass), got 53: did you mean 53 * gram?"
    assert refused(heavy, 53) == said
    assert refused(heavy, mass=53) == said
    assert refused(heavy, 0.1, word=3) == "heavy.word must be text, got int 3"


def test_a_default_is_not_checked_and_may_be_none():
    @takes(mass=Single(MASS))
    def optional(mass=None):
        return mass

    assert optional() is None
    assert optional(None) is None
    assert refused(optional, "1").endswith("got str '1': did you mean 1, without quotes?")


def test_the_language_refuses_what_is_missing_misspelt_or_too_much():
    assert "missing 1 required positional argument: 'mass'" in refused(heavy)
    assert "unexpected keyword argument 'mas'" in refused(heavy, 0.1, mas=1)
    assert "positional argument" in refused(heavy, 0.1, 2, 3)
    assert "multiple values for argument 'mass'" in refused(heavy, 0.1, mass=0.2)


def test_a_rule_for_no_argument_is_refused_where_the_function_is_made():
    assert refused(lambda: takes(mas=MASS)(lambda mass: mass)).endswith("has no argument mas")


def test_name_signature_and_docstring_stay():
    assert (heavy.__name__, heavy.__doc__) == ("heavy", "Say how heavy something is.")
    assert str(inspect.signature(heavy)) == "(mass, free=None, *, word='none')"


def test_a_method_is_named_with_the_class_that_it_is_called_on():
    assert refused(Port(length=0.1, diameter=0.1).tuning, 50) == (
        "Port.tuning.volume must be between 0.0001 and 10 m3 (net internal volume), got 50: did you mean 50 * litre?"
    )
    assert refused(PassiveRadiator.from_resonance, fp="a", Vap=0.1, Sd=0.03).startswith(
        "PassiveRadiator.from_resonance.fp must be a number"
    )


@pytest.mark.parametrize(
    ("rule", "value", "said"),
    [
        (Row((MASS, Text()), "mass and name"), (0.1,), "x.y must be 2 values (mass and name), got (0.1,)"),
        (Row((MASS, Text()), "mass and name"), "ab", "x.y must be 2 values (mass and name), got 'ab'"),
        (Row((MASS, Text()), "mass and name"), (0.1, 2), "x.y[1] must be text, got int 2"),
        (Several(MASS, "masses"), [], "x.y must be one or more values (masses), got []"),
        (Several(MASS, "masses"), [0.1, 5], "x.y[1] must be between 0 and 1 kg (moving mass), got 5"),
        (Several(MASS, "masses", True), [0.2, 0.2], "x.y must be in rising order (masses), got (0.2, 0.2)"),
        (Named(MASS, "a mass"), [0.1], "x.y must be a dict from names to a mass, got [0.1]"),
        (Named(MASS, "a mass"), {"a": 5}, "x.y['a'] must be between 0 and 1 kg (moving mass), got 5"),
        (Named(MASS, "a mass", ("cone",)), {"cine": 1}, "x.y must be one of cone, got 'cine': did you mean 'cone'?"),
        (FREQUENCIES, np.ones((2, 2)), "x.y must be one-dimensional in Hz, got shape (2, 2)"),
        (Axis(MASS, rising=True), [0.2, 0.1], "x.y must be in rising order in kg, got array([0.2, 0.1])"),
        (FLAG, 1, "x.y must be True or False, got 1"),
        (Single(OneOf(("a", "b"))), "c", "x.y must be one of a, b, got 'c'"),
    ],
)
def test_what_the_rules_refuse(rule, value, said):
    assert refused(rule.accept, "x", "y", value).startswith(said)


def test_the_rules_take_what_is_right():
    assert Row((MASS, Text()), "").accept("x", "y", [1, "a"]) == (1.0, "a")
    assert Several(Text(), "").accept("x", "y", "ab") == ("ab",)
    assert Several(MASS, "").accept("x", "y", np.array([0.1, 0.2])) == (0.1, 0.2)
    assert FREQUENCIES.accept("x", "y", 20).tolist() == [20.0]
    assert FLAG.accept("x", "y", np.True_) is True


def test_a_number_beyond_all_floats_is_refused_by_name(driver):
    assert refused(voltage_for_power, driver, 10**400).startswith(
        "voltage_for_power.power must be between 0 and 1e+06 W"
    )
    assert refused(Port, length=[10**5000], diameter=0.1).startswith("Port.length must be between 0 and 3 m")
    assert "too many digits" in refused(Port, length=0.1, diameter=0.1, count=10**5000)
    assert refused(number_in, "1e400 L", "L", 1e-3) == "'1e400 L' is too large a number."
    assert refused(known_of, "box", {"Ql": 10**400}).endswith("...: this is too large a number")


def test_a_long_value_is_cut_short():
    assert len(refused(Driver, **dict.fromkeys(("Re", "Bl", "Mms", "Cms", "Rms", "Sd"), "x" * 10000))) < 300


@pytest.mark.parametrize("count", [2.7, 3.0, True, "3", 0, np.nan])
def test_members_are_counted_in_whole_numbers(driver, count):
    spreading = Driver(Re=3.4, Bl=9.4, Mms=0.053, Cms=0.39e-3, Rms=2.3, Sd=0.033, spread=Spread(Mms=0.1))
    assert refused(spreading.members, count).startswith("Driver.members.count must be ")


def test_a_member_is_found_in_a_family_of_its_shape(driver):
    family = SealedBox(volume=[[0.02, 0.03]])
    assert family.member((0, np.int64(1))).volume == 0.03
    assert refused(family.member, 1).endswith("a family of shape (1, 2) takes one number for each axis, got 1")
    assert refused(family.member, (0, 2)).startswith("SealedBox.member.index[1] must be one of -2 to 1")
    assert refused(driver.member, 0) == "Driver.member.index does not fit: this is not a family, got 0"


def test_a_slope_is_read_within_the_response(sealed):
    response = solve(sealed, frequencies(20, 200))
    assert np.isfinite(slope(response, 20, 200))
    assert refused(slope, response, 10, 50) == "slope.low must lie within the data, 20 to 200 Hz, got 10 Hz"
    assert refused(slope, response, 50, 400) == "slope.high must lie within the data, 20 to 200 Hz, got 400 Hz"
    assert refused(slope, response, 50, 50) == "slope.low must be below slope.high, got 50 Hz and 50 Hz"


def test_a_slope_does_not_depend_on_the_order_of_the_frequencies(sealed):
    rising = frequencies(20, 200)
    assert slope(solve(sealed, rising[::-1]), 25, 50) == slope(solve(sealed, rising), 25, 50)


def test_the_level_of_a_band_is_read_within_the_data():
    frequency = frequencies(20, 200)
    level = np.full(len(frequency), 90.0)
    assert refused(band_level, frequency, level, 150, 400).startswith("band_level.high must lie within the data")
    assert refused(band_level, frequency, level[1:], 40, 80).startswith("band_level.level must have 161 values")
    assert refused(band_level, frequency[::-1], level, 40, 80).startswith(
        "band_level.frequency must be in rising order"
    )


def test_the_exposure_to_no_number_is_none():
    assert refused(exposure, np.nan, crest=12).startswith("exposure.level must be between")
    assert refused(exposure, 94, crest=12, spectrum=[(40, np.nan)]).startswith(
        "exposure.spectrum[0][1] must be between"
    )
    assert refused(exposure, 94, crest=12, spectrum=[]).startswith("exposure.spectrum must be one or more")


def test_noise_comes_in_rising_frequency():
    frequency, level = frequencies(20, 200), np.full(161, 90.0)
    noise = [(200, 60), (20, 90)]
    assert refused(lowest_heard, frequency, level, noise).startswith("lowest_heard.noise must be in rising")
    assert refused(lowest_heard, frequency[::-1], level, noise[::-1]).startswith(
        "lowest_heard.frequency must be in ris"
    )
    assert refused(lowest_heard, frequency, level[1:], noise[::-1]).startswith(
        "lowest_heard.level must have 161 values"
    )


def test_a_name_that_no_loudspeaker_has_changes_nothing_in_silence(sealed):
    system = System(channels=dataclasses.replace(sealed, name="woofer"))
    said = " must be one of woofer, got 'bass'"
    assert refused(with_gain, system, "bass", -3).startswith("with_gain.name" + said)
    assert refused(with_network, system, "bass", Network(branches=())).startswith("with_network.name" + said)


def test_a_misspelt_kind_is_answered_with_the_nearest(tmp_path):
    assert refused(keep, "drver", "mine", {}, tmp_path / "kept.toml").endswith("got 'drver': did you mean 'driver'?")


def test_what_follows_from_arguments_is_refused_with_their_names():
    sheet = {"Qes": 0.45, "Qms": 5, "Vas": 0.06, "Sd": 0.033, "Re": 3.4}
    assert refused(Driver.from_thiele_small, fs=1.5, **sheet).endswith("it follows from fs, Vas and Sd: check those")
    assert refused(Port(length=0.1, diameter=0.1).tuned, 3, 0.05).endswith("it follows from fb and volume: check those")
