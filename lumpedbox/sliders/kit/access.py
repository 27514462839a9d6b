"""What the forms of ipywidgets lack: names for who cannot see, and keys for who uses no mouse."""

from __future__ import annotations

from pathlib import Path

import anywidget

HERE = Path(__file__).parent


class Access(anywidget.AnyWidget):
    """Makes forms usable by keyboard and by ear.

    Makes buttons of the heads of folds, keeps the notebook's one-letter commands off while something is in use, keeps
    hold of the place of what went away, and reads out markings and refusals that change.
    """

    _esm = HERE / "access.js"
    _css = HERE / "access.css"
