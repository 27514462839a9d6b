"""The list of all lessons."""

from __future__ import annotations

import json
import re

START = "start.ipynb"
OTHERS = "Also here"  # what the start does not link to


def lessons(folder):
    """Return the notebooks of a folder, section by section as the start links to them.

    Parameters
    ----------
    folder : Path

    Returns
    -------
    list of (str, list of (str, str))
        Heading of a section; file name and title of each notebook. The start comes first, under no heading; what it
        does not link to comes last.
    """
    linked = _linked(folder)
    there = [path.name for path in sorted(folder.glob("[!.]*.ipynb"))]
    rest = [name for name in there if not any(name in names for names in linked.values())]
    groups = {**linked, OTHERS if linked else "": rest}
    return [(section, [(name, _title(folder / name)) for name in names]) for section, names in groups.items() if names]


def _linked(folder):
    """Return heading: names of the notebooks that a section of the start links to; none where there is no start."""
    if not (folder / START).is_file():
        return {}
    words = "\n\n".join(cell["source"] for cell in _cells(folder / START) if cell["cell_type"] == "markdown")
    intro, *sections = re.split(r"^## +(.+)$", words, flags=re.MULTILINE)
    texts = {"": f"]({START}) {intro}"} | dict(zip(sections[::2], sections[1::2], strict=True))
    names = {section: re.findall(r"\]\(([^)/:#][^):#]*\.ipynb)\)", text) for section, text in texts.items()}
    return {section: [n for n in dict.fromkeys(found) if (folder / n).is_file()] for section, found in names.items()}


def _title(path):
    return heading(_cells(path)) or path.name


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
