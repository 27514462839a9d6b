"""The cabin by its resonances against closed forms, sums and solvers that share nothing with its own closed form.

Source: P. M. Morse, K. U. Ingard, "Theoretical Acoustics" (1968), chap. 9 (from memory): the Green's function of a
rectangular room as a sum over modes. Numbers are derived for c = 343.2 m/s.
"""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Cabin, Door, InfiniteBaffle, Loudspeaker, solve
from lumpedbox.circuit.resonances import Resonances
from lumpedbox.parts.room import Room

SOURCE = "Morse & Ingard 1968, derived"
C, SIZES = 343.2, (2.5, 1.4, 1.15)


def room(source, ear, sizes=SIZES, damping=1e-9, leak=0.0, flex=1.0, widths=(0.0, 0.0)):
    return Room(sizes, source, ear, *widths, flex * np.prod(sizes), leak, damping, C)


def heard(one, frequency):
    """Return the sum over modes at frequencies in Hz."""
    return one.summed(2j * np.pi * np.atleast_2d(frequency))[0][0]


def test_poles_lie_at_the_modes(table, agreement):
    # At s = -delta + j sqrt(w0^2 - delta^2) the sum is infinite; 1e-3 Hz beside it, it is not. Corner to corner, every
    # mode is heard. The table has six decimals, so half a unit of 1e-6 Hz is allowed.
    rows, delta = table("cavity_modes"), 40.0
    one = room((0, 0, 0), SIZES, damping=2 * delta)
    for f0 in rows["f_Hz"]:
        near = f0 + np.linspace(-1e-3, 1e-3, 2001)
        s = -delta + 1j * np.sqrt((2 * np.pi * near) ** 2 - delta**2)
        at = np.abs(one.summed(s[np.newaxis])[0][0])
        agreement("resonances of a cabin [Hz]", SOURCE, abs(near[np.argmax(at)] - f0), 1.5e-6)
        assert at.max() > 100 * at[0]


def test_resonances_are_heard(reference_air):
    # Quoted (derived): 68.640, 122.571, 137.280, 140.482 Hz. With the longest reverberation each is a peak of its own.
    cabin = Cabin(length=2.5, width=1.4, height=1.15, law="modes", reverberation_time=5, ear_box=0)
    for f0 in (68.640, 122.571, 137.280, 140.482):
        f = f0 + np.linspace(-0.5, 0.5, 101)
        found = np.abs(cabin.transfer(f, source=(0, 0, 0), ear=SIZES, air=reference_air))
        assert f[np.argmax(found)] == pytest.approx(f0, abs=0.05)


def test_over_the_uniform_pressure(agreement):
    # Quoted (derived): full sum over the uniform law at (2.0, 1.0, 0.9) from (0.1, 0.3, 0.2), no damping, no leak.
    f = np.array([5.0, 10, 20, 30, 40, 50])
    quoted = np.array([1.00784, 1.03191, 1.13726, 1.35250, 1.77758, 2.73878])
    uniform = C**2 / (np.prod(SIZES) * (2j * np.pi * f) ** 2)
    ratio = heard(room((0.1, 0.3, 0.2), (2.0, 1.0, 0.9)), f) / uniform
    assert np.max(abs(ratio.imag)) < 1e-9
    agreement("pressure in a cabin over the uniform law, 5 to 50 Hz", SOURCE, np.max(abs(ratio - quoted)), 6e-6)


def mode_by_mode(one, frequency, highest):
    """Return the sum over every mode up to a wave number, one by one, from the textbook's double sum."""
    axes = [np.arange(int(highest * size / np.pi) + 1) for size in one.sizes]
    n = np.stack(np.meshgrid(*axes, indexing="ij")).reshape(3, -1)
    k = np.pi * n / np.array(one.sizes)[:, np.newaxis]
    square = np.sum(k * k, axis=0)
    k, n, square = k[:, square <= highest**2], n[:, square <= highest**2], square[square <= highest**2]
    shape = np.where(n == 0, 1.0, 2.0)
    for place, width in ((one.source, one.source_width), (one.ear, one.ear_width)):
        shape = shape * np.cos(k * np.array(place)[:, np.newaxis]) * np.sinc(k * width / (2 * np.pi))
    weight, s = np.prod(shape, axis=0)[1:], 2j * np.pi * frequency
    x = (s * s + one.damping * s) / C**2
    others = np.sum(weight / (square[1:] + x[:, np.newaxis]), axis=1) / np.prod(one.sizes)
    return C**2 / (one.softness * (s * s + one.leak * s)) + others


