"""Where losses are counted, and which way every opening moves air."""

import numpy as np
import pytest

from lumpedbox import Air, Channel, Driver, Loudspeaker, Port, SealedBox, System, VentedBox, frequencies, solve
from lumpedbox.circuit.solver import computed

AIR = Air()
DRIVER = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4, Le=0.5e-3)
GRID = frequencies(10, 500, per_octave=12)


def lossy_sealed(volume, Ql, Qa, filling):
    """Pressure at 1 m for 2.83 V, by the closed form of a sealed box with leak and absorption.

    Source: R. H. Small, "Closed-box loudspeaker systems", JAES 20(10) (1972), and his vented-box paper for how losses
    are given (from memory): leak Ql / (wc Cab), absorption 1 / (wc Cab Qa) in series with the air, wc without losses.
    """
    s = 2j * np.pi * GRID
    compliance = filling * volume / AIR.stiffness
    wc = 2 * np.pi * DRIVER.fs * np.sqrt(1 + DRIVER.Vas / (filling * volume))
    inside = 1 / (wc * compliance * Qa) + 1 / (s * compliance)
    load = 1 / (1 / inside + wc * compliance / Ql)
    coil = DRIVER.Re + s * DRIVER.Le
    moving = s * DRIVER.Mms + DRIVER.Rms + 1 / (s * DRIVER.Cms) + DRIVER.Bl**2 / coil + DRIVER.Sd**2 * load
    net = DRIVER.Sd * DRIVER.Bl * 2.83 / coil / moving * load / inside
    return s * AIR.density * net / (2 * np.pi)


@pytest.mark.parametrize("filling", [1.0, 1.2, 1.4])
def test_losses_are_given_at_the_filled_resonance_without_losses(filling):
    box = SealedBox(volume=0.03, Ql=6, Qa=12, filling=filling)
    pressure = solve(Loudspeaker(driver=DRIVER, box=box), GRID).pressure
    assert pressure == pytest.approx(lossy_sealed(0.03, 6, 12, filling), rel=1e-9)


def test_a_leak_of_its_own_stays_the_same_leak():
    Ql, volume = 6.0, 0.03
    compliance = volume / AIR.stiffness
    leak = Ql / (2 * np.pi * DRIVER.fs * np.sqrt(1 + DRIVER.Vas / volume) * compliance)
    given = solve(Loudspeaker(driver=DRIVER, box=SealedBox(volume=volume, Ql=Ql)), GRID)
    fixed = solve(Loudspeaker(driver=DRIVER, box=SealedBox(volume=volume, leak_resistance=leak)), GRID)
    assert fixed.pressure == pytest.approx(given.pressure, rel=1e-12)


@pytest.mark.parametrize(
    "box",
    [
        SealedBox(volume=0.03),
        SealedBox(volume=0.03, Ql=5),
        VentedBox(volume=0.05, fb=30),
        VentedBox(volume=0.05, port=Port(diameter=0.07, length=0.1), Ql=7, Qa=30, Qp=40),
    ],
)
def test_outward_flows_make_the_pressure(box):
    response = solve(Loudspeaker(driver=DRIVER, box=box), GRID)
    net = sum(aperture.flow for aperture in response.apertures)
    pressure = 2j * np.pi * GRID * AIR.density * net / (2 * np.pi)
    assert pressure == pytest.approx(response.pressure, rel=1e-9)


def test_below_its_tuning_a_port_moves_air_against_the_cone():
    response = solve(Loudspeaker(driver=DRIVER, box=VentedBox(volume=0.05, fb=40)), [5.0, 400.0])
    cone, port = response.apertures
    assert (cone.name, port.name) == ("cone", "port")
    assert port.flow[0] / cone.flow[0] == pytest.approx(-1, abs=0.02)
    assert abs(port.flow[1] / cone.flow[1]) < 0.02
    assert response.port_flow == pytest.approx(-port.flow)


def test_areas_of_the_openings():
    unknown = solve(Loudspeaker(driver=DRIVER, box=VentedBox(volume=0.05, fb=40, Ql=7)), [40.0])
    assert [(a.name, a.area) for a in unknown.apertures] == [("cone", 0.033), ("port", None), ("leak", None)]
    known = solve(Loudspeaker(driver=DRIVER, box=VentedBox(volume=0.05, fb=40, port_area=0.004)), [40.0])
    assert known.apertures[1].area == 0.004


def test_a_place_is_the_loudspeakers_own():
    """A port on the same channel, but of another box, is none of this loudspeaker's."""
    sealed = Loudspeaker(driver=DRIVER, box=SealedBox(volume=0.03, Ql=5))
    vented = Loudspeaker(driver=DRIVER, box=VentedBox(volume=0.05, fb=30))
    channel = Channel(loudspeakers=(vented, sealed), wiring="series")
    first, second = solve(System(channels=(channel,)), GRID).responses
    assert [first.circuit.has(place) for place in ("cone", "port", "leak")] == [True, True, False]
    assert [second.circuit.has(place) for place in ("cone", "port", "leak")] == [True, False, True]
    with pytest.raises(LookupError, match="this circuit has no port"):
        second.circuit.flow("port")
    cone = computed(second.circuit, 2j * np.pi * GRID, second.circuit.flow("cone"))
    assert np.array_equal(cone, second.cone_velocity)
    assert not np.array_equal(cone, first.cone_velocity)
