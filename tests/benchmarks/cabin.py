"""How fast a cabin by its resonances is, against a plain NumPy pass over its modes; prints ratios, asserts nothing.

Run from the repository's root: `python -m tests.benchmarks.cabin` (some ten seconds, one thread).
"""

# ruff: noqa: E402
import os

for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS"):
    os.environ[_threads] = "1"  # before numpy is imported: it reads them once

import numpy as np

from lumpedbox import Air, Cabin, InfiniteBaffle, Loudspeaker, solve
from lumpedbox.parts.room import room_of
from lumpedbox.parts.room_map import summed_at_ears
from tests.benchmarks.engine import driver, interleaved, peak_memory

BUS = Cabin(length=5, width=1.8, height=1.6, law="modes", leak=12, reverberation_time=0.15, ear=(2.6, 0.5, 1.15))
SIZES, SOURCE = np.array([5.0, 1.8, 1.6]), (0.2, 0.2, 0.4)


def modes(reach):
    """Return k^2 and the numbers of every mode up to a frequency. [1/m2]"""
    highest = 2 * np.pi * reach / Air().sound_speed
    axes = [np.arange(int(highest * size / np.pi) + 1) for size in SIZES]
    n = np.stack(np.meshgrid(*axes, indexing="ij")).reshape(3, -1)
    square = np.sum(np.square(np.pi * n / SIZES[:, np.newaxis]), axis=0)
    return square[(square <= highest**2) & (square > 0)], n[:, (square <= highest**2) & (square > 0)]


def one_pass(ear, frequency, square, n):
    """Sum every mode for one ear in one NumPy pass: nothing kept from ear to ear."""
    k = np.pi * n / SIZES[:, np.newaxis]
    shape = np.where(n == 0, 1.0, 2.0) * np.cos(k * np.reshape(SOURCE, (3, 1))) * np.cos(k * np.reshape(ear, (3, 1)))
    s = 2j * np.pi * frequency
    x = (s * s + 13.8 / 0.15 * s) / Air().sound_speed ** 2
    return np.prod(shape, axis=0) @ (1 / (square[:, np.newaxis] + x))


def in_one_product(ears, frequency, square, n):
    """Sum every mode for all ears as one product of matrices: as fast as NumPy can be, and without the rest."""
    weight = 1.0
    for size, place, axis, number in zip(SIZES, SOURCE, ears.T, n, strict=True):
        k = np.pi * np.arange(number.max() + 1) / size
        weight = weight * (np.where(k == 0, 1, 2) * np.cos(k * place) * np.cos(axis[:, np.newaxis] * k))[:, number]
    s = 2j * np.pi * frequency
    return weight @ (1 / (square[:, np.newaxis] + (s * s + 13.8 / 0.15 * s) / Air().sound_speed ** 2))


def main():
    """Print the ratios of a pair, of a map and of a solved loudspeaker, and the memory of 10,000 ears."""
    limit = BUS.modal_limit
    square, n = modes(3 * limit)
    ears = np.random.default_rng(1).uniform((1, 0.2, 0.8), (4, 1.6, 1.4), (640, 3))
    f, few, many = (np.geomspace(10, limit, count) for count in (300, 100, 3000))
    moving = iter(ears)
    room = room_of(BUS, SOURCE, (0, 0, 0), Air())
    speaker = Loudspeaker(driver=driver(), box=InfiniteBaffle(), cabin=BUS, position=SOURCE)
    calls = {
        "pair": lambda: BUS.transfer(f, source=SOURCE, ear=BUS.ear),
        "first pair": lambda: BUS.transfer(f, source=SOURCE, ear=next(moving)),
        "pass": lambda: one_pass(BUS.ear, f, square, n),
        "long pair": lambda: BUS.transfer(many, source=SOURCE, ear=BUS.ear),
        "long pass": lambda: one_pass(BUS.ear, many, square, n),
        "map": lambda: summed_at_ears(room, tuple(ears.T), 2j * np.pi * few, limit),
        "passes": lambda: [one_pass(ear, few, square, n) for ear in ears],
        "product": lambda: in_one_product(ears, few, square, n),
        "solve": lambda: solve(speaker, f),
    }
    times = {name: min(found) for name, found in interleaved(calls, 7).items()}
    print(f"{len(square)} modes up to three times {limit:.0f} Hz, minima of 7")
    pairs = (("pair", "pass"), ("first pair", "pass"), ("long pair", "long pass"), ("map", "passes"))
    pair, new, longer, whole = (times[a] / times[b] for a, b in pairs)
    print(f"one pair, 300 frequencies: {times['pair'] * 1e3:.2f} ms, {pair:.2f} of one pass (0.5 is the limit)")
    print(f"    a pair never asked for before: {times['first pair'] * 1e3:.2f} ms, {new:.2f} of one pass")
    print(f"one pair, 3,000 frequencies: {times['long pair'] * 1e3:.2f} ms, {longer:.2f} of one pass")
    print(f"640 ears, 100 frequencies: {times['map'] * 1e3:.0f} ms, {whole:.3f} of a pass an ear (0.5 is the limit)")
    print(f"    {times['map'] / times['product']:.1f} times one product of matrices, which leaves out the rest")
    print(f"a solved loudspeaker, 300 frequencies up to the limit: {times['solve'] * 1e3:.1f} ms")
    before = peak_memory()
    solve(speaker, few).levels_at(np.random.default_rng(1).uniform((1, 0.2, 0.8), (4, 1.6, 1.4), (10_000, 3)))
    print(f"10,000 ears, 100 frequencies: peak {peak_memory():.0f} MiB, {before:.0f} MiB before (1024 is the limit)")


if __name__ == "__main__":
    main()
