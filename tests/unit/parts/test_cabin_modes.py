"""The cabin by its resonances, and a measured one: arguments, families, and what is refused."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Air,
    Cabin,
    Channel,
    InfiniteBaffle,
    Loudspeaker,
    SealedBox,
    System,
    VentedBox,
    poles_and_zeros,
    solve,
)
from lumpedbox.circuit.spice import netlist
from lumpedbox.units import cm2, litre
from tests.unit.conftest import BUS, EAR

VENTED = VentedBox(volume=50 * litre, fb=35, port_area=80 * cm2, Ql=7)
F = np.array([10.0, 30.0, 60.0, 120.0])


@pytest.fixture
def loudspeaker(driver):
    return Loudspeaker(driver=driver, box=VENTED, cabin=BUS, position=(0.3, 0.2, 0.4), port_position=(0.6, 0.2, 0.2))


def test_every_opening_counts_from_its_own_place(loudspeaker):
    """Below the fade, p = sum of outward flow times `Cabin.transfer` from its place; but for its size."""
    response = solve(loudspeaker, F)
    expected = sum(a.flow * BUS.transfer(F, source=a.place, ear=EAR) for a in response.apertures)
    assert response.pressure == pytest.approx(expected, rel=0.01)
    cone, port, leak = response.apertures
    at_the_cone = (cone.flow + port.flow + leak.flow) * BUS.transfer(F, source=cone.place, ear=EAR)
    assert np.all(abs(at_the_cone / response.pressure - 1) > 0.02), "the port's own place matters"


def test_an_opening_is_averaged_over_its_area(driver):
    """Against 9 x 9 x 9 points over the cube whose face is the square of the cone's area (midpoints)."""
    cabin = dataclasses.replace(BUS, ear_box=0)
    speaker = Loudspeaker(driver=driver, box=InfiniteBaffle(), cabin=cabin, position=(0.5, 0.4, 0.4))
    response = solve(speaker, F)
    along = np.sqrt(driver.Sd) * (np.arange(9) - 4) / 9
    points = np.stack(np.meshgrid(*(along + x for x in speaker.position), indexing="ij"), axis=-1)
    mean = np.mean(cabin.transfer(F, source=points, ear=EAR), axis=(0, 1, 2))
    assert response.pressure == pytest.approx(response.cone_velocity * driver.Sd * mean, rel=1e-4)


def test_the_ear_is_averaged_over_its_box():
    along = 0.3 * (np.arange(9) - 4) / 9
    points = np.stack(np.meshgrid(*(along + x for x in EAR), indexing="ij"), axis=-1)
    point, box = (dataclasses.replace(BUS, ear_box=edge) for edge in (0.0, 0.3))
    source = (0.3, 0.2, 0.4)
    mean = np.mean(point.transfer(F, source=source, ear=points), axis=(0, 1, 2))
    assert box.transfer(F, source=source, ear=EAR) == pytest.approx(mean, rel=1e-3)


def test_above_the_fade_it_is_half_space_at_the_true_distance(loudspeaker):
    f = BUS.modal_limit * np.array([1.4143, 2.0, 4.0])
    inside = solve(loudspeaker, f)
    outside = dataclasses.replace(loudspeaker, cabin=None)
    assert inside.distance == pytest.approx(np.sqrt(2.3**2 + 0.3**2 + 0.75**2))
    heard = solve(System(channels=(outside,), ear=EAR), f)
    assert inside.level == pytest.approx(heard.level, abs=1e-9)
    late = inside.distance / Air().sound_speed
    assert inside.group_delay == pytest.approx(heard.group_delay + late, abs=1e-12)


def test_the_fade_is_smooth_and_does_not_depend_on_the_grid(loudspeaker):
    fine = np.linspace(120, 320, 3201)
    response = solve(loudspeaker, fine)
    assert np.max(abs(np.diff(response.level))) < 0.5
    assert solve(loudspeaker, fine[::50]).pressure == pytest.approx(response.pressure[::50], rel=1e-8)
    assert solve(loudspeaker, fine[1601]).pressure == pytest.approx(response.pressure[1601:1602], rel=1e-8)


@pytest.mark.parametrize("frequency", [20.0, 90.0, 170.0, 230.0, 270.0, 350.0])
def test_group_delay_is_exact(loudspeaker, frequency):
    """Against differences of the phase, 0.002 Hz apart: below, in and above the fade."""
    delay = solve(loudspeaker, frequency).group_delay[0]
    below, above = solve(loudspeaker, [frequency - 1e-3, frequency + 1e-3]).pressure
    assert delay == pytest.approx(-np.angle(above / below) / (2 * np.pi * 2e-3), rel=1e-5, abs=1e-8)


def test_no_delay_is_added_between_loudspeakers(loudspeaker):
    other = dataclasses.replace(loudspeaker, position=(4.5, 1.6, 0.4), port_position=None)
    heard = solve(System(channels=(loudspeaker, other)), F)
    alone = [solve(speaker, F).pressure for speaker in (loudspeaker, other)]
    assert heard.pressure == pytest.approx(alone[0] + alone[1], rel=1e-12)
    assert heard.delays == (0.0, 0.0)
    assert heard.distances[0] == solve(loudspeaker, F).distance


