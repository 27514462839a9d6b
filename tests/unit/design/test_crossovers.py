"""Designed networks: how they are put together, what they refuse, and what one capacitor does."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Cabin,
    Capacitor,
    Inductor,
    InfiniteBaffle,
    Loudspeaker,
    Network,
    Resistor,
    frequencies,
    l_pad,
    solve,
)
from lumpedbox.design.capacitor import corner_of, in_series_of, one_capacitor, textbook_loss
from lumpedbox.design.e_series import cost_of_rounding
from lumpedbox.design.ladders import fitted, ladder, notch, resonance_conjugate, zobel
from lumpedbox.tables import demo_drivers
from tests.unit.conftest import RESISTOR

TWEETER = Loudspeaker(driver=demo_drivers()["25 mm pillar tweeter"], box=InfiniteBaffle())
THIRD = {"arm": "high-pass", "family": "Butterworth", "order": 3, "frequency": 3500.0}


def test_the_component_next_to_the_source_stands_in_the_line():
    for order in (1, 2, 3, 4):
        placed = [
            b.placed
            for b in ladder(arm="low-pass", family="Butterworth", order=order, frequency=1e3, load=4.0).branches
        ]
        assert placed == ["in series", "across"] * (order // 2) + ["in series"] * (order % 2)


def test_impedance_and_frequency_scale_the_components():
    one, other = (
        ladder(arm="low-pass", family="Bessel", order=2, frequency=f, load=R) for f, R in ((1e3, 4.0), (2e3, 8.0))
    )
    coils, capacitors = zip(*([b.components[0] for b in n.branches] for n in (one, other)), strict=True)
    assert coils[0].inductance == pytest.approx(coils[1].inductance)
    assert capacitors[0].capacitance == pytest.approx(4 * capacitors[1].capacitance)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"arm": "band-pass"}, r"ladder\.arm must be"),
        ({"family": "Chebyshev"}, r"ladder\.family must be"),
        ({"order": 5}, r"ladder\.order must be"),
        ({"order": 3, "family": "Linkwitz-Riley"}, "order must be even for a Linkwitz-Riley"),
        ({"frequency": 2.5}, r"ladder\.frequency must be between 10 and 40000 Hz"),
        ({"load": 0.0}, r"ladder\.load must be between"),
    ],
)
def test_ladder_refuses(change, told):
    with pytest.raises(ValueError, match=told):
        ladder(**{"arm": "low-pass", "family": "Butterworth", "order": 2, "frequency": 1e3, "load": 4.0, **change})


def test_losses_are_taken_off_the_resistor():
    driver = TWEETER.driver
    for make in (
        lambda loss: zobel(driver, loss=loss),
        lambda loss: resonance_conjugate(driver, loss=loss),
        lambda loss: notch(frequency=900.0, Q=2.0, resistance=5.0, loss=loss),
    ):
        with_loss, without = (make(loss).branches[0].components for loss in (0.5, 0.0))
        assert sum(part.resistance for part in with_loss) == pytest.approx(sum(part.resistance for part in without))
        assert with_loss[-1].resistance == pytest.approx(without[-1].resistance - 0.5)
        assert isinstance(without[-1], Resistor)
    with pytest.raises(ValueError, match=r"zobel\.loss must be between 0 and 3\.3 ohm"):
        zobel(driver, loss=4.0)


def test_families_are_refused_by_name():
    several = dataclasses.replace(TWEETER, source_resistance=np.array([0.1, 0.2]))
    with pytest.raises(ValueError, match=r"^fitted\.loudspeaker must be one Loudspeaker, got a family of shape"):
        fitted(several, **THIRD)
    with pytest.raises(ValueError, match=r"^zobel\.driver must be one Driver"):
        zobel(dataclasses.replace(RESISTOR, Le=np.array([1e-3, 2e-3])))
    with pytest.raises(ValueError, match=r"^one_capacitor\.loudspeaker must be one Loudspeaker"):
        one_capacitor(several, capacitance=1e-5)


def test_a_fit_is_the_same_every_time():
    assert fitted(TWEETER, **THIRD) == fitted(TWEETER, **THIRD)


def test_a_pad_stays_next_to_the_driver_and_its_level_is_what_is_wanted():
    pad = l_pad(attenuation=6.0, impedance=4.0)
    padded = fitted(dataclasses.replace(TWEETER, network=pad), **THIRD)
    assert padded.network.branches[-2:] == padded.textbook.branches[-2:] == pad.branches
    assert len(padded.network.branches) == 5
    assert padded.error < 1.5  # dB; 6 dB off if the pad were forgotten


def test_a_tweeter_in_a_cabin_is_fitted_to_its_own_pass_band():
    """A cabin's reference band is 100 to 315 Hz, where a tweeter has next to nothing."""
    cabin = Cabin(length=2.3, width=1.35, height=1.15)
    inside, outside = (fitted(s, **THIRD) for s in (dataclasses.replace(TWEETER, cabin=cabin), TWEETER))
    assert inside.error == pytest.approx(outside.error, abs=0.05)


