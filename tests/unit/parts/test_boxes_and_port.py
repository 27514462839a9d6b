"""Boxes and ports: how they are described, what follows, what is refused."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Air, Driver, InfiniteBaffle, Loudspeaker, Port, SealedBox, VentedBox, solve
from lumpedbox.parts.port import (
    bare_hole_area,
    end_correction,
    length_over_area,
    port_fit,
    round_port_area,
    round_port_length,
)
from lumpedbox.units import cm, cm2, litre, mm

FREQUENCY = np.geomspace(10, 1000, 61)


def level(driver, box, **conditions):
    return solve(Loudspeaker(driver=driver, box=box), FREQUENCY, **conditions).level


# Sealed box


def test_resonance_and_q_of_a_sealed_box(driver):
    """Small 1972 (from memory): fc = fs sqrt(1 + alpha), Qtc = Qts sqrt(1 + alpha); |G(fc)| = Qtc exactly."""
    alpha = driver.Vas / (30 * litre)
    box = SealedBox(volume=30 * litre)
    fc = box.resonance(driver)
    assert fc == pytest.approx(driver.fs * np.sqrt(1 + alpha), rel=1e-12)
    assert box.Qtc(driver) == pytest.approx(driver.Qts * np.sqrt(1 + alpha), rel=1e-12)
    response = solve(Loudspeaker(driver=driver, box=box), fc)
    drop = 20 * np.log10(driver.Qts * np.sqrt(1 + alpha))
    assert response.level[0] - response.reference_level == pytest.approx(drop, abs=1e-9)


def test_filling_is_as_good_as_a_larger_box_whatever_the_losses(driver):
    """Losses count at the resonance after filling (derived), so 1.2 of 30 litres is 36 litres in every respect."""
    filled = SealedBox(volume=30 * litre, filling=1.2, Ql=7, Qa=10)
    assert level(driver, filled) == pytest.approx(level(driver, SealedBox(volume=36 * litre, Ql=7, Qa=10)), abs=1e-9)


def test_a_filled_box_in_other_air(driver):
    """Against the circuit: the impedance of a lossless box is real where it peaks, at fc, in whatever air."""
    thin = Air(temperature=273.15, pressure=8e4)
    box = SealedBox(volume=30 * litre, filling=1.3)
    bare = dataclasses.replace(driver, Le=0.0)
    impedance = solve(Loudspeaker(driver=bare, box=box), box.resonance(bare, thin), air=thin).impedance[0]
    assert abs(impedance.imag) < 1e-9 * abs(impedance)
    assert abs(impedance) == pytest.approx(bare.Re * (1 + bare.Qms / bare.Qes), rel=1e-9)


def test_at_its_tuning_a_lossless_port_holds_the_cone(driver):
    """Against the circuit: there the air in the box and in the port is a parallel resonance, and the cone stands."""
    port, thin = Port(length=0.1, diameter=0.08), Air(temperature=273.15, pressure=8e4)
    for box in (VentedBox(volume=50 * litre, port=port, filling=1.2), VentedBox(volume=50 * litre, fb=33.0)):
        speaker = Loudspeaker(driver=driver, box=box)
        held = solve(speaker, box.tuning(thin) * np.array([0.99, 1.0, 1.01]), air=thin).excursion
        assert held[1] < 1e-9 * min(held[0], held[2])


def test_losses_of_a_box_as_resistances(driver):
    """R = Ql X, X / Qa, X / Qp with X = 1 / (2 pi f0 Cab) (Small 1973, from memory), by hand; a given leak stays."""
    Cab = 50 * litre / Air().stiffness
    vented = VentedBox(volume=50 * litre, fb=33.0, Ql=7, Qa=40, Qp=80)
    X = 1 / (2 * np.pi * 33.0 * Cab)
    assert vented.losses(driver) == pytest.approx((7 * X, X / 40), rel=1e-12)
    assert vented.port_loss() == pytest.approx(X / 80, rel=1e-12)
    assert VentedBox(volume=50 * litre, fb=33.0).losses(driver) == (np.inf, 0.0)
    given = SealedBox(volume=50 * litre, leak_resistance=1e4)
    heavier = dataclasses.replace(driver, Mms=2 * driver.Mms)
    assert given.losses(driver).leak == given.losses(heavier).leak == 1e4
    sealed = SealedBox(volume=50 * litre, Ql=7)
    assert sealed.losses(heavier).leak == pytest.approx(np.sqrt(2) * sealed.losses(driver).leak, rel=1e-12)


def test_losses_of_a_sealed_box_stand_at_the_resonance_in_the_box(driver):
    """Ql = wc Cab Ral at the lossless wc (Small 1972, from memory)."""
    Cab = 30 * litre / Air().stiffness
    wc = 2 * np.pi * driver.fs * np.sqrt(1 + driver.Cms * driver.Sd**2 / Cab)
    by_q = level(driver, SealedBox(volume=30 * litre, Ql=7))
    by_resistance = level(driver, SealedBox(volume=30 * litre, leak_resistance=7 / (wc * Cab)))
    assert by_q == pytest.approx(by_resistance, abs=1e-9)


def test_a_leak_stays_the_same_leak_when_the_driver_changes(driver):
    """Flow in the leak over flow of the cone is the box's own matter once the leak is a resistance."""
    heavier = dataclasses.replace(driver, Mms=2 * driver.Mms)

    def share(driver, **leak):
        cone, leak = solve(Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre, **leak)), 30).apertures
        return (leak.flow / cone.flow)[0]

    assert share(driver, leak_resistance=2e4) == pytest.approx(share(heavier, leak_resistance=2e4), rel=1e-12)
    assert abs(share(driver, Ql=7) / share(heavier, Ql=7) - 1) > 0.1


