"""A leaky door against what it must become, against textbooks, and against a trial calculation made apart from this.

The trial: founders' own figures for a 165 mm driver in a door of 30 litres with a hole of 300 cm2, made by another
program of theirs before this part was written. Printed to 0.1 dB. "What sealing gains" is the level of the sealed door
less that of the leaky one.
"""

import numpy as np
import pytest

from lumpedbox import Air, Cabin, Door, InfiniteBaffle, Loudspeaker, SealedBox, frequencies, solve
from lumpedbox.tables import demo_drivers

AIR, OWN = Air(), "a trial calculation of ours, made apart"
PANEL = demo_drivers()["165 mm panel"]
BANDS = np.array([20, 31.5, 40, 50, 63, 80, 100])
TRIAL = {"volume": 0.03, "hole_area": 0.03, "path": 0.35}


def level(box, frequency=BANDS, distance=1.0, **more):
    return solve(Loudspeaker(driver=PANEL, box=box, **more), frequency, distance=distance).level


def gain(door, frequency=BANDS):
    """What sealing a door gains. [dB]"""
    return level(SealedBox(volume=door.volume), frequency) - level(door, frequency)


def test_a_door_with_a_pinhole_is_a_sealed_box(agreement):
    # A hole of 1e-9 m2 lets through a millionth of what the air inside takes up.
    grid = frequencies(10, 1000, 6)
    sealed = level(SealedBox(volume=0.03), grid)
    for area in (0.0, 1e-9):
        door = level(Door(volume=0.03, hole_area=area, longest_side=0.5), grid)
        agreement("door with a pinhole", "a sealed box", np.max(abs(door - sealed)), 0.01, "dB")


def test_a_door_with_no_hole_to_speak_of_is_a_sealed_box_in_its_impedance():
    grid = frequencies(10, 1000, 6)
    speakers = [Loudspeaker(driver=PANEL, box=box) for box in (Door(volume=0.03, hole_area=0), SealedBox(volume=0.03))]
    door, sealed = (solve(speaker, grid) for speaker in speakers)
    assert np.array_equal(door.impedance, sealed.impedance)
    assert np.array_equal(door.pressure, sealed.pressure)


def test_a_huge_hole_makes_a_dipole(agreement):
    # Two equal sources in antiphase, one `path` further away: |p| = |p_front| 2 sin(k path / 2), far away. Source:
    # L. L. Beranek, "Acoustics" (1954), the doublet source (from memory). The hole is lossless, since a loss would turn
    # its phase; one of 10 m2 still has some mass and radiates: 1 dB.
    path, grid = 0.35, frequencies(20, 100, 12)
    door = solve(
        Loudspeaker(driver=PANEL, box=Door(volume=0.03, hole_area=10.0, hole_depth=0.0, hole_Q=np.inf, path=path)),
        grid,
        distance=100 * path,
    )
    cone = door.apertures[0].flow
    front = AIR.density * 2 * np.pi * grid * abs(cone) / (2 * np.pi * 100 * path)
    k = 2 * np.pi * grid / AIR.sound_speed
    off = 20 * np.log10(abs(door.pressure) / (front * 2 * np.sin(k * path / 2)))
    agreement("door with a huge hole against a dipole", "Beranek 1954, from memory", np.max(abs(off)), 1.0, "dB")


def test_a_lossless_hole_radiates_as_a_flanged_resonator_does(agreement):
    # Source: L. E. Kinsler, A. R. Frey, "Fundamentals of acoustics" (1950), the Helmholtz resonator with a flange (from
    # memory): w0 = c sqrt(S / (L' V)), L' = l + 1.7 a, and Q = 2 pi sqrt(L'^3 V / S^3) from its radiation alone.
    depth, area, volume = 0.002, 0.01, 0.03
    effective = depth + 1.7 * np.sqrt(area / np.pi)
    w0 = AIR.sound_speed * np.sqrt(area / (effective * volume))
    door = Door(volume=volume, hole_area=area, hole_depth=depth, hole_Q=np.inf)
    response = solve(Loudspeaker(driver=PANEL, box=door), [w0 / (2 * np.pi)])
    flow = response.apertures[1].flow
    stored = w0 * door.hole_mass() * abs(flow) ** 2
    Q = stored / response.dissipation["radiation of the hole"]
    by_radiation = 2 * np.pi * np.sqrt(effective**3 * volume / area**3)
    told = "Kinsler, Frey 1950, from memory"
    agreement("resonance of a door's hole", told, abs(door.hole_resonance() / (w0 / (2 * np.pi)) - 1), 1e-9)
    agreement("Q of a door's hole by its radiation alone", told, abs(Q[0] / by_radiation - 1), 1e-9)


