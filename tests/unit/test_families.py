"""Any quantity may be an array: what is taken, how it is kept, what is refused, and how parts compare and print."""

import copy
import dataclasses
import pickle
from fractions import Fraction

import numpy as np
import pandas as pd
import pint
import pytest

from lumpedbox import Driver, HighPass, Loudspeaker, Port, SealedBox, VentedBox, in_series, solve
from lumpedbox.families import common_shape
from lumpedbox.parts.network import Resistor

WHO = r"SealedBox\.volume must be a number or an array of numbers in m3 \(net internal volume\), got "


@pytest.fixture
def family(driver):
    """Three volumes by two tunings."""
    box = VentedBox(volume=np.array([[0.02], [0.03], [0.05]]), fb=np.array([30.0, 40.0]))
    return Loudspeaker(driver=driver, box=box)


# What is taken


@pytest.mark.parametrize(
    "given",
    [[0.01, 0.02], (0.01, 0.02), np.array([0.01, 0.02]), pd.Series([0.01, 0.02], index=["a", "b"])],
    ids=["list", "tuple", "array", "series"],
)
def test_any_sequence_of_numbers_is_kept_as_a_plain_array_of_floats(given):
    kept = SealedBox(volume=given).volume
    assert type(kept) is np.ndarray
    assert kept.dtype == float
    assert kept.tolist() == [0.01, 0.02]


@pytest.mark.parametrize("one", [1, np.float32(1), np.int8(1), np.array(1.0), Fraction(1), np.float64(1)])
def test_a_single_number_is_kept_as_a_float(one):
    kept = SealedBox(volume=one).volume
    assert type(kept) is float
    assert kept == 1.0


def test_whole_numbers_and_short_floats_become_floats():
    assert SealedBox(volume=np.array([1, 2])).volume.dtype == float
    assert SealedBox(volume=np.array([1, 2], dtype="float32")).volume.dtype == float


def test_a_kept_array_is_a_copy_that_nobody_can_change():
    given = np.array([0.01, 0.02])
    box = SealedBox(volume=given)
    given[0] = 5.0
    assert box.volume[0] == 0.01
    with pytest.raises(ValueError, match="read-only"):
        box.volume[0] = 5.0


def test_the_array_that_was_given_can_still_be_changed():
    given = np.array([0.01, 0.02])
    SealedBox(volume=given)
    given[0] = 0.03
    assert given[0] == 0.03


def test_the_index_of_a_series_plays_no_part():
    first = SealedBox(volume=pd.Series([0.01, 0.02], index=[0, 1]), Ql=pd.Series([7.0, 8.0], index=[1, 0]))
    assert first.Ql.tolist() == [7.0, 8.0]
    assert first.shape == (2,)


# What is refused


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (True, "True or False"),
        (np.True_, "True or False"),
        ([0.01, True], "True or False"),
        (np.array([True, False]), "True or False"),
        (np.array([0.01, True], dtype=object), "True or False"),
        (pd.Series([True, 0.01], dtype=object), "True or False"),
        ("14", "str '14'"),
        (b"14", "bytes b'14'"),
        (["14"], r"list \['14'\]"),
        (None, "NoneType None"),
        ([0.01, None], r"list \[0.01, None\]"),
        (1j, "complex 1j"),
        (np.array([1 + 0j]), "ndarray"),
        ([[0.01], [0.02, 0.03]], "lists of different lengths"),
        ([], "an empty array"),
        (np.empty((0, 3)), "an empty array"),
        ({0.01}, "set"),
        ({"volume": 0.01}, "dict"),
        (SealedBox, "type"),
    ],
)
def test_what_is_no_number_is_refused_by_name(value, words):
    with pytest.raises(TypeError, match=WHO + words):
        SealedBox(volume=value)


@pytest.mark.parametrize("value", [30, [30, 40]])
def test_a_quantity_of_another_library_is_refused_since_it_carries_a_unit(value):
    given = pint.UnitRegistry().Quantity(value, "litre")
    with pytest.raises(TypeError, match=WHO + r".*carries a unit of its own: give its plain number in m3"):
        SealedBox(volume=given)


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf, 0.0, -1.0, 10.000001])
def test_what_is_out_of_range_is_refused(value):
    with pytest.raises(ValueError, match=r"^SealedBox\.volume must be between 0\.0001 and 10 m3"):
        SealedBox(volume=value)