@pytest.mark.parametrize("kind", ["sealed", "vented"])
def test_a_leak_is_given_once(kind):
    more = {"fb": 30} if kind == "vented" else {}
    box = VentedBox if kind == "vented" else SealedBox
    with pytest.raises(ValueError, match="may have Ql or leak_resistance, got both"):
        box(volume=0.03, Ql=7, leak_resistance=1e4, **more)


@pytest.mark.parametrize("filling", [0.99, 1.41])
def test_filling_lies_between_nothing_and_the_isothermal_limit(filling):
    with pytest.raises(ValueError, match=r"SealedBox\.filling must be between 1 and 1\.4"):
        SealedBox(volume=0.03, filling=filling)


def test_longest_path_is_that_of_a_cube_unless_given():
    assert SealedBox(volume=0.027).longest_path == pytest.approx(0.3)
    assert SealedBox(volume=0.027, longest_side=0.6).longest_path == 0.6
    assert SealedBox(volume=[0.027, 0.064]).longest_path == pytest.approx([0.3, 0.4])
    assert InfiniteBaffle().longest_path == 0.0


# Vented box


def test_a_vented_box_needs_one_of_tuning_and_port(port):
    words = r"^VentedBox needs exactly one of fb \(tuning, Hz\) and port \(a Port\), got "
    with pytest.raises(ValueError, match=words + "neither$"):
        VentedBox(volume=0.05)
    with pytest.raises(ValueError, match=words + "both$"):
        VentedBox(volume=0.05, fb=30, port=port)


def test_a_port_has_an_area_of_its_own(port):
    with pytest.raises(ValueError, match=r"VentedBox\.port_area goes with fb"):
        VentedBox(volume=0.05, port=port, port_area=0.01)


def test_opening_area(port):
    assert VentedBox(volume=0.05, port=port).opening_area == port.area
    assert VentedBox(volume=0.05, fb=30, port_area=80 * cm2).opening_area == 80 * cm2
    with pytest.raises(ValueError, match=r"^VentedBox\.port_area is missing \(area of the port\): give port_area"):
        _ = VentedBox(volume=0.05, fb=30).opening_area


def test_a_port_and_its_tuning_are_the_same_box(driver, port):
    tuning = port.tuning(50 * litre)
    by_port = level(driver, VentedBox(volume=50 * litre, port=port, Ql=7, Qa=50, Qp=30))
    by_tuning = level(driver, VentedBox(volume=50 * litre, fb=tuning, Ql=7, Qa=50, Qp=30))
    assert by_port == pytest.approx(by_tuning, abs=1e-9)


def test_a_tuning_is_as_built_filling_included(driver):
    """Only the stiffness of the air changes with the filling; fb stays, so the null of the cone stays at fb."""
    for filling in (1.0, 1.4):
        box = VentedBox(volume=50 * litre, fb=30, filling=filling)
        response = solve(Loudspeaker(driver=driver, box=box), [29.0, 30.0, 31.0])
        assert response.excursion.argmin() == 1