def test_a_crack_drags_as_the_flow_between_two_planes_does(agreement):
    # The profile mu u'' = -dp/l with u = 0 at both walls, solved on a grid and summed: second order in the step.
    height, length, depth, count = 0.5e-3, 0.6, 0.02, 2000
    step = height / count
    profile = np.linalg.solve(
        (np.diag(np.full(count - 1, 2.0)) - np.diag(np.ones(count - 2), 1) - np.diag(np.ones(count - 2), -1)) / step**2,
        np.full(count - 1, 1 / (AIR.viscosity * depth)),
    )
    flow = length * step * profile.sum()
    resistance = Door(volume=0.03, crack=(height, length), hole_depth=depth).hole_resistance()
    agreement("drag of a crack", "its equation of motion, on a grid", abs(resistance * flow - 1), 1e-6)


@pytest.mark.parametrize(
    ("hole_Q", "printed"),
    [(10.0, [8.4, 8.5, 8.4, 8.0, 6.9, 4.3, -0.3]), (3.0, [8.0, 7.6, 7.2, 6.5, 5.1, 2.6, -1.2])],
)
def test_what_sealing_gains_in_half_space(hole_Q, printed, agreement):
    off = gain(Door(**TRIAL, hole_Q=hole_Q)) - printed
    agreement("what sealing a door gains in half space", OWN, np.max(abs(off)), 0.06, "dB")


@pytest.mark.parametrize(("hole_Q", "printed"), [(10.0, [18.8, 12.0, 8.0]), (3.0, [20.9, 13.3, 9.1])])
def test_what_sealing_gains_in_a_cabin_of_one_pressure_is_near_that_by_modes(hole_Q, printed, agreement):
    # Printed: 20, 31.5 and 40 Hz by the modes of a hatchback, with cone, hole and ear at places of their own; the net
    # flow in a cabin of one pressure gives 28.2 dB at 20 Hz for Q 10. That cabin knows no places: 4 dB.
    cabin = Cabin(length=2.3, width=1.35, height=1.15)
    sealed = level(SealedBox(volume=0.03), cabin=cabin)
    off = (sealed - level(Door(**TRIAL, hole_Q=hole_Q), cabin=cabin))[:3] - printed
    agreement("what sealing a door gains in a cabin of one pressure, 20 to 40 Hz", OWN, np.max(abs(off)), 4.0, "dB")


HATCH = {"length": 2.3, "width": 1.35, "height": 1.15, "law": "modes", "ear": (1.15, 0.4, 0.9), "ear_box": 0.0}
PLACES = {"cone": (0.7, 0.0, 0.35), "hole": (0.95, 0.0, 0.6)}


def by_modes(box):
    """Level in the hatchback of the trial. [dB]"""
    return level(box, cabin=Cabin(**HATCH), position=PLACES["cone"])


@pytest.mark.parametrize(
    ("hole_Q", "printed"),
    [(10.0, [18.8, 12.0, 8.0, 3.7, -2.0, -10.8, -15.7]), (3.0, [20.9, 13.3, 9.1, 4.7, -1.0, -9.7, -13.9])],
)
def test_what_sealing_gains_by_the_modes_of_a_cabin(hole_Q, printed, agreement):
    # Printed for points; here cone and hole are squares of their areas. 0.2 dB up to 50 Hz, near which a door 1 m long
    # leaves the model.
    door = Door(**TRIAL, hole_Q=hole_Q, hole_position=PLACES["hole"])
    off = abs(by_modes(SealedBox(volume=0.03)) - by_modes(door) - printed)
    agreement(
        "what sealing a door gains by the modes of a cabin, 20 to 50 Hz", OWN, np.max(off[BANDS <= 50]), 0.2, "dB"
    )


