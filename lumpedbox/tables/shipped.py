"""Where the notebooks and the data that come with lumpedbox are."""

from __future__ import annotations

from pathlib import Path

HERE = Path(__file__).resolve().parents[1]


def _folder(name):
    """Return a shipped folder: inside the installed package, or beside it in a source checkout."""
    installed, checkout = HERE / "_shipped" / name, HERE.parent / name
    return installed if installed.is_dir() else checkout


def notebooks_folder():
    """Return the folder of the notebooks as shipped."""
    return _folder("notebooks")


def data_folder():
    """Return the folder of the invented data."""
    return _folder("data")