def test_filling_lowers_the_tuning_of_a_port(driver, port):
    """fb goes with 1/sqrt(compliance) (derived)."""
    frequency = np.linspace(20, 60, 4001)
    found = []
    for filling in (1.0, 1.4):
        box = VentedBox(volume=50 * litre, port=port, filling=filling)
        found.append(frequency[solve(Loudspeaker(driver=driver, box=box), frequency).excursion.argmin()])
    assert found[1] / found[0] == pytest.approx(1 / np.sqrt(1.4), abs=1e-3)


def test_longest_path_may_be_the_port():
    assert VentedBox(volume=0.027, port=Port(length=0.5, diameter=0.05)).longest_path == 0.5
    assert VentedBox(volume=0.027, port=Port(length=0.1, diameter=0.05)).longest_path == pytest.approx(0.3)


# Infinite baffle


def test_an_infinite_baffle_has_the_resonance_of_the_driver(driver):
    response = solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), driver.fs)
    assert response.level[0] - response.reference_level == pytest.approx(20 * np.log10(driver.Qts), abs=1e-9)


def test_an_infinite_baffle_takes_nothing():
    with pytest.raises(TypeError, match="unexpected keyword argument 'volume'"):
        InfiniteBaffle(volume=1)
    assert repr(InfiniteBaffle()) == "InfiniteBaffle()"
    assert InfiniteBaffle() == InfiniteBaffle()


# Port


def test_area_of_round_slot_and_several_ports():
    assert Port(length=0.1, diameter=0.1).area == pytest.approx(np.pi * 25 * cm2)
    assert Port(length=0.1, width=30 * cm, height=3 * cm).area == pytest.approx(90 * cm2)
    assert Port(length=0.1, diameter=0.1, count=3).area == pytest.approx(3 * np.pi * 25 * cm2)


def test_a_slot_counts_as_a_round_port_of_equal_area():
    slot = Port(length=0.1, width=30 * cm, height=3 * cm)
    tube = Port(length=0.1, diameter=np.sqrt(4 * 90 * cm2 / np.pi))
    assert slot.effective_length == pytest.approx(tube.effective_length, rel=1e-12)


def test_two_ports_tune_higher_than_one_by_the_root_of_two(port):
    assert dataclasses.replace(port, count=2).tuning(0.05) == pytest.approx(np.sqrt(2) * port.tuning(0.05), rel=1e-12)


@pytest.mark.parametrize(
    ("inner", "outer", "radii"),
    [("free", "flush", 0.8217 + 0.6127), ("flush", "flush", 2 * 0.8217), ("free", "free", 2 * 0.6127)],
)
def test_end_corrections_are_counted_at_both_ends(inner, outer, radii):
    """0.8217 radii flush (King 1936), 0.6127 free (Levine & Schwinger's integral, 1948): both from memory."""
    port = Port(length=0.2, diameter=0.1, inner_end=inner, outer_end=outer)
    assert port.effective_length == pytest.approx(0.2 + radii * 0.05, abs=5e-5 * 0.05 * 2)


def test_a_narrow_wall_lessens_the_correction_down_to_nothing():
    walls = np.pi * 0.05**2 * np.array([1.0000001, 1.5, 4.0, 100.0, np.inf])
    found = end_correction("flush", 0.05, walls)
    assert np.all(np.diff(found) > 0)
    assert found[0] == pytest.approx(0, abs=1e-7)
    assert found[-1] == pytest.approx(0.8217 * 0.05, rel=1e-4)


def test_a_free_end_has_no_wall():
    assert end_correction("free", 0.05, 0.01) == end_correction("free", 0.05, np.inf)


def test_tuning_from_the_resonator_formula(port):
    """Helmholtz: f = c/(2 pi) sqrt(S/(V L')) (general acoustics)."""
    air = Air(temperature=300)
    expected = air.sound_speed / (2 * np.pi) * np.sqrt(port.area / (0.05 * port.effective_length))
    assert port.tuning(0.05, air) == pytest.approx(expected, rel=1e-12)
    assert 1 / (2 * np.pi * np.sqrt(port.mass(air) * 0.05 / air.stiffness)) == pytest.approx(expected, rel=1e-12)


