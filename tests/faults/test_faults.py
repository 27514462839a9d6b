"""Every planted fault is caught by the test that its patch names."""

import runpy
import subprocess
from pathlib import Path

import pytest

FAULTS = runpy.run_path(str(Path(__file__).with_name("__main__.py")), run_name="faults")


@pytest.mark.parametrize("patch", FAULTS["PATCHES"][::11], ids=lambda patch: patch.stem)
def test_fault_is_caught(patch):
    """Every eleventh, to save time: `python -m tests.faults` plants all of them."""
    assert FAULTS["try_fault"](patch) == "caught"


@pytest.mark.parametrize("patch", FAULTS["PATCHES"], ids=lambda patch: patch.stem)
def test_patch_still_applies(patch):
    done = subprocess.run(["git", "apply", "--check", str(patch)], cwd=FAULTS["ROOT"], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_there_are_enough():
    assert len(FAULTS["PATCHES"]) >= 12
