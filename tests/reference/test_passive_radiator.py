"""Passive radiators against Small's function and the vented twin.

Source: R. H. Small, "Passive-radiator loudspeaker systems", JAES 22(8) (1974) 592-601, 22(9) 683-689 (from memory; the
function was derived anew for the reference page).
"""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Driver,
    InfiniteBaffle,
    Loudspeaker,
    PassiveRadiator,
    PassiveRadiatorBox,
    SealedBox,
    VentedBox,
    frequencies,
    maximum_level,
    solve,
)
from lumpedbox.design.alignments import named_alignment, radiator_box, vented_alignment
from lumpedbox.design.causes import causes
from lumpedbox.units import cm2, litre

SOURCE = "Small 1974, derived"
FS = FB = 30.0
GRID = frequencies(8, 400, 24)


def driver_of(Qts, air):
    return Driver.from_thiele_small(fs=FS, Qes=Qts * 100 / (100 - Qts), Qms=100, Vas=0.02, Sd=0.02, Re=6, air=air)


def box_of(alpha, delta, air, h=1.0, **more):
    volume = 0.02 / alpha
    fp = h * FS / np.sqrt(1 + delta)
    radiator = PassiveRadiator.from_resonance(fp=fp, Vap=delta * volume, Sd=0.03, air=air, **more)
    return PassiveRadiatorBox(volume=volume, radiator=radiator)


def small_1974(f, QT, alpha, delta, h):
    """G = s^2 Ts^2 (s^2 Tp^2 + 1) / {s^4 Tp^2 Ts^2 + s^3 Tp^2 Ts/QT + s^2 [(a+1) Tp^2 + (d+1) Ts^2] + s (d+1) Ts/QT +
    a + d + 1}"""
    s, Ts = 2j * np.pi * f, 1 / (2 * np.pi * FS)
    Tp = np.sqrt(1 + delta) / (2 * np.pi * h * FS)
    D = (
        s**4 * Tp**2 * Ts**2
        + s**3 * Tp**2 * Ts / QT
        + s**2 * ((alpha + 1) * Tp**2 + (delta + 1) * Ts**2)
        + s * (delta + 1) * Ts / QT
        + alpha
        + delta
        + 1
    )
    return s**2 * Ts**2 * (s**2 * Tp**2 + 1) / D


@pytest.mark.parametrize("delta", [1.0, 5.0, 30.0])
@pytest.mark.parametrize(("QT", "alpha", "h"), [(0.3826834, 2**0.5, 1.0), (0.3, 3.0, 1.2), (0.5, 0.6, 0.78)])
def test_the_function(QT, alpha, h, delta, reference_air, agreement):
    speaker = Loudspeaker(driver=driver_of(QT, reference_air), box=box_of(alpha, delta, reference_air, h))
    response = solve(speaker, GRID, air=reference_air)
    ours = 10 ** ((response.level - response.reference_level) / 20)
    exact = abs(small_1974(GRID, QT, alpha, delta, h))
    agreement("passive radiators", SOURCE, np.max(abs(ours - exact)), 1e-9)


# Largest distance from the vented twin of B4, fs = fb = 30 Hz, above 20 Hz: derived, reference page.
@pytest.mark.parametrize(("delta", "most"), [(10, 1.70), (30, 0.538), (100, 0.159)])
def test_against_the_vented_twin(delta, most, reference_air):
    driver = driver_of(0.38268343, reference_air)
    above = frequencies(20, 400, 200)
    twin = solve(Loudspeaker(driver=driver, box=VentedBox(volume=0.02 / 2**0.5, fb=FB)), above, air=reference_air)
    speaker = Loudspeaker(driver=driver, box=box_of(2**0.5, delta, reference_air))
    assert np.max(abs(solve(speaker, above, air=reference_air).level - twin.level)) == pytest.approx(most, abs=0.006)


@pytest.mark.parametrize("delta", [1.0, 5.0, 30.0, 100.0])
def test_f3_of_b4_is_its_tuning_at_every_compliance_and_the_notch_is_at_fp(delta, reference_air):
    speaker = Loudspeaker(driver=driver_of(0.38268343, reference_air), box=box_of(2**0.5, delta, reference_air))
    assert solve(speaker, GRID, air=reference_air).f3 == pytest.approx(30.0, rel=1e-7)
    fp = FB / np.sqrt(1 + delta)
    assert speaker.box.radiator.fp == pytest.approx(fp)
    at_fp, beside = solve(speaker, [fp, 1.02 * fp], air=reference_air).level
    assert beside - at_fp > 200, "an exact zero without losses"


