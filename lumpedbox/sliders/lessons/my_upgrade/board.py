"""The page in the browser, as one widget: the vehicle, the answer, the cards and the pictures."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

from ...kit.board import joined

HERE = Path(__file__).parent
SCRIPTS = ("vehicle", "cards", "charts", "form", "upgrade")


class UpgradeBoard(anywidget.AnyWidget):
    """Shows what it is given, and says what was done to it.

    Attributes
    ----------
    about : dict
        The plan: its "name", its "file", and whether it is the "example" or "nothing" is known. Whether one's own is
        there and not this one, "mine".
        The page where to find out what one has, "checks".
    answer, wrong, asleep : dict, str, bool
        As a `Board` has them.
    cards, beside : list of dict
        As `cards` tells: of the order that is shown, and of the one that is compared with it.
    against : dict
        Names of the orders that may be compared, "names", and the one that is, "chosen".
    left_out : list of str
        The stages that the order leaves out.
    vehicle : dict
        As `vehicle` tells; empty while nothing is known. "looked" is the number of the card that it shows.
    shapes : list of dict
        The shapes of vehicles to begin with.
    look : list of str
        What to look at first.
    measure : dict
        What to measure next, as `Advice.measures` tells.
    money, curves, worth : dict, dict, list of dict
        As `views.py` tells, for the three pictures.
    search : dict
        How far a search is, or what it found; empty if none was asked for.
    aims : list of (str, str)
        What an order can be judged by: its name, and what is written.
    form : dict
        The form that is open; empty if none is.
    told : dict
        What came of the last thing done: text, whether it can be undone, whether it was refused.
    busy : dict
        How many things are still to be worked out, and a number that changes each time.
    takeaways : list of str
    """

    _esm = joined(("elements", "answer", "walls"), "js") + "\n" + joined(SCRIPTS, "js", HERE)
    _css = joined(("board", "plan"), "css") + "\n" + joined(("upgrade",), "css", HERE)
    about = traitlets.Dict().tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)
    wrong = traitlets.Unicode().tag(sync=True)
    asleep = traitlets.Bool(False).tag(sync=True)
    cards = traitlets.List().tag(sync=True)
    beside = traitlets.List().tag(sync=True)
    against = traitlets.Dict().tag(sync=True)
    left_out = traitlets.List().tag(sync=True)
    vehicle = traitlets.Dict().tag(sync=True)
    shapes = traitlets.List().tag(sync=True)
    look = traitlets.List().tag(sync=True)
    measure = traitlets.Dict().tag(sync=True)
    money = traitlets.Dict().tag(sync=True)
    curves = traitlets.Dict().tag(sync=True)
    worth = traitlets.List().tag(sync=True)
    search = traitlets.Dict().tag(sync=True)
    aims = traitlets.List().tag(sync=True)
    form = traitlets.Dict().tag(sync=True)
    told = traitlets.Dict().tag(sync=True)
    busy = traitlets.Dict().tag(sync=True)
    takeaways = traitlets.List().tag(sync=True)
