"""Plant each fault in a copy of the repository and show that the test named in its patch fails there.

Run it as `python -m tests.faults`, with names of faults to try only those. It ends with status 1 if a fault goes
unnoticed, or if a patch no longer applies.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
COPIED = ("lumpedbox", "tests", "data", "notebooks", "README.md", "DEVELOPERS.md", "pyproject.toml")
PATCHES = sorted(HERE.glob("*.patch"))


def told(patch):
    """Return what a patch says of itself: the fault, and the test that catches it."""
    lines = patch.read_text(encoding="utf-8").splitlines()
    return lines[0].removeprefix("# Fault: "), lines[1].removeprefix("# Caught by: ")


def copy_to(folder):
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__", ".ipynb_checkpoints"))
        else:
            shutil.copy2(source, folder / name)


def run_test(folder, test):
    """Run one test in a copy; return pytest's exit status and output."""
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", test]
    # without the plug-ins that happen to be installed: a third of the time to start
    environment = {**os.environ, "PYTHONPATH": str(folder), "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"}
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True)
    return done.returncode, done.stdout + done.stderr


def try_fault(patch):
    """Plant one fault; return "caught", or what went wrong."""
    _, test = told(patch)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        copy_to(folder)
        planted = subprocess.run(["git", "apply", str(patch)], cwd=folder, capture_output=True, text=True)
        if planted.returncode:
            return f"the patch does not apply: {planted.stderr.strip()}"
        status, output = run_test(folder, test)
        # 1: tests failed. Anything else (no test found, an error while collecting) shows nothing.
        return "caught" if status == 1 else f"not caught (pytest ended with {status}):\n{output[-1500:]}"


def main(names):
    chosen = [patch for patch in PATCHES if not names or patch.stem in names]
    unnoticed, started = 0, time.monotonic()
    with ThreadPoolExecutor(os.cpu_count()) as pool:  # each fault has processes of its own
        for patch, verdict in zip(chosen, pool.map(try_fault, chosen), strict=True):
            unnoticed += verdict != "caught"
            print(f"{verdict:8} {patch.stem}: {told(patch)[0]} [{told(patch)[1]}]", flush=True)
    print(f"{len(chosen)} faults, {unnoticed} unnoticed, {time.monotonic() - started:.0f} s")
    return 1 if unnoticed or not chosen else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