def test_travel_of_the_radiator_by_its_flow(reference_air):
    """All openings together are what the air in the box takes up; at its tuning the radiator moves nearly all air."""
    box = box_of(1.2, 8.0, reference_air, Qmp=20.0, xmax=5e-3)
    speaker = Loudspeaker(driver=driver_of(0.4, reference_air), box=box)
    response = solve(speaker, GRID, air=reference_air)
    cone, radiator = response.apertures
    assert radiator.name == "passive radiator"
    w = 2 * np.pi * GRID
    assert response.radiator_excursion == pytest.approx(np.sqrt(2) * abs(radiator.flow) / (w * 0.03), rel=1e-12)
    at_tuning = int(np.argmin(abs(GRID - FB)))
    assert abs(radiator.flow[at_tuning]) > 5 * abs(cone.flow[at_tuning])
    together = abs(cone.flow + radiator.flow) * w * reference_air.density / (2 * np.pi)
    assert abs(response.pressure) == pytest.approx(together, rel=1e-9)
    found = maximum_level(dataclasses.replace(speaker), GRID, air=reference_air)
    assert list(found.voltages) == ["travel of the radiator"]
    assert found.voltage * solve(speaker, GRID, 1.0, air=reference_air).radiator_excursion == pytest.approx(5e-3)


def test_power_is_turned_into_heat_to_the_last(reference_air):
    box = dataclasses.replace(box_of(1.2, 8.0, reference_air, Qmp=20.0), Ql=7.0, Qa=40.0)
    response = solve(Loudspeaker(driver=driver_of(0.4, reference_air), box=box), GRID, air=reference_air)
    assert "loss of the radiator" in response.dissipation
    assert sum(response.dissipation.values()) == pytest.approx(response.input_power, rel=1e-9)


def test_of_a_difference_the_radiator_is_of_the_box(reference_air):
    driver = driver_of(0.4, reference_air)
    boxes = SealedBox(volume=0.015), box_of(1.2, 8.0, reference_air)
    speakers = [Loudspeaker(driver=driver, box=box) for box in boxes]
    found = causes(*speakers, GRID)
    assert found.parts["box"] == pytest.approx(found.difference, abs=1e-9)


def test_what_has_none(reference_air):
    response = solve(Loudspeaker(driver=driver_of(0.4, reference_air), box=InfiniteBaffle()), GRID)
    with pytest.raises(ValueError, match="use a PassiveRadiatorBox"):
        _ = response.radiator_excursion


@pytest.mark.parametrize("delta", [1.0, 4.0, 20.0])
def test_the_box_of_an_alignment_keeps_f3_at_the_tuning(delta, reference_air):
    """With the values of B4; Small's function with them is what is solved."""
    driver, shape = driver_of(0.38268343, reference_air), named_alignment("B4")
    box = radiator_box(driver, shape, delta=delta, Sd=0.03, air=reference_air)
    response = solve(Loudspeaker(driver=driver, box=box), GRID, air=reference_air)
    assert response.f3 == pytest.approx(30.0, rel=1e-7)
    exact = abs(small_1974(GRID, 0.38268343, 2**0.5, delta, 1.0))
    assert 10 ** ((response.level - response.reference_level) / 20) == pytest.approx(exact, rel=1e-6)


def test_added_mass_tunes_the_box(reference_air):
    """At the tuning the cone of a lossless box stands still: the radiator takes all of the air."""
    radiator = PassiveRadiator(Mms=0.05, Cms=1e-3, Sd=0.03)
    tuned = radiator.tuned(30.0, 0.04, reference_air)
    assert tuned.Mms > radiator.Mms
    assert (tuned.Cms, tuned.Sd) == (radiator.Cms, radiator.Sd)
    box = PassiveRadiatorBox(volume=0.04, radiator=tuned)
    response = solve(Loudspeaker(driver=driver_of(0.4, reference_air), box=box), [20, 30, 45], air=reference_air)
    assert response.excursion[1] < 1e-9 * response.excursion[0]
    with pytest.raises(ValueError, match="Mass can be added, not taken away"):
        radiator.tuned(80.0, 0.04, reference_air)


