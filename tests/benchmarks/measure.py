"""How fast measured impedances are fitted, against bare solves of the same points; prints ratios, asserts nothing.

Run from the repository's root: `python -m tests.benchmarks.measure` (some seconds, one thread).
"""

# ruff: noqa: E402
import os

for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS"):
    os.environ[_threads] = "1"  # before numpy is imported: it reads them once

import time

import numpy as np

from lumpedbox import solve
from lumpedbox.measure import compare, driver_from_impedance, next_reading
from lumpedbox.measure.fitting import solution
from tests.built_boxes import built_from, impedance_of, plan_of
from tests.measured_drivers import CURVES, METER, arguments, driver_of, grid, setups


def took(call, repeats=20):
    """Return the least time of a few calls. [s]"""
    least = np.inf
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        least = min(least, time.perf_counter() - start)
    return least


def main():
    """Print the ratios to bare solves, and what a further reading costs."""
    draw = np.random.default_rng(1)
    driver = driver_of(draw)
    speaker = setups(driver)[2]["free_air"]
    bare = took(lambda: solve(speaker, grid(driver)).impedance)
    print(f"a bare solve of 200 points: {1e3 * bare:.2f} ms")
    for names in (CURVES[:1], CURVES[:2], CURVES):
        measured = arguments(draw, driver, 0.01, names)
        setup = driver_from_impedance(**measured).solution.setup
        fit, whole = took(lambda s=setup: solution(s)), took(lambda m=measured: driver_from_impedance(**m))
        said = f"{len(names)} x 200 points: the fit {fit / bare:.1f} bare solves of 200"
        print(f"{said} (20 is the limit for one curve), with all its doubts {whole / bare:.0f}")
    readings = arguments(draw, driver, 0.02, CURVES[:2], METER, phase=False)
    found = driver_from_impedance(**readings, Re=driver.Re)
    fit = took(lambda: driver_from_impedance(**readings, Re=driver.Re))
    coming = took(lambda: next_reading(found))
    print(f"2 x 25 readings of a meter: {1e3 * fit:.1f} ms with all doubts, the next reading {1e3 * coming:.1f} ms")
    plan = plan_of(draw, vented=True)
    built = impedance_of(draw, built_from(draw, plan, "tuning"))
    print(f"a vented box of 120 points against its plan: {1e3 * took(lambda: compare(built, plan), 3):.0f} ms")


if __name__ == "__main__":
    main()
