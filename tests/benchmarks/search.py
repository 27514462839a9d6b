"""How good and how fast the search for a box is; it prints and asserts nothing.

Run from the repository's root: `python -m tests.benchmarks.search` (some five minutes).
"""

# ruff: noqa: E402
import os

for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS"):
    os.environ[_threads] = "1"  # before numpy is imported: it reads them once

import time
from dataclasses import replace

import numpy as np

from lumpedbox import Air, Amplifier, Brief, Loudspeaker, VentedBox, frequencies, recommend, solve
from lumpedbox.design.search.boxes import COARSE, Boxes
from lumpedbox.design.search.brief import HIGHEST, LOWEST
from lumpedbox.design.search.candidates import Candidates
from lumpedbox.tables import demo_drivers
from lumpedbox.units import cm2, litre
from tests.reference import dense

BRIEFS = 24
CANDIDATES = 20_000


def compare():
    """Compare the search with dense families on random briefs."""
    percent, decibel, counted, disagree = [], [], 0, 0
    for seed in range(BRIEFS):
        driver, brief = dense.random_case(seed)
        found = {design.kind: design.values[brief.aim] for design in recommend(driver, brief).designs}
        for kind in ("sealed", "vented"):
            best = dense.dense_best(kind, driver, brief)
            if np.isinf(best) or kind not in found:
                disagree += np.isinf(best) == (kind in found)
                continue
            counted += 1
            excess = found[kind] - best
            if brief.aim == "ripple":
                decibel.append(excess)
            else:
                percent.append(excess / best if best else excess)
    print(f"{BRIEFS} random briefs, sealed and vented; {counted} met, {disagree} met by one side only")
    print(f"    worse than the best of a dense family by at most {100 * max(percent):.2f} % (1 is the target)")
    print(f"    better by at most {-100 * min(percent):.2f} %; humps from {min(decibel):.3f} to {max(decibel):.3f} dB")


def timed():
    """Compare the time of a search with that of solving its candidates alone."""
    driver = demo_drivers()["200 mm bass"]
    amplifier = Amplifier(power=30, rated_impedance=4, minimum_load=2)
    brief = Brief(volume=30 * litre, amplifier=amplifier, port_area=60 * cm2, lowest=35)
    refused = replace(brief, volume=8 * litre, port_area=20 * cm2)
    candidates = Candidates(Boxes.within(driver, "vented", brief, Air()), CANDIDATES)
    volume, tuning = candidates.boxes.volumes_and_tunings(candidates.points)
    area = candidates.values["area"]
    frequency = np.union1d(frequencies(LOWEST, HIGHEST, COARSE), brief.lowest)

    def bare():
        box = VentedBox(volume=volume, fb=tuning, port_area=area, Ql=brief.Ql)
        solve(Loudspeaker(driver=driver, box=box), frequency, brief.drive)

    calls = {
        "search": lambda: recommend(driver, brief, candidates=CANDIDATES),
        "judged": lambda: Candidates(Boxes.within(driver, "vented", brief, Air()), CANDIDATES),
        "refused": lambda: recommend(driver, refused, candidates=CANDIDATES),
        "bare": bare,
    }
    times = {name: [] for name in calls}
    for _ in range(7):
        for name, call in calls.items():
            start = time.process_time()
            call()
            times[name].append(time.process_time() - start)
    best = {name: min(found) for name, found in times.items()}
    print(
        f"search of {len(volume)} vented boxes, and sealed ones: {best['search']:.2f} s, of processor time, minima of 7"
    )
    print(f"    {best['search'] / best['judged']:.2f} times judging the vented ones once (1.3 is the target)")
    print(f"    {best['search'] / best['bare']:.2f} times the bare solve of the vented ones (3 is the limit)")
    print(
        f"    {best['refused'] / best['bare']:.2f} times where the vented ones are refused and ways out are looked for"
    )


if __name__ == "__main__":
    timed()
    compare()