def test_tuned_is_the_inverse_of_tuning(port):
    wanted = np.array([25.0, 30.0, 40.0])
    assert port.tuned(wanted, 0.05).tuning(0.05) == pytest.approx(wanted, rel=1e-12)
    assert port.tuned(wanted, 0.05).shape == (3,)


def test_a_tuning_out_of_reach_is_refused_with_the_highest():
    port = Port(length=0.0, diameter=5 * cm)
    highest = port.tuning(0.05)
    assert port.tuned(highest * (1 - 1e-9), 0.05).length == pytest.approx(0, abs=1e-6)
    with pytest.raises(ValueError, match=r"no port of 19\.63 cm2 tunes a volume of 50 litres to fb = 60 Hz: even a"):
        port.tuned(60, 0.05)


def test_the_pipe_resonance_of_a_port(port):
    assert port.first_pipe_resonance() == pytest.approx(Air().sound_speed / 2 / port.effective_length)


@pytest.mark.parametrize(
    "shape",
    [{}, {"width": 0.1}, {"height": 0.1}, {"diameter": 0.1, "width": 0.1}, {"diameter": 0.1, "width": 1, "height": 1}],
)
def test_a_port_is_either_round_or_a_slot(shape):
    with pytest.raises(ValueError, match=r"^Port needs either a diameter \(round\) or both width and height \(slot\)"):
        Port(length=0.1, **shape)


def test_a_wall_must_be_larger_than_the_opening():
    with pytest.raises(
        ValueError, match=r"^Port\.outer_wall must be larger than the opening of 0\.007854 m2, got 0\.00"
    ):
        Port(length=0.1, diameter=0.1, outer_wall=50 * cm2)


@pytest.mark.parametrize("count", [0, 33, -1])
def test_a_number_of_ports_out_of_range(count):
    with pytest.raises(
        ValueError, match=rf"^Port\.count must be one of 1, 2, 3.* \(number of equal ports\), got {count}$"
    ):
        Port(length=0.1, diameter=0.1, count=count)


@pytest.mark.parametrize("count", [1.5, 2.0, True, "2", None])
def test_a_number_of_ports_must_be_whole(count):
    with pytest.raises(TypeError, match=r"^Port\.count must be a whole number \(number of equal ports\), got "):
        Port(length=0.1, diameter=0.1, count=count)


def test_a_misspelt_end_is_answered_with_the_nearest():
    with pytest.raises(
        ValueError, match=r"^Port\.inner_end must be one of free, flush, got 'flsh': did you mean 'flush'"
    ):
        Port(length=0.1, diameter=0.1, inner_end="flsh")


def test_a_family_of_ports():
    family = Port(length=[10 * cm, 20 * cm], diameter=[[50 * mm], [75 * mm], [100 * mm]])
    assert family.shape == (3, 2)
    assert family.effective_length.shape == (3, 2)
    assert family.member((1, 0)).effective_length == family.effective_length[1, 0]


def test_a_part_in_the_wrong_place_is_refused():
    with pytest.raises(TypeError, match=r"^VentedBox\.port must be Port, got SealedBox SealedBox\(volume=0\.03\)$"):
        VentedBox(volume=0.05, port=SealedBox(volume=0.03))
    with pytest.raises(TypeError, match=r"^VentedBox\.port must be Port, got type .*: did you mean Port\(\.\.\.\)\?$"):
        VentedBox(volume=0.05, port=Port)


def test_a_driver_of_a_family_in_a_family_of_boxes(driver):
    drivers = Driver(**{f.name: getattr(driver, f.name) for f in dataclasses.fields(driver)} | {"Sd": [0.02, 0.03]})
    found = level(drivers, SealedBox(volume=[[0.02], [0.03], [0.04]], Ql=7))
    assert found.shape == (3, 2, len(FREQUENCY))
    one = level(drivers.member(1), SealedBox(volume=0.04, Ql=7))
    assert np.array_equal(found[2, 1], one)


