"""How fast a plan of stages is, against bare solves of its system; prints ratios, asserts nothing.

Run from the repository's root: `python -m tests.benchmarks.plan` (about a minute, one thread).
"""

# ruff: noqa: E402
import os

for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS"):
    os.environ[_threads] = "1"  # before numpy is imported: it reads them once

import itertools
import time

import numpy as np

from lumpedbox import solve
from lumpedbox.plan import demo_plan, figures, lines, search, solved, table
from lumpedbox.plan.lattice import Lattice
from lumpedbox.plan.library import Library
from lumpedbox.plan.reading import plan_of

NAMES = ("keep bass from the roof", "seal the step wells", "amplifier", "bass box", "tweeters at the middle row")


def forget():
    """Solve every channel anew."""
    for kept in (lines.line_after, solved._solved, solved.solved, solved.passed):
        kept.cache_clear()


def took(call, repeats=1):
    """Return the least time of a few calls, all channels solved anew for each. [s]"""
    least = np.inf
    for _ in range(repeats):
        forget()
        start = time.perf_counter()
        call()
        least = min(least, time.perf_counter() - start)
    return least


def of_eight(plan):
    """Return the plan with two more stages, in all eight: 256 sets, of which `after` leaves out some."""
    more = (
        '[stage."a shelf in front"]\nfilter = { "front left" = ["shelf -3 dB below 120 Hz"], '
        '"front right" = ["shelf -3 dB below 120 Hz"] }\n'
        '[stage."a shelf for the roof"]\nfilter = { "roof and middle left" = ["shelf 3 dB above 2 kHz"] }\n'
    )
    text = plan.text.replace('after = ["amplifier"]\n', "") + more  # every set is possible
    return plan_of(text.partition("[orders]")[0] + more, "plan.toml", Library(plan.my_parts))


def search_only(count, thrift):
    """Return the time of the search over random values of all sets. [s]"""
    draw = np.random.default_rng(1)
    values, costs = 90 + 10 * draw.random(2**count), draw.integers(0, 5, count).astype(float)
    cost = np.array([sum(costs[i] for i in range(count) if s >> i & 1) for s in range(2**count)])
    lattice = Lattice((0,) * count, values)
    start = time.perf_counter()
    totals = lattice.totals(complete=False)
    end = int(totals.argmax())
    lattice.order(end, lattice.sums())
    if thrift:
        stays = (count - end.bit_count()) * values[end]
        lattice.latest(end, cost, totals.max() - thrift * count - stays)
    return time.perf_counter() - start


def main():
    """Print the ratios to a bare solve, and the times of the search."""
    plan = demo_plan()
    whole = plan.after(*plan.stages).system
    grid = solved.FREQUENCY
    bare = took(lambda: solve(whole, grid).level, 5)
    print(f"a bare solve of the whole system, {len(grid)} frequencies: {1e3 * bare:.1f} ms")
    one = took(lambda: figures(plan.after(*plan.stages)), 5)
    print(f"figures of one stage: {one / bare:.2f} bare solves (3 is the limit)")
    eight = of_eight(plan)
    sets = [done for size in range(9) for done in itertools.combinations(eight.stages, size)]
    every = took(lambda: [figures(eight.after(*done)) for done in sets])
    print(f"figures of all {len(sets)} sets of eight stages: {every / bare:.0f} bare solves (300 is the limit)")
    print(f"the search over them: {took(lambda: search(eight)) / bare:.0f} bare solves")
    usual = took(lambda: [search(plan), *(table(plan, order) for order in (NAMES, NAMES[:3]))])
    print(f"the demo's six stages searched and two orders as tables: {usual:.2f} s (1 s asked of five stages)")
    for thrift in (0.0, 1.0):
        least = min(search_only(12, thrift) for _ in range(3))
        print(f"the search over twelve stages, all solved, thrift {thrift:g}: {1e3 * least:.0f} ms (100 is the limit)")


if __name__ == "__main__":
    main()
