"""What a leaky door takes, refuses and says of itself."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Air,
    Cabin,
    Door,
    Driver,
    Loudspeaker,
    SealedBox,
    System,
    VentedBox,
    frequencies,
    poles_and_zeros,
    solve,
)
from lumpedbox.circuit.sentences import in_sentences
from lumpedbox.design.causes import causes
from lumpedbox.parts.loudspeaker import as_it_comes

DRIVER = Driver.from_thiele_small(fs=58, Qes=0.6, Qms=4.5, Vas=0.015, Sd=0.0137, Re=3.4, xmax=0.004)
GRID = frequencies(20, 200, 6)


def speaker(position=None, **door):
    return Loudspeaker(driver=DRIVER, box=Door(**{"volume": 0.03, "hole_area": 0.03} | door), position=position)


def test_the_air_in_the_hole_reaches_out_at_both_ends():
    """Twice 0.85 radii more than the depth: Rayleigh's 8 / (3 pi) for a disc in a wide wall (from memory)."""
    a = np.sqrt(0.03 / np.pi)
    expected = Air().density * (0.002 + 2 * 8 / (3 * np.pi) * a) / 0.03
    assert Door(volume=0.03, hole_area=0.03).hole_mass() == pytest.approx(expected, rel=2e-3)


def test_a_sealed_door_has_no_hole():
    door = Door(volume=0.03, hole_area=0)
    assert (door.hole_mass(), door.hole_resistance(), door.hole_resonance()) == (np.inf, np.inf, 0.0)
    assert not solve(Loudspeaker(driver=DRIVER, box=door), GRID).circuit.has("hole")


def test_a_crack_drags_with_the_cube_of_its_height():
    thin, thick = (Door(volume=0.03, crack=(height, 0.6)) for height in (0.5e-3, 1e-3))
    assert thin.hole_resistance() / thick.hole_resistance() == pytest.approx(8)
    assert thin.opening_area == pytest.approx(3e-4)


def test_q_is_that_of_the_hole_with_the_air_in_the_door():
    door = Door(volume=0.03, hole_area=0.03, hole_Q=4.0)
    reactance = 2 * np.pi * door.hole_resonance() * door.hole_mass()
    assert reactance / door.hole_resistance() == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"hole_area": 300}, r"Door\.hole_area must be between 0 and 10 m2 .*got 300: did you mean 300 \* cm2\?"),
        ({"hole_area": -0.01}, r"Door\.hole_area must be between 0 and 10 m2"),
        ({"hole_area": 0.03, "hole_depth": 2}, r"Door\.hole_depth .*got 2: did you mean 2 \* mm\?"),
        ({"hole_area": 0.03, "path": 350}, r"Door\.path .*got 350: did you mean 350 \* mm\?"),
        ({"hole_area": 0.03, "hole_Q": -3}, r"Door\.hole_Q must be between 0\.05 and inf .*got -3"),
        ({"hole_area": 0.03, "longest_side": 900}, r"Door\.longest_side .*did you mean 900 \* mm\?"),
        ({"hole_area": 0.03, "opens_to": "outsid"}, r"Door\.opens_to .*did you mean 'outside'\?"),
        ({"crack": (0.5, 0.6)}, r"Door\.crack\[0\] .*m \(height of the crack\), got 0\.5: did you mean 0\.5 \* mm\?"),
        ({"crack": (0.0005, 600)}, r"Door\.crack\[1\] .*m \(length of the crack\), got 600: did you mean 600 \* mm\?"),
        ({"volume": 30, "hole_area": 0.03}, r"Door\.volume .*did you mean 30 \* litre\?"),
        ({}, r"exactly one of hole_area .* and crack .*got neither; a sealed door has hole_area=0"),
        ({"hole_area": 0.03, "crack": (1e-3, 0.1)}, "got both"),
    ],
)
def test_a_wrong_value_is_named_with_the_likely_slip(given, said):
    with pytest.raises(ValueError, match=said):
        Door(**{"volume": 0.03} | given)


@pytest.mark.parametrize("crack", [0.5e-3, (0.5e-3,), "0.5 mm", {"height": 1e-3, "length": 0.1}])
def test_a_crack_is_a_height_and_a_length(crack):
    with pytest.raises(TypeError, match=r"Door\.crack must be height and length of the crack in m"):
        Door(volume=0.03, crack=crack)


