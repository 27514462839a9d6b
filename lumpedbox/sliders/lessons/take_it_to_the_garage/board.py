"""The page in the browser, as one widget: what to choose, what comes of it, the boards, and the files."""

from __future__ import annotations

from pathlib import Path

import traitlets

from ...kit.board import ControlBoard, joined

HERE = Path(__file__).parent
OF_THE_KIT = ("elements", "controls", "answer", "buttons", "link", "visit")


class GarageBoard(ControlBoard):
    """Shows what it is given, and says what was done to it; `guess`, `asleep`, `plan` and `stage` stay empty.

    Attributes
    ----------
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

    _esm = joined(OF_THE_KIT, "js") + "\n" + joined(("garage",), "js", HERE)
    _css = joined(("board",), "css") + "\n" + joined(("garage",), "css", HERE)
    boards = traitlets.Unicode().tag(sync=True)
    seen = traitlets.Unicode().tag(sync=True)
    contents = traitlets.List().tag(sync=True)
    making = traitlets.Dict().tag(sync=True)
    files = traitlets.List().tag(sync=True)
