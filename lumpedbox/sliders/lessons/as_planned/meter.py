"""The readings as they are taken: fields for one, a file, an example, and how it is done, as one widget."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

from ...kit.board import joined

HERE = Path(__file__).parent


class Meter(anywidget.AnyWidget):
    """Takes readings one by one or as a file, and remembers in this browser what was read.

    Sends `{"add": {key: text}}`, `{"file": {"name", "text", "cut"}}`, `{"example": True}`, `{"clear": True}`,
    `{"undo": True}`, and `{"recall": {name of a control: text}}` when it opens: once the page is where its link leads.

    Attributes
    ----------
    fields : list of dict
        Of one reading: "key" and "label".
    how : list of str
        What to do, one sentence after another.
    caution, drawing, alternative : str
        What to mind, and the wiring as SVG, with what it shows.
    coming : str
        The frequency to read next.
    added : int
        Grows with each reading that was taken.
    note, wrong : str
        How many readings there are, and what came of the last button; what cannot be taken.
    readings : dict
        Name of a control: the lines that this browser remembers, one's own.
    clears : bool
        Whether there are readings to clear.
    undo : bool
        Whether what stood there before can come back.
    led : bool
        Whether the page has gone where its link leads.
    """

    _esm = joined(("elements", "link"), "js") + "\n" + joined(("meter",), "js", HERE)
    _css = joined(("meter",), "css", HERE)
    fields = traitlets.List().tag(sync=True)
    how = traitlets.List().tag(sync=True)
    caution = traitlets.Unicode().tag(sync=True)
    drawing = traitlets.Unicode().tag(sync=True)
    alternative = traitlets.Unicode().tag(sync=True)
    coming = traitlets.Unicode().tag(sync=True)
    added = traitlets.Int(0).tag(sync=True)
    note = traitlets.Unicode().tag(sync=True)
    wrong = traitlets.Unicode().tag(sync=True)
    readings = traitlets.Dict().tag(sync=True)
    clears = traitlets.Bool(False).tag(sync=True)
    undo = traitlets.Bool(False).tag(sync=True)
    led = traitlets.Bool(False).tag(sync=True)
