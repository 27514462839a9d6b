"""Every notebook runs from top to bottom, and is stored without outputs."""

import itertools
import json
import re
import shutil

import nbclient
import nbformat
import pytest

from lumpedbox.tables.shipped import notebooks_folder

FOLDER = notebooks_folder()
NOTEBOOKS = sorted(path for place in (FOLDER, FOLDER / "teaching") for path in place.glob("*.ipynb"))
NOT_MEANT_TO_BE_READ = re.compile(r"<\w+ size \d+x\d+|\bnan\b|Traceback")  # tests/browser looks for the same
BESIDE_CODE = "beside-code"  # the tag of cells that a page without its code leaves out
RICH = "application/vnd.jupyter.widget-view+json", "text/html", "image/png"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.relative_to(FOLDER).as_posix())
@pytest.mark.skipif(shutil.which("chromium") is not None, reason="tests/browser runs it, as a live page")
@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::FutureWarning", "ignore::RuntimeWarning")
def test_runs(path):
    notebook = nbformat.read(path, as_version=4)
    client = nbclient.NotebookClient(notebook, timeout=120, resources={"metadata": {"path": str(path.parent)}})
    client.execute()
    outputs = [output for cell in notebook.cells if cell.cell_type == "code" for output in cell.outputs]
    assert outputs or all(cell.cell_type == "markdown" for cell in notebook.cells)
    assert [o for o in outputs if o.output_type == "error"] == []
    said = [o.text for o in outputs if o.output_type == "stream" and o.name == "stderr"]
    assert [text for text in said if "[IPKernelApp]" not in text] == []
    assert [text for text in map(as_read, outputs) if NOT_MEANT_TO_BE_READ.search(text)] == []


def as_read(output):
    """What a reader sees of an output as words: a picture and its like stand for themselves."""
    if output.output_type == "stream":
        return output.text
    data = output.get("data", {})
    if "text/html" in data:
        return re.sub(r"<img [^>]*>", "", data["text/html"])
    return "" if any(kind in data for kind in RICH) else data.get("text/plain", "")


@pytest.mark.parametrize("text", ["<Figure size 660x330 with 1 Axes>", "3.0 nan 57.3", "Traceback (most recent"])
def test_what_is_not_meant_to_be_read_would_be_found(text):
    printed = nbformat.v4.new_output("stream", text=text)
    ended = nbformat.v4.new_output("execute_result", {"text/plain": text})
    assert all(NOT_MEANT_TO_BE_READ.search(as_read(output)) for output in (printed, ended))


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.relative_to(FOLDER).as_posix())
def test_is_stored_clean(path):
    notebook = json.loads(path.read_text(encoding="utf-8"))
    code = [cell for cell in notebook["cells"] if cell["cell_type"] == "code"]
    assert all(cell["outputs"] == [] and cell["execution_count"] is None for cell in code)
    assert "widgets" not in notebook["metadata"]
    assert all(len(cell["source"]) <= 6 for cell in code), "code cells are short"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.relative_to(FOLDER).as_posix())
def test_says_before_it_does(path):
    """Before each code cell stands a sentence."""
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    for before, cell in itertools.pairwise(cells):
        assert cell["cell_type"] == "markdown" or before["cell_type"] == "markdown"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.relative_to(FOLDER).as_posix())
def test_what_needs_its_code_stays_beside_it(path):
    """A page without its code shows pictures, tables and sliders, with their sentences; the rest it leaves out."""
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    for before, cell in itertools.pairwise(cells):
        left_out = [BESIDE_CODE in one["metadata"].get("tags", ()) for one in (before, cell)]
        source = "".join(cell["source"])
        if cell["cell_type"] == "code":
            assert left_out[1] == left_out[0], f"a sentence and its cell part: {source}"
            assert left_out[1] or "print(" not in source, f"words in the type of a machine: {source}"
        if "in a few lines" in source:
            assert left_out[1]
