"""The contributor guide names what is there, and leaves no symbol, folder or module out."""

import dataclasses
import re
import tomllib
from pathlib import Path

import pytest

from lumpedbox import Driver, PassiveRadiatorBox, SealedBox, VentedBox
from lumpedbox.quantity import Quantity

ROOT = Path(__file__).resolve().parents[2]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
NO_SYMBOLS = {"power", "rated_impedance", "port_area", "longest_side"}
ROOTS = (ROOT, ROOT / "lumpedbox", ROOT / "tests")  # where a path may begin
MADE_BY_USERS = {"my_parts.toml", "my_boxes.toml"}
PATHS = {
    path
    for code in re.findall(r"`([^`\n]+)`", GUIDE)
    for path in re.findall(r"(?<![\w./*-])[\w.-]+/[\w./*-]*|(?<![\w./*-])\w+\.(?:py|md|csv|toml)\b", code)
} - MADE_BY_USERS


def section(title):
    return GUIDE.partition(f"## {title}\n")[2].partition("\n## ")[0]


def places(folder):
    """The modules and folders that stand directly in a folder."""
    found = (path for path in folder.iterdir() if path.suffix == ".py" or any(path.glob("*.py")))
    return {f"{path.name}/" if path.is_dir() else path.name for path in found} - {"__init__.py", "__pycache__/"}


@pytest.mark.parametrize("path", sorted(PATHS))
def test_every_path_exists(path):
    assert any((root / path).exists() or (root / f"{path}.py").exists() for root in ROOTS)


@pytest.mark.parametrize(("title", "folder"), [("The flow and the layers", "lumpedbox"), ("The tests", "tests")])
def test_nothing_is_left_out_of_a_map(title, folder):
    told = set(re.findall(r"`([^`]+)`", section(title)))
    assert {name for name in places(ROOT / folder) if name not in told} == set()


def test_every_package_that_is_installed_is_explained():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    needed = [
        *project["dependencies"],
        *(name for extra in project["optional-dependencies"].values() for name in extra),
    ]
    told = re.findall(r"^\| ([^|]+) \|", section("Packages"), re.MULTILINE)
    names = {re.match(r"[\w-]+", requirement)[0] for requirement in needed}
    assert names - {name for cell in told for name in cell.split(", ")} == set()


def test_every_symbol_is_in_the_nomenclature():
    for part in (Driver, SealedBox, VentedBox, PassiveRadiatorBox):
        for spec in dataclasses.fields(part):
            if isinstance(spec.metadata["rule"], Quantity) and spec.name not in NO_SYMBOLS:
                assert f"`{spec.name}`" in section("Nomenclature"), f"{part.__name__}.{spec.name}"
