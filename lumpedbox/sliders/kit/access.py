"""What the forms of ipywidgets lack: names for those who cannot see it, and keys for those without a mouse."""

from __future__ import annotations

from pathlib import Path

import anywidget

HERE = Path(__file__).parent


class Access(anywidget.AnyWidget):
    """Makes forms usable by keyboard and by ear.

    Heads of folds become buttons. While something is in use, the notebook's one-letter commands stay off. When what
    had the focus goes away, its place keeps it. Markings and refusals are read out when they change.
    """

    _esm = HERE / "access.js"
    _css = HERE / "access.css"