def test_a_huge_hole_is_doubted_and_solved():
    (doubt,) = (said for said in solve(speaker(hole_area=3.0), GRID).remarks if "hole" in said)
    assert doubt == "A hole of 3 m2 is larger than any door has: did you mean 3 cm2?"
    assert not any("hole" in said for said in solve(speaker(), GRID).remarks)


@pytest.mark.parametrize(
    ("door", "law", "rough"),
    [({}, "volume", True), ({}, "length", True), ({"opens_to": "outside"}, "volume", False), ({}, None, False)],
)
def test_a_cabin_without_places_is_called_a_rough_guide(door, law, rough):
    cabin = law and Cabin(length=2.3, width=1.35, height=1.15, law=law)
    said = solve(dataclasses.replace(speaker(**door), cabin=cabin), GRID).remarks
    assert any("cone and hole nearly cancel" in sentence for sentence in said) == rough


def test_how_high_it_holds_is_known_only_from_its_longest_side():
    unknown, known = solve(speaker(), GRID), solve(speaker(longest_side=1.0), GRID)
    assert "How high that of the door holds is not known" in unknown.remarks[0]
    assert known.validity_limit == pytest.approx(Air().sound_speed / 6)
    assert known.remarks[0] == "The model holds up to about 57 Hz; above that, the curves are only a sketch."


@pytest.mark.parametrize(
    "doors",
    [
        {"hole_area": [1e-9, 0.01, 0.03], "hole_Q": [3.0, 1.0, np.inf]},
        {"crack": ([0.5e-3, 2e-3], 0.6), "hole_area": None, "hole_depth": [[0.002], [0.02]]},
        {"path": [0.1, 0.2, 0.35], "volume": [[0.02], [0.04]], "hole_Q": 10.0},
    ],
)
def test_a_family_is_the_loop_over_its_members(doors):
    family = speaker(**doors)
    whole = solve(family, GRID)
    for index in np.ndindex(family.shape):
        own = solve(family.member(index), GRID)
        for name in ("pressure", "impedance", "group_delay", "cone_velocity"):
            assert np.array_equal(getattr(whole, name)[index], getattr(own, name)), name


def test_a_sealed_member_is_as_if_nobody_had_a_hole():
    """Without any hole the door is solved as polynomials, with one in numbers: both to the last digits."""
    whole, own = solve(speaker(hole_area=[0.0, 0.03]), GRID), solve(speaker(hole_area=0.0), GRID)
    for name in ("pressure", "impedance", "group_delay"):
        assert getattr(whole, name)[0] == pytest.approx(getattr(own, name), rel=1e-12), name


@pytest.mark.parametrize(
    "door", [{}, {"crack": (1e-3, 0.6), "hole_area": None}, {"opens_to": "outside"}, {"hole_Q": 1}]
)
def test_all_power_is_turned_into_heat_or_into_sound_of_the_hole(door):
    response = solve(speaker(**door), GRID)
    assert sum(response.dissipation.values()) == pytest.approx(response.input_power, rel=1e-9)
    flow = response.apertures[1].flow
    air = Air()
    radiated = air.density * (2 * np.pi * GRID) ** 2 * abs(flow) ** 2 / (2 * np.pi * air.sound_speed)
    assert response.dissipation["radiation of the hole"] == pytest.approx(radiated, rel=1e-9)


@pytest.mark.parametrize("door", [{}, {"path": 0.0}, {"opens_to": "outside"}, {"hole_Q": np.inf}])
def test_group_delay_is_minus_the_slope_of_the_phase(door):
    """Against a central difference with a step of 1e-5: what the hole radiates has a slope of its own."""
    step, one = 1e-5, speaker(**door)
    above, below = (solve(one, GRID * (1 + sign * step)).pressure for sign in (1, -1))
    slope = -np.angle(above / below) / (2 * step * 2 * np.pi * GRID)
    assert solve(one, GRID).group_delay == pytest.approx(slope, rel=1e-5, abs=1e-9)


def test_a_door_has_no_poles_to_count_and_says_why():
    with pytest.raises(ValueError, match="the hole of a Door has no poles to count"):
        poles_and_zeros(speaker(opens_to="outside"))
    sealed = [Loudspeaker(driver=DRIVER, box=box) for box in (Door(volume=0.03, hole_area=0), SealedBox(volume=0.03))]
    door, box = (poles_and_zeros(one).poles for one in sealed)
    assert door == pytest.approx(box)


