"""The page in the browser, as one widget: the steps with what is typed, the curves, and what comes of them."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

from ...kit.board import joined
from ...kit.systems import SYSTEMS

HERE = Path(__file__).parent


class MeasureBoard(anywidget.AnyWidget):
    """Shows the steps, says what is typed into them, and remembers that in this browser.

    Sends `{"add": {"curve", "frequency", "driver", "resistor"}}`, `{"file": {"curve", "name", "text", "cut"}}`,
    `{"undo": curve}`, `{"meter": {"curve", "frequency"}}` and `{"clear": True}`.

    Attributes
    ----------
    steps : list of dict
        "key", "title", "how", "caution", "drawing" (SVG), "alternative", "fields", and "curve" (bool).
    typed : dict
        Key of a field, or of a curve: what is typed there.
    told : dict
        Key of a step: list of {"kind", "text"}.
    wrong : dict
        Key of a field or a curve: what is wrong there.
    coming : dict
        Key of a curve: the frequency to read next, as text.
    added : dict
        Key of a curve: a number that grows with each reading that was taken.
    undo : list of str
        Curves whose lines before a file was read can come back.
    practice : bool
        Whether the page reads the meters.
    headline, seen : str
    doubts, unseen, beside : list of str
    heads, facts, further : list
        Of the table, its rows, and the rows that are folded.
    curves : list of dict
        "name", "key", "points", "left_out", "fit".
    systems, system : list of str, str
        Of units.
    """

    _esm = joined(("elements",), "js") + "\n" + joined(("measure",), "js", HERE)
    _css = joined(("measure",), "css", HERE)
    steps = traitlets.List().tag(sync=True)
    typed = traitlets.Dict().tag(sync=True)
    told = traitlets.Dict().tag(sync=True)
    wrong = traitlets.Dict().tag(sync=True)
    coming = traitlets.Dict().tag(sync=True)
    added = traitlets.Dict().tag(sync=True)
    undo = traitlets.List().tag(sync=True)
    practice = traitlets.Bool(False).tag(sync=True)
    headline = traitlets.Unicode().tag(sync=True)
    seen = traitlets.Unicode().tag(sync=True)
    doubts = traitlets.List().tag(sync=True)
    unseen = traitlets.List().tag(sync=True)
    beside = traitlets.List().tag(sync=True)
    heads = traitlets.List().tag(sync=True)
    facts = traitlets.List().tag(sync=True)
    further = traitlets.List().tag(sync=True)
    curves = traitlets.List().tag(sync=True)
    systems = traitlets.List(SYSTEMS).tag(sync=True)
    system = traitlets.Unicode(SYSTEMS[0]).tag(sync=True)
