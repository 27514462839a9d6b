"""The tests are where they belong, and every one is found."""

import fnmatch
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
UNIT = ROOT / "tests" / "unit"


def test_unit_tests_mirror_the_package():
    folders = {path.relative_to(UNIT).parts[0] for path in UNIT.glob("*/test_*.py")}
    assert {name for name in folders if not (ROOT / "lumpedbox" / name).is_dir()} == set()


def test_no_folder_with_tests_or_examples_is_passed_over(pytestconfig):
    """Left to itself, pytest never looks into folders of some names, such as build."""
    files = [path for top in ("tests", "lumpedbox") for path in (ROOT / top).rglob("*.py")]
    folders = {name for path in files for name in path.relative_to(ROOT).parts[:-1]}
    skipped = pytestconfig.getini("norecursedirs")
    assert {name for name in folders for pattern in skipped if fnmatch.fnmatch(name, pattern)} == set()