def test_its_circuit_in_sentences():
    said = in_sentences(speaker()).splitlines()
    assert "The inside has paths in parallel: the box, and the hole." in said
    assert said[-1] == (
        "The hole is one path: first air in the hole (6.721 kg/m4), then loss in the hole (1880 Pa s/m3), "
        "then radiation of the hole (0.0005549 Pa s3/m3)."
    )


def test_a_door_as_it_comes_keeps_its_hole():
    """Nobody saws doors from a drawing, so only the driver varies."""
    door = as_it_comes(speaker())
    assert door.box == speaker().box
    assert door.varies


@pytest.mark.parametrize("path", [0.0, 0.35, np.array([0.2, 0.5])])
def test_the_hole_is_heard_over_its_longer_path(path):
    """p = s rho / (2 pi) (U_cone / r + U_hole e^{-s l/c} / (r + l)), by hand from the outward flows (derived)."""
    response, s, air = solve(speaker(path=path), GRID, distance=1.5), 2j * np.pi * GRID, Air()
    cone, hole = (aperture.flow for aperture in response.apertures)
    longer = np.asarray(path)[..., np.newaxis]
    heard = cone / 1.5 + hole * np.exp(-s * longer / air.sound_speed) / (1.5 + longer)
    assert response.pressure == pytest.approx(s * air.density / (2 * np.pi) * heard, rel=1e-9)


@pytest.mark.parametrize("law", ["volume", "length"])
def test_in_a_cabin_only_the_direct_sounds_differ_by_the_path(law):
    """p = H (G - 1) (U_cone + U_hole) + H U_cone + H(r + l) e^{-s l/c} U_hole, by hand (derived).

    Far below the corner one pressure, that of the net flow, is left: rho c^2 / V_eff times volume over time.
    """
    cabin = Cabin(length=2.3, width=1.35, height=1.15, law=law)
    inside, s, air = dataclasses.replace(speaker(), cabin=cabin), 2j * np.pi * GRID, Air()
    response = solve(inside, GRID)
    cone, hole = (aperture.flow for aperture in response.apertures)
    wc, wl = 2 * np.pi * cabin.corner(), 2 * np.pi * cabin.leak
    gain = (s**2 + np.sqrt(2) * wc * s + wc**2) / (s * (s + wl))
    direct = cone + hole * np.exp(-s * 0.35 / air.sound_speed) / 1.35
    expected = s * air.density / (2 * np.pi) * ((gain - 1) * (cone + hole) + direct)
    assert response.pressure == pytest.approx(expected, rel=1e-9)


def test_places_and_ear_take_the_place_of_the_path():
    place, hole, ear = (0.7, 0.0, 0.35), (0.95, 0.0, 0.6), (1.15, 0.4, 0.9)
    placed = speaker(place, hole_position=hole)
    response = solve(System(channels=(placed,), ear=ear), GRID).responses[0]
    assert response.apertures[1].place == hole
    near, far = (np.linalg.norm(np.subtract(ear, where)) for where in (hole, place))
    s, air = 2j * np.pi * GRID, Air()
    cone, out = (aperture.flow for aperture in response.apertures)
    heard = cone / far + out / near * np.exp(-s * (near - far) / air.sound_speed)
    assert response.pressure == pytest.approx(s * air.density / (2 * np.pi) * heard, rel=1e-9)
    with pytest.raises(ValueError, match=r"Loudspeaker\.position is missing .*Door\.hole_position needs it"):
        speaker(hole_position=hole)


def test_among_resonances_a_hole_without_a_place_lies_below_the_cone():
    cabin = Cabin(length=2.3, width=1.35, height=1.15, law="modes", ear=(1.15, 0.4, 0.9))
    cone, below = (0.7, 0.0, 0.45), (0.7, 0.0, 0.1)
    unplaced, placed, low = (
        dataclasses.replace(speaker(cone, **hole), cabin=where)
        for hole, where in (({}, cabin), ({"hole_position": below}, cabin), ({"path": 0.5}, None))
    )
    assert solve(unplaced, GRID).pressure == pytest.approx(solve(placed, GRID).pressure, rel=1e-12)
    with pytest.raises(ValueError, match=r"Door\.hole_position .*Door\.path below Loudspeaker\.position.* got -0\.05"):
        dataclasses.replace(low, cabin=cabin)
    outside = dataclasses.replace(low, box=dataclasses.replace(low.box, opens_to="outside"), cabin=cabin)
    response = solve(dataclasses.replace(outside, cabin=dataclasses.replace(cabin, ear_box=0.0)), GRID)
    assert [opening.name for opening in response.circuit.openings] == ["cone"]
    assert response.levels_at(np.array([cabin.ear]))[0] == pytest.approx(response.level, abs=0.2)  # a map errs