def test_the_member_out_of_range_is_named():
    with pytest.raises(ValueError, match=r"got 14 \(member 1\): did you mean 14 \* litre\?$"):
        SealedBox(volume=[0.01, 14, 15])
    with pytest.raises(ValueError, match=r"got nan \(member \(1, 0\)\)$"):
        SealedBox(volume=[[0.01], [np.nan]])


@pytest.mark.parametrize("end", [1e-4, 10.0])
def test_both_ends_of_a_range_belong_to_it(end):
    assert SealedBox(volume=end).volume == end


# Shapes


def test_the_shape_of_a_part_is_that_of_all_its_arrays_together():
    assert SealedBox(volume=0.03).shape == ()
    assert SealedBox(volume=[0.02, 0.03]).shape == (2,)
    assert SealedBox(volume=[[0.02], [0.03]], Ql=[5, 7, 9]).shape == (2, 3)


def test_shapes_go_through_what_a_part_holds(driver, port):
    box = VentedBox(volume=[[0.02], [0.03]], port=dataclasses.replace(port, length=[0.1, 0.2, 0.3]))
    assert Loudspeaker(driver=driver, box=box).shape == (2, 3)


def test_a_column_against_a_row_gives_every_combination(driver):
    box = SealedBox(volume=np.linspace(0.02, 0.05, 3)[:, np.newaxis])
    wired = Loudspeaker(driver=driver, box=box, source_resistance=np.linspace(0, 1, 4))
    response = solve(wired, [20, 40, 80, 160, 320])
    assert response.shape == (3, 4)
    assert response.level.shape == (3, 4, 5)


def test_clashing_shapes_within_a_part_are_refused_naming_both():
    expected = (
        "SealedBox.volume has shape (2,) and SealedBox.Ql has shape (3,): these families do not combine. "
        "Give both the same length, or give one an axis of its own (x[:, np.newaxis])"
    )
    with pytest.raises(ValueError) as refusal:  # noqa: PT011
        SealedBox(volume=[0.02, 0.03], Ql=[5, 6, 7])
    assert str(refusal.value) == expected


def test_clashing_shapes_are_refused_where_parts_meet(driver):
    drivers = dataclasses.replace(driver, Re=[3.4, 3.5])
    with pytest.raises(ValueError, match=r"^Driver\.Re has shape \(2,\) and SealedBox\.volume has shape \(3,\)"):
        Loudspeaker(driver=drivers, box=SealedBox(volume=[0.02, 0.03, 0.04]))


def test_clashing_shapes_are_refused_where_arguments_of_solve_meet(driver):
    family = Loudspeaker(driver=driver, box=SealedBox(volume=[0.02, 0.03]))
    with pytest.raises(ValueError, match=r"SealedBox\.volume has shape \(2,\) and voltage has shape \(3,\)"):
        solve(family, 50, voltage=[1, 2, 3])


def test_the_first_of_several_arrays_that_clashes_is_named():
    with pytest.raises(ValueError, match=r"^b has shape \(2,\) and d has shape \(3,\)"):
        common_shape([("a", ()), ("b", (2,)), ("c", (1,)), ("d", (3,))])


# Members


def test_a_member_has_plain_numbers(family):
    member = family.member((2, 1))
    assert member.shape == ()
    assert (member.box.volume, member.box.fb) == (0.05, 40.0)
    assert type(member.box.volume) is float
    assert member.driver == family.driver


def test_a_member_of_filters_and_network_too(driver):
    family = Loudspeaker(
        driver=driver,
        box=SealedBox(volume=0.03),
        network=in_series(Resistor(resistance=[0, 1, 2])),
        filters=(HighPass(frequency=[20, 30, 40]),),
        position=(0, [1, 2, 3], 0),
    )
    member = family.member(1)
    assert member.network.branches[0].components[0].resistance == 1
    assert member.filters[0].frequency == 30
    assert member.position == (0, 2, 0)


