"""Every planted fault is caught by the test that its patch names."""

import ast
import csv
import runpy
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults import mutate

FAULTS = runpy.run_path(str(Path(__file__).with_name("__main__.py")), run_name="faults")


def test_faults_are_caught():
    """Every eleventh, to save time: `python -m tests.faults` plants all of them, and `.ci/run` calls it."""
    names = [patch.stem for patch in FAULTS["PATCHES"][::11]]
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults", *names], cwd=FAULTS["ROOT"], capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.count("caught ") == len(names)


@pytest.mark.parametrize("patch", FAULTS["PATCHES"], ids=lambda patch: patch.stem)
def test_patch_still_applies(patch):
    done = subprocess.run(["git", "apply", "--check", str(patch)], cwd=FAULTS["ROOT"], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_every_change_is_another_source_that_can_be_read():
    """Of two modules, for time; what is listed as changing no result must still be one of the changes."""
    for module in ("response/limits", "parts/cabin"):
        source = (FAULTS["ROOT"] / f"lumpedbox/{module}.py").read_text(encoding="utf-8")
        for number, line, told, changed in mutate.changes(module):
            assert ast.dump(ast.parse(changed)) != ast.dump(ast.parse(source)), told
            assert source.splitlines()[number - 1].strip() == line


def test_what_changes_no_result_is_still_a_change():
    with open(mutate.HERE / "alike.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    known = {module: {change[1:3] for change in mutate.changes(module)} for module in {row["module"] for row in rows}}
    for row in rows:
        assert (row["line"], row["change"]) in known[row["module"]]
        assert row["reason"]


@pytest.mark.parametrize("module", mutate.NEAREST)
def test_nearest_tests_are_there(module):
    names = [path.name for folder in mutate.FAST for path in (mutate.ROOT / folder).rglob("test_*.py")]
    for word in mutate.NEAREST[module].split():
        assert any(word in name for name in names), word