def test_a_hole_to_the_outside_is_not_heard():
    response, s = solve(speaker(opens_to="outside"), GRID), 2j * np.pi * GRID
    cone, hole = (aperture.flow for aperture in response.apertures)
    assert np.all(abs(hole) > 0)
    assert response.pressure == pytest.approx(s * Air().density / (2 * np.pi) * cone, rel=1e-9)


@pytest.mark.parametrize("places", [{}, {"position": (0.0, 0.0, 0.0), "hole_position": (0.3, 0.0, 0.4)}])
def test_the_power_of_cone_and_hole_is_that_of_their_interference_all_round(places):
    """|U_1 + U_2 e^{j k d cos a}|^2, averaged over all directions by Gauss-Legendre quadrature (derived)."""
    away = 0.5 if places else 0.35
    f = np.array([50.0, 200.0, 700.0])
    response = solve(speaker(**places), f)
    cosine, weight = np.polynomial.legendre.leggauss(40)
    cone, hole = (aperture.flow[:, np.newaxis] for aperture in response.apertures)
    k = 2 * np.pi * f[:, np.newaxis] / Air().sound_speed
    mean = abs(cone + hole * np.exp(1j * k * away * cosine)) ** 2 @ weight / 2
    expected = Air().density * (2 * np.pi * f) ** 2 / (2 * np.pi * Air().sound_speed) * mean
    assert response.radiated_power == pytest.approx(expected, rel=1e-9)


def test_no_power_into_the_cabin_comes_from_a_hole_to_the_outside():
    response, air = solve(speaker(opens_to="outside"), GRID), Air()
    cone = abs(response.apertures[0].flow) ** 2
    expected = air.density * (2 * np.pi * GRID) ** 2 * cone / (2 * np.pi * air.sound_speed)
    assert response.radiated_power == pytest.approx(expected, rel=1e-9)


def small_hole(voltage=2.83, **door):
    return solve(speaker(**{"hole_area": 8e-4, "longest_side": 1.0} | door), [25.0, 40.0, 63.0], voltage)


def test_the_air_in_a_hole_is_as_fast_as_its_flow_over_its_area():
    response = small_hole()
    assert response.hole_velocity == pytest.approx(np.sqrt(2) * abs(response.apertures[1].flow) / 8e-4, rel=1e-12)
    with pytest.raises(ValueError, match=r"SealedBox\.hole_area is missing .*use a Door with a hole or a crack"):
        _ = solve(Loudspeaker(driver=DRIVER, box=SealedBox(volume=0.03)), 40.0).hole_velocity


@pytest.mark.parametrize("opening", [{}, {"hole_area": None, "crack": (1e-3, 0.6), "hole_depth": 0.02}])
def test_a_jet_loses_what_bernoullis_pressure_does_over_a_period(opening):
    """Work of rho u |u| / 2 kappa^2 per period against that of a plain resistance, summed; kappa 0.611 (Kirchhoff)."""
    response, air = small_hole(**opening), Air()
    door, time = response.loudspeaker.box, np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    u = response.hole_velocity[:, np.newaxis] * np.sin(time)
    S, w = door.opening_area, 2 * np.pi * response.frequency
    work = np.mean(air.density * u * abs(u) / (2 * 0.61102**2) * u * S, axis=-1)
    resistance = work / np.mean((u * S) ** 2, axis=-1)
    held = abs(door.hole_resistance() + 1j * w * door.hole_mass())
    assert response.jet_share == pytest.approx(resistance / held, rel=1e-3)


def test_a_hole_chokes_where_its_air_moves_about_as_far_as_it_is_deep():
    """A Strouhal number near 1: at a share of 1 the travel is 3 pi kappa^2 / 4 = 0.88 of depth and ends (derived)."""
    response = small_hole(hole_Q=np.inf)
    loud = small_hole(2.83 / response.jet_share[1], hole_Q=np.inf)
    assert loud.jet_share[1] == pytest.approx(1)
    travel = loud.hole_velocity[1] / (2 * np.pi * 40.0)
    deep = 0.002 + 1.7 * np.sqrt(8e-4 / np.pi)
    assert travel / deep == pytest.approx(3 * np.pi * 0.61102**2 / 4, rel=1e-3)


