"""How fast measured impedances are fitted, against bare solves of the same points; prints ratios, asserts nothing.

Run from the repository's root: `python -m tests.benchmarks.measure` (some seconds, one thread).
"""

# ruff: noqa: E402
import os

for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS"):
    os.environ[_threads] = "1"  # before numpy is imported: it reads them once

import time

import numpy as np

from lumpedbox import Cabin, solve
from lumpedbox.measure import compare, driver_from_impedance, next_reading
from lumpedbox.measure.fitting import solution
from lumpedbox.sliders.lessons.measure_a_driver import measure_a_driver
from lumpedbox.sliders.lessons.measure_a_driver.bench import CURVES as STEPS
from lumpedbox.sliders.lessons.measure_a_driver.steps import FREE, PRACTICE
from tests.built_boxes import built_from, impedance_of, level_of, plan_of, vehicle_built, vehicle_of
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
    bus = Cabin(length=5, width=1.8, height=1.6, law="modes", leak=12, reverberation_time=0.15, ear=(2.6, 0.5, 1.15))
    for cabin, said in ((None, "without a cabin"), (bus, "in a cabin by its resonances")):
        vehicle = vehicle_of(draw, cabin)
        level = level_of(draw, vehicle_built(draw, vehicle, "tuning")[0])
        print(f"a level curve {said} against its plan: {took(lambda v=vehicle, m=level: compare(m, v), 1):.1f} s")
    print(f"a new reading on the page: {1e3 * new_reading():.0f} ms in the kernel (100 is the limit)")


def new_reading():
    """Return the time from a new reading on the page to all that is shown of it, after 15 on each curve. [s]"""
    page = measure_a_driver()
    page.put(what=PRACTICE[0])

    def read(key):
        page._do("meter", {"curve": key, "frequency": ""})

    for key in STEPS:
        for _ in range(15):
            read(key)
    return took(lambda: read(FREE), 10)


if __name__ == "__main__":
    main()
