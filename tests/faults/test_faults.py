"""Every planted fault is caught by the test that its patch names."""

import runpy
from pathlib import Path

import pytest

FAULTS = runpy.run_path(str(Path(__file__).with_name("__main__.py")), run_name="faults")


@pytest.mark.parametrize("patch", FAULTS["PATCHES"], ids=lambda patch: patch.stem)
def test_fault_is_caught(patch):
    assert FAULTS["try_fault"](patch) == "caught"


def test_there_are_enough():
    assert len(FAULTS["PATCHES"]) >= 12
