"""The circuit told in sentences and written as a netlist: what is said, and what is refused."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Capacitor, Driver, Inductor, InfiniteBaffle, Loudspeaker, Resistor, VentedBox, across, in_series
from lumpedbox.circuit.sentences import in_sentences
from lumpedbox.circuit.spice import netlist


@pytest.fixture
def rich(driver):
    network = in_series(Inductor(inductance=1e-3, resistance=0.3)) + across(
        Capacitor(capacitance=1e-4), Resistor(resistance=2.0)
    )
    box = VentedBox(volume=0.05, fb=30, Ql=7, Qa=20, Qp=30)
    return Loudspeaker(driver=driver, box=box, network=network, source_resistance=0.1, name="invented")


def test_every_element_is_told_with_value_and_unit(rich):
    text = in_sentences(rich)
    for piece in (
        "through its 0.1 ohm",
        "inductor in series (0.001 H)",
        "capacitor across (0.0001 F)",
        "coil resistance (3.4 ohm)",
        "force factor (9.4 N/A)",
        "moving mass (0.053 kg)",
        "suspension (0.00039 m/N)",
        "cone area (0.033 m2)",
        "m3/Pa)",
        "kg/m4)",
        "Pa s/m3)",
    ):
        assert piece in text, piece
    assert all(line.endswith(".") for line in text.splitlines())


def test_what_is_not_there_is_not_told(sealed):
    text = in_sentences(sealed)
    for absent in ("leak", "absorption", "port", "inductance", "network", "eddy"):
        assert absent not in text, absent


def test_sentences_are_about_one_loudspeaker(driver):
    family = Loudspeaker(driver=driver, box=VentedBox(volume=[0.04, 0.05], fb=30))
    with pytest.raises(
        ValueError, match=r"^in_sentences\.loudspeaker must be one Loudspeaker, got a family of shape \(2,\)"
    ):
        in_sentences(family)


def test_a_netlist_is_about_one_loudspeaker(driver):
    family = Loudspeaker(driver=driver, box=VentedBox(volume=[0.04, 0.05], fb=30))
    with pytest.raises(
        ValueError, match=r"^netlist\.loudspeaker must be one Loudspeaker, got a family of shape \(2,\): take a mem"
    ):
        netlist(family, 50)
    assert netlist(family.member(0), 50) == netlist(Loudspeaker(driver=driver, box=VentedBox(volume=0.04, fb=30)), 50)
    with pytest.raises(TypeError, match=r"^netlist\.loudspeaker must be Loudspeaker, got Driver"):
        netlist(driver, 50)


def test_a_netlist_names_the_loudspeaker_and_lists_its_points(rich):
    text = netlist(rich, [20, 30.5])
    assert text.startswith("* invented\n")
    assert "foreach point 20.0 30.5\n" in text
    assert text.endswith(".end\n")


def test_a_netlist_keeps_all_digits(driver):
    exact = Driver(Re=10 / 3, Bl=driver.Bl, Mms=driver.Mms, Cms=driver.Cms, Rms=driver.Rms, Sd=driver.Sd)
    text = netlist(Loudspeaker(driver=exact, box=VentedBox(volume=0.05, fb=30)), 50)
    assert "R_coil_resistance" in text
    assert repr(10 / 3) in text


def test_what_is_absent_is_left_out_of_a_netlist(sealed):
    """A stand-in of tiny resistance would cost accuracy."""
    text = netlist(sealed, 50)
    assert "leak" not in text
    assert "R_absorption" not in text


def test_names_in_a_netlist_are_unique(driver):
    network = across(Resistor(resistance=8)) + across(Resistor(resistance=8)) + in_series(Resistor(resistance=1))
    lines = netlist(Loudspeaker(driver=driver, box=VentedBox(volume=0.05, fb=30), network=network), 50).splitlines()
    names = [line.split()[0] for line in lines if line and line[0] in "RLCVEFGHB"]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("place", ["terminals", "pressure"])
def test_a_netlist_has_the_nets_it_prints(rich, place):
    text = netlist(rich, np.array([50.0]))
    assert f"v({place})" in text
    assert any(place in line.split() for line in text.splitlines() if line and line[0] in "RLCVEF")


def test_an_eddy_current_impedance_is_told_with_its_exponent(driver):
    lossy = Loudspeaker(
        driver=dataclasses.replace(driver, semi_inductance=0.02, semi_exponent=0.6), box=InfiniteBaffle()
    )
    assert "eddy-current impedance (0.02 ohm s^n, n = 0.6)" in in_sentences(lossy)