def test_a_hole_that_chokes_is_remarked_and_a_sealed_member_is_not():
    """2 cm2 at 10 W: over 100 m/s through 16 mm."""
    volts = np.sqrt(40)
    said = [remark for remark in small_hole(volts, hole_area=2e-4).remarks if "the hole chokes" in remark]
    assert len(said) == 1
    assert "leave as a jet" in said[0]
    for quiet in (small_hole(0.03, hole_area=2e-4), small_hole(volts, hole_area=300e-4)):
        assert not any("chokes" in remark for remark in quiet.remarks)
    family = small_hole(volts, hole_area=np.array([0.0, 2e-4]))
    assert family.jet_share[0].tolist() == [0.0] * 3
    assert family.jet_share[1] == pytest.approx(small_hole(volts, hole_area=2e-4).jet_share, rel=1e-9)
    assert any("chokes" in remark for remark in family.remarks)


def test_a_cabin_without_places_owns_to_how_far_it_may_be_off():
    """The minibus of the demonstration, step well and middle row: by its resonances over 10 dB from one volume."""
    sizes = {"length": 5.0, "width": 1.8, "height": 1.6, "leak": 12.0}
    door = Loudspeaker(driver=DRIVER, box=Door(volume=0.03, hole_area=0.03), position=(0.6, 0.1, 0.35))
    box = dataclasses.replace(door.box, hole_position=(0.85, 0.1, 0.6))
    modal = Cabin(**sizes, law="modes", ear=(2.6, 0.5, 1.15))
    by_places = solve(dataclasses.replace(door, box=box, cabin=modal), [20.0, 40.0])
    volume = solve(dataclasses.replace(door, cabin=Cabin(**sizes, law="volume")), [20.0, 40.0])
    assert np.all(volume.level - by_places.level > 10)
    (said,) = (remark for remark in volume.remarks if "their places decide" in remark)
    assert "may be off by 10 dB or more, mostly too loud" in said


SEALED = SealedBox(volume=0.03)
LARGER = Driver.from_thiele_small(fs=46, Qes=0.6, Qms=5, Vas=0.05, Sd=0.0214, Re=3.4, xmax=0.005)


@pytest.mark.parametrize(
    ("box", "blamed"),
    [
        (SEALED, {"leak"}),
        (SealedBox(volume=0.03, Ql=7), {"leak"}),
        (SealedBox(volume=0.02), {"leak", "box"}),
        (Door(volume=0.03, hole_area=0.01), {"leak"}),
        (Door(volume=0.03, hole_area=0.0), {"leak"}),
        (Door(volume=0.03, crack=(1e-3, 0.6)), {"leak"}),
        (SealedBox(volume=0.03, Qa=30), {"box"}),  # a door has no absorption, so hole and box count as one
        (VentedBox(volume=0.04, fb=35), {"box"}),
    ],
)
@pytest.mark.parametrize("driver", [DRIVER, LARGER])
@pytest.mark.parametrize("turned", [False, True])
def test_causes_of_a_difference_between_a_door_and_another_box(box, blamed, driver, turned):
    pair = (speaker(), Loudspeaker(driver=driver, box=box))
    first, second = pair[::-1] if turned else pair
    found = causes(first, second, GRID)
    heard = solve(second, GRID).level - solve(first, GRID).level
    assert found.difference == pytest.approx(heard, abs=1e-9)
    assert sum(found.parts.values()) == pytest.approx(heard, abs=1e-9)
    of_box = {name for name in ("leak", "box") if np.any(found.parts[name])}
    assert of_box == blamed


def test_a_hole_keeps_its_resistance_whatever_the_volume_behind_it():
    """Else a smaller door of the same hole would count as another leak."""
    small = Door(volume=0.02, hole_area=0.03)
    same_loss = small.hole_resistance() / Door(volume=0.03, hole_area=0.03).hole_resistance()
    found = causes(speaker(), speaker(volume=0.02, hole_Q=3.0 * same_loss), GRID)
    assert found.parts["leak"] == pytest.approx(0, abs=1e-9)
    assert found.parts["box"] == pytest.approx(found.difference, abs=1e-9)
