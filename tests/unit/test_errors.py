"""What is known of a refusal can be had as data, and survives a trip to another process."""

import copy
import pickle

import numpy as np
import pytest

import lumpedbox as lb
from lumpedbox.errors import Incomplete, Refused, RefusedType
from lumpedbox.tables.entries import part_of


def caught(kind, action):
    with pytest.raises(kind) as found:
        action()
    return found.value


def test_a_refused_value_says_whose_it_is_what_is_wrong_and_what_was_likely_meant():
    error = caught(ValueError, lambda: lb.Inductor(inductance=1.5))
    assert isinstance(error, Refused)
    assert (error.owner, error.name, error.hint) == ("Inductor", "inductance", ": did you mean 1.5 * mH?")
    assert str(error) == f"Inductor.inductance {error.problem}{error.hint}"
    assert error.sentence == f"{error.problem}{error.hint}"


def test_a_refused_kind_is_a_type_error_with_the_same_data():
    error = caught(TypeError, lambda: lb.in_series("1 mH"))
    assert isinstance(error, RefusedType)
    assert not isinstance(error, ValueError)
    assert error.name in str(error)


def test_an_argument_from_which_another_follows_is_named_in_the_hint():
    tiny = {"fs": 35, "Qes": 0.45, "Qms": 5, "Vas": 10, "Sd": 1e-6, "Re": 3.4}
    error = caught(Refused, lambda: lb.Driver.from_thiele_small(**tiny))
    assert (error.owner, error.name) == ("Driver", "Cms")
    assert "Vas and Sd" in error.hint
    assert "Vas and Sd" not in error.problem


@pytest.mark.parametrize(
    ("kind", "known", "ways"),
    [
        ("box", {}, (("volume",),)),
        ("box", {"volume": 0.05, "port_area": 0.01}, (("tuning",),)),
        ("cabin", {"length": 2.0}, (("width", "height"),)),
    ],
)
def test_what_is_incomplete_becomes_complete_by_each_of_its_ways(kind, known, ways):
    error = caught(Incomplete, lambda: part_of(kind, "", known))
    assert error.ways == ways
    values = {"volume": 0.05, "tuning": 35.0, "width": 1.4, "height": 1.1}
    for way in error.ways:
        assert part_of(kind, "", known | {name: values[name] for name in way})


def test_a_sheet_that_leaves_a_driver_open_is_settled_by_each_of_its_ways():
    whole = {"fs": 35.0, "Qts": 0.4128, "Qes": 0.45, "Qms": 5.0, "Vas": 0.06, "Sd": 0.033, "Re": 3.4}
    whole |= {"diameter": 0.205, "Bl": 9.4, "Mms": 0.0532, "Mmd": 0.0508, "Cms": 3.885e-4, "Rms": 2.34}
    whole |= {"sensitivity_2V83": 93.3, "sensitivity_1W": 90.0}
    known = {name: whole[name] for name in ("fs", "Qms", "Vas", "Sd", "Re")}
    error = caught(Incomplete, lambda: lb.Driver.from_data_sheet(**known))
    assert ("Qes",) in error.ways
    for way in error.ways:
        assert lb.Driver.from_data_sheet(**known, **{name: whole[name] for name in way}).driver.Qts > 0


def test_printed_values_that_go_to_no_driver_are_blamed_together_under_the_function():
    exchanged = {"fs": 35, "Qts": 50, "Qes": 0.45, "Qms": 5, "Vas": 0.06, "Sd": 0.033, "Re": 3.4, "Bl": 500}
    error = caught(Refused, lambda: lb.Driver.from_data_sheet(**exchanged))
    assert (error.owner, error.name) == ("Driver.from_data_sheet", "")
    assert str(error) == f"Driver.from_data_sheet: {error.sentence}"


def test_a_refusal_comes_back_from_another_process_whole():
    refusals = [
        caught(Refused, lambda: lb.Resistor(resistance=-1)),
        caught(RefusedType, lambda: lb.Resistor(resistance=np.array([]))),
        caught(Incomplete, lambda: part_of("box", "", {})),
    ]
    for error in refusals:
        for twin in (pickle.loads(pickle.dumps(error)), copy.copy(error)):
            assert (type(twin), str(twin), vars(twin)) == (type(error), str(error), vars(error))
