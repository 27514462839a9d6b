"""How fast the engine is, against general-purpose tools on the same points; it prints ratios and asserts nothing.

Run from the repository's root: `python -m tests.benchmarks.engine` (about two minutes, one thread).
Put part letters behind it to run only those, as in `python -m tests.benchmarks.engine a c`.
"""

# ruff: noqa: E402
import os

for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS"):
    os.environ[_threads] = "1"  # before numpy is imported: it reads them once

import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import scipy.signal

from lumpedbox import Driver, Loudspeaker, VentedBox, frequencies, solve, sweep
from lumpedbox.circuit.spice import netlist
from lumpedbox.units import cm2, litre, mH

ROOT = Path(__file__).resolve().parents[2]
CURVES = ("level", "phase", "group_delay", "excursion", "impedance", "port_velocity")
B, A = [1, 0, 0, 0, 0], [1, 2.6, 3.4, 2.6, 1]  # a fourth-order high-pass, all that freqs is asked for
MEMBERS, POINTS = 10_000, 300
MILLION = 100 * MEMBERS
MEBIBYTE = 2**20


def driver():
    """Return an invented 250 mm driver with coil inductance."""
    return Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=60 * litre, Sd=330 * cm2, Re=3.4, Le=0.5 * mH)


def lossy_vented(volume, fb):
    """Return that driver in a vented box with every loss."""
    box = VentedBox(volume=volume, fb=fb, Ql=7, Qa=50, Qp=30, port_area=80 * cm2)
    return Loudspeaker(driver=driver(), box=box)


def family(members=MEMBERS):
    """Return boxes that differ in volume and tuning."""
    generator = np.random.default_rng(1)
    return lossy_vented(generator.uniform(20, 120, members) * litre, generator.uniform(20, 60, members))


def all_curves(loudspeaker, frequency):
    """Make the public calls that a reader of the documentation would make."""
    response = solve(loudspeaker, frequency)
    return [getattr(response, curve) for curve in CURVES]


def interleaved(calls, repeats):
    """Time each call `repeats` times, in turn, so that a busy moment of the machine meets them all. [s]"""
    times = {name: [] for name in calls}
    for _ in range(repeats):
        for name, call in calls.items():
            start = time.perf_counter()
            call()
            times[name].append(time.perf_counter() - start)
    return times


def peak_memory():
    """Peak memory of this process. [MiB]"""
    status = Path("/proc/self/status")
    if status.exists():  # on Linux the other count starts at the peak that the parent had reached
        return int(status.read_text().split("VmHWM:")[1].split()[0]) * 1024 / MEBIBYTE
    scale = 1 if sys.platform == "darwin" else 1024  # kibibytes but on macOS
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * scale / MEBIBYTE


def memory_of_the_family():
    """Print the peak before and after part (a); this runs in a process of its own."""
    before = peak_memory()
    kept = all_curves(family(), np.geomspace(10, 500, POINTS))
    results = sum(curve.nbytes for curve in kept) / MEBIBYTE
    print(f"{before:.0f} MiB when imported, {peak_memory():.0f} MiB at the peak, {results:.0f} MiB of it six curves")


def part_a():
    """Compare a large family with one flat call of freqs."""
    command = [sys.executable, __file__, "--memory"]
    memory = subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip()
    members, frequency = family(), np.geomspace(10, 500, POINTS)
    w = np.tile(2 * np.pi * frequency / 250, MEMBERS)
    calls = {
        "curves": lambda: all_curves(members, frequency),
        "solve": lambda: solve(members, frequency),
        "freqs": lambda: scipy.signal.freqs(B, A, w),
    }
    times = {name: min(found) for name, found in interleaved(calls, 7).items()}
    print(f"(a) {MEMBERS} lossy vented boxes x {POINTS} frequencies, six curves, minima of 7")
    print(f"    lumpedbox {times['curves']:.3f} s (solve alone {times['solve']:.3f} s), freqs {times['freqs']:.3f} s")
    print(f"    ratio {times['curves'] / times['freqs']:.2f} (1.4 is the target, 3 the limit)")
    print(f"    memory: {memory} (less than 1024 MiB is the target)")


def part_b():
    """Compare one loudspeaker with freqs and with ngspice."""
    single, frequency = lossy_vented(50 * litre, 32.0), np.geomspace(10, 500, 600)
    w = 2 * np.pi * frequency / 250
    calls = {"curves": lambda: all_curves(single, frequency), "freqs": lambda: scipy.signal.freqs(B, A, w)}
    times = {name: min(found) for name, found in interleaved(calls, 300).items()}
    print("(b) one lossy vented box x 600 frequencies, six curves, minima of 300")
    print(f"    lumpedbox {times['curves'] * 1e3:.2f} ms, freqs {times['freqs'] * 1e3:.3f} ms")
    print(f"    ratio {times['curves'] / times['freqs']:.1f} (9 is the target, 25 the limit)")
    if not shutil.which("ngspice"):
        print("    ngspice is not installed")
        return
    written = netlist(single, frequency)
    found = interleaved({"written": ngspice(written), "sweep": ngspice(one_sweep(written, frequency))}, 5)
    for name, words in (("written", "the netlist as written"), ("sweep", "the same as one sweep, quicker for ngspice")):
        spice = min(found[name])
        print(f"    ngspice, {words}: {spice * 1e3:.0f} ms, {spice / times['curves']:.0f} times (15 is the target)")


