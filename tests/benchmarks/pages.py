"""How long pages take in the kernel, without a browser: `python -m tests.benchmarks.pages [PAGE ...]`.

Prints, asserts nothing; some five minutes. Processor time of one thread, so that others who work meanwhile matter less:

* the first build of each page in a fresh process, behind what the server loads early, as a ratio to the median page;
* a move of a slider, until the picture is there, and until the words are; and what follows once the hand rests.
"""

# ruff: noqa: E402
import os

for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS"):
    os.environ[_threads] = "1"  # before numpy is imported: it reads them once

import importlib
import pkgutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from lumpedbox.sliders import lessons
from lumpedbox.sliders.kit.controlled import Controlled
from lumpedbox.sliders.kit.controls import Slider

ROOT = Path(__file__).resolve().parents[2]
MOVES = 8  # of each slider: half there, half back
BUILD = """
import importlib, time
import ipykernel.zmqshell  # what a kernel has loaded already
from lumpedbox.serve import early
early._make_ready()
start = time.process_time()
importlib.import_module("lumpedbox.sliders.lessons.{page}").{page}()
print(time.process_time() - start)
"""


def first_builds(pages, repeats=5):
    """Print how long each page takes that is built first in a process, over the median page."""
    times = {page: [] for page in pages}
    with tempfile.TemporaryDirectory() as compiled:  # everyone starts from compiled modules, as when installed
        environment = {**os.environ, "PYTHONPYCACHEPREFIX": compiled}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        for _ in range(repeats):
            for page, found in times.items():
                command = [sys.executable, "-c", BUILD.format(page=page)]
                found.append(float(subprocess.check_output(command, cwd=ROOT, env=environment, text=True)))
    least = {page: min(found) for page, found in times.items()}
    usual = statistics.median(least.values())
    print(
        f"first build in a fresh process, minima of {repeats}: the median page {usual * 1e3:.0f} ms (1.5 is the target)"
    )
    for page in sorted(least, key=least.get, reverse=True):
        print(f"    {page:22} {least[page] * 1e3:5.0f} ms, ratio {least[page] / usual:.2f} (1.5 is the target)")


def moves(page):
    """Move every slider of a page there and back; return how long picture, words and rest take. [s]"""
    drawn, found = [], []
    page.board.observe(lambda _change: drawn.append(time.process_time()), "picture")
    for control in page.controls.values():
        if not isinstance(control, Slider) or control.name in page.board.hidden:
            continue
        stops = control.stops(page.values, page.system)
        at = min(range(len(stops)), key=lambda place: abs(stops[place] - page.values[control.name]))
        step = 1 if at + MOVES // 2 < len(stops) else -1
        there = [at + step * number for number in (*range(1, MOVES // 2 + 1), *range(MOVES // 2 - 1, -1, -1))]
        for place in there:
            drawn.clear()
            start = time.process_time()
            number = page.board.moved.get("number", 0) + 1
            page.board.moved = {"number": number, "places": {control.name: stops[max(place, 0)]}}
            told = time.process_time()
            page.rest()
            found.append(((drawn or [told])[0] - start, told - start, time.process_time() - told))
    return zip(*found, strict=True)


def each_move(pages):
    """Print of every page with sliders what a move takes."""
    print("a move, medians over all sliders: until the picture, until the words, and at rest [ms]")
    for name in pages:
        page = getattr(importlib.import_module(f"{lessons.__name__}.{name}"), name)()
        if isinstance(page, Controlled) and any(isinstance(control, Slider) for control in page.controls.values()):
            picture, words, rest = (1e3 * statistics.median(times) for times in moves(page))
            print(f"    {name:22} {picture:6.1f} {words:6.1f} {rest:6.1f}")


if __name__ == "__main__":
    wanted = sys.argv[1:] or [found.name for found in pkgutil.iter_modules(lessons.__path__)]
    each_move(wanted)
    first_builds(wanted)
