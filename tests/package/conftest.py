"""What the tests of the package and of its command share."""

from pathlib import Path

import nbformat
import pytest

from tests.conftest import module


@pytest.fixture(scope="session")
def served():
    """The helper module `served.py`."""
    return module(Path(__file__).with_name("served.py"))


@pytest.fixture(scope="session")
def notebook():
    """Function that writes a notebook of the given texts; one that begins with # is a text, any other one code."""

    def write(path, *texts):
        kinds = nbformat.v4.new_markdown_cell, nbformat.v4.new_code_cell
        cells = [kinds[not text.startswith("#")](text) for text in texts]
        for number, cell in enumerate(cells):
            cell["id"] = f"cell-{number}"  # else two notebooks of the same texts would differ
        path.parent.mkdir(parents=True, exist_ok=True)
        nbformat.write(nbformat.v4.new_notebook(cells=cells), path)
        return path

    return write
