"""A wrong argument of any part is refused by a message that begins with the part and the field."""

import dataclasses
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import lumpedbox
from lumpedbox import (
    Air,
    AllPass,
    Amplifier,
    Branch,
    Brief,
    BuildSpread,
    Cabin,
    Capacitor,
    Channel,
    Delay,
    Door,
    Driver,
    Gain,
    HeadUnit,
    HighPass,
    Inductor,
    InfiniteBaffle,
    Inverted,
    LevelTable,
    Loudspeaker,
    LowPass,
    Network,
    PassiveRadiator,
    PassiveRadiatorBox,
    Peak,
    Port,
    Resistor,
    SealedBox,
    Shelf,
    SideBySide,
    Spread,
    System,
    VentedBox,
    frequencies,
    l_pad,
    solve,
)
from lumpedbox.parts.box.door import Crack
from lumpedbox.parts.cabin import NamedPlaces
from lumpedbox.parts.system import Wired
from lumpedbox.quantity import Holds, LevelPoints, OneOf, Part, Position, Quantity, Text, Whole

DRIVER = Driver(Re=3.4, Bl=9.4, Mms=0.053, Cms=0.39e-3, Rms=2.3, Sd=0.033)
LOUDSPEAKER = Loudspeaker(driver=DRIVER, box=SealedBox(volume=0.03))

# A good one of every part; what is wrong takes the place of one field at a time.
GOOD = (
    Air(),
    AllPass(frequency=300),
    Amplifier(power=75, rated_impedance=4, minimum_load=2),
    Branch(components=(Resistor(resistance=1),), placed="in series"),
    Cabin(length=2, width=1.4, height=1.1, law="modes", ear=(1, 0.4, 0.9)),
    Capacitor(capacitance=1e-5),
    Channel(loudspeakers=LOUDSPEAKER),
    Delay(time=1e-3),
    Door(volume=0.03, hole_area=0.02),
    DRIVER,
    Gain(level=3),
    HeadUnit(voltage=9.1),
    HighPass(frequency=80),
    Inductor(inductance=1e-3),
    InfiniteBaffle(),
    Inverted(),
    PassiveRadiator(Mms=0.09, Cms=0.6e-3, Sd=0.033, Rms=0.5, xmax=0.01),
    PassiveRadiatorBox(volume=0.03, radiator=PassiveRadiator(Mms=0.09, Cms=0.6e-3, Sd=0.033)),
    SideBySide(components=(Resistor(resistance=8), Inductor(inductance=1e-3))),
    LevelTable(points=((20, -3), (100, 0))),
    LOUDSPEAKER,
    LowPass(frequency=80),
    Network(branches=()),
    Peak(frequency=300, level=3),
    Port(length=0.1, diameter=0.1),
    Resistor(resistance=1),
    SealedBox(volume=0.03),
    Shelf(frequency=300, level=3),
    Spread(Mms=0.1),
    BuildSpread(volume=0.03),
    Brief(volume=0.03, amplifier=Amplifier(power=40, rated_impedance=4, minimum_load=2)),
    System(channels=LOUDSPEAKER),
    VentedBox(volume=0.05, fb=30),
)
FIELDS = [(part, spec) for part in GOOD for spec in dataclasses.fields(part)]
IDS = [f"{type(part).__name__}.{spec.name}" for part, spec in FIELDS]

NOT_EVEN_A_NUMBER = st.one_of(
    st.text(max_size=4),
    st.binary(max_size=4),
    st.booleans(),
    st.complex_numbers(),
    st.lists(st.text(max_size=2), min_size=1, max_size=3),
    st.lists(st.booleans(), min_size=1, max_size=3),
    st.lists(st.none(), min_size=1, max_size=2),
    st.just([]),
    st.just([1.0, [2.0, 3.0]]),
    st.dictionaries(st.text(max_size=2), st.floats(), max_size=2),
    st.sampled_from([object(), Driver, len, DRIVER, np.array(["1"]), np.array([True]), np.array([1j]), {1.0}]),
)


def out_of_range(rule):
    """Return numbers beyond the bounds of a quantity, alone or last of several good ones."""
    wrong = [st.floats(max_value=rule.low, exclude_max=True, allow_nan=False), st.just(np.nan)]
    if np.isfinite(rule.high):
        wrong.append(st.floats(min_value=rule.high, exclude_min=True, allow_nan=False))
    number = st.one_of(wrong)
    good = float(np.clip(1.0, rule.low, rule.high))
    return st.one_of(number, number.map(lambda x: [good, x]), number.map(lambda x: np.array([[good, x]])))