def test_above_the_modal_limit_powers_are_added(loudspeaker):
    other = dataclasses.replace(loudspeaker, position=(4.5, 1.6, 0.4), port_position=None)
    f = 2 * BUS.modal_limit
    levels = [solve(speaker, f).level[0] for speaker in (loudspeaker, other)]
    together = solve(System(channels=(loudspeaker, other)), f).level[0]
    assert together == pytest.approx(10 * np.log10(sum(10 ** (np.array(levels) / 10))), abs=1e-9)


def test_the_ear_of_the_system_wins(loudspeaker):
    here = (1.4, 1.2, 1.1)
    deaf = dataclasses.replace(loudspeaker, cabin=dataclasses.replace(BUS, ear=None))
    moved = dataclasses.replace(loudspeaker, cabin=dataclasses.replace(BUS, ear=here))
    for speaker in (loudspeaker, deaf, moved):
        assert solve(System(channels=(speaker,), ear=here), F).pressure == pytest.approx(solve(moved, F).pressure)
    both = System(channels=(loudspeaker, moved), ear=here)
    assert solve(both, F).pressure == pytest.approx(2 * solve(moved, F).pressure)
    with pytest.raises(ValueError, match=r"^System\.ear is missing, and Cabin\.ear is not the same for loudspeaker 1"):
        System(channels=(loudspeaker, moved))


def test_families(loudspeaker):
    ears = np.array([[2.6, 0.5, 1.15], [2.0, 1.2, 1.1]])
    cabins = Cabin(length=[[5.0], [2.9]], width=1.8, height=1.6, law="modes", leak=12, reverberation_time=0.15)
    found = cabins.transfer(F, source=(0.3, 0.2, 0.4), ear=ears)
    assert found.shape == (2, 2, len(F))
    for i in range(2):
        for j in range(2):
            one = cabins.member((i, 0)).transfer(F, source=(0.3, 0.2, 0.4), ear=ears[j])
            assert found[i, j] == pytest.approx(one, rel=1e-8)
    places = dataclasses.replace(loudspeaker, position=(np.array([0.3, 2.5, 4.6]), 0.2, 0.4))
    family = solve(places, F)
    assert family.pressure.shape == (3, len(F))
    assert family.pressure[1] == pytest.approx(solve(places.member(1), F).pressure, rel=1e-8)


def test_members_that_differ_in_the_size_of_an_opening_alone(loudspeaker):
    """Cones of other areas, as spreads draw them; below, in and above the fade."""
    f = np.array([20.0, 60.0, 200.0, 250.0, 700.0])
    drivers = dataclasses.replace(loudspeaker.driver, Sd=np.array([0.030, 0.033, 0.036]))
    family = dataclasses.replace(loudspeaker, driver=drivers)
    found = solve(family, f)
    assert found.pressure.shape == (3, 5)
    for i in range(3):
        one = solve(family.member(i), f)
        assert found.pressure[i] == pytest.approx(one.pressure, rel=1e-8)
        assert found.group_delay[i] == pytest.approx(one.group_delay, abs=1e-9)


def test_many_ears_in_one_call_are_cut_into_slices():
    f = np.geomspace(20, 200, 50)
    ears = np.random.default_rng(1).uniform((1, 0.2, 0.8), (4, 1.6, 1.4), (700, 3))
    found = BUS.transfer(f, source=(0.3, 0.2, 0.4), ear=ears)
    assert found[650] == pytest.approx(BUS.transfer(f, source=(0.3, 0.2, 0.4), ear=ears[650]), rel=1e-8)


def test_a_measured_cabin(driver):
    """dB over the same source in half space at the reference distance, wherever the listener is told to be."""
    table = ((20, 12.0), (40, 8.0), (80, 2.0))
    cabin = Cabin(length=5, width=1.8, height=1.6, law="measured", table=table, reference_distance=2.0)
    bare = Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre))
    f = np.array([10.0, 20.0, 28.284271247, 80.0, 200.0])
    for distance in (1.0, 3.0):
        inside = solve(dataclasses.replace(bare, cabin=cabin), f, distance=distance)
        assert inside.level - solve(bare, f, distance=2.0).level == pytest.approx([12, 12, 10, 2, 2], abs=1e-6)
    assert any("was measured from 20 to 80 Hz" in remark for remark in inside.remarks)


def test_what_is_said(loudspeaker):
    said = " ".join(solve(loudspeaker, [20, 300]).remarks)
    assert "perhaps 10 to 20 % (ours, no source)" in said
    assert "The place of a dip is a warning, not a forecast." in said
    assert "Around 204 Hz the cabin's resonances give way to half space" in said
    assert "first resonance is near" not in said
    assert "Around 204 Hz" not in " ".join(solve(loudspeaker, 20).remarks)
    hall = dataclasses.replace(loudspeaker, cabin=dataclasses.replace(BUS, reverberation_time=3))
    assert any("a hall rings that long, not a vehicle" in remark for remark in solve(hall, 20).remarks)


