"""What the README shows runs, and prints what it says."""

import contextlib
import io
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language):
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)


def test_the_example_prints_what_it_says():
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        exec(blocks("python")[0], {})
    assert said.getvalue() == blocks("text")[0]


def test_two_commands_of_one_line_each():
    start, test = blocks("bash")[:2]
    assert start.count("\n") == test.count("\n") == 1
    assert start.rstrip().endswith("lumpedbox")
    assert "-m pytest" in test


def test_every_notebook_is_listed():
    listed = set(re.findall(r"^\| `(\w+)` \|", README, re.MULTILINE))
    assert listed == {path.stem for path in (ROOT / "notebooks").glob("*.ipynb")}


@pytest.mark.parametrize("name", re.findall(r"!\[[^\]]*\]\(([^)]+)\)", README))
def test_pictures_exist(name):
    assert (ROOT / name).read_bytes().startswith(b"\x89PNG")


def test_every_symbol_is_in_the_nomenclature():
    import dataclasses

    from lumpedbox import Cabin, Driver, SealedBox, VentedBox
    from lumpedbox.quantity import Quantity

    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for part in (Driver, SealedBox, VentedBox):
        for spec in dataclasses.fields(part):
            rule = spec.metadata["rule"]
            if isinstance(rule, Quantity) and spec.name not in (
                "power",
                "rated_impedance",
                "port_area",
                "longest_side",
            ):
                assert f"`{spec.name}`" in guide, f"{part.__name__}.{spec.name}"
    assert dataclasses.is_dataclass(Cabin)
