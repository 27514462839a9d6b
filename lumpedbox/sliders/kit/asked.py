"""What every page does that a widget in the browser asks for things: with sliders or without."""

from __future__ import annotations

import traceback

from .layout import ShownInCell
from .words import UNEXPECTED


class Asked(ShownInCell):
    """Does what its board asks for: of a message {what: given}, and of a trait that changed, `_on_what(given)`.

    A message takes along what was moved last, which may still wait: it is done first.

    A page says what it refuses with `_refuse(text)`, and what should not have happened with `_complain(text)`.
    """

    def hear(self, board, *traits):
        """Listen to the messages of a board, and to some of its traits."""
        board.on_msg(self._asked)
        for trait in traits:
            board.observe(lambda change: self._do(change["name"], change["new"]), trait)

    def _asked(self, board, message, _buffers):
        message = dict(message)
        moved = message.pop("moved", None)
        if moved and moved["number"] > board.moved.get("number", 0):
            board.moved = moved
        ((what, given),) = message.items()
        self._do(what, given)

    def _do(self, what, given):
        """Do what the browser asks for or has changed."""
        self._attempt(lambda: getattr(self, f"_on_{what}")(given), self._refuse)

    def _attempt(self, action, refuse):
        """Do something; say with `refuse` what is wrong, and show what should not happen: else nobody would see it."""
        try:
            action()
        except ValueError as error:
            refuse(str(error))
        except Exception:
            self._complain(f"{UNEXPECTED}\n{traceback.format_exc()}")