def test_what_a_box_cannot_be_made_of_is_refused_by_name():
    driver = Driver.from_thiele_small(fs=30, Qes=0.45, Qms=3.6, Vas=60 * litre, Sd=330 * cm2, Re=3.4)
    shape = vented_alignment(0.38)
    with pytest.raises(TypeError, match=r"radiator_box\.driver must be Driver"):
        radiator_box(None, shape, delta=1, Sd=0.02)
    with pytest.raises(TypeError, match=r"radiator_box\.alignment must be VentedAlignment"):
        radiator_box(driver, None, delta=1, Sd=0.02)
    with pytest.raises(ValueError, match=r"radiator_box\.Sd must be between .* got 0"):
        radiator_box(driver, shape, delta=1, Sd=0)


def test_leak_and_absorption_stand_at_the_tuning(reference_air):
    """Ql and Qa are of the box at w_b = w_p sqrt(1 + Cap/Cab): leak Ql/(w_b Cab), absorption 1/(w_b Cab Qa) in series
    with the air (Small 1974, from memory). The pressure by its equations, written here."""
    driver, box = driver_of(0.4, reference_air), dataclasses.replace(box_of(1.2, 8.0, reference_air), Ql=6.0, Qa=30.0)
    response = solve(Loudspeaker(driver=driver, box=box), GRID, air=reference_air)
    s, wb = 2j * np.pi * GRID, 2 * np.pi * FB
    Cab = 0.02 / 1.2 / reference_air.stiffness
    mass = (1 + 8.0) / 8.0 / (wb**2 * Cab)  # with its suspension 8 Cab it resonates at f_b / sqrt(9)
    inside = 1 / (wb * Cab * 30.0) + 1 / (s * Cab)
    load = 1 / (1 / inside + wb * Cab / 6.0 + 1 / (s * mass + 1 / (s * 8.0 * Cab)))
    moving = s * driver.Mms + driver.Rms + 1 / (s * driver.Cms) + driver.Bl**2 / driver.Re + driver.Sd**2 * load
    net = driver.Sd * driver.Bl * 2.83 / driver.Re / moving * load / inside
    assert response.pressure == pytest.approx(s * reference_air.density * net / (2 * np.pi), rel=1e-9)
    assert [opening.name for opening in response.apertures] == ["cone", "passive radiator", "leak"]


def test_a_radiator_keeps_at_least_its_own_mass(reference_air):
    """It tunes highest as it is: (2 pi f)^2 Mms = 1/Cms + rho c^2 Sd^2/V, mass on two springs. A hundredth above is out
    of reach; a hundredth below takes 1/0.99^2 of the mass."""
    radiator = PassiveRadiator(Mms=0.05, Cms=1e-3, Sd=0.03)
    highest = np.sqrt((1 / 1e-3 + reference_air.stiffness * 0.03**2 / 0.04) / 0.05) / (2 * np.pi)
    assert radiator.tuned(highest, 0.04, reference_air).Mms == pytest.approx(0.05, rel=1e-12)
    assert radiator.tuned(0.99 * highest, 0.04, reference_air).Mms == pytest.approx(0.05 / 0.99**2, rel=1e-12)
    with pytest.raises(ValueError, match=f"tunes a volume of 40 litres to at most {highest:.4g} Hz"):
        radiator.tuned(1.01 * highest, 0.04, reference_air)


def test_a_difference_of_lossy_boxes_is_that_of_their_levels(reference_air):
    """Leak and absorption of the box, exchanged as resistances, must give what solving the box itself gives."""
    driver, lossless = driver_of(0.4, reference_air), box_of(1.2, 8.0, reference_air)
    lossy = dataclasses.replace(lossless, Ql=4.0, Qa=10.0)
    speakers = [Loudspeaker(driver=driver, box=box) for box in (lossless, lossy)]
    levels = [solve(speaker, GRID, air=reference_air).level for speaker in speakers]
    found = causes(*speakers, GRID, air=reference_air)
    assert found.difference == pytest.approx(levels[1] - levels[0], abs=1e-9)
    assert sum(found.parts.values()) == pytest.approx(levels[1] - levels[0], abs=1e-9)
