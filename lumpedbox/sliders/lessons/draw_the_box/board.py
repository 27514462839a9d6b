"""The page in the browser, as one widget: controls, side view, answer, and what opens below."""

from __future__ import annotations

from pathlib import Path

import traitlets

from ....build.board import USUAL_MODULUS
from ....figures.cautions import CAUTIONS
from ...kit.board import ControlBoard, joined

HERE = Path(__file__).parent
OF_THE_KIT = ("elements", "controls", "answer", "stage", "buttons", "link", "visit", "drag")
SCRIPTS = ("side_view", "opened", "drawing")
RINGING = (
    "The lowest resonance of a panel without a hole lies between two bounds: hinged at its edges, and clamped. "
    f"Taken: board of {USUAL_MODULUS / 1e9:g} GPa (common practice, no source). "
    "A brace counts for the panels that it is glued to."
)


class BoxBoard(ControlBoard):
    """Shows what it is given, and says what was done to it; `guess`, `asleep` and `plan` stay empty.

    Attributes
    ----------
    ringing : str
        What the table of resonances means.
    tools : str
        The caution beside the cut list.
    view : dict
        As `side_view` tells.
    drag : dict
        The "number" of the last drag that the view answers.
    account, fits, cuts, rings : list of list
        The rows of the tables, as `telling.py` tells.
    work : list of str
        What to buy, and the leak test.
    sheets : dict
        As `stock_view` tells; empty until it is opened.
    solid : bytes
        The solid view as PNG; empty until it is opened.
    solve : str
        What the button that solves says; empty where it means nothing.
    tip : bool
        Whether what cannot be built has a tip that can be cut off.
    opened : list of str
        What is open: "solid", "sheets", "rings".
    look : dict
        The angles of the solid view, turn and tip [deg], its room in pixels, width and height, and whether it is dark.
    """

    _esm = joined(OF_THE_KIT, "js") + "\n" + joined(SCRIPTS, "js", HERE)
    _css = joined(("board",), "css") + "\n" + joined(("drawing",), "css", HERE)
    ringing = traitlets.Unicode(RINGING).tag(sync=True)
    tools = traitlets.Unicode(CAUTIONS["Tools"]).tag(sync=True)
    view = traitlets.Dict().tag(sync=True)
    drag = traitlets.Dict({"number": 0}).tag(sync=True)
    account = traitlets.List().tag(sync=True)
    fits = traitlets.List().tag(sync=True)
    cuts = traitlets.List().tag(sync=True)
    rings = traitlets.List().tag(sync=True)
    work = traitlets.List().tag(sync=True)
    sheets = traitlets.Dict().tag(sync=True)
    solid = traitlets.Bytes().tag(sync=True)
    solve = traitlets.Unicode().tag(sync=True)
    tip = traitlets.Bool(False).tag(sync=True)
    opened = traitlets.List().tag(sync=True)
    look = traitlets.Dict({"turn": 30, "tip": 20, "width": 480, "height": 360, "dark": False}).tag(sync=True)