@pytest.mark.parametrize("seed", range(4))
def test_every_mode_one_by_one(seed, agreement):
    # 12 pairs a seed, averaged over 0.18 and 0.15 m, which makes the plain sum converge: beyond k = 90 little is left.
    draw, f = np.random.default_rng(seed), np.array([10.0, 40, 90, 160, 250])
    for _ in range(12):
        sizes = draw.uniform(1.1, 4.0, 3)
        source, ear = (draw.uniform(0.1, sizes - 0.1) for _ in range(2))
        if np.max(abs(source - ear)) < 0.3:
            continue
        one = room(tuple(source), tuple(ear), tuple(sizes), 150.0, 80.0, 1.5, (0.18, 0.15))
        miss = 20 * np.log10(abs(heard(one, f) / mode_by_mode(one, f, 90)))
        agreement("a pair in a cabin, mode by mode", SOURCE, np.max(abs(miss)), 2e-3, "dB")


def faded_by_hand(one, frequency, limit, distance, step=1.0, highest=50):
    """Return the gain of one opening in the octave around the limit, its phase unwrapped along a grid. [Hz], [1/m]"""
    f = np.unique([*np.arange(1.0, 1.5 * limit, step), *frequency])
    gain = 2 * np.pi * distance * np.concatenate([mode_by_mode(one, some, highest) for some in np.array_split(f, 40)])
    over_half_space = gain * np.exp(2j * np.pi * f * distance / C)
    logarithm = np.log(abs(over_half_space)) + 1j * np.unwrap(np.angle(over_half_space))
    gamma = 0.5 + 0.5 * np.sin(np.pi * np.clip(np.log2(f / limit), -0.5, 0.5))
    return (gain * np.exp(-gamma * logarithm))[np.searchsorted(f, frequency)]


def test_openings_fade_each_by_itself_and_then_add_up(driver, reference_air, agreement):
    # Level and unwrapped phase of each opening fade (the equation of `Cabin`); the sum over modes is made one by one.
    cabin = Cabin(length=2.5, width=1.4, height=1.15, law="modes", ear=(1.2, 0.9, 0.85), ear_box=0)
    door = Door(volume=0.03, hole_area=0.03, hole_position=(0.9, 0.0, 0.75))
    speaker = Loudspeaker(driver=driver, box=door, cabin=cabin, position=(0.5, 0.0, 0.3))
    limit = float(cabin.modal_limit)
    f = limit * 2 ** np.array([-0.6, -0.4, -0.25, -0.1, 0.0, 0.1, 0.25, 0.4, 0.6])
    response, pressure = solve(speaker, f, air=reference_air), 0.0
    for opening in response.apertures:
        r, widths = np.linalg.norm(np.subtract(opening.place, cabin.ear)), (opening.width, 0.0)
        one = room(opening.place, cabin.ear, SIZES, 6 * np.log(10) / 0.08, 2 * np.pi * 15, 1.5, widths)
        pressure = pressure + opening.flow / (2 * np.pi * r) * faded_by_hand(one, f, limit, r)
    expected = 20 * np.log10(abs(2 * np.pi * f * reference_air.density * pressure) / 20e-6)
    of_one = "cone and hole in a cabin, around the modal limit"
    agreement(of_one, SOURCE, np.max(abs(response.level - expected)), 0.05, "dB")
    agreement(f"{of_one}, on a map", SOURCE, np.max(abs(response.levels_at(cabin.ear) - expected)), 0.1, "dB")


# Two of 400 cabins drawn at random, in which the phase beside a narrow dip turns by nearly half a turn within an
# eighth of a resonance's width.
NARROW = [
    ((3.184, 1.962, 1.768), (1.054, 1.055, 0.254), (2.850, 1.347, 0.733), (0.272, 0.072), 14.695, 30.63, 50.736),
    ((5.250, 1.458, 1.565), (1.781, 1.277, 0.505), (3.854, 1.024, 0.296), (0.120, 0.074), 17.307, 20.83, 32.673),
]


@pytest.mark.parametrize(("sizes", "source", "ear", "widths", "softness", "leak", "damping"), NARROW)
def test_beside_a_narrow_dip_the_phase_turns_the_right_way(
    sizes, source, ear, widths, softness, leak, damping, agreement
):
    one = Room(sizes, source, ear, *widths, softness, leak, damping, C)
    limit = 2000 * np.sqrt(6 * np.log(10) / damping / np.prod(sizes))
    r, f = np.linalg.norm(np.subtract(source, ear)), limit * 2 ** np.linspace(-0.6, 0.6, 60)
    found = Resonances("resonances", one, r, 2 * np.pi, limit).alone(2j * np.pi * f[np.newaxis])[0]
    by = abs(np.log(found / faded_by_hand(one, f, limit, r, step=0.1, highest=35)))
    agreement("a cabin around its modal limit, beside a narrow dip", SOURCE, np.max(by), 0.1)