def test_a_member_beyond_the_last_is_refused(family):
    with pytest.raises(ValueError, match=r"\.member\.index\[0\] must be one of -\d to \d \(position .*, got 3$"):
        family.member((3, 0))


# Comparing, printing, copying


def test_parts_compare_by_type_and_values():
    assert SealedBox(volume=0.03) == SealedBox(volume=0.03, Ql=np.inf)
    assert SealedBox(volume=0.03) != SealedBox(volume=0.031)
    assert SealedBox(volume=[0.03]) != SealedBox(volume=0.03)
    assert SealedBox(volume=[0.03, 0.04]) == SealedBox(volume=np.array([0.03, 0.04]))
    assert SealedBox(volume=[0.03, 0.04]) != SealedBox(volume=[[0.03, 0.04]])
    assert Resistor(resistance=1.0) != HighPass(frequency=1.0)
    assert SealedBox(volume=0.03) != 0.03


def test_equal_parts_hash_alike(family, driver):
    assert hash(SealedBox(volume=[0.03, 0.04])) == hash(SealedBox(volume=(0.03, 0.04)))
    assert len({family, copy.deepcopy(family), family.member((0, 0)), driver}) == 3


def test_a_part_prints_what_differs_from_the_defaults():
    assert repr(SealedBox(volume=0.03)) == "SealedBox(volume=0.03)"
    assert repr(SealedBox(volume=0.03, Ql=7)) == "SealedBox(volume=0.03, Ql=7)"
    assert repr(Port(length=0.1, diameter=0.05, count=2)) == "Port(length=0.1, diameter=0.05, count=2)"


def test_a_printed_part_can_be_read_back():
    part = VentedBox(volume=0.03, port=Port(length=0.125, width=0.2, height=0.03, inner_end="flush"), Ql=7)
    assert eval(repr(part)) == part


def test_short_arrays_print_their_values_and_long_ones_count_and_range():
    assert repr(SealedBox(volume=[0.02, 0.03])) == "SealedBox(volume=[0.02, 0.03])"
    assert repr(SealedBox(volume=np.linspace(1, 7, 7))) == "SealedBox(volume=<7 values from 1 to 7>)"
    long = SealedBox(volume=np.linspace(0.02, 0.05, 10_000).reshape(100, 100))
    assert repr(long) == "SealedBox(volume=<100 x 100 values from 0.02 to 0.05>)"


@pytest.mark.parametrize("duplicate", [copy.copy, copy.deepcopy, lambda part: pickle.loads(pickle.dumps(part))])
def test_a_copy_is_equal_and_solves_alike(family, duplicate):
    again = duplicate(family)
    assert again == family
    assert again is not family
    assert np.array_equal(solve(again, [20, 50]).pressure, solve(family, [20, 50]).pressure)


def test_replace_checks_anew():
    box = SealedBox(volume=0.03)
    assert dataclasses.replace(box, Ql=[5, 7]).shape == (2,)
    with pytest.raises(ValueError, match=r"SealedBox\.Ql must be between 0\.1 and inf"):
        dataclasses.replace(box, Ql=0)


def test_a_part_cannot_be_changed(driver):
    with pytest.raises(dataclasses.FrozenInstanceError):
        driver.Re = 4.0
    with pytest.raises(AttributeError):
        object.__setattr__(driver, "colour", "black")


def test_arguments_have_names_and_no_other():
    with pytest.raises(TypeError, match="positional"):
        SealedBox(0.03)
    with pytest.raises(TypeError, match="unexpected keyword argument 'ql'"):
        SealedBox(volume=0.03, ql=7)
    with pytest.raises(TypeError, match="unexpected keyword argument 'qms'"):
        Driver.from_thiele_small(fs=35, Qes=0.45, qms=5, Vas=0.06, Sd=0.033, Re=3.4)


def test_a_data_sheet_with_clashing_lengths_is_refused_by_name():
    with pytest.raises(ValueError, match=r"^Driver\.fs has shape \(2,\) and Driver\.Vas has shape \(3,\)"):
        Driver.from_thiele_small(fs=[30, 35], Qes=0.4, Qms=5, Vas=[0.04, 0.05, 0.06], Sd=0.033, Re=3.4)
