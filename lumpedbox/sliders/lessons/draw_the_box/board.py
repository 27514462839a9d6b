"""The page in the browser, as one widget: controls, side view, answer, and what opens below."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

from ....figures.cautions import CAUTIONS
from ...kit.board import joined
from ...kit.systems import SYSTEMS

HERE = Path(__file__).parent
SCRIPTS = ("side_view", "opened", "drawing")


def _own(names, ending):
    return "\n".join((HERE / f"{name}.{ending}").read_text(encoding="utf-8") for name in names)


class BoxBoard(anywidget.AnyWidget):
    """Shows what it is given, and says what was done to it.

    Attributes
    ----------
    controls, places, start, moved, answered, shown, hidden, refused, mistyped, systems, system, answer, wrong, note
        As a `Board` has them; `guess`, `asleep`, `plan` and `stage` stay empty.
    takeaways : list of str
    tools : str
        The caution beside the cut list.
    view : dict
        As `side_view` tells.
    drag : dict
        The "number" of the last drag that the view answers.
    account, fits, cuts : list of list
        The rows of the tables, as `telling.py` tells.
    work : list of str
        What to buy, and the leak test.
    sheets : dict
        As `stock_view` tells; empty until it is opened.
    solid : bytes
        The solid view as PNG; empty until it is opened.
    solve : str
        What the button that solves says; empty where it means nothing.
    opened : list of str
        What is open: "solid", "sheets".
    look : dict
        The angles of the solid view, turn and tip [deg], its room in pixels, width and height, and whether it is dark.
    """

    _esm = joined(("elements", "controls", "answer", "compare", "visit"), "js") + "\n" + _own(SCRIPTS, "js")
    _css = joined(("board",), "css") + "\n" + _own(("drawing",), "css")
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
    takeaways = traitlets.List().tag(sync=True)
    tools = traitlets.Unicode(CAUTIONS["Tools"]).tag(sync=True)
    view = traitlets.Dict().tag(sync=True)
    drag = traitlets.Dict({"number": 0}).tag(sync=True)
    account = traitlets.List().tag(sync=True)
    fits = traitlets.List().tag(sync=True)
    cuts = traitlets.List().tag(sync=True)
    work = traitlets.List().tag(sync=True)
    sheets = traitlets.Dict().tag(sync=True)
    solid = traitlets.Bytes().tag(sync=True)
    solve = traitlets.Unicode().tag(sync=True)
    opened = traitlets.List().tag(sync=True)
    look = traitlets.Dict({"turn": 30, "tip": 20, "width": 480, "height": 360, "dark": False}).tag(sync=True)
