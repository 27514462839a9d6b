"""The page in the browser: controls, answer, picture and what is read off it, as one widget."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

from .picture import DESK
from .systems import SYSTEMS

HERE = Path(__file__).parent
SCRIPTS = ("elements", "controls", "answer", "reading", "thing", "walls", "drag", "plan", "feed", "wired", "guess")
SCRIPTS += ("stage", "buttons", "compare", "link", "visit", "board")


def joined(names, ending, beside=HERE):
    """Return several plain files of a folder as one text, which is what a widget takes; without one, of the kit's."""
    return "\n".join((beside / f"{name}.{ending}").read_text(encoding="utf-8") for name in names)


class ControlBoard(anywidget.AnyWidget):
    """What every board with controls has.

    Attributes
    ----------
    controls : list of dict
        Each with its name, label, group and stops or options, as `Slider.spec` and `Choice.spec` tell.
    folded : list of str
        The groups of controls that are folded away until they are opened, or hold what is not at its start.
    places : dict
        Name of a control: where it stands, in SI units or by name.
    start : dict
        The places that a link need not tell.
    moved : dict
        What the browser has moved last, "places", and the "number" of that move.
    answered : int
        The number of the last move that these places answer.
    shown : dict
        Name of a slider: {"text": its reading, "note": what stands behind the unit}.
    hidden : list of str
        The controls that mean nothing for now.
    refused, mistyped : dict
        Name of a slider: what is wrong with what was typed; the text itself, where it cannot be taken.
    systems, system : list of str, str
        Of units; an empty list where there is nothing to choose.
    answer : dict
        As `Answer.said` tells, with "showing": the picture in words.
    wrong : str
        What went wrong with the last move.
    plan : dict
        The plan from above, as `Plan.said` tells, or nothing.
    guess : dict
        What is to be guessed; empty if nothing is.
    asleep : bool
        Whether the answer waits for a guess.
    stage : dict
        The stage of a plan that the page was opened from, and the ways on from here, as `Returning.said` tells.
    takeaways : list of str
        What can be taken away.
    note : str
        What came of the last button.
    """

    controls = traitlets.List().tag(sync=True)
    folded = traitlets.List().tag(sync=True)
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
    plan = traitlets.Dict().tag(sync=True)
    guess = traitlets.Dict().tag(sync=True)
    asleep = traitlets.Bool(False).tag(sync=True)
    stage = traitlets.Dict().tag(sync=True)
    takeaways = traitlets.List().tag(sync=True)
    note = traitlets.Unicode().tag(sync=True)


class Board(ControlBoard):
    """Shows what it is given, and says what was done to it.

    Attributes
    ----------
    picture, values, grid : bytes
        The picture as PNG; the curves of the legend; their frequencies, both float32.
    axes, legend : dict, list of dict
        As `axes_of` and `legend_of` tell.
    room : dict
        What the browser has for the picture: width and height [px], density and whether it is dark.
    things, motions : list of dict, bytes
        The loudspeakers to draw to scale, and how they move, as `things` and `curves` of `thing.py` tell.
    map : bytes
        The levels of the plan from above, float32.
    feed : list of dict
        The pieces of a feed, as `Drawing.said` tells.
    wired : dict
        A channel as it is wired, as `Wired.said` tells, or nothing.
    kept : list of dict
        The states that are kept: slot, name and facts.
    """

    _esm = joined(SCRIPTS, "js")
    _css = joined(("board", "thing", "plan", "feed", "wired"), "css")
    picture = traitlets.Bytes().tag(sync=True)
    values = traitlets.Bytes().tag(sync=True)
    grid = traitlets.Bytes().tag(sync=True)
    axes = traitlets.Dict().tag(sync=True)
    legend = traitlets.List().tag(sync=True)
    room = traitlets.Dict(DESK).tag(sync=True)
    things = traitlets.List().tag(sync=True)
    motions = traitlets.Bytes().tag(sync=True)
    map = traitlets.Bytes().tag(sync=True)
    feed = traitlets.List().tag(sync=True)
    wired = traitlets.Dict().tag(sync=True)
    kept = traitlets.List().tag(sync=True)
