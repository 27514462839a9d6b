"""What a page remembers in its tab of the browser: loading it again loses nothing, closing the tab forgets it."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

CLOSED = "This browser remembers nothing: its store is full or closed. Loading the page again loses what stands here."
DAMAGED = "What this tab remembered cannot be read any more. The page starts afresh."


class Remembered(anywidget.AnyWidget):
    """Keeps a state in the browser's store of one tab, and gives it back when the page is loaded again.

    Two tabs do not disturb each other, and the next person at a shared computer, who opens a tab, finds nothing.

    Parameters
    ----------
    about : str
        Under which it is kept.
    recall : callable
        Takes a state that was kept; whatever it raises is told as damage.

    Attributes
    ----------
    state : dict
        What to keep, as JSON can hold it; empty if there is nothing.
    said : str
        What is wrong with the store; empty if nothing is.
    """

    _esm = Path(__file__).with_name("remembered.js")
    about = traitlets.Unicode().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)
    said = traitlets.Unicode().tag(sync=True)

    def __init__(self, about, recall):
        super().__init__(about=about)
        self._recall = recall
        self.on_msg(self._told)

    def _told(self, _widget, message, _buffers):
        """Take what the browser kept, unless there is something newer; or hear that it keeps nothing."""
        if "closed" in message:
            self.said = CLOSED
        elif not self.state:
            try:
                with self.hold_sync():  # half of it would take the place of the whole
                    self._recall(message["kept"])
            except Exception:  # nobody would see it
                self.said = DAMAGED
