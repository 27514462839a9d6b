"""The list of all lessons."""

from __future__ import annotations

import json
import re

START = "start.ipynb"


def lessons(folder):
    """Return the notebooks of a folder: the start, then in the order in which it links to them, then any others.

    Parameters
    ----------
    folder : Path

    Returns
    -------
    list of (str, str)
        File name and title of each.
    """
    notebooks = {path.name: _cells(path) for path in sorted(folder.glob("[!.]*.ipynb"))}
    words = "".join(cell["source"] for cell in notebooks.get(START, ()))
    places = {name: place for place, name in enumerate((START, *re.findall(r"\]\(([^)/]+\.ipynb)\)", words)))}
    ordered = sorted(notebooks, key=lambda name: places.get(name, len(places)))
    return [(name, heading(notebooks[name]) or name) for name in ordered]


def heading(cells):
    """Return the first heading of a notebook's cells, or None."""
    texts = ("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
    found = (re.search(r"^#+ +(.+)$", text, re.MULTILINE) for text in texts)
    return next((match[1].strip() for match in found if match), None)


def _cells(path):
    """Return a notebook's cells; none if it cannot be read."""
    try:
        cells = json.loads(path.read_bytes())["cells"]
        return [{"cell_type": cell["cell_type"], "source": "".join(cell["source"])} for cell in cells]
    except (OSError, ValueError, KeyError, TypeError):
        return []