def test_two_cones_at_one_place_are_doubted_by_name(loudspeaker):
    one, other = (dataclasses.replace(loudspeaker, name=name) for name in ("left", "right"))
    doubt = "left and right stand at one place. Two cones cannot, unless one sits within the other."
    together = System(channels=(Channel(loudspeakers=(one, other)),))
    assert doubt in solve(together, 40).remarks
    x, y, z = one.position
    apart = dataclasses.replace(other, position=(x, y + 0.2, z))
    assert doubt not in solve(System(channels=(Channel(loudspeakers=(one, apart)),)), 40).remarks


REFUSED = (
    (
        {"ear": (2.6, 0.5, 1.7)},
        r"^Cabin\.ear\[2\] must be between 0 and 1\.6 m \(inside the cabin.*height\), got 1\.7$",
    ),
    ({"ear": (2600, 500, 1150)}, r"^Cabin\.ear\[0\] must be between -100 and 100 m .*did you mean 2600 \* mm\?"),
    ({"length": 5000}, r"^Cabin\.length must be .*did you mean 5000 \* mm\?"),
    ({"law": "measured"}, r"^Cabin\.table is missing \(measured levels over frequency\)"),
    ({"table": ((20, 1), (40, 2))}, r"^Cabin\.table goes with law \"measured\", but law is 'modes': leave one out"),
    ({"law": "measured", "table": ((40, 8), (20, 12))}, r"^Cabin\.table must be in rising frequency"),
)


@pytest.mark.parametrize(("changes", "said"), REFUSED)
def test_a_cabin_that_cannot_be(changes, said):
    with pytest.raises(ValueError, match=said):
        dataclasses.replace(BUS, **changes)


def test_a_place_that_cannot_be(loudspeaker):
    with pytest.raises(ValueError, match=r"^Loudspeaker\.position\[1\] must be between 0 and 1\.8 m"):
        dataclasses.replace(loudspeaker, position=(0.3, 1.9, 0.4))
    with pytest.raises(ValueError, match=r"^Loudspeaker\.port_position\[0\] must be between 0 and 5 m"):
        dataclasses.replace(loudspeaker, port_position=(5.1, 1, 0.4))
    with pytest.raises(ValueError, match=r"^System\.ear\[2\] must be between 0 and 1\.6 m"):
        System(channels=(loudspeaker,), ear=(1, 1, 2))
    with pytest.raises(ValueError, match=r'^Loudspeaker\.position is missing .*its Cabin\.law "modes" needs it'):
        dataclasses.replace(loudspeaker, position=None, port_position=None)
    with pytest.raises(ValueError, match=r"^Loudspeaker\.position \(cone\) lies within the ear"):
        solve(dataclasses.replace(loudspeaker, position=(2.5, 0.5, 1.15)), 40)
    deaf = dataclasses.replace(loudspeaker, cabin=dataclasses.replace(BUS, ear=None))
    with pytest.raises(ValueError, match=r"^Cabin\.ear is missing .*System\.ear"):
        solve(deaf, 40)
    outside = dataclasses.replace(BUS, law="volume", ear=(9, 9, 9))
    assert solve(dataclasses.replace(loudspeaker, cabin=outside, position=(9, 0, 0)), 40).level > 0


def test_a_transfer_that_cannot_be():
    source = (0.3, 0.2, 0.4)
    with pytest.raises(ValueError, match=r"^Cabin\.transfer\.source\[0\] must be between 0 and 5 m"):
        BUS.transfer(40, source=(5.2, 0, 0), ear=EAR)
    with pytest.raises(ValueError, match=r"^Cabin\.transfer\.source lies within the ear: .* 0\.075 m away"):
        BUS.transfer(40, source=(2.6, 0.55, 1.15), ear=EAR)
    with pytest.raises(TypeError, match=r"^Cabin\.transfer\.ear must be places \(x, y, z\) in m"):
        BUS.transfer(40, source=source, ear=(1, 2))
    with pytest.raises(ValueError, match=r"^Cabin\.transfer\.frequency must be at most 2041 Hz \(10 x modal_limit"):
        BUS.transfer(3000, source=source, ear=EAR)
    with pytest.raises(ValueError, match=r'^Cabin\.transfer needs Cabin\.law "modes", got \'volume\''):
        dataclasses.replace(BUS, law="volume").transfer(40, source=source, ear=EAR)


@pytest.mark.parametrize("law", ["modes", "measured"])
def test_no_poles_and_zeros(loudspeaker, law):
    cabin = dataclasses.replace(BUS, law=law, table=((20, 1), (40, 2)) if law == "measured" else None)
    with pytest.raises(ValueError, match=rf'^poles_and_zeros\.loudspeaker has Cabin\.law "{law}"'):
        poles_and_zeros(dataclasses.replace(loudspeaker, cabin=cabin))


def test_a_netlist_holds_all_but_the_pressure(loudspeaker):
    written = netlist(loudspeaker, 40)
    assert "* The pressure is left out" in written
    assert "v(pressure)" not in written
    assert "V_leak" in written
