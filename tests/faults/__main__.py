"""Plant each fault in a copy of the repository and show that the test named in its patch fails there.

Run it as `python -m tests.faults`, with names of faults to try only those. It ends with status 1 if a fault goes
unnoticed, or if a patch no longer applies.
"""

import importlib
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from multiprocessing import get_context
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
COPIED = ("lumpedbox", "tests", "data", "notebooks", "README.md", "DEVELOPERS.md", "pyproject.toml")
PATCHES = sorted(HERE.glob("*.patch"))
LOADED_BEFORE = ("CoolProp.HumidAirProp", "control", "hypothesis", "matplotlib.pyplot", "mpmath", "pandas")
LOADED_BEFORE += ("scipy.optimize", "scipy.signal")
SAID = "said.txt"  # by the tests, in the copy


def told(patch):
    """Return what a patch says of itself: the fault, and the test that catches it."""
    lines = patch.read_text(encoding="utf-8").splitlines()
    return lines[0].removeprefix("# Fault: "), lines[1].removeprefix("# Caught by: ")


def copy_to(folder):
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
        else:
            shutil.copy2(source, folder / name)


def load_before():
    """Load the libraries once: every fork has them."""
    for library in LOADED_BEFORE:
        importlib.import_module(library)


def status_of(folder, *arguments, seconds=resource.RLIM_INFINITY):
    """Return how pytest ends in a copy, in a fork, which has the libraries loaded already and may take some seconds."""
    fork = os.fork()
    if not fork:
        try:
            resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
            os.chdir(folder)
            said = os.open(SAID, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(said, 1)
            os.dup2(said, 2)
            sys.path.insert(0, str(folder))
            os.environ["PYTHONPATH"] = str(folder)
            os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
            sys.dont_write_bytecode = True  # none of one fault is taken for another's
            for name in [name for name in sys.modules if name.partition(".")[0] in ("lumpedbox", "tests")]:
                del sys.modules[name]
            os._exit(pytest.main(["-q", "-x", "-p", "no:cacheprovider", *arguments]))
        finally:
            os._exit(pytest.ExitCode.INTERNAL_ERROR)
    return os.waitstatus_to_exitcode(os.waitpid(fork, 0)[1])


def try_fault(patch):
    """Plant one fault in the copy of this process; return "caught", or what went wrong."""
    plant = ["git", "apply", str(patch)]
    planted = subprocess.run(plant, cwd=COPY, capture_output=True, text=True)
    if planted.returncode:
        return f"the patch does not apply: {planted.stderr.strip()}"
    status = status_of(COPY, told(patch)[1], "-m", "")  # a test marked long too
    subprocess.run([*plant, "--reverse"], cwd=COPY, check=True)
    # 1: tests failed. Anything else (no test found, an error while collecting) shows nothing.
    said = (COPY / SAID).read_text(errors="replace")
    return "caught" if status == 1 else f"not caught (pytest ended with {status}):\n{said[-1500:]}"


def have_copy(root):
    global COPY
    COPY = Path(tempfile.mkdtemp(dir=root))
    copy_to(COPY)


def main(names):
    chosen = [patch for patch in PATCHES if not names or patch.stem in names]
    unnoticed, started = 0, time.monotonic()
    load_before()
    with tempfile.TemporaryDirectory() as root, get_context("fork").Pool(os.cpu_count(), have_copy, [root]) as pool:
        for patch, verdict in zip(chosen, pool.imap(try_fault, chosen), strict=True):
            unnoticed += verdict != "caught"
            print(f"{verdict:8} {patch.stem}: {told(patch)[0]} [{told(patch)[1]}]", flush=True)
    print(f"{len(chosen)} faults, {unnoticed} unnoticed, {time.monotonic() - started:.0f} s")
    return 1 if unnoticed or not chosen else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
