"""What ipywidgets lack: names for who cannot see, keys for who uses no mouse, and news of the screen."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

HERE = Path(__file__).parent


class Access(anywidget.AnyWidget):
    """Makes a page usable by keyboard and by ear.

    Names every slider by its label, makes buttons of the heads of folds, keeps the notebook's one-letter commands off
    while something is in use, says beside a slider what became of a typed value, and reads changed sentences out.

    Attributes
    ----------
    screen : dict
        {"density": device pixels per pixel of the page, "dark": whether the ground under the sliders is dark}.
    showing : str
        What the picture beside it shows now, for who cannot see it.
    """

    _esm = HERE / "access.js"
    _css = HERE / "access.css"
    screen = traitlets.Dict({"density": 2.0, "dark": False}).tag(sync=True)
    showing = traitlets.Unicode().tag(sync=True)