@pytest.mark.parametrize(
    ("fb", "volume", "said"),
    [
        (-36, 0.02, r"Port\.tuned\.fb must be between 1 and 1000 Hz"),
        (36, -0.02, r"Port\.tuned\.volume must be between 0\.0001 and 10 m3"),
        (36, 20, r"Port\.tuned\.volume .* got 20: did you mean 20 \* litre\?"),
        ("36", 0.02, r"Port\.tuned\.fb must be a number"),
    ],
)
def test_a_port_is_tuned_to_what_can_be(fb, volume, said):
    with pytest.raises((ValueError, TypeError), match=said):
        Port(length=0.0, diameter=0.05).tuned(fb, volume)


def test_the_length_that_tunes_a_box():
    """There and back; negative where a bare hole tunes lower already."""
    port = Port(length=0.0, diameter=0.08)
    length = port.length_for([30.0, 40.0], 0.03)
    assert Port(length=length, diameter=0.08).tuning(0.03) == pytest.approx([30.0, 40.0], rel=1e-12)
    assert port.length_for(200.0, 0.03) < 0


def test_round_ports_of_any_size_are_those_of_a_port():
    """By area: the length, the hole without length, and the area of one that is to be so long; each through a Port."""
    fb, volume, area = np.array([25.0, 32.0, 60.0]), np.array([0.08, 0.03, 0.02]), np.array([0.012, 0.004, 0.009])
    ratio = length_over_area(fb, volume)
    port = Port(length=0.0, diameter=2 * np.sqrt(area / np.pi))
    assert round_port_length(area, ratio) == pytest.approx(port.length_for(fb, volume), rel=1e-12)
    hole = Port(length=0.0, diameter=2 * np.sqrt(bare_hole_area(ratio) / np.pi))
    assert hole.tuning(volume) == pytest.approx(fb, rel=1e-12)
    for clear in (0.0, 1.0):
        found = round_port_area(0.3, ratio, clear)
        long = Port(length=0.0, diameter=2 * np.sqrt(found / np.pi)).tuned(fb, volume)
        assert long.length + clear * long.diameter == pytest.approx(np.full(3, 0.3), rel=1e-12)


@pytest.mark.parametrize(
    ("area", "fb", "volume", "verdict"),
    [(100, 30, 20, "too large"), (50, 36, 20, "needs a bend"), (50, 36, 60, "fits"), (10, 80, 80, "none")],
)
def test_whether_a_port_fits_a_box(area, fb, volume, verdict):
    """Against a tube that is tuned by itself: its length, its own cylinder, a diameter clear in a cube, a quarter."""
    fit, hole = port_fit(area * cm2, fb, volume * litre), Port.of_area(area * cm2)
    length = hole.length_for(fb, volume * litre)
    assert fit.length == pytest.approx(length, rel=1e-12)
    assert fit.taken == pytest.approx(max(length, 0) * area * cm2, rel=1e-12)
    assert fit.verdict == verdict
    straight = length + hole.diameter <= (volume * litre) ** (1 / 3)
    small = length * area * cm2 <= volume * litre / 4
    assert {"none": length < 0, "too large": not small, "needs a bend": not straight, "fits": small and straight}[
        verdict
    ]


def test_a_port_may_take_up_more_room_where_that_is_said():
    """100 cm2 for 30 Hz on 20 litres take up 15.8: they are too many for a quarter and for a half, not for all."""
    verdicts = [port_fit(100 * cm2, 30, 20 * litre, share=share).verdict for share in (0.25, 0.5, 1.0)]
    assert verdicts == ["too large", "too large", "needs a bend"]
    warmer = port_fit(100 * cm2, 30, 20 * litre, air=Air(temperature=320.0))
    assert warmer.length > port_fit(100 * cm2, 30, 20 * litre).length


def test_a_port_of_an_area_and_the_room_that_it_takes():
    """Geometry: pi d^2 / 4, and the cylinder of its length; a slot is a cuboid."""
    hole = Port.of_area(np.array([20.0, 50.0]) * cm2)
    assert hole.area == pytest.approx([20 * cm2, 50 * cm2], rel=1e-12)
    assert hole.displacement == pytest.approx([0.0, 0.0])
    assert Port(length=0.2, diameter=0.1).displacement == pytest.approx(np.pi * 0.05**2 * 0.2, rel=1e-12)
    assert Port(length=0.3, width=0.3, height=0.02, count=2).displacement == pytest.approx(0.0036, rel=1e-12)
    with pytest.raises(ValueError, match=r"^Port\.of_area\.area must be between .* got 50: did you mean 50 \* cm2\?"):
        Port.of_area(50)