def wrong_values(rule):
    """Return what a field of this rule must refuse."""
    none = st.nothing() if getattr(rule, "optional", False) or isinstance(rule, Position) else st.none()
    if isinstance(rule, Quantity):
        return st.one_of(NOT_EVEN_A_NUMBER, out_of_range(rule), none)
    if isinstance(rule, Text):
        return st.one_of(none, st.floats(), st.binary(), st.just(["name"]))
    if isinstance(rule, OneOf):
        return st.one_of(none, st.floats(), st.text().filter(lambda word: word not in rule.words))
    if isinstance(rule, Whole):
        whole = st.integers().filter(lambda n: n not in rule.allowed)
        return st.one_of(none, whole, st.floats(), st.booleans(), st.text(max_size=3))
    if isinstance(rule, Position):
        return st.one_of(
            st.floats(), st.text(max_size=4), st.lists(st.floats(-9, 9), max_size=5).filter(lambda x: len(x) != 3)
        )
    if isinstance(rule, NamedPlaces):
        place = wrong_values(Position())
        return st.one_of(none, st.floats(), st.text(max_size=4), place.map(lambda wrong: {"roof": wrong}))
    if isinstance(rule, Crack):
        return st.one_of(
            st.floats(), st.text(max_size=4), st.lists(st.floats(1e-4, 1e-2), max_size=4).filter(lambda x: len(x) != 2)
        )
    if isinstance(rule, LevelPoints):
        return st.one_of(none, st.floats(), st.text(max_size=4), st.just(((20, 0),)), st.just(((20, 0), (10, 0))))
    if isinstance(rule, Wired):
        alone = st.one_of(none, st.sampled_from([part for part in GOOD if part != LOUDSPEAKER]), st.floats(), st.text())
        several = st.one_of(alone.map(lambda x: (x,)), alone.map(lambda x: ((LOUDSPEAKER, x), LOUDSPEAKER)))
        return st.one_of(alone, several, st.just((LOUDSPEAKER, ())))
    assert isinstance(rule, Holds)
    others = [part for part in GOOD if not isinstance(part, rule.types)]
    alone = st.one_of(none, st.sampled_from([*others, *rule.types]), st.floats(), st.text())
    return st.one_of(alone, alone.map(lambda x: (x,))) if rule.several else alone


def test_every_part_is_tried():
    parts = {item for item in vars(lumpedbox).values() if isinstance(item, type) and issubclass(item, Part)}
    assert parts == {type(part) for part in GOOD}


@settings(max_examples=25)
@given(st.data())
@pytest.mark.parametrize(("part", "spec"), FIELDS, ids=IDS)
def test_a_wrong_value_is_refused_by_name(part, spec, data):
    value = data.draw(wrong_values(spec.metadata["rule"]))
    name = re.escape(f"{type(part).__name__}.{spec.name}")
    with pytest.raises((TypeError, ValueError), match=rf"^{name}(\[(?:\d|'roof')\])* (must|is) "):
        dataclasses.replace(part, **{spec.name: value})


@pytest.mark.parametrize(("part", "spec"), FIELDS, ids=IDS)
def test_a_misspelt_name_is_refused_by_the_language(part, spec):
    for misspelt in (spec.name.swapcase(), spec.name[:-1], spec.name + "s"):
        if misspelt and misspelt not in {field.name for field in dataclasses.fields(part)}:
            with pytest.raises(TypeError, match=rf"unexpected keyword argument '{misspelt}'"):
                dataclasses.replace(part, **{misspelt: 1.0})


SHEET = {"fs": 35, "Qes": 0.45, "Qms": 5, "Vas": 0.06, "Sd": 0.033, "Re": 3.4}


@settings(max_examples=25)
@given(NOT_EVEN_A_NUMBER | st.floats(max_value=0, exclude_max=True) | st.just(np.nan) | st.none())
@pytest.mark.parametrize("name", sorted(SHEET))
def test_the_data_sheet_door_refuses_by_name(name, value):
    with pytest.raises((TypeError, ValueError), match=rf"^Driver\.{name} must "):
        Driver.from_thiele_small(**{**SHEET, name: value})


@settings(max_examples=25)
@given(NOT_EVEN_A_NUMBER | st.floats(max_value=0) | st.just(np.nan) | st.none())
@pytest.mark.parametrize("name", ["frequency", "voltage", "distance"])
def test_solve_refuses_by_name(name, value):
    good = {"frequency": [20.0, 50.0], "voltage": 2.83, "distance": 1.0}
    with pytest.raises((TypeError, ValueError), match=rf"^solve\.{name} must be "):
        solve(LOUDSPEAKER, **{**good, name: value})


@settings(max_examples=25)
@given(NOT_EVEN_A_NUMBER | st.floats(max_value=0) | st.just(np.nan) | st.none())
@pytest.mark.parametrize("name", ["low", "high"])
def test_frequencies_refuses_by_name(name, value):
    with pytest.raises((TypeError, ValueError), match=rf"^frequencies\.{name} must be "):
        frequencies(**{"low": 20, "high": 200, name: value})


@settings(max_examples=25)
@given(NOT_EVEN_A_NUMBER | st.floats(max_value=0) | st.just(np.nan) | st.none())
@pytest.mark.parametrize("name", ["attenuation", "impedance"])
def test_a_pad_refuses_by_name(name, value):
    with pytest.raises((TypeError, ValueError), match=rf"^l_pad\.{name} must be "):
        l_pad(**{"attenuation": 6, "impedance": 8, name: value})


@given(st.integers(2, 6), st.integers(2, 6))
def test_families_of_other_lengths_are_refused_and_of_equal_length_taken(first, second):
    def box():
        return SealedBox(volume=np.full(first, 0.03), Ql=np.full(second, 7.0))

    if first == second:
        assert box().shape == (first,)
    else:
        with pytest.raises(ValueError, match=rf"SealedBox\.volume has shape \({first},\) and SealedBox\.Ql has shape"):
            box()
