"""What the README shows runs, prints what it says, and points to what is there."""

import contextlib
import io
import pkgutil
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language):
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)


@pytest.mark.parametrize(("code", "output"), list(zip(blocks("python"), blocks("text"), strict=True)))
def test_an_example_prints_what_it_says(code, output):
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        exec(code, {})
    assert said.getvalue() == output


def named(section):
    """Names of the library in one section: `Driver.typical` of `Driver.typical(size=165 * mm)`."""
    text = README.partition(f"## {section}\n")[2].partition("\n## ")[0]
    return {name for code in re.findall(r"`([^`]+)`", text) for name in re.findall(r"^[A-Za-z][\w.]*(?=$|\()", code)}


def test_two_commands_of_one_line_each():
    start, test = blocks("bash")[:2]
    assert start.count("\n") == test.count("\n") == 1
    assert start.rstrip().endswith("lumpedbox")
    assert "-m pytest" in test


def test_every_notebook_is_listed():
    listed = set(re.findall(r"^\| `(\w+)` \|", README, re.MULTILINE))
    assert listed == {path.stem for path in (ROOT / "notebooks").glob("*.ipynb")}


@pytest.mark.parametrize("place", re.findall(r"\]\(([^)]+)\)", README))
def test_what_it_links_to_exists(place):
    assert (ROOT / place).is_file()


@pytest.mark.parametrize("name", sorted(named("The library")))
def test_every_name_is_in_the_library(name):
    assert pkgutil.resolve_name(name if name.startswith("lumpedbox.") else f"lumpedbox:{name}")