@pytest.mark.parametrize("ear", [(2.0, 1.0, 0.9), (0.7, 0.3, 0.2), (0.1, 1.2, 0.5)])
def test_reciprocity(ear, agreement):
    cabin = Cabin(length=2.5, width=1.4, height=1.15, law="modes", ear_box=0)
    f, source = np.geomspace(5, 500, 40), (0.1, 0.3, 0.2)
    there, back = cabin.transfer(f, source=source, ear=ear), cabin.transfer(f, source=ear, ear=source)
    agreement("source and ear changed over", "reciprocity", np.max(abs(there / back - 1)), 1e-12)


def test_a_narrow_cabin_is_a_pipe(agreement):
    # A piston at x = 0 of a pipe: p / uniform = k L cos(k (L - x)) / sin(k L). At the far end k L / sin k L, in the
    # middle (k L / 2) / sin(k L / 2). Across 0.3 m what is not plane decays by e^-13 in 0.625 m.
    length, f = 2.5, np.array([5.0, 20, 35, 50, 65, 80, 120])
    k = 2 * np.pi * f / C
    uniform = C**2 / (length * 0.09 * (2j * np.pi * f) ** 2)
    for x in (length, length / 2, length / 4):
        ratio = heard(room((0, 0.15, 0.15), (x, 0.15, 0.15), (length, 0.3, 0.3)), f) / uniform
        expected = k * length * np.cos(k * (length - x)) / np.sin(k * length)
        agreement("a narrow cabin as a pipe", SOURCE, np.max(abs(ratio / expected - 1)), 1e-4)


CABINS = (
    Cabin(length=5.0, width=1.8, height=1.6, law="modes", leak=12, reverberation_time=0.15, ear_box=0.15),
    Cabin(length=2.3, width=1.35, height=1.15, law="modes", leak=15, reverberation_time=0.08, ear_box=0.15),
)


@pytest.mark.parametrize("cabin", CABINS)
def test_at_low_frequencies_it_meets_the_law_of_the_volume(cabin, driver):
    # Between front and rear places of both invented cabins, against law "volume" at the true distance. At 10 Hz
    # 0.1 to 0.6 dB are left by the first resonances; at 2 Hz next to nothing.
    sizes = np.array([cabin.length, cabin.width, cabin.height])
    for share in ((0.1, 0.1, 0.2), (0.9, 0.9, 0.1)):
        place, ear = tuple(sizes * share), tuple(sizes * (0.52, 0.3, 0.7))
        inside = Loudspeaker(driver=driver, box=InfiniteBaffle(), cabin=cabin, position=place)
        inside = dataclasses.replace(inside, cabin=dataclasses.replace(cabin, ear=ear))
        modes = solve(inside, [2.0, 10.0])
        volume = dataclasses.replace(inside, cabin=dataclasses.replace(inside.cabin, law="volume"))
        miss = abs(modes.level - solve(volume, [2.0, 10.0], distance=modes.distance).level)
        assert miss[0] < 0.05
        assert miss[1] < 0.6


def test_mirror_images_in_the_time_domain(agreement):
    # Without damping, rigid walls mirror the source: p(t) = sum of U'(t - r/c) / (4 pi r) over all images. No modes, no
    # frequencies: only distances. U is a Gaussian pulse of 1 ms. Our side: the inverse Laplace integral of
    # s U(s) Sigma(s) along Re s = 300. In 20 ms sound goes 6.9 m: images up to 9 m count.
    source, ear, tau, start = (0.3, 0.35, 0.2), (1.9, 1.0, 0.8), 1e-3, 6e-3
    period, sigma = 0.08, 300.0
    w = 2 * np.pi * np.arange(100) / period
    s = sigma + 1j * w
    pulse = tau * np.sqrt(2 * np.pi) * np.exp((s * tau) ** 2 / 2 - s * start)
    spectrum = s * pulse * room(source, ear, damping=0.0).summed(s[np.newaxis])[0][0]
    t = np.linspace(0, start + 0.02, 200)
    ours = np.exp(sigma * t) * 2 / period * np.real(np.exp(1j * np.outer(t, w)) @ (spectrum * np.where(w == 0, 0.5, 1)))
    theirs = np.zeros_like(t)
    for n in np.ndindex(5, 7, 9):
        for flip in np.ndindex(2, 2, 2):
            image = [
                2 * (m - half) * L + (1 - 2 * b) * x
                for m, half, L, b, x in zip(n, (2, 3, 4), SIZES, flip, source, strict=True)
            ]
            r = np.sqrt(np.sum(np.square(np.subtract(image, ear))))
            late = t - start - r / C
            theirs += -late / tau**2 * np.exp(-((late / tau) ** 2) / 2) / (4 * np.pi * r)
    reached = np.max(abs(ours - theirs)) / np.max(abs(theirs))
    agreement("first 20 ms in a cabin, against mirror images", "mirror images, derived", reached, 1e-6)
