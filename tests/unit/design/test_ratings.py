"""What components must stand, and the slope of one capacitor."""

import numpy as np
import pytest

from lumpedbox import (
    Capacitor,
    Inductor,
    InfiniteBaffle,
    Loudspeaker,
    Resistor,
    across,
    frequencies,
    in_series,
    solve,
)
from lumpedbox.design.ladders import ladder, resonance_conjugate, zobel
from lumpedbox.design.ratings import MARGIN, PROGRAMME, ratings, slope
from lumpedbox.tables import demo_drivers
from tests.unit.conftest import RESISTOR

GRID = frequencies(100, 20e3, per_octave=12)


def on_resistor(network):
    return Loudspeaker(driver=RESISTOR, box=InfiniteBaffle(), network=network)


def test_ohms_law():
    """20 V over 2 + 8 ohm: 2 A, 8 W in the resistor."""
    (one,) = ratings(on_resistor(in_series(Resistor(resistance=2.0))), GRID, 20.0)
    assert (one.name, one.quantity) == ("resistor in series", "power")
    assert one.most == pytest.approx(8.0, rel=1e-6)
    assert one.rated == pytest.approx(8.0 * PROGRAMME * MARGIN, rel=1e-6)


@pytest.mark.parametrize(("programme", "said"), [(PROGRAMME, True), (0.5, False), (1.0, False)])
def test_a_resistor_for_music_says_what_a_steady_tone_asks_of_it(programme, said):
    """20 V over 2 + 8 ohm: 8 W in a steady tone, of which music has a quarter (common practice, no source)."""
    (one,) = ratings(on_resistor(in_series(Resistor(resistance=2.0))), GRID, 20.0, programme=programme)
    assert ("For a steady tone, as in a test, buy 8 W, or it overheats." in str(one)) is said


def test_a_capacitor_and_a_coil():
    """At 100 Hz, the lowest, 1 uF takes nearly all of the voltage; a coil in the line most current, V / 8 ohm."""
    capacitor, coil = ratings(
        on_resistor(in_series(Capacitor(capacitance=1e-6)) + across(Inductor(inductance=0.3e-3))), GRID, 10.0
    )
    assert capacitor.quantity == "voltage"
    assert capacitor.rated == pytest.approx(capacitor.most * np.sqrt(2) * MARGIN)
    assert coil.quantity == "current"
    w = 2 * np.pi * GRID
    load = 1 / (1 / 8.0 + 1 / (1j * w * 0.3e-3))
    current = 10.0 / (load + 1 / (1j * w * 1e-6))
    assert capacitor.most == pytest.approx(np.max(abs(current / (w * 1e-6))), rel=1e-6)
    assert coil.most == pytest.approx(np.max(abs(current * load / (w * 0.3e-3))), rel=1e-6)


def test_every_component_has_one_and_says_so():
    network = ladder(arm="high-pass", family="Linkwitz-Riley", order=4, frequency=3000.0, load=4.0)
    speaker = Loudspeaker(driver=demo_drivers()["25 mm pillar tweeter"], box=InfiniteBaffle(), network=network)
    found = ratings(speaker, GRID, 14.0)
    assert [one.quantity for one in found] == ["voltage", "current", "voltage", "current"]
    assert "buy" in str(found[0])
    hot = ratings(on_resistor(in_series(Resistor(resistance=8.0))), GRID, 40.0, programme=1.0)[0]
    assert "hot enough to burn" in str(hot)
    assert ratings(on_resistor(None), GRID, 10.0) == ()
    with pytest.raises(ValueError, match=r"ratings\.programme must be between"):
        ratings(on_resistor(None), GRID, 10.0, programme=4.0)


def test_one_capacitor_is_six_decibels_an_octave_into_a_resistance_only():
    """Far below its corner 20 lg 2 = 6.02 dB; a tweeter's resonance makes of it what it likes."""
    plain, behind = (
        solve(on_resistor(network), frequencies(20, 80, 24))
        for network in (None, in_series(Capacitor(capacitance=1e-6)))
    )
    assert slope(behind, 20, 40) - slope(plain, 20, 40) == pytest.approx(20 * np.log10(2), abs=0.01)
    tweeter = demo_drivers()["25 mm pillar tweeter"]
    bare, single = (
        solve(Loudspeaker(driver=tweeter, box=InfiniteBaffle(), network=network), GRID)
        for network in (None, in_series(Capacitor(capacitance=10e-6)))
    )
    textbook = 20 * np.log10(abs(1 / (1 + 1 / (2j * np.pi * GRID * 10e-6 * tweeter.nominal_resistance))))
    above = single.level - bare.level - textbook
    assert np.max(above) > 5, "near the resonance it stands far above the textbook's line"
    assert slope(single, 625, 1250) > 12


def test_the_resistors_that_flatten_are_among_them():
    """They take what the driver would: of 14 V behind nothing, V^2 / R at the frequency where the rest is a short."""
    driver = demo_drivers()["165 mm panel"]
    network = zobel(driver) + resonance_conjugate(driver)
    found = ratings(Loudspeaker(driver=driver, box=InfiniteBaffle(), network=network), frequencies(20, 2e5, 48), 14.0)
    watts = [one.most for one in found if one.quantity == "power"]
    Re = driver.Re
    assert watts == pytest.approx([14.0**2 / Re, 14.0**2 / (Re * (1 + driver.Qes / driver.Qms))], rel=2e-3)


def test_the_resistance_of_a_capacitor_adds_at_a_right_angle():
    """At 100 Hz 200 uF are 7.958 ohm; with 6 ohm of their own sqrt(6^2 + 7.958^2) ohm."""
    (one,) = ratings(on_resistor(in_series(Capacitor(capacitance=200e-6, resistance=6.0))), np.array([100.0]), 10.0)
    X = 1 / (2 * np.pi * 100 * 200e-6)
    current = 10 / np.hypot(6 + 8, X)
    assert one.most == pytest.approx(current * np.hypot(6, X), rel=1e-6)
    assert one.rated == pytest.approx(one.most * np.sqrt(2) * 2, rel=1e-9)


@pytest.mark.parametrize(("volts", "hot"), [(17.5, False), (18.3, True)])
def test_from_five_watts_on_a_resistor_wants_air(volts, hot):
    """8 ohm in the line before 8 ohm take V^2/32; a quarter of it twice over are 5 W at 17.9 V (5 W: common practice,
    no source)."""
    (one,) = ratings(on_resistor(in_series(Resistor(resistance=8.0))), GRID, volts)
    assert one.rated == pytest.approx(volts**2 / 64, rel=1e-6)
    assert ("hot enough to burn" in str(one)) is hot
