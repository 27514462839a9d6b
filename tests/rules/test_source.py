"""What the source must look like: short functions, explicit arguments, no trace of a machine, clean notebooks."""

import ast
import importlib.util
import json
import re
import shutil
import statistics
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "lumpedbox"

LONGEST = 40  # lines of a function's body, docstring left out
LONGEST_FILE = 400  # lines
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "lumpedbox", "notebooks", "tests", "data"}
# Functions that take any number of one named thing; a word that nobody asked for finds no home in them.
ANY_NUMBER_OF = {"components", "elements", "operands", "slices", "stages"}
ERRORS = {"error", "problem", "refusal", "e", "err"}  # what a caught error is called
MACHINE_PATH = re.compile(r"(?<![\w.~%}/-])/(work|home|root|tmp|Users)/")
TEXT = {".py", ".md", ".toml", ".csv", ".ipynb", ".json", ".yaml", ".yml", ".txt", ".js", ".css", ".html", ".patch", ""}


def parsed():
    """Yield (path, syntax tree) of every module."""
    for path in sorted(PACKAGE.rglob("*.py")):
        if "_shipped" not in path.parts:
            yield path, ast.parse(path.read_text(encoding="utf-8"))


def functions():
    """Yield (name in words, node) of every function and method."""
    for path, tree in parsed():
        for node in ast.walk(tree):
            if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
                yield f"{path.relative_to(ROOT)}:{node.lineno} {node.name}", node


def body_lines(node):
    """Lines from the first statement behind the docstring to the end."""
    body = node.body[1:] if ast.get_docstring(node) is not None else node.body
    return node.end_lineno - body[0].lineno + 1 if body else 0


def tracked():
    """Return the files that git knows; skip outside a checkout."""
    if not (ROOT / ".git").exists() or not shutil.which("git"):
        pytest.skip("not a git checkout")
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [name for name in listed.split("\0") if name]


def test_no_function_is_long():
    too_long = [f"{name}: {body_lines(node)} lines" for name, node in functions() if body_lines(node) > LONGEST]
    assert too_long == []


def test_no_file_is_long():
    lines = {str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines()) for path, _ in parsed()}
    assert [name for name, count in lines.items() if count > LONGEST_FILE] == []


def test_the_median_function_is_short():
    assert statistics.median(body_lines(node) for _, node in functions()) < 10


def test_every_function_has_a_name():
    assert [name for name, _ in functions() if name.endswith(" _")] == []


def test_no_argument_is_swallowed():
    swallowing = []
    for path, tree in parsed():
        if path.stem in ("arguments", "remembered"):  # they hand them on to functions that name theirs
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.arguments):
                if node.kwarg:
                    swallowing.append(f"{path.relative_to(ROOT)}: **{node.kwarg.arg}")
                if node.vararg and node.vararg.arg not in ANY_NUMBER_OF:
                    swallowing.append(f"{path.relative_to(ROOT)}: *{node.vararg.arg}")
    assert [where for where in swallowing if "/sliders/" not in where and "/serve/" not in where] == []


def test_the_top_of_the_repository_is_as_small_as_it_is():
    top = {name.split("/")[0] for name in tracked()}
    assert {name for name in top if not name.startswith(".")} == TOP


def test_no_file_names_a_folder_of_a_machine():
    found = []
    for name in tracked():
        path = ROOT / name
        if name.startswith("tests/") or path.suffix not in TEXT or not path.is_file():
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            if MACHINE_PATH.search(line):
                found.append(f"{name}:{number}: {line.strip()[:100]}")
    assert found == []


@pytest.mark.parametrize("text", ["open('/tmp/x')", "cd /home/someone/lumpedbox", "open('/home/a.py')"])
def test_a_folder_of_a_machine_would_be_found(text):
    assert MACHINE_PATH.search(text)


def test_notebooks_are_stored_without_outputs():
    notebooks = sorted((ROOT / "notebooks").rglob("*.ipynb"))
    assert notebooks
    stored = []
    for path in notebooks:
        for number, cell in enumerate(json.loads(path.read_text(encoding="utf-8"))["cells"]):
            if cell["cell_type"] == "code" and (cell["outputs"] or cell["execution_count"] is not None):
                stored.append(f"{path.name}, cell {number}")
    assert stored == []


def is_words(node, named):
    """Tell whether an expression is the text of an error: `str(error)`, `f"{error}"`, or a name given to one."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("str", "repr"):
        return bool(node.args) and isinstance(node.args[0], ast.Name) and node.args[0].id in ERRORS
    if isinstance(node, ast.JoinedStr):
        values = [part.value for part in node.values if isinstance(part, ast.FormattedValue)]
        return any(isinstance(value, ast.Name) and value.id in ERRORS for value in values)
    if isinstance(node, ast.Subscript):  # error.args[0]
        return isinstance(node.value, ast.Attribute) and node.value.attr == "args"
    return isinstance(node, ast.Name) and node.id in named


def readings(tree):
    """Yield the lines on which the words of an error are looked into: a method, a comparison, a slice, a pattern."""
    for function in ast.walk(tree):
        if not isinstance(function, (ast.FunctionDef, ast.AsyncFunctionDef)):
            continue
        assigned = [node for node in ast.walk(function) if isinstance(node, ast.Assign) and is_words(node.value, ())]
        named = {target.id for node in assigned for target in node.targets if isinstance(target, ast.Name)}
        for node in ast.walk(function):
            looked_into = {
                ast.Attribute: lambda node: [node.value],
                ast.Subscript: lambda node: [node.value],
                ast.Compare: lambda node: [node.left, *node.comparators],
                ast.Call: lambda node: node.args if ast.unparse(node.func).startswith("re.") else [],
            }.get(type(node), lambda node: [])
            if any(is_words(text, named) for text in looked_into(node)):
                yield node.lineno


def test_no_code_reads_the_words_of_an_error():
    read = [f"{path.relative_to(ROOT)}:{line}" for path, tree in parsed() for line in readings(tree)]
    assert read == []


@pytest.mark.parametrize(
    "line",
    [
        'if "does not settle" in str(error): pass',
        'said = str(error).partition("add ")',
        "said = str(error); said = said.removeprefix('table.')",
        "if str(error) == 'unknown': pass",
        "if error.args[0].startswith('x'): pass",
        "said = f'{error}'; name = said[:4]",
        "re.search('line', str(error))",
    ],
)
def test_code_that_reads_the_words_of_an_error_would_be_found(line):
    indented = "\n        ".join(line.split("; "))
    assert list(readings(ast.parse(f"def f():\n    try: g()\n    except ValueError as error:\n        {indented}")))


@pytest.mark.skipif(importlib.util.find_spec("ruff") is None, reason="ruff is not installed")
@pytest.mark.parametrize("command", [["check"], ["format", "--check"]], ids=["lint", "format"])
def test_ruff_has_nothing_to_say(command):
    done = subprocess.run(
        [sys.executable, "-m", "ruff", *command, "."], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