def test_cost_of_rounding():
    """One capacitor into 8 ohm, far below its corner: the level follows the capacitance, 9.1 for 9.4: 0.28 dB."""
    network = ladder(arm="high-pass", family="Butterworth", order=1, frequency=2116.4, load=8.0)  # 9.4 uF
    speaker = Loudspeaker(driver=RESISTOR, box=InfiniteBaffle(), network=network)
    grid = frequencies(20, 40, 6)
    capacitance = network.branches[0].components[0].capacitance
    assert capacitance == pytest.approx(9.4e-6, rel=1e-4)
    assert cost_of_rounding(speaker, grid) == pytest.approx(20 * np.log10(9.4 / 9.1), abs=2e-3)
    assert cost_of_rounding(speaker, grid, series="E12") == pytest.approx(20 * np.log10(10 / 9.4), abs=2e-3)
    assert cost_of_rounding(speaker, grid, series="E12", pairs=True) < 0.1
    with pytest.raises(ValueError, match=r"^cost_of_rounding\.loudspeaker has no network"):
        cost_of_rounding(dataclasses.replace(speaker, network=None), grid)


def test_one_capacitor_before_a_resistance_is_the_textbook():
    """Derived: in the octave below the corner 10 lg(5/2) = 3.98 dB, nothing above the textbook's line; power by Ohm."""
    found = one_capacitor(Loudspeaker(driver=RESISTOR, box=InfiniteBaffle()), capacitance=10e-6, voltage=8.0)
    assert found.corner == pytest.approx(1 / (2 * np.pi * 8 * 10e-6))
    assert found.slope == pytest.approx(10 * np.log10(2.5), abs=2e-3)
    assert abs(found.excess) < 1e-3
    assert found.power_without == pytest.approx(8.0, rel=1e-6)
    assert found.power == pytest.approx(8.0 / (1 + 1 / 64), rel=1e-6)  # three octaves above the corner


def test_one_capacitor_before_a_tweeter():
    """Near its resonance, 1250 Hz, it stands as far above the textbook as the voltage divider says."""
    driver = TWEETER.driver
    found = one_capacitor(TWEETER, capacitance=10e-6, voltage=8.0)
    assert 0.8 * driver.fs < found.excess_at < 1.1 * driver.fs
    s = 2j * np.pi * found.excess_at
    moving = driver.Bl**2 / (s * driver.Mms + driver.Rms + 1 / (s * driver.Cms))
    Z, capacitor = driver.Re + s * driver.Le + moving, 1 / (s * 10e-6)
    R = driver.nominal_resistance
    assert found.excess == pytest.approx(20 * np.log10(abs(Z / (Z + capacitor)) / abs(R / (R + capacitor))), abs=1e-9)
    assert found.excess > 6
    assert found.travel < found.travel_without
    assert "dB louder than it says" in str(found)


def test_a_fit_names_the_components_that_do_nothing():
    """A 165 mm cone falls by itself above 2000 Hz: leaving them out changes the level by under a quarter of a dB."""
    speaker = Loudspeaker(driver=demo_drivers()["165 mm panel"], box=InfiniteBaffle())
    found = fitted(speaker, arm="low-pass", family="Linkwitz-Riley", order=4, frequency=2000.0)
    assert found.idle == ("second capacitor across",)
    grid, branches = frequencies(500, 8000, 12), found.network.branches
    whole, left = (
        solve(dataclasses.replace(speaker, network=Network(branches=kept)), grid).level
        for kept in (branches, branches[:-1])
    )
    assert np.max(np.abs(whole - left)) < 0.25


def test_a_ladder_may_stand_before_what_flattens():
    network = ladder(arm="low-pass", family="Butterworth", order=2, frequency=2500.0, load=4.0) + zobel(TWEETER.driver)
    kinds = [type(part) for branch in network.branches for part in branch.components]
    assert kinds == [Inductor, Capacitor, Capacitor, Resistor]
    speaker = dataclasses.replace(TWEETER, network=network)
    assert "resistor across" in solve(speaker, frequencies(1e3, 2e3)).dissipation


def test_capacitors_in_series_and_their_corner():
    """Textbook: the reactances add; at the corner the reactance is the resistance."""
    own, series, frequency = 4.7e-6, np.array([2e-6, 10e-6]), 1000.0
    total = in_series_of(own, series)
    assert 1 / (2 * np.pi * frequency * total) == pytest.approx(
        1 / (2 * np.pi * frequency * own) + 1 / (2 * np.pi * frequency * series), rel=1e-12
    )
    corner = corner_of(6.0, total)
    assert abs(1 / (2j * np.pi * corner * total)) == pytest.approx([6.0, 6.0], rel=1e-12)
    assert textbook_loss(corner, corner) == pytest.approx(10 * np.log10(2), rel=1e-12)
    with pytest.raises(ValueError, match=r"^in_series_of\.other must be .* got 10: did you mean 10 \* uF\?"):
        in_series_of(own, 10)


def test_the_textbook_by_its_divider():
    """The voltage divider of R and C (textbook): |j w R C / (1 + j w R C)|."""
    frequency, corner = np.array([375.0, 1500.0, 3000.0, 24000.0]), 3000.0
    divided = 1 / (1 + corner / (1j * frequency))
    assert textbook_loss(corner, frequency) == pytest.approx(-20 * np.log10(abs(divided)), abs=1e-12)