def ngspice(text):
    """Return a call that runs ngspice on a netlist."""

    def run():
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "speaker.cir"
            path.write_text(text)
            subprocess.run(["ngspice", "-b", str(path)], check=False, capture_output=True, cwd=folder)

    return run


def one_sweep(text, frequency):
    """Return a netlist with its loop over frequencies turned into one sweep."""
    sweep = f"ac dec {len(frequency) / np.log10(frequency[-1] / frequency[0]):.0f} {frequency[0]} {frequency[-1]}"
    head, _, rest = text.partition("foreach point")
    _, _, printing = rest.partition("ac lin 1 $point $point")
    return head + sweep + printing.replace("end\nquit", "quit")


def part_c():
    """Compare the time to import, each in a fresh interpreter."""

    names = ("pass", "import numpy", "import lumpedbox", "from lumpedbox import *")
    with tempfile.TemporaryDirectory() as compiled:  # everyone starts from compiled modules, as when installed
        environment = {**os.environ, "PYTHONPYCACHEPREFIX": compiled}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)

        def fresh(code):
            subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT, env=environment)

        calls = {name: lambda name=name: fresh(name) for name in names}
        interleaved(calls, 1)
        times = interleaved(calls, 21)
    empty, numpy, ours, all_names = (min(times[name]) for name in names)
    print("(c) fresh interpreters, minima of 21")
    print(f"    lumpedbox {ours * 1e3:.0f} ms, numpy {numpy * 1e3:.0f} ms, an empty interpreter {empty * 1e3:.0f} ms")
    print(f"    ratio {ours / numpy:.2f} (1.35 is the target); every name looked up {all_names / numpy:.2f}")
    print(f"    ratio without the interpreter {(ours - empty) / (numpy - empty):.2f}")


def part_d():
    """Show how other shapes of work fare, so that part (a) is no special case."""
    single = lossy_vented(50 * litre, 32.0)
    long, few = np.geomspace(10, 500, 30_000), lossy_vented(np.linspace(20, 120, 10) * litre, 32.0)
    calls = {
        "one box, 30,000 frequencies": lambda: all_curves(single, long),
        "ten boxes, 3,000 frequencies": lambda: all_curves(few, long[::10]),
        "f3 of ten boxes": lambda: solve(few, frequencies(10, 500)).f3,
    }
    print("(d) other shapes, minima of 5")
    for name, found in interleaved(calls, 5).items():
        print(f"    {name}: {min(found) * 1e3:.1f} ms")


def loudest(response):
    """Return the highest level of each member. [dB re 20 uPa]"""
    return response.level.max(axis=-1)


def swept_million():
    """Sweep a million boxes and print the time, and the peak early and late; this runs in a process of its own."""
    peaks, start = [], time.perf_counter()
    sweep(
        *(family(MILLION), np.geomspace(10, 500, POINTS)),
        reduce=loudest,
        progress=lambda done, members: peaks.append(peak_memory()),
    )
    print(time.perf_counter() - start, peaks[len(peaks) // 10], peaks[-1])


def part_e():
    """Sweep a million boxes, and compare with flat calls of freqs on as many points."""
    command = [sys.executable, "-m", "tests.benchmarks.engine", "--swept"]
    told = subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT).stdout
    seconds, early, late = map(float, told.split())
    w = np.tile(2 * np.pi * np.geomspace(10, 500, POINTS) / 250, MEMBERS)
    flat = MILLION / MEMBERS * min(interleaved({"freqs": lambda: scipy.signal.freqs(B, A, w)}, 7)["freqs"])
    print(f"(e) {MILLION} lossy vented boxes x {POINTS} frequencies, swept for their highest level")
    print(f"    {seconds:.1f} s; {MILLION // MEMBERS} flat calls of freqs {flat:.1f} s, ratio {seconds / flat:.2f}")
    print(f"    memory: {early:.0f} MiB after a tenth, {late:.0f} MiB at the peak (256 MiB is the limit)")


PARTS = {"a": part_a, "b": part_b, "c": part_c, "d": part_d, "e": part_e}


def main(arguments):
    """Run the parts asked for, or all."""
    if arguments == ["--memory"]:
        memory_of_the_family()
        return
    if arguments == ["--swept"]:
        swept_million()
        return
    for letter in arguments or PARTS:
        PARTS[letter]()


if __name__ == "__main__":
    main(sys.argv[1:])