def test_what_sealing_gains_by_the_modes_summed_one_by_one(agreement):
    # The outward flows of cone and hole, each times the sum over 60 x 60 x 60 modes of rho s / V times
    # eps psi psi / (k_n^2 + (s^2 + 2 delta s) / c^2), and c^2 / (flex (s^2 + wl s)) in place of the uniform one.
    # Source: P. M. Morse, K. U. Ingard, "Theoretical Acoustics" (1968), chap. 9 (from memory). The sum is for points,
    # the model for squares of their areas: 0.3 dB.
    s, c = 2j * np.pi * BANDS, AIR.sound_speed
    sizes, ear = np.array([2.3, 1.35, 1.15]), np.array(HATCH["ear"])
    n = np.stack(np.meshgrid(*[np.arange(60)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)[1:]
    k2 = np.square(np.pi * n / sizes).sum(axis=-1)
    weight = np.where(n, 2, 1).prod(axis=-1) * np.cos(np.pi * n * ear / sizes).prod(axis=-1)

    def summed(place):
        terms = weight * np.cos(np.pi * n * np.array(place) / sizes).prod(axis=-1)
        modal = np.array([(terms / (k2 + (z**2 + 13.816 / 0.08 * z) / c**2)).sum() for z in s])
        return modal + c**2 / (1.5 * (s**2 + 2 * np.pi * 15 * s))

    door = Door(**TRIAL, hole_Q=10.0, hole_position=PLACES["hole"])
    speaker = Loudspeaker(driver=PANEL, box=door, cabin=Cabin(**HATCH), position=PLACES["cone"])
    response = solve(speaker, BANDS)
    flows = {aperture.name: aperture.flow for aperture in response.apertures}
    pressure = AIR.density * s / sizes.prod() * sum(flows[name] * summed(place) for name, place in PLACES.items())
    off = abs(response.level - 20 * np.log10(abs(pressure) / 20e-6))
    agreement(
        "a leaky door among the modes of a cabin, 20 to 100 Hz",
        "Morse & Ingard 1968, derived",
        np.max(off),
        0.3,
        "dB",
    )


def test_a_hole_to_the_outside_changes_the_stiffness_alone(agreement):
    # Printed: from -2.9 dB at 20 Hz to +1.7 dB at 100 Hz, with Q 10.
    outside = gain(Door(**TRIAL, hole_Q=10.0, opens_to="outside"))
    off = outside[[0, -1]] - [-2.9, 1.7]
    agreement("what sealing gains where the hole leads outside", OWN, np.max(abs(off)), 0.06, "dB")


def test_the_way_round_from_cone_to_hole(agreement):
    # Printed: 12.5, 8.4 and 6.0 dB at 20 Hz for 0.2, 0.35 and 0.5 m.
    found = gain(Door(**{**TRIAL, "path": np.array([0.2, 0.35, 0.5])}, hole_Q=10.0), [20.0])[:, 0]
    agreement("what sealing gains at 20 Hz, by the way round", OWN, np.max(abs(found - [12.5, 8.4, 6.0])), 0.06, "dB")


def test_a_typical_hole_resonates_where_the_trial_said(agreement):
    # Printed: 134 Hz.
    found = Door(volume=0.03, hole_area=0.03).hole_resonance()
    agreement("resonance of a door's hole, 300 cm2 and 30 litres", OWN, abs(found - 134), 0.5, "Hz")


def test_a_thin_crack_costs_little_and_a_thick_one_much():
    # Printed for the trial's door: a crack of 0.5 mm x 0.6 m costs at most 1 dB below 63 Hz, one of 2 mm costs 11 dB
    # at 20 Hz. No depth is printed. With 20 mm, as deep as a folded seam, both hold; with the 2 mm of a sheet's edge
    # the thin one costs 7 dB at 20 Hz.
    grid = frequencies(20, 63, 12)
    thin, thick = (Door(volume=0.03, crack=(height, 0.6), hole_depth=0.02) for height in (0.5e-3, 2e-3))
    assert np.max(gain(thin, grid)) <= 1.0
    assert gain(thick, [20.0])[0] == pytest.approx(11, abs=0.5)


def test_a_hole_costs_more_than_a_large_panel_without_any_box():
    """An open door is worse than an infinite baffle: the hole's sound comes round."""
    low = BANDS[BANDS <= 63]
    assert np.all(level(Door(**TRIAL), low) < level(InfiniteBaffle(), low))
