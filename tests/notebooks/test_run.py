"""Every notebook runs from top to bottom, and is stored without outputs."""

import itertools
import json
import shutil

import nbclient
import nbformat
import pytest

from lumpedbox.shipped import notebooks_folder

NOTEBOOKS = sorted(notebooks_folder().glob("*.ipynb"))


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
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


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_is_stored_clean(path):
    notebook = json.loads(path.read_text(encoding="utf-8"))
    code = [cell for cell in notebook["cells"] if cell["cell_type"] == "code"]
    assert all(cell["outputs"] == [] and cell["execution_count"] is None for cell in code)
    assert "widgets" not in notebook["metadata"]
    assert all(len(cell["source"]) <= 6 for cell in code), "code cells are short"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_says_before_it_does(path):
    """Before each code cell stands a sentence."""
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    for before, cell in itertools.pairwise(cells):
        assert cell["cell_type"] == "markdown" or before["cell_type"] == "markdown"
