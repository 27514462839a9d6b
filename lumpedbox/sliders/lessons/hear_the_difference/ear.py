"""The player of the page, and its blind test, as one widget in the browser."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

from ...kit.board import joined

HERE = Path(__file__).parent


class Ear(anywidget.AnyWidget):
    """Plays what it is sent, once the reader starts it, and asks which was which.

    A sound comes as a message: {"sound": what it is, "test" or "pair"} with a WAV file as its buffer.

    Attributes
    ----------
    note : str
        What became of the last button, or what is wrong.
    stale : bool
        Whether the loudspeakers have changed since the sound was made.
    asks : dict
        The blind test: "number" of the trial, of how many ("of"), and "told", what came of it; empty if there is none.
    own : bool
        Whether a file of one's own is wanted.
    seconds : float
        How many seconds are taken of it. [s]
    rate : int
        Samples a second. [Hz]
    """

    _esm = joined(("elements",), "js") + "\n" + joined(("ear",), "js", HERE)
    _css = joined(("ear",), "css", HERE)
    note = traitlets.Unicode().tag(sync=True)
    stale = traitlets.Bool(False).tag(sync=True)
    asks = traitlets.Dict().tag(sync=True)
    own = traitlets.Bool(False).tag(sync=True)
    seconds = traitlets.Float().tag(sync=True)
    rate = traitlets.Int().tag(sync=True)
