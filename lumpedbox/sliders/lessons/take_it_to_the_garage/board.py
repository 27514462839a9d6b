"""The page in the browser, as one widget: what to choose, what comes of it, the boards, and the files."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

from ...kit.board import joined
from ...kit.systems import SYSTEMS

HERE = Path(__file__).parent


class GarageBoard(anywidget.AnyWidget):
    """Shows what it is given, and says what was done to it.

    Attributes
    ----------
    controls, places, start, moved, answered, shown, hidden, refused, mistyped, systems, system, answer, wrong, note
        As a `Board` has them; `guess`, `asleep`, `plan` and `stage` stay empty.
    boards : str
        All boards with their holes as SVG.
    seen : str
        What that shows, in words.
    contents : list of (str, str)
        What the PDF will hold: a heading, and what stands there.
    making : dict
        How many sheets are "done" of "all", and a "number" that changes each time; empty if none is being made.
    files : list of (str, str)
        What can be taken away: its kind, and what is written on its button.
    """

    _esm = (
        joined(("elements", "controls", "answer", "compare", "visit"), "js")
        + "\n"
        + (HERE / "garage.js").read_text(encoding="utf-8")
    )
    _css = joined(("board",), "css") + "\n" + (HERE / "garage.css").read_text(encoding="utf-8")
    controls = traitlets.List().tag(sync=True)
    places = traitlets.Dict().tag(sync=True)
    start = traitlets.Dict().tag(sync=True)
    moved = traitlets.Dict().tag(sync=True)
    answered = traitlets.Int().tag(sync=True)
    shown = traitlets.Dict().tag(sync=True)
    hidden = traitlets.List().tag(sync=True)
    refused = traitlets.Dict().tag(sync=True)
    mistyped = traitlets.Dict().tag(sync=True)
    systems = traitlets.List(list(SYSTEMS)).tag(sync=True)
    system = traitlets.Unicode(SYSTEMS[0]).tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)
    wrong = traitlets.Unicode().tag(sync=True)
    note = traitlets.Unicode().tag(sync=True)
    guess = traitlets.Dict().tag(sync=True)
    asleep = traitlets.Bool(False).tag(sync=True)
    plan = traitlets.Dict().tag(sync=True)
    stage = traitlets.Dict().tag(sync=True)
    boards = traitlets.Unicode().tag(sync=True)
    seen = traitlets.Unicode().tag(sync=True)
    contents = traitlets.List().tag(sync=True)
    making = traitlets.Dict().tag(sync=True)
    files = traitlets.List().tag(sync=True)
